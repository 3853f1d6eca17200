"""Values as they stand in files and as people write them on a line, there and back."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from toolbox.desk.edit_keys import Form
from toolbox.desk.errors import DeskError, UnclearName, UnknownName
from toolbox.desk.names import Named, match
from toolbox.desk.naming import supply_named, tool_named
from toolbox.kit.kit import Kit

LINE_END = "¶"
# A comma between two digits is a decimal one, as in "1,5 kg".
_PARTED = re.compile(r"\s*(?:;|,(?!\d)|(?<!\d),)\s*")
_TIMES = re.compile(r"(.*?)(?:\s+[x×]\s?([1-9]\d{0,3}))?")
# Only behind the number, since names of parts are the mechanic's own and may end in brackets.
_OF_ONE = re.compile(r"(.*\s[x×]\s?[1-9]\d{0,3})\s*\(([^()]*)\)")
_CASH = re.compile(r"[A-Z]{3}$")


@dataclass(frozen=True, slots=True)
class Read:
    """What a line said: its value as the file holds it (None: nothing), and what is wrong."""

    value: Any
    wrong: tuple[str, ...] = ()


def shown(value: Any, form: Form) -> str:
    """The value of a file's key on one line; values that do not fit the form as they are."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if form is Form.NOTE:
        return str(value).replace("\n", LINE_END)
    if form is Form.PARTS:
        return "; ".join(map(_part_words, value))
    if form is Form.DRAWS:
        return ", ".join(f"{supply} = {amount}" for supply, amount in value.items())
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return str(value)


def read(text: str, form: Form, kit: Kit) -> Read:
    """What a line says. Names of other things are found by a few letters.

    Quantities and words come back as typed: whether they are any is for the reader of
    the files to say.
    """
    bare = text.strip()
    if not bare:
        return Read(None)
    simple = _SIMPLE.get(form)
    if simple is not None:
        try:
            return Read(simple(bare))
        except ValueError as error:
            return Read(None, (str(error),))
    pieces = [piece for piece in _pieces(bare, form) if piece]
    if form is Form.PARTS:
        return Read([_part(piece) for piece in pieces])
    if form is Form.DRAWS:
        return _draws(pieces, kit)
    meant = {Form.TOOLS: _tool, Form.PICKS: _pick, Form.OPENINGS: _opening}.get(form)
    return _each(pieces, lambda piece: piece if meant is None else meant(piece, kit))


def _pieces(text: str, form: Form) -> list[str]:
    # Names of parts are the mechanic's own and may hold commas.
    return re.split(r"\s*;\s*", text) if form is Form.PARTS else parted(text)


def parted(text: str) -> list[str]:
    """The pieces of a line between commas or semicolons; decimal commas part nothing."""
    return _PARTED.split(text.strip())


def _each(pieces: Iterable[str], one: Callable[[str], str]) -> Read:
    values, wrong = [], []
    for piece in pieces:
        try:
            values.append(one(piece))
        except DeskError as error:
            wrong.append(_sentence(error))
    return Read(None if wrong else values, tuple(wrong))


def _sentence(error: DeskError) -> str:
    text = str(error)
    return text if text.endswith("?") else f"{text}."


def _tool(letters: str, kit: Kit) -> str:
    ids = {tool.id for tool in kit.tools}
    return letters if letters in ids else tool_named(kit, letters).id


def _pick(letters: str, kit: Kit) -> str:
    found = _TIMES.fullmatch(letters)
    if found is None or any(tool.id == letters for tool in kit.tools):
        return _tool(letters, kit)
    tool = _tool(found[1], kit)
    return tool if found[2] in (None, "1") else f"{tool} x{found[2]}"


def _opening(letters: str, kit: Kit) -> str:
    names = tuple(Named(o.id, o.name) for o in kit.box.openings)
    found = match(letters, names)
    if found.only is not None:
        return found.only.id
    if found.found:
        raise UnclearName("opening", letters, found.found)
    raise UnknownName("opening", letters, found.near)


def _part_words(part: dict[str, Any]) -> str:
    of_one = ", ".join(part[key] for key in ("mass", "value") if key in part)
    return f"{part['name']} x{part['count']}" + (f" ({of_one})" if of_one else "")


def _part(piece: str) -> dict[str, Any]:
    piece, of_one = _figures_of_one(piece)
    found = _TIMES.fullmatch(piece)
    name, times = (found[1], found[2]) if found is not None else (piece, None)
    return {"name": name, "count": int(times or 1)} | of_one


def _figures_of_one(piece: str) -> tuple[str, dict[str, str]]:
    """A part without the brackets at its end that hold mass or value of one, and those."""
    found = _OF_ONE.fullmatch(piece)
    if found is None:
        return piece, {}
    figures = {
        "value" if _CASH.search(figure) else "mass": figure
        for figure in _PARTED.split(found[2].strip())
        if figure
    }
    return found[1], figures


def _draws(pieces: Iterable[str], kit: Kit) -> Read:
    ids = {supply.id for supply in kit.supplies}
    draws: dict[str, str] = {}
    wrong = []
    for piece in pieces:
        letters, equals, amount = (part.strip() for part in piece.rpartition("="))
        if not equals or not amount:
            wrong.append(f'"{piece}" names no amount; write it like S1 = 30 ml.')
            continue
        try:
            supply = letters if letters in ids else supply_named(kit, letters).id
        except DeskError as error:
            wrong.append(_sentence(error))
            continue
        if supply in draws:
            wrong.append(f'"{supply}" stands there twice; write one amount for it.')
        draws[supply] = amount
    return Read(None if wrong else draws, tuple(wrong))


def _yes_no(text: str) -> bool:
    word = text.casefold()
    if word in ("yes", "y", "true"):
        return True
    if word in ("no", "n", "false"):
        return False
    raise ValueError(f'"{text}" is neither yes nor no; write one of them.')


def _whole(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,12}", text):
        raise ValueError(f'"{text}" is not a whole number; write digits alone, like 3.')
    return int(text)


def _number(text: str) -> Decimal:
    # 1,250 is twelve hundred to half of the world
    if not re.fullmatch(r"[0-9]{1,9}([.][0-9]{1,6}|,[0-9]{1,2})?", text):
        raise ValueError(f'"{text}" is not a number; write it like 1.5.')
    return Decimal(text.replace(",", "."))


def _day(text: str) -> date:
    try:
        if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            return date.fromisoformat(text)
    except ValueError:
        raise ValueError(f'"{text}" is no day of the calendar.') from None
    raise ValueError(f'"{text}" is not a date; write year, month and day like 2026-01-31.')


_SIMPLE: dict[Form, Callable[[str], Any]] = {
    Form.TEXT: str,
    Form.QUANTITY: str,
    Form.NOTE: lambda text: text.replace(LINE_END, "\n"),
    Form.YES_NO: _yes_no,
    Form.WHOLE: _whole,
    Form.NUMBER: _number,
    Form.DAY: _day,
}
