"""The search for layouts with few moves, and for bounds on them.

A price on each move turns the limit into an ordinary layout question: the bound of the
priced question, less the price of all moves allowed, lies under every layout within the
limit (Lagrangian relaxation, from memory). Layouts come from trying all ways where they
are few, else from walks that stay near today's box. Only counted work limits the search,
so the same question has the same layouts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from toolbox.layout.bound import lower_bound
from toolbox.layout.checks import reasons_against
from toolbox.layout.draft import Draft
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

_ROUNDS = {Effort.QUICK: 1, Effort.NORMAL: 1, Effort.THOROUGH: 6}
_SPREADS = {
    Effort.QUICK: 1,
    Effort.NORMAL: 2,
    Effort.THOROUGH: 6,
}  # walks in each, one more at first
_AREA_STEPS = 500  # of a walk by area, for each block
_TRUE_STEPS = 200  # of a walk on true fits, for each block
_HEAT = 1.25  # of what a move is about worth
_LEAST_HEAT = 0.02  # of today's cost for each block
_PROOF = {Effort.QUICK: 1, Effort.NORMAL: 2, Effort.THOROUGH: 20}  # rounds of the bound
_PLAIN = 25  # times as many rounds where the solver package is missing: they are short there
_PROBES = (0.9, 1.4, 2.2)  # prices tried, as parts of what a move is about worth


@dataclass(frozen=True, slots=True)
class Found:
    """A verified layout: homes of blocks, puts of items."""

    moves: int
    cost: int
    homes: tuple[int, ...]
    puts: tuple[Put, ...]


class Search:
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
        self.found: list[Found] = []
        self.values: dict[int, int] = {}  # price of a move -> bound of the priced question
        self.single: list[int] = []  # what each block saves at most by one move, best first
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
        draft = Draft(self.tables, self.today.homes)
        options = enumerate(self.tables.options)
        self.single = sorted(
            (max(-draft.dearer(b, p) for p in o) for b, o in options), reverse=True
        )
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
        self._repair(most)
        if most >= len(self.problem.items):  # no limit: any layout will do
            self._take_whole(effort)
        rounds = _ROUNDS[effort] if most < len(self.problem.items) else 0
        made, start = 0, self.best(most)
        self._round(most, start, 1 if rounds else 0)
        self._find_bound(most, _PROOF[effort])
        while made < rounds or (keep_on and not self.stop()):
            self._round(most, start, _SPREADS[effort])
            self._descend(most)
            made, start = made + 1, self.best(most)

    def _take_whole(self, effort: Effort) -> None:
        """Take what a search without any limit on moves finds and proves."""
        whole = solve(self.problem, effort=effort, stop=self.stop, start=self.present)
        self.take_places(tuple(put.place for put in whole.puts))
        if whole.bound is not None:
            self.values[0] = max(self.values[0], whole.bound)

    def best(self, most: int) -> Found | None:
        """The cheapest layout found within a limit; the one with fewer moves among equals."""
        inside = [found for found in self.found if found.moves <= most]
        return min(inside, key=lambda found: (found.cost, found.moves), default=None)

    def bound(self, most: int) -> int:
        """The highest bound proved for a limit."""
        proved = [cost for limit, cost in self.proved.items() if limit >= most]
        return max([*proved, *(value - price * most for price, value in self.values.items())])

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
        self.found.append(Found(count_moves(self.present, puts), cost, homes, puts))

    def take_places(self, places: Sequence[int]) -> None:
        """Take one place for each item, when all rules and fits hold."""
        if len(places) != len(self.problem.items) or not places:
            return
        homes = [places[block[0]] for block in self.tables.blocks]
        if tuple(places) == self.tables.spread(homes):
            self.take(homes)

    def _tell(self, most: int, before: Found | None) -> None:
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
        """Try a few prices of a move, then prove more at the one with the highest bound."""
        if most < len(self.problem.items):
            for share in _PROBES:
                self._relax(round(share * self._worth(most)), 0)
        price = max(self.values, key=lambda price: (self.values[price] - price * most, price))
        self._relax(price, work)
        self.watcher.better_bound(self.bound(most))

    def _worth(self, most: int) -> float:
        """About what one more move is worth: the last of as many single moves, best first."""
        place = min(most, len(self.single)) - 1
        return max(1.0, self.single[max(0, place)]) if self.single else 1.0

    def _relax(self, price: int, work: int) -> None:
        if self.stop():
            return
        question = priced(self.problem, self.present, price)
        rounds = work if solver_there() else _PLAIN * (work + 1)
        found = lower_bound(question, stop=self.stop, report=_unheard, work=rounds)
        self.values[price] = max(found.value, self.values.get(price, found.value))

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

    def _round(self, most: int, start: Found | None, spreads: int) -> None:
        """So many walks from a layout, by area and then on true fits."""
        for _ in range(spreads if start is not None else 0):
            before = self.best(most)
            if self.stop() or before is None or start is None:
                return
            homes = self._walk(most, start, before.cost)
            if homes is not None:
                self.take(homes)
                self._tell(most, before)

    def _walk(self, most: int, start: Found, cost: int) -> list[int] | None:
        """A walk by area tells what is worth moving, one on true fits makes it hold.

        None unless it comes out below ``cost``.
        """
        size = len(self.tables.blocks)
        heat = max(_HEAT * self._worth(most), _LEAST_HEAT * start.cost / max(size, 1), 1.0)
        rough = FewWalk(self.today, None, start.homes, most, self.random)
        hot = Heat(1.2 * heat, 0.05 * heat, 0.2 * heat, 0.0, 0.6 * heat, rise=20.0)
        rough.run(hot, _AREA_STEPS * size, self.stop)
        if rough.best is None or rough.best_cost >= cost:
            return None
        true = FewWalk(self.today, self.fits, rough.best, most, self.random)
        mild = Heat(0.3 * heat, 0.03 * heat, 0.4 * heat, 0.0, 0.5 * heat, rise=20.0)
        true.run(mild, _TRUE_STEPS * size, self.stop)
        return true.best if true.best_cost < cost else None

    def _descend(self, most: int) -> None:
        """Single steps down from the best within the limit."""
        before = self.best(most)
        if before is None or self.stop():
            return
        walk = FewWalk(self.today, self.fits, before.homes, most, self.random)
        walk.descend(self.stop)
        if walk.best is not None:
            self.take(walk.best)
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
