"""The best layout with at most so many things changing place, and what more moves would save.

A price on each move turns the limit into an ordinary layout question: the bound of the
priced question, less the price of all moves allowed, lies under every layout within the
limit (Lagrangian relaxation, from memory). Layouts come from trying all ways where they
are few, else from walks that stay near today's box. Without a time in seconds only
counted work limits the search, so the same question has the same answer.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from toolbox.layout.bound import lower_bound
from toolbox.layout.checks import reasons_against
from toolbox.layout.exact_lay import SOLVER_WORK, Verdict
from toolbox.layout.first import first_homes
from toolbox.layout.moves_base import (
    Corners,
    KeptFits,
    count_moves,
    lay_few,
    priced,
    today_of,
)
from toolbox.layout.moves_exact import few_ways, fewest_moves, try_all
from toolbox.layout.moves_walk import FewWalk, Heat
from toolbox.layout.problem import Answer, LayoutProblem, Outcome, Put, cost_of
from toolbox.layout.solve import Effort, plain_bound, solve
from toolbox.layout.solver import solver_there
from toolbox.layout.tables import tables_of
from toolbox.layout.verify import faults
from toolbox.layout.watch import Stop, Watcher

_WALKS = {Effort.QUICK: 1, Effort.NORMAL: 1, Effort.THOROUGH: 6}
_SPREADS = {Effort.QUICK: 2, Effort.NORMAL: 4, Effort.THOROUGH: 6}  # walks by area in each
_EACH = {
    Effort.QUICK: Effort.QUICK,
    Effort.NORMAL: Effort.QUICK,
    Effort.THOROUGH: Effort.NORMAL,
}  # effort for each point of a curve
_TRUE_WALKS = 2  # so many of the best by area are made to hold
_AREA_STEPS = 500  # of a walk by area, for each block
_TRUE_STEPS = 200  # of a walk on true fits, for each block
_LEAST_HEAT = 0.02  # of today's cost for each block
_PROOF = {Effort.QUICK: 1, Effort.NORMAL: 4, Effort.THOROUGH: 20}  # rounds of the bound
_PLAIN = 25  # times as many rounds where the solver package is missing: they are short there
_PROBES = 5  # prices looked at for one limit
_PRICES = (1e-6, 0.2)  # least and most price of a move, as shares of today's cost


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the curve: at most ``moves`` things move, ``made`` of them do.

    ``cost`` (µs/day) and ``made`` are None where no layout was found; nothing within
    the limit costs less than ``bound``.
    """

    moves: int
    made: int | None
    cost: int | None
    bound: int


def solve_few_moves(
    problem: LayoutProblem,
    present: tuple[int, ...],
    most: int,
    *,
    effort: Effort = Effort.NORMAL,
    seconds: float | None = None,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
    corners: Corners | None = None,
) -> Answer:
    """Find a layout in which at most ``most`` things lie in another place than today.

    ``present`` gives today's place of each item, -1 where it has none: such things need
    a place and do not count. ``corners`` says where things lie in their places today
    (None: not known); what stays keeps its corner where it can. With ``seconds`` the
    search lasts about that long; ``stop`` ends it with the best so far. Where no layout
    within the limit was found, the method says how many moves one takes.
    """
    watcher = watcher or Watcher()
    watcher.started()
    ends = None if seconds is None else time.monotonic() + seconds
    asked = stop or _never

    def enough() -> bool:
        return asked() or (ends is not None and time.monotonic() >= ends)

    search = _Search(problem, present, corners, watcher, enough)
    answer = search.impossible()
    if answer is None:
        search.within(most, effort, keep_on=ends is not None)
        answer = search.answer(most)
    watcher.finished(answer)
    return answer


