"""The layout checker: reads an answer against its question, sharing nothing with the solver.

It knows only the value types. Every fault is a sentence with names; no fault means
that the layout can be packed as written and that cost and bound are right.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import combinations, pairwise

from toolbox.kit.box import Inside
from toolbox.layout.problem import Answer, Item, LayoutProblem, Place, Put


def faults(problem: LayoutProblem, answer: Answer) -> tuple[str, ...]:
    """Everything that is wrong with an answer, one sentence each; empty when it holds.

    An answer without a layout has no fault as long as it claims no cost.
    """
    if not answer.puts:
        return _empty_answer(problem, answer)
    if len(answer.puts) != len(problem.items):
        return (f"{len(answer.puts)} places are given for {len(problem.items)} things",)
    lost = [
        f"{item.name} has place number {put.place}, which does not exist"
        for item, put in zip(problem.items, answer.puts, strict=True)
        if not 0 <= put.place < len(problem.places)
    ]
    if lost:
        return tuple(lost)
    found = [
        *_rule_faults(problem, answer.puts),
        *_place_faults(problem, answer.puts),
        *_number_faults(problem, answer),
    ]
    return tuple(found)


def _empty_answer(problem: LayoutProblem, answer: Answer) -> tuple[str, ...]:
    if not problem.items and answer.cost == 0:
        return ()
    return () if answer.cost is None else ("a cost is given without a layout",)


def _rule_faults(problem: LayoutProblem, puts: tuple[Put, ...]) -> Iterator[str]:
    names = [item.name for item in problem.items]
    for i, put in enumerate(puts):
        if put.place not in problem.allowed[i]:
            yield f"{names[i]} may not lie in {problem.places[put.place].name}"
    for group in problem.together:
        for a, b in combinations(group, 2):
            if puts[a].place != puts[b].place:
                yield f"{names[a]} and {names[b]} do not lie together"
    for group in problem.apart:
        for a, b in combinations(group, 2):
            if puts[a].place == puts[b].place and a != b:
                place = problem.places[puts[a].place].name
                yield f"{names[a]} and {names[b]} lie together in {place}"


def _place_faults(problem: LayoutProblem, puts: tuple[Put, ...]) -> Iterator[str]:
    inside: dict[int, list[int]] = defaultdict(list)
    for i, put in enumerate(puts):
        inside[put.place].append(i)
    checks = {Inside.LAID: _laid_faults, Inside.ROW: _row_faults, Inside.LOOSE: _loose_faults}
    for p, members in sorted(inside.items()):
        place = problem.places[p]
        grams = sum(problem.items[i].mass_g for i in members)
        if grams > place.load_g:
            yield f"{place.name} carries {grams} g, {grams - place.load_g} g too much"
        things = [(problem.items[i], puts[i]) for i in members]
        yield from checks[place.kind](place, things, problem.clearance)


def _laid_faults(place: Place, things: list[tuple[Item, Put]], clearance: int) -> Iterator[str]:
    areas = []
    for item, put in things:
        across, along = item.length + clearance, item.width + clearance
        if put.turned:
            across, along = along, across
        right, back = put.x + across, put.y + along
        if min(put.x, put.y) < 0 or right > place.length or back > place.width:
            yield f"{item.name} sticks out of {place.name}"
        if item.height > place.depth:
            yield f"{item.name} stands higher than {place.name} is deep"
        areas.append((item.name, put.x, right, put.y, back))
    for one, two in combinations(areas, 2):
        if one[1] < two[2] and two[1] < one[2] and one[3] < two[4] and two[3] < one[4]:
            yield f"{one[0]} and {two[0]} overlap in {place.name}"


def _row_faults(place: Place, things: list[tuple[Item, Put]], clearance: int) -> Iterator[str]:
    for item, put in things:
        if item.length > place.width:
            yield f"{item.name} is longer than the row {place.name} is wide"
        if item.height > place.depth:
            yield f"{item.name} stands higher than {place.name} is deep"
        if put.turned:
            yield f"{item.name} is turned in the row {place.name}"
    total = sum(item.width + clearance for item, _ in things)
    if total > place.length:
        yield f"the row {place.name} is too short by {total - place.length} tenths of a millimetre"
        return
    along = sorted((put.x, put.x + item.width + clearance, item.name) for item, put in things)
    for start, end, name in along:
        if start < 0 or end > place.length:
            yield f"{name} sticks out of {place.name}"
    for (_, end, one), (start, _, two) in pairwise(along):
        if start < end:
            yield f"{one} and {two} overlap in {place.name}"


def _loose_faults(place: Place, things: list[tuple[Item, Put]], clearance: int) -> Iterator[str]:
    del clearance  # things in a bin touch each other
    filled = 0
    for item, _ in things:
        filled += item.length * item.width * item.height
        if item.upright:
            flat = sorted((item.length, item.width))
            base = sorted((place.length, place.width))
            fits = item.height <= place.depth and flat[0] <= base[0] and flat[1] <= base[1]
        else:
            sides = sorted((item.length, item.width, item.height))
            inner = sorted((place.length, place.width, place.depth))
            fits = sides[0] <= inner[0] and sides[1] <= inner[1] and sides[2] <= inner[2]
        if not fits:
            yield f"{item.name} is too big for {place.name}"
    if filled > place.room:
        yield f"{place.name} is overfull"


def _number_faults(problem: LayoutProblem, answer: Answer) -> Iterator[str]:
    real = _day_cost(problem, answer.puts)
    if answer.cost != real:
        yield f"the cost is said to be {answer.cost}, found {real}"
    if answer.bound is not None and answer.bound > real:
        yield f"the bound {answer.bound} lies above the cost {real}"


def _day_cost(problem: LayoutProblem, puts: tuple[Put, ...]) -> int:
    picks = Counter[int]()
    for i, put in enumerate(puts):
        picks[put.place] += problem.pick_cost[i][put.place]
    opened = 0
    for visit in problem.visits:
        for o, cost in enumerate(visit.opening_cost):
            if any(o in problem.places[puts[i].place].openings for i in visit.items):
                opened += cost
    return picks.total() + opened
