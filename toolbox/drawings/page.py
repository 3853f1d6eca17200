"""What a drawing is made of: pages, outlines, words and filled squares, as frozen values.

All measures are whole micrometres, one to one: a millimetre on the page is a millimetre of
the box. The origin is the top left corner of the page, x to the right, y down.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import NamedTuple

MM = 1000
TENTH = 100
"""Micrometres in a millimetre, and in the tenths of a millimetre that the kit is measured in."""

MARK = "toolbox-sheet"
"""The word by which a file says that it is a sheet of this program, before the sheet's mark."""


class DrawingError(Exception):
    """What cannot be drawn; ``reasons`` are sentences without a full stop, all of them."""

    def __init__(self, reasons: Iterable[str]) -> None:
        self.reasons = tuple(reasons)
        super().__init__("; ".join(self.reasons))


class Point(NamedTuple):
    """A point of the page; as a step of an outline: straight there."""

    x: int
    y: int


class Curve(NamedTuple):
    """A step of an outline: to x, y along a cubic curve with these two control points."""

    x1: int
    y1: int
    x2: int
    y2: int
    x: int
    y: int


class Rect(NamedTuple):
    """A rectangle: its corner nearest the top left, its width and its height."""

    x: int
    y: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """Its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """Its lower edge."""
        return self.y + self.height

    def grown(self, by: int) -> Rect:
        """Larger by so much on every side; smaller for less than nothing."""
        return Rect(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def within(self, other: Rect) -> bool:
        """Whether nothing of it lies outside the other."""
        return (
            self.x >= other.x
            and self.y >= other.y
            and self.right <= other.right
            and self.bottom <= other.bottom
        )

    def shared(self, other: Rect) -> Rect | None:
        """What both cover; None when they at most touch."""
        x, y = max(self.x, other.x), max(self.y, other.y)
        right, bottom = min(self.right, other.right), min(self.bottom, other.bottom)
        return Rect(x, y, right - x, bottom - y) if right > x and bottom > y else None


class Anchor(Enum):
    """Which point of the words stands at their x."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Outline:
    """A line through points, closed or open. ``code`` says what it is the outline of.

    ``stroke`` is how thick it is drawn, 0 for no line; ``filled`` makes it white inside,
    so that it covers what was drawn before.
    """

    start: Point
    steps: tuple[Point | Curve, ...]
    closed: bool = True
    stroke: int = 200
    dashed: bool = False
    filled: bool = False
    code: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text. x and y are the anchor on its base line; ``size`` that of its letters.

    ``turned`` words run upwards, a quarter turn to the left about the anchor.
    """

    x: int
    y: int
    size: int
    text: str
    anchor: Anchor = Anchor.START
    strong: bool = False
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Squares:
    """Rectangles filled with black, as of a QR code."""

    rects: tuple[Rect, ...]


@dataclass(frozen=True, slots=True)
class Window:
    """A rectangle of the page in which these marks are seen, and nothing of them outside it."""

    rect: Rect
    marks: tuple[Mark, ...]


Mark = Outline | Words | Squares | Window


@dataclass(frozen=True, slots=True)
class Page:
    """One page. ``mark`` is that of the sheet it belongs to: without blanks, see ``MARK``."""

    width: int
    height: int
    title: str
    mark: str
    marks: tuple[Mark, ...]


def rectangle(
    rect: Rect, stroke: int = 200, *, filled: bool = False, dashed: bool = False, code: str = ""
) -> Outline:
    """The outline of a rectangle."""
    corners = (
        Point(rect.right, rect.y),
        Point(rect.right, rect.bottom),
        Point(rect.x, rect.bottom),
    )
    start = Point(rect.x, rect.y)
    return Outline(start, corners, True, stroke, dashed, filled, code)


def line(start: Point, end: Point, stroke: int = 200, *, dashed: bool = False) -> Outline:
    """A straight line."""
    return Outline(start, (end,), False, stroke, dashed)


def shifted(mark: Mark, dx: int, dy: int) -> Mark:
    """The same mark so much further to the right and down."""
    match mark:
        case Outline():
            start = Point(mark.start.x + dx, mark.start.y + dy)
            return replace(mark, start=start, steps=tuple(_step(s, dx, dy) for s in mark.steps))
        case Words():
            return replace(mark, x=mark.x + dx, y=mark.y + dy)
        case Squares():
            return Squares(tuple(_rect(rect, dx, dy) for rect in mark.rects))
        case Window():
            marks = tuple(shifted(one, dx, dy) for one in mark.marks)
            return Window(_rect(mark.rect, dx, dy), marks)


def _step(step: Point | Curve, dx: int, dy: int) -> Point | Curve:
    if isinstance(step, Point):
        return Point(step.x + dx, step.y + dy)
    x1, y1, x2, y2, x, y = step
    return Curve(x1 + dx, y1 + dy, x2 + dx, y2 + dy, x + dx, y + dy)


def _rect(rect: Rect, dx: int, dy: int) -> Rect:
    return Rect(rect.x + dx, rect.y + dy, rect.width, rect.height)
