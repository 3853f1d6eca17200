"""The layout question laid out for the search: blocks, what each takes up, what each opens.

A block is what must lie together: one item, or a whole group. The search moves
blocks, so rules of that kind cannot be broken. Sets of blocks are whole numbers,
block b being bit b, which makes them quick to join, compare and remember.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from toolbox.kit.box import Inside
from toolbox.layout.exact_lay import too_much
from toolbox.layout.problem import Item, LayoutProblem, Place
from toolbox.layout.rectangles import Rectangle


@dataclass(frozen=True, slots=True)
class Tables:
    """All numbers of a layout question by block and place.

    ``use[b][p]`` of ``room[p]`` is area, stretch of row or volume, by the kind of
    place; ``mass[b]`` of ``load[p]`` grams. ``options[b]`` are the places that may
    and can take block b by itself, ``option_set[b]`` the same as bits. ``rivals[p][b]``
    are the blocks that must not or cannot share place p with it. ``zone[p]`` numbers the different
    sets of openings; ``newly[z][y]`` are the openings of zone y that zone z lacks.
    """

    problem: LayoutProblem
    blocks: tuple[tuple[int, ...], ...]
    options: tuple[tuple[int, ...], ...]
    option_set: tuple[int, ...]
    cost: tuple[tuple[int, ...], ...]
    use: tuple[tuple[int, ...], ...]
    room: tuple[int, ...]
    mass: tuple[int, ...]
    load: tuple[int, ...]
    rivals: tuple[tuple[int, ...], ...]
    laid: tuple[bool, ...]
    zone: tuple[int, ...]
    newly: tuple[tuple[tuple[int, ...], ...], ...]
    visits_of: tuple[tuple[int, ...], ...]
    rectangles: tuple[tuple[Rectangle, ...], ...]

    def spread(self, homes: Iterable[int]) -> tuple[int, ...]:
        """Places of blocks as places of items."""
        return spread_homes(self.blocks, homes)

    def no_larger(self, place: int) -> list[int]:
        """Laid places that hold no more than this one, itself among them."""
        shapes = [sorted((p.length, p.width)) for p in self.problem.places]
        mine = shapes[place]
        return [
            p
            for p, sides in enumerate(shapes)
            if self.laid[p] and sides[0] <= mine[0] and sides[1] <= mine[1]
        ]


def spread_homes(blocks: tuple[tuple[int, ...], ...], homes: Iterable[int]) -> tuple[int, ...]:
    """One home for each block as one home for each item of the blocks."""
    found = [0] * sum(map(len, blocks))
    for block, home in zip(blocks, homes, strict=True):
        for item in block:
            found[item] = home
    return tuple(found)


def bits(blocks: int) -> Iterator[int]:
    """The blocks in a set, in rising order."""
    while blocks:
        lowest = blocks & -blocks
        yield lowest.bit_length() - 1
        blocks ^= lowest


def tables_of(problem: LayoutProblem) -> Tables:
    """Work out the tables of a layout question."""
    blocks = joined_blocks(problem)
    block_of = {item: b for b, block in enumerate(blocks) for item in block}
    footprint = [
        Rectangle(i.length + problem.clearance, i.width + problem.clearance) for i in problem.items
    ]
    places = problem.places
    kinds = {
        kind: [takes(item, kind, problem.clearance) for item in problem.items] for kind in Inside
    }
    zones = tuple(dict.fromkeys(place.openings for place in places))
    nameless = [replace(place, name="", openings=()) for place in places]
    shapes = [nameless.index(place) for place in nameless]
    options = tuple(_options(problem, block, shapes) for block in blocks)
    visits_of: list[list[int]] = [[] for _ in blocks]
    for v, visit in enumerate(problem.visits):
        for b in sorted({block_of[item] for item in visit.items}):
            visits_of[b].append(v)
    return Tables(
        problem=problem,
        blocks=blocks,
        options=options,
        option_set=tuple(sum(1 << p for p in found) for found in options),
        cost=tuple(_row(problem.pick_cost, block) for block in blocks),
        use=tuple(_use(kinds, [place.kind for place in places], block) for block in blocks),
        room=tuple(room_of(place) for place in places),
        mass=tuple(sum(problem.items[i].mass_g for i in block) for block in blocks),
        load=tuple(place.load_g for place in places),
        rivals=_rivals(problem, blocks, block_of, footprint),
        laid=tuple(place.kind is Inside.LAID for place in places),
        zone=tuple(zones.index(place.openings) for place in places),
        newly=tuple(tuple(tuple(o for o in y if o not in z) for y in zones) for z in zones),
        visits_of=tuple(tuple(visits) for visits in visits_of),
        rectangles=tuple(tuple(footprint[i] for i in block) for block in blocks),
    )


def _row(costs: Sequence[Sequence[int]], block: tuple[int, ...]) -> tuple[int, ...]:
    if len(block) == 1:
        return tuple(costs[block[0]])
    return tuple(map(sum, zip(*(costs[i] for i in block), strict=True)))


def _use(
    kinds: dict[Inside, list[int]], places: Sequence[Inside], block: tuple[int, ...]
) -> tuple[int, ...]:
    use = {kind: sum(taken[i] for i in block) for kind, taken in kinds.items()}
    return tuple(use[kind] for kind in places)


def joined_blocks(problem: LayoutProblem) -> tuple[tuple[int, ...], ...]:
    """Items that must lie together, joined over all groups; single items stay alone."""
    leader = list(range(len(problem.items)))

    def first(item: int) -> int:
        while leader[item] != item:
            item = leader[item]
        return item

    for group in problem.together:
        for item in group[1:]:
            one, two = sorted((first(group[0]), first(item)))
            leader[two] = one
    blocks: dict[int, list[int]] = {}
    for item in range(len(problem.items)):
        blocks.setdefault(first(item), []).append(item)
    return tuple(tuple(block) for block in blocks.values())


def takes(item: Item, kind: Inside, clearance: int) -> int:
    """What an item takes up of a place of a kind: area, stretch of row, or volume."""
    if kind is Inside.LAID:
        return (item.length + clearance) * (item.width + clearance)
    if kind is Inside.ROW:
        return item.width + clearance
    return item.length * item.width * item.height


def room_of(place: Place) -> int:
    """What a place has of area, stretch of row, or volume."""
    if place.kind is Inside.LAID:
        return place.length * place.width
    return place.length if place.kind is Inside.ROW else place.room


def goes_in(item: Item, place: Place, clearance: int) -> bool:
    """True when the item by itself fits the place, in size and mass."""
    if item.mass_g > place.load_g or takes(item, place.kind, clearance) > room_of(place):
        return False
    if place.kind is Inside.LAID:
        across, along = item.length + clearance, item.width + clearance
        straight = across <= place.length and along <= place.width
        turned = along <= place.length and across <= place.width
        return item.height <= place.depth and (straight or turned)
    if place.kind is Inside.ROW:
        return item.length <= place.width and item.height <= place.depth
    if item.upright:
        return item.height <= place.depth and _inside(
            (item.length, item.width), (place.length, place.width)
        )
    return _inside((item.length, item.width, item.height), (place.length, place.width, place.depth))


def _inside(sides: tuple[int, ...], room: tuple[int, ...]) -> bool:
    return all(a <= b for a, b in zip(sorted(sides), sorted(room), strict=True))


def _options(
    problem: LayoutProblem, block: tuple[int, ...], shapes: Sequence[int]
) -> tuple[int, ...]:
    left = set.intersection(*(set(problem.allowed[i]) for i in block))
    # a big box has few different compartments: one answer serves all alike
    alike: dict[int, bool] = {}
    for p in left:
        if shapes[p] not in alike:
            alike[shapes[p]] = _block_goes_in(problem, block, problem.places[p])
    return tuple(p for p in sorted(left) if alike[shapes[p]])


def _block_goes_in(problem: LayoutProblem, block: tuple[int, ...], place: Place) -> bool:
    items = [problem.items[i] for i in block]
    clearance = problem.clearance
    if not all(goes_in(item, place, clearance) for item in items):
        return False
    if sum(item.mass_g for item in items) > place.load_g:
        return False
    if sum(takes(item, place.kind, clearance) for item in items) > room_of(place):
        return False
    if place.kind is not Inside.LAID or len(items) == 1:
        return True
    sides = [Rectangle(item.length + clearance, item.width + clearance) for item in items]
    return not too_much(place.length, place.width, sides, True)


def _rivals(
    problem: LayoutProblem,
    blocks: tuple[tuple[int, ...], ...],
    block_of: dict[int, int],
    footprint: list[Rectangle],
) -> tuple[tuple[int, ...], ...]:
    apart = [0] * len(blocks)
    for group in problem.apart:
        for one in group:
            for two in group:
                if one != two:
                    apart[block_of[one]] |= 1 << block_of[two]
    anywhere = tuple(apart)
    shapes: dict[tuple[int, int], tuple[int, ...]] = {}
    found = []
    for place in problem.places:
        if place.kind is not Inside.LAID:
            found.append(anywhere)
            continue
        shape = (place.length, place.width)
        if shape not in shapes:
            shapes[shape] = _too_big_pairs(*shape, footprint, block_of, anywhere)
        found.append(shapes[shape])
    return tuple(found)


def _too_big_pairs(
    length: int,
    width: int,
    footprint: list[Rectangle],
    block_of: dict[int, int],
    rivals: tuple[int, ...],
) -> tuple[int, ...]:
    """Rivals, and the pairs of blocks with two items that cannot lie side by side."""
    grown = list(rivals)
    long, short = max(length, width), min(length, width)
    big: list[int] = []
    for item in sorted(block_of, key=lambda i: (-min(footprint[i]), i)):
        one = footprint[item]
        if max(one) > long or min(one) > short:
            continue
        for other in big:
            two = footprint[other]
            # the others are smaller still: all of them lie beside this one lengthwise
            if min(one) + min(two) <= short:
                break
            if not _side_by_side(long, short, one, two):
                a, b = block_of[item], block_of[other]
                grown[a] |= 1 << b
                grown[b] |= 1 << a
        big.append(item)
    return tuple(grown)


def _side_by_side(length: int, width: int, one: Rectangle, two: Rectangle) -> bool:
    for a, b in (one, one[::-1]):
        for c, d in (two, two[::-1]):
            if a + c <= length and max(b, d) <= width:
                return True
            if b + d <= width and max(a, c) <= length:
                return True
    return False
