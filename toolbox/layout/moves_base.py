"""What a search with few moves starts from: today's homes, who counts as moved, what lies there.

A thing has moved when it ends in another place than today. A thing without a place
today has to be put somewhere anyway, so it never counts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, combinations, permutations

from toolbox.kit.box import Inside
from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import Fits
from toolbox.layout.problem import LayoutProblem, Put
from toolbox.layout.rectangles import Rectangle, Spot
from toolbox.layout.solve import lay_out
from toolbox.layout.tables import Tables, bits

Corners = Sequence[Put | None]
_TUCKED = 3  # most newcomers that are tried beside things left where they lie


@dataclass(frozen=True, slots=True)
class Today:
    """Today's box for the search: ``weight[b][p]`` things move when block b lies in place p.

    ``homes[b]`` is where the search begins: today's place, or the cheapest one that
    the rules allow when block b has none (or one that is not allowed). ``apart[b]`` are
    the blocks that must not share a place with block b.
    """

    tables: Tables
    present: tuple[int, ...]
    weight: tuple[tuple[int, ...], ...]
    homes: tuple[int, ...]
    apart: tuple[int, ...]

    def moved(self, homes: Sequence[int]) -> int:
        """How many things change place when the blocks lie there."""
        return sum(row[home] for row, home in zip(self.weight, homes, strict=True))


def today_of(tables: Tables, present: Sequence[int]) -> Today:
    """Today's box as blocks; ``present`` has a place for each item, -1 where it has none."""
    places = range(len(tables.room))
    weight = tuple(
        tuple(sum(present[i] not in (-1, p) for i in block) for p in places)
        for block in tables.blocks
    )
    homes = []
    for b, block in enumerate(tables.blocks):
        known = Counter(present[i] for i in block if present[i] in tables.options[b])
        usual = known.most_common(1)
        homes.append(
            usual[0][0] if usual else min(tables.options[b], key=lambda p: (tables.cost[b][p], p))
        )
    return Today(tables, tuple(present), weight, tuple(homes), _apart(tables))


def _apart(tables: Tables) -> tuple[int, ...]:
    block_of = {item: b for b, block in enumerate(tables.blocks) for item in block}
    found = [0] * len(tables.blocks)
    for group in tables.problem.apart:
        for one, two in permutations(group, 2):
            found[block_of[one]] |= 1 << block_of[two]
    return tuple(found)


def count_moves(present: Sequence[int], puts: Sequence[Put]) -> int:
    """Things that lie elsewhere than today; those without a place today do not count."""
    return sum(old not in (-1, put.place) for old, put in zip(present, puts, strict=True))


def priced(problem: LayoutProblem, present: Sequence[int], price: int) -> LayoutProblem:
    """The same question with a price (µs a day) on each thing that leaves its place."""
    rows = tuple(
        tuple(cost + price * (old not in (-1, p)) for p, cost in enumerate(row))
        for row, old in zip(problem.pick_cost, present, strict=True)
    )
    return replace(problem, pick_cost=rows)


class KeptFits(Fits):
    """Fits that knows what lies where today, and leaves it there where it can.

    A part of what lies in a place today fits it, whatever a method finds; newcomers
    are first tried in the gaps between what stays.
    """

    def __init__(self, tables: Tables, corners: Corners) -> None:
        """Take today's corners of each place, unless they contradict each other."""
        super().__init__(tables)
        self._blocks_of = tables.blocks
        self._rectangles = tables.rectangles
        self._inner = [(place.length, place.width) for place in tables.problem.places]
        self._kept = [_known_corners(tables, corners, p) for p in range(len(tables.room))]
        self._set = [
            sum(
                1 << b
                for b, block in enumerate(tables.blocks)
                if block and all(i in kept for i in block)
            )
            for kept in self._kept
        ]
        self._tucked: dict[tuple[int, int], dict[int, Spot] | None] = {}

    def quickly(self, place: int, blocks: int) -> bool:
        """True when the blocks are part of today's, or a quick way to lay them was found."""
        if blocks & ~self._set[place] == 0 or super().quickly(place, blocks):
            return True
        return self._tuck(place, blocks) is not None

    def decide(
        self, place: int, blocks: int, *, work: float, stop: Callable[[], bool] | None = None
    ) -> Verdict:
        """The exact verdict within ``work`` units, remembered."""
        if self.quickly(place, blocks):
            return Verdict.FITS
        return super().decide(place, blocks, work=work, stop=stop)

    def spots(self, place: int, blocks: int) -> dict[int, Spot]:
        """Item -> spot, what lies there today in its own spot where that can be."""
        kept = self._tuck(place, blocks)
        return super().spots(place, blocks) if kept is None else kept

    def _tuck(self, place: int, blocks: int) -> dict[int, Spot] | None:
        key = (place, blocks)
        if key not in self._tucked:
            self._tucked[key] = self._tuck_in(place, blocks)
        return self._tucked[key]

    def _tuck_in(self, place: int, blocks: int) -> dict[int, Spot] | None:
        """Newcomers laid into the gaps of what stays; None when there are too many or no gap."""
        new = blocks & ~self._set[place]
        stays = [i for b in bits(blocks & self._set[place]) for i in self._blocks_of[b]]
        if new.bit_count() > _TUCKED or (new and not stays):
            return None
        found = {i: self._kept[place][i] for i in stays}
        sides = {
            i: side
            for b in bits(blocks)
            for i, side in zip(self._blocks_of[b], self._rectangles[b], strict=True)
        }
        taken = [_area(found[i], sides[i]) for i in stays]
        coming = [i for b in bits(new) for i in self._blocks_of[b]]
        for item in sorted(coming, key=lambda i: -sides[i][0] * sides[i][1]):
            spot = _gap(self._inner[place], taken, sides[item])
            if spot is None:
                return None
            found[item] = spot
            taken.append(_area(spot, sides[item]))
        return found


