"""One tool, supply, job or compartment opened line by line, changed, checked and written.

A draft is the entry as it stands in its file and the lines that were typed over. Nothing
is written while anything in it is wrong, nor over what somebody else wrote meanwhile.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from toolbox.desk.edit_keys import Key, Sort, step_keys
from toolbox.desk.edit_table import LineFault, has_id, table_of, value_at
from toolbox.desk.edit_values import shown
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.plans import LAYOUTS, PRESENT, save_present
from toolbox.files import tables
from toolbox.files.pages import SORTS, read_entry
from toolbox.files.pages import Sort as FileSort
from toolbox.files.problems import Fault, KitFaults, Problems, nearest, quoted
from toolbox.files.reading import faults_with
from toolbox.files.retelling import same
from toolbox.files.sources import Raw, load
from toolbox.files.writing import append_entries, edit_file
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import base_id

# Of a copy, what is another's: its name for the files, and the number stamped on it.
_OWN = ("id", "serial")


@dataclass(frozen=True, slots=True)
class Line:
    """A line of an entry: its key, what stands on it, and whether that was typed over."""

    key: Key
    text: str
    changed: bool


@dataclass(frozen=True)
class Draft:
    """An entry and the lines typed over, by key. ``id`` is "" for one that is still to be added.

    ``table`` is the entry as its file has it; of a new one, what it starts from.
    """

    sort: Sort
    id: str
    table: Raw
    changes: Mapping[str, str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """What the entry is called, as far as that is known."""
        return self.text("name") or self.id or f"new {self.sort.word}"

    def original(self, key: str) -> str:
        """What stood on the line when the entry was opened."""
        found = self._key(key)
        return shown(value_at(self.table, key), found.form)

    def text(self, key: str) -> str:
        """What stands on the line now."""
        return self.changes[key] if key in self.changes else self.original(key)

    def lines(self) -> tuple[Line, ...]:
        """All lines in order; of a job its steps too, with one more to be filled in."""
        keys = [*self.sort.keys]
        if self.sort.word == "job":
            typed = [int(k.split(".")[1]) for k, v in self.changes.items() if k[:5] == "step." if v]
            for number in range(1, max([len(self.table.get("step", ())), *typed]) + 2):
                keys += step_keys(number)
        return tuple(Line(key, self.text(key.key), key.key in self.changes) for key in keys)

    def typed(self, key: str, text: str) -> Draft:
        """The draft with this on the line; a line as it was is no change.

        Raises DeskError for a key that no such entry has.
        """
        changes = {k: v for k, v in self.changes.items() if k != key}
        if text.strip() != self.original(key).strip():
            changes[key] = text.strip()
        return replace(self, changes=changes)

    def _key(self, name: str) -> Key:
        found = self.sort.key(name)
        if found is None:
            known = [key.key for key in self.sort.keys]
            close = nearest(name, known)
            hint = f"did you mean {close}?" if close else f"its keys are {', '.join(known)}"
            raise DeskError(f'a {self.sort.word} has no key "{name}"; {hint}')
        return found


@dataclass(frozen=True, slots=True)
class Written:
    """The draft is in the file: the entry's id, and what was done in words."""

    id: str
    words: str


@dataclass(frozen=True, slots=True)
class Faulty:
    """Nothing was written: everything that is wrong, line by line, the lines in order."""

    faults: tuple[LineFault, ...]


@dataclass(frozen=True, slots=True)
class Overtaken:
    """Nothing was written: the entry is another one by now, or gone (None)."""

    theirs: Draft | None


Outcome = Written | Faulty | Overtaken


@dataclass(frozen=True, slots=True)
class Difference:
    """A line that I, or somebody else, or both changed: as it was, as I want it, as it is."""

    label: str
    was: str
    mine: str
    theirs: str


class _NotAsOpened(Exception):
    """The entry in the file is not the one that was opened."""


# ---- opening


def open_entry(folder: KitFolder, sort: Sort, id: str) -> Draft:
    """The entry as it stands in its file now; DeskError when there is none of that id."""
    found = entry_in(file_of(folder, sort), sort, id)
    if found is None:
        raise DeskError(f'there is no {sort.word} "{id}" in {sort.file} any more')
    return Draft(sort, id, found)


