"""Text on the screen: what people typed made harmless, measured and cut by columns.

Everything a person named or noted goes through `plain` before it is drawn. The
result is a rich `Text`, which is never read as markup, and in which each sign
takes the columns that `cells` says: no control signs, no marks that turn the
reading direction, no joiners or variation signs that change a width afterwards.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from rich.cells import cell_len, get_character_cell_size
from rich.text import Text

CUT = "~"

# The signs our own lines, bars and marks may be made of: each takes one column
# in every terminal, also in those that draw ambiguous signs two columns wide
# only for East Asian text.
CHROME = frozenset(map(chr, range(0x20, 0x7F))) | frozenset("─│┌┐└┘├┤┬┴┼━┃×")

# General categories of Unicode whose signs are left out (formats: direction
# marks, joiners, tags) or stand as a blank (controls, line and paragraph ends).
_OUT = frozenset({"Cf"})
_BLANK = frozenset({"Cc", "Zl", "Zp"})
_VARIATIONS = frozenset(map(chr, [*range(0xFE00, 0xFE10), *range(0x180B, 0x1810)]))


@lru_cache(maxsize=4096)
def _harmless(letter: str) -> str:
    category = unicodedata.category(letter)
    if category in _OUT or letter in _VARIATIONS or 0xE0100 <= ord(letter) <= 0xE01EF:
        return ""
    if category in _BLANK:
        return " "
    # Half of a pair cannot be written to any terminal.
    return "?" if category == "Cs" else letter


def clean(text: str) -> str:
    """The text on one line without signs that a terminal could act on.

    Controls and line ends become blanks, direction marks, joiners and variation
    signs go, lone surrogates become "?". A text that begins with a combining mark
    gets a blank to bear it, so that the mark does not change what stands before.
    """
    if text.isascii() and text.isprintable():
        return text
    tidy = "".join(map(_harmless, text))
    return " " + tidy if tidy and not _bears(tidy[0]) else tidy


def _bears(letter: str) -> bool:
    return get_character_cell_size(letter) > 0


def plain(text: str | Text) -> Text:
    """The text as a `Text` that draws what was typed and nothing else, on one line.

    Styles of a `Text` stay when nothing had to be taken out of it; otherwise
    only its overall style does.
    """
    if isinstance(text, str):
        return Text(clean(text), end="", no_wrap=True)
    tidy = clean(text.plain)
    return text if tidy == text.plain else Text(tidy, style=text.style, end="", no_wrap=True)


def cells(text: str | Text) -> int:
    """How many columns of the terminal the text takes."""
    return cell_len(text if isinstance(text, str) else text.plain)


def cut(text: str | Text, width: int) -> Text:
    """The text if it takes at most `width` columns, else its start, ending in "~".

    A wide letter that would lie across the edge is left out with the rest.
    """
    whole = plain(text)
    if cells(whole) <= width:
        return whole
    if width <= 0:
        return Text("", end="")
    end = _letters_within(whole.plain, width - len(CUT))
    kept = whole[:end]
    kept.append(CUT)
    return kept


def _letters_within(text: str, width: int) -> int:
    taken = 0
    for place, letter in enumerate(text):
        taken += get_character_cell_size(letter)
        if taken > width:
            return place
    return len(text)


def fit(text: str | Text, width: int, *, right: bool = False) -> Text:
    """The text cut or filled up with blanks to exactly `width` columns."""
    piece = cut(text, width).copy()
    blanks = max(0, width - cells(piece))
    if right:
        piece.pad_left(blanks)
    else:
        piece.pad_right(blanks)
    return piece


def wrapped(text: str | Text, width: int) -> list[Text]:
    """The whole text in lines of at most `width` columns, parted at blanks if it can.

    Nothing is left out but the blanks at which it was parted. `width` is at
    least 2, or a wide letter could not be placed.
    """
    lines: list[Text] = []
    rest = plain(text)
    while cells(rest) > max(2, width):
        end = max(1, _letters_within(rest.plain, max(2, width)))
        gap = rest.plain.rfind(" ", 1, end + 1)
        lines.append(rest[: gap if gap > 0 else end])
        rest = rest[gap + 1 if gap > 0 else end :]
    return [*lines, rest]


def in_chrome(text: str) -> bool:
    """Whether the text is made only of signs our own lines and marks may use."""
    return CHROME.issuperset(text)
