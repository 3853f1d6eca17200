"""The rows below the header: what is a line of the list, what a heading, a blank, a total."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

from toolbox.files.problems import quoted
from toolbox.intake.cells import RowReader
from toolbox.intake.headers import TABLES, guess
from toolbox.intake.line_masses import exact_mass, of_one_piece, pieces
from toolbox.intake.marks import Marks
from toolbox.intake.names import tidy
from toolbox.intake.reading import Findings, Line, ListKind
from toolbox.intake.table import SEPARATORS, Row, Table
from toolbox.intake.totals import Totals

_FIGURES = {"mass", "count", "sides", "length"}
HEADING, THING, TOTAL = "heading", "thing", "total"
TAKEN_OUT, STANDS = "taken out of the list", "a line of the list"
# a mark of a comment; errors of spreadsheets begin so too
_MARKED = re.compile(r"\s*(?:#(?!REF|N/A|DIV|NAME|VALUE|NUM|NULL)|//)")
_SUM = (
    r"(?:grand |sub[ -]?)?totals?|sum|subtotals?|gesamt(?:gewicht)?|summe|zwischensumme"
    r"|(?:sous[ -])?total(?: général)?|somme|(?:sub)?totale|totaal|suma"
)
_SUMS = re.compile(rf"(?:{_SUM})\b[:. ]*(?:mass|weight|qty|\(?[a-z]{{1,3}}\)?)?[:. ]*", re.I)
_COUNTED = re.compile(
    r"^\d+ ?[x×] |[(,] ?(?:a |one )?(?:pair|set of \d+|[x×] ?\d+|\d+ ?[x×]|\d+ ?(?:pcs?|off))\b",
    re.I,
)
_DIGIT, _LETTER = re.compile(r"\d"), re.compile(r"[^\W\d]")
_HOLDS_OTHERS = re.compile(
    r"\b(?:kit|set|roll|case|pouch|bag|box|wrap|tray|pack|assembly|rolle|tasche|trousse)\b"
    r"|\(.*[,+&].*\)",
    re.I,
)


def read_body(
    table: Table, start: int, reader: RowReader, findings: Findings, number_marks: Marks
) -> list[Line]:
    """Every row from ``start`` on that is a line of the list; what is dropped is told."""
    body = _Body(table, reader, findings, number_marks)
    for row in table.rows[start:]:
        body.take(row)
    header = reader.headers.header("mass")
    lines = of_one_piece(body.lines, header, body.totals.of_lines, findings)
    return _without_parents(lines, findings)


class _Body:
    def __init__(
        self, table: Table, reader: RowReader, findings: Findings, number_marks: Marks
    ) -> None:
        self.lines: list[Line] = []
        self._table = table
        self._reader = reader
        self._headers = reader.headers
        self._findings = findings
        self._group = ""
        self.totals = Totals(reader.headers, findings, number_marks)
        above = [row for row in table.rows if row.line < reader.headers.row.line]
        self._titles = {words for row in above if _LETTER.search(words := _without_figures(row))}
        marked = sum(map(self._is_marked, table.rows))
        # where most lines begin with that sign it is part of their numbers
        self._marks_comments = 2 * marked < len(table.rows)

    def take(self, row: Row) -> None:
        """Read one row, or tell why it is no line of the list."""
        width = len(self._headers.row.cells)
        comment = self._marks_comments and self._is_marked(row)
        if self._is_title_again(row, comment) or self._is_heading(row):
            return
        # what stands beyond the last column is nothing only where it is blank
        while len(row.cells) > width and not row.cells[-1].strip():
            row = Row(row.line, row.cells[:-1])
        if len(row.cells) != width:
            self._findings.refuse(
                row.line, "", " ".join(row.cells)[:60],
                f"has {len(row.cells)} cells where the header has {width}",
                "quote cells that hold the separator, and fill up short rows",
            )  # fmt: skip
            return
        if self._is_header_again(row) or self._is_sum(row):
            return
        if self._headers.kind is not ListKind.JOBS and self._is_nameless(row):
            return
        line = self._reader.line(row, self._group, self._table.unvalued)
        if comment and line is not None:
            line = self._in_comment(line)
        if line is not None and self.totals.may_be(line):
            self._ask_total(line)
            return
        if line is not None:
            if _COUNTED.search(line.name):
                self._findings.note(
                    "a count inside a name stays in the name; how many there are says the "
                    "column of counts alone",
                    f"line {row.line}: {line.name}",
                )
            self.lines.append(line)
            self.totals.add(line)

    def _name(self, row: Row) -> str:
        place = self._headers.at.get("name")
        return tidy(row.cells[place]) if place is not None and place < len(row.cells) else ""

    def _is_marked(self, row: Row) -> bool:
        """Whether a row begins with the sign of a comment; "#2 driver" is a name."""
        first = row.cells[0]
        named = self._headers.at.get("name") == 0 and re.match(r"\s*#\d", first)
        return _MARKED.match(first) is not None and not named

    def _is_title_again(self, row: Row, comment: bool) -> bool:
        """A title that stood above the header too, or a comment that is no line at all."""
        title = _without_figures(row) in self._titles
        if title or (comment and sum(map(bool, map(str.strip, row.cells))) == 1):
            words = " ".join(filter(None, map(tidy, row.cells)))[:40]
            what = "titles again, between the lines, are" if title else "comments are"
            self._findings.note(f"{what} left out", f"line {row.line}: {words}")
            return True
        return False

    def _in_comment(self, line: Line) -> Line | None:
        """A line with the sign of a comment before it: whether it counts is asked."""
        question = f"comment {line.name or line.number}"
        told = self._findings.ask(
            question,
            f"line {line.number} begins with the sign of a comment: is it {TAKEN_OUT}?",
            (TAKEN_OUT, STANDS),
            line.number,
        )
        if told == TAKEN_OUT:
            self._findings.note("left out, as told", f"line {line.number}")
            return None
        return line if told else replace(line, asks=(*line.asks, question))

    def _ask_total(self, line: Line) -> None:
        """Keep a line that may be a total without adding it up, or leave it out as told."""
        question = f"total {line.name}"
        told = self._findings.ask(
            question,
            f"{quoted(line.name)} in line {line.number} weighs as much as the lines above it "
            "together: is it their total, or a thing?",
            (TOTAL, THING),
            line.number,
        )
        if told == TOTAL:
            self._findings.note("totals are left out, as told", f"line {line.number}: {line.name}")
            return
        if told:
            self.lines.append(line)
            self.totals.add(line)
            return
        # whose mass it is nobody knows yet
        values = MappingProxyType({m: v for m, v in line.values.items() if m != "mass"})
        self.lines.append(replace(line, values=values, asks=(*line.asks, question)))

    def _is_heading(self, row: Row) -> bool:
        """A lone text: the heading of a group where it is not in the column of names."""
        full = [(n, cell) for n, cell in enumerate(row.cells) if cell.strip()]
        if len(full) != 1 or self._headers.kind is not ListKind.THINGS:
            return False
        # where nothing but a note stands beside the names, most rows are a name alone
        if not _FIGURES & self._headers.at.keys():
            return False
        place, words = full[0][0], tidy(full[0][1])
        # a whole line in quotes is no heading
        if len(row.cells) == 1 and SEPARATORS.get(self._table.parted, "\n") in words:
            return False
        if _SUMS.fullmatch(words) or not re.search(r"[^\W\d]", words):
            return False
        named = place == self._headers.at.get("name") and len(row.cells) > 1
        plain = words.endswith(":") or (words.isupper() and len(words) > 3)
        if named and not plain:
            told = self._findings.ask(
                f"alone {words}",
                f"line {row.line} holds nothing but {quoted(words)}: the heading of a group, "
                "or a thing?",
                (HEADING, THING),
                row.line,
            )
            if told == THING:
                return False
            if not told:
                return True
        self._group = words.rstrip(":")
        self._findings.note("read as headings of groups", f"line {row.line}: {self._group}")
        return True

    def _is_header_again(self, row: Row) -> bool:
        again = [*map(tidy, row.cells)] == [*map(tidy, self._headers.row.cells)]
        if not again and not self._holds_headers(row):
            return False
        self._findings.refuse(
            row.line, "", " ".join(row.cells)[:60], "is a second row of headers",
            "take each table in by itself, or delete this row",
        )  # fmt: skip
        return True

    def _holds_headers(self, row: Row) -> bool:
        # a row of headers holds words alone, and most rows hold a number
        if any(map(_DIGIT.search, row.cells)):
            return False
        table = TABLES[self._headers.kind]
        known = sum(guess(cell, table) is not None for cell in row.cells)
        return known >= 2 and known >= len([c for c in row.cells if c.strip()])

    def _is_sum(self, row: Row) -> bool:
        """A row of a total: left out, its mass checked against the sum of the lines above."""
        named = next((tidy(c) for c in row.cells if _SUMS.fullmatch(tidy(c))), "")
        blank = not self._name(row) and all(
            not cell.strip() or (row.line, place) in self._table.unvalued
            for place, cell in enumerate(row.cells)
        )
        if blank:
            self._findings.note(
                "a row of formulas that were never worked out is left out", f"line {row.line}"
            )
            return True
        if not named and (self._name(row) or not self.totals.agree(row)):
            return False
        if named and self._name(row) and not _SUMS.fullmatch(self._name(row)):
            return False
        self.totals.check(row, named or "a line without a name")
        return True

    def _is_nameless(self, row: Row) -> bool:
        if self._name(row) or "name" not in self._headers.at:
            return False
        full = sum(map(bool, map(str.strip, row.cells)))
        if "id" in self._headers.at or full > 2:
            self._findings.refuse(
                row.line, self._headers.header("name"), "", "the row has no name",
                "write a name, or delete the row",
            )  # fmt: skip
        else:
            shown = quoted(" ".join(filter(None, map(tidy, row.cells))))
            self._findings.note("lines without a name are left out", f"line {row.line}: {shown}")
        return True


def _without_figures(row: Row) -> str:
    """The words of a row, with a sign for each number: pages of one list have titles alike."""
    return re.sub(r"\d+", "0", " ".join(filter(None, map(tidy, row.cells))))


def _without_parents(lines: Sequence[Line], findings: Findings) -> list[Line]:
    """Ask about each line whose mass is that of the lines right under it: counted twice?"""
    kept: list[Line] = []
    for at, line in enumerate(lines):
        parts = _parts_of(lines, at)
        if not parts:
            kept.append(line)
            continue
        question = f"parent {line.name}"
        told = findings.ask(
            question,
            f"{quoted(line.name)} in line {line.number} weighs as much as the {parts} lines under "
            "it together: are they its parts, so that its mass is there twice?",
            ("its parts: leave it out", "things of their own: keep it"),
            line.number,
        )
        if not told:
            kept.append(replace(line, asks=(*line.asks, question)))
        elif told.startswith("things"):
            kept.append(line)
        else:
            findings.note("left out, for its parts are listed", f"line {line.number}: {line.name}")
    return kept


def _parts_of(lines: Sequence[Line], at: int) -> int:
    """How many lines right below add up to this one's mass; 0 for none."""
    line = lines[at]
    mass = _all_of(line)
    if not mass or not _HOLDS_OTHERS.search(line.name):
        return 0
    together = Fraction(0)
    for number, below in enumerate(lines[at + 1 : at + 40], start=1):
        part = _all_of(below)
        together += part
        if below.group != line.group or not part or together > mass:
            return 0
        if together == mass:
            return number if number > 1 else 0
    return 0


def _all_of(line: Line) -> Fraction:
    """The mass of all pieces of a line, 0 where it is not known."""
    return pieces(line) * (exact_mass(line) or Fraction(0))
