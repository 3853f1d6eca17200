"""The linear relaxation as a model that grows: columns and links come in as prices ask for them.

A column says "this block lies in this place, unturned or turned". The model holds only
columns that some prices have found cheap; the exact bound of its prices (``evaluate``)
looks at all of them, so a column that is missing can never make the bound too high.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from toolbox.layout.bound_frame import Frame, Row
from toolbox.layout.bound_prices import SCALE, Prices, Valued
from toolbox.layout.solver import LOOK

if TYPE_CHECKING:
    from ortools.math_opt.python import mathopt

Column = tuple[int, int, bool]  # block, place, turned

MICRO = 1e6  # the model counts in seconds a day
LARGE = 3500  # columns from which the first-order method is the faster one
ROUGH, FINE = 1e-3, 1e-4  # relative precision asked of the first-order method
IDLE = 6  # solutions a row may go without a price before it is taken out
CHUNK = 500  # columns taken in between two looks at the stop signal


@dataclass(frozen=True, slots=True)
class Relaxed:
    """A solution of the model: its prices, what each block costs at them, its columns."""

    prices: Prices
    block_prices: list[float]
    objective: float
    values: dict[Column, float]


class Master:
    """The model; ``rows`` grows with ``add_rows``, ``columns`` with ``add_columns``."""

    def __init__(self, frame: Frame, rows: Sequence[Row]) -> None:
        from ortools.math_opt.python import mathopt

        self.frame = frame
        self.rows: list[Row] = []
        self.columns: dict[Column, mathopt.Variable] = {}
        self._model = model = mathopt.Model()
        self._limits: list[mathopt.LinearConstraint] = []
        self._base = len(rows)
        self._idle: list[int] = []
        self._columns_at: list[list[Column]] = [[] for _ in frame.problem.places]
        self._rows_at: list[list[int]] = [[] for _ in frame.problem.places]
        self._oriented: set[int] = set()
        self._links_of = frame.links_of
        self._paid: list[mathopt.Variable | None] = [None] * len(frame.links)
        self._shares: list[list[mathopt.LinearConstraint | None]] = [
            [None] * len(link.blocks) for link in frame.links
        ]
        self._homes = [model.add_linear_constraint(lb=1.0, ub=1.0) for _ in frame.blocks]
        for home in self._homes:
            # Lying nowhere costs more than anything, so the model always has a solution.
            nowhere = model.add_variable(lb=0.0)
            model.objective.set_linear_coefficient(nowhere, 100 * (frame.dearest + 1) / MICRO)
            home.set_coefficient(nowhere, 1.0)
        self.add_rows(rows)

    def add_rows(self, rows: Iterable[Row]) -> None:
        """Take in rows; a place's first row that minds turning splits its columns in two."""
        for row in rows:
            limit = self._model.add_linear_constraint(ub=1.0 if row.limit else 0.0)
            number = len(self.rows)
            self.rows.append(row)
            self._limits.append(limit)
            self._idle.append(0)
            self._rows_at[row.place].append(number)
            here = list(self._columns_at[row.place])
            for column in here:
                self._weigh(column, number)
            if row.plain is not row.turned and row.place not in self._oriented:
                self._oriented.add(row.place)
                self.add_columns([(b, p) for b, p, _ in here])

    def drop_idle(self) -> None:
        """Take out rows that have carried no price for IDLE solutions; base rows stay."""
        keep = [n < self._base or idle < IDLE for n, idle in enumerate(self._idle)]
        if all(keep):
            return
        for limit, kept in zip(self._limits, keep, strict=True):
            if not kept:
                self._model.delete_linear_constraint(limit)
        self._limits = [limit for limit, kept in zip(self._limits, keep, strict=True) if kept]
        self._idle = [idle for idle, kept in zip(self._idle, keep, strict=True) if kept]
        self.rows = [row for row, kept in zip(self.rows, keep, strict=True) if kept]
        self._rows_at = [[] for _ in self.frame.problem.places]
        for number, row in enumerate(self.rows):
            self._rows_at[row.place].append(number)

    def add_columns(
        self, homes: Iterable[tuple[int, int]], enough: Callable[[], bool] | None = None
    ) -> int:
        """Take in a block's place, both ways where that matters; returns how many were new."""
        before = len(self.columns)
        for n, (b, p) in enumerate(homes):
            if n % CHUNK == 0 and enough is not None and enough():
                break
            plain, turned = self.frame.turns[b][p]
            if plain:
                self._add((b, p, False))
            if turned and (not plain or p in self._oriented):
                self._add((b, p, True))
        return len(self.columns) - before

    def _add(self, column: Column) -> None:
        if column in self.columns:
            return
        b, p, _ = column
        var = self._model.add_variable(lb=0.0)
        self.columns[column] = var
        self._columns_at[p].append(column)
        self._model.objective.set_linear_coefficient(var, self.frame.cost[b][p] / MICRO)
        self._homes[b].set_coefficient(var, 1.0)
        for number in self._rows_at[p]:
            self._weigh(column, number)
        openings = self.frame.problem.places[p].openings
        for k, position in self._links_of[b]:
            if self.frame.links[k].opening in openings:
                self._share(k, position).set_coefficient(var, 1.0)

    def _weigh(self, column: Column, number: int) -> None:
        b, _, turned = column
        row = self.rows[number]
        weight = (row.turned if turned else row.plain)[b]
        if weight:
            share = weight / max(row.limit, 1)
            self._limits[number].set_coefficient(self.columns[column], share)

    def _share(self, k: int, position: int) -> mathopt.LinearConstraint:
        """The row "if this block lies behind the link's opening, the link is paid"."""
        row = self._shares[k][position]
        if row is None:
            paid = self._paid[k]
            if paid is None:
                paid = self._paid[k] = self._model.add_variable(lb=0.0)
                cost = self.frame.links[k].cost / MICRO
                self._model.objective.set_linear_coefficient(paid, cost)
            row = self._model.add_linear_constraint(ub=0.0)
            row.set_coefficient(paid, -1.0)
            self._shares[k][position] = row
        return row

    def solve(self, enough: Callable[[], bool], precision: float = FINE) -> Relaxed | None:
        """Solve as it stands; None when it was stopped or could not be solved."""
        large = len(self.columns) >= LARGE
        result = self._run(enough, _first_order(precision) if large else _simplex())
        if result is None and not large:
            result = self._run(enough, _first_order(precision))
        if result is None:
            return None
        duals = result.dual_values()
        # Rows are "at most", so the solver's duals are 0 or less.
        rows = [
            max(0.0, -duals[limit] * MICRO / max(row.limit, 1))
            for limit, row in zip(self._limits, self.rows, strict=True)
        ]
        self._idle = [0 if price else n + 1 for price, n in zip(rows, self._idle, strict=True)]
        shares = [
            [0.0 if row is None else max(0.0, -duals[row] * MICRO) for row in parts]
            for parts in self._shares
        ]
        values = result.variable_values() if result.has_primal_feasible_solution() else {}
        return Relaxed(
            Prices(rows, shares),
            [duals[home] * MICRO for home in self._homes],
            result.objective_value() * MICRO,
            {c: values[var] for c, var in self.columns.items() if values.get(var, 0.0) > 1e-7},
        )

    def _run(
        self, enough: Callable[[], bool], way: tuple[mathopt.SolverType, mathopt.SolveParameters]
    ) -> mathopt.SolveResult | None:
        """Solve in a thread of its own, so that ``enough`` can interrupt it.

        None when it was interrupted or no prices came out.
        """
        from ortools.math_opt.python import mathopt
        from ortools.util.python.solve_interrupter import SolveInterrupter

        interrupter = SolveInterrupter()
        found: list[mathopt.SolveResult] = []

        def work() -> None:
            # A solver that breaks is one that found nothing: the bound so far stands.
            with suppress(Exception):
                result = mathopt.solve(self._model, way[0], params=way[1], interrupter=interrupter)
                if result.has_dual_feasible_solution():
                    found.append(result)

        worker = threading.Thread(target=work)
        worker.start()
        while worker.is_alive():
            worker.join(LOOK)
            if enough():
                interrupter.interrupt()
                worker.join()
                return None
        return found[0] if found else None


