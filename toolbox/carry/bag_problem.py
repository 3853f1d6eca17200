"""The pit-bag question as plain frozen numbers, for the solvers.

Tools are numbered from 0 in the kit's order; work is in whole millionths of a
time a day, masses in grams, volumes in cubic tenths of a millimetre.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class BagProblem:
    """All that decides a pit bag.

    ``jobs[j]`` holds the needs of job j, each the numbers of the tools that serve
    it (never empty). Jobs with ``must[j]`` have to be covered. ``limit_g`` and
    ``room`` are None where there is no such limit.
    """

    grams: tuple[int, ...]
    volumes: tuple[int, ...]
    limit_g: int | None
    room: int | None
    jobs: tuple[tuple[tuple[int, ...], ...], ...]
    must: tuple[bool, ...]
    urgent: tuple[int, ...]
    other: tuple[int, ...]


class Choice(NamedTuple):
    """What a solver found: tool numbers in rising order (None: no bag), and whether that is proved.

    Proved means best possible in urgent work, other work and mass, in this
    order; with None it means that no bag keeps the limits.
    """

    tools: tuple[int, ...] | None
    proved: bool


class Worth(NamedTuple):
    """How good a bag is; the smaller of two is better. The last two settle ties."""

    urgent_missed: int
    other_missed: int
    grams: int
    pieces: int
    tools: tuple[int, ...]


def covered(problem: BagProblem, tools: frozenset[int]) -> tuple[bool, ...]:
    """For each job whether all its needs are served."""
    return tuple(all(not tools.isdisjoint(need) for need in needs) for needs in problem.jobs)


def worth(problem: BagProblem, tools: frozenset[int]) -> Worth:
    """The worth of a bag, whether or not it keeps the limits."""
    done = covered(problem, tools)
    return Worth(
        sum(w for w, ok in zip(problem.urgent, done, strict=True) if not ok),
        sum(w for w, ok in zip(problem.other, done, strict=True) if not ok),
        sum(problem.grams[t] for t in tools),
        len(tools),
        tuple(sorted(tools)),
    )


def within(problem: BagProblem, tools: frozenset[int]) -> bool:
    """True when the bag keeps mass and room and covers every job that must be covered."""
    mass = sum(problem.grams[t] for t in tools)
    space = sum(problem.volumes[t] for t in tools)
    done = covered(problem, tools)
    return (
        (problem.limit_g is None or mass <= problem.limit_g)
        and (problem.room is None or space <= problem.room)
        and all(ok for ok, must in zip(done, problem.must, strict=True) if must)
    )
