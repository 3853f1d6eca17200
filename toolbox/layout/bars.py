"""What stands between a thing and a place: rules, sizes, loads, what lies there already."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

from toolbox.kit.box import Inside
from toolbox.layout.exact_lay import Verdict, corner_lay, too_much
from toolbox.layout.fit import lay
from toolbox.layout.problem import Item, LayoutProblem, Place
from toolbox.layout.rectangles import Rectangle, quick_lay
from toolbox.layout.tables import joined_blocks, room_of, takes

_CORNERS = 3000  # tried for one exact fit without the solver package


class Bar(Enum):
    """A kind of thing that stands in the way."""

    RULE = "a rule"
    TOGETHER = "would leave its company"
    APART = "must not share"
    TOO_LONG = "too long"
    TOO_HIGH = "too high"
    TOO_BULKY = "too bulky"
    TOO_HEAVY = "too heavy"
    OVERLOAD = "load"
    NO_ROOM = "no room"
    NOT_KNOWN = "room not known"


OWN_SIZE = frozenset({Bar.TOO_LONG, Bar.TOO_HIGH, Bar.TOO_BULKY, Bar.TOO_HEAVY})
"""What a thing can't help, whoever leaves the place."""

LASTING = OWN_SIZE | {Bar.RULE, Bar.TOGETHER}
"""What does not go away when something else leaves the place."""


@dataclass(frozen=True, slots=True)
class Hurdle:
    """One thing in the way.

    ``items``: RULE, TOO_...: the movers that it holds back; TOGETHER: what would stay
    behind; APART: what lies there. ``amount`` is how much too much: tenths of a
    millimetre (TOO_LONG, TOO_HIGH), grams (TOO_HEAVY, OVERLOAD), cubic tenths of a
    millimetre (TOO_BULKY), or what the place lacks of area, length or volume (NO_ROOM;
    0 where the sum would do and only the shapes can't be laid).
    """

    bar: Bar
    items: tuple[int, ...] = ()
    amount: int = 0


@dataclass
class Ground:
    """A layout question looked at again and again: who belongs together, what has room.

    ``exact`` fits may be tried corner by corner; after that only quick ways to lay are,
    and what they do not find is not known. ``work`` above 0 lets the solver package help
    with each, for so many deterministic units of about a second: it takes longer than
    that to be loaded. Verdicts are remembered.
    """

    problem: LayoutProblem
    work: float
    exact: int
    blocks: tuple[tuple[int, ...], ...] = field(init=False)
    rivals: tuple[frozenset[int], ...] = field(init=False)
    _rooms: dict[tuple[int, frozenset[int]], Verdict] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.blocks = joined_blocks(self.problem)
        rivals: list[set[int]] = [set() for _ in self.problem.items]
        for group in self.problem.apart:
            for item in group:
                rivals[item] |= set(group) - {item}
        self.rivals = tuple(frozenset(r) for r in rivals)

    def block_of(self, item: int) -> tuple[int, ...]:
        """The item with everything that must lie with it."""
        return next(block for block in self.blocks if item in block)

    def room(self, place: int, items: Iterable[int]) -> Verdict:
        """Whether the items can be laid in a place together, whatever they weigh."""
        key = place, frozenset(items)
        if key not in self._rooms:
            things = [self.problem.items[i] for i in sorted(key[1])]
            shape = replace(self.problem.places[place], load_g=sum(t.mass_g for t in things))
            self._rooms[key] = self._decide(shape, things)
        return self._rooms[key]

    def _decide(self, place: Place, things: list[Item]) -> Verdict:
        clearance = self.problem.clearance
        if place.kind is Inside.LAID:
            sides = [Rectangle(t.length + clearance, t.width + clearance) for t in things]
            if quick_lay(place.length, place.width, sides) is not None and all(
                t.height <= place.depth for t in things
            ):
                return Verdict.FITS
            if too_much(place.length, place.width, sides, True):
                return Verdict.REFUSED
            self.exact -= 1
            if self.exact < 0:
                return Verdict.UNKNOWN
            if not self.work:
                return corner_lay(place.length, place.width, sides, work=_CORNERS).verdict
        return lay(place, things, clearance, work=self.work).verdict

    def overload(self, place: int, items: Iterable[int]) -> int:
        """Grams above the place's load, 0 when it carries them."""
        grams = sum(self.problem.items[i].mass_g for i in items)
        return max(0, grams - self.problem.places[place].load_g)

    def holds(self, place: int, items: Sequence[int]) -> bool:
        """True when the items are proved to fit the place together, in room, load and rules."""
        if any(place not in self.problem.allowed[i] for i in items):
            return False
        if any(self.rivals[i] & set(items) for i in items) or self.overload(place, items):
            return False
        return self.room(place, items) is Verdict.FITS

    def welcomes(self, block: Sequence[int], place: int) -> bool:
        """True when rules and sizes let a block into the place were it empty."""
        if any(place not in self.problem.allowed[i] for i in block):
            return False
        shape, clearance = self.problem.places[place], self.problem.clearance
        return not any(size_hurdles(self.problem.items[i], shape, clearance) for i in block)


