"""The last part of the bound: the relaxed question in whole numbers, by CP-SAT.

Only homes that could still lie in a cheap layout are given to it. A home is left out
when its cost with prices lies so far above its block's cheapest that every layout using
it costs more than ``ceiling``; so the lower of the solver's bound and the ceiling is a
bound for all layouts. CP-SAT proves in whole numbers, so no margin is needed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from toolbox.layout.bound_frame import Frame, Row
from toolbox.layout.bound_prices import SCALE, Valued
from toolbox.layout.solver import run

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    Choice = tuple[tuple[int, int, bool], cp_model.IntVar]  # (block, place, turned), chosen

ABOVE = 50  # the ceiling lies one part in so many above the bound so far


@dataclass(frozen=True, slots=True)
class Whole:
    """What was proved, and the best whole spread found: (place, turned) of each block.

    ``settled``: there is a spread, and none that keeps the rows is cheaper.
    """

    value: int
    spread: tuple[tuple[int, bool], ...] | None
    settled: bool


def whole_bound(
    frame: Frame,
    rows: Sequence[Row],
    valued: Valued,
    report: Callable[[int], None],
    *,
    work: float,
    enough: Callable[[], bool],
) -> Whole:
    """The bound of whole homes that keep the rows, within ``work`` units of the solver."""
    from ortools.sat.python import cp_model

    ceiling = valued.value + valued.value // ABOVE + 1
    model = cp_model.CpModel()
    choices = _choices(model, frame, rows, valued, ceiling)
    _keep_rows(model, frame, rows, choices)
    _count_cost(model, frame, choices)
    solver = cp_model.CpSolver()
    solver.parameters.linearization_level = 2
    solver.parameters.optimize_with_lb_tree_search = True
    best = valued.value

    def higher(bound: float) -> None:
        nonlocal best
        # Costs are whole and below 2 ** 53, so a float is off by far less than this.
        value = min(ceiling, math.floor(bound + 0.001))
        if value > best:
            best = value
            report(value)

    solver.best_bound_callback = higher
    status = run(solver, model, work=work, stop=enough)
    if status == cp_model.INFEASIBLE:
        higher(ceiling)
        return Whole(best, None, False)
    higher(solver.best_objective_bound)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Whole(best, None, False)
    chosen = {b: (p, turned) for (b, p, turned), var in choices if solver.boolean_value(var)}
    spread = tuple(chosen[b] for b in range(len(frame.blocks)))
    return Whole(best, spread, status == cp_model.OPTIMAL and best < ceiling)


def _choices(
    model: cp_model.CpModel, frame: Frame, rows: Sequence[Row], valued: Valued, ceiling: int
) -> list[Choice]:
    """One variable for each home that a layout below the ceiling may use, for each way."""
    turning = {row.place for row in rows if row.plain is not row.turned}
    found: list[Choice] = []
    for b, homes in enumerate(frame.homes):
        line = valued.table[b]
        mine: list[Choice] = []
        for p in homes:
            # Swapping this home for the block's cheapest changes the exact sum by this.
            extra = (line[p] - line[valued.homes[b]]) // SCALE
            plain, turned = frame.turns[b][p]
            if valued.value + extra <= ceiling:
                ways = [False] * plain + [True] * (turned and (p in turning or not plain))
                mine += [((b, p, way), model.new_bool_var("")) for way in ways]
        model.add_exactly_one(var for _, var in mine)
        found += mine
    return found


def _keep_rows(
    model: cp_model.CpModel, frame: Frame, rows: Sequence[Row], choices: list[Choice]
) -> None:
    from ortools.sat.python import cp_model

    at: list[list[Choice]] = [[] for _ in frame.problem.places]
    for choice in choices:
        at[choice[0][1]].append(choice)
    for row in rows:
        weighed = [(var, (row.turned if t else row.plain)[b]) for (b, _, t), var in at[row.place]]
        kept = [(var, weight) for var, weight in weighed if weight]
        if sum(weight for _, weight in kept) > row.limit:
            total = cp_model.LinearExpr.weighted_sum([v for v, _ in kept], [w for _, w in kept])
            model.add(total <= row.limit)


def _count_cost(model: cp_model.CpModel, frame: Frame, choices: list[Choice]) -> None:
    """Minimise pick costs and links; a link is paid when any of its blocks lies behind it."""
    from ortools.sat.python import cp_model

    of_block: list[list[Choice]] = [[] for _ in frame.blocks]
    for choice in choices:
        of_block[choice[0][0]].append(choice)
    variables = [var for _, var in choices]
    costs = [frame.cost[b][p] for (b, p, _), _ in choices]
    for link in frame.links:
        paid = model.new_bool_var("")
        variables.append(paid)
        costs.append(link.cost)
        for b in link.blocks:
            behind = [
                var
                for (_, p, _), var in of_block[b]
                if link.opening in frame.problem.places[p].openings
            ]
            if behind:
                model.add(sum(behind) <= paid)
    model.minimize(cp_model.LinearExpr.weighted_sum(variables, costs))
