"""A drawing of any size as pages: one page as large as it is, or cut up onto sheets of paper.

Every page bears a bar of 100 mm to hold a ruler against. Sheets that lie side by side share
a strip, with dashed lines where the neighbour begins and crosses that must lie on each other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from toolbox.drawings.lettering import LEADING, Fitted, fit
from toolbox.drawings.page import (
    MM,
    TENTH,
    Anchor,
    Mark,
    Page,
    Point,
    Rect,
    Window,
    Words,
    line,
    shifted,
)
from toolbox.kit.paper import SIDES, Paper

MARGIN = 10 * MM
"""Left free on all sides: many printers cannot print nearer to the edge."""
OVERLAP = 10 * MM
"""The strip that two sheets beside each other share."""
BAR = 100 * MM
FOOT = 15 * MM
"""The height of the bar and the words at the foot of every page."""
TRUE_SIZE = "Print at 100 %. This bar is 100 mm long."
_TITLE = 60 * MM  # at least left for the title beside the bar
_SMALL = 2600
_TICK = 2 * MM


@dataclass(frozen=True, slots=True)
class Drawing:
    """What is to be seen at its true size, with its own origin at its top left corner."""

    title: str
    mark: str
    width: int
    height: int
    marks: tuple[Mark, ...]


def upright(paper: Paper) -> Rect:
    """A sheet of paper that stands upright, in micrometres."""
    width, height = SIDES[paper]
    return Rect(0, 0, width * TENTH, height * TENTH)


def whole_page(drawing: Drawing) -> Page:
    """The drawing on one page that is as large as it needs."""
    width = max(drawing.width, BAR + _TITLE) + 2 * MARGIN
    height = drawing.height + FOOT + 2 * MARGIN
    marks = tuple(shifted(mark, MARGIN, MARGIN) for mark in drawing.marks)
    foot = _foot(Rect(MARGIN, height - MARGIN - FOOT, width - 2 * MARGIN, FOOT), drawing.title, "")
    return Page(width, height, drawing.title, drawing.mark, (*marks, *foot))


def on_paper(drawing: Drawing, paper: Paper) -> tuple[Page, ...]:
    """The drawing on as few sheets as it takes, upright or lying, row by row."""
    _, _, width, height = upright(paper)
    ways = (_Cut.of(drawing, width, height), _Cut.of(drawing, height, width))
    cut = min(ways, key=lambda way: way.rows * way.columns)
    return tuple(
        cut.page(drawing, row, column) for row in range(cut.rows) for column in range(cut.columns)
    )


class _Cut(NamedTuple):
    """How a drawing is cut: the page's size and how many rows and columns of pages."""

    width: int
    height: int
    rows: int
    columns: int

    @classmethod
    def of(cls, drawing: Drawing, width: int, height: int) -> _Cut:
        across, down = width - 2 * MARGIN, height - 2 * MARGIN - FOOT
        return cls(width, height, _pieces(drawing.height, down), _pieces(drawing.width, across))

    @property
    def seen(self) -> Rect:
        """Where on the page a piece of the drawing is seen."""
        return Rect(MARGIN, MARGIN, self.width - 2 * MARGIN, self.height - 2 * MARGIN - FOOT)

    def page(self, drawing: Drawing, row: int, column: int) -> Page:
        seen = self.seen
        dx = MARGIN - column * (seen.width - OVERLAP)
        dy = MARGIN - row * (seen.height - OVERLAP)
        piece = Window(seen, tuple(shifted(mark, dx, dy) for mark in drawing.marks))
        where = f"row {row + 1} of {self.rows}, column {column + 1} of {self.columns}"
        foot = Rect(MARGIN, self.height - MARGIN - FOOT, seen.width, FOOT)
        marks = (piece, *self._seams(row, column), *_foot(foot, drawing.title, where))
        return Page(self.width, self.height, drawing.title, drawing.mark, marks)

    def _seams(self, row: int, column: int) -> Iterator[Mark]:
        """Where the neighbours begin, and crosses in the middle of the shared strips."""
        seen, half = self.seen, OVERLAP // 2
        heights = (seen.y + seen.height // 4, seen.y + 3 * seen.height // 4)
        widths = (seen.x + seen.width // 4, seen.x + 3 * seen.width // 4)
        if column > 0:
            yield from _seam_down(seen, seen.x + OVERLAP)
            yield from (c for y in heights for c in _cross(seen.x + half, y))
        if column < self.columns - 1:
            yield from _seam_down(seen, seen.right - OVERLAP)
            yield from (c for y in heights for c in _cross(seen.right - half, y))
        if row > 0:
            yield from _seam_across(seen, seen.y + OVERLAP)
            yield from (c for x in widths for c in _cross(x, seen.y + half))
        if row < self.rows - 1:
            yield from _seam_across(seen, seen.bottom - OVERLAP)
            yield from (c for x in widths for c in _cross(x, seen.bottom - half))


def _pieces(size: int, room: int) -> int:
    """How many pieces cover a size, each but the first beginning one overlap earlier."""
    return 1 if size <= room else -(-(size - OVERLAP) // (room - OVERLAP))


def _seam_down(seen: Rect, x: int) -> Iterator[Mark]:
    yield line(Point(x, seen.y), Point(x, seen.bottom), 100, dashed=True)


def _seam_across(seen: Rect, y: int) -> Iterator[Mark]:
    yield line(Point(seen.x, y), Point(seen.right, y), 100, dashed=True)


def _cross(x: int, y: int) -> Iterator[Mark]:
    yield line(Point(x - 2 * MM, y), Point(x + 2 * MM, y), 150)
    yield line(Point(x, y - 2 * MM), Point(x, y + 2 * MM), 150)


def _foot(place: Rect, title: str, where: str) -> Iterator[Mark]:
    """The bar with its words, the title, and which of the sheets it is."""
    base = place.bottom - _TICK
    yield line(Point(place.x, base), Point(place.x + BAR, base), 300)
    for x in (place.x, place.x + BAR):
        yield line(Point(x, base - _TICK), Point(x, base + _TICK), 300)
    yield Words(place.x + _TICK, base - 1500, _SMALL, TRUE_SIZE)
    said = fit(title, place.width - BAR - 2 * _TICK, 8 * MM, 3200, 1800, True)
    shown = said or Fitted(1800, (f"{title[:40]}...",))
    last = base - 1500 - 4 * MM
    for n, text in enumerate(reversed(shown.lines)):
        y = last - n * shown.size * LEADING // 1000
        yield Words(place.right, y, shown.size, text, Anchor.END, True)
    if where:
        yield Words(place.right, base - 500, 3000, where, Anchor.END)
