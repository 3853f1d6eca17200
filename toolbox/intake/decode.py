"""From bytes to text: byte-order marks, UTF-16, UTF-8, cp1252; what is no text is refused."""

from __future__ import annotations

import codecs
import re
from typing import NamedTuple

from toolbox.files.problems import quoted

MOST_BYTES = 10_000_000
_CURE = 'save it as "CSV UTF-8"'
# How files begin that people take for lists now and then.
_OTHERS = (
    (b"%PDF", "a PDF", "copy its table into a spreadsheet and save that as CSV"),
    (b"\x89PNG", "a picture", "type the list into a spreadsheet"),
    (b"\xff\xd8\xff", "a picture", "type the list into a spreadsheet"),
    (b"{\\rtf", "a text document", "copy its table into a spreadsheet and save that as CSV"),
    (b"SQLite format 3", "a database", "save the list as CSV"),
)
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
    (codecs.BOM_UTF32_LE, "", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f]")
_NOT_ASCII = re.compile(r"[^\W\d_]*[^\x00-\x7f\s][^\W\d_]*")


class Unreadable(Exception):
    """A list that cannot be read as a table, at which line (0: as a whole), and the cure."""

    def __init__(self, line: int, reason: str, cure: str) -> None:
        super().__init__(line, reason, cure)
        self.line = line
        self.reason = reason
        self.cure = cure


class Decoded(NamedTuple):
    """The text of a list, and what has to be said of how it was read ("" for nothing)."""

    text: str
    note: str = ""


def check_size(data: bytes) -> None:
    """Raise Unreadable for data too large to be a list of tools."""
    if len(data) > MOST_BYTES:
        raise Unreadable(
            0,
            f"holds more than {MOST_BYTES // 1_000_000} MB, which is no list of tools",
            "save only the sheet with the list, or take it in in parts",
        )


def decode(data: bytes) -> Decoded:
    """The text in the bytes; Unreadable where there is none."""
    for begins, what, cure in _OTHERS:
        if data.startswith(begins):
            raise Unreadable(0, f"is {what}, not a list", cure)
    for mark, encoding, name in _MARKS:
        if data.startswith(mark):
            return _checked(_by_mark(data, encoding, name))
    if encoding := _utf16_without_mark(data):
        text = _by_mark(data, encoding, "UTF-16")
        return _checked(text, "read as UTF-16 without a byte-order mark")
    try:
        return _checked(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
    return _windows(data, line)


def _by_mark(data: bytes, encoding: str, name: str) -> str:
    if not encoding:
        raise Unreadable(0, f"is written in {name}", _CURE)
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise Unreadable(line, f"begins as {name} and is not {name} here", _CURE) from None


def _utf16_without_mark(data: bytes) -> str:
    """Every other byte of plain letters in UTF-16 is nought; in no other text is one."""
    head = data[:2000]
    few = len(head) // 2
    if few and head[1::2].count(0) > 0.4 * few and not head[::2].count(0):
        return "utf-16-le"
    if few and head[::2].count(0) > 0.4 * few and not head[1::2].count(0):
        return "utf-16-be"
    return ""


def _windows(data: bytes, line: int) -> Decoded:
    """The text as Windows writes it, with a word to see it by."""
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError:
        raise Unreadable(line, "the list is neither in UTF-8 nor in Windows-1252", _CURE) from None
    # a wrong code page gives wrong letters and no error, so somebody must look at a word
    words = [found.group() for found in _NOT_ASCII.finditer(text)][:4]
    note = "read as Windows-1252, for it is not UTF-8"
    if words:
        note += f"; if these words are wrong, {_CURE}: {', '.join(map(quoted, words))}"
    return _checked(text, note)


def _checked(text: str, note: str = "") -> Decoded:
    if _CONTROL.search(text):
        raise Unreadable(0, "the list is no text", _CURE)
    if not text.strip().strip("\ufeff"):
        raise Unreadable(0, "the list is empty", "choose a list with a header row")
    return Decoded(text, note)