def moves_curve(
    problem: LayoutProblem,
    present: tuple[int, ...],
    steps: Sequence[int],
    *,
    effort: Effort = Effort.NORMAL,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
    corners: Corners | None = None,
    known: Sequence[tuple[int, ...]] = (),
) -> tuple[Point, ...]:
    """What is possible with at most so many moves, for each of ``steps`` in rising order.

    A step of as many moves as there are items is no limit. ``known`` are layouts found
    before, as one place for each item; those that hold are taken into account. More
    moves never cost more: a layout within one limit is within the next. Each step gets
    less work than a search for its limit alone. () when no layout can exist at all.
    """
    search = _Search(problem, present, corners, watcher or Watcher(), stop or _never)
    if search.impossible() is not None:
        return ()
    for places in known:
        search.take_places(places)
    for most in sorted(set(steps)):
        search.within(most, _EACH[effort])
    return tuple(search.point(most) for most in sorted(set(steps)))


def knee(points: Sequence[Point]) -> Point | None:
    """The point after which more moves bring little: it lies farthest above the straight line.

    The line goes from the first to the last point with a layout, both axes counted in
    shares of the whole way. None where nothing is saved, or there are under three points.
    """
    known = [(p.made, p.cost, p) for p in points if p.made is not None and p.cost is not None]
    if len(known) < 3:
        return None
    (first, dear, _), (last, cheap, _) = known[0], known[-1]
    if last <= first or dear <= cheap:
        return None
    # multiplied out, so that whole numbers decide
    above = [
        ((dear - cost) * (last - first) - (made - first) * (dear - cheap), -made)
        for made, cost, _ in known
    ]
    return known[above.index(max(above))][2]


def _never() -> bool:
    return False


@dataclass(frozen=True, slots=True)
class _Found:
    """A verified layout: homes of blocks, puts of items."""

    moves: int
    cost: int
    homes: tuple[int, ...]
    puts: tuple[Put, ...]


