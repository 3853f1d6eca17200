"""How many: numbers, number words, pairs, sets, rolls, "2 + 1" and "3, spare"."""

from __future__ import annotations

import re
from fractions import Fraction
from types import MappingProxyType

from toolbox.intake.reading import Count
from toolbox.kit.quantities_numbers import VULGAR

MOST = 999_999
_WORDS = MappingProxyType(
    {
        word: number
        for number, line in enumerate(
            (
                "one|a|an|single|ein|eine|un|une|uno|een", "two|zwei|deux|due|twee",
                "three|drei|trois|tre|drie", "four|vier|quatre", "five|fünf|cinq",
                "six|sechs", "seven|sieben|sept", "eight|acht|huit", "nine|neun|neuf",
                "ten|zehn|dix", "eleven|elf|onze", "twelve|zwölf|douze|dozen|a dozen",
            ),
            start=1,
        )
        for word in line.split("|")
    }
)  # fmt: skip
_PIECES = frozenset(
    ("pc", "pcs", "piece", "pieces", "ea", "each", "off", "nos", "stk", "stück", "st", "x", "×")
)
_OF = MappingProxyType(
    dict.fromkeys(("pair", "pairs", "pr", "prs", "paar", "paire", "paires"), "pair")
    | {f"{word}{end}": word for word in ("set", "kit", "roll", "pack", "bag", "bottle", "tube",
       "strip", "sheet", "coil", "can", "tin", "packet") for end in ("", "s")}
    | {"box": "box", "boxes": "box"}
)  # fmt: skip
_NUMBER = r"(\d{1,6}[.,]00?|\d{1,6}|\d{1,3}(?:[ '’\u00a0\u202f]\d{3})+|\d+ ?/ ?\d+|[a-zäöüß]+)"
_WORD = r"(?: ?([a-zäöüßéè×]+)\.?(?: ?\(?(?:of )?(\d{1,4})\)?)?)?"
_UNKNOWN = frozenset(("n/a", "na", "?", "??", "-", "–", "tbd", "tbc", "unknown", "x?", "k.a."))


class NoCount(Exception):
    """A text that is no count; ``ask`` where only the mechanic can say what is meant."""

    def __init__(self, reason: str, *, ask: bool = False) -> None:
        super().__init__(reason)
        self.reason = reason
        self.ask = ask


def count(text: str) -> Count:
    """The count in a text that is not blank. Raises NoCount."""
    plain = " ".join(text.split())
    if re.fullmatch(r"\d{1,6}", plain, re.ASCII):
        return _checked(Count(Fraction(int(plain))))
    # int() takes digits of every script; none of them is meant to be read here
    if re.search(r"(?![0-9])\d", plain):
        raise NoCount("has digits other than 0 to 9", ask=True)
    low = plain.lower()
    if low in _UNKNOWN:
        raise NoCount("says that nobody knows how many", ask=True)
    if re.fullmatch(r"[-−–] ?\d.*", low):
        raise NoCount("is below nought")
    for char, spelled in VULGAR.items():
        low = low.replace(char, f" {spelled}").strip()
    if found := re.fullmatch(r"[x×] ?(\d{1,6})", low):
        return _checked(Count(Fraction(int(found[1]))))
    if found := re.fullmatch(r"(\d{1,5}) ?\+ ?(\d{1,5})", low):
        return _checked(
            Count(Fraction(int(found[1]) + int(found[2])), remark=f"{plain} in the list")
        )
    if low in _OF:
        return Count(Fraction(1), _OF[low])
    found = re.fullmatch(rf"{_NUMBER}{_WORD}", low)
    if found and (counted := _counted(found)):
        return _checked(counted)
    # "3, spare" and "3 (one broken)": a number and a word about it
    remark = re.fullmatch(r"(\d{1,6})(?:\s*[,;:]\s*|\s*\()([^\W\d][^\d]*?)\)?", plain)
    if remark:
        return _checked(Count(Fraction(int(remark[1])), remark=remark[2].strip()))
    if re.search(r"\d", low) and re.fullmatch(r"[~≈<>≤≥]?.*\d.*", low):
        raise NoCount("is not one count", ask=True)
    raise NoCount("is no count")


def _counted(found: re.Match[str]) -> Count | None:
    number = _number(found[1])
    if number is None:
        return None
    word, holds = found[2] or "", int(found[3]) if found[3] else None
    if word in _PIECES or not word:
        return None if holds is not None else Count(number)
    return Count(number, _OF[word], holds) if word in _OF else None


def _number(text: str) -> Fraction | None:
    if part := re.fullmatch(r"(\d+) ?/ ?(\d+)", text):
        return Fraction(int(part[1]), int(part[2])) if int(part[2]) else None
    if re.fullmatch(r"[a-zäöüß]+", text):
        return Fraction(_WORDS[text]) if text in _WORDS else None
    return Fraction(int(re.sub(r"[.,]00?$|[ '’\u00a0\u202f]", "", text)))


def _checked(counted: Count) -> Count:
    if counted.number > MOST:
        raise NoCount(f"is more than {MOST}")
    return counted
