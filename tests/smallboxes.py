"""Small random boxes, and their best layout by plain enumeration, sharing no code with the engine.

The enumeration tries every spread of the items over the places and, in laid places,
every corner a packing pushed towards the origin can have (sums of sides). Computed here.
"""

from __future__ import annotations

import itertools
import random

from toolbox.kit.box import Inside
from toolbox.layout.problem import Item, LayoutProblem, Place, Visit, cost_of


def packs(length: int, width: int, sides: list[tuple[int, int]]) -> bool:
    """Whether rectangles fit with quarter turns: every pushed-down corner is tried."""

    def corners(limit: int, used: list[tuple[int, int]]) -> set[int]:
        sums = {0}
        for pair in used:
            sums |= {s + side for s in sums for side in pair if s + side < limit}
        return sums

    def go(rest: list[tuple[int, int]], laid: list[tuple[int, int, int, int]]) -> bool:
        if not rest:
            return True
        for a, b in {rest[0], rest[0][::-1]}:
            for x in xs:
                for y in ys:
                    if (
                        x + a <= length
                        and y + b <= width
                        and not any(
                            x < c and p < x + a and y < d and q < y + b for p, q, c, d in laid
                        )
                    ) and go(rest[1:], [*laid, (x, y, x + a, y + b)]):
                        return True
        return False

    if sum(a * b for a, b in sides) > length * width:
        return False
    xs, ys = sorted(corners(length, sides)), sorted(corners(width, sides))
    return go(sorted(sides, key=lambda s: -s[0] * s[1]), [])


def holds(place: Place, items: list[Item], gap: int) -> bool:
    """Whether a place takes items together, by the words of the value types."""
    if sum(i.mass_g for i in items) > place.load_g:
        return False
    if place.kind is Inside.LAID:
        if any(i.height > place.depth for i in items):
            return False
        return packs(place.length, place.width, [(i.length + gap, i.width + gap) for i in items])
    if place.kind is Inside.ROW:
        if any(i.length > place.width or i.height > place.depth for i in items):
            return False
        return sum(i.width + gap for i in items) <= place.length
    if sum(i.length * i.width * i.height for i in items) > place.room:
        return False
    inside = (place.length, place.width, place.depth)
    for item in items:
        turns = (
            [(item.length, item.width, item.height), (item.width, item.length, item.height)]
            if item.upright
            else itertools.permutations((item.length, item.width, item.height))
        )
        if not any(all(a <= b for a, b in zip(turn, inside, strict=True)) for turn in turns):
            return False
    return True


def cheapest(problem: LayoutProblem) -> int | None:
    """The least cost of any layout, None when there is none."""
    known: dict[tuple[int, tuple[int, ...]], bool] = {}
    best: int | None = None
    for homes in itertools.product(*problem.allowed):
        if any(len({homes[i] for i in g}) > 1 for g in problem.together):
            continue
        if any(len({homes[i] for i in g}) < len(g) for g in problem.apart):
            continue
        cost = cost_of(problem, homes)
        if best is not None and cost >= best:
            continue
        for p, place in enumerate(problem.places):
            inside = tuple(i for i, home in enumerate(homes) if home == p)
            if (p, inside) not in known:
                known[p, inside] = holds(
                    place, [problem.items[i] for i in inside], problem.clearance
                )
            if not known[p, inside]:
                break
        else:
            best = cost
    return best


def small_box(seed: int) -> LayoutProblem:
    """A random box of at most 4 places and 7 items, tight enough for fits to matter."""
    draw = random.Random(seed)
    count, places_count, openings = draw.randint(2, 7), draw.randint(2, 4), draw.randint(1, 3)
    if places_count == 4:
        count = min(count, 6)
    items = tuple(
        Item(
            f"tool {i}",
            draw.randint(2, 7),
            draw.randint(1, 5),
            draw.randint(1, 4),
            draw.randint(1, 9),
            draw.random() < 0.2,
        )
        for i in range(count)
    )
    kinds = [draw.choice([Inside.LAID, Inside.LAID, Inside.ROW, Inside.LOOSE]) for _ in "1234"]
    shape = (draw.randint(5, 10), draw.randint(4, 9), draw.randint(2, 5))
    places = []
    for p in range(places_count):
        if draw.random() < 0.5:
            shape = (draw.randint(5, 10), draw.randint(4, 9), draw.randint(2, 5))
        room = shape[0] * shape[1] * shape[2] * draw.randint(30, 80) // 100
        reach = tuple(o for o in range(openings) if draw.random() < 0.5)
        load = draw.choice([10, 20, 1000])
        places.append(Place(f"place {p}", kinds[p], *shape, load, room, reach))
    visits = tuple(
        Visit(
            tuple(draw.randint(0, 40) for _ in range(openings)),
            tuple(sorted(draw.sample(range(count), draw.randint(1, count)))),
        )
        for _ in range(draw.randint(0, 4))
    )
    allowed = tuple(
        tuple(p for p in range(places_count) if draw.random() < 0.9) or (0,) for _ in items
    )

    def group() -> tuple[tuple[int, ...], ...]:
        if count < 3 or draw.random() < 0.6:
            return ()
        return (tuple(draw.sample(range(count), draw.randint(2, 3))),)

    cost = tuple(tuple(draw.randint(0, 60) for _ in places) for _ in items)
    gap = draw.randint(0, 1)
    names = tuple(f"opening {o}" for o in range(openings))
    return LayoutProblem(items, tuple(places), names, gap, cost, visits, allowed, group(), group())
