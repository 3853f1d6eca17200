"""Lines of one name, and of nearly one name: never merged, but asked about."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from toolbox.files.problems import quoted
from toolbox.intake.line_masses import pieces
from toolbox.intake.names import fold, tidy
from toolbox.intake.reading import Count, Findings, Line, Value

TWICE, MORE, ANOTHER = "typed twice", "one more of it", "another thing"
_CHOICES = (TWICE, MORE, ANOTHER)


@lru_cache(maxsize=8192)
def near_keys(name: str) -> frozenset[str]:
    """Keys of which two nearly equal names share one: slips of a letter, blanks, word order.

    Names that differ in a number or in a lone letter share none: they are other sizes.
    """
    plain = fold(name)
    words = re.findall(r"[^\W_]+", plain)
    firm = sorted(w for w in words if len(w) == 1 or any(c.isdigit() for c in w))
    # 5mm and 5 mm are split alike by fold; all digits count, in whatever word they stand
    digits = "|".join(re.findall(r"\d+", plain)) + "/" + "|".join(w for w in firm if w.isalpha())
    letters = "".join(re.findall(r"[^\W\d_]", plain))
    bag = " ".join(sorted(w.removesuffix("s") for w in words))
    keys = {f"squeezed {digits} {letters}", f"bag {bag}"}
    if len(letters) >= 7:
        keys |= {f"slip {digits} {letters[:n]}{letters[n + 1 :]}" for n in range(len(letters))}
        keys.add(f"slip {digits} {letters}")
    return frozenset(keys)


def without_twins(lines: Sequence[Line], findings: Findings) -> list[Line]:
    """The lines, those that may be one with an earlier one asked about.

    Lines with ids of their own are what they say they are. The same name in two places is
    one thing in each of them.
    """
    keeper = _Keeper(findings)
    for line in lines:
        keeper.take(line)
    return keeper.kept


class _Keeper:
    def __init__(self, findings: Findings) -> None:
        self.kept: list[Line] = []
        self._findings = findings
        self._same: dict[tuple[str, str], int] = {}
        self._places: dict[str, str] = {}
        self._near: dict[str, int] = {}

    def take(self, line: Line) -> None:
        """Keep a line, leave it out as told, or keep it with a question."""
        if line.text("id") or not line.name:
            self.kept.append(line)
            return
        key = (fold(line.name), fold(line.text("place") or line.group))
        if key in self._same:
            self._again(line, self._same[key])
            return
        if self._places.setdefault(key[0], key[1]) != key[1]:
            self._findings.note(
                "a name that stands in two places is taken as one thing in each",
                f"line {line.number}: {line.name}",
            )
        self._same[key] = len(self.kept)
        near = self._nearly(line)
        if near is None:
            self.kept.append(line)
        else:
            self._ask(line, near, f"near {tidy(line.name)}", "is nearly the name of")
        for found in near_keys(line.name):
            self._near.setdefault(found, self._same[key])

    def _nearly(self, line: Line) -> int | None:
        for key in near_keys(line.name):
            at = self._near.get(key)
            if at is not None and fold(self.kept[at].name) != fold(line.name):
                return at
        return None

    def _again(self, line: Line, at: int) -> None:
        first = self.kept[at]
        if _stored_otherwise(first, line):
            self._findings.note(
                "two lines that differ only in how their letters are stored are one",
                f"lines {first.number} and {line.number}: {line.name}",
            )
            return
        self._ask(line, at, f"twice {tidy(line.name)}", "is the name of")

    def _ask(self, line: Line, at: int, question: str, how: str) -> None:
        first = self.kept[at]
        told = self._findings.ask(
            question,
            f"{quoted(tidy(line.name))} in line {line.number} {how} {quoted(first.name)} in line "
            f"{first.number}: is it typed twice, one more of it, or another thing?",
            _CHOICES,
            line.number,
        )
        if told == TWICE:
            self._findings.note("left out as typed twice", f"line {line.number}: {line.name}")
        elif told == MORE:
            self.kept[at] = _with_more(first, line)
        else:
            self.kept.append(line if told else replace(line, asks=(*line.asks, question)))


def _stored_otherwise(first: Line, line: Line) -> bool:
    """Whether two rows are the same signs in two forms of Unicode, and not the same bytes."""
    forms = [unicodedata.normalize("NFC", "\0".join(one.cells)) for one in (first, line)]
    return forms[0] == forms[1] and first.cells != line.cells


def _with_more(first: Line, line: Line) -> Line:
    counted = first.what("count", Count) or Count(Fraction(1))
    together = counted._replace(number=counted.number + pieces(line))
    both = Value("count", "", together, f"lines {first.number} and {line.number} together")
    return replace(first, values=MappingProxyType({**first.values, "count": both}))
