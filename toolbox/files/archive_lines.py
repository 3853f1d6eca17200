"""JSON Lines read strictly: each line an object, each fault with the number of its line.

The first line says what the lines are, in which version, and how many follow it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any, NamedTuple

from toolbox.files.problems import KitFaults, Problems, quoted, shown

FORMAT, VERSION_KEY, LINES = "format", "version", "lines"
_MENDED = "take an undamaged copy, or mend the line"


class Line(NamedTuple):
    """A line by its number, counted from 1, and what it says."""

    number: int
    says: dict[str, Any]


def lines_text(form: str, version: int, rows: Sequence[dict[str, Any]]) -> bytes:
    """Rows as JSON Lines below their first line; plain ASCII, the same rows the same bytes."""
    head = {FORMAT: form, VERSION_KEY: version, LINES: len(rows)}
    return "".join(f"{_written(row)}\n" for row in (head, *rows)).encode("ascii")


def _written(row: dict[str, Any]) -> str:
    # keys in the order given: what tells a line from its neighbours comes first
    return json.dumps(row, ensure_ascii=True, allow_nan=False)


def read_lines(file: str, data: bytes, form: str, version: int) -> tuple[Line, ...]:
    """The lines below the first one; KitFaults names every damaged line of ``file`` at once.

    A file of a newer version is refused whole, since what its lines mean is not known.
    """
    problems = Problems()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = data.count(b"\n", 0, error.start) + 1
        problems.at(file, f"line {number}").add("is not UTF-8", _MENDED)
        raise KitFaults(problems.faults) from None
    # a text editor of another system may have written the line ends, and left the last one out
    texts = text.replace("\r\n", "\n").removesuffix("\n").split("\n")
    head = _line(1, texts[0], problems.at(file, "line 1"))
    if head is None or not _is_known(head, form, version, problems.at(file)):
        raise KitFaults(problems.faults)
    found = [_line(n, line, problems.at(file, f"line {n}")) for n, line in enumerate(texts[1:], 2)]
    _check_count(head, len(found), problems.at(file))
    if problems.faults:
        raise KitFaults(problems.faults)
    return tuple(line for line in found if line is not None)


def _line(number: int, text: str, problems: Problems) -> Line | None:
    try:
        says = json.loads(
            text, parse_float=Decimal, parse_constant=_no_number, object_pairs_hook=_once
        )
    except json.JSONDecodeError as error:
        where = f"sign {error.pos + 1}" if text.strip() else "it is blank"
        problems.add(f"is damaged: no JSON ({where})", _MENDED)
    except RecursionError:
        problems.add("is damaged: lists inside lists without end", _MENDED)
    except ValueError as error:
        problems.add(f"is damaged: {error}", _MENDED)
    else:
        if isinstance(says, dict):
            return Line(number, says)
        problems.add(f"is damaged: {shown(says)} and no object in braces", _MENDED)
    return None


def _no_number(text: str) -> None:
    raise ValueError(f"{text} is no number")


def _once(pairs: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    # JSON lets a key stand twice and most readers keep the last one in silence
    says: dict[str, Any] = {}
    for key, value in pairs:
        if key in says:
            raise ValueError(f"the key {quoted(key)} stands there twice")
        says[key] = value
    return says


def _is_known(head: Line, form: str, version: int, problems: Problems) -> bool:
    """Whether the first line says that these lines are of this form, in a version we know."""
    said, number = head.says.get(FORMAT), head.says.get(VERSION_KEY)
    # True is a whole number to Python
    if said != form or type(number) is not int or number < 1:
        begins = _written({FORMAT: form, VERSION_KEY: version})[:-1]
        cure = "take a file that toolbox export wrote"
        problems.add(f"does not begin like a {form}, with {begins}, ...", cure)
        return False
    if number > version:
        wrong = f"is of version {number}, written by a newer program (this one reads {version})"
        problems.add(wrong, "update toolbox")
        return False
    return True


def _check_count(head: Line, there: int, problems: Problems) -> None:
    said = head.says.get(LINES)
    if type(said) is not int or said != there:
        problems.add(
            f"says that {shown(said)} lines follow the first one, and {there} do",
            "take a whole copy, or set the number right if you changed the lines yourself",
        )
