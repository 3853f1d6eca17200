"""TOML text for files that people go on editing: one heading for each entry, short lists inline."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, time
from typing import Any

# Tables so small that a heading of their own would hide them.
INLINE = frozenset(("supplies", "parts"))
_BARE = re.compile(r"[A-Za-z0-9_-]+")
# What a text between double quotes may not hold as it is (TOML 1.0.0, "String").
_ESCAPED = re.compile(r'[\x00-\x1f\x7f"\\]')
_SHORT = {"\b": r"\b", "\t": r"\t", "\n": r"\n", "\f": r"\f", "\r": r"\r", '"': r"\"", "\\": r"\\"}


def document_text(tables: Mapping[str, Any]) -> str:
    """A whole document; TypeError for what TOML has not."""
    lines = [*_body((), tables)]
    # a file that begins with a heading has no empty line above it
    return "".join(f"{line}\n" for line in (lines if lines[:1] != [""] else lines[1:]))


def entries_text(key: str, entries: Iterable[Mapping[str, Any]]) -> str:
    """Entries under one heading, [[key]] before each."""
    return document_text({key: list(entries)})


def has_heading(key: str, value: Any) -> bool:
    """Whether a value is written below a heading of its own, and so after those that are not."""
    return key not in INLINE and (isinstance(value, Mapping) or _is_tables(value))


def entry_lines(path: tuple[str, ...], table: Mapping[str, Any], *, many: bool) -> list[str]:
    """The lines of one table: its heading, [[a.b]] for one of many, its keys, tables in it."""
    name = ".".join(map(key_text, path))
    return [f"[[{name}]]" if many else f"[{name}]", *_body(path, table)]


def key_text(key: str) -> str:
    """A key as it is written, between quotes where it needs them."""
    return key if _BARE.fullmatch(key) else _quoted(key)


def value_text(value: Any) -> str:
    """A value on one line; TypeError for what TOML has not."""
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{key_text(k)} = {value_text(v)}" for k, v in value.items())
        return f"{{ {pairs} }}" if pairs else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(value_text, value))}]"
    raise TypeError(f"TOML has no {type(value).__name__}")


def _body(path: tuple[str, ...], table: Mapping[str, Any]) -> Iterator[str]:
    """The keys of a table, then the tables in it: what stands below a heading belongs to that."""
    headed = {key for key, value in table.items() if has_heading(key, value)}
    for key, value in table.items():
        if key not in headed:
            yield f"{key_text(key)} = {value_text(value)}"
    for key, value in table.items():
        if key in headed:
            many = not isinstance(value, Mapping)
            for inner in value if many else (value,):
                yield ""
                yield from entry_lines((*path, key), inner, many=many)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, Mapping) for v in value)


def _quoted(text: str) -> str:
    return f'"{_ESCAPED.sub(_escape, text)}"'


def _escape(found: re.Match[str]) -> str:
    return _SHORT.get(found[0], f"\\u{ord(found[0]):04X}")
