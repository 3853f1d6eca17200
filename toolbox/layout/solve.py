"""The search for a layout: from a first one that fits to one that is near the proven best.

1. Plain checks say at once when no layout can exist.
2. A first layout comes from filling the cheapest places in order of need.
3. A walk on areas finds which things belong behind which openings, without geometry.
4. A walk on true fits turns that into a layout that can be laid, and improves it.
5. Rounds of 3 and 4 repeat from the best found, as long as the effort lasts.

Every layout is checked by ``verify`` before anybody hears of it. Without a time in
seconds only counted work limits the search, so the same question has the same answer.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import accumulate
from random import Random

from toolbox.kit.box import Inside
from toolbox.layout.checks import reasons_against
from toolbox.layout.draft import Draft
from toolbox.layout.first import first_homes, spread_by_area
from toolbox.layout.fit import Fits
from toolbox.layout.problem import Answer, LayoutProblem, Outcome, Put
from toolbox.layout.tables import Tables, bits, tables_of
from toolbox.layout.verify import faults
from toolbox.layout.walk import Course, Progress, Walk
from toolbox.layout.watch import Stop, Watcher


class Effort(Enum):
    """How much counted work a search may take."""

    QUICK = "quick"
    NORMAL = "normal"
    THOROUGH = "thorough"


_ROUNDS = {Effort.QUICK: 1, Effort.NORMAL: 3, Effort.THOROUGH: 12}
_AREA_STEPS = 2000  # steps of a walk on areas, for each block
_TRUE_STEPS = 3000  # steps of a walk on true fits, for each block
_FINISH_SHARE = 0.25  # of a walk on true fits, to get rid of the last misfits
_ROUND_SECONDS = 0.05  # of a round, for each block, in a search by the clock


def solve(
    problem: LayoutProblem,
    *,
    effort: Effort = Effort.NORMAL,
    seconds: float | None = None,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
    start: tuple[int, ...] | None = None,
) -> Answer:
    """Find a layout and say how good it is.

    With ``seconds`` the search lasts about that long and two runs may differ; without,
    ``effort`` limits the work and the answer is always the same. ``stop`` ends it at
    any moment with the best so far. ``start`` gives present places by item (-1: none);
    what fits there is kept for the first layout.
    """
    search = _Search(problem, watcher or Watcher(), stop or _never)
    return search.run(effort, seconds, start)


def _never() -> bool:
    return False


@dataclass
class _Best:
    """The best verified layout so far."""

    homes: list[int]
    cost: int
    puts: tuple[Put, ...]


class _Search:
    """One run: what it watches, what it found."""

    def __init__(self, problem: LayoutProblem, watcher: Watcher, stop: Callable[[], bool]) -> None:
        self.problem = problem
        self.tables = tables_of(problem)
        self.fits = Fits(self.tables)
        self.watcher = watcher
        self.stop = stop
        self.best: _Best | None = None
        self.bound: int | None = None
        self.random = Random(1)

    def run(self, effort: Effort, seconds: float | None, start: tuple[int, ...] | None) -> Answer:
        """Search and answer; the watcher hears the beginning, each step and the end."""
        self.watcher.started()
        against = reasons_against(self.tables)
        if against:
            return self._end(Answer(Outcome.IMPOSSIBLE, (), None, None, "; ".join(against)))
        self.raise_bound(plain_bound(self.tables))
        wishes = _wishes(self.tables, start)
        homes = first_homes(self.tables, self.fits, wishes, self.stop)
        if homes is not None:
            self.found(Draft(self.tables, homes).cost, homes)
        spread = homes or spread_by_area(self.tables, wishes)
        if spread is not None and not self._proved():
            pace = _ByClock(seconds, self) if seconds is not None else _ByCount(effort, self)
            self._rounds(spread, pace)
        return self._end(self._answer())

    def _rounds(self, homes: Sequence[int], pace: _Pace) -> None:
        tables = self.tables
        mean = max(1.0, Draft(tables, homes).cost / max(1, len(tables.blocks)))
        number = 0
        while not (pace.over(number) or self.stop() or self._proved()):
            spread = Walk(
                Draft(tables, homes), self.fits, Course(0.4 * mean, 0.02 * mean, 0.94), self.random
            )
            spread.run(pace.part(number, _AREA_STEPS, 0.3))
            self._walk_true(spread.best or list(homes), mean, pace, number)
            number += 1

    def _walk_true(self, homes: Sequence[int], mean: float, pace: _Pace, number: int) -> None:
        course = Course(0.04 * mean, 0.004 * mean, 0.97, 0.4 * mean)
        walk = Walk(Draft(self.tables, homes), self.fits, course, self.random)
        walk.run(pace.part(number, _TRUE_STEPS, 0.55), self.found)
        if walk.misfits():
            course = Course(0.01 * mean, 0.002 * mean, 0.93, 2.0 * mean)
            walk = Walk(walk.draft, self.fits, course, self.random)
            walk.run(pace.part(number, int(_TRUE_STEPS * _FINISH_SHARE), 0.15), self.found)

    def found(self, cost: int, homes: Sequence[int]) -> None:
        """Take a layout that fits: lay it out, check it, tell the watcher."""
        if self.best is not None and cost >= self.best.cost:
            return
        puts = lay_out(self.tables, self.fits, homes)
        self.best = _Best(list(homes), cost, puts)
        answer = self._answer()
        wrong = faults(self.problem, answer)
        if wrong:
            raise RuntimeError("the layout found does not hold: " + "; ".join(wrong))
        self.watcher.better_layout(answer)

    def raise_bound(self, bound: int) -> None:
        """Take a proven lower bound when it is higher than the last."""
        if self.bound is None or bound > self.bound:
            self.bound = bound
            self.watcher.better_bound(bound)

    def _proved(self) -> bool:
        return self.best is not None and self.best.cost == self.bound

    def _answer(self) -> Answer:
        if self.best is None:
            return Answer(Outcome.NONE_FOUND, (), None, self.bound, "no layout was found in time")
        outcome = Outcome.OPTIMAL if self._proved() else Outcome.GOOD
        return Answer(
            outcome, self.best.puts, self.best.cost, self.bound, "walks on areas and fits"
        )

    def _end(self, answer: Answer) -> Answer:
        self.watcher.finished(answer)
        return answer


class _Pace:
    """How long each part of the search lasts."""

    def over(self, number: int) -> bool:
        """True when round ``number`` should not begin any more."""
        raise NotImplementedError

    def part(self, number: int, steps: int, share: float) -> Progress:
        """Progress of one part of round ``number``."""
        raise NotImplementedError


class _ByCount(_Pace):
    def __init__(self, effort: Effort, search: _Search) -> None:
        self._rounds = _ROUNDS[effort]
        self._search = search

    def over(self, number: int) -> bool:
        return number >= self._rounds

    def part(self, number: int, steps: int, share: float) -> Progress:
        planned = steps * len(self._search.tables.blocks)
        stop = self._search.stop
        return lambda made: 1.0 if stop() else made / planned


class _ByClock(_Pace):
    def __init__(self, seconds: float, search: _Search) -> None:
        self._began = time.monotonic()
        self._end = self._began + seconds
        self._search = search

    def over(self, number: int) -> bool:
        return time.monotonic() >= self._end

    def part(self, number: int, steps: int, share: float) -> Progress:
        left = max(self._end - time.monotonic(), 0.0)
        begin = time.monotonic()
        planned = max(left * share, 0.05)
        stop = self._search.stop

        def gone(made: int) -> float:
            now = time.monotonic()
            return 1.0 if stop() or now >= self._end else (now - begin) / planned

        return gone


def plain_bound(tables: Tables) -> int:
    """A simple valid bound: cheapest places, and openings that every choice leads through."""
    total = sum(min(tables.cost[b][p] for p in options) for b, options in enumerate(tables.options))
    places = tables.problem.places
    forced = [
        frozenset.intersection(*(frozenset(places[p].openings) for p in options))
        for options in tables.options
    ]
    needed: list[set[int]] = [set() for _ in tables.problem.visits]
    for block, visits in enumerate(tables.visits_of):
        for visit in visits:
            needed[visit] |= forced[block]
    for paid, openings in zip(tables.problem.visits, needed, strict=True):
        total += sum(paid.opening_cost[o] for o in openings)
    return total


def _wishes(tables: Tables, start: tuple[int, ...] | None) -> list[int]:
    if start is None:
        return [-1] * len(tables.blocks)
    return [
        start[block[0]] if len({start[i] for i in block}) == 1 else -1 for block in tables.blocks
    ]


def lay_out(tables: Tables, fits: Fits, homes: Sequence[int]) -> tuple[Put, ...]:
    """Puts of all items for homes of blocks that are known to fit."""
    puts = [Put(place) for place in tables.spread(homes)]
    inside = [0] * len(tables.room)
    for block, place in enumerate(homes):
        inside[place] |= 1 << block
    clearance = tables.problem.clearance
    for place, blocks in enumerate(inside):
        kind = tables.problem.places[place].kind
        if kind is Inside.LAID and blocks:
            for item, spot in fits.spots(place, blocks).items():
                puts[item] = Put(place, *spot)
        elif kind is Inside.ROW:
            items = [item for b in bits(blocks) for item in tables.blocks[b]]
            widths = (tables.problem.items[i].width + clearance for i in items)
            for item, x in zip(items, accumulate(widths, initial=0), strict=False):
                puts[item] = Put(place, x)
    return tuple(puts)
