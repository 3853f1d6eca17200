"""Have I logged enough? Which tools surely belong among the easily reached, which may."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from toolbox.usage.drawn import drawn_jobs, drawn_loose
from toolbox.usage.engine import JobRate, ToolUse, Usage

SURE = 0.9
"""A tool is settled when it belongs, or does not belong, with this probability."""

WORTH_LOGGING = 0.1
"""A job is worth logging for a tool when it holds this share of the tool's variance."""


@dataclass(frozen=True, slots=True)
class OpenTool:
    """A tool of which it is not sure whether it belongs among the easily reached.

    ``chance`` is the probability that it does. ``log_next`` names the jobs whose
    uncertain rate makes up most of the tool's uncertainty, worst first; empty when
    that lies in trips outside any job, whose share is ``loose_share``.
    """

    item: str
    chance: float
    log_next: tuple[str, ...]
    loose_share: float


@dataclass(frozen=True, slots=True)
class LogNext:
    """A job to log: its share of the uncertainty of all open tools, and which they are."""

    job: str
    share: float
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Settled:
    """How sure the ranking is.

    ``places`` is how many tools count as easily reached (grade A); ``chances`` gives
    for each item, most used first, the probability to be one of them; ``open`` are
    those not settled; ``log_next`` the jobs to log for them, best first.
    """

    places: int
    chances: tuple[tuple[str, float], ...]
    open: tuple[OpenTool, ...]
    log_next: tuple[LogNext, ...]

    def chance(self, item: str) -> float:
        """Probability that the item belongs among the easily reached; KeyError if unknown."""
        return dict(self.chances)[item]

    def is_settled(self, item: str) -> bool:
        """True when more logging would hardly change whether the item belongs."""
        return not _unsure(self.chance(item))


class Stopped(Exception):
    """The judging was broken off: there is no answer."""


def settle(usage: Usage, *, draws: int = 1000, stop: Callable[[], bool] = lambda: False) -> Settled:
    """Draw rates from what is believed of them and see which tools come out on top.

    Raises Stopped soon after ``stop`` says so.

    The same usage always gives the same answer: each job and tool has dice of its
    own with a fixed seed. With 1000 draws a chance of 0.9 is off by 0.01 or so.
    """
    places = sum(use.grade == "A" for use in usage.tools)
    chances = _chances(usage, places, draws, stop)
    doubts = {
        use.item: _doubts(use, usage.jobs)
        for use, chance in zip(usage.tools, chances, strict=True)
        if _unsure(chance)
    }
    named = tuple((use.item, chance) for use, chance in zip(usage.tools, chances, strict=True))
    opened = tuple(
        _open_tool(item, chance, doubts[item]) for item, chance in named if item in doubts
    )
    return Settled(places, named, opened, _log_next(doubts))


def _unsure(chance: float) -> bool:
    return 1.0 - SURE < chance < SURE


def _chances(usage: Usage, places: int, draws: int, stop: Callable[[], bool]) -> list[float]:
    columns: dict[str, list[float]] = {}
    for use in usage.tools:
        _go_on(stop)
        columns[use.item] = drawn_loose(use, draws)
    for job in usage.jobs:
        _go_on(stop)
        rates = drawn_jobs(job, draws)
        for pick in job.picks:
            mean, column = pick.mean, columns[pick.item]
            columns[pick.item] = [
                sum_so_far + mean * rate for sum_so_far, rate in zip(column, rates, strict=True)
            ]
    hits = [0] * len(columns)
    numbers = range(len(columns))
    for row in zip(*columns.values(), strict=True):
        _go_on(stop)
        # A stable sort: among equals the one ranked first today stays first.
        for n in sorted(numbers, key=row.__getitem__, reverse=True)[:places]:
            hits[n] += 1
    return [hit / draws for hit in hits]


def _go_on(stop: Callable[[], bool]) -> None:
    if stop():
        raise Stopped


def _doubts(use: ToolUse, jobs: tuple[JobRate, ...]) -> dict[str, float]:
    """Job -> its share of the tool's variance; what is missing to 1 is loose trips."""
    parts = {
        job.job: pick.mean**2 * job.belief.variance()
        for job in jobs
        for pick in job.picks
        if pick.item == use.item
    }
    total = math.fsum([use.loose.variance(), *parts.values()])
    return {job: part / total for job, part in parts.items()}


def _open_tool(item: str, chance: float, doubts: dict[str, float]) -> OpenTool:
    worst_first = sorted(doubts, key=lambda job: (-doubts[job], job))
    worth = tuple(job for job in worst_first if doubts[job] >= WORTH_LOGGING)
    return OpenTool(item, chance, worth, 1.0 - math.fsum(doubts.values()))


def _log_next(doubts: dict[str, dict[str, float]]) -> tuple[LogNext, ...]:
    found: dict[str, dict[str, float]] = {}
    for item, parts in doubts.items():
        for job, share in parts.items():
            found.setdefault(job, {})[item] = share
    ranked = [
        LogNext(job, math.fsum(shares.values()) / len(doubts), tuple(shares))
        for job, shares in found.items()
    ]
    return tuple(sorted(ranked, key=lambda one: (-one.share, one.job)))
