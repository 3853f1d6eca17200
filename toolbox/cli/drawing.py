"""A compartment drawn to scale in plain letters, with a key of names below."""

from __future__ import annotations

from toolbox.cli.words import clean
from toolbox.desk.drawn_box import Cells, Sheet, area_of
from toolbox.desk.maps import Filled

LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
WIDE = 76  # columns for the picture at most
TALL = 22  # lines for the picture at most


def draw(filled: Filled) -> list[str]:
    """Lines of the picture and its key: front edge at the bottom, left to the left.

    Each thing is an outline with its letter inside; things too small for an
    outline are filled with their letter.
    """
    compartment = filled.compartment
    sheet = Sheet(compartment.id, "", compartment.inside.length, compartment.inside.width, ())
    unit = sheet.unit_within(WIDE, TALL)
    columns, lines = sheet.size_at(unit)
    grid = [[" "] * columns for _ in range(lines)]
    key = []
    for letter, thing in zip(_letters(len(filled.things)), filled.things, strict=True):
        area = area_of(filled, thing)
        if area is not None:
            _outline(grid, sheet.cells_of(area, unit), letter)
        key.append(f"{letter}  {clean(thing.name)}")
    frame = "+" + "-" * columns + "+"
    return [frame, *("|" + "".join(row) + "|" for row in grid), frame, *key]


def _letters(many: int) -> list[str]:
    # More things than letters: the picture repeats them, the key keeps its order.
    return [LETTERS[n % len(LETTERS)] for n in range(many)]


def _outline(grid: list[list[str]], cells: Cells, letter: str) -> None:
    right, low = cells.column + cells.columns - 1, cells.line + cells.lines - 1
    small = cells.columns < 3 or cells.lines < 3
    for y in range(cells.line, low + 1):
        for x in range(cells.column, right + 1):
            edges = (x in (cells.column, right), y in (cells.line, low))
            grid[y][x] = letter if small else _line_sign(*edges)
    if not small:
        grid[(cells.line + low) // 2][(cells.column + right) // 2] = letter


def _line_sign(upright: bool, level: bool) -> str:
    if upright and level:
        return "+"
    if level:
        return "-"
    return "|" if upright else " "
