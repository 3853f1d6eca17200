"""The reach engine: how long it takes to fetch each thing from each compartment.

The mechanic stands before the middle of the box, the hand ``stand_off`` before its
front, ``hand_beside`` to its own side of the middle (right, or left for a left hand)
and ``hand_height`` above the floor. Getting a thing is reaching to the middle
of its compartment at the rim, grasping it and moving it back to that point; putting
it back is moving it there, putting it in and letting go. Motion times come from the
table in ``motions``; the mechanic's own stopwatch readings replace them.

Which motions count:

| | laid | row | loose |
|---|---|---|---|
| eyes | | | EF |
| reach | B | B | C; D when no side is longer than 25 mm |
| grasp | G1A; G1B when at most 3 mm high | G1C1-3 by thickness | G4A-C by size |
| put in | P1NSE | P1SE | none: it is dropped |

An opening takes a reach (A), a grasp, a move by its travel and a release, once to
open and once to close; a latch a touch and a 10 cm move each time. A tray is lifted
with both hands, half its mass in each, and put back with P1NSE. Anything gripped
below ``bend_below`` takes bending down and standing up each time. Moves are case B.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from math import isqrt, lcm
from types import MappingProxyType

from toolbox.kit.box import Box, Compartment, Inside, Opening, Way
from toolbox.kit.kit import Hand, Readings, Settings
from toolbox.kit.things import Supply, Tool
from toolbox.reach import motions
from toolbox.reach.motions import CENTIMETRE, Motion, Reach

FLAT = 30  # at most this high (tenths of a millimetre) a laid thing is picked from a surface
SMALL = 250
LATCH_TRAVEL = 10 * CENTIMETRE


class Source(Enum):
    """Where a time comes from."""

    MEASURED = "stopwatch"
    TABLE = "motion-time table"
    DEFAULT = "motion-time table, with a mass or size that nobody has said"


@dataclass(frozen=True, slots=True)
class Timed:
    """A time in whole milliseconds and where it comes from.

    ``spread_ms`` is the shortest and the longest reading of a measured time, else
    None; ``motions`` explains a time from the table and is empty for a measured one.
    """

    milliseconds: int
    source: Source
    spread_ms: tuple[int, int] | None = None
    motions: tuple[Motion, ...] = ()


@dataclass(frozen=True, slots=True)
class _Way:
    """Motions out and back from the table: fetch and put back, or open and close."""

    out: tuple[Motion, ...]
    back: tuple[Motion, ...]
    source: Source

    def share_out(self) -> Fraction:
        """The part of the whole that passes before the thing is in the hand."""
        return _total(self.out) / _total((*self.out, *self.back))


@dataclass(frozen=True, slots=True)
class _Stretch:
    """What is the same for every thing in a compartment: the way there, at which height."""

    place: Compartment
    distance: int
    height: int
    reaches: Mapping[Reach, Motion]


@dataclass(frozen=True, slots=True)
class ReachTimes:
    """Times for one box, its settings, its stopwatch readings and what may lie in it.

    Made by ``reach_times``. Each method raises KeyError for an id it does not know.
    """

    box: Box
    settings: Settings
    readings: Mapping[str, tuple[int, ...]]
    things: Mapping[str, Tool | Supply]
    ways: Mapping[str, _Stretch]

    def pick(self, item: str, compartment: str) -> Timed:
        """Fetching a copy from a compartment that stands open, and putting it back.

        A stopwatch reading of the compartment replaces it, for every thing alike.
        """
        return self._timed(compartment, self._fetching(item, compartment))

    def opening(self, opening: str) -> Timed:
        """Opening and closing again, or a tray lifted out and put back."""
        return self._timed(opening, self._passing(opening))

    def in_hand(self, item: str, compartment: str) -> int:
        """Milliseconds from a closed box to the copy in the hand.

        All openings before the compartment, opened, and the fetch. A reading is for
        the way out and back together; its share for the way out is the table's.
        """
        openings = self.ways[compartment].place.openings
        opened = sum(self._out(o, self._passing(o)) for o in openings)
        return opened + self._out(compartment, self._fetching(item, compartment))

    def _timed(self, of: str, way: _Way) -> Timed:
        read = self.readings.get(of)
        if read:
            return Timed(_median(read), Source.MEASURED, (min(read), max(read)))
        both = (*way.out, *way.back)
        return Timed(motions.milliseconds(_total(both)), way.source, None, both)

    def _out(self, of: str, way: _Way) -> int:
        if of in self.readings:
            share = way.share_out() * _median(self.readings[of])
            return int((2 * share + 1) // 2)
        return motions.milliseconds(_total(way.out))

    def _fetching(self, item: str, compartment: str) -> _Way:
        stretch, thing = self.ways[compartment], self.things[item]
        kind, name = stretch.place.kind, stretch.place.name
        grams = 0 if thing.mass is None else thing.mass.grams
        known = thing.mass is not None and thing.size is not None
        out = (
            *((motions.EYE_FOCUS,) if kind is Inside.LOOSE else ()),
            stretch.reaches[_reach_case(thing, kind)],
            _grasp(thing, kind),
            motions.move(stretch.distance, grams, "bring it to the hand's resting point"),
        )
        back = (
            motions.move(stretch.distance, grams, f"move it back to {name}"),
            *_putting_in(kind),
            motions.RL1,
        )
        source = Source.TABLE if known else Source.DEFAULT
        return self._bent(_Way(out, back, source), stretch.height)

    def _passing(self, opening: str) -> _Way:
        passed = next((o for o in self.box.openings if o.id == opening), None)
        if passed is None:
            raise KeyError(opening)
        grip = _grip(self.box, passed)
        distance = _distance(self.box, self.settings, grip)
        in_hand = -(-passed.mass_g // 2) if passed.way is Way.TRAY else passed.mass_g
        to_grip = motions.reach(Reach.A, distance, f"reach to {passed.name}")
        latches = (motions.G5, _latch_move()) * passed.latches
        start = (to_grip, motions.G1A)
        opens, closes = _MOVES[passed.way]
        out = (*latches, *start, motions.move(passed.travel, in_hand, opens), motions.RL1)
        put_back = (motions.P1NSE,) if passed.way is Way.TRAY else ()
        closing = motions.move(passed.travel, in_hand, closes)
        back = (*start, closing, *put_back, motions.RL1, *latches)
        source = Source.TABLE if passed.mass_g else Source.DEFAULT
        return self._bent(_Way(out, back, source), grip[2] // 2 + self.box.stands_at)

    def _bent(self, way: _Way, height: int) -> _Way:
        if height >= self.settings.bend_below:
            return way
        return _Way(
            (motions.BEND, *way.out, motions.ARISE),
            (motions.BEND, *way.back, motions.ARISE),
            way.source,
        )


_MOVES = MappingProxyType(
    {
        Way.LID: ("open it", "close it"),
        Way.TRAY: ("lift it out and set it aside", "lift it back"),
        Way.DRAWER: ("pull it out", "push it in"),
        Way.FLAP: ("open it", "close it"),
    }
)


def reach_times(
    box: Box,
    settings: Settings,
    readings: Iterable[Readings],
    things: Mapping[str, Tool | Supply],
) -> ReachTimes:
    """Times for a box; ``things`` are the copies that may lie in it, by the name of the copy.

    Readings of one opening or compartment are taken together; those of anything
    else are left alone.
    """
    read: dict[str, tuple[int, ...]] = {}
    for reading in readings:
        read[reading.of] = read.get(reading.of, ()) + reading.milliseconds
    measured = {of: times for of, times in read.items() if times}
    ways = {c.id: _stretch(box, settings, c) for c in box.compartments}
    return ReachTimes(box, settings, measured, things, ways)


def _stretch(box: Box, settings: Settings, place: Compartment) -> _Stretch:
    distance = _distance(box, settings, _rim(place))
    words = f"reach to {place.name}"
    return _Stretch(
        place,
        distance,
        box.stands_at + place.position.z + place.inside.height,
        {case: motions.reach(case, distance, words) for case in Reach},
    )


_Point = tuple[int, int, int]  # twice the tenths of a millimetre, so that middles stay whole


def _rim(place: Compartment) -> _Point:
    """The middle of a compartment at its rim."""
    position, inside = place.position, place.inside
    return (
        2 * position.x + inside.length,
        2 * position.y + inside.width,
        2 * (position.z + inside.height),
    )


def _grip(box: Box, opening: Opening) -> _Point:
    """Where the hand takes an opening; openings have no position of their own.

    A lid at the middle of the box's upper front edge; a drawer or flap at the box's
    front, a tray over the middle of what lies behind it, at the highest rim there.
    """
    behind = [_rim(c) for c in box.compartments if opening.id in c.openings]
    if opening.way is Way.LID or not behind:
        return (box.size.length, 0, 2 * box.size.height)
    x = sum(point[0] for point in behind) // len(behind)
    y = sum(point[1] for point in behind) // len(behind) if opening.way is Way.TRAY else 0
    return (x, y, max(point[2] for point in behind))


def _distance(box: Box, settings: Settings, point: _Point) -> int:
    """From the hand's resting point, in a straight line, to the nearest tenth of a millimetre."""
    beside = settings.hand_beside if settings.hand is Hand.RIGHT else -settings.hand_beside
    across = point[0] - box.size.length - 2 * beside
    deep = point[1] + 2 * settings.stand_off
    high = point[2] + 2 * (box.stands_at - settings.hand_height)
    return (isqrt(across**2 + deep**2 + high**2) + 1) // 2


