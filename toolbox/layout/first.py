"""A first layout, fast: what is wanted most takes the cheapest place where it still fits."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import Fits
from toolbox.layout.tables import Tables

_EASY_SHARE = 0.9  # of a laid place's area, in a first spread by area alone
_HOLDS_WORK = 0.05  # deterministic units for a place whose things were there before


def first_homes(
    tables: Tables, fits: Fits, start: Sequence[int], stop: Callable[[], bool]
) -> list[int] | None:
    """Homes of blocks, all of them fitting, or None when something was left over.

    ``start`` gives homes to keep where they fit (-1: none). Two orders are tried: by
    what a block loses in a worse place for the area it takes, then by size alone.
    """
    for order in (_by_loss(tables), _by_size(tables)):
        homes = _fill(tables, fits, order, start, stop)
        if homes is not None or stop():
            return homes
    return None


def holds(tables: Tables, fits: Fits, homes: Sequence[int], stop: Callable[[], bool]) -> bool:
    """True when every block has a home (none is -1) and all of them can be laid there."""
    filling = _Filling(tables, tables.room)
    for block, place in enumerate(homes):
        if place not in tables.options[block] or not filling.takes(block, place):
            return False
        filling.put(block, place)
    return all(
        fits.decide(place, inside, work=_HOLDS_WORK, stop=stop) is Verdict.FITS
        for place, inside in enumerate(filling.inside)
        if inside and tables.laid[place]
    )


def spread_by_area(tables: Tables, start: Sequence[int]) -> list[int] | None:
    """Homes that keep areas, sums and loads but perhaps not the fit; None when not found."""
    room = [
        int(room * _EASY_SHARE) if laid else room
        for room, laid in zip(tables.room, tables.laid, strict=True)
    ]
    for limits in (room, list(tables.room)):
        homes = _Filling(tables, limits)
        if all(homes.add(block, start[block]) for block in _by_size(tables)):
            return homes.home
    return None


def _by_loss(tables: Tables) -> list[int]:
    def loss(block: int) -> float:
        costs = [tables.cost[block][p] for p in tables.options[block]]
        spread = sum(costs) / len(costs) - min(costs)
        return -spread / max(_size(tables, block), 1)

    few = min(len(tables.laid), 3)
    return sorted(
        range(len(tables.blocks)),
        key=lambda b: (len(tables.options[b]) > few, loss(b), b),
    )


def _by_size(tables: Tables) -> list[int]:
    return sorted(range(len(tables.blocks)), key=lambda b: (-_size(tables, b), b))


def _size(tables: Tables, block: int) -> int:
    return sum(a * b for a, b in tables.rectangles[block])


class _Filling:
    """Places being filled, block by block."""

    def __init__(self, tables: Tables, room: Sequence[int], fits: Fits | None = None) -> None:
        self.home = [-1] * len(tables.blocks)
        self._tables, self._room, self._fits = tables, room, fits
        self._used = [0] * len(room)
        self._mass = [0] * len(room)
        self.inside = [0] * len(room)
        self._refused: list[list[tuple[int, int]]] = [[] for _ in room]

    def add(self, block: int, wish: int) -> bool:
        """Put a block into the wished place or the cheapest one where it fits; False if none."""
        row = self._tables.cost[block]
        options = sorted(self._tables.options[block], key=lambda p: (p != wish, row[p], p))
        for place in options:
            if self.takes(block, place):
                self.put(block, place)
                return True
        return False

    def put(self, block: int, place: int) -> None:
        """Put a block into a place that takes it."""
        self.home[block] = place
        self._used[place] += self._tables.use[block][place]
        self._mass[place] += self._tables.mass[block]
        self.inside[place] |= 1 << block

    def takes(self, block: int, place: int) -> bool:
        """True when sums, loads and rivals allow it, and the fit where that is looked at."""
        tables, inside = self._tables, self.inside[place]
        if self._used[place] + tables.use[block][place] > self._room[place]:
            return False
        if self._mass[place] + tables.mass[block] > tables.load[place]:
            return False
        if tables.rivals[place][block] & inside:
            return False
        if self._fits is None or not tables.laid[place]:
            return True
        # what is at least as large as something refused here before would be refused too
        short, long = sorted(max(tables.rectangles[block]))
        refused = self._refused[place]
        if any(short >= a and long >= b for a, b in refused):
            return False
        if self._fits.quickly(place, inside | 1 << block):
            return True
        refused.append((short, long))
        return False


def _fill(
    tables: Tables,
    fits: Fits,
    order: Sequence[int],
    start: Sequence[int],
    stop: Callable[[], bool],
) -> list[int] | None:
    filling = _Filling(tables, tables.room, fits)
    settled = [block for block in order if start[block] >= 0]
    for block in [*settled, *(block for block in order if start[block] < 0)]:
        if stop() or not filling.add(block, start[block]):
            return None
    return filling.home
