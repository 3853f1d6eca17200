"""Totals in a list, checked against the masses of the lines above them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from toolbox.intake.amounts import span
from toolbox.intake.headers import Headers
from toolbox.intake.line_masses import exact_mass, pieces, says_each
from toolbox.intake.marks import Marks
from toolbox.intake.reading import Findings, Line
from toolbox.intake.table import Row
from toolbox.kit.quantities import Kind, QuantityError, write

_SUM_WORD = re.compile(r"total|\b(?:sum|summe|gesamt|somme|suma)\b", re.I)


@dataclass
class _Sum:
    """Masses added up in grams, by count and without counts; ``whole`` until one is not known."""

    lines: int = 0
    pieces: Fraction = Fraction(0)
    by_count: Fraction = Fraction(0)
    plain: Fraction = Fraction(0)
    whole: bool = True

    def add(self, number: Fraction, mass: Fraction | None) -> None:
        """Add a line of so many pieces of this mass."""
        self.lines += 1
        self.pieces += number
        if mass is None:
            self.whole = False
            return
        self.by_count += mass if number == 1 else number * mass
        self.plain += mass

    def agrees(self, total: Fraction, *, counted: bool) -> bool:
        """Whether a total is this sum, give or take what rounding each line makes."""
        ours = self.by_count if counted else self.plain
        return self.lines > 0 and self.whole and abs(ours - total) <= Fraction(self.lines, 2000) + 1

    def is_of(self, line: Line) -> bool:
        """Whether a line with a name of its own may be the total of these lines, to the gram."""
        # of two lines alone it is too often by chance
        enough = 3 if _SUM_WORD.search(line.name) is None else 1
        return (
            self.whole
            and self.lines >= enough
            and exact_mass(line) in (self.by_count, self.plain)
            and pieces(line) in (1, self.pieces)
        )


class Totals:
    """The sums of the lines so far, and how the totals of the list agree with them."""

    def __init__(self, headers: Headers, findings: Findings, number_marks: Marks) -> None:
        self._headers = headers
        self._findings = findings
        self._marks = number_marks
        # since the last total, and from the beginning
        self._part, self._whole = _Sum(), _Sum()
        self._agreed: set[str] = set()

    @property
    def of_lines(self) -> bool:
        """Whether totals agree with the masses only when counts are left aside."""
        return self._agreed == {"plain"}

    def add(self, line: Line) -> None:
        """Add one line of the list."""
        number, mass = pieces(line), exact_mass(line)
        self._part.add(number, mass)
        self._whole.add(number, mass)

    def agree(self, row: Row) -> bool:
        """Whether a row's mass is the sum of the lines above, all or since the last total."""
        total = self._total(row)
        return total is not None and bool(self._how(total))

    def may_be(self, line: Line) -> bool:
        """Whether a line weighs just what the lines above do, all or since the last total."""
        return not line.text("id") and (self._part.is_of(line) or self._whole.is_of(line))

    def check(self, row: Row, what: str) -> None:
        """Tell how the row of a total agrees; the next one is of the lines below it."""
        total = self._total(row)
        where = f"line {row.line}: {what}"
        whole = re.match(r"sub|zwischen|sous", what, re.I) is None
        ours = self._whole if whole else self._part
        if total is None:
            self._findings.note("totals are left out", where)
        elif how := self._how(total):
            self._note_agreed(ours, how, f"{where}, {_g(total)}")
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

    def _total(self, row: Row) -> Fraction | None:
        """The mass in a row of a total, exactly; None where there is none to read.

        Where nothing in the list settles its mark, the sum of the lines does: what is
        nearer to that is meant.
        """
        ways = (self._marks,) if self._marks.decided else (Marks("point"), Marks("comma"))
        read = [total for way in ways if (total := self._read(row, way)) is not None]
        ours = self._whole.by_count
        return min(read, key=lambda total: abs(total - ours)) if read else None

    def _read(self, row: Row, number_marks: Marks) -> Fraction | None:
        place = self._headers.at.get("mass")
        if place is None or not row.cells[place].strip():
            return None
        unit = self._headers.units.get("mass", "") or self._findings.answers.to("unit mass")
        try:
            return span(row.cells[place], (Kind.MASS,), unit, number_marks).exact
        except QuantityError:
            return None

    def _how(self, total: Fraction) -> str:
        """How a total agrees: "counted", "plain" when counts are left aside, "" if it does not."""
        sums = (self._part, self._whole)
        if any(ours.agrees(total, counted=True) for ours in sums):
            return "counted"
        # masses that are said to be of one piece cannot add up to it without their counts
        each = says_each(self._headers.header("mass"))
        plain = not each and any(ours.agrees(total, counted=False) for ours in sums)
        return "plain" if plain else ""

    def _note_agreed(self, ours: _Sum, how: str, where: str) -> None:
        aside = " only when counts are left aside" if how == "plain" else ""
        # where there is one of each, counts show nothing
        if aside or ours.by_count != ours.plain:
            self._agreed.add(how)
        self._findings.note(f"totals are left out; they agree with the lines above{aside}", where)


def _g(grams: Fraction) -> str:
    return write(int(grams + Fraction(1, 2)), Kind.MASS)
