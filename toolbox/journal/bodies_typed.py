"""Plain frozen values as JSON values and back, by the types of their fields.

For texts, whole numbers, yes and no, days, fractions, words of an enumeration, named
tuples, tuples of one type, and None where a field may be None. Strict both ways: what is
of another type than its field is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints


def write_fields(value: Any) -> dict[str, Any]:
    """The fields of a dataclass as JSON values; TypeError or ValueError for one that is none.

    Whole numbers below 0 are refused: amounts, counts and readings never are.
    """
    hints = get_type_hints(type(value))
    return {f.name: _written(getattr(value, f.name), hints[f.name], f.name) for f in fields(value)}


def read_fields(kind: type, body: Mapping[str, Any]) -> Any:
    """The dataclass of these fields; a field that has a default may be missing.

    TypeError, KeyError or ValueError for anything else than what ``write_fields`` gives.
    """
    assert is_dataclass(kind)
    hints = get_type_hints(kind)
    strange = body.keys() - hints.keys()
    if strange:
        raise ValueError(f"unknown fields: {', '.join(sorted(strange))}")
    needed = [f for f in fields(kind) if f.name in body or _needed(f)]
    return kind(**{f.name: _read(body[f.name], hints[f.name], f.name) for f in needed})


def _needed(field: Any) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


def _written(value: Any, hint: Any, name: str) -> Any:
    checked = _of_type(value, hint, name)
    if isinstance(checked, Enum):
        return checked.value
    if isinstance(checked, date):
        return checked.isoformat()
    if isinstance(checked, Fraction):
        return str(checked)
    if isinstance(checked, tuple):
        return [_written(v, h, name) for v, h in zip(checked, _members(hint, checked), strict=True)]
    return checked


def _members(hint: Any, value: tuple[Any, ...] | list[Any]) -> list[Any]:
    """The types of what is in a named tuple, or in a tuple of one type."""
    if get_origin(hint) is tuple:
        return [get_args(hint)[0]] * len(value)
    return list(get_type_hints(hint).values())


def _of_type(value: Any, hint: Any, name: str) -> Any:
    if isinstance(hint, UnionType):
        return value if value is None else _of_type(value, _without_none(hint), name)
    wanted = get_origin(hint) or hint
    # in Python True is a whole number, and a moment is a day
    if type(value) is not wanted and not (isinstance(value, wanted) and wanted not in (int, date)):
        raise TypeError(f"{name}: {wanted.__name__} expected, not {value!r}")
    if wanted is int and value < 0:
        raise ValueError(f"{name} must not be below 0: {value}")
    return value


def _without_none(hint: UnionType) -> Any:
    (only,) = [one for one in get_args(hint) if one is not NoneType]
    return only


def _read(value: Any, hint: Any, name: str) -> Any:
    if isinstance(hint, UnionType):
        return None if value is None else _read(value, _without_none(hint), name)
    wanted = get_origin(hint) or hint
    if issubclass(wanted, Enum):
        return wanted(value)
    if wanted in (date, Fraction):
        if not isinstance(value, str):
            raise TypeError(f"{name}: text expected, not {value!r}")
        return date.fromisoformat(value) if wanted is date else Fraction(value)
    if issubclass(wanted, tuple):
        if not isinstance(value, list):
            raise TypeError(f"{name}: a list expected, not {value!r}")
        members = _members(hint, value)
        parts = [_read(v, h, name) for v, h in zip(value, members, strict=True)]
        return tuple(parts) if wanted is tuple else wanted(*parts)
    return _of_type(value, hint, name)
