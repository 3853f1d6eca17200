"""The rows below the header: what is a line of the list, what a heading, a blank, a total."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from toolbox.files.problems import quoted
from toolbox.intake.amounts import span
from toolbox.intake.cells import RowReader
from toolbox.intake.headers import TABLES, guess
from toolbox.intake.marks import Marks, OpenMark
from toolbox.intake.names import tidy
from toolbox.intake.reading import Count, Findings, Line, ListKind, Span
from toolbox.intake.table import Row, Table
from toolbox.kit.quantities import Kind, QuantityError, write

_FIGURES = {"mass", "count", "sides", "length"}
HEADING, THING = "heading", "thing"
_SUM = (
    r"(?:grand |sub[ -]?)?totals?|sum|subtotals?|gesamt(?:gewicht)?|summe|zwischensumme"
    r"|(?:sous[ -])?total(?: général)?|somme|(?:sub)?totale|totaal|suma"
)
_SUMS = re.compile(rf"(?:{_SUM})\b[:. ]*(?:mass|weight|qty|\(?[a-z]{{1,3}}\)?)?[:. ]*", re.I)
_COUNTED = re.compile(
    r"^\d+ ?[x×] |[(,] ?(?:a |one )?(?:pair|set of \d+|[x×] ?\d+|\d+ ?[x×]|\d+ ?(?:pcs?|off))\b",
    re.I,
)
_DIGIT = re.compile(r"\d")
_HOLDS_OTHERS = re.compile(
    r"\b(?:kit|set|roll|case|pouch|bag|box|wrap|tray|pack|assembly|rolle|tasche|trousse)\b"
    r"|\(.*[,+&].*\)",
    re.I,
)


@dataclass
class _Sum:
    """Masses added up in grams, by count and without counts; ``whole`` until one is not known."""

    lines: int = 0
    by_count: Fraction = Fraction(0)
    plain: Fraction = Fraction(0)
    whole: bool = True

    def add(self, line: Line) -> None:
        """Add one line."""
        self.lines += 1
        mass = _mass(line)
        if mass is None:
            self.whole = False
            return
        self.by_count += _times(line) * mass
        self.plain += mass

    def agrees(self, total: Fraction) -> bool:
        """Whether a total is one of the sums, give or take what rounding each line makes."""
        off = Fraction(self.lines, 2000) + 1
        return (
            self.lines > 0
            and self.whole
            and any(abs(ours - total) <= off for ours in (self.by_count, self.plain))
        )


def _mass(line: Line) -> Fraction | None:
    value = line.values.get("mass")
    if value is None or not isinstance(value.what, Span) or value.what.one is None:
        return None
    return value.what.exact if value.what.exact is not None else Fraction(value.what.one)


def _times(line: Line) -> Fraction:
    count = line.values.get("count")
    return count.what.number if count and isinstance(count.what, Count) else Fraction(1)


def read_body(
    table: Table, start: int, reader: RowReader, findings: Findings, number_marks: Marks
) -> list[Line]:
    """Every row from ``start`` on that is a line of the list; what is dropped is told."""
    body = _Body(table, reader, findings, number_marks)
    for row in table.rows[start:]:
        body.take(row)
    return _without_parents(body.lines, findings)


class _Body:
    def __init__(
        self, table: Table, reader: RowReader, findings: Findings, number_marks: Marks
    ) -> None:
        self.lines: list[Line] = []
        self._table = table
        self._reader = reader
        self._headers = reader.headers
        self._findings = findings
        self._marks = number_marks
        self._group = ""
        # since the last total, and from the beginning
        self._part, self._whole = _Sum(), _Sum()

    def take(self, row: Row) -> None:
        """Read one row, or tell why it is no line of the list."""
        width = len(self._headers.row.cells)
        if self._is_heading(row):
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
        if line is not None:
            if _COUNTED.search(line.name):
                self._findings.note(
                    "a count inside a name stays in the name; how many there are says the "
                    "column of counts alone",
                    f"line {row.line}: {line.name}",
                )
            self.lines.append(line)
            self._part.add(line)
            self._whole.add(line)

    def _name(self, row: Row) -> str:
        place = self._headers.at.get("name")
        return tidy(row.cells[place]) if place is not None and place < len(row.cells) else ""

    def _is_heading(self, row: Row) -> bool:
        """A lone text: the heading of a group where it is not in the column of names."""
        full = [(n, cell) for n, cell in enumerate(row.cells) if cell.strip()]
        if len(full) != 1 or self._headers.kind is not ListKind.THINGS:
            return False
        # where nothing but a note stands beside the names, most rows are a name alone
        if not _FIGURES & self._headers.at.keys():
            return False
        place, words = full[0][0], tidy(full[0][1])
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
        # a row of headers holds words alone, and most rows hold a number
        if any(map(_DIGIT.search, row.cells)):
            return False
        table = TABLES[self._headers.kind]
        known = sum(guess(cell, table) is not None for cell in row.cells)
        if known < 2 or known < len([c for c in row.cells if c.strip()]):
            return False
        self._findings.refuse(
            row.line, "", " ".join(row.cells)[:60], "is a second row of headers",
            "take each table in by itself, or delete this row",
        )  # fmt: skip
        return True

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
        if not named and (self._name(row) or not self._agrees(row)):
            return False
        if named and self._name(row) and not _SUMS.fullmatch(self._name(row)):
            return False
        self._check_sum(row, named or "a line without a name")
        return True

    def _agrees(self, row: Row) -> bool:
        total = self._total(row)
        return total is not None and self._same(total)

    def _total(self, row: Row) -> Fraction | None:
        """The mass in a row of a total, exactly; None where there is none to read."""
        place = self._headers.at.get("mass")
        if place is None or not row.cells[place].strip():
            return None
        unit = self._headers.units.get("mass", "") or self._findings.answers.to("unit mass")
        try:
            return span(row.cells[place], (Kind.MASS,), unit, self._marks).exact
        except (QuantityError, OpenMark):
            return None

    def _same(self, total: Fraction) -> bool:
        """Whether the sum of the lines above, all or since the last total, is this one."""
        return self._part.agrees(total) or self._whole.agrees(total)

    def _check_sum(self, row: Row, what: str) -> None:
        total = self._total(row)
        where = f"line {row.line}: {what}"
        whole = re.match(r"sub|zwischen|sous", what, re.I) is None
        ours = self._whole if whole else self._part
        if total is None:
            self._findings.note("totals are left out", where)
        elif self._same(total):
            self._findings.note(
                "totals are left out; they agree with the lines above", f"{where}, {_g(total)}"
            )
        elif not ours.whole:
            self._findings.note(
                "totals are left out; they cannot be checked, for a mass above is not known", where
            )
        else:
            self._findings.note(
                "CAUTION: a total does not agree with the lines above",
                f"{where}, says {_g(total)}, they add up to {_g(ours.by_count)}",
            )
        self._part = _Sum()

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


def _g(grams: Fraction) -> str:
    return write(int(grams + Fraction(1, 2)), Kind.MASS)


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
    return _times(line) * (_mass(line) or Fraction(0))
