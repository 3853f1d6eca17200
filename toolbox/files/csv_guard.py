"""Cells that no spreadsheet turns into a formula, a date or a number; the guard taken off again.

The guard is one apostrophe at the beginning of the cell, before a text that needs it and before
no other. Whoever reads a list takes one off where such a text follows, and has what was meant:
an apostrophe of the text's own stays.
"""

from __future__ import annotations

import re

GUARD = "'"
# Signs at which a spreadsheet begins a formula, in East Asian width as well, and those it
# passes over before one.
_FORMULA = re.compile(r"\s*[=+\-@＝＋－＠−]|[\t\r\n]")
# Figures and signs alone: 3/8, 1-2, 10.5, 12:30, 007, 1E5, 5 %, in any script's figures.
_FIGURES = re.compile(r"\W*\d[\d\W]*(?:e[\d\W]*)?", re.IGNORECASE)
_CLOCK = re.compile(r"[\d\W]*\d\W*[ap](?:\W*m)?\W*", re.IGNORECASE)
_WORDS = frozenset({"true", "false"})
# What names of months begin with in the languages whose spreadsheets know them: "MAR 1", "4-Dez".
_MONTH = (
    r"(?:jan|feb|fév|fev|mar|mär|mrt|apr|avr|abr|may|mai|mag|mei|maj|jun|jui|giu|jul|lug|"
    r"aug|aoû|ago|sep|set|oct|okt|ott|out|nov|dec|déc|dez|dic)"
)
_DATE = re.compile(
    rf"\W*(?:{_MONTH}[^\W\d]*\W*\d[\d\W]*|\d[\d\W]*{_MONTH}[^\W\d]*[\d\W]*)", re.IGNORECASE
)


def guarded(text: str) -> str:
    """The text as a cell that a spreadsheet shows, keeps and saves as it is."""
    return GUARD + text if _needs_guard(text) else text


def unguarded(cell: str) -> str:
    """The text of a cell, whether it bears the guard or not; ``guarded`` undone."""
    if not cell.startswith(GUARD):
        return cell
    text = cell.removeprefix(GUARD)
    return text if _needs_guard(text) else cell


def _needs_guard(text: str) -> bool:
    # behind apostrophes of its own the text counts, else one of them would be taken for the guard
    bare = text.lstrip(GUARD)
    return (
        _FORMULA.match(bare) is not None
        or bare.strip().casefold() in _WORDS
        or any(look.fullmatch(bare) is not None for look in (_FIGURES, _CLOCK, _DATE))
    )
