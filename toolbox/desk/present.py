"""Checking the box as it lies today, as far as the mechanic has said where things are."""

from __future__ import annotations

from toolbox.desk.question import Question
from toolbox.kit.box import Inside
from toolbox.kit.layouts import Layout, Spot
from toolbox.layout.problem import Answer, LayoutProblem, Outcome, Put, Visit, cost_of
from toolbox.layout.verify import faults


def check_layout(question: Question, layout: Layout) -> tuple[str, ...]:
    """Where a layout does not fit or breaks a rule, in words; () when all is well.

    Only what is placed is checked; in a laid compartment or a row only what has
    a corner too, because two things without a corner cannot be said to overlap.
    """
    problem = question.problem
    number = {compartment: n for n, compartment in enumerate(question.compartments)}
    spots = {spot.item: spot for spot in layout.spots}
    kept: list[int] = []
    puts: list[Put] = []
    for n, copy in enumerate(question.copies):
        spot = spots.get(copy)
        if spot is None or spot.compartment not in number:
            continue
        place = number[spot.compartment]
        put = _put(spot, place, problem.places[place].kind)
        if put is not None:
            kept.append(n)
            puts.append(put)
    part = restrict(problem, kept)
    cost = cost_of(part, tuple(put.place for put in puts))
    return faults(part, Answer(Outcome.GOOD, tuple(puts), cost, None, "today's layout"))


def restrict(problem: LayoutProblem, kept: list[int]) -> LayoutProblem:
    """The same problem with only these items, in this order."""
    again = {old: new for new, old in enumerate(kept)}

    def only(group: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(again[i] for i in group if i in again)

    return LayoutProblem(
        items=tuple(problem.items[i] for i in kept),
        places=problem.places,
        openings=problem.openings,
        clearance=problem.clearance,
        pick_cost=tuple(problem.pick_cost[i] for i in kept),
        visits=tuple(Visit(v.opening_cost, only(v.items)) for v in problem.visits),
        allowed=tuple(problem.allowed[i] for i in kept),
        together=tuple(g for g in map(only, problem.together) if len(g) > 1),
        apart=tuple(g for g in map(only, problem.apart) if len(g) > 1),
    )


def _put(spot: Spot, place: int, kind: Inside) -> Put | None:
    if kind is Inside.LOOSE:
        return Put(place)
    if spot.x is None:
        return None
    if kind is Inside.ROW:
        return Put(place, spot.x)
    return None if spot.y is None else Put(place, spot.x, spot.y, spot.turned)
