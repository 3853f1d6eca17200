"""Taking in a list: read with the answers so far, held against the kit, written where accepted."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from toolbox.desk.edit import as_written
from toolbox.desk.edit_table import has_id
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.files import tables
from toolbox.files.atomic import take_all_back
from toolbox.files.problems import KitFaults, Problems
from toolbox.files.reading import faults_with
from toolbox.files.retelling import same
from toolbox.files.sources import Raw, load
from toolbox.files.writing import append_entries, as_read, edit_file
from toolbox.intake.against import against
from toolbox.intake.decode import MOST_BYTES
from toolbox.intake.difference import Difference, Entry, State
from toolbox.intake.read import read
from toolbox.intake.reading import Answers, Reading
from toolbox.kit.things import Measure, Supply, Tool

if TYPE_CHECKING:
    from toolbox.intake.difference import Thing

# In this order they are written: jobs name tools and supplies.
_FILES = {"tool": "tools.toml", "supply": "supplies.toml", "job": "jobs.toml"}


@dataclass(frozen=True, slots=True)
class Intake:
    """A list as it was read, and what it would change in the kit. Nothing is stored yet."""

    reading: Reading
    difference: Difference

    @property
    def complete(self) -> bool:
        """Whether no line is refused or waits for an answer."""
        return not self.difference.refusals and not self.difference.questions


def list_bytes(path: Path) -> bytes:
    """The bytes of a list; of one too large no more than it takes to see that."""
    try:
        with path.open("rb") as file:
            return stream_bytes(file)
    except OSError as error:
        raise DeskError(f"{path} cannot be read: {error.strerror}") from error


def stream_bytes(stream: BinaryIO) -> bytes:
    """The bytes of a list from an open stream; of one too large only the beginning."""
    return stream.read(MOST_BYTES + 1)


def take_in(folder: KitFolder, data: bytes, name: str, answers: Answers) -> Intake:
    """Read a list and hold it against the kit; nothing is stored."""
    reading = read(data, name, answers)
    return Intake(reading, against(reading, folder.kit))


def accepted(difference: Difference, words: Sequence[str], keys: Sequence[str]) -> list[Entry]:
    """The entries that were accepted: "new", "changed", "all", a line, lines "3-8", an id.

    With ``keys`` a known entry changes in these alone. DeskError for words that mean none.
    """
    known = {change.key for entry in difference.entries for change in entry.changes}
    if strange := [key for key in keys if key not in known]:
        named = ", ".join(sorted(known)) or "none"
        raise DeskError(f'nothing changes in "{strange[0]}"; what changes is {named}')
    wanted: dict[str, Entry] = {}
    for word in words:
        wanted |= {entry.id: entry for entry in _meant(difference, word)}
    chosen = [entry.only(keys) if keys else entry for entry in wanted.values()]
    return [entry for entry in chosen if entry.state is not State.SAME]


def _meant(difference: Difference, word: str) -> list[Entry]:
    plain = word.strip().casefold()
    if plain in (State.NEW.value, State.CHANGED.value):
        return list(difference.of(State(plain)))
    if plain == "all":
        return list(difference.entries)
    lines = re.fullmatch(r"(\d{1,6})(?:-(\d{1,6}))?", plain)
    by_id = [entry for entry in difference.entries if entry.id == word.strip()]
    if by_id or lines is None:
        found = by_id
    else:
        first, last = int(lines[1]), int(lines[2] or lines[1])
        found = [entry for entry in difference.entries if first <= entry.line <= last]
    if not found:
        raise DeskError(
            f'"{word}" is no line and no id that this list could change; '
            "write new, changed, all, a line like 12, lines like 3-8, or an id"
        )
    return found


def store(folder: KitFolder, entries: Sequence[Entry]) -> None:
    """Write the accepted entries into the kit's files, all of them or none.

    Comments and order stay. Raises KitFaults, nothing written, where the kit would have
    faults with them or a file cannot be written; DeskError where an entry was changed by
    somebody else meanwhile.
    """
    sorts = {word: [e for e in entries if _word(e.thing) == word] for word in _FILES}
    sorts = {word: several for word, several in sorts.items() if several}
    raws = {word: _raw(folder, word) for word in _FILES}
    measures = {supply.id: supply.measure for supply in folder.kit.supplies}
    measures |= {e.id: e.thing.measure for e in entries if isinstance(e.thing, Supply)}
    merged = {w: _merged(raws[w].get(w, []), several, measures) for w, several in sorts.items()}
    instead = {_FILES[w]: {**raws[w], w: there} for w, there in merged.items()}
    if faults := faults_with(folder.path, instead):
        raise KitFaults(faults)
    before = {word: _bytes(folder.path / _FILES[word]) for word in sorts}
    done: list[tuple[Path, bytes, bytes | None]] = []
    try:
        for word, several in sorts.items():
            _write(folder, word, several, raws[word], merged[word])
            path = folder.path / _FILES[word]
            done.append((path, path.read_bytes(), before[word]))
    except BaseException:
        take_all_back(done)
        raise


def _word(thing: Thing) -> str:
    return "tool" if isinstance(thing, Tool) else "supply" if isinstance(thing, Supply) else "job"


def _raw(folder: KitFolder, word: str) -> Raw:
    path = folder.path / _FILES[word]
    problems = Problems()
    raw = load(path, problems.at(path.name)) if path.exists() else {}
    if raw is None:
        raise KitFaults(problems.faults)
    return raw


def _bytes(path: Path) -> bytes | None:
    return path.read_bytes() if path.exists() else None


def _table(thing: Thing, measures: dict[str, Measure]) -> Raw:
    """The table of an entry as a file that holds it would be read."""
    if isinstance(thing, Tool):
        return as_read(tables.tool_table(thing))
    if isinstance(thing, Supply):
        return as_read(tables.supply_table(thing))
    return as_read(tables.job_table(thing, measures))


def _merged(there: list[Raw], entries: Sequence[Entry], measures: dict[str, Measure]) -> list[Raw]:
    """The entries of a file as they would be: known ones in their place, new ones at its end."""
    merged = list(there)
    for entry in entries:
        table = _table(entry.thing, measures)
        if entry.known is None:
            merged.append(table)
            continue
        at = next((n for n, e in enumerate(merged) if has_id(e, entry.id)), None)
        if at is None:
            raise DeskError(f"{entry.id} is gone from the kit; import the list again")
        merged[at] = _changed(merged[at], _table(entry.known, measures), table)
    return merged


def _changed(there: Raw, old: Raw, new: Raw) -> Raw:
    """The table as it stands with what differs between old and new; the rest as it was written."""
    table = {key: value for key, value in there.items() if key in new or key not in old}
    return table | {key: value for key, value in new.items() if old.get(key) != value}


def _write(
    folder: KitFolder, word: str, entries: Sequence[Entry], raw: Raw, merged: list[Raw]
) -> None:
    path = folder.path / _FILES[word]
    known = {entry.id for entry in entries if entry.known is not None}

    def change(file: dict[str, Any]) -> None:
        now = file.get(word, [])
        if not same(now, as_written(raw.get(word, []))):
            raise DeskError(f"{path.name} was changed by somebody else; import the list again")
        for number in range(len(now)):
            if any(has_id(now[number], id) for id in known):
                now[number] = as_written(merged[number])

    # new ones stand behind those of the file, and were checked with the whole kit
    new = [as_written(table) for table in merged[len(raw.get(word, [])) :]]
    if known:
        # in one write: a list is not half taken in, whatever happens
        edit_file(path, change, word, new)
    else:
        append_entries(path, word, new)
