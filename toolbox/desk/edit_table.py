"""From typed lines to the table that a file holds, and what is wrong with the lines."""

from __future__ import annotations

import copy
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from toolbox.desk.edit_keys import Sort
from toolbox.desk.edit_values import read
from toolbox.files.sources import Raw
from toolbox.intake.names import id_from
from toolbox.kit.kit import Kit


@dataclass(frozen=True, slots=True)
class LineFault:
    """What is wrong with a line, as a sentence; ``key`` is "" for what no line is to blame for."""

    key: str
    words: str


def has_id(entry: Any, id: str) -> bool:
    """True for the entry of that id."""
    return isinstance(entry, dict) and entry.get("id") == id


def value_at(table: Raw, key: str) -> Any:
    """The value of a key with dots in it, numbers in it counting from 1; None without one."""
    found: Any = table
    for part in key.split("."):
        if isinstance(found, list) and part.isdigit() and int(part) <= len(found):
            found = found[int(part) - 1]
        elif isinstance(found, dict):
            found = found.get(part)
        else:
            return None
    return found


def table_of(
    kit: Kit, sort: Sort, id: str, table: Raw, changes: Mapping[str, str]
) -> tuple[Raw, list[LineFault]]:
    """The table with the changed lines in it, and the faults of lines that could not be read.

    ``id`` is "" for a new entry, which gets an id if no line gives it one. A line that
    could not be read leaves its key as it was.
    """
    made = copy.deepcopy(table)
    wrong = []
    for key, text in changes.items():
        known = sort.key(key)
        if known is None:
            raise KeyError(key)
        found = read(text, known.form, kit)
        wrong += [LineFault(key, words) for words in found.wrong]
        if key == "id" and id and found.value != id:
            words = "stays as it was given, for the log and other files call it so; add a copy."
            wrong.append(LineFault(key, words))
        elif not found.wrong:
            _put(made, key.split("."), found.value)
    _tidy(made)
    if not id and not made.get("id"):
        made = {"id": next_id(kit, sort, str(made.get("name", ""))), **made}
    wrong += _missing(sort, made, {fault.key for fault in wrong})
    return made, wrong


def _missing(sort: Sort, table: Raw, told: set[str]) -> Iterable[LineFault]:
    for key in sort.keys:
        if key.needed and key.key not in told and table.get(key.key) is None:
            yield LineFault(key.key, f"must be filled in: {key.help}.")


def _put(table: Any, way: list[str], value: Any) -> None:
    """Set or take out the value at the end of the way, making tables as they are needed."""
    first, *rest = way
    if not rest:
        table.pop(first, None) if value is None else table.__setitem__(first, value)
        return
    if first == "step":
        steps = table.setdefault(first, [])
        number = int(rest.pop(0))
        while len(steps) < number:
            steps.append({})
        _put(steps[number - 1], rest, value)
        return
    _put(table.setdefault(first, {}), rest, value)


def _tidy(table: Raw) -> None:
    """Take out inner tables and steps in which nothing is left."""
    for key in [key for key, value in table.items() if value == {}]:
        del table[key]
    if "step" in table:
        table["step"] = [step for step in table["step"] if step]


def next_id(kit: Kit, sort: Sort, name: str) -> str:
    """An id for a new entry: the next number of the sort's series, else one out of its name."""
    things = [*kit.tools, *kit.supplies]
    groups: dict[str, tuple[list[Any], list[Any]]] = {
        "tool": (list(kit.tools), things),
        "supply": (list(kit.supplies), things),
        "job": (list(kit.jobs), list(kit.jobs)),
        "compartment": (
            list(kit.box.compartments),
            [*kit.box.compartments, *kit.box.openings],
        ),
    }
    own, all_of_them = groups[sort.word]
    taken = {thing.id for thing in all_of_them}
    found = [re.fullmatch(r"(.*?)(\d+)", thing.id) for thing in own]
    series = Counter(one[1] for one in found if one is not None)
    if not series or 2 * max(series.values()) <= len(own):
        return id_from(name, taken)
    stem = series.most_common(1)[0][0]
    numbers = [one[2] for one in found if one is not None and one[1] == stem]
    wide = len(max(numbers, key=len))
    number = max(map(int, numbers)) + 1
    while f"{stem}{number:0{wide}}" in taken:
        number += 1
    return f"{stem}{number:0{wide}}"
