"""Amounts as people write them: ranges, limits, "about", two units for one thing, three sides."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from toolbox.intake.marks import Marks
from toolbox.intake.reading import Sides, Span
from toolbox.kit.quantities import Kind, QuantityError, exact, read
from toolbox.kit.quantities_numbers import VULGAR

_ABOUT = re.compile(
    r"^\s*(?:[~≈]|(?:ca|circa|approx|about|around|env|etwa|ungefähr|environ)\b\.?)\s*"
    r"|\s*(?:\((?:approx|about|ca)\.?\)|approx\.?)\s*$",
    re.I,
)
# words that say of an amount only that it is that of one piece
_EACH = re.compile(
    r"(?<=\w)\.?\s*(?:\(each\)|each|ea\.?|apiece|per piece|/ ?(?:pc|piece|ea))\s*$", re.I
)
_MOST = re.compile(r"^\s*(?:[<≤]|(?:max|up to|at most|under|bis|höchstens)\b\.?)\s*", re.I)
_LEAST = re.compile(r"^\s*(?:[>≥]|(?:min|at least|over|from|ab|mindestens)\b\.?)\s*", re.I)
_NUMBER = r"\d[\d.,'’\s]*\d|\d"
_RANGE = re.compile(
    rf"\s*({_NUMBER})\s*([^\d\s–—-][^\d–—-]*?)?\s*(?:–|—|\bto\b|\bbis\b|\.\.\.?|…|-)\s*"
    rf"({_NUMBER})(?![\d/])\s*(\D.*)?",
    re.I,
)
_OFF = re.compile(rf"\s*({_NUMBER})\s*([^\d±]*?)\s*±\s*({_NUMBER})\s*(\D.*)?")
# 5-7/8 is a mixed number: whole, hyphen, fraction below one
_MIXED = re.compile(r"\d+-\d+/\d+")


def span(text: str, kinds: Sequence[Kind], unit: str, marks: Marks) -> Span:
    """The amount or range in the first of the kinds that its unit fits.

    ``unit`` serves numbers that name none. Raises QuantityError for text that is no
    amount, OpenMark for a mark that could mean two things.
    """
    plain = _EACH.sub("", marks.plain(text))
    about = _ABOUT.search(plain) is not None
    plain = _ABOUT.sub("", plain)
    found: QuantityError | None = None
    for kind in kinds:
        try:
            ends = _ends(plain, kind, unit)
        except QuantityError as error:
            # the first kind is the usual one: its words are what helps
            found = found or error
            continue
        one = exact(plain, kind, unit) if _is_one(plain) else None
        return Span(kind, *ends, about, one)
    assert found is not None, "there is a kind"
    raise QuantityError(text, found.reason, found.cure)


def is_bare(text: str) -> bool:
    """Whether a text holds numbers and no unit word."""
    plain = _LEAST.sub("", _MOST.sub("", _ABOUT.sub("", text)))
    return not re.search(r"[^\W\d]|[\"″]|'\W*$", plain)


def _is_one(text: str) -> bool:
    patterns = (_MOST.match(text), _LEAST.match(text), _OFF.fullmatch(text))
    return not any(patterns) and (bool(_MIXED.search(text)) or not _RANGE.fullmatch(text))


def _ends(text: str, kind: Kind, unit: str) -> tuple[int | None, int | None]:
    if limit := _MOST.match(text):
        return None, read(text[limit.end() :], kind, unit)
    if limit := _LEAST.match(text):
        return read(text[limit.end() :], kind, unit), None
    if off := _OFF.fullmatch(text):
        word = (off[4] or off[2]).strip()
        middle = _read(off[1], off[2] or word, kind, unit)
        by = _read(off[3], word, kind, unit)
        if by > middle:
            raise QuantityError(text, "is off by more than itself", "write the two ends")
        return middle - by, middle + by
    ends = None if _MIXED.search(text) else _RANGE.fullmatch(text)
    if ends:
        word = (ends[4] or ends[2] or "").strip()
        low, high = _read(ends[1], ends[2] or word, kind, unit), _read(ends[3], word, kind, unit)
        if low > high:
            raise QuantityError(text, "its first end is the larger one", "write the smaller first")
        return low, high
    both = read(text, kind, unit)
    return both, both


def _read(number: str, word: str, kind: Kind, unit: str) -> int:
    return read(f"{number} {word}".strip(), kind, unit)


def twice(text: str, kinds: Sequence[Kind], marks: Marks) -> tuple[Span, str] | None:
    """One thing told in two units, "2.1 bar / 30 psi": the first, and how far they agree.

    None where the text is no such pair; the words say by how much they differ.
    """
    parts = re.split(r"\s*[/(=]\s*(?=\d)", text.strip().rstrip(")"))
    if len(parts) != 2 or not all(re.search(r"[^\W\d]", part) for part in parts):
        return None
    try:
        first = span(parts[0], kinds, "", marks)
        second = span(parts[1], (first.kind,), "", marks)
    except QuantityError:
        return None
    if not first.one or second.one is None:
        return None
    off = Fraction(abs(second.one - first.one), first.one)
    # 2 %: people round each of the two to what their scale shows
    if off > Fraction(1, 50):
        cure = f"write one of the two, {parts[0]} or {parts[1]}"
        raise QuantityError(text, "tells two amounts that do not agree", cure)
    return first, f"{parts[0]} and {parts[1]} agree within {float(100 * off):.1f} %: the first kept"


_CROSS = re.compile(r"\s*[x×*✕]\s*|\s+by\s+", re.I)
_LETTERED = re.compile(
    r"\s*([LWHBDT])\s*[:=]?\s*(\d+(?:[.,]\d+)?)\s*(mm|cm|m|in|\")?(?:\s*[,;/x×]\s*|\s+|$)", re.I
)


def looks_like_sides(text: str) -> bool:
    """Whether a text tells two or three sides of a thing."""
    return len(_parts(text)) in (2, 3)


def _parts(text: str) -> list[str]:
    plain = text.strip()
    if lettered := _by_letters(plain):
        return lettered
    parts = _CROSS.split(plain)
    # one slash is a fraction, two part three sides
    if len(parts) == 1 and re.fullmatch(r"[\d.,]+\s*/\s*[\d.,]+\s*/\s*[\d.,]+\s*\D{0,8}", plain):
        parts = re.split(r"\s*/\s*", plain)
    numbers = [part for part in parts if re.match(r"[Øø⌀]?\s*[.\d½¼¾⅛⅜⅝⅞]", part)]
    return parts if len(numbers) == len(parts) > 1 else []


def _by_letters(text: str) -> list[str]:
    """The parts of L400 W300 H60 in that order; [] for text of another form."""
    found = list(_LETTERED.finditer(text))
    if "".join(f.group() for f in found) != text or len(found) not in (2, 3):
        return []
    order = {"l": 0, "w": 1, "b": 1, "h": 2, "d": 2, "t": 2}
    letters = [order[f[1].lower()] for f in found]
    if len(set(letters)) != len(letters):
        return []
    pairs = sorted(zip(letters, (f"{f[2]} {f[3] or ''}".strip() for f in found), strict=True))
    return [part for _, part in pairs]


def sides(text: str, unit: str, marks: Marks) -> tuple[Sides, str]:
    """Two or three sides out of one cell, and what that reading rests on.

    A unit at the end holds for the numbers before it. Raises QuantityError, its reason "has
    no unit" where ``unit`` would help.
    """
    parts = _parts(marks.plain(text))
    if len(parts) not in (2, 3):
        raise QuantityError(text, "is not three sides", "write it like 120 x 70 x 60 mm")
    round_one = [part[0] in "Øø⌀" for part in parts]
    parts = [part.lstrip("Øø⌀ ") for part in parts]
    given = [_unit_of(part) for part in parts]
    usual = given[-1] or unit
    read_sides = [
        read(part, Kind.LENGTH, own or usual) for part, own in zip(parts, given, strict=True)
    ]
    if any(round_one) and len(parts) == 2:
        across = read_sides[round_one.index(True)]
        along = read_sides[1 - round_one.index(True)]
        return Sides(along, across, across), "a round thing: its diameter stands for both sides"
    if any(round_one):
        raise QuantityError(text, "has a diameter among three sides", "write the three sides")
    if len(parts) == 3:
        return Sides(*read_sides), ""
    long, thin = max(read_sides), min(read_sides)
    # 2 m x 5 mm: two units and so long and thin is a hose or a cable
    if len(set(given)) == 2 and all(given) and long >= 50 * thin:
        return Sides(long, thin, thin), "length by diameter, for it is so long and thin"
    return Sides(read_sides[0], read_sides[1], None), "the third side is not told"


def _unit_of(part: str) -> str:
    found = re.search(r"([^\W\d_]+|[\"'″′])\.?\s*$", part)
    return found[1] if found and found[1] not in VULGAR else ""


def inch_size(text: str) -> str:
    """A drive or nominal size with its inch mark spelled out: 3/8" is "3/8 in", ½ in "1/2 in"."""
    plain = "".join(VULGAR.get(char, char) for char in text.strip())
    plain = re.sub(r"\s*(?:\"|″|”|''|\bin(?:ch(?:es)?)?\b\.?)\s*$", " in", plain, flags=re.I)
    return " ".join(plain.split())
