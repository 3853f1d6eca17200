"""Where everything of a drawing stands on a board of cells, at one scale: pure arithmetic."""

from __future__ import annotations

import string
from bisect import bisect_left
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from toolbox.tui.text import cells, clean, cut
from toolbox.tui.widgets.box_map_outline import MORE, MOVED, seen_of, sign_of

if TYPE_CHECKING:
    from toolbox.desk.drawn_box import Cells, Drawing, Shape, Sheet

LETTERS = string.ascii_lowercase + string.ascii_uppercase + string.digits
GAP = 2
FEW = 100  # shapes: with more of them the key list is long in any case
ENTRY = 24  # columns of an entry of the key list at the least
FRONT = " front "
NOT_SAID = "where in it is not said:"


class Box(NamedTuple):
    """Cells on the board: first column and line from its top left, columns, lines."""

    column: int
    line: int
    columns: int
    lines: int

    def holds(self, column: int, line: int) -> bool:
        """Whether a cell is one of these."""
        return (
            self.column <= column < self.column + self.columns
            and self.line <= line < self.line + self.lines
        )


@dataclass(frozen=True, slots=True)
class Placed:
    """A shape on the board. ``listed`` ones are lines of a list, not outlines to scale.

    ``inner`` are the cells of what lies in a compartment, counted from its own corner.
    """

    shape: Shape
    box: Box
    letter: str = ""
    listed: bool = False
    inner: tuple[tuple[Shape, Box], ...] = ()


@dataclass(frozen=True, slots=True)
class Words:
    """Words on the board; ``key`` is the shape they explain, "" for none."""

    column: int
    line: int
    text: str
    key: str = ""
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Board:
    """Everything in its place; ``placed`` from the top left downwards."""

    columns: int
    lines: int
    placed: tuple[Placed, ...]
    labels: tuple[Words, ...]
    rims: tuple[Box, ...]
    numbers: Mapping[str, int]

    def at(self, column: int, line: int) -> str | None:
        """The key of what is at a cell: the smallest of several, an entry of the key list too."""
        hit = [p for p in self.placed if p.box.holds(column, line)]
        if hit:
            return min(hit, key=lambda p: p.box.columns * p.box.lines).shape.key
        entries = (
            label.key
            for label in self.labels
            if label.key and label.line == line and label.column <= column < _end(label)
        )
        return next(entries, None)

    def find(self, key: str) -> int | None:
        """The number of the placed shape of that key, None when there is none."""
        return self.numbers.get(key)