def rival_blocks(problem: LayoutProblem, blocks: Sequence[Sequence[int]]) -> tuple[int, ...]:
    """For each block the blocks that rules keep apart from it, as bits (its own for a torn one)."""
    block_of = {item: b for b, block in enumerate(blocks) for item in block}
    found = [0] * len(blocks)
    for group in problem.apart:
        for one in group:
            for two in group:
                if one != two:
                    found[block_of[one]] |= 1 << block_of[two]
    return tuple(found)


def size_hurdles(item: Item, place: Place, clearance: int) -> tuple[tuple[Bar, int], ...]:
    """Why an item does not go into an empty place, with how much too much; () when it does."""
    found = []
    upright = place.kind is not Inside.LOOSE or item.upright
    if upright and item.height > place.depth:
        found.append((Bar.TOO_HIGH, item.height - place.depth))
    sides, room = _sides(item, place, clearance)
    over = max(a - b for a, b in zip(sides, room, strict=True))
    if over > 0:
        found.append((Bar.TOO_LONG, over))
    volume = item.length * item.width * item.height
    if place.kind is Inside.LOOSE and volume > place.room:
        found.append((Bar.TOO_BULKY, volume - place.room))
    if item.mass_g > place.load_g:
        found.append((Bar.TOO_HEAVY, item.mass_g - place.load_g))
    return tuple(found)


def _sides(item: Item, place: Place, clearance: int) -> tuple[list[int], list[int]]:
    """Sides to compare one by one: the item's with what the place offers for them."""
    if place.kind is Inside.LAID:
        footprint = sorted((item.length + clearance, item.width + clearance))
        return footprint, sorted((place.length, place.width))
    if place.kind is Inside.ROW:
        return [item.length, item.width + clearance], [place.width, place.length]
    if item.upright:
        return sorted((item.length, item.width)), sorted((place.length, place.width))
    whole = sorted((item.length, item.width, item.height))
    return whole, sorted((place.length, place.width, place.depth))


def hurdles(
    ground: Ground, homes: Sequence[int], movers: Sequence[int], place: int
) -> tuple[Hurdle, ...]:
    """All that stands in the way of the movers going to a place, everything else staying."""
    problem = ground.problem
    found = _lasting(ground, homes, movers, place)
    there = [i for i, home in enumerate(homes) if home == place and i not in movers]
    rivals = tuple(i for i in there if any(i in ground.rivals[m] for m in movers))
    if rivals:
        found.append(Hurdle(Bar.APART, rivals))
    if any(h.bar in OWN_SIZE for h in found):
        return tuple(found)
    crowd = [*there, *movers]
    over = ground.overload(place, crowd)
    if over:
        found.append(Hurdle(Bar.OVERLOAD, tuple(movers), over))
    shape = problem.places[place]
    need = sum(takes(problem.items[i], shape.kind, problem.clearance) for i in crowd)
    if need > room_of(shape):
        found.append(Hurdle(Bar.NO_ROOM, amount=need - room_of(shape)))
        return tuple(found)
    verdict = ground.room(place, crowd)
    if verdict is not Verdict.FITS:
        known = verdict is Verdict.REFUSED
        found.append(Hurdle(Bar.NO_ROOM if known else Bar.NOT_KNOWN))
    return tuple(found)


def _lasting(
    ground: Ground, homes: Sequence[int], movers: Sequence[int], place: int
) -> list[Hurdle]:
    problem, found = ground.problem, []
    barred = tuple(i for i in movers if place not in problem.allowed[i])
    if barred:
        found.append(Hurdle(Bar.RULE, barred))
    company = {i for m in movers for i in ground.block_of(m)} - set(movers)
    behind = tuple(sorted(i for i in company if homes[i] != place))
    if behind:
        found.append(Hurdle(Bar.TOGETHER, behind))
    for item in movers:
        for bar, over in size_hurdles(
            problem.items[item], problem.places[place], problem.clearance
        ):
            found.append(Hurdle(bar, (item,), over))
    return found
