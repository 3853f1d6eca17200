"""Columns under headers not known here that may tell how many: asked, where no other does.

A count left out with its column would be one of each in silence. A new tool without a
mass is refused anyway.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from toolbox.intake import counts
from toolbox.intake.headers import NOT_KNOWN, Headers, header_text
from toolbox.intake.names import tidy
from toolbox.intake.reading import Findings, Line, ListKind
from toolbox.intake.table import Row, Table
from toolbox.kit.quantities import Kind
from toolbox.kit.quantities_units import find_unit

QUESTION, NONE = "column of counts", "none of them"
_MONEY = re.compile(
    r"price|value|cost|preis|betrag|wert|prix|valeur|prezzo|[€$£]|\b(?:eur|usd|gbp|chf)\b", re.I
)


def told(table: Table, start: int, headers: Headers, findings: Findings) -> Mapping[str, str]:
    """The column that was answered to hold the counts, as a meaning by its number."""
    answer = tidy(findings.answers.to(QUESTION)).casefold()
    if not answer:
        return {}
    for place in _that_may(table, start, headers):
        if header_text(headers.row.cells, place).casefold() == answer:
            return {f"column {place + 1}": "count"}
    return {}


def asked(
    table: Table, start: int, headers: Headers, lines: Sequence[Line], findings: Findings
) -> list[Line]:
    """The lines, all of them waiting where only the mechanic knows which column counts them."""
    places = _that_may(table, start, headers)
    if not places:
        return list(lines)
    choices = (*(header_text(headers.row.cells, place) for place in places), NONE)
    words = "no header known here tells how many there are of each: which column does?"
    return [
        line
        if findings.ask(QUESTION, words, choices, line.number)
        else replace(line, asks=(*line.asks, QUESTION))
        for line in lines
    ]


def _that_may(table: Table, start: int, headers: Headers) -> list[int]:
    """The places of the columns that may hold counts, where no header tells them."""
    # without names there is nothing to count yet, and a stock is a count of supplies
    if headers.kind is not ListKind.THINGS or "name" not in headers.at:
        return []
    if headers.at.keys() & {"count", "stock"}:
        return []
    left = [n for n, column in enumerate(headers.columns) if column.how == NOT_KNOWN]
    cells = headers.row.cells
    return [
        n
        for n in left
        if not _is_measured(cells[n]) and _holds_counts(_cells(table.rows[start:], n))
    ]


def _is_measured(header: str) -> bool:
    """Whether a header names money or a unit, so that its column counts nothing."""
    words = re.findall(r"[^\W\d_]+", header)
    units = (Kind.MASS, Kind.LENGTH, Kind.TORQUE, Kind.VOLUME)
    named = len(words) > 1 and any(find_unit(words[-1], kind) for kind in units)
    return named or _MONEY.search(header) is not None


def _cells(rows: Sequence[Row], place: int) -> list[str]:
    cells = [tidy(row.cells[place]) for row in rows if place < len(row.cells)]
    return [cell for cell in cells if cell]


def _holds_counts(cells: Sequence[str]) -> bool:
    return bool(cells) and all(map(_is_count, cells)) and not _is_running(cells)


def _is_count(cell: str) -> bool:
    # 0017 is a part number
    if cell.startswith("0") and len(cell) > 1:
        return False
    try:
        counts.count(cell)
    except counts.NoCount:
        return False
    return any(char.isdigit() for char in cell)


def _is_running(cells: Sequence[str]) -> bool:
    """Whether the cells are the numbers of the lines: 1, 2, 3 or 10, 20, 30."""
    if len(cells) < 3 or not all(cell.isdecimal() for cell in cells):
        return False
    steps = {int(after) - int(before) for before, after in pairwise(cells)}
    return len(steps) == 1 and steps.pop() > 0
