"""Every layout with at most so many moves, tried out: for small boxes, with proof."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import prod

from toolbox.layout.exact_lay import SOLVER_WORK, Verdict
from toolbox.layout.fit import Fits
from toolbox.layout.moves_base import Today

WAYS = 200_000  # most combinations of homes that are tried one by one


@dataclass(frozen=True, slots=True)
class Tried:
    """The best homes of blocks (None: there are none); ``sure`` when nothing was left open."""

    homes: tuple[int, ...] | None
    cost: int
    sure: bool


def few_ways(today: Today) -> bool:
    """True when all combinations of homes are few enough to try each."""
    return prod(len(options) for options in today.tables.options) <= WAYS


def try_all(today: Today, fits: Fits, most: int, stop: Callable[[], bool]) -> Tried:
    """The cheapest layout with at most ``most`` moves, by trying all of them.

    A dear choice is left as soon as it cannot become the best any more.
    """
    trial = _Trial(today, fits, most, stop)
    trial.choose(0, 0, 0)
    return Tried(trial.best, trial.best_cost, trial.sure and not trial.over)


def fewest_moves(today: Today, fits: Fits, stop: Callable[[], bool]) -> Tried:
    """The cheapest of the layouts that hold with the least moves."""
    most = sum(max(row) for row in today.weight)
    for moves in range(most + 1):
        tried = try_all(today, fits, moves, stop)
        if tried.homes is not None or not tried.sure:
            return tried
    return Tried(None, 0, True)


class _Trial:
    """Depth-first choice of homes, block by block."""

    def __init__(self, today: Today, fits: Fits, most: int, stop: Callable[[], bool]) -> None:
        tables = today.tables
        self.best: tuple[int, ...] | None = None
        self.best_cost = 0
        self.sure = True
        self.over = False
        self._today, self._tables, self._fits = today, tables, fits
        self._most, self._stop, self._looked = most, stop, 0
        self._home = [0] * len(tables.blocks)
        self._inside = [0] * len(tables.room)
        self._used = [0] * len(tables.room)
        self._mass = [0] * len(tables.room)
        self._paid = [[0] * len(tables.problem.openings) for _ in tables.problem.visits]
        least = [
            min(row[p] for p in options)
            for row, options in zip(tables.cost, tables.options, strict=True)
        ]
        self._rest = [sum(least[n:]) for n in range(len(least) + 1)]

    def choose(self, block: int, cost: int, moves: int) -> None:
        """Try every home of this block and of those after it; ``cost`` and ``moves`` so far."""
        self._looked += 1
        if self._looked % 64 == 0 and self._stop():
            self.over = True
        if self.over:
            return
        if self.best is not None and cost + self._rest[block] >= self.best_cost:
            return
        if block == len(self._home):
            if self._all_fit():
                self.best, self.best_cost = tuple(self._home), cost
            return
        weight = self._today.weight[block]
        for place in self._order(block):
            if moves + weight[place] <= self._most and self._room(block, place):
                dearer = self._put(block, place, 1)
                self.choose(block + 1, cost + dearer, moves + weight[place])
                self._put(block, place, -1)

    def _order(self, block: int) -> Sequence[int]:
        row = self._tables.cost[block]
        return sorted(self._tables.options[block], key=lambda p: (row[p], p))

    def _room(self, block: int, place: int) -> bool:
        tables = self._tables
        return (
            self._used[place] + tables.use[block][place] <= tables.room[place]
            and self._mass[place] + tables.mass[block] <= tables.load[place]
            and not self._today.apart[block] & self._inside[place]
        )

    def _put(self, block: int, place: int, sign: int) -> int:
        """Put a block in (1) or take it out (-1); what that adds to the cost."""
        tables = self._tables
        self._home[block] = place
        self._inside[place] ^= 1 << block
        self._used[place] += sign * tables.use[block][place]
        self._mass[place] += sign * tables.mass[block]
        added = tables.cost[block][place]
        for visit in tables.visits_of[block]:
            price = tables.problem.visits[visit].opening_cost
            for opening in tables.problem.places[place].openings:
                if sign > 0 and not self._paid[visit][opening]:
                    added += price[opening]
                self._paid[visit][opening] += sign
        return added

    def _all_fit(self) -> bool:
        for place, blocks in enumerate(self._inside):
            if blocks and self._tables.laid[place]:
                verdict = self._fits.decide(place, blocks, work=SOLVER_WORK, stop=self._stop)
                if verdict is Verdict.UNKNOWN:
                    self.sure = False
                if verdict is not Verdict.FITS:
                    return False
        return True