_Area = tuple[int, int, int, int]  # left, front, right, back


def _area(spot: Spot, side: Rectangle) -> _Area:
    across, along = (side.width, side.length) if spot.turned else side
    return spot.x, spot.y, spot.x + across, spot.y + along


def _free(inner: tuple[int, int], taken: Sequence[_Area], area: _Area) -> bool:
    left, front, right, back = area
    if left < 0 or front < 0 or right > inner[0] or back > inner[1]:
        return False
    return not any(left < c and a < right and front < d and b < back for a, b, c, d in taken)


def _gap(inner: tuple[int, int], taken: Sequence[_Area], side: Rectangle) -> Spot | None:
    """The first free spot against the sides of what lies already."""
    xs = sorted({0, *(area[2] for area in taken)})
    ys = sorted({0, *(area[3] for area in taken)})
    for turned in (False, True):
        for y in ys:
            for x in xs:
                spot = Spot(x, y, turned)
                if _free(inner, taken, _area(spot, side)):
                    return spot
    return None


def _known_corners(tables: Tables, corners: Corners, place: int) -> dict[int, Spot]:
    """Item -> spot in a laid place today; empty where the spots contradict each other."""
    if not tables.laid[place]:
        return {}
    inner = (tables.problem.places[place].length, tables.problem.places[place].width)
    found: dict[int, Spot] = {}
    taken: list[_Area] = []
    for b, block in enumerate(tables.blocks):
        for item, side in zip(block, tables.rectangles[b], strict=True):
            put = corners[item]
            if put is None or put.place != place:
                continue
            found[item] = Spot(put.x, put.y, put.turned)
            area = _area(found[item], side)
            if not _free(inner, taken, area):
                return {}
            taken.append(area)
    return found


def lay_few(tables: Tables, fits: Fits, homes: Sequence[int], corners: Corners) -> tuple[Put, ...]:
    """Puts of all items; what stays in a row keeps its stretch where that can be."""
    puts = list(lay_out(tables, fits, homes))
    places = tables.problem.places
    for p, place in enumerate(places):
        members = [i for i, put in enumerate(puts) if put.place == p]
        if place.kind is not Inside.ROW or not members:
            continue
        wide = {i: tables.problem.items[i].width + tables.problem.clearance for i in members}
        starts = _row_starts(place.length, wide, corners, p)
        for item, x in starts.items():
            puts[item] = Put(p, x)
    return tuple(puts)


def _row_starts(length: int, wide: dict[int, int], corners: Corners, place: int) -> dict[int, int]:
    """Where each thing of a row starts: as today with newcomers in gaps, else pushed together."""
    stays = {i: put.x for i in wide if (put := corners[i]) is not None and put.place == place}
    found = dict(stays)
    clash = any(
        found[a] < found[b] + wide[b] and found[b] < found[a] + wide[a]
        for a, b in combinations(found, 2)
    )
    outside = any(x < 0 or x + wide[i] > length for i, x in found.items())
    new = sorted((i for i in wide if i not in stays), key=lambda i: -wide[i])
    for item in () if clash or outside else new:
        ends = sorted({0, *(x + wide[i] for i, x in found.items())})
        free = (
            x
            for x in ends
            if x + wide[item] <= length
            and all(x >= y + wide[i] or y >= x + wide[item] for i, y in found.items())
        )
        x = next(free, None)
        if x is None:
            break
        found[item] = x
    if not clash and not outside and len(found) == len(wide):
        return found
    order = [*sorted(stays, key=lambda i: (stays[i], i)), *(i for i in wide if i not in stays)]
    begins = accumulate((wide[i] for i in order), initial=0)
    return dict(zip(order, begins, strict=False))