def new_entry(sort: Sort, like: Draft | None = None) -> Draft:
    """An entry to be added: an empty one, or one like another but for what is its own."""
    if like is None:
        return Draft(sort, "", {})
    table = {key: copy.deepcopy(v) for key, v in like.table.items() if key not in _OWN}
    return Draft(sort, "", table, {"name": f"{like.name} (copy)"})


def file_of(folder: KitFolder, sort: Sort) -> Raw:
    """The tables of the sort's file as they are now; KitFaults when it is no TOML."""
    path = folder.path / sort.file
    problems = Problems()
    raw = load(path, problems.at(sort.file)) if path.exists() else {}
    if raw is None:
        raise KitFaults(problems.faults)
    return raw


def entry_in(raw: Raw, sort: Sort, id: str) -> Raw | None:
    """The entry of that id among the tables of a file, None without one."""
    return next((e for e in raw.get(sort.word, []) if has_id(e, id)), None)


# ---- when somebody else changed it meanwhile


def differences(draft: Draft, theirs: Draft) -> tuple[Difference, ...]:
    """Every line that either side changed since the entry was opened."""
    keys = {line.key.key: line.key.label for line in (*draft.lines(), *theirs.lines())}
    sides = [
        Difference(label, draft.original(key), draft.text(key), theirs.original(key))
        for key, label in keys.items()
    ]
    return tuple(side for side in sides if not side.was == side.mine == side.theirs)


def on_top_of(draft: Draft, theirs: Draft | None) -> Draft:
    """My lines over theirs: what only they changed stays theirs; what is gone is added anew."""
    if theirs is None:
        return replace(draft, id="")
    moved = theirs
    for key, text in draft.changes.items():
        moved = moved.typed(key, text)
    return moved


# ---- checking


def faults_so_far(kit: Kit, draft: Draft) -> tuple[LineFault, ...]:
    """What is wrong with the lines typed over, each by itself; reads no file."""
    table, wrong = table_of(kit, draft.sort, draft.id, draft.table, draft.changes)
    problems = Problems()
    sort: FileSort[Any] = next(sort for sort in SORTS if sort.key == draft.sort.word)
    read_entry(sort, table, 1, problems)
    found = [*wrong, *_on_lines(draft, table, problems.faults, wrong)]
    # What was not typed yet is told when the whole is to be written.
    return tuple(fault for fault in found if fault.key in draft.changes)


def faults_of(folder: KitFolder, draft: Draft) -> tuple[LineFault, ...]:
    """All that is wrong with the draft, and with the kit if it were written; in line order."""
    return _faults(folder, draft, file_of(folder, draft.sort))


def _faults(folder: KitFolder, draft: Draft, raw: Raw) -> tuple[LineFault, ...]:
    table, wrong = table_of(folder.kit, draft.sort, draft.id, draft.table, draft.changes)
    entries = list(raw.get(draft.sort.word, []))
    if draft.id:
        entries = [table if has_id(entry, draft.id) else entry for entry in entries]
    else:
        entries.append(table)
    instead = {draft.sort.file: {**raw, draft.sort.word: entries}}
    kept = _spots_kept(folder.kit, draft, table)
    if kept is not None:
        file = f"{LAYOUTS}/{PRESENT}.toml"
        instead[file] = tables.layout_tables(Layout(PRESENT, kept))
    found = [*wrong, *_on_lines(draft, table, faults_with(folder.path, instead), wrong)]
    order = [line.key.key for line in draft.lines()]
    return tuple(sorted(found, key=lambda fault: order.index(fault.key) if fault.key else -1))


def _on_lines(
    draft: Draft, table: Raw, faults: tuple[Fault, ...], before: list[LineFault]
) -> list[LineFault]:
    """Faults of files as faults of lines; those of lines that have one already left out."""
    told = {fault.key for fault in before}
    keys = [line.key.key for line in draft.lines()]
    # How faults name the entry, as far as that goes without its name.
    mine = f"{draft.sort.word} {quoted(str(table['id']))}"
    found = []
    for fault in faults:
        at_home = fault.file == draft.sort.file and fault.entry.startswith(mine)
        # Of two entries that are in each other's way, either may be the one that is named.
        key = _line_of(fault.key, keys) if at_home or mine in fault.wrong else ""
        end = "?" if fault.cure.startswith("did you mean") else "."
        said = f"{fault.wrong}; {fault.cure}{end}" if at_home else fault.sentence()
        if not key or key not in told:
            found.append(LineFault(key, said))
    return found


