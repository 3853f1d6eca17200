"""Which jobs a set of tools can do: all tools of a job, or a stand-in for each.

A tool is served when it is there itself or when one of the substitutes listed
at it is there. Substitution is neither mutual nor passed on: that A stands in
for B says nothing about B for A, nor about what stands in for A. Picking a
tool twice in a step takes one tool, not two copies.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from toolbox.kit.things import Tool, base_id
from toolbox.kit.work import Job


class Need(NamedTuple):
    """A tool that a job asks for and every tool id that can serve it, itself first."""

    tool: str
    servers: tuple[str, ...]


class Standing(NamedTuple):
    """How one job stands with a set of tools: names of what is ``missing`` (none: can be done)."""

    job: str
    name: str
    missing: tuple[str, ...]

    @property
    def covered(self) -> bool:
        """True when every tool of the job or a stand-in for it is there."""
        return not self.missing


def needs_of(job: Job, tools: Iterable[Tool]) -> tuple[Need, ...]:
    """What the job asks for, each tool once, in the order its steps take them up.

    A tool that is not in the list serves itself only: its substitutes are not known.
    """
    listed = {tool.id: tool.substitutes for tool in tools}
    wanted = dict.fromkeys(pick.tool for step in job.steps for pick in step.picks)
    return tuple(Need(w, tuple(dict.fromkeys((w, *listed.get(w, ()))))) for w in wanted)


def missing_needs(needs: Iterable[Need], have: Collection[str]) -> tuple[Need, ...]:
    """The needs that nothing in ``have`` (tool ids) serves."""
    return tuple(n for n in needs if not any(server in have for server in n.servers))


def carried_ids(tools: Iterable[Tool]) -> frozenset[str]:
    """Ids of the tools that travel."""
    return frozenset(tool.id for tool in tools if tool.carried)


def names_of(tools: Iterable[Tool], ids: Iterable[str]) -> tuple[str, ...]:
    """Names of the tools in the order of ``ids``; an id nobody knows stays as it is."""
    names = {tool.id: tool.name for tool in tools}
    return tuple(names.get(i, i) for i in ids)


def standings(
    jobs: Iterable[Job], tools: Sequence[Tool], have: Iterable[str]
) -> tuple[Standing, ...]:
    """How each job stands when only ``have`` is there (tool ids or names of copies).

    For "which jobs can still be done from what is in this case": hand in the
    copies that lie in it. ``tools`` is the whole kit, which knows the substitutes.
    """
    there = {base_id(copy) for copy in have}
    found = []
    for job in jobs:
        missing = missing_needs(needs_of(job, tools), there)
        found.append(Standing(job.id, job.name, names_of(tools, (n.tool for n in missing))))
    return tuple(found)


def lightest_addition(needs: Iterable[Need], grams: Mapping[str, int]) -> int:
    """The least mass of tools that serves all these needs, in grams, exactly.

    ``grams`` holds the tools that may be added; ValueError when a need has no
    server among them.
    """
    open_needs = [frozenset(s for s in need.servers if s in grams) for need in needs]
    if not all(open_needs):
        raise ValueError("a need has no server that may be added")
    return _lightest(open_needs, grams)


def _lightest(needs: list[frozenset[str]], grams: Mapping[str, int]) -> int:
    if not needs:
        return 0
    need = min(needs, key=len)
    # Of servers that serve this one need only, just the lightest can matter.
    shared = {s for s in need if sum(s in other for other in needs) > 1}
    alone = sorted(need - shared, key=lambda s: (grams[s], s))[:1]
    return min(
        grams[s] + _lightest([other for other in needs if s not in other], grams)
        for s in (*sorted(shared), *alone)
    )
