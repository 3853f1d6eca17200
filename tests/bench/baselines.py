"""What a layout is measured against: a greedy by index and the plain one-model formulation."""

from __future__ import annotations

import time

from toolbox.kit.box import Inside
from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import lay
from toolbox.layout.problem import LayoutProblem, Place, cost_of


def greedy_by_index(problem: LayoutProblem) -> int | None:
    """Cost of filling the quickest place first with the things most wanted for their room.

    The classic order by cube-per-order index (J. L. Heskett, 1963): need of room over
    uses; each thing goes into the cheapest place that takes it by the exact fit. None
    when something finds no place.
    """
    homes = [-1] * len(problem.items)
    inside: list[list[int]] = [[] for _ in problem.places]
    for item in sorted(range(len(problem.items)), key=lambda i: _index(problem, i)):
        for place in sorted(problem.allowed[item], key=lambda p: (_alone(problem, item, p), p)):
            things = [problem.items[i] for i in (*inside[place], item)]
            fits = lay(problem.places[place], things, problem.clearance, work=0.2)
            if fits.verdict is Verdict.FITS:
                inside[place].append(item)
                homes[item] = place
                break
        else:
            return None
    return cost_of(problem, tuple(homes))


def _index(problem: LayoutProblem, item: int) -> float:
    thing = problem.items[item]
    row = problem.pick_cost[item]
    wanted = max(row) - min(row)
    return (thing.length + problem.clearance) * (thing.width + problem.clearance) / (wanted + 1)


def _alone(problem: LayoutProblem, item: int, place: int) -> int:
    opened = sum(
        visit.opening_cost[o]
        for visit in problem.visits
        if item in visit.items
        for o in problem.places[place].openings
    )
    return problem.pick_cost[item][place] + opened


def plain_model(problem: LayoutProblem, seconds: float) -> tuple[int | None, float]:
    """Cost found by one model with optional rectangles in so many seconds, and its bound."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    there = [
        {p: model.new_bool_var("") for p in problem.allowed[i]} for i in range(len(problem.items))
    ]
    for places in there:
        model.add_exactly_one(places.values())
    for number, place in enumerate(problem.places):
        _hold(model, problem, number, place, there)
    cost = [
        problem.pick_cost[i][p] * x for i, places in enumerate(there) for p, x in places.items()
    ]
    for visit in problem.visits:
        for opening, dear in enumerate(visit.opening_cost):
            opened = model.new_bool_var("")
            for i in visit.items:
                for p, x in there[i].items():
                    if opening in problem.places[p].openings:
                        model.add_implication(x, opened)
            cost.append(dear * opened)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return (round(solver.objective_value) if found else None), solver.best_objective_bound


def _hold(model, problem: LayoutProblem, number: int, place: Place, there) -> None:  # type: ignore[no-untyped-def]
    here = [
        (problem.items[i], places[number]) for i, places in enumerate(there) if number in places
    ]
    model.add(sum(item.mass_g * x for item, x in here) <= place.load_g)
    if place.kind is Inside.LOOSE:
        volumes = (item.length * item.width * item.height // 1000 * x for item, x in here)
        model.add(sum(volumes) <= place.room // 1000)
        for item, x in here:
            sides = sorted((item.length, item.width, item.height))
            if any(
                a > b
                for a, b in zip(
                    sides, sorted((place.length, place.width, place.depth)), strict=True
                )
            ):
                model.add(x == 0)
        return
    across, along = [], []
    for item, x in here:
        length, width = item.length + problem.clearance, item.width + problem.clearance
        if item.height > place.depth:
            model.add(x == 0)
            continue
        for sides in {(length, width), (width, length)}:
            if sides[0] > place.length or sides[1] > place.width:
                continue
            way = model.new_bool_var("")
            model.add_implication(way, x)
            across.append((way, x, sides))
            left = model.new_int_var(0, place.length - sides[0], "")
            low = model.new_int_var(0, place.width - sides[1], "")
            along.append(
                (
                    model.new_optional_fixed_size_interval_var(left, sides[0], way, ""),
                    model.new_optional_fixed_size_interval_var(low, sides[1], way, ""),
                )
            )
    for _, x in here:
        ways = [way for way, of, _ in across if of is x]
        model.add(sum(ways) == x)
    model.add_no_overlap_2d([a for a, _ in along], [b for _, b in along])


def timed(work, *arguments):  # type: ignore[no-untyped-def]
    """The result of a call and the seconds it took."""
    began = time.monotonic()
    result = work(*arguments)
    return result, time.monotonic() - began
