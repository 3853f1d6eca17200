"""What could stay at home, what that would cost, and which tools have no double.

Only tools that travel count: neither a tool nor a stand-in that lies at home
helps at the track.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from toolbox.carry.coverage import Need, carried_ids, missing_needs, names_of, needs_of
from toolbox.carry.findings import CarryError, unknown
from toolbox.kit.things import Mark, Tool
from toolbox.kit.work import Job


class LostJob(NamedTuple):
    """A job that could be done and no longer can, with the names of what it then lacks."""

    job: str
    name: str
    urgent: bool
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Idle:
    """A tool that travelled without being used.

    ``idle_days`` counts the logged working days since its ``last_use`` (all of
    them when None: never used); ``grams`` is what all its copies weigh together;
    ``lost`` holds the jobs that go when this tool alone stays at home.
    """

    tool: str
    name: str
    last_use: date | None
    idle_days: int
    grams: int
    urgent: bool
    lost: tuple[LostJob, ...]


@dataclass(frozen=True, slots=True)
class SinglePoint:
    """A tool with one copy and no stand-in: what stops when it is lost.

    ``times`` is how often a working day asks for those jobs; ``grams`` is what
    a second one would add to the box.
    """

    tool: str
    name: str
    jobs: tuple[LostJob, ...]
    times: float
    grams: int


def jobs_lost(
    tools: Sequence[Tool], jobs: Iterable[Job], without: Collection[str]
) -> tuple[LostJob, ...]:
    """Exactly the jobs that lose their last tool when the tools ``without`` (ids) stay at home.

    All copies of those tools go. A job that cannot be done even now is not lost
    by it. CarryError names every id that no tool has.
    """
    ids = [tool.id for tool in tools]
    wrong = [w for w in without if w not in set(ids)]
    if wrong:
        raise CarryError(unknown("tool", w, ids) for w in sorted(wrong))
    return _lost(tools, _possible(tools, jobs), frozenset(without))


def idle_tools(
    tools: Sequence[Tool],
    jobs: Iterable[Job],
    days_logged: Iterable[date],
    last_used: Mapping[str, date | None],
    window_days: int,
) -> tuple[Idle, ...]:
    """Tools that travel and were not used on any of the last ``window_days`` logged working days.

    Days on which nothing was logged do not count. First those whose absence
    costs no job, in each group the heaviest first. Each tool's ``lost`` is for
    leaving that one alone; two that stand in for each other may both cost
    nothing, so ask ``jobs_lost`` again with all that you mean to leave.
    Where fewer days are logged all of them count, so say how many; without any logged
    day nothing can be called unused. CarryError for a window of no day.
    """
    days = sorted(set(days_logged))
    if window_days < 1:
        raise CarryError(["ask for one working day or more"])
    if not days:
        return ()
    first = days[-min(window_days, len(days))]
    possible = _possible(tools, jobs)
    found = []
    for tool in tools:
        last = last_used.get(tool.id)
        if tool.carried and (last is None or last < first):
            found.append(_idle(tool, last, days, _lost(tools, possible, frozenset((tool.id,)))))
    return tuple(sorted(found, key=lambda idle: (len(idle.lost), -idle.grams)))


def single_points(
    tools: Sequence[Tool], jobs: Iterable[Job], rates: Mapping[str, float]
) -> tuple[SinglePoint, ...]:
    """Tools whose loss stops jobs, those that stop the most first: which to double.

    ``rates`` gives how often a working day asks for each job (id -> times; 0
    where it says nothing). A tool with a second copy that travels, or with a
    stand-in for it that travels, stops nothing.
    """
    possible = _possible(tools, jobs)
    found = []
    for tool in tools:
        if not tool.carried or tool.count > 1:
            continue
        lost = _lost(tools, possible, frozenset((tool.id,)))
        if lost:
            times = sum(rates.get(job.job, 0.0) for job in lost)
            found.append(SinglePoint(tool.id, tool.name, lost, times, tool.mass.grams))
    return tuple(sorted(found, key=lambda point: (-len(point.jobs), -point.times)))


def _idle(tool: Tool, last: date | None, days: list[date], lost: tuple[LostJob, ...]) -> Idle:
    since = sum(1 for day in days if last is None or day > last)
    grams = tool.mass.grams * tool.count
    return Idle(tool.id, tool.name, last, since, grams, Mark.URGENT in tool.marks, lost)


def _possible(tools: Sequence[Tool], jobs: Iterable[Job]) -> list[tuple[Job, tuple[Need, ...]]]:
    """Jobs that can be done with all that travels, with their needs."""
    carried = carried_ids(tools)
    weighed = [(job, needs_of(job, tools)) for job in jobs]
    return [(job, needs) for job, needs in weighed if not missing_needs(needs, carried)]


def _lost(
    tools: Sequence[Tool],
    possible: Iterable[tuple[Job, tuple[Need, ...]]],
    without: frozenset[str],
) -> tuple[LostJob, ...]:
    left = carried_ids(tools) - without
    lost = []
    for job, needs in possible:
        missing = missing_needs(needs, left)
        if missing:
            names = names_of(tools, (need.tool for need in missing))
            lost.append(LostJob(job.id, job.name, job.urgent, names))
    return tuple(lost)
