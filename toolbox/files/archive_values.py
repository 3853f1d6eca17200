"""Values of TOML files as JSON has them and back, and what only one of both can hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from toolbox.files.render import has_heading

# TOML promises whole numbers of 64 bits and no more.
_SMALLEST, _LARGEST = -(2**63), 2**63 - 1


class NotPlain(Exception):
    """A value that only one of TOML and JSON has; the text says which, and the cure."""

    def __init__(self, wrong: str, cure: str) -> None:
        super().__init__(wrong, cure)
        self.wrong = wrong
        self.cure = cure


def as_json(value: Any) -> Any:
    """A value as TOML has it in the form that JSON has: days as texts, fractions as numbers.

    Tables come below the values beside them, as a TOML file has to write them, and lists of
    tables below these; else the order stays. So a file that was written out of this gives this
    again. NotPlain for nan, infinity,
    and numbers that no program would read back the same.
    """
    match value:
        case Mapping():
            parts = {key: as_json(part) for key, part in value.items()}
            return dict(sorted(parts.items(), key=lambda part: _rank(*part)))
        case list():
            return [as_json(part) for part in value]
        case Decimal() | float():
            return _number(Decimal(value))
        case date() | datetime() | time():
            return value.isoformat()
        case _:
            return value


def _rank(key: str, value: Any) -> int:
    return has_heading(key, value) + is_entries(key, value)


def is_entries(key: str, value: Any) -> bool:
    """Whether a value is a list of tables, each written below a [[heading]]."""
    return isinstance(value, list) and has_heading(key, value)


def _number(value: Decimal) -> int | float:
    if not value.is_finite():
        raise NotPlain(f"holds {value}, which is no number", "write a number")
    near = float(value)
    if Decimal(repr(near)) != value:
        raise NotPlain(f"holds {value:.30}, a number too long", "write fewer figures")
    return int(near) if near.is_integer() else near


def as_toml(value: Any) -> Any:
    """A value as JSON has it in the form that TOML has; NotPlain for what TOML cannot hold."""
    for wrong, cure in _foreign(value):
        raise NotPlain(wrong, cure)
    return as_json(value)


def _foreign(value: Any) -> Iterator[tuple[str, str]]:
    match value:
        case dict():
            for part in (*value, *value.values()):
                yield from _foreign(part)
        case list():
            for part in value:
                yield from _foreign(part)
        case None:
            yield "holds null, which no kit file can", "leave the key out"
        case str():
            try:
                value.encode("utf-8")
            except UnicodeEncodeError:
                yield "holds half a character", "write the text anew"
        case bool():
            return
        case int() if not _SMALLEST <= value <= _LARGEST:
            yield "holds a number too long", "write a shorter number"
