"""The grammar of numbers in quantities: which digits, marks and fractions are read, and how.

Everything here is exact. What could mean two numbers is refused with a cure.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from types import MappingProxyType

# blanks that programs put between digits, and between a number and its unit
BLANKS = " \t\u00a0\u2007\u2009\u202f"
_LONGEST = 100


def _vulgar_fractions() -> dict[str, str]:
    """½ and its like as 1/2, from their own decomposition; ⅟ has no denominator and stays out."""
    found: dict[str, str] = {}
    for char in map(chr, (*range(0xBC, 0xBF), *range(0x2150, 0x215F))):
        codes = unicodedata.decomposition(char).removeprefix("<fraction> ").split()
        found[char] = "".join(chr(int(code, 16)) for code in codes).replace("\u2044", "/")
    return found


VULGAR = MappingProxyType(_vulgar_fractions())


class Refused(Exception):
    """Why a text was refused and what to write instead ("" for the usual example)."""

    def __init__(self, reason: str, cure: str = "") -> None:
        super().__init__(reason, cure)
        self.reason = reason
        self.cure = cure


_ONE_FORM = str.maketrans(
    {"’": "'", "′": "'", "″": '"', "”": '"', "\u2044": "/", "\u03bc": "µ"}
    | dict.fromkeys(BLANKS, " ")
)
_ABOUT = re.compile(r"[~≈<>≤≥±∓]|^\W*(?:ca|circa|approx|about|around|max|min|up to|some)\b", re.I)
# a run may hold marks, blanks, fractions and hyphens: whether it is a number is asked later
_RUN = re.compile(r"\.?\d(?:[\d.,'/ -]*\d)?")

_PLAIN = re.compile(r"\d+")
_MIXED = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)")
_GROUPED = re.compile(r"([1-9]\d{0,2}(?:([ '.,])\d{3})(?:\2\d{3})*)(?:([.,])(\d+))?")
_DECIMAL = re.compile(r"(\d*)\.(\d+)|(\d+),(\d+)")


def split(text: str, *, marks_are_lengths: bool) -> list[tuple[str, str]]:
    """The text as pairs of a number and the word after it ("" where there is none).

    Prime and double prime become ft and in where ``marks_are_lengths``. Raises Refused
    for text that is no amount at all: signs, limits, "about", digits of other scripts.
    """
    line = text.translate(_ONE_FORM).strip()
    _check_signs(line)
    line = _spell_fractions(line)
    if marks_are_lengths:
        line = _spell_marks(line)
    pairs: list[tuple[str, str]] = []
    at = 0
    while at < len(line):
        run = _RUN.match(line, at)
        if run is None:
            raise Refused("does not begin with a number")
        # all up to the next digit is the unit word, so that nothing is passed over
        following = re.search(r"\d", line[run.end() :])
        end = run.end() + following.start() if following else len(line)
        pairs.append((run.group(), line[run.end() : end].strip()))
        at = end
    return pairs


def _check_signs(line: str) -> None:
    if not line:
        raise Refused("nothing is written here")
    if len(line) > _LONGEST:
        raise Refused("too long for a quantity")
    # Python's own int() takes digits of every script, and ² as well
    if any(c.isdigit() and c not in "0123456789³" and c not in VULGAR for c in line):
        raise Refused("has digits other than 0 to 9", "write it with the digits 0 to 9")
    if "_" in line:
        raise Refused("has an underscore in it", "write the number without it")
    if not all(c.isprintable() for c in line):
        raise Refused("has a control character in it", "type it again on one line")
    if _ABOUT.search(line):
        raise Refused("says about or a limit, not an amount", "write the one amount to reckon with")
    if line[0] in "-−–":
        raise Refused("is negative", "write 0 or a larger amount")
    if line[0] == "+":
        raise Refused("has a sign before it", "write it without the sign")


def _spell_fractions(line: str) -> str:
    """½ as 1/2, with a blank before it where a whole number stands there."""
    spelled: list[str] = []
    for place, char in enumerate(line):
        if char not in VULGAR:
            spelled.append(char)
            continue
        # ½5 would turn into 1/25
        if line[place + 1 : place + 2].isdigit() or line[place + 1 : place + 2] == "/":
            raise Refused("has a digit right after a fraction")
        spelled.append((" " if place and line[place - 1].isdigit() else "") + VULGAR[char])
    return "".join(spelled)


def _spell_marks(line: str) -> str:
    """' as ft and \" as in; ' between a digit and exactly three digits stays a thousands mark."""
    line = line.replace("''", '"').replace('"', " in ")
    return re.sub(r"(?<!\d)'|'(?!\d{3}(?!\d))", " ft ", line).strip()


def number(run: str) -> Fraction:
    """The value of one number: 450, 9.5, 1,5, 1 250, 1'250, 1.250,5, 3/8, 1 1/2, 5-7/8.

    A point alone is a decimal point, and so is a comma unless exactly three digits
    follow it. Thousands marks stand before groups of exactly three. Raises Refused.
    """
    if _PLAIN.fullmatch(run):
        return Fraction(int(run))
    if "/" in run:
        return _fraction(run)
    if "-" in run:
        raise Refused("is a range", "write the one amount to reckon with")
    # a comma that could be either mark is the one form with two right readings
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", run):
        whole, part = run.split(",")
        raise Refused(
            f"could be {whole}.{part} or {whole}{part}", f"write {whole}.{part} or {whole}{part}"
        )
    if decimal := _DECIMAL.fullmatch(run):
        whole, part = (decimal[1], decimal[2]) if decimal[2] else (decimal[3], decimal[4])
        return Fraction(int(whole + part), 10 ** len(part))
    return _grouped(run)


def _fraction(run: str) -> Fraction:
    match = _MIXED.fullmatch(run)
    if match is None:
        raise Refused("is no fraction that can be read", "write it like 3/8 or 1 1/2")
    whole, top, bottom = int(match[1] or 0), int(match[2]), int(match[3])
    # 11/2 is what some programs make of 1½, and 0-3/8 can be a range
    if not 0 < top < bottom or (match[1] and not whole):
        raise Refused("is no fraction below one", "write it like 3/8 or 1 1/2")
    return whole + Fraction(top, bottom)


def _grouped(run: str) -> Fraction:
    match = _GROUPED.fullmatch(run)
    if match is None or match[3] == match[2]:
        if " " in run:
            raise Refused("holds more than one number")
        raise Refused("has marks in places where no number has them", "write it like 1250.5")
    whole, part = re.sub(r"\D", "", match[1]), match[4] or ""
    return Fraction(int(whole + part), 10 ** len(part))