def _line_of(way: str, keys: list[str]) -> str:
    """The line a way leads to: its own, the one it goes on from, or the first one below it."""
    parts = way.split(".")
    for end in range(len(parts), 0, -1):
        if ".".join(parts[:end]) in keys:
            return ".".join(parts[:end])
    return next((key for key in keys if way and key.startswith(f"{way}.")), "")


# ---- writing


def write_draft(folder: KitFolder, draft: Draft) -> Outcome:
    """Write the draft into its file, comments and order kept, unless there is a reason not to.

    Copies that no longer travel lose their place in today's layout. Raises KitFaults
    (WriteRefused) when the file cannot be written or edited line by line, DeskError when
    that layout is another one by now.
    """
    raw = file_of(folder, draft.sort)
    if draft.id:
        there = entry_in(raw, draft.sort, draft.id)
        if there is None or not same(there, draft.table):
            return Overtaken(None if there is None else Draft(draft.sort, draft.id, there))
    faults = _faults(folder, draft, raw)
    if faults:
        return Faulty(faults)
    table, _ = table_of(folder.kit, draft.sort, draft.id, draft.table, draft.changes)
    if draft.id and not draft.changes:
        return Written(draft.id, f"{draft.name}: nothing was changed.")
    before = folder.kit.present
    kept = _spots_kept(folder.kit, draft, table)
    if kept is not None:
        if open_kit(folder.path).kit.present != before:
            raise DeskError("today's layout was changed by somebody else just now; try again")
        save_present(folder, kept)
    try:
        _put(folder, draft, table)
    except BaseException as error:
        if kept is not None and before is not None:
            save_present(folder, before.spots)
        if isinstance(error, _NotAsOpened):
            return Overtaken(_found(folder, draft))
        raise
    return Written(table["id"], _said(draft, table, kept is not None))


def _found(folder: KitFolder, draft: Draft) -> Draft | None:
    there = entry_in(file_of(folder, draft.sort), draft.sort, draft.id)
    return None if there is None else Draft(draft.sort, draft.id, there)


def _put(folder: KitFolder, draft: Draft, table: Raw) -> None:
    path = folder.path / draft.sort.file
    if not draft.id:
        append_entries(path, draft.sort.word, [as_written(table)])
        return

    def change(file: dict[str, Any]) -> None:
        entries = file.get(draft.sort.word, [])
        number = next((n for n, e in enumerate(entries) if has_id(e, draft.id)), None)
        if number is None or not same(entries[number], as_written(draft.table)):
            raise _NotAsOpened
        entries[number] = as_written(table)

    edit_file(path, change)


def as_written(value: Any) -> Any:
    """Tables as a TOML writer takes them: numbers with a point as floats."""
    from decimal import Decimal

    if isinstance(value, dict):
        return {key: as_written(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [as_written(inner) for inner in value]
    return float(value) if isinstance(value, Decimal) else value


def _spots_kept(kit: Kit, draft: Draft, table: Raw) -> tuple[Spot, ...] | None:
    """Today's spots without those of copies that no longer travel; None when all stay."""
    if kit.present is None or not draft.id or draft.sort.word not in ("tool", "supply"):
        return None
    travels = table.get("carried", draft.sort.word == "tool") is True
    count = table.get("count", 1) if isinstance(table.get("count", 1), int) else 1
    copies = {draft.id, *(f"{draft.id}/{n}" for n in range(2, count + 1))} if travels else set()
    spots = kit.present.spots
    kept = tuple(s for s in spots if base_id(s.item) != draft.id or s.item in copies)
    return kept if len(kept) < len(spots) else None


def _said(draft: Draft, table: Raw, unplaced: bool) -> str:
    if not draft.id:
        return f"Added the {draft.sort.word} {table['name']} ({table['id']})."
    changed = [line.key.label for line in draft.lines() if line.changed]
    more = " What no longer travels has no place in today's layout any more." if unplaced else ""
    return f"{table['name']}: {', '.join(changed)} written.{more}"
