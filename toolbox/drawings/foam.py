"""Cut-outs in a foam inlay: each thing's outline with some room, and a place for a finger.

Geometry in whole micrometres, from the back left corner of the compartment, y to the front.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import NamedTuple

from toolbox.drawings.page import MM, Curve, DrawingError, Outline, Point, Rect
from toolbox.drawings.svg import mm

WEB = 1 * MM
"""Foam that a finger's place leaves to the next cut-out at least."""
_KAPPA = 552_285  # millionths: how far out the control points of a quarter circle stand
_STEP = 1 * MM  # a finger's place is moved along by so much when it is in the way
# A corner of the thing still fits a rounded corner of the cut-out while the radius is at
# most 2 + root 2 times the room around the thing; a little less is taken.
_ROUND = 34


@dataclass(frozen=True, slots=True)
class Lain:
    """A thing as it lies in the compartment: where, and how deep it goes."""

    code: str
    name: str
    rect: Rect
    depth: int


@dataclass(frozen=True, slots=True)
class Inlay:
    """What is asked: a compartment with things laid in it, and how they are to be cut out.

    ``clearance`` is left on every side of a thing, ``finger`` is the diameter of the half
    circle beside it (0 for none), ``corner`` the radius wished for at the corners.
    """

    code: str
    name: str
    length: int
    width: int
    things: tuple[Lain, ...]
    clearance: int = 1 * MM
    finger: int = 25 * MM
    corner: int = 0

    @property
    def floor(self) -> Rect:
        """The whole compartment."""
        return Rect(0, 0, self.length, self.width)


class Finger(NamedTuple):
    """A half circle on a side of a cut-out (0 back, 1 right, 2 front, 3 left)."""

    side: int
    centre: Point
    radius: int

    @property
    def box(self) -> Rect:
        """The rectangle that it just fills."""
        (x, y), r = self.centre, self.radius
        return (
            Rect(x - r, y - r, 2 * r, r),
            Rect(x, y - r, r, 2 * r),
            Rect(x - r, y, 2 * r, r),
            Rect(x - r, y - r, r, 2 * r),
        )[self.side]

    def meets(self, rect: Rect) -> bool:
        """Whether any of the half circle, and of the foam left around it, lies in a rectangle."""
        near = self.box.grown(WEB).shared(rect)
        if near is None:
            return False
        x = min(max(self.centre.x, near.x), near.right)
        y = min(max(self.centre.y, near.y), near.bottom)
        return (x - self.centre.x) ** 2 + (y - self.centre.y) ** 2 < (self.radius + WEB) ** 2


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut-out: the thing's outline with the room around it, and the finger's place if any.

    At the compartment's own edge there is no room to leave: the cut-out ends there.
    """

    thing: Lain
    rect: Rect
    finger: Finger | None = None

    def is_open(self, floor: Rect) -> bool:
        """Whether it reaches an edge of the compartment, so that no foam is left there."""
        return not self.rect.within(floor.grown(-1))


def cut_outs(inlay: Inlay) -> tuple[Cut, ...]:
    """The cut-outs of an inlay. DrawingError with every thing that cannot be cut out."""
    faults = tuple(_faults(inlay))
    if faults:
        raise DrawingError(faults)
    cuts = [Cut(thing, _room(inlay, thing)) for thing in inlay.things]
    if inlay.finger:
        for n, cut in enumerate(cuts):
            cuts[n] = replace(cut, finger=_finger(inlay, cuts, n))
    return tuple(cuts)


def thinnest(cuts: Sequence[Cut]) -> tuple[int, Cut, Cut] | None:
    """The thinnest foam left between two cut-outs, and which; None for fewer than two."""
    pairs = ((_apart(a.rect, b.rect), a, b) for a, b in combinations(cuts, 2))
    return min(pairs, key=lambda pair: pair[0], default=None)


def contour(cut: Cut, corner: int, stroke: int = 300) -> Outline:
    """The line to cut along: the outline with its finger's place in one go."""
    r = cut.rect
    corners = (Point(r.x, r.y), Point(r.right, r.y), Point(r.right, r.bottom), Point(r.x, r.bottom))
    radii = _radii(cut, corner)
    start = _along(corners[0], 0, radii[0])
    steps: list[Point | Curve] = []
    for side in range(4):
        if cut.finger is not None and cut.finger.side == side:
            steps += _half_circle(cut.finger)
        end, radius = corners[(side + 1) % 4], radii[(side + 1) % 4]
        steps.append(_along(end, side, -radius))
        if radius:
            steps.append(_rounded(end, side, radius))
    if steps[-1] == start:
        steps.pop()
    return Outline(start, tuple(steps), True, stroke, code=cut.thing.code)


