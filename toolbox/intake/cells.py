"""One row's cells by what they mean: texts, quantities, counts, yes and no, each strict."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import TypeVar

from toolbox.files.problems import listed, nearest
from toolbox.intake.headers import KINDS, Headers
from toolbox.intake.names import tidy
from toolbox.intake.reading import Findings
from toolbox.intake.table import Row
from toolbox.kit.quantities import Kind, QuantityError, read, write
from toolbox.kit.quantities_numbers import Refused, number

_V = TypeVar("_V")

YES_NO = MappingProxyType(
    {"yes": True, "y": True, "true": True, "1": True, "x": True}
    | {"no": False, "n": False, "false": False, "0": False, "-": False}
)

# the most that the kit's files take for a mass or a side
_LARGEST = 1_000_000
_LONE_POINT = re.compile(r"\s*[1-9]\d{0,2}\.\d{3}(?![\d.,])")
_POINT_DECIDES = re.compile(r"(?<![\d.,])(?:0*\.\d+|\d+\.(?:\d{1,2}|\d{4,})|\d{4,}\.\d+)(?![\d.,])")
_COMMA_DECIDES = re.compile(r"(?<![\d.,])\d+,(?:\d{1,2}|\d{4,})(?![\d.,])")


def point_is_decimal(rows: Iterable[Row], headers: Headers) -> bool:
    """Whether the list's own cells settle that its point is a decimal point.

    "2.5" settles it, "1.450" does not: that may be a thousand and more. A decimal
    comma anywhere leaves it open.
    """
    places = [headers.at[meaning] for meaning in KINDS if meaning in headers.at]
    cells = [row.cells[place] for row in rows for place in places if place < len(row.cells)]
    return any(map(_POINT_DECIDES.search, cells)) and not any(map(_COMMA_DECIDES.search, cells))


class Cells:
    """The cells of one row; what is refused goes to the findings and sets ``failed``."""

    def __init__(
        self, row: Row, headers: Headers, findings: Findings, *, decimal_point: bool = True
    ) -> None:
        self.line = row.line
        self.failed = False
        self._row = row
        self._headers = headers
        self._findings = findings
        self._decimal_point = decimal_point

    def has(self, meaning: str) -> bool:
        """Whether the list has a column of that meaning."""
        return meaning in self._headers.at

    def raw(self, meaning: str) -> str:
        """The cell as it stands, "" where there is no such column."""
        return self._row.cells[self._headers.at[meaning]] if self.has(meaning) else ""

    def text(self, meaning: str) -> str:
        """The cell's text on one line, blanks squeezed; refused with control characters."""
        cell = self.raw(meaning)
        words = tidy(cell)
        if any(unicodedata.category(char) == "Cc" for char in words):
            self.refuse(meaning, "has a control character in it", "type the text again")
        # a quote mark after a blank means that the separator inside it was not quoted
        if words.startswith('"') and not cell.startswith('"'):
            self.refuse(meaning, "has a quote mark after a blank", "write it without the blank")
        return words

    def refuse(self, meaning: str, reason: str, cure: str, cell: str | None = None) -> None:
        """Refuse the cell of that meaning; ``cell`` where only a part of it is meant."""
        self.failed = True
        shown = self.raw(meaning) if cell is None else cell
        column = self._headers.header(meaning) if self.has(meaning) else ""
        self._findings.refuse(self.line, column, shown, reason, cure)

    def quantity(self, meaning: str, kind: Kind, least: int = 1) -> int | None:
        """The cell's quantity, None when it is blank or refused; its own unit comes first."""
        cell = self.raw(meaning)
        if not cell.strip():
            return None
        # decided per list, not per cell: one cell alone cannot tell
        if kind is not Kind.PIECES and not self._decimal_point and _LONE_POINT.match(cell):
            plain = tidy(cell).split()[0]
            small, large = f"{plain}0", plain.replace(".", "")
            self.refuse(
                meaning, "could be a decimal point or a thousands mark", f"write {small} or {large}"
            )
            return None
        try:
            value = read(cell, kind, self._headers.units.get(meaning, ""))
        except QuantityError as error:
            self.refuse(meaning, error.reason, error.cure)
            return None
        if not least <= value <= _LARGEST:
            limits = f"{write(least, kind)} to {write(_LARGEST, kind)}"
            self.refuse(meaning, "is out of bounds", f"write an amount from {limits}")
            return None
        return value

    def count(self, meaning: str, least: int, most: int) -> int | None:
        """The cell as a plain whole number, None when it is blank or refused."""
        cell = tidy(self.raw(meaning))
        if not cell:
            return None
        # int() would take 1_250, +3 and digits of other scripts
        if not re.fullmatch(r"[0-9]{1,9}", cell) or not least <= int(cell) <= most:
            self.refuse(
                meaning, "is no whole number that fits here", f"write a number {least} to {most}"
            )
            return None
        return int(cell)

    def number(self, meaning: str) -> Fraction | None:
        """The cell as an exact number from 0 to 1000, None when it is blank or refused."""
        cell = tidy(self.raw(meaning))
        if not cell:
            return None
        try:
            if not re.fullmatch(r"[0-9][0-9.,/ ]*", cell):
                raise Refused("is not a number", "write it like 1.5")
            value = number(cell)
            # the kit's files keep six decimals; more could not be read back the same
            if value > 1000 or (value * 10**6).denominator != 1:
                raise Refused("is out of bounds", "write 0 to 1000 with at most six decimals")
        except Refused as refused:
            self.refuse(meaning, refused.reason, refused.cure or "write it like 1.5")
            return None
        return value

    def word(self, meaning: str, words: Mapping[str, _V], blank: _V) -> _V:
        """What the cell's word stands for, ``blank`` when it is empty or refused."""
        cell = tidy(self.raw(meaning)).casefold()
        if not cell:
            return blank
        if cell in words:
            return words[cell]
        near = nearest(cell, words)
        cure = f'did you mean "{near}"' if near else f"write {listed(words, 'or')}"
        self.refuse(meaning, "is not one of the words for it", cure)
        return blank
