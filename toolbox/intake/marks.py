"""Points and commas in numbers: which is the decimal mark, decided once for a list or asked."""

from __future__ import annotations

import re
from collections.abc import Iterable

from toolbox.intake.reading import Findings

QUESTION = "marks"
# 1.450 and 1,150: three digits after one mark, which may part thousands as well
_OPEN = re.compile(r"(?<![\d.,'’])[1-9]\d{0,2}([.,])\d{3}(?![\d.,])")
_POINT = re.compile(
    r"(?<![\d.,])(?:0*\.\d+|0+\.\d+|\d+\.(?:\d{1,2}|\d{4,})|\d{4,}\.\d+)(?![\d.,])"
    r"|\d,\d{3}\.\d"  # two marks: the last is the decimal one
    r"|(?<![\d.,])\d{1,3}(?:,\d{3}){2,}(?![\d,])"
)
_COMMA = re.compile(
    r"(?<![\d.,])(?:0+,\d+|\d+,(?:\d{1,2}|\d{4,})|\d{4,},\d+)(?![\d.,])"
    r"|\d\.\d{3},\d"
    r"|(?<![\d.,])\d{1,3}(?:\.\d{3}){2,}(?![\d.])"
)
_CHOICES = ("point", "comma", "none")


class Marks:
    """What points and commas in a list's numbers mean: "point", "comma", "none" or "" (open).

    "point": the point is the decimal mark and a comma parts thousands; "comma" the other
    way round; "none": there are no decimals, both part thousands.
    """

    def __init__(self, decided: str) -> None:
        self.decided = decided

    def plain(self, text: str) -> str:
        """The text with each open number written so that it means one thing only.

        Raises OpenMark for one that means two things as long as nothing is decided.
        """

        def one(found: re.Match[str]) -> str:
            if not self.decided:
                raise OpenMark(found.group())
            whole, part = re.split(r"[.,]", found.group())
            decimal = (found[1] == ".") == (self.decided == "point") and self.decided != "none"
            # four decimals are no thousands to anybody who reads the number later
            return f"{whole}.{part}0" if decimal else whole + part

        return _OPEN.sub(one, text)


class OpenMark(Exception):
    """A number whose mark could be a decimal one or one for thousands."""


def decide(cells: Iterable[str], told: str = "") -> Marks:
    """What the cells of a list settle among themselves; what was told comes first.

    A cell that decides is one with two marks, with other than three digits after its mark,
    or with a nought before it. Where cells contradict each other nothing is settled.
    """
    if told in _CHOICES:
        return Marks(told)
    point = comma = False
    for cell in cells:
        point = point or _POINT.search(cell) is not None
        comma = comma or _COMMA.search(cell) is not None
    return Marks("" if point == comma else "point" if point else "comma")


def ask(findings: Findings, number: str, line: int) -> None:
    """Ask, once for the whole list, what a mark before three digits means."""
    whole, part = re.split(r"[.,]", number)
    findings.ask(
        QUESTION,
        f"{number} could be {whole}.{part} or {whole}{part}: is the decimal mark in this list "
        "a point, a comma, or are there no decimals at all?",
        _CHOICES,
        line,
    )


def is_open(cell: str) -> bool:
    """Whether a cell holds a number that its mark alone does not settle."""
    return _OPEN.search(cell) is not None


def words(decided: str) -> str:
    """What was decided, for a note."""
    said = {
        "point": "the point is the decimal mark, a comma parts thousands",
        "comma": "the comma is the decimal mark, a point parts thousands",
        "none": "there are no decimals, points and commas part thousands",
    }
    return f"in numbers with three digits after their mark {said[decided]}"
