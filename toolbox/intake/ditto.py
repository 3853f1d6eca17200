"""Ditto marks: a cell that stands for the one above it."""

from __future__ import annotations

from collections.abc import Sequence

from toolbox.intake.headers import Headers
from toolbox.intake.names import tidy
from toolbox.intake.reading import Findings
from toolbox.intake.table import Row

# Meanings whose cells are words that many lines share; names and figures are never filled in.
_SHARED = ("place", "category", "unit", "kind", "origin", "goods", "drive", "carried")
_MARKS = frozenset(
    {'"', "''", "“", "”", "„", "″", "〃", '-"-', "-''-", '--"--', '"-"', "do", "do."}
    | {"ditto", "dto", "dto.", "idem", "dito"}
)


def without_dittos(rows: Sequence[Row], headers: Headers, findings: Findings) -> Sequence[Row]:
    """The rows with the words that ditto marks stand for; each place is told."""
    places = [headers.at[meaning] for meaning in _SHARED if meaning in headers.at]
    if not any(_is_mark(row, place) for row in rows for place in places):
        return rows
    above: dict[int, str] = {}
    filled: list[Row] = []
    for row in rows:
        cells = list(row.cells)
        for place in places:
            if _is_mark(row, place) and above.get(place):
                cells[place] = above[place]
                findings.note("ditto marks are read as the cell above", f"line {row.line}")
            elif place < len(cells) and cells[place].strip():
                above[place] = cells[place]
        filled.append(Row(row.line, tuple(cells)))
    return filled


def _is_mark(row: Row, place: int) -> bool:
    return place < len(row.cells) and tidy(row.cells[place]).casefold() in _MARKS