class _Search:
    """One run: the layouts and bounds found so far, whatever limit they were found for."""

    def __init__(
        self,
        problem: LayoutProblem,
        present: tuple[int, ...],
        corners: Corners | None,
        watcher: Watcher,
        stop: Stop,
    ) -> None:
        self.problem, self.present = problem, present
        self.tables = tables_of(problem)
        self.corners: Corners = corners or (None,) * len(problem.items)
        self.fits = KeptFits(self.tables, self.corners)
        self.watcher, self.stop = watcher, stop
        self.found: list[_Found] = []
        self.values: dict[int, int] = {}  # price of a move -> bound of the priced question
        self.homes_moved: dict[int, int] = {}
        self.proved: dict[int, int] = {}  # limit -> cost of the proven best
        self.least: int | None = None  # proved: no layout takes fewer moves
        self.random = Random(1)

    def impossible(self) -> Answer | None:
        """The answer when plain checks show that no layout exists, else None."""
        against = reasons_against(self.tables)
        if against:
            return Answer(Outcome.IMPOSSIBLE, (), None, None, "; ".join(against))
        self.today = today_of(self.tables, self.present)
        self.values[0] = plain_bound(self.tables)
        self.take(self.today.homes)
        return None

    def within(self, most: int, effort: Effort, *, keep_on: bool = False) -> None:
        """Look for layouts and bounds for one limit; ``keep_on`` until the time is over."""
        if few_ways(self.today):
            self._try_all(most)
            return
        if most == 0 and self.best(0) is not None and -1 not in self.present:
            best = self.best(0)
            assert best is not None, "just asked"
            self.proved[0] = best.cost
            return
        self._find_bound(most, _PROOF[effort])
        self._repair(most)
        if most >= len(self.problem.items):  # no limit: any layout will do
            whole = solve(self.problem, effort=effort, stop=self.stop, start=self.present)
            self.take_places(tuple(put.place for put in whole.puts))
            return
        made = 0
        while not self.stop() and (keep_on or made < _WALKS[effort]):
            self._walk(most, effort)
            made += 1

    def best(self, most: int) -> _Found | None:
        """The cheapest layout found within a limit; the one with fewer moves among equals."""
        inside = [found for found in self.found if found.moves <= most]
        return min(inside, key=lambda found: (found.cost, found.moves), default=None)

    def bound(self, most: int) -> int:
        """The highest bound proved for a limit."""
        proved = [cost for limit, cost in self.proved.items() if limit >= most]
        return max([*proved, *(value - price * most for price, value in self.values.items())])

    def point(self, most: int) -> Point:
        """The point of the curve for a limit."""
        best = self.best(most)
        if best is None:
            return Point(most, None, None, self.bound(most))
        return Point(most, best.moves, best.cost, self.bound(most))

    def answer(self, most: int) -> Answer:
        """The answer for a limit, or how many moves a layout takes."""
        best, bound = self.best(most), self.bound(most)
        if best is None:
            return Answer(Outcome.NONE_FOUND, (), None, bound, self._too_few(most))
        outcome = Outcome.OPTIMAL if best.cost == bound else Outcome.GOOD
        return Answer(outcome, best.puts, best.cost, bound, _method(most))

    def take(self, homes: Sequence[int]) -> None:
        """Take homes of blocks that hold: lay them out, check them, tell the watcher."""
        if not self._holds(homes):
            return
        homes = tuple(homes)
        if any(found.homes == homes for found in self.found):
            return
        puts = lay_few(self.tables, self.fits, homes, self.corners)
        cost = cost_of(self.problem, self.tables.spread(homes))
        answer = Answer(Outcome.GOOD, puts, cost, None, _method(len(puts)))
        wrong = faults(self.problem, answer)
        if wrong:
            raise RuntimeError("the layout found does not hold: " + "; ".join(wrong))
        self.found.append(_Found(count_moves(self.present, puts), cost, homes, puts))

    def take_places(self, places: Sequence[int]) -> None:
        """Take one place for each item, when all rules and fits hold."""
        if len(places) != len(self.problem.items) or not places:
            return
        homes = [places[block[0]] for block in self.tables.blocks]
        if tuple(places) == self.tables.spread(homes):
            self.take(homes)

    def _tell(self, most: int, before: _Found | None) -> None:
        """Let the watcher hear of a better layout within the limit."""
        best = self.best(most)
        if best is not None and (before is None or best.cost < before.cost):
            self.watcher.better_layout(self.answer(most))

    def _holds(self, homes: Sequence[int]) -> bool:
        tables = self.tables
        inside: dict[int, int] = {}
        for block, place in enumerate(homes):
            if not tables.option_set[block] >> place & 1:
                return False
            inside[place] = inside.get(place, 0) | 1 << block
        for place, blocks in inside.items():
            members = [b for b, home in enumerate(homes) if home == place]
            if sum(tables.use[b][place] for b in members) > tables.room[place]:
                return False
            if sum(tables.mass[b] for b in members) > tables.load[place]:
                return False
            if any(self.today.apart[b] & blocks for b in members):
                return False
            if tables.laid[place]:
                verdict = self.fits.decide(place, blocks, work=SOLVER_WORK, stop=self.stop)
                if verdict is not Verdict.FITS:
                    return False
        return True

    def _try_all(self, most: int) -> None:
        before = self.best(most)
        tried = try_all(self.today, self.fits, most, self.stop)
        if tried.homes is None:
            tried_more = fewest_moves(self.today, self.fits, self.stop)
            if tried_more.homes is not None:
                self.take(tried_more.homes)
                if tried_more.sure:
                    self.least = self.today.moved(tried_more.homes)
            return
        self.take(tried.homes)
        if tried.sure:
            self.proved[most] = tried.cost
            self.watcher.better_bound(self.bound(most))
        self._tell(most, before)

    def _find_bound(self, most: int, work: int) -> None:
        """Look for the price of a move with the highest bound, then prove more there."""
        scale = max(1, cost_of(self.problem, self.tables.spread(self.today.homes)))
        low, high = (share * scale for share in _PRICES)
        if most < len(self.problem.items):
            for _ in range(_PROBES):
                price = round((low * high) ** 0.5)
                self._relax(price, 0)
                if self.homes_moved.get(price, 0) > most:
                    low = price
                else:
                    high = price
        self._relax(self._price(most), work, again=True)
        self.watcher.better_bound(self.bound(most))

    def _price(self, most: int) -> int:
        """The price of a move with the highest bound for a limit."""
        return max(self.values, key=lambda price: self.values[price] - price * most)

    def _relax(self, price: int, work: int, *, again: bool = False) -> None:
        if (price in self.homes_moved and not again) or self.stop():
            return
        question = priced(self.problem, self.present, price)
        rounds = work if solver_there() else _PLAIN * (work + 1)
        found = lower_bound(question, stop=self.stop, report=_unheard, work=rounds)
        self.values[price] = max(found.value, self.values.get(price, found.value))
        homes = found.homes or ()
        self.homes_moved[price] = sum(
            old not in (-1, new) for old, new in zip(self.present, homes, strict=False)
        )

    def _repair(self, most: int) -> None:
        """Where nothing within the limit is known: the fewest moves that make the box hold."""
        if self.best(most) is not None or self.stop():
            return
        wishes = list(self.today.homes)
        homes = first_homes(self.tables, self.fits, wishes, self.stop)
        if homes is not None:
            self.take(homes)
        size = len(self.tables.blocks)
        each = max(1.0, cost_of(self.problem, self.tables.spread(wishes)) / 10)
        walk = FewWalk(self.today, self.fits, wishes, len(self.problem.items), self.random)
        heat = Heat(0.5 * each, 0.02 * each, 0.0, each, 2 * each)
        walk.run(heat, _AREA_STEPS * size, self.stop)
        if walk.best is not None:
            self.take(walk.best)
            self._tell(most, None)

    def _walk(self, most: int, effort: Effort) -> None:
        """Walks by area tell what is worth moving; one on true fits makes it hold."""
        before = self.best(most)
        if before is None or self.stop():
            return
        size = len(self.tables.blocks)
        price = float(max(self._price(most), before.cost * _LEAST_HEAT / max(size, 1), 1))
        rough: list[tuple[int, list[int]]] = []
        heat = Heat(1.2 * price, 0.05 * price, 0.2 * price, 0.0, 0.6 * price, rise=20.0)
        for _ in range(_SPREADS[effort]):
            walk = FewWalk(self.today, None, before.homes, most, self.random)
            walk.run(heat, _AREA_STEPS * size, self.stop)
            if walk.best is not None and walk.best_cost < before.cost:
                rough.append((walk.best_cost, walk.best))
        best = FewWalk(self.today, self.fits, before.homes, most, self.random)
        heat = Heat(0.3 * price, 0.03 * price, 0.4 * price, 0.0, 0.5 * price, rise=20.0)
        best.run(heat, 0, self.stop)
        for _, homes in sorted(rough)[:_TRUE_WALKS]:
            walk = FewWalk(self.today, self.fits, homes, most, self.random)
            walk.run(heat, _TRUE_STEPS * size, self.stop)
            if walk.best is not None and walk.best_cost < best.best_cost:
                best = walk
        best.descend(self.stop)
        if best.best is not None:
            self.take(best.best)
        self._tell(most, before)

    def _too_few(self, most: int) -> str:
        known = min((found.moves for found in self.found), default=None)
        limit = f"no layout with at most {_count(most)} was found"
        if known is None:
            return limit + ", and none with more"
        if known == self.least:
            return f"no layout has at most {_count(most)}; the box as it lies needs {known}"
        return f"{limit}; the fewest found that make the box hold are {known}"


def _unheard(bound: int) -> None:
    del bound


def _count(moves: int) -> str:
    return "1 thing moved" if moves == 1 else f"{moves} things moved"


def _method(most: int) -> str:
    return f"walks near today's layout, at most {_count(most)}"
