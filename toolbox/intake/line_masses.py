"""Masses of one piece or of the whole line: told by the header, shown by a total, else asked."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

from toolbox.intake.names import tidy
from toolbox.intake.reading import Count, Findings, Line, Span, Value

QUESTION = "each or all"
EACH, ALL = "one piece", "all of the line"
_OF_ALL = re.compile(r"\b(?:all|total|line|gesamt\w*|zusammen|totale?|tout|tutto)\b", re.I)
_OF_ONE = re.compile(
    r"\b(?:each|ea|unit|per|pro|one|einzel\w*|je|stück|pièce)\b|/ ?(?:pc|ea|piece|stk)", re.I
)


def exact_mass(line: Line) -> Fraction | None:
    """The mass of a line in grams before it was rounded; None without a single one."""
    span = line.what("mass", Span)
    if span is None or span.one is None:
        return None
    return span.exact if span.exact is not None else Fraction(span.one)


def pieces(line: Line) -> Fraction:
    """How many a line counts, 1 without a count."""
    count = line.what("count", Count)
    return Fraction(1) if count is None else count.number


def says_each(header: str) -> bool:
    """Whether a header says itself that its masses are those of one piece."""
    return bool(_OF_ONE.search(tidy(header)))


def of_one_piece(
    lines: Sequence[Line], header: str, totals_of_lines: bool, findings: Findings
) -> list[Line]:
    """The lines with the mass of one piece, as answered; without it while that is not known.

    ``totals_of_lines``: a total of the list is right only when counts are left aside.
    """
    several = [line for line in lines if pieces(line) not in (0, 1) and "mass" in line.values]
    if not several or says_each(header) or not (totals_of_lines or _OF_ALL.search(tidy(header))):
        return list(lines)
    why = "its total is right only when counts are left aside" if totals_of_lines else "it says so"
    header = tidy(header)
    words = f'under "{header}" a mass may be that of one piece or of all of its line ({why})'
    waiting = {line.number for line in several}
    return [_settled(x, header, words, findings) if x.number in waiting else x for x in lines]


def _settled(line: Line, header: str, words: str, findings: Findings) -> Line:
    told = findings.ask(QUESTION, f"{words}: which is meant?", (EACH, ALL), line.number)
    if told == EACH:
        return line
    values = dict(line.values)
    if told == ALL and (shared := _shared(line)) is not None:
        values["mass"] = shared
        return replace(line, values=MappingProxyType(values))
    if told == ALL:
        mass = values.pop("mass")
        findings.refuse(
            line.number, header, mass.cell,
            f"is less than half a gram for each of {pieces(line)}", "write the mass of one piece",
        )  # fmt: skip
        return replace(line, values=MappingProxyType(values), failed=True)
    del values["mass"]
    return replace(line, values=MappingProxyType(values), asks=(*line.asks, QUESTION))


def _shared(line: Line) -> Value | None:
    """The mass of one piece out of that of its line, None where it is less than can be kept."""
    value, exact = line.values["mass"], exact_mass(line)
    if not isinstance(value.what, Span) or exact is None:
        return value
    one = exact / pieces(line)
    whole = int(one + Fraction(1, 2))
    span = value.what._replace(low=whole, high=whole, exact=one)
    rests = f"all of the line, shared among {pieces(line)}"
    return Value(value.meaning, value.cell, span, rests) if whole else None
