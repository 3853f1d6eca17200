"""Text for people: output that survives any terminal, columns, wrapped lists, figures."""

from __future__ import annotations

import codecs
import json
import sys
import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Any, TextIO

from toolbox.desk.figures import clean, count, grams, seconds

__all__ = [
    "cells",
    "clean",
    "count",
    "grams",
    "pad",
    "paragraph",
    "ready_streams",
    "remark",
    "say",
    "say_json",
    "seconds",
    "table",
    "wrap",
]

WIDTH = 80
GAP = "  "

# What an old console gets instead of signs it does not have.
PLAIN = {
    "·": ".",
    "×": "x",
    "–": "-",
    "—": "-",
    "±": "+/-",
    "µ": "u",
    "μ": "u",
    "°": "deg ",
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "Ø": "dia ",
    "ø": "dia ",
    "→": "->",
    "…": "...",
    "\u00a0": " ",
    "\u202f": " ",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
    "ß": "ss",
}


def _plain(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    # Only ASCII comes out of here: it must be encodable in every code page.
    bad = error.object[error.start : error.end]
    return "".join(_plain_letter(letter) for letter in bad), error.end


def _plain_letter(letter: str) -> str:
    if letter in PLAIN:
        return PLAIN[letter]
    bare = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode()
    return bare or "?"


def ready_streams() -> None:
    """Make stdout and stderr write every text, in plainer letters where they must."""
    codecs.register_error("toolbox-plain", _plain)
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="toolbox-plain")


def say(text: str = "") -> None:
    """A line of the answer, on standard output."""
    _write(sys.stdout, text)


def remark(text: str) -> None:
    """A line beside the answer, on standard error."""
    _write(sys.stderr, text)


def say_json(data: dict[str, Any]) -> None:
    """The answer as JSON: keys in the order given, ASCII only, one object."""
    _write(sys.stdout, json.dumps(data, ensure_ascii=True, indent=2))


def _write(stream: TextIO, text: str) -> None:
    # Not click.echo: it writes UTF-8 into streams that say they are ASCII.
    stream.write(text + "\n")


def cells(text: str) -> int:
    """How many columns of the terminal the text takes."""
    from rich.cells import cell_len

    return cell_len(text)


def pad(text: str, width: int, *, right: bool = False) -> str:
    """Text filled up with blanks to a width in terminal columns."""
    blanks = " " * max(0, width - cells(text))
    return blanks + text if right else text + blanks


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, right: Iterable[int] = ()) -> str:
    """Columns under heads, the last one wrapped so that lines keep to 80 columns."""
    aligned = frozenset(right)
    widths = [max(cells(row[n]) for row in (heads, *rows)) for n in range(len(heads) - 1)]
    lead = sum(widths) + len(GAP) * len(widths)
    lines = []
    for row in (heads, *rows):
        front = GAP.join(pad(row[n], widths[n], right=n in aligned) for n in range(len(widths)))
        last = wrap(row[-1], max(16, WIDTH - lead))
        lines.append((front + GAP + last[0]).rstrip() if widths else last[0])
        lines += [" " * lead + more for more in last[1:]]
    return "\n".join(lines)


def wrap(text: str, width: int = WIDTH) -> list[str]:
    """Text broken at blanks into lines of at most this width; at least one line."""
    return textwrap.wrap(text, width, break_on_hyphens=False) or [""]


def paragraph(text: str, indent: str = "") -> str:
    """Text wrapped to 80 columns, each line behind the indent."""
    return "\n".join(indent + line for line in wrap(text, WIDTH - len(indent)))


def hang(head: str, words: str) -> None:
    """Print words wrapped behind a head on the first line, the other lines as far in."""
    say(head + paragraph(clean(words), " " * len(head)).lstrip())
