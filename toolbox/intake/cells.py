"""One row's cells by what they mean: each as a value with the guess it rests on, or not at all."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from fractions import Fraction

from toolbox.files.csv_guard import unguarded
from toolbox.files.problems import listed, nearest, quoted
from toolbox.intake import amounts, counts, days, marks
from toolbox.intake.cell_words import (
    KIND_WORDS,
    KNOWN,
    LARGEST,
    LEAVE_OUT,
    MEASURES,
    UNIT_OF,
    UNITS,
    YES_NO,
    grams_word,
    unlikely,
)
from toolbox.intake.draws import measured_by
from toolbox.intake.headers import KINDS, Headers
from toolbox.intake.marks import Marks, OpenMark
from toolbox.intake.names import tidy
from toolbox.intake.reading import CELL, Count, Day, Findings, Line, ListKind, Span, Value, What
from toolbox.intake.table import Row
from toolbox.kit.quantities import Kind, QuantityError, write
from toolbox.kit.quantities_numbers import Refused, number
from toolbox.kit.quantities_units import find_unit
from toolbox.kit.things import KIND_OF, Measure

_BROKEN = re.compile(r"#(?:REF|N/A|DIV/0|NAME|VALUE|NUM|NULL)[!?]?", re.I)


class _Held(Exception):
    """A cell that waits for the answer to a question, by its id."""


class RowReader:
    """Reads rows into lines; what is refused or asked goes to the findings."""

    def __init__(
        self, headers: Headers, findings: Findings, number_marks: Marks, order: str
    ) -> None:
        self.headers = headers
        self._findings = findings
        self._marks = number_marks
        self._order = order
        self._row = Row(0, ())
        self._values: dict[str, Value] = {}
        self._asks: list[str] = []
        self._failed = False
        self._readers = self._of_things()
        self._mended = any(question.startswith(CELL) for question in findings.answers.said)

    def _of_things(self) -> Mapping[str, Callable[[str, str], Value | None]]:
        quantity = dict.fromkeys(("mass", "reading", "length", "width", "height"), self._quantity)
        words = {"kind": KIND_WORDS, "measure": MEASURES, "known": KNOWN}
        readers: dict[str, Callable[[str, str], Value | None]] = {
            **quantity,
            "sides": self._sides,
            "step": self._text if self.headers.kind is ListKind.JOBS else self._quantity,
            "count": self._count,
            "amount": self._span,
            "torque": self._span,
            "drive": self._size,
            "size": self._size,
            "pack": self._supply,
            "stock": self._supply,
            "par": self._supply,
            "day": self._day,
            "last check": self._day,
            "due": self._day,
            "carried": self._yes_no,
            "urgent": self._yes_no,
            "step number": self._whole,
            "minutes": self._number,
            "job minutes": self._number,
            "per day": self._number,
            "tools": self._raw,
            "supplies": self._raw,
        }
        for meaning, table in words.items():
            readers[meaning] = lambda meaning, cell, table=table: self._word(meaning, cell, table)  # type: ignore[misc]
        return readers

    def line(self, row: Row, group: str, unvalued: frozenset[tuple[int, int]]) -> Line | None:
        """The row as a line; None where the mechanic said to leave it out."""
        self._row, self._values, self._asks, self._failed = row, {}, [], False
        # what a day is due by may count from the day before it in the same row
        order = sorted(self.headers.at, key=lambda meaning: meaning == "due")
        for meaning in order:
            place = self.headers.at[meaning]
            # an apostrophe that keeps a spreadsheet from its tricks is no part of the text
            cell = unguarded(row.cells[place])
            if (row.line, place) in unvalued:
                self._refuse(
                    meaning, cell, "holds a formula that was never worked out",
                    "open the list in its own program, save it there, and import it again",
                )  # fmt: skip
                continue
            told = self._findings.answers.to(self._id(meaning, cell)) if self._mended else ""
            if told == LEAVE_OUT:
                self._findings.note("left out, as told", f"line {row.line}")
                return None
            self._one(meaning, told or cell, answered=bool(told))
        values = {m: self._values[m] for m in self.headers.at if m in self._values}
        asks = tuple(dict.fromkeys(self._asks))
        return Line(row.line, row.cells, values, asks, self._failed, group)

    def _one(self, meaning: str, cell: str, *, answered: bool) -> None:
        try:
            value = self._readers.get(meaning, self._text)(meaning, cell)
        except OpenMark as mark:
            marks.ask(self._findings, str(mark), self._row.line)
            self._asks.append(marks.QUESTION)
            return
        except _Held as held:
            self._asks.append(str(held))
            return
        if value is not None:
            rests = "as answered" if answered else value.rests_on
            self._values[meaning] = Value(meaning, value.cell, value.what, rests)

    # ---- what is told of a cell

    def _id(self, meaning: str, cell: str) -> str:
        return f"{CELL}{self.headers.header(meaning)}: {tidy(cell)}"

    def _refuse(self, meaning: str, cell: str, reason: str, cure: str) -> None:
        self._failed = True
        header = self.headers.header(meaning) if meaning in self.headers.at else ""
        self._findings.refuse(self._row.line, header, cell, reason, cure)

    def _ask_cell(self, meaning: str, cell: str, why: str, choices: tuple[str, ...]) -> _Held:
        """A question what should stand in a cell; its answer is read in the cell's place."""
        question = self._id(meaning, cell)
        who = quoted(tidy(self._row.cells[self.headers.at["name"]])) if self._named else "the row"
        header = quoted(self.headers.header(meaning))
        asked = f"{quoted(tidy(cell))} under {header}, for {who}: {why}; what is meant?"
        self._findings.ask(question, asked, (*choices, LEAVE_OUT), self._row.line, free=True)
        return _Held(question)

    @property
    def _named(self) -> bool:
        return "name" in self.headers.at

    # ---- readers, by meaning

    def _text(self, meaning: str, cell: str) -> Value | None:
        """The cell's text on one line, blanks squeezed; refused with control characters."""
        words = tidy(cell)
        if not words.isprintable() and any(unicodedata.category(c) == "Cc" for c in words):
            self._refuse(meaning, cell, "has a control character in it", "type the text again")
            return None
        # a quote mark after a blank means that the separator inside it was not quoted
        if words.startswith('"') and not cell.startswith('"'):
            self._refuse(
                meaning, cell, "has a quote mark after a blank", "write it without the blank"
            )
            return None
        if meaning in ("name", "id", "job") and _BROKEN.fullmatch(words):
            self._refuse(meaning, cell, "is an error of a spreadsheet", "mend its formula")
            return None
        return Value(meaning, cell, words) if words else None

    def _raw(self, meaning: str, cell: str) -> Value | None:
        return Value(meaning, cell, cell) if cell.strip() else None

    def _unit(self, meaning: str) -> str:
        """The unit for bare numbers: by the row, the header, else as answered, "" if unknown."""
        place = self.headers.at.get("unit")
        own = tidy(self._row.cells[place]) if place is not None else ""
        # a volume in a column of masses is told as one, not taken for the list's unit
        others = () if self.headers.units.get(meaning) else (Kind.VOLUME,)
        if own and any(find_unit(own, kind) for kind in (*KINDS[meaning], *others)):
            return own
        told = self._findings.answers.to(f"unit {UNIT_OF.get(meaning, meaning)}")
        choices = UNITS.get(KINDS[meaning][0], ())
        return self.headers.units.get(meaning, "") or (told if told in choices else "")

    def _ask_unit(self, meaning: str, cell: str) -> _Held:
        if self._unit(meaning):  # "1 lb 8": the list's unit is known, and says nothing of the 8
            return self._ask_cell(meaning, cell, "has a number without a unit", ())
        question = f"unit {UNIT_OF.get(meaning, meaning)}"
        header = quoted(self.headers.header(meaning))
        asked = f"{quoted(tidy(cell))} under {header} has no unit: which is meant in this list?"
        self._findings.ask(question, asked, UNITS[KINDS[meaning][0]], self._row.line)
        return _Held(question)

    def _amount(self, meaning: str, cell: str) -> Span | None:
        kinds, unit = KINDS[meaning], self._unit(meaning)
        try:
            if pair := amounts.twice(cell, kinds, self._marks):
                self._findings.note(pair[1], f"line {self._row.line}")
                return pair[0]
            return amounts.span(cell, kinds, unit, self._marks)
        except QuantityError as error:
            if error.reason == "has no unit":
                raise self._ask_unit(meaning, cell) from None
            self._not_read(meaning, cell, error)
            return None

    def _not_read(self, meaning: str, cell: str, error: QuantityError) -> None:
        if sizes := days.once_a_size(cell):
            raise self._ask_cell(meaning, cell, "looks like a day a spreadsheet made", sizes)
        if error.reason.startswith("less than half"):
            near = f"{tidy(cell)} {'kg' if KINDS[meaning][0] is Kind.MASS else 'm'}"
            raise self._ask_cell(meaning, cell, f"is {error.reason} by its unit", (near,))
        if other := grams_word(cell):
            raise self._ask_cell(meaning, cell, "has the word for grains", (other,))
        if "volume, not of mass" in error.reason:
            raise self._ask_cell(meaning, cell, f"{error.reason}, so weigh it", ())
        if tidy(cell).casefold() in ("n/a", "?", "tbd", "unknown", "-", "tbc"):
            raise self._ask_cell(meaning, cell, f"says that nobody knows the {meaning}", ())
        self._refuse(meaning, cell, error.reason, error.cure)

    def _quantity(self, meaning: str, cell: str) -> Value | None:
        """A mass or a side: one amount, more than nought, and none that a slip would make."""
        if not cell.strip():
            return None
        span = self._amount(meaning, cell)
        if span is None:
            return None
        if span.one is None:
            ends = tuple(write(end, span.kind) for end in (span.low, span.high) if end)
            raise self._ask_cell(meaning, cell, "is not one amount", ends)
        self._check_likely(meaning, cell, span)
        if not 0 < span.one <= LARGEST:
            limits = f"{write(1, span.kind)} to {write(LARGEST, span.kind)}"
            self._refuse(meaning, cell, "is out of bounds", f"write an amount from {limits}")
            return None
        rests = self._rests(meaning, cell)
        if span.about:
            rests = f"about; {rests}" if rests else "about"
        if span.exact is not None and span.exact != span.one and span.kind is Kind.MASS:
            self._findings.note("masses are kept in whole grams", f"line {self._row.line}")
        return Value(meaning, cell, span, rests)

    def _rests(self, meaning: str, cell: str) -> str:
        unit = self._unit(meaning) if amounts.is_bare(cell) else ""
        where = " from the header" if self.headers.units.get(meaning) == unit else ""
        return f"unit {unit}{where}" if unit else ""

    def _check_likely(self, meaning: str, cell: str, span: Span) -> None:
        """Ask where a bare number under its column's unit can hardly be meant so."""
        unit = self._unit(meaning)
        near = unlikely(span, unit, tidy(cell)) if amounts.is_bare(cell) else None
        if near is not None:
            raise self._ask_cell(meaning, cell, f"is {span.words()} by the unit {unit}", near)

    def _sides(self, meaning: str, cell: str) -> Value | None:
        if not cell.strip():
            return None
        try:
            sides, rests = amounts.sides(cell, self._unit(meaning), self._marks)
        except QuantityError as error:
            if error.reason == "has no unit":
                raise self._ask_unit(meaning, cell) from None
            self._not_read(meaning, cell, error)
            return None
        if not all(side is None or 0 < side <= LARGEST for side in sides):
            self._refuse(meaning, cell, "is out of bounds", "write sides like 120 x 70 x 60 mm")
            return None
        return Value(meaning, cell, sides, rests or self._rests_of_sides(cell))

    def _rests_of_sides(self, cell: str) -> str:
        return "" if re.search(r"[a-z]{2}|\"|m\b", cell, re.I) else f"unit {self._unit('sides')}"

    def _span(self, meaning: str, cell: str) -> Value | None:
        if not cell.strip():
            return None
        span = self._amount(meaning, cell)
        if span is None:
            return None
        rests = "a bare number is taken as pieces" if span.kind is Kind.PIECES else ""
        return Value(meaning, cell, span, rests)

    def _supply(self, meaning: str, cell: str) -> Value | None:
        """An amount of a supply in its own measure; only the least to keep may be a range."""
        if tidy(cell) in ("", "-"):
            return None
        told = self._values.get("measure")
        name = self._row.cells[self.headers.at["name"]] if self._named else ""
        guessed = measured_by(name).measure
        measure = Measure(told.what) if told is not None else guessed
        try:
            span = amounts.span(cell, (KIND_OF[measure],), "", self._marks)
        except QuantityError as error:
            self._not_read(meaning, cell, error)
            return None
        if span.one is None and (meaning != "par" or span.high is None):
            ends = tuple(write(end, span.kind) for end in (span.low, span.high) if end)
            raise self._ask_cell(meaning, cell, "is not one amount", ends)
        low = span.high if span.one is None else span.one
        if not (0 if meaning != "pack" else 1) <= (low or 0) <= LARGEST:
            self._refuse(meaning, cell, "is out of bounds", "write an amount from 1 up")
            return None
        rests = "" if span.one is not None else "the upper end of a range"
        return Value(meaning, cell, span, rests)

    def _count(self, meaning: str, cell: str) -> Value | None:
        if not cell.strip():
            self._findings.note("a blank count is taken as 1", f"line {self._row.line}")
            return Value(meaning, cell, Count(Fraction(1)), "blank, taken as 1")
        try:
            counted = counts.count(cell)
        except counts.NoCount as none:
            if none.ask:
                raise self._ask_cell(meaning, cell, none.reason, ("1",)) from None
            sizes = days.once_a_size(cell)
            if sizes:
                raise self._ask_cell(meaning, cell, "looks like a day", ()) from None
            self._refuse(meaning, cell, none.reason, "write a number like 2, or 2 pairs")
            return None
        plain = re.fullmatch(r"\d+", tidy(cell))
        rests = "" if plain else f"read as {counted.words()}"
        return Value(meaning, cell, counted, rests)

    def _size(self, meaning: str, cell: str) -> Value | None:
        """A nominal size, kept as text; what a spreadsheet made a day of is asked about."""
        words = tidy(cell)
        sizes = days.once_a_size(words)
        # 3-8 and 1/2 are sizes as they stand; only what no size looks like is asked
        if sizes and words not in sizes:
            raise self._ask_cell(meaning, cell, "looks like a day a spreadsheet made", sizes)
        plain = amounts.inch_size(words) if meaning == "drive" else words
        return Value(meaning, cell, plain) if plain else None

    def _day(self, meaning: str, cell: str) -> Value | None:
        if tidy(cell) in ("", "-", "–", "—"):
            return None
        since = self._values.get("last check")
        day = since.what if since is not None else None
        try:
            if meaning == "due":
                start = day.day if isinstance(day, Day) else None
                found = days.due(cell, self._row.line, self._findings, self._order, start)
            else:
                found = days.day(cell, self._row.line, self._findings, self._order)
        except days.NoDay as none:
            self._refuse(meaning, cell, none.reason, none.cure)
            return None
        if found is None:
            raise _Held(days.QUESTION)
        return Value(meaning, cell, found, "" if found.words() == tidy(cell) else "day read")

    def _yes_no(self, meaning: str, cell: str) -> Value | None:
        if not cell.strip():
            if meaning == "carried":
                header = quoted(self.headers.header(meaning))
                self._findings.note(f"a blank cell under {header} is read as no")
            return Value(meaning, cell, False, "blank, taken as no")
        return self._word(meaning, cell, YES_NO)

    def _word(self, meaning: str, cell: str, words: Mapping[str, What]) -> Value | None:
        """What the cell's word stands for, None when it is empty or refused."""
        plain = tidy(cell).casefold()
        if not plain and meaning == "kind":
            self._refuse(meaning, cell, "is blank", "write tool or consumable")
        if not plain:
            return None
        if plain in words:
            return Value(meaning, cell, words[plain])
        near = nearest(plain, words)
        cure = f'did you mean "{near}"' if near else f"write {listed(words, 'or')}"
        self._refuse(meaning, cell, "is not one of the words for it", cure)
        return None

    def _whole(self, meaning: str, cell: str) -> Value | None:
        plain = tidy(cell)
        if not plain:
            return None
        # int() would take 1_250, +3 and digits of other scripts
        if not re.fullmatch(r"[0-9]{1,9}", plain) or not 1 <= int(plain) <= 999:
            self._refuse(meaning, cell, "is no whole number that fits", "write one from 1 to 999")
            return None
        return Value(meaning, cell, Fraction(int(plain)))

    def _number(self, meaning: str, cell: str) -> Value | None:
        """An exact number from 0 to 1000."""
        plain = tidy(cell)
        if not plain:
            return None
        try:
            if not re.fullmatch(r"[0-9][0-9.,/ ]*", plain):
                raise Refused("is not a number", "write it like 1.5")
            value = number(self._marks.plain(plain))
            # the kit's files keep six decimals; more could not be read back the same
            if value > 1000 or (value * 10**6).denominator != 1:
                raise Refused("is out of bounds", "write 0 to 1000 with at most six decimals")
        except Refused as refused:
            self._refuse(meaning, cell, refused.reason, refused.cure or "write it like 1.5")
            return None
        return Value(meaning, cell, value)
