"""What the lower bound keeps of the layout question: blocks, homes, rows and links.

A block is one item, or a group of items that must lie together. A row says that
whole-number weights of what lies in one place add up to at most a limit; every
row holds for each layout that keeps all rules, so any price on a row may be used.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from toolbox.kit.box import Inside
from toolbox.layout.problem import Item, LayoutProblem, Place
from toolbox.layout.tables import goes_in, joined_blocks, spread_homes

NEVER = 1 << 80  # a cost above any other: a block that cannot lie there or that way


@dataclass(frozen=True, slots=True)
class Row:
    """Weights of the blocks lying in ``place`` add up to at most ``limit``.

    ``plain`` counts for a block that lies unturned, ``turned`` for one turned by a
    quarter; the same tuple twice where turning makes no difference.
    """

    place: int
    plain: tuple[int, ...]
    turned: tuple[int, ...]
    limit: int


@dataclass(frozen=True, slots=True)
class Link:
    """One opening of one visit: paid (``cost``) once any of ``blocks`` lies behind it."""

    opening: int
    cost: int
    blocks: tuple[int, ...]


@dataclass(frozen=True)
class Frame:
    """The relaxed layout question over blocks.

    ``homes[b]`` are the places that can take block b alone, in rising order;
    ``cost[b][p]`` its pick cost there; ``turns[b][p]`` says whether it fits
    unturned and turned (both False where it is no home).
    """

    problem: LayoutProblem
    blocks: tuple[tuple[int, ...], ...]
    homes: tuple[tuple[int, ...], ...]
    cost: tuple[tuple[int, ...], ...]
    turns: tuple[tuple[tuple[bool, bool], ...], ...]
    links: tuple[Link, ...]

    @cached_property
    def reaches(self) -> tuple[tuple[int, ...], ...]:
        """The different sets of openings before places, in order of first place."""
        return tuple(dict.fromkeys(place.openings for place in self.problem.places))

    @cached_property
    def reach_of(self) -> tuple[int, ...]:
        """Place -> its index in ``reaches``."""
        return tuple(self.reaches.index(place.openings) for place in self.problem.places)

    @cached_property
    def links_of(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """Block -> the links it belongs to: (link, the block's position there)."""
        found: list[list[tuple[int, int]]] = [[] for _ in self.blocks]
        for k, link in enumerate(self.links):
            for position, b in enumerate(link.blocks):
                found[b].append((k, position))
        return tuple(map(tuple, found))

    @cached_property
    def masked(self) -> tuple[tuple[int, ...], ...]:
        """``cost`` with NEVER wherever a block has no home."""
        return tuple(
            tuple(c if any(way) else NEVER for c, way in zip(row, ways, strict=True))
            for row, ways in zip(self.cost, self.turns, strict=True)
        )

    @cached_property
    def impossible(self) -> bool:
        """True when some block has no home at all."""
        return any(not homes for homes in self.homes)

    @cached_property
    def dearest(self) -> int:
        """A cost that no layout exceeds."""
        picks = sum(
            max(row[p] for p in homes) for row, homes in zip(self.cost, self.homes, strict=True)
        )
        return picks + sum(link.cost for link in self.links)

    def spread(self, homes: Iterable[int]) -> tuple[int, ...]:
        """Homes of blocks as homes of items."""
        return spread_homes(self.blocks, homes)


def footprints(item: Item, place: Place, clearance: int) -> Iterator[tuple[bool, int, int]]:
    """(turned, along length, along width) of an item in a laid place, as far as each fits."""
    along, across = item.length + clearance, item.width + clearance
    if item.height > place.depth:
        return
    if along <= place.length and across <= place.width:
        yield False, along, across
    if across <= place.length and along <= place.width:
        yield True, across, along


def fits_alone(item: Item, place: Place, clearance: int) -> tuple[bool, bool]:
    """Whether an item alone fits a place unturned and (laid places only) turned."""
    if place.kind is not Inside.LAID:
        return goes_in(item, place, clearance), False
    if item.mass_g > place.load_g:
        return False, False
    found = {turned for turned, _, _ in footprints(item, place, clearance)}
    return False in found, True in found


def frame_of(problem: LayoutProblem) -> Frame:
    """Blocks, their homes and the visit links of a layout question."""
    blocks = joined_blocks(problem)
    number = {item: b for b, block in enumerate(blocks) for item in block}
    quarrel = _quarrels(problem, number)
    bare = [replace(place, name="", openings=()) for place in problem.places]
    kinds = list(dict.fromkeys(bare))
    kind_of = [kinds.index(place) for place in bare]
    turns = []
    for b, block in enumerate(blocks):
        common = set.intersection(*(set(problem.allowed[i]) for i in block))
        items = [problem.items[i] for i in block]
        if b in quarrel:
            common = set()
        ways = [_block_ways(items, kind, problem.clearance) for kind in kinds]
        turns.append(
            tuple(ways[k] if p in common else (False, False) for p, k in enumerate(kind_of))
        )
    homes = tuple(tuple(p for p, way in enumerate(ways) if any(way)) for ways in turns)
    cost = tuple(
        tuple(map(sum, zip(*(problem.pick_cost[i] for i in block), strict=True)))
        for block in blocks
    )
    return Frame(problem, blocks, homes, cost, tuple(turns), _links(problem, number))


def _quarrels(problem: LayoutProblem, number: dict[int, int]) -> set[int]:
    """Blocks that hold two items which must lie apart."""
    found = set()
    for group in problem.apart:
        members = [number[i] for i in set(group)]
        found |= {b for b in members if members.count(b) > 1}
    return found


def _block_ways(items: list[Item], place: Place, clearance: int) -> tuple[bool, bool]:
    """Whether a block alone fits a place unturned and turned (a group counts as unturned)."""
    ways = [fits_alone(item, place, clearance) for item in items]
    if len(items) == 1:
        return ways[0]
    enough = all(need <= limit for need, limit in _needs(items, place, clearance))
    return enough and all(any(way) for way in ways), False


def _needs(items: list[Item], place: Place, clearance: int) -> list[tuple[int, int]]:
    """What items use of a place's load and of its area, length or room, with the limits."""
    mass = (sum(i.mass_g for i in items), place.load_g)
    if place.kind is Inside.LAID:
        area = sum((i.length + clearance) * (i.width + clearance) for i in items)
        return [mass, (area, place.length * place.width)]
    if place.kind is Inside.ROW:
        return [mass, (sum(i.width + clearance for i in items), place.length)]
    return [mass, (sum(i.length * i.width * i.height for i in items), place.room)]


def _links(problem: LayoutProblem, number: dict[int, int]) -> tuple[Link, ...]:
    """Links of all visits; like blocks and opening are one link with the costs added."""
    merged: dict[tuple[int, tuple[int, ...]], int] = {}
    for visit in problem.visits:
        blocks = tuple(sorted({number[i] for i in visit.items}))
        for opening, cost in enumerate(visit.opening_cost):
            if cost > 0 and blocks:
                merged[opening, blocks] = merged.get((opening, blocks), 0) + cost
    return tuple(Link(o, cost, blocks) for (o, blocks), cost in merged.items())


def base_rows(frame: Frame) -> tuple[Row, ...]:
    """Load, area or length or room of each place, and the groups that lie apart.

    Rows that no choice of blocks can break are left out.
    """
    problem = frame.problem
    kinds: dict[tuple[int, str], tuple[int, ...]] = {}
    usable: dict[tuple[object, ...], int] = {}
    rows = []
    for p, place in enumerate(problem.places):
        for part in range(2):
            key = (part, place.kind.value if part else "load")
            if key not in kinds:
                kinds[key] = tuple(
                    _needs([problem.items[i] for i in block], place, problem.clearance)[part][0]
                    for block in frame.blocks
                )
            limit = _needs([], place, problem.clearance)[part][1]
            if part and place.kind is Inside.LAID:
                limit = _usable(frame, p, usable)
            rows.append(Row(p, kinds[key], kinds[key], limit))
    number = {item: b for b, block in enumerate(frame.blocks) for item in block}
    for group in problem.apart:
        members = {number[i] for i in group}
        weights = tuple(int(b in members) for b in range(len(frame.blocks)))
        rows.extend(Row(p, weights, weights, 1) for p in range(len(problem.places)))
    able: list[list[int]] = [[] for _ in problem.places]
    for b, homes in enumerate(frame.homes):
        for p in homes:
            able[p].append(b)
    return tuple(row for row in rows if sum([row.plain[b] for b in able[row.place]]) > row.limit)


def _usable(frame: Frame, p: int, known: dict[tuple[object, ...], int]) -> int:
    """The area of a laid place that sums of sides can reach.

    Push everything that lies in it towards one corner: then each far edge lies at a sum
    of sides of different items, so nothing lies beyond the greatest such sum.
    """
    place = frame.problem.places[p]
    inside = tuple(b for b, ways in enumerate(frame.turns) if any(ways[p]))
    key = (place.length, place.width, inside)
    if key not in known:
        items = [frame.problem.items[i] for b in inside for i in frame.blocks[b]]
        gap = frame.problem.clearance
        sides = [(item.length + gap, item.width + gap) for item in items]
        known[key] = _farthest(sides, place.length) * _farthest(sides, place.width)
    return known[key]


def _farthest(sides: list[tuple[int, int]], line: int) -> int:
    """The greatest sum of sides, at most one of each pair, that is at most ``line``."""
    sums, kept = 1, (1 << (line + 1)) - 1  # bit n is set when n can be reached
    for one, other in sides:
        sums |= (sums << one | sums << other) & kept
    return sums.bit_length() - 1