_DIRECTIONS = ((1, 0), (0, 1), (-1, 0), (0, -1))
"""Which way the back, right, front and left side run when one goes round clockwise."""


def _along(point: Point, side: int, far: int, out: int = 0) -> Point:
    """So far along the way a side runs, and so far out of the cut-out on that side."""
    dx, dy = _DIRECTIONS[side]
    return Point(point.x + dx * far + dy * out, point.y + dy * far - dx * out)


def _half_circle(finger: Finger) -> list[Point | Curve]:
    side, centre, r = finger
    k = r * _KAPPA // 1_000_000
    first, top, last = (
        _along(centre, side, -r),
        _along(centre, side, 0, r),
        _along(centre, side, r),
    )
    return [
        first,
        Curve(*_along(first, side, 0, k), *_along(top, side, -k), *top),
        Curve(*_along(top, side, k), *_along(last, side, 0, k), *last),
    ]


def _rounded(corner: Point, side: int, radius: int) -> Curve:
    rest = radius - radius * _KAPPA // 1_000_000
    after = (side + 1) % 4
    return Curve(
        *_along(corner, side, -rest), *_along(corner, after, rest), *_along(corner, after, radius)
    )


def _radii(cut: Cut, corner: int) -> tuple[int, ...]:
    """The radius at each corner: as wished, but the thing's own corner must still fit in."""
    out, own = cut.rect, cut.thing.rect
    left, right = own.x - out.x, out.right - own.right
    back, front = own.y - out.y, out.bottom - own.bottom
    rooms = ((left, back), (right, back), (right, front), (left, front))
    most = min(out.width, out.height) // 2
    return tuple(min(corner, most, min(pair) * _ROUND // 10) for pair in rooms)


def _room(inlay: Inlay, thing: Lain) -> Rect:
    shared = thing.rect.grown(inlay.clearance).shared(inlay.floor)
    assert shared is not None, "what lies outside was refused before"
    return shared


def _faults(inlay: Inlay) -> Iterator[str]:
    for thing in inlay.things:
        if not thing.rect.within(inlay.floor):
            yield f"{thing.name} reaches out of {inlay.name}"
    for a, b in combinations(inlay.things, 2):
        apart = _apart(a.rect, b.rect)
        if apart < 0:
            yield f"{a.name} and {b.name} lie over each other in {inlay.name}"
        elif apart <= 2 * inlay.clearance:
            yield (
                f"{a.name} and {b.name} lie {mm(apart)} mm apart in {inlay.name}: with "
                f"{mm(inlay.clearance)} mm of room around each no foam is left between them"
            )


def _apart(a: Rect, b: Rect) -> int:
    """How far two rectangles lie apart in the direction in which they do; below 0 overlapping."""
    across = max(b.x - a.right, a.x - b.right)
    down = max(b.y - a.bottom, a.y - b.bottom)
    return max(across, down)


def _finger(inlay: Inlay, cuts: Sequence[Cut], number: int) -> Finger | None:
    """The free place for a finger nearest the middle of a long side; None when there is none."""
    cut = cuts[number]
    others = [one.rect for n, one in enumerate(cuts) if n != number]
    others += [one.finger.box for one in cuts if one.finger is not None]
    for finger in _places(cut, inlay):
        if finger.box.within(inlay.floor) and not any(finger.meets(rect) for rect in others):
            return finger
    return None


def _places(cut: Cut, inlay: Inlay) -> Iterator[Finger]:
    rect, radius = cut.rect, inlay.finger // 2
    lying = rect.width >= rect.height
    # The front before the back and the right before the left: nearer to most hands.
    sides = (2, 0) if lying else (1, 3)
    rest = max(rect.width, rect.height) // 2 - radius - max(_radii(cut, inlay.corner))
    middle = Point(rect.x + rect.width // 2, rect.y + rect.height // 2)
    lines = {0: rect.y, 1: rect.right, 2: rect.bottom, 3: rect.x}
    for far in range(0, rest + 1, _STEP):
        for side in sides:
            for off in (far, -far) if far else (0,):
                at = lines[side]
                centre = Point(middle.x + off, at) if lying else Point(at, middle.y + off)
                yield Finger(side, centre, radius)
