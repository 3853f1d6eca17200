"""From the bytes of a TOML file to plain tables, with faults that name the line."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from toolbox.files.problems import Problems, quoted

BOM = "\ufeff"
_OTHER_MARKS = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16"}

Raw = dict[str, Any]


def load(path: Path, problems: Problems) -> Raw | None:
    """The tables of a TOML file, or None after noting why there are none.

    Numbers with a decimal point come as Decimal, so that nothing is rounded here
    and nan and inf stay visible to those who check.
    """
    data = bytes_of(path, problems)
    return None if data is None else tables_of(data, problems)


def bytes_of(path: Path, problems: Problems) -> bytes | None:
    """The bytes of a file, None after noting why they cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        problems.add(f"cannot be read ({reason})", "make it a file that you may read")
        return None


def tables_of(data: bytes, problems: Problems) -> Raw | None:
    """The tables in the bytes of a TOML file as ``load`` gives them."""
    text = decoded(data, problems)
    return None if text is None else parsed(text, problems)


def decoded(data: bytes, problems: Problems) -> str | None:
    """The text of the file without a byte-order mark, None after noting why not."""
    cure = "save it again as UTF-8 from your editor"
    if other := _OTHER_MARKS.get(data[:2]):
        problems.add(f"is saved as {other} and not as UTF-8", cure)
        return None
    try:
        return data.decode("utf-8").removeprefix(BOM)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        byte = data[error.start]
        problems.add(f"byte 0x{byte:02X} in line {line} is not UTF-8", cure)
        return None


def parsed(text: str, problems: Problems) -> Raw | None:
    """The tables in the text, None after noting the line that is not TOML."""
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        _note_syntax(text, error, problems)
    except RecursionError:
        problems.add("holds lists inside lists without end", "write it flat")
    except ValueError:
        # a number of more digits than Python turns into an int
        problems.add("holds a number too long to read", "write a shorter number")
    return None


def _note_syntax(text: str, error: tomllib.TOMLDecodeError, problems: Problems) -> None:
    # counted as tomllib counts them: by line feeds alone
    lines = text.rstrip().split("\n")
    number = min(_line_number(error, len(lines)), len(lines))
    line = lines[number - 1].strip()
    problems.add(f"line {number}, {quoted(line)}, is not TOML", _syntax_cure(line, str(error)))


def _line_number(error: tomllib.TOMLDecodeError, last: int) -> int:
    # Python 3.14 tells the line in an attribute, older ones only in the text
    known = getattr(error, "lineno", None)
    if isinstance(known, int):
        return known
    found = re.search(r"at line (\d+)", str(error))
    return int(found[1]) if found else last


def _syntax_cure(line: str, reason: str) -> str:
    """What to do about the line, by what is most often wrong with one like it."""
    key, equals, value = (part.strip() for part in line.partition("="))
    if "overwrite" in reason or "twice" in reason or "already" in reason:
        return "this key or table stands there twice: take one of the two out"
    if value.casefold() in ("yes", "no", "true", "false"):
        return "write true or false in small letters and without quotes"
    if "\\" in value:
        return "write a text with a backslash between single quotes"
    if equals and re.fullmatch(r"[\w.-]+", key) and re.match(r"[^\"'\[{\s]", value):
        return f'put the value between quotes, as in {key} = "{value.strip(chr(34))}"'
    if line.startswith("["):
        return "write a heading like [box] or [[tool]] on a line of its own"
    return 'write key = "value", with every quote and bracket closed'
