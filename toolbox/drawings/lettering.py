"""How wide words are, and how large they can be written to fit a place.

Widths are those of Helvetica in thousandths of the letters' size (Adobe's font metrics of
the 14 standard fonts); a letter with an accent is as wide as the letter. What is not known
counts as wide as it is high, so that words are rather written too small than over an edge.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from toolbox.drawings.page import Anchor, Rect, Words

_PLAIN = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 "
    "556 556 556 278 278 584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 "
    "722 778 667 778 722 667 611 722 667 944 667 667 611 278 278 278 469 556 333 556 556 500 556 "
    "556 278 556 556 222 222 500 222 833 556 556 556 556 333 500 278 556 500 722 500 500 500 334 "
    "260 334 584"
)
_STRONG = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 "
    "556 556 556 333 333 584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 611 833 "
    "722 778 667 778 722 667 611 722 667 944 667 667 611 333 278 333 584 556 333 556 611 556 611 "
    "556 333 611 611 278 278 556 278 889 611 611 611 611 389 556 333 611 556 778 556 556 500 389 "
    "280 389 584"
)
_MORE = MappingProxyType(
    {
        "·": 278, "×": 584, "µ": 611, "°": 400, "½": 834, "¼": 834, "¾": 834, "±": 584, "–": 556,
        "—": 1000, "…": 1000, "•": 350, "Ø": 778, "ø": 611, "ß": 611, "Æ": 1000, "æ": 889,
        "‘": 278, "’": 278, "“": 500, "”": 500, "€": 556, "£": 556, "§": 556,
        "í": 278, "ì": 278, "î": 278, "ï": 278,
    }
)  # fmt: skip
_UNKNOWN = 1000

LEADING = 1200
"""From one base line to the next, in thousandths of the letters' size."""
_ASCENT = 740
_UNIT = 4  # letters of a unit at most, with a comma or point behind it
_STEP = 100  # what letters are made smaller by, in micrometres, when trying


def _table(widths: str) -> MappingProxyType[str, int]:
    ascii_widths = zip(map(chr, range(32, 127)), map(int, widths.split()), strict=True)
    return MappingProxyType({**_MORE, **dict(ascii_widths)})


_WIDTHS = {False: _table(_PLAIN), True: _table(_STRONG)}


@lru_cache(maxsize=16_384)
def thousandths(text: str, strong: bool = False) -> int:
    """How wide a line of text is, in thousandths of the size of its letters."""
    table = _WIDTHS[strong]
    return sum(_width(letter, table) for letter in text)


def _width(letter: str, table: MappingProxyType[str, int]) -> int:
    if letter in table:
        return table[letter]
    if unicodedata.combining(letter):
        return 0
    return table.get(unicodedata.normalize("NFD", letter)[0], _UNKNOWN)


def is_measured(text: str) -> bool:
    """Whether the width of every letter is known."""
    table = _WIDTHS[False]
    return all(letter in table or unicodedata.normalize("NFD", letter)[0] in table
               for letter in text)  # fmt: skip


def width_of(text: str, size: int, strong: bool = False) -> int:
    """How wide a line of text is, rounded up to a whole micrometre."""
    return -(-thousandths(text, strong) * size // 1000)


class Fitted(NamedTuple):
    """Words that fit: the size of the letters and the lines they are broken into."""

    size: int
    lines: tuple[str, ...]

    @property
    def height(self) -> int:
        """What the lines take up from the first one's top."""
        return len(self.lines) * self.size * LEADING // 1000


def fit(
    text: str,
    width: int,
    height: int,
    largest: int,
    smallest: int,
    strong: bool = False,
    *,
    in_one: int = 0,
) -> Fitted | None:
    """Text as large as it fits into a place; None when it does not.

    One line, made smaller down to ``in_one`` (else ``smallest``); where that is not enough,
    several lines broken at blanks, as large as they fit, but not below ``smallest``.
    """
    wide = max(1, thousandths(text, strong))
    size = min(largest, width * 1000 // wide, height * 1000 // LEADING)
    if size >= max(in_one, smallest):
        return Fitted(size, (text,))
    for size in range(largest, smallest - 1, -_STEP):
        lines = broken(text, width * 1000 // size, strong)
        if lines is not None and len(lines) * size * LEADING <= height * 1000:
            return Fitted(size, lines)
    return None


def broken(text: str, width: int, strong: bool = False) -> tuple[str, ...] | None:
    """Text in lines of at most so many thousandths; None when a single word is wider.

    A figure and the unit behind it stay on one line where they fit there.
    """
    blank = thousandths(" ", strong)
    lines: list[str] = []
    room = -1
    for word in _pieces(text, width, strong):
        wide = thousandths(word, strong)
        if wide > width:
            return None
        if lines and wide + blank <= room:
            lines[-1] += f" {word}"
            room -= wide + blank
        else:
            lines.append(word)
            room = width - wide
    return tuple(lines) or ("",)


def _pieces(text: str, width: int, strong: bool) -> list[str]:
    """The words of a text, "10 mm" and the like as one of them."""
    pieces: list[str] = []
    for word in text.split():
        unit = len(word) <= _UNIT and not word[0].isdigit()
        both = f"{pieces[-1]} {word}" if pieces and unit and pieces[-1][-1].isdigit() else ""
        if both and thousandths(both, strong) <= width:
            pieces[-1] = both
        else:
            pieces.append(word)
    return pieces


def written(
    fitted: Fitted, rect: Rect, anchor: Anchor = Anchor.MIDDLE, strong: bool = False
) -> tuple[Words, ...]:
    """Fitted words in the middle of a place's height, in its middle or at one side."""
    x = {
        Anchor.START: rect.x,
        Anchor.MIDDLE: rect.x + rect.width // 2,
        Anchor.END: rect.right,
    }[anchor]
    top = rect.y + (rect.height - fitted.height) // 2
    first = top + fitted.size * (LEADING - 1000 + 2 * _ASCENT) // 2000
    leading = fitted.size * LEADING // 1000
    return tuple(
        Words(x, first + n * leading, fitted.size, text, anchor, strong)
        for n, text in enumerate(fitted.lines)
    )


def turned_up(fitted: Fitted, rect: Rect) -> tuple[Words, ...]:
    """Fitted words in the middle of a place, running upwards."""
    lying = written(fitted, Rect(0, 0, rect.height, rect.width))
    # A quarter turn to the left: along becomes up from the lower edge, down becomes right.
    return tuple(
        Words(rect.x + one.y, rect.bottom - one.x, one.size, one.text, one.anchor, turned=True)
        for one in lying
    )