def fitting(drawing: Drawing, columns: int, lines: int) -> int:
    """Tenths of a millimetre a column at which the whole drawing is seen at once."""
    scaled = [sheet for sheet in drawing.sheets if sheet.to_scale]
    if not scaled:
        return 1
    unit = max(_unit(sheet, columns, lines) for sheet in scaled)
    largest = max(max(sheet.length, sheet.width) for sheet in scaled)
    while unit < largest and _flow(drawing, unit, columns)[1] > lines:
        unit += max(1, unit // 50)
    return _with_key_list(drawing, unit, columns, lines)


def _with_key_list(drawing: Drawing, unit: int, columns: int, lines: int) -> int:
    """A little smaller where that brings the key list into view as well."""
    if sum(1 for _ in drawing.shapes()) > FEW:
        return unit
    smaller = range(unit, unit + unit // 4, max(1, unit // 50))
    return next((u for u in smaller if arrange(drawing, u, columns).lines <= lines), unit)


def _unit(sheet: Sheet, columns: int, lines: int) -> int:
    if sheet.rimmed:
        return sheet.unit_within(columns - 2, lines - 2)
    return sheet.unit_within(columns, lines - 1)


def laid_out(drawing: Drawing, unit: int, columns: int, lines: int | None) -> Board:
    """As ``arrange``; with only so many lines to be seen, no letters whose list is not."""
    keyed = arrange(drawing, unit, columns)
    seen = lines is None or keyed.lines <= lines
    return keyed if seen else arrange(drawing, unit, columns, keyed=False)


def arrange(drawing: Drawing, unit: int, columns: int, *, keyed: bool = True) -> Board:
    """Everything at ``unit`` tenths of a millimetre a column, sheets side by side in so many.

    ``keyed`` with letters for what has no room for its name, and the list that explains them.
    """
    corners, lines = _flow(drawing, unit, columns)
    placed: list[Placed] = []
    labels: list[Words] = []
    rims: list[Box] = []
    for sheet, corner in zip(drawing.sheets, corners, strict=True):
        if sheet.rimmed:
            rims.append(corner)
            labels += _on_the_rim(sheet, corner)
        else:
            words = cut(clean(sheet.title), max(1, corner.columns)).plain
            labels.append(Words(corner.column, corner.line, words, bold=True))
        placed += _scaled(sheet, corner, unit)
        more, heading = _listed(sheet, corner, columns)
        placed += more
        labels += heading
    placed.sort(key=lambda p: (p.box.line, p.box.column))
    placed = _lettered(placed) if keyed else placed
    used = max((c.column + c.columns for c in corners), default=0)
    lines = max([lines, *(p.box.line + p.box.lines for p in placed)])
    labels += _key_list(placed, _free(corners, lines, columns), lines, columns)
    return Board(
        max([used, *(p.box.column + p.box.columns for p in placed), *map(_end, labels)]),
        max([lines, *(label.line + 1 for label in labels)]),
        tuple(placed),
        tuple(labels),
        tuple(rims),
        {p.shape.key: number for number, p in enumerate(placed)},
    )


def _end(label: Words) -> int:
    return label.column + cells(label.text)


def _flow(drawing: Drawing, unit: int, columns: int) -> tuple[list[Box], int]:
    """The corner and size of each sheet, side by side as far as they fit; lines in all."""
    corners = []
    column = line = lines = 0
    for sheet in drawing.sheets:
        across, down = _size(sheet, unit, columns)
        if column and column + across > columns:
            column, line = 0, line + lines
            lines = 0
        corners.append(Box(column, line, across, down))
        column += across + GAP
        lines = max(lines, down)
    return corners, line + lines


def _size(sheet: Sheet, unit: int, columns: int) -> tuple[int, int]:
    if sheet.rimmed and not sheet.to_scale:
        across, down, _ = _list_size(sheet, columns - 2)
        return max(across, min(columns - 2, cells(clean(sheet.title)) + 2)) + 2, down + 2
    across, down = sheet.size_at(unit)
    return (across + 2, down + 2) if sheet.rimmed else (across, down + 1)


def _list_size(sheet: Sheet, columns: int) -> tuple[int, int, int]:
    """Columns and lines of the list of what has no place on a sheet, and columns of an entry."""
    listed = [shape for shape in sheet.shapes if shape.area is None]
    longest = max(cells(clean(s.short)) for s in listed) + 4 + len(MOVED)
    entry = max(4, min(columns, longest))
    across = max(1, columns // entry)
    down = -(-len(listed) // across)
    across = -(-len(listed) // down)
    return across * entry, down, entry


def _scaled(sheet: Sheet, corner: Box, unit: int) -> Iterator[Placed]:
    column, line = corner.column + sheet.rimmed, corner.line + 1
    for shape in sheet.shapes:
        if shape.area is None:
            continue
        at = sheet.cells_of(shape.area, unit)
        box = Box(column + at.column, line + at.line, at.columns, at.lines)
        yield Placed(shape, box, inner=tuple(_inner(sheet, shape, at, unit)))


def _inner(sheet: Sheet, shape: Shape, at: Cells, unit: int) -> Iterator[tuple[Shape, Box]]:
    """What lies in a compartment, inside its lines; what has no place there, sign by sign."""
    across, down = at.columns - 2, at.lines - 2
    if across < 1 or down < 1:
        return
    free = 0
    for thing in shape.inside or ():
        if thing.area is None:
            if free < across * down:
                yield thing, Box(1 + free % across, 1 + free // across, 1, 1)
            free += 1
            continue
        cell = sheet.cells_of(thing.area, unit)
        left = min(max(cell.column - at.column, 1), across)
        top = min(max(cell.line - at.line, 1), down)
        right = min(max(cell.column - at.column + cell.columns, left + 1), across + 1)
        low = min(max(cell.line - at.line + cell.lines, top + 1), down + 1)
        yield thing, Box(left, top, right - left, low - top)


def _listed(sheet: Sheet, corner: Box, columns: int) -> tuple[list[Placed], list[Words]]:
    """Things without a place: in the rim when there are no others, below it else."""
    listed = [shape for shape in sheet.shapes if shape.area is None]
    if not listed or not sheet.rimmed:
        return [], []
    column, line = corner.column + 1, corner.line + 1
    labels = []
    if sheet.to_scale:
        line = corner.line + corner.lines + 1
        labels.append(Words(column, line - 1, NOT_SAID))
    _, down, entry = _list_size(sheet, columns - 2)
    return [
        Placed(shape, Box(column + n // down * entry, line + n % down, entry, 1), listed=True)
        for n, shape in enumerate(listed)
    ], labels


def _on_the_rim(sheet: Sheet, corner: Box) -> Iterator[Words]:
    room = corner.columns - 2
    title = f" {clean(sheet.title)} "
    if cells(title) <= room:
        yield Words(corner.column + 1, corner.line, title, bold=True)
    if sheet.to_scale and room >= len(FRONT):
        middle = corner.column + 1 + (room - len(FRONT)) // 2
        yield Words(middle, corner.line + corner.lines - 1, FRONT)


def _lettered(placed: list[Placed]) -> list[Placed]:
    """Letters, in the order they stand, for those whose names cannot be told apart as cut."""
    names = sorted({clean(p.shape.short) for p in placed})
    letters = iter(LETTERS)
    found = []
    for p in placed:
        if not p.listed and _is_unclear(p, names):
            p = Placed(p.shape, p.box, next(letters, MORE), inner=p.inner)
        found.append(p)
    return found


def _is_unclear(placed: Placed, names: list[str]) -> bool:
    """Whether too little is left of a name, or what is left could be another of these (sorted)."""
    shape, box = placed.shape, placed.box
    part, name = seen_of(shape, box.columns, box.lines), clean(shape.short)
    if part is None or part == name or shape.inside is not None:
        # Compartments go by the title of their layer as well.
        return part is None
    first = bisect_left(names, part)
    return any(other != name and other.startswith(part) for other in names[first : first + 2])


def _free(corners: list[Box], lines: int, columns: int) -> Box:
    """The room beside the last sheet, as far down as the board goes."""
    last = corners[-1]
    left = last.column + last.columns + GAP
    return Box(left, last.line, columns - left, lines - last.line)


def _key_list(placed: list[Placed], free: Box, lines: int, columns: int) -> list[Words]:
    """The key list: in the free room beside the picture if it fits there, else below it."""
    entries = [
        (p.shape.key, f"{p.letter} {_named(p)}") for p in placed if p.letter not in ("", MORE)
    ]
    more = sum(p.letter == MORE for p in placed)
    if more:
        entries.append(("", f"{MORE} {more} smaller ones: zoom in"))
    if not entries:
        return []
    longest = max(cells(text) for _, text in entries)
    entry = min(free.columns, longest)
    across = (free.columns + GAP) // (entry + GAP) if entry >= min(ENTRY, longest) else 0
    if across and across * free.lines >= len(entries):
        left, top = free.column, free.line
        down = min(free.lines, len(entries))
    else:
        entry, left, top = min(columns, longest), 0, lines
        across = max(1, (columns + GAP) // (entry + GAP))
        down = -(-len(entries) // across)
    return [
        Words(left + n // down * (entry + GAP), top + n % down, cut(text, entry).plain, key)
        for n, (key, text) in enumerate(entries)
    ]


def _named(p: Placed) -> str:
    return sign_of(p.shape) + " " + (MOVED if p.shape.moved else "") + clean(p.shape.short)


def nearest(board: Board, at: int, right: int, down: int) -> int:
    """The number of the nearest shape in a direction (one of -1, 0, 1 each); ``at`` if none.

    What lies straight ahead comes before what lies aside; a line counts as two columns.
    """
    here = board.placed[at].box
    x, y = 2 * here.column + here.columns, 2 * here.line + here.lines
    found, least = at, (0, 0)
    for number, placed in enumerate(board.placed):
        box = placed.box
        # Twice the middles, from one to the other.
        aside, below = 2 * box.column + box.columns - x, 2 * box.line + box.lines - y
        if aside * right + below * down <= 0:
            continue
        across = _apart(here.column, here.columns, box.column, box.columns)
        along = 2 * _apart(here.line, here.lines, box.line, box.lines)
        far = across + 4 * along if right else along + 4 * across
        # How far the middles are apart decides between equals.
        how = far, abs(aside) + 2 * abs(below)
        if found == at or how < least:
            found, least = number, how
    return found


def _apart(start: int, size: int, other: int, other_size: int) -> int:
    return max(0, other - start - size, start - other - other_size)


def into_view(start: int, room: int, first: int, size: int) -> int:
    """Where the window has to start so that this is seen, its beginning if not all of it."""
    # One cell more for the rim.
    end = first + size + 1
    return min(max(start, end - room), max(0, first - 1))
