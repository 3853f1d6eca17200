"""TOML text for files that people go on editing: one heading for each entry, short lists inline."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tomlkit.items import AoT, Array, InlineTable, Table

# Tables so small that a heading of their own would hide them.
INLINE = frozenset(("supplies", "parts"))


def document_text(tables: Mapping[str, Any], comment: str = "") -> str:
    """A whole document; ``comment`` is one or more lines for its head."""
    # tomlkit is slow to load and most runs write nothing
    import tomlkit

    document = tomlkit.document()
    for line in comment.splitlines():
        document.add(tomlkit.comment(line) if line else tomlkit.nl())
    if comment:
        document.add(tomlkit.nl())
    for key, value in tables.items():
        document.add(key, _item(key, value))
    return tomlkit.dumps(document)


def entries_text(key: str, entries: Iterable[Mapping[str, Any]]) -> str:
    """Entries under one heading, [[key]] before each."""
    return document_text({key: list(entries)})


def has_heading(key: str, value: Any) -> bool:
    """Whether a value is written below a heading of its own, and so after those that are not."""
    return key not in INLINE and (isinstance(value, Mapping) or _is_tables(value))


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, Mapping) for v in value)


def _item(key: str, value: Any) -> Any:
    if isinstance(value, Mapping):
        return _table(value) if has_heading(key, value) else _inline(value)
    if _is_tables(value):
        return _headings(value) if has_heading(key, value) else _inline_list(value)
    return value


def _table(values: Mapping[str, Any]) -> Table:
    import tomlkit

    table = tomlkit.table()
    for key, value in values.items():
        table.add(key, _item(key, value))
    return table


def _headings(values: list[Mapping[str, Any]]) -> AoT:
    import tomlkit

    entries = tomlkit.aot()
    for value in values:
        entries.append(_table(value))
    return entries


def _inline(values: Mapping[str, Any]) -> InlineTable:
    import tomlkit

    table = tomlkit.inline_table()
    table.update(values)
    return table


def _inline_list(values: list[Mapping[str, Any]]) -> Array:
    import tomlkit

    entries = tomlkit.array()
    for value in values:
        entries.append(_inline(value))
    return entries
