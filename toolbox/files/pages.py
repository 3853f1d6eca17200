"""The files of a kit folder read into entries: each checked by itself, none by its neighbours.

An entry that is faulty keeps what could be read, so that others may still refer
to it and no fault is told twice.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from toolbox.files import schema
from toolbox.files.problems import Problems, listed, nearest, quoted, shown
from toolbox.files.sources import Raw, load
from toolbox.files.wording import WORDS, Trouble, Where, spoken, way

T = TypeVar("T", bound=schema.Table)
HEAD = ""


@dataclass(frozen=True)
class Sort(Generic[T]):
    """A sort of table: where it stands, what it is called, which key tells one from another."""

    file: str
    key: str
    model: type[T]
    many: bool = True
    names: str = "id"

    def heading(self) -> str:
        """The table's heading as TOML writes it."""
        return f"[[{self.key}]]" if self.many else f"[{self.key}]"


KIT = Sort("kit.toml", HEAD, schema.KitTable, many=False)
BOX = Sort("box.toml", "box", schema.BoxTable, many=False)
OPENING = Sort("box.toml", "opening", schema.OpeningTable)
COMPARTMENT = Sort("box.toml", "compartment", schema.CompartmentTable)
TOOL = Sort("tools.toml", "tool", schema.ToolTable)
SUPPLY = Sort("supplies.toml", "supply", schema.SupplyTable)
JOB = Sort("jobs.toml", "job", schema.JobTable)
RULE = Sort("rules.toml", "rule", schema.RuleTable, names="name")
READING = Sort("times.toml", "reading", schema.ReadingTable, names="of")
LAYOUT = Sort("layouts/present.toml", HEAD, schema.LayoutTable, many=False)
SPOT = Sort("layouts/present.toml", "spot", schema.SpotTable, names="item")

SORTS = (KIT, BOX, OPENING, COMPARTMENT, TOOL, SUPPLY, JOB, RULE, READING, LAYOUT, SPOT)


@dataclass(frozen=True)
class Entry(Generic[T]):
    """One table as read. ``raw`` has misspelt keys set right; ``table`` is None if faulty."""

    file: str
    label: str
    id: str
    raw: Raw
    table: T | None

    def texts(self, *keys: str) -> tuple[str, ...]:
        """The texts in a list of this entry, nothing where there is no such list."""
        found: Any = self.raw
        for key in keys:
            found = found.get(key) if isinstance(found, dict) else None
        return tuple(v for v in found if isinstance(v, str)) if isinstance(found, list) else ()


class Pages:
    """All entries of a kit folder by their sort, and which files could not be read."""

    def __init__(self) -> None:
        self._entries: dict[type[schema.Table], list[Entry[Any]]] = {}
        self.unread: set[str] = set()

    def put(self, sort: Sort[T], entry: Entry[T]) -> None:
        """Add an entry."""
        self._entries.setdefault(sort.model, []).append(entry)

    def all(self, *sorts: Sort[T]) -> tuple[Entry[T], ...]:
        """The entries of these sorts, in the files' order."""
        return tuple(entry for sort in sorts for entry in self._entries.get(sort.model, ()))

    def tables(self, sort: Sort[T]) -> tuple[T, ...]:
        """The faultless tables of a sort."""
        return tuple(entry.table for entry in self.all(sort) if entry.table is not None)


def read_page(pages: Pages, path: Path, sorts: tuple[Sort[Any], ...], problems: Problems) -> None:
    """Read one file and put its entries into ``pages``; a missing file holds nothing."""
    raw = load(path, problems.at(sorts[0].file))
    if raw is None:
        pages.unread.add(sorts[0].file)
    else:
        put_tables(pages, raw, sorts, problems)


def put_tables(pages: Pages, raw: Raw, sorts: tuple[Sort[Any], ...], problems: Problems) -> None:
    """Put the entries out of one file's tables into ``pages``, as if just read."""
    file = sorts[0].file
    head = next((sort for sort in sorts if sort.key == HEAD), None)
    by_key = {sort.key: sort for sort in sorts if sort.key != HEAD}
    raw = _straight_headings(raw, by_key, head, problems.at(file))
    for key, sort in by_key.items():
        if key in raw:
            for number, table in enumerate(_tables(raw.pop(key), sort, problems), start=1):
                pages.put(sort, read_entry(sort, table, number, problems))
        elif not sort.many:
            problems.at(file).add(f"has no [{key}]", f"write the table [{key}]")
    if head:
        pages.put(head, read_entry(head, raw, 1, problems))


def _straight_headings(
    raw: Raw, by_key: dict[str, Sort[Any]], head: Sort[Any] | None, problems: Problems
) -> Raw:
    """The document with misspelt headings set right; what is not known is noted and left out."""
    # what stands under a misspelt heading is read all the same: other files name it
    straight = {key: value for key, value in raw.items() if key in by_key}
    for key, value in raw.items():
        if key in by_key:
            continue
        if head and (key in head.model.model_fields or not _is_tables(value)):
            straight[key] = value
            continue
        close = nearest(key, by_key)
        cure = f"did you mean {by_key[close].heading()}" if close else _known_headings(by_key)
        problems.add(f"{quoted(key)} is not a table that belongs here", cure)
        if close:
            straight[close] = [*_as_list(straight.get(close, [])), *_as_list(value)]
    return straight