def _reach_case(thing: Tool | Supply, kind: Inside) -> Reach:
    if kind is not Inside.LOOSE:
        return Reach.B
    small = thing.size is not None and max(thing.size) <= SMALL
    return Reach.D if small else Reach.C


def _grasp(thing: Tool | Supply, kind: Inside) -> Motion:
    if thing.size is None:
        return {Inside.LAID: motions.G1A, Inside.ROW: motions.G1C1}.get(kind, motions.G4A)
    if kind is Inside.LAID:
        return motions.G1B if thing.size.height <= FLAT else motions.G1A
    if kind is Inside.ROW:
        thickness = min(thing.size.width, thing.size.height)
        if thickness < 60:
            return motions.G1C3
        return motions.G1C2 if thickness <= 120 else motions.G1C1
    least, _, largest = sorted(thing.size)
    if largest > SMALL:
        return motions.G4A
    tiny = largest < 60 and least < 30
    return motions.G4C if tiny else motions.G4B


def _putting_in(kind: Inside) -> tuple[Motion, ...]:
    # A cut-out takes a tool one way round; a place in a row takes a shaft however it is turned.
    return {Inside.LAID: (motions.P1NSE,), Inside.ROW: (motions.P1SE,)}.get(kind, ())


def _latch_move() -> Motion:
    return motions.move(LATCH_TRAVEL, 0, "work the latch")


def _total(way: Iterable[Motion]) -> Fraction:
    times = [motion.tmu for motion in way]
    # Brought to one denominator once: thousands of picks are added up for one question.
    common = lcm(*(time.denominator for time in times))
    return Fraction(sum(t.numerator * (common // t.denominator) for t in times), common)


def _median(read: tuple[int, ...]) -> int:
    """The middle reading; between two, the mean, rounded half up to a whole millisecond."""
    ordered = sorted(read)
    low, high = ordered[(len(ordered) - 1) // 2], ordered[len(ordered) // 2]
    return (low + high + 1) // 2
