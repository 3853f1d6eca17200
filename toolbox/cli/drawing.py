"""A laid compartment drawn to scale in plain letters, with a key of names below."""

from __future__ import annotations

from toolbox.cli.words import clean
from toolbox.desk.maps import Filled, Lying, corner_size

LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
WIDE = 76  # columns for the picture at most
TALL = 22  # lines for the picture at most
CELL_RATIO = 2  # a terminal cell is about twice as high as wide


def draw(filled: Filled) -> list[str]:
    """Lines of the picture and its key: front edge at the bottom, left to the left.

    Each thing is an outline with its letter inside; things too small for an
    outline are filled with their letter.
    """
    inside = filled.compartment.inside
    per_column = max(inside.length / WIDE, inside.width / TALL / CELL_RATIO, 1)
    columns = max(4, round(inside.length / per_column))
    rows = max(2, round(inside.width / per_column / CELL_RATIO))
    grid = [[" "] * columns for _ in range(rows)]
    key = []
    for letter, thing in zip(_letters(len(filled.things)), filled.things, strict=True):
        _outline(grid, thing, letter, per_column)
        key.append(f"{letter}  {clean(thing.name)}")
    frame = "+" + "-" * columns + "+"
    return [frame, *("|" + "".join(row) + "|" for row in reversed(grid)), frame, *key]


def _letters(many: int) -> list[str]:
    # More things than letters: the picture repeats them, the key keeps its order.
    return [LETTERS[n % len(LETTERS)] for n in range(many)]


def _outline(grid: list[list[str]], thing: Lying, letter: str, per_column: float) -> None:
    length, width = corner_size(thing)
    left = round((thing.spot.x or 0) / per_column)
    right = max(left, round(((thing.spot.x or 0) + length) / per_column) - 1)
    low = round((thing.spot.y or 0) / per_column / CELL_RATIO)
    high = max(low, round(((thing.spot.y or 0) + width) / per_column / CELL_RATIO) - 1)
    right, high = min(right, len(grid[0]) - 1), min(high, len(grid) - 1)
    left, low = min(left, right), min(low, high)
    small = right - left < 2 or high - low < 2
    for y in range(low, high + 1):
        for x in range(left, right + 1):
            grid[y][x] = letter if small else _line_sign(x, y, (left, right), (low, high))
    if not small:
        grid[(low + high) // 2][(left + right) // 2] = letter


def _line_sign(x: int, y: int, across: tuple[int, int], up: tuple[int, int]) -> str:
    if x in across and y in up:
        return "+"
    if y in up:
        return "-"
    return "|" if x in across else " "