def _known_headings(by_key: dict[str, Sort[Any]]) -> str:
    if not by_key:
        return "take it out"
    return f"this file holds {listed(sort.heading() for sort in by_key.values())}"


def _is_tables(value: object) -> bool:
    return isinstance(value, dict) or (
        isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)
    )


def _as_list(value: object) -> list[Any]:
    return value if isinstance(value, list) else [value]


def _tables(value: object, sort: Sort[Any], problems: Problems) -> Iterator[Raw]:
    """The tables under one heading, however many brackets it was written with."""
    right = _is_tables(value) or value == []
    if not right or isinstance(value, list) is not sort.many:
        problems.at(sort.file).add(
            f"{sort.key} is not written as a table", f"write the heading {sort.heading()}"
        )
    found = [table for table in _as_list(value) if isinstance(table, dict)]
    yield from found if sort.many else found[:1]


def read_entry(sort: Sort[T], raw: Raw, number: int, problems: Problems) -> Entry[T]:
    """One table checked by its model; every fault in it noted with the entry's name."""
    straight = raw
    table, errors = _checked(sort.model, straight)
    unknown = [error for error in errors if error["type"] == "extra_forbidden"]
    if unknown:
        straight = copy.deepcopy(raw)
        for error in unknown:
            error["ctx"] = {"cure": _set_right(straight, error["loc"], sort.model)}
        # what was only misspelt is not missing as well, and may be faulty itself
        _, others = _checked(sort.model, straight)
        errors = [*unknown, *others]
    label = _label(sort, straight, number)
    for error in errors:
        place, where = _place(label, error["loc"])
        trouble = Trouble(spoken(where), error["input"], error.get("ctx", {}))
        problems.at(sort.file, place).add(*WORDS[error["type"]](trouble), way(error["loc"]))
    name = straight.get(sort.names)
    return Entry(sort.file, label, name if isinstance(name, str) else "", straight, table)


def _checked(model: type[T], raw: Raw) -> tuple[T | None, list[Any]]:
    """The table, or None and what is wrong with it."""
    try:
        return model.model_validate(raw), []
    except ValidationError as error:
        return None, error.errors(include_url=False)


def _set_right(raw: Raw, where: Where, model: type[schema.Table]) -> str:
    """Take an unknown key out, putting its value under the key that was meant; the cure."""
    *above, key = where
    table = _inside(raw, above)
    value = table.pop(key)
    # a key written below [tool.gauge] belongs to the gauge, though the tool was meant
    for cut in range(len(above) - 1, -1, -1):
        if key in keys_of(model, above[:cut]):
            _inside(raw, above[:cut]).setdefault(key, value)
            return f"it belongs further up, above the heading of this {above[cut]}"
    known = keys_of(model, above)
    meant = nearest(str(key), [k for k in known if k not in table])
    meant = meant or _only_one_missing(raw, above, value, model)
    if meant:
        table[meant] = value
        return f'did you mean "{meant}"'
    return f"the keys here are {listed(known)}"


def _only_one_missing(
    raw: Raw, above: list[int | str], value: object, model: type[schema.Table]
) -> str | None:
    """The one key this table lacks, if the value under the unknown key would do for it."""
    # "number" for count, "ident" for id: no spelling leads there, but nothing else is free
    missing = [e["loc"] for e in _checked(model, raw)[1] if e["type"] == "missing"]
    here = [where for where in missing if list(where[:-1]) == above]
    if len(here) != 1:
        return None
    key = str(here[0][-1])
    table = _inside(raw, above)
    table[key] = value
    errors = _checked(model, raw)[1]
    fits = not any(error["loc"][: len(here[0])] == here[0] for error in errors)
    del table[key]
    return key if fits else None


def _inside(raw: Any, where: list[int | str]) -> Any:
    for part in where:
        raw = raw[part]
    return raw


def keys_of(model: type[schema.Table], where: list[int | str]) -> tuple[str, ...]:
    """The keys a table may have, that table being found by its way from ``model``."""
    for part in where:
        if isinstance(part, str):
            model = next(schema.inner_tables(model.model_fields[part].annotation))
    return tuple(model.model_fields)


def _place(label: str, where: Where) -> tuple[str, Where]:
    """The entry's name with the step added, and the rest of the way."""
    match where:
        case ("step", int(index), *rest) if rest:
            return f"{label}, step {index + 1}", tuple(rest)
        case _:
            return label, where


def _label(sort: Sort[Any], raw: Raw, number: int) -> str:
    """How messages call an entry: by its id and name, by its place only without both."""
    if not sort.many:
        return sort.key
    given, name = raw.get(sort.names), raw.get("name")
    # a place in the file is hard to find and moves: it is the last resort
    if given is None:
        called = f" called {shown(name)}" if isinstance(name, str) else f" no. {number}"
        return f"{sort.key}{called}"
    said = f"{sort.key} {shown(given)}"
    if sort.names != "name" and isinstance(name, str) and name:
        said += f" ({quoted(name)[1:-1]})"
    return said
