"""From bytes to rows of texts: the text parted into columns, or a sheet of a spreadsheet."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from toolbox.files.problems import quoted
from toolbox.intake.decode import Unreadable, check_size, decode
from toolbox.intake.reading import Findings
from toolbox.intake.sheets import is_spreadsheet, read_spreadsheet

MOST_ROWS = 50_000
MOST_COLUMNS = 300
SEPARATORS = MappingProxyType({"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"})
# lines of dashes that parts of a table are ruled off with
_RULED = re.compile(r"[-=:+_ ]*")


class Row(NamedTuple):
    """One row: the line it begins on, counted from 1, and its cells as they stand."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """All rows with anything in them, as wide as they stand; blank ones are counted.

    ``parted`` says in words by what columns are parted; ``typed`` are line and place of
    cells that a spreadsheet keeps as numbers, whose decimal mark is beyond doubt, and
    ``unvalued`` those that hold a formula nobody has worked out.
    """

    rows: tuple[Row, ...]
    blank_rows: int
    parted: str
    typed: frozenset[tuple[int, int]] = frozenset()
    unvalued: frozenset[tuple[int, int]] = frozenset()

    @property
    def width(self) -> int:
        """The width that most rows have."""
        return _usual_width(self.rows)


def read_table(data: bytes, findings: Findings, is_known: Callable[[str], bool]) -> Table | None:
    """The table in the data; None after asking which sheet or separator is meant.

    ``is_known`` tells a header we know from other text. Raises Unreadable.
    """
    check_size(data)
    if is_spreadsheet(data):
        sheet = read_spreadsheet(data, findings)
        if sheet is None:
            return None
        full = tuple(Row(n, cells) for n, cells in sheet.rows if any(c.strip() for c in cells))
        if not full:
            raise Unreadable(0, "the sheet is empty", "choose a sheet with a header row")
        blank = len(sheet.rows) - len(full)
        parted = f"the cells of sheet {quoted(sheet.name)}"
        return _checked(Table(full, blank, parted, sheet.typed, sheet.unvalued))
    decoded = decode(data)
    if decoded.note:
        findings.note(decoded.note)
    return _parted_best(decoded.text.lstrip("\ufeff"), findings, is_known)


def _parted_best(text: str, findings: Findings, is_known: Callable[[str], bool]) -> Table | None:
    told = findings.answers.to("separator")
    words = [told] if told in SEPARATORS else list(SEPARATORS)
    # some programs write a line that names the separator above everything else
    if named := re.match(r"sep=([,;|\t])\r?\n", text):
        words = [word for word, sign in SEPARATORS.items() if sign == named[1]]
    broken: Unreadable | None = None
    tables: dict[str, Table] = {}
    for word in words:
        # most texts hold only one or two of the signs
        if SEPARATORS[word] not in text:
            continue
        try:
            tables[word] = _parted(text, word)
        except Unreadable as unreadable:
            broken = broken or unreadable
    wide = {word: table for word, table in tables.items() if table.width > 1}
    if not wide:
        raise broken or Unreadable(
            1, "only one column can be seen", "part the columns by comma, semicolon or tab"
        )
    # the library's sniffer takes a blank for the separator where names have blanks
    even = _most(wide, _evenness)
    best = _most(even, lambda table: max(_known(row, is_known) for row in table.rows[:20]))
    if len(best) > 1:
        shown = " | ".join(next(iter(best.values())).rows[0].cells)
        told = findings.ask(
            "separator", f"what parts the columns, as in {quoted(shown)}?", tuple(best)
        )
        return _checked(best[told]) if told else None
    return _checked(next(iter(best.values())))


def _most(tables: dict[str, Table], worth: Callable[[Table], float]) -> dict[str, Table]:
    scores = {word: worth(table) for word, table in tables.items()}
    return {word: tables[word] for word, score in scores.items() if score == max(scores.values())}


def _known(row: Row, is_known: Callable[[str], bool]) -> int:
    return sum(map(is_known, row.cells)) if len(row.cells) <= MOST_COLUMNS else 0


def _evenness(table: Table) -> float:
    """The share of rows that are as wide as most; a lone cell is a title and counts neither way."""
    rows = [row for row in table.rows if sum(map(bool, map(str.strip, row.cells))) > 1]
    width = table.width
    same = sum(len(row.cells) == width for row in rows)
    return same / len(rows) if rows else 0.0


def _usual_width(rows: tuple[Row, ...]) -> int:
    """The commonest width of rows that hold more than one cell; the wider of two as common."""
    widths = Counter(len(row.cells) for row in rows if len(row.cells) > 1)
    return max(widths, key=lambda width: (widths[width], width)) if widths else 1


def _parted(text: str, word: str) -> Table:
    text = re.sub(r"^sep=.\r?\n", "\n", text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=SEPARATORS[word], strict=True)
    rows: list[Row] = []
    blank = 0
    while True:
        # a quoted cell may run over lines: the row's first line is the one to show
        begins = reader.line_num + 1
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise _not_parted(begins, str(error)) from None
        if cells is None:
            break
        if len(rows) > MOST_ROWS:
            raise _too_long()
        if word == "bar" and len(cells) > 2 and not cells[0].strip() and not cells[-1].strip():
            cells = cells[1:-1]
        if word == "bar":
            # notes with such tables set words in bold by stars
            cells = [re.sub(r"^\s*\*\*(.+)\*\*\s*$", r"\1", cell) for cell in cells]
        if all(_RULED.fullmatch(cell) for cell in cells):
            blank += 1
        else:
            rows.append(Row(begins, tuple(cells)))
    if not rows:
        raise Unreadable(0, "the list is empty", "choose a list with a header row")
    return Table(tuple(rows), blank, word)


def _not_parted(line: int, reason: str) -> Unreadable:
    if "field limit" in reason:
        return Unreadable(line, "a cell here has no end", "save the list again as CSV")
    return Unreadable(
        line,
        "a quote mark is not closed where the cell ends",
        'write a quote mark inside a quoted cell twice, like "14"""',
    )


def _too_long() -> Unreadable:
    return Unreadable(
        0, f"holds more than {MOST_ROWS} rows, which is no list of tools", "take it in in parts"
    )


def _checked(table: Table) -> Table:
    if len(table.rows) > MOST_ROWS:
        raise _too_long()
    if table.width > MOST_COLUMNS:
        raise Unreadable(
            table.rows[0].line,
            f"has {table.width} columns, which is no list of tools",
            "save only the columns of the list",
        )
    return table
