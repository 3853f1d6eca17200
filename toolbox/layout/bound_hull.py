"""Whole weights that no real filling of a line exceeds and a fractional one does.

Things have a size along one line of a place: its length, its width, its load, its
room. A *pattern* is a choice of things, each block at most once and one way only,
whose sizes add up to at most the line's capacity. ``find_scale`` looks for weights
that are as heavy as possible for a fractional filling while no pattern is heavier
than ``top``; for lengths that is a conservative scale (Fekete and Schepers 2004,
from memory). ``bound_cuts`` says which rows such weights make.

A small linear program over patterns proposes the weights, an exact knapsack over
whole numbers brings the patterns in and measures the final weights. So ``top`` is
exact, whatever the precision of the solver.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import gcd
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np

UNITS = 1500  # steps a line is told apart in; longer lines are rounded (safely)
WEIGHT = 1_000_000  # the whole weight of a full pattern, about
PATTERNS = 150  # patterns brought in before the weights are taken as they are
NEAR = 0.7  # part of the most they could outweigh at which weights are good enough
KEPT = 40  # patterns kept for the next time
GAIN = 1.0005  # a filling must be too heavy by this much to be worth a row


Way = tuple[int, bool]  # block, turned


class Thing(NamedTuple):
    """One way of a block to lie: its size along the line and how much of it is wanted."""

    way: Way
    size: int
    wanted: float


def find_scale(
    things: Sequence[Thing], capacity: int, pool: list[frozenset[Way]]
) -> list[int] | None:
    """Weights of things under which the wanted amounts outweigh one full pattern the most.

    None when parts of patterns, one in all, cover everything wanted. ``pool`` holds
    patterns found earlier on this line to begin with, and takes in the new ones.
    """
    from ortools.linear_solver import pywraplp

    knapsack = Knapsack([(thing.way[0], thing.size) for thing in things], capacity)
    number = {thing.way: k for k, thing in enumerate(things)}
    solver = pywraplp.Solver.CreateSolver("GLOP")
    goal, endless = solver.Objective(), solver.infinity()
    rows = [solver.Constraint(thing.wanted, endless) for thing in things]
    fresh = [[k] for k in range(len(things))]
    fresh += [[number[way] for way in pattern if way in number] for pattern in pool]
    weights: list[int] = []
    for _ in range(PATTERNS):
        for members in fresh:
            filling = solver.NumVar(0.0, endless, "")
            goal.SetCoefficient(filling, 1.0)
            for k in members:
                rows[k].SetCoefficient(filling, 1.0)
        status, needed = solver.Solve(), goal.Value()
        if status != pywraplp.Solver.OPTIMAL or needed <= GAIN:
            return None
        weights = [max(0, int(row.dual_value() * WEIGHT)) for row in rows]
        top, heaviest = knapsack.best(weights)
        heavy = sum([w * thing.wanted for w, thing in zip(weights, things, strict=True)])
        # No weights can outweigh a pattern by more than ``needed``.
        if heavy > top * GAIN and heavy / top - 1 >= NEAR * (needed - 1):
            pool[:] = pool[-KEPT:]
            return weights
        pool.append(frozenset(things[k].way for k in heaviest))
        fresh = [heaviest]
    return None


class Knapsack:
    """Patterns along a line: the heaviest one, exactly, by a table over the used length.

    ``things`` are (block, size). Lengths are measured in their common measure, on a long
    line in several of them, sizes and capacity rounded down. That is safe: whole parts add
    up to at most the whole part of the sum, so every true pattern stays a pattern and
    ``top`` can only be too high.
    """

    def __init__(self, things: Sequence[tuple[int, int]], capacity: int) -> None:
        common = gcd(*(size for _, size in things)) or 1
        unit = common * max(1, -(-(capacity // common) // UNITS))
        self._line = capacity // unit
        self._sizes = [size // unit for _, size in things]
        self._ways: dict[int, list[int]] = {}
        for k, (block, _) in enumerate(things):
            if self._sizes[k] <= self._line:
                self._ways.setdefault(block, []).append(k)

    def best(self, weights: Sequence[int]) -> tuple[int, list[int]]:
        """The greatest weight of a pattern, and its things."""
        table = self._empty()
        steps = []
        for ways in self._ways.values():
            heavy = [k for k in ways if weights[k] > 0]
            if heavy:
                steps.append((heavy, table))
                table = self._with(table, heavy, weights)
        left, value, pattern = self._line, int(table[-1]), []
        for heavy, before in reversed(steps):
            if before[left] != value:
                k = next(k for k in heavy if self._reaches(before, k, left, value - weights[k]))
                pattern.append(k)
                left -= self._sizes[k]
                value -= weights[k]
        return int(table[-1]), pattern

    def lifted(self, weights: Sequence[int]) -> tuple[list[int], int]:
        """Weights raised, one thing after the other, as far as none outweighs ``top``.

        A thing may weigh what ``top`` leaves beside the heaviest pattern of the other
        blocks in the rest of the line. Blocks that have a weight come first.
        """
        raised = list(weights)
        top, _ = self.best(raised)
        known = [b for b, ways in self._ways.items() if any(raised[k] for k in ways)]
        for block in known:
            table = self._empty()
            for other in known:
                if other != block:
                    table = self._with(table, self._ways[other], raised)
            self._raise(table, block, raised, top)
        table = self._empty()
        for block in known + [b for b in self._ways if b not in set(known)]:
            if block not in known:
                self._raise(table, block, raised, top)
            table = self._with(table, self._ways[block], raised)
        return raised, int(table[-1])

    def _empty(self) -> np.ndarray:
        import numpy as np

        return np.zeros(self._line + 1, dtype=np.int64)

    def _reaches(self, table: np.ndarray, k: int, left: int, value: int) -> bool:
        return self._sizes[k] <= left and int(table[left - self._sizes[k]]) == value

    def _raise(self, table: np.ndarray, block: int, weights: list[int], top: int) -> None:
        for k in self._ways[block]:
            weights[k] = max(weights[k], top - int(table[self._line - self._sizes[k]]))

    def _with(self, table: np.ndarray, ways: Sequence[int], weights: Sequence[int]) -> np.ndarray:
        """The table with one more block, which may lie in any one of its ways or stay out."""
        import numpy as np

        grown = table.copy()
        for k in ways:
            if weights[k] > 0:
                tail = grown[self._sizes[k] :]
                np.maximum(tail, table[: len(tail)] + weights[k], out=tail)
        return grown
