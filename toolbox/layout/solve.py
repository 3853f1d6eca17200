"""The search for a layout: from a first one that fits to one that is near the proven best.

1. Plain checks say at once when no layout can exist.
2. A first layout is the present one where that holds, else it comes from filling the
   cheapest places in order of need, or where that fails from a rough guide.
3. A small box is closed in on until its best layout is proved.
4. Otherwise the solver shares things out by sums, with places not quite full: a guide
   to which things belong behind which openings. A walk on areas does the same where
   the solver package is missing. A box too big for either goes on from its first layout.
5. Walks on true fits turn the guide into a layout that can be laid: a few short ones
   from the guide, then longer ones from the best found, as long as the effort lasts.
6. A lower bound is proved beside or after that.
7. A box for which all this found no layout is closed in on for a few rounds, which may
   prove that there is none.

Every layout is checked by ``verify`` before anybody hears of it. Without a time in
seconds only counted work limits the search, so the same question has the same answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import accumulate
from random import Random

from toolbox.kit.box import Inside
from toolbox.layout.beside import Beside
from toolbox.layout.bound import lower_bound
from toolbox.layout.bound_apart import lower_bound_apart
from toolbox.layout.checks import reasons_against
from toolbox.layout.closing_in import Closed, Reports, close_in
from toolbox.layout.draft import Draft
from toolbox.layout.first import first_homes, holds, spread_by_area
from toolbox.layout.fit import Fits
from toolbox.layout.mend import mend
from toolbox.layout.pace import ByClock, ByCount, Pace
from toolbox.layout.problem import Answer, LayoutProblem, Outcome, Put
from toolbox.layout.sharing import Sharing
from toolbox.layout.solver import solver_there
from toolbox.layout.tables import Tables, bits, tables_of
from toolbox.layout.verify import faults
from toolbox.layout.walk import Course, Progress, Walk
from toolbox.layout.watch import Stop, Watcher


class Effort(Enum):
    """How much counted work a search may take."""

    QUICK = "quick"
    NORMAL = "normal"
    THOROUGH = "thorough"


@dataclass(frozen=True, slots=True)
class _Work:
    """Counted work: deterministic units for the guide, walks, their steps, rounds of the bound."""

    guide: float
    walks: int
    steps: int
    bound: int


_WORK = {
    Effort.QUICK: _Work(guide=0.5, walks=1, steps=40_000, bound=2),
    Effort.NORMAL: _Work(guide=0.8, walks=1, steps=120_000, bound=3),
    Effort.THOROUGH: _Work(guide=5.0, walks=8, steps=600_000, bound=40),
}
_SMALL = 100  # homes of all blocks together, up to which a box is closed in on first
_SMALL_ROUNDS, _SMALL_WORK = 300, 5.0
_LARGE_ROUNDS, _LARGE_WORK = 6, 2.0  # and a larger one for which no layout was found
_GUIDED = 8000  # homes of all blocks together, up to which the solver makes the guide
_GUIDE_FILL = 0.94  # of laid places, which is about what true layouts reach
_ROUGH_WORK, _ROUGH_STEPS = 0.1, 30_000  # for a first layout where filling found none
_MOST_FILL = 0.97
_HOT, _COOL = 0.03, 0.002  # heat of a walk on true fits, in mean costs of a block
_AREA_HOT, _AREA_COOL = 0.4, 0.02  # and of a walk on areas
_MISFIT = 0.3  # least price of a misfit, in mean costs of a block


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
    pace: Pace
    if seconds is None:
        work = _WORK[effort]
        pace = ByCount(stop or _never, work.guide, work.walks, work.steps)
    else:
        work = _WORK[Effort.NORMAL]
        pace = ByClock(stop or _never, seconds, len(problem.items))
    return _Search(problem, watcher or Watcher(), pace, work).run(start)


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

    def __init__(self, problem: LayoutProblem, watcher: Watcher, pace: Pace, work: _Work) -> None:
        self.problem = problem
        self.tables = tables_of(problem)
        self.fits = Fits(self.tables)
        self.watcher = watcher
        self.pace = pace
        self.work = work
        self.best: _Best | None = None
        self.bound: int | None = None
        self.random = Random(1)
        self.method = "filled in order of need"

    def run(self, start: tuple[int, ...] | None) -> Answer:
        """Search and answer; the watcher hears the beginning, each step and the end."""
        self.watcher.started()
        against = reasons_against(self.tables)
        if against:
            return self._end(Answer(Outcome.IMPOSSIBLE, (), None, None, "; ".join(against)))
        self.raise_bound(plain_bound(self.tables))
        wishes = _wishes(self.tables, start)
        self._first(wishes)
        size = sum(map(len, self.tables.options))
        closed = Closed.OPEN
        if size <= _SMALL and not self._over():
            closed = self._close_in(_SMALL_ROUNDS, _SMALL_WORK)
        elif self.best is None and size <= _GUIDED and solver_there() and not self._over():
            self._rough()
        if closed is Closed.OPEN and not self._over():
            self._improve(spread_by_area(self.tables, wishes), size)
        if self.best is None and size > _SMALL and not self._over():
            closed = self._close_in(_LARGE_ROUNDS, _LARGE_WORK)
        if closed is Closed.IMPOSSIBLE:
            return self._end(
                Answer(Outcome.IMPOSSIBLE, (), None, None, "every way to share out was refused")
            )
        return self._end(self._answer())

    def _first(self, wishes: Sequence[int]) -> None:
        """Hear of the wished homes, where they hold as they are, and of a quick filling."""
        if holds(self.tables, self.fits, wishes, self.pace.stop):
            self.found(Draft(self.tables, wishes).cost, wishes)
        homes = first_homes(self.tables, self.fits, wishes, self.pace.stop)
        if homes is not None:
            self.found(Draft(self.tables, homes).cost, homes)

    def _rough(self) -> None:
        """A first layout from little work: a short guide, walked on coolly until it can be laid."""
        sharing = Sharing(self.tables, _GUIDE_FILL)
        homes = sharing.solve(work=_ROUGH_WORK, stop=self.pace.over).homes
        if homes is None:
            return
        draft = Draft(self.tables, homes)
        mean = max(1.0, draft.cost / len(homes))
        course = Course(_HOT * mean / 3, _COOL * mean, _MOST_FILL, _MISFIT * mean, True)
        walk = Walk(draft, self.fits, course, Random(1))
        walk.run(
            lambda made: 1.0 if walk.best or self.pace.over() else made / _ROUGH_STEPS, self.found
        )
        if walk.best is not None:
            self.found(walk.best_cost, walk.best)

    def _close_in(self, rounds: int, work: float) -> Closed:
        if not solver_there():
            return Closed.OPEN
        self.method = "shared out by sums, laid exactly"
        reports = Reports(self.found, self.raise_bound, self.pace.over)
        hint = self.best.homes if self.best else []
        return close_in(self.tables, self.fits, reports, rounds=rounds, work=work, hint=hint)

    def _improve(self, spread: list[int] | None, size: int) -> None:
        """Guide, walks and bound: beside each other by the clock, one after another by count."""
        self.method = "walks on areas and true fits"
        guided = solver_there() and size <= _GUIDED
        with Beside(self._guide if guided else None, self._prove, self.pace) as beside:
            guide = beside.awaited(lambda: self._hear(beside)) if guided else None
            known = self.best.homes if self.best else spread
            homes = list(guide or known or ())
            if not homes:
                return
            mean = max(1.0, Draft(self.tables, known or homes).cost / len(homes))
            if not guided and (self.best is None or size <= _GUIDED):
                homes = self._walk_areas(homes, mean, beside)
            if guide is None:
                self.pace.try_nothing()
            first = homes
            while not (self._over() or self.pace.walked_enough(self.best is not None)):
                self._walk_true(homes, mean, beside)
                self._hear(beside)
                homes = first if self.pace.trying() or not self.best else self.best.homes
        self._hear(beside)

    def _guide(self, stop: Callable[[], bool]) -> tuple[int, ...] | None:
        return Sharing(self.tables, _GUIDE_FILL).solve(work=self.pace.guide_work, stop=stop).homes

    def _prove(self, stop: Callable[[], bool], report: Callable[[int], None]) -> None:
        left = self.pace.seconds_left()
        if left is None:
            found = lower_bound(self.problem, stop=stop, report=report, work=self.work.bound)
        else:
            found = lower_bound_apart(self.problem, stop=stop, report=report, seconds=left)
        report(found.value)

    def _walk_areas(self, homes: Sequence[int], mean: float, beside: Beside) -> list[int]:
        course = Course(_AREA_HOT * mean, _AREA_COOL * mean, _GUIDE_FILL, _MISFIT * mean, False)
        walk = Walk(Draft(self.tables, homes), self.fits, course, self.random)
        walk.run(self._heard(self.pace.area_walk(), beside))
        return walk.best or list(homes)

    def _walk_true(self, homes: Sequence[int], mean: float, beside: Beside) -> None:
        walk = self._true_walk(homes, mean)
        walk.run(self._heard(self.pace.true_walk(), beside), self.found)
        misfits = walk.misfits()
        if misfits and not self.pace.stop() and mend(walk.draft, self.fits, misfits):
            self.found(walk.draft.cost, walk.draft.home)

    def _true_walk(self, homes: Sequence[int], mean: float) -> Walk:
        course = Course(_HOT * mean, _COOL * mean, _MOST_FILL, _MISFIT * mean, True)
        return Walk(Draft(self.tables, homes), self.fits, course, self.random)

    def _heard(self, progress: Progress, beside: Beside) -> Progress:
        """The same progress, listening for better bounds on the way."""

        def listening(steps: int) -> float:
            self._hear(beside)
            return 1.0 if self._proved() else progress(steps)

        return listening

    def _hear(self, beside: Beside) -> None:
        for bound in beside.bounds():
            self.raise_bound(bound)

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

    def _over(self) -> bool:
        return self._proved() or self.pace.over()

    def _answer(self) -> Answer:
        if self.best is None:
            return Answer(Outcome.NONE_FOUND, (), None, self.bound, "no layout was found in time")
        outcome = Outcome.OPTIMAL if self._proved() else Outcome.GOOD
        return Answer(outcome, self.best.puts, self.best.cost, self.bound, self.method)

    def _end(self, answer: Answer) -> Answer:
        self.watcher.finished(answer)
        return answer


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
