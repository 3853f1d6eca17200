"""Small random boxes, and every layout of a small box tried out (no code of the search).

Nothing of the engine is used here but its value types and what they are said to mean.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import combinations
from random import Random

import numpy as np
from numpy.typing import NDArray

from toolbox.kit.box import Inside
from toolbox.layout.problem import Item, LayoutProblem, Place, Visit

Left = tuple[int, tuple[int, ...]]
"""An item and the places left to it."""


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


class Ways:
    """All ways to give every item of a small box a place, each of them tried.

    A set of items is a whole number, item i being bit i. What fits a place is tried out
    once for each set.
    """

    def __init__(self, problem: LayoutProblem) -> None:
        """Nothing is tried before it is asked for."""
        self.problem = problem
        self._fits: dict[tuple[int, int], bool] = {}

    def best(self) -> int | None:
        """The cost of the cheapest layout; None when there is none."""
        costs = self.costs(self.layouts())
        return int(costs.min()) if len(costs) else None

    def exists(self) -> bool:
        """Whether there is any layout."""
        return len(self.layouts()) > 0

    def holds(self, homes: Sequence[int]) -> bool:
        """Whether one layout keeps everything."""
        return len(self.layouts([homes])) > 0

    def layouts(self, ways: Iterable[Sequence[int]] | None = None) -> NDArray[np.uint8]:
        """Places by item, one line for each layout that keeps everything (of those given)."""
        problem = self.problem
        return self.keeping(
            range(len(problem.items)),
            range(len(problem.places)),
            list(enumerate(problem.allowed)),
            problem.together,
            problem.apart,
            ways,
        )

    def keeping(
        self,
        items: Sequence[int],
        loads: Iterable[int],
        left: Iterable[Left],
        together: Iterable[Sequence[int]],
        apart: Iterable[Sequence[int]],
        ways: Iterable[Sequence[int]] | None = None,
    ) -> NDArray[np.uint8]:
        """Layouts of some items, of which only these rules and loads are asked.

        One line for each, one column for each of ``items``, which stand in rising order.
        """
        homes, sets = _every(len(items), len(self.problem.places))
        if ways is not None:
            homes = np.array([*ways], dtype=np.uint8)
            sets = _sets(homes, len(self.problem.places))
        column = {item: n for n, item in enumerate(items)}
        kept = np.ones(len(homes), dtype=bool)
        for item, places in left:
            if item in column:
                kept &= np.isin(np.arange(len(sets)), places)[homes[:, column[item]]]
        for group, alike in [*((g, True) for g in together), *((g, False) for g in apart)]:
            for one, two in combinations([column[i] for i in set(group) if i in column], 2):
                kept &= (homes[:, one] == homes[:, two]) == alike
        limits = set(loads)
        for p, inside in enumerate(sets):
            good = np.zeros(1 << len(items), dtype=bool)
            for narrow in np.flatnonzero(np.bincount(inside[kept], minlength=1)):
                wide = sum(1 << i for n, i in enumerate(items) if int(narrow) >> n & 1)
                good[narrow] = self.fits(p, wide) and (p not in limits or self._carries(p, wide))
            kept &= good[inside]
        return homes[kept]

    def _carries(self, place: int, inside: int) -> bool:
        things = (item for i, item in enumerate(self.problem.items) if inside >> i & 1)
        return sum(item.mass_g for item in things) <= self.problem.places[place].load_g

    def fits(self, place: int, inside: int) -> bool:
        """Whether a set of items can lie in a place as far as sizes go."""
        key = (place, inside)
        if key not in self._fits:
            alone = [1 << i for i in range(len(self.problem.items)) if inside >> i & 1]
            # what is too much for a place stays so with one thing more
            less = all(self.fits(place, inside ^ one) for one in alone if one != inside)
            things = [item for i, item in enumerate(self.problem.items) if inside >> i & 1]
            shape = self.problem.places[place]
            self._fits[key] = less and _sizes_fit(shape, things, self.problem.clearance)
        return self._fits[key]

    def costs(self, layouts: NDArray[np.uint8]) -> NDArray[np.int64]:
        """What each layout costs a day: picks, and each opening once for each visit."""
        total = np.zeros(len(layouts), dtype=np.int64)
        for i, row in enumerate(self.problem.pick_cost):
            total += np.array(row, dtype=np.int64)[layouts[:, i]]
        for visit in self.problem.visits:
            for o, cost in enumerate(visit.opening_cost):
                behind = np.array([o in place.openings for place in self.problem.places])
                needed = behind[layouts[:, list(visit.items)]].any(axis=1)
                total += cost * needed
        return total


@lru_cache
def _every(items: int, places: int) -> tuple[NDArray[np.uint8], list[NDArray[np.uint16]]]:
    """Every way to give so many items a place: places by item, and the set in each place."""
    shape = (places,) * items
    lines = np.indices(shape, dtype=np.uint8).reshape(items, places**items)
    homes = np.ascontiguousarray(lines.T)
    return homes, _sets(homes, places)


def _sets(homes: NDArray[np.uint8], places: int) -> list[NDArray[np.uint16]]:
    bits = (1 << np.arange(homes.shape[1])).astype(np.uint16)
    return [((homes == p) * bits).sum(axis=1, dtype=np.uint16) for p in range(places)]


def best_by_trying(problem: LayoutProblem) -> int | None:
    """Cost of the best layout by trying every home of every item; None when there is none."""
    return Ways(problem).best()


def _sizes_fit(place: Place, things: list[Item], gap: int) -> bool:
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


def laid_by_cells(length: int, width: int, sides: Sequence[tuple[int, int]]) -> bool:
    """Whether rectangles can be laid on a grid of cells, turning allowed: every way is tried."""
    return _laid(length, width, tuple(sorted((max(s), min(s)) for s in sides)))


@lru_cache(maxsize=100_000)
def _laid(length: int, width: int, sides: tuple[tuple[int, int], ...]) -> bool:
    """The first free cell is the first corner of some rectangle, or it stays empty.

    A set of cells is a whole number, cell (x, y) being bit x * width + y.
    """
    empty = length * width - sum(a * b for a, b in sides)
    tried: set[tuple[int, tuple[tuple[int, int], ...]]] = set()

    def rest(taken: int, left: tuple[tuple[int, int], ...], empty: int) -> bool:
        if not left:
            return True
        if empty < 0 or (taken, left) in tried:
            return False
        tried.add((taken, left))
        cell = (~taken & taken + 1).bit_length() - 1
        x, y = divmod(cell, width)
        for one in dict.fromkeys(reversed(left)):
            at = left.index(one)
            for across, along in dict.fromkeys((one, one[::-1])):
                if x + across > length or y + along > width:
                    continue
                block = sum(((1 << along) - 1) << k * width for k in range(across)) << cell
                if not taken & block and rest(taken | block, left[:at] + left[at + 1 :], empty):
                    return True
        return rest(taken | 1 << cell, left, empty - 1)

    return rest(0, sides, empty)