def _simplex() -> tuple[mathopt.SolverType, mathopt.SolveParameters]:
    from ortools.glop import parameters_pb2
    from ortools.math_opt.python import mathopt

    # Imprecise prices are as good as any: the bound they make is measured exactly.
    own = parameters_pb2.GlopParameters(change_status_to_imprecise=False)
    return mathopt.SolverType.GLOP, mathopt.SolveParameters(glop=own)


def _first_order(precision: float) -> tuple[mathopt.SolverType, mathopt.SolveParameters]:
    from ortools.math_opt.python import mathopt
    from ortools.pdlp import solvers_pb2

    own = solvers_pb2.PrimalDualHybridGradientParams()
    criteria = own.termination_criteria.simple_optimality_criteria
    criteria.eps_optimal_absolute = criteria.eps_optimal_relative = precision
    return mathopt.SolverType.PDLP, mathopt.SolveParameters(pdlp=own)


def hand_out(frame: Frame, relaxed: Relaxed, valued: Valued) -> Prices:
    """Prices with what is left of each link's cost handed to blocks that lack it.

    A block lacks a share where one of its places is cheaper than the model's price for
    the block, mostly because that column is not in the model. Any shares make a valid
    bound; these make a much higher one while columns are missing.
    """
    left = [
        link.cost - sum(parts)
        for link, parts in zip(frame.links, relaxed.prices.shares, strict=True)
    ]
    shares = [list(parts) for parts in relaxed.prices.shares]
    for b, line in enumerate(valued.table):
        lack: dict[int, float] = {}
        for p in frame.homes[b]:
            short = relaxed.block_prices[b] - line[p] / SCALE
            if short > 0:
                reach = frame.reach_of[p]
                lack[reach] = max(lack.get(reach, 0.0), short)
        for reach, short in sorted(lack.items(), key=lambda entry: -entry[1]):
            for k, position in frame.links_of[b]:
                if left[k] > 0 and short > 0 and frame.links[k].opening in frame.reaches[reach]:
                    part = min(left[k], short)
                    shares[k][position] += part
                    left[k] -= part
                    short -= part
    return Prices(relaxed.prices.rows, shares)


def cheap_homes(frame: Frame, relaxed: Relaxed, valued: Valued, each: int) -> list[tuple[int, int]]:
    """Homes cheaper than the model's price for their block, at most ``each`` per block."""
    found = []
    for b, line in enumerate(valued.table):
        limit = int((relaxed.block_prices[b] - 1) * SCALE)
        cheap = sorted((line[p], p) for p in frame.homes[b] if line[p] < limit)
        found += [(b, p) for _, p in cheap[:each]]
    return found
