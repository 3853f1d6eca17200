"""Names inside one file: each id once, each name that is used somebody's."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from typing import Any

from toolbox.files.pages import Entry
from toolbox.files.problems import Problems, listed, nearest, quoted


def once_each(entries: Iterable[Entry[Any]], problems: Problems) -> None:
    """Note a fault for each entry whose id an entry before it has."""
    first: dict[str, Entry[Any]] = {}
    for entry in entries:
        if not entry.id:
            continue
        if entry.id in first:
            problems.at(entry.file, entry.label).add(
                f"its id is already taken by {first[entry.id].label}", "give each a different id"
            )
        first.setdefault(entry.id, entry)


def all_known(
    key: str, names: Iterable[str], known: Collection[str], what: str, at: Problems
) -> None:
    """Note a fault for each name that is none of the known, and for each named twice."""
    for name, count in Counter(iter(names)).items():
        if name not in known:
            at.add(f"{key} names {quoted(name)}, which is no {what}", _cure(name, known, what))
        if count > 1:
            at.add(f"{key} names {quoted(name)} {count} times", "name it once")


def _cure(name: str, known: Collection[str], what: str) -> str:
    if close := nearest(name, known):
        return f'did you mean "{close}"'
    some = sorted(known)[:8]
    more = ", ..." if len(known) > len(some) else ""
    return f"there are {listed(some)}{more}" if some else f"there is no {what} at all"
