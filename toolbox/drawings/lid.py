"""The lid sheet: one page by which a stranger can repack the box."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from toolbox.drawings.lettering import LEADING, broken, fit, written
from toolbox.drawings.page import (
    MM,
    Anchor,
    DrawingError,
    Mark,
    Page,
    Point,
    Rect,
    Words,
    line,
)
from toolbox.drawings.tiles import MARGIN, upright
from toolbox.kit.paper import Paper

LARGEST, SMALLEST = 4200, 2000
"""Letters of the list: from well read at arm's length down to the smallest print."""
_GAP = 5 * MM  # between two columns
_COLUMNS = (1, 2, 3, 4)
_STEP = 100


@dataclass(frozen=True, slots=True)
class Listed:
    """A compartment on the sheet: its head in bold, and the names of what lies in it."""

    head: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LidSheet:
    """What the sheet says: bold lines, sentences, then the compartments in order."""

    title: str
    mark: str
    strong: tuple[str, ...]
    notes: tuple[str, ...]
    places: tuple[Listed, ...]


class _Line(NamedTuple):
    """A line of a column. ``holds`` says that it must not be the last one in it."""

    text: str
    strong: bool = False
    holds: bool = False


class _Columns(NamedTuple):
    """Lines in columns, and how wide a column is."""

    wide: int
    columns: list[list[_Line]]


def lid_page(sheet: LidSheet, paper: Paper) -> Page:
    """The sheet on one upright page, its letters as large as all of it fits.

    DrawingError when it does not fit even in the smallest letters.
    """
    whole = upright(paper)
    frame = whole.grown(-MARGIN)
    title = fit(sheet.title, frame.width, 14 * MM, 8000, 3000, True)
    if title is None:
        raise DrawingError([f'"{sheet.title}" is too long for the head of the sheet'])
    marks: list[Mark] = [*written(title, frame._replace(height=title.height), Anchor.START, True)]
    y = frame.y + title.height + 1 * MM
    for texts, size, strong in ((sheet.strong, 3800, True), (sheet.notes, 2800, False)):
        head, y = _paragraphs(texts, frame._replace(y=y), size, strong)
        marks += head
    y += 1 * MM
    marks.append(line(Point(frame.x, y), Point(frame.right, y), 300))
    room = Rect(frame.x, y + 2 * MM, frame.width, frame.bottom - y - 2 * MM)
    marks += _columns(sheet, room)
    return Page(whole.width, whole.height, sheet.title, sheet.mark, tuple(marks))


def _paragraphs(
    texts: tuple[str, ...], frame: Rect, size: int, strong: bool
) -> tuple[list[Words], int]:
    """Sentences below each other from the top of the frame, and where they end."""
    y, leading, found = frame.y, size * LEADING // 1000, []
    for text in texts:
        for part in broken(text, frame.width * 1000 // size, strong) or (text,):
            y += leading
            found.append(Words(frame.x, y, size, part, strong=strong))
    return found, y + size // 3


def _columns(sheet: LidSheet, room: Rect) -> Iterator[Words]:
    sizes = range(LARGEST, SMALLEST - 1, -_STEP)
    # where even the smallest letters are too large, all others need not be tried
    if _laid_out(sheet.places, room, sizes[-1]) is not None:
        for size in sizes:
            found = _laid_out(sheet.places, room, size)
            if found is not None:
                yield from _set(found, room, size)
                return
    things = sum(len(place.names) for place in sheet.places)
    raise DrawingError(
        [f"{things} things do not fit on one page of this size: print the HTML sheet instead"]
    )


def _laid_out(places: tuple[Listed, ...], room: Rect, size: int) -> _Columns | None:
    """All places in as few columns as they fit; None when they fit in none."""
    for many in _COLUMNS:
        wide = (room.width - (many - 1) * _GAP) // many
        lines = _lines(places, wide * 1000 // size)
        columns = None if lines is None else _shared(lines, many, room.height, size)
        if columns is not None:
            return _Columns(wide, columns)
    return None


def _lines(places: tuple[Listed, ...], width: int) -> list[_Line] | None:
    """All compartments as lines of so many thousandths; None when a word is wider."""
    found = []
    for place in places:
        head = broken(place.head, width, True)
        body = broken("; ".join(place.names), width) if place.names else ()
        if head is None or body is None:
            return None
        found += [_Line(text, True, True) for text in head]
        found += [_Line(text) for text in body]
        found.append(_Line(""))
    return found


def _shared(lines: list[_Line], many: int, height: int, size: int) -> list[list[_Line]] | None:
    """Lines shared out into columns; None when they are too many."""
    most = height * 1000 // (size * LEADING)
    columns: list[list[_Line]] = [[]]
    for at, one in enumerate(lines):
        last = columns[-1]
        held = 1
        while lines[at + held - 1].holds and at + held < len(lines):
            held += 1
        full = len(last) + 1 > most
        if last and one.text and (full or (one.holds and len(last) + held > most)):
            columns.append([])
        if columns[-1] or one.text:
            columns[-1].append(one)
    fits = len(columns) <= many and all(len(_kept(column)) <= most for column in columns)
    return columns if fits else None


def _kept(column: list[_Line]) -> list[_Line]:
    """A column without the blank line at its end."""
    return column[:-1] if column and not column[-1].text else column


def _set(found: _Columns, room: Rect, size: int) -> Iterator[Words]:
    leading = size * LEADING // 1000
    for n, column in enumerate(found.columns):
        x = room.x + n * (found.wide + _GAP)
        for row, one in enumerate(column, 1):
            if one.text:
                yield Words(
                    x, room.y + row * leading - size // 5, size, one.text, strong=one.strong
                )
