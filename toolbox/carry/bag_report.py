"""What a pit bag holds and covers, in names: the answer as it is handed out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from toolbox.carry.coverage import (
    Need,
    carried_ids,
    lightest_addition,
    missing_needs,
    names_of,
    needs_of,
)
from toolbox.kit.things import Tool
from toolbox.kit.work import Job


class PackedTool(NamedTuple):
    """A tool in the bag: id, name, grams of the one copy taken."""

    tool: str
    name: str
    grams: int


class StandIn(NamedTuple):
    """A tool that serves in place of the one asked for, and in which covered jobs; all names."""

    wanted: str
    instead: str
    jobs: tuple[str, ...]

    @property
    def job(self) -> str:
        """The jobs in one line."""
        return "; ".join(self.jobs)


class LeftOut(NamedTuple):
    """A job the bag does not cover: names of what is missing, and what that would add.

    ``more_g`` is the least mass that would have to go in as well; None when it
    needs what does not travel and has no stand-in that does (``at_home``: names).
    """

    job: str
    name: str
    missing: tuple[str, ...]
    more_g: int | None
    at_home: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PitBag:
    """A bag that keeps its limits and covers the named jobs.

    ``covered`` and ``left_out`` go by urgent work, most first, then by the order of
    the jobs; ``covered`` holds (id, name). ``urgent_share`` is the covered part of all
    expected urgent work, None when none is expected. ``proved_best`` says that no bag
    is better in urgent work, then other work, then mass.
    """

    tools: tuple[PackedTool, ...]
    grams: int
    limit_g: int
    volume: int
    covered: tuple[tuple[str, str], ...]
    left_out: tuple[LeftOut, ...]
    stand_ins: tuple[StandIn, ...]
    urgent_share: Fraction | None
    proved_best: bool


def packed_bag(
    jobs: Sequence[Job],
    tools: Sequence[Tool],
    chosen: Sequence[Tool],
    at_hand: Collection[str],
    limit_g: int,
    urgent_work: Mapping[str, float],
    proved: bool,
) -> PitBag:
    """The bag of the ``chosen`` tools, told in full; ``tools`` is the whole kit."""
    have = {tool.id for tool in chosen}.union(at_hand)
    weighed = sorted(jobs, key=lambda job: -urgent_work.get(job.id, 0))
    needs = {job.id: needs_of(job, tools) for job in jobs}
    done = [job for job in weighed if not missing_needs(needs[job.id], have)]
    return PitBag(
        tools=tuple(PackedTool(t.id, t.name, t.mass.grams) for t in chosen),
        grams=sum(tool.mass.grams for tool in chosen),
        limit_g=limit_g,
        volume=sum(t.size.length * t.size.width * t.size.height for t in chosen),
        covered=tuple((job.id, job.name) for job in done),
        left_out=tuple(
            _left_out(job, needs[job.id], tools, have) for job in weighed if job not in done
        ),
        stand_ins=_stand_ins(done, needs, tools, have),
        urgent_share=urgent_share(urgent_work, {job.id for job in done}),
        proved_best=proved,
    )


def urgent_share(urgent_work: Mapping[str, float], covered: set[str]) -> Fraction | None:
    """The covered part of all expected urgent work; None when none is expected."""
    total = sum((Fraction(times) for times in urgent_work.values()), Fraction(0))
    if not total:
        return None
    return sum((Fraction(urgent_work[j]) for j in urgent_work if j in covered), Fraction(0)) / total


def _left_out(job: Job, needs: tuple[Need, ...], tools: Sequence[Tool], have: set[str]) -> LeftOut:
    missing = missing_needs(needs, have)
    grams = {tool.id: tool.mass.grams for tool in tools if tool.carried}
    at_home = missing_needs(missing, carried_ids(tools))
    return LeftOut(
        job.id,
        job.name,
        names_of(tools, (need.tool for need in missing)),
        None if at_home else lightest_addition(missing, grams),
        names_of(tools, (need.tool for need in at_home)),
    )


def _stand_ins(
    done: Iterable[Job],
    needs: Mapping[str, tuple[Need, ...]],
    tools: Sequence[Tool],
    have: set[str],
) -> tuple[StandIn, ...]:
    found: dict[tuple[str, str], list[str]] = {}
    for job in done:
        for need in needs[job.id]:
            if need.tool not in have:
                server = next(s for s in need.servers if s in have)
                found.setdefault((need.tool, server), []).append(job.name)
    names = {tool.id: tool.name for tool in tools}
    return tuple(
        StandIn(names.get(wanted, wanted), names.get(instead, instead), tuple(jobs))
        for (wanted, instead), jobs in found.items()
    )
