"""Small random boxes, and the best layout of each by trying everything (no code of the search)."""

from __future__ import annotations

from itertools import product
from random import Random

from toolbox.kit.box import Inside
from toolbox.layout.problem import Item, LayoutProblem, Place, Visit, cost_of


def random_box(seed: int, most_items: int = 5, most_places: int = 3) -> LayoutProblem:
    """A box of all kinds of places with some rules; about one in five holds no layout."""
    draw = Random(seed)
    items = tuple(_item(draw, n) for n in range(draw.randint(1, most_items)))
    openings = tuple(f"opening {n}" for n in range(draw.randint(1, 3)))
    places = tuple(_place(draw, n, len(openings)) for n in range(draw.randint(1, most_places)))
    everywhere = tuple(range(len(places)))
    allowed = tuple(everywhere if draw.random() < 0.8 else _some(draw, everywhere) for _ in items)
    visits = tuple(
        Visit(
            tuple(draw.randint(0, 30) for _ in openings),
            _some(draw, tuple(range(len(items)))),
        )
        for _ in range(draw.randint(0, 3))
    )
    return LayoutProblem(
        items=items,
        places=places,
        openings=openings,
        clearance=draw.randint(0, 1),
        pick_cost=tuple(tuple(draw.randint(0, 50) for _ in places) for _ in items),
        visits=visits,
        allowed=allowed,
        together=_groups(draw, len(items)),
        apart=_groups(draw, len(items)),
    )


def _item(draw: Random, number: int) -> Item:
    sides = (draw.randint(1, 6), draw.randint(1, 5), draw.randint(1, 4))
    return Item(f"thing {number}", *sides, draw.randint(1, 9), draw.random() < 0.3)


def _place(draw: Random, number: int, openings: int) -> Place:
    kind = draw.choice((Inside.LAID, Inside.LAID, Inside.ROW, Inside.LOOSE))
    length, width, depth = draw.randint(5, 11), draw.randint(4, 9), draw.randint(2, 6)
    return Place(
        f"place {number}",
        kind,
        length,
        width,
        depth,
        draw.randint(8, 40),
        length * width * depth * draw.randint(3, 10) // 10,
        _some(draw, tuple(range(openings))) if draw.random() < 0.8 else (),
    )


def _some(draw: Random, of: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(sorted(draw.sample(of, draw.randint(1, len(of)))))


def _groups(draw: Random, items: int) -> tuple[tuple[int, ...], ...]:
    if items < 2 or draw.random() < 0.6:
        return ()
    return (tuple(draw.sample(range(items), 2)),)


def best_by_trying(problem: LayoutProblem) -> int | None:
    """Cost of the best layout by trying every home of every item; None when there is none."""
    ways = product(*problem.allowed)
    costs = (cost_of(problem, homes) for homes in ways if _holds(problem, homes))
    return min(costs, default=None)


def _holds(problem: LayoutProblem, homes: tuple[int, ...]) -> bool:
    if any(homes[a] != homes[b] for a, b in problem.together):
        return False
    if any(homes[a] == homes[b] for a, b in problem.apart):
        return False
    return all(
        _place_holds(place, [problem.items[i] for i in range(len(homes)) if homes[i] == p], problem)
        for p, place in enumerate(problem.places)
    )


def _place_holds(place: Place, things: list[Item], problem: LayoutProblem) -> bool:
    if not things:
        return True
    gap = problem.clearance
    if sum(t.mass_g for t in things) > place.load_g:
        return False
    if place.kind is Inside.ROW:
        short = all(t.length <= place.width and t.height <= place.depth for t in things)
        return short and sum(t.width + gap for t in things) <= place.length
    if place.kind is Inside.LOOSE:
        volume = sum(t.length * t.width * t.height for t in things)
        return volume <= place.room and all(_goes_in(t, place) for t in things)
    if any(t.height > place.depth for t in things):
        return False
    sides = [(t.length + gap, t.width + gap) for t in things]
    return laid_by_cells(place.length, place.width, sides)


def _goes_in(thing: Item, place: Place) -> bool:
    if thing.upright:
        flat = zip(
            sorted((thing.length, thing.width)), sorted((place.length, place.width)), strict=True
        )
        return thing.height <= place.depth and all(a <= b for a, b in flat)
    sides = sorted((thing.length, thing.width, thing.height))
    inner = sorted((place.length, place.width, place.depth))
    return all(a <= b for a, b in zip(sides, inner, strict=True))


def laid_by_cells(length: int, width: int, sides: list[tuple[int, int]]) -> bool:
    """Whether rectangles can be laid on a grid of cells, turning allowed: every way is tried.

    A set of cells is a whole number, cell (x, y) being bit x * width + y.
    """
    if sum(a * b for a, b in sides) > length * width:
        return False
    choices = []
    for a, b in sorted(sides, key=lambda s: -s[0] * s[1]):
        spots = set()
        for across, along in {(a, b), (b, a)}:
            column = (1 << along) - 1 if along <= width else 0
            block = sum(column << x * width for x in range(across))
            if column:
                spots |= {
                    block << x * width + y
                    for x in range(length - across + 1)
                    for y in range(width - along + 1)
                }
        choices.append(sorted(spots))

    def rest(taken: int, number: int) -> bool:
        if number == len(choices):
            return True
        return any(not taken & s and rest(taken | s, number + 1) for s in choices[number])

    return rest(0, 0)
