"""From bytes to rows: a plain CSV in UTF-8, parted by comma, semicolon or tab."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

_SEPARATORS = (",", ";", "\t")
_SPOKEN = {",": "comma", ";": "semicolon", "\t": "tab"}


class Unreadable(Exception):
    """A list that cannot be read as a table, at which line (0: as a whole), and the cure."""

    def __init__(self, line: int, reason: str, cure: str) -> None:
        super().__init__(line, reason, cure)
        self.line = line
        self.reason = reason
        self.cure = cure


class Row(NamedTuple):
    """One row: the line it begins on, counted from 1, and its cells as they stand."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table: its header row and the rows below it, blank rows left out and counted.

    Rows are as wide as they stand in the list; ``separator`` is named in words.
    """

    header: Row
    rows: tuple[Row, ...]
    blank_rows: int
    separator: str


def read_sheet(data: bytes, is_known: Callable[[str], bool]) -> Sheet:
    """The table in the data; ``is_known`` tells a header we know from other text.

    The separator is the one that gives all rows one width above 1; where two do,
    the one that gives more known headers. Raises Unreadable.
    """
    text = _decoded(data)
    broken: Unreadable | None = None
    sheets: list[Sheet] = []
    for separator in _SEPARATORS:
        try:
            sheets.append(_parted(text, separator))
        except Unreadable as unreadable:
            broken = broken or unreadable
    wide = [sheet for sheet in sheets if len(sheet.header.cells) > 1]
    if not wide:
        raise broken or Unreadable(
            1, "only one column can be seen", "part the columns by comma, semicolon or tab"
        )
    # the library's sniffer takes a blank for the separator where names have blanks
    even = [sheet for sheet in wide if _is_even(sheet)] or wide
    known = [sum(map(is_known, sheet.header.cells)) for sheet in even]
    best = [sheet for sheet, count in zip(even, known, strict=True) if count == max(known)]
    if len(best) > 1:
        ways = " or ".join(sheet.separator for sheet in best)
        raise Unreadable(
            1, f"the columns could be parted by {ways}", "save it again with semicolons or tabs"
        )
    return best[0]


def _decoded(data: bytes) -> str:
    cure = 'save it as "CSV UTF-8"'
    # nothing is guessed: a wrong code page turns ½ into another sign without an error
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Unreadable(0, "the list is written in UTF-16", cure)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise Unreadable(line, "the list is not written in UTF-8", cure) from None
    if "\0" in text:
        raise Unreadable(0, "the list is no text", cure)
    if not text.strip():
        raise Unreadable(0, "the list is empty", "choose a list with a header row")
    return text


def _parted(text: str, separator: str) -> Sheet:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[Row] = []
    blank = 0
    while True:
        # a quoted cell may run over lines: the row's first line is the one to show
        begins = reader.line_num + 1
        try:
            cells = next(reader, None)
        except csv.Error:
            raise Unreadable(
                begins,
                "a quote mark is not closed where the cell ends",
                'write a quote mark inside a quoted cell twice, like "14"""',
            ) from None
        if cells is None:
            break
        if any(cell.strip() for cell in cells):
            rows.append(Row(begins, tuple(cells)))
        else:
            blank += 1
    if not rows:
        raise Unreadable(0, "the list is empty", "choose a list with a header row")
    return Sheet(rows[0], tuple(rows[1:]), blank, _SPOKEN[separator])


def _is_even(sheet: Sheet) -> bool:
    return all(len(row.cells) == len(sheet.header.cells) for row in sheet.rows)
