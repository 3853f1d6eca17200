"""Journals of the same kit joined: every fact that is not yet here is taken in, or none."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from toolbox.journal.archive import KEYS, Row, put_rows, row_faults, stored_rows
from toolbox.journal.errors import JournalError
from toolbox.journal.schema import version
from toolbox.journal.store import PUT_BACK, WAIT_SECONDS, checked, open_journal, told

_SHOWN = 3
_UNDAMAGED = "Take an undamaged copy of it. Nothing was taken in"
_ONE_IS_DAMAGED = (
    "One of the two was changed behind the program's back; take an undamaged copy. "
    "Nothing was taken in"
)


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What merging brought: the rows that were not here, and how many were here already."""

    new: tuple[Row, ...]
    known: int


def rows_elsewhere(path: Path) -> tuple[Row, ...]:
    """Every fact of somebody else's journal, of this version or an older one; it stays as it is.

    JournalError when it is no journal, damaged, of a newer program, or holds a fact that
    cannot be. Nothing is written but what SQLite itself mends after a crash.
    """
    if not path.is_file():
        raise JournalError(path, "it is not there", "See that the disk is in and the name right")
    try:
        with told(path):
            rows = _read(path)
    except ValueError as fault:
        raise JournalError(path, f"the journal is damaged ({fault})", _UNDAMAGED) from fault
    except JournalError as fault:
        # what is to be done about a journal of one's own helps nobody here
        cure = _UNDAMAGED if fault.cure == PUT_BACK else fault.cure
        raise JournalError(path, fault.wrong, cure) from fault
    faults = [f"fact {rows[fault.row]['id']} {fault.wrong}" for fault in row_faults(rows)]
    if faults:
        raise JournalError(path, f"the journal is damaged: {_first(faults)}", _UNDAMAGED)
    return rows


def _read(path: Path) -> tuple[Row, ...]:
    where = f"{path.resolve().as_uri()}?mode=rw"
    with closing(sqlite3.connect(where, uri=True, timeout=WAIT_SECONDS)) as connection:
        checked(path, connection)
        return stored_rows(connection) if version(connection) else ()


def compared(path: Path, rows: Sequence[Row], other: Path) -> TakenIn:
    """What taking these rows of ``other`` into the journal at ``path`` would bring.

    JournalError, naming them, where an entry is in both and not the same. Makes no file.
    """
    if not path.exists():
        return TakenIn(tuple(rows), 0)
    with open_journal(path) as journal, journal.at_once() as connection:
        return _new_ones(stored_rows(connection), rows, path, other)


def take_in(path: Path, rows: Sequence[Row], other: Path) -> TakenIn:
    """Add the rows of ``other`` that the journal at ``path`` does not have, all or none.

    The rows are such that ``row_faults`` finds nothing wrong with them. JournalError as
    ``compared``, and when it cannot be written; the journal is unchanged then.
    """
    if not rows:
        return TakenIn((), 0)
    with open_journal(path) as journal, journal.at_once() as connection:
        taken = _new_ones(stored_rows(connection), rows, path, other)
        put_rows(connection, taken.new)
    return taken


def _new_ones(here: Iterable[Row], there: Sequence[Row], path: Path, other: Path) -> TakenIn:
    """Rows that are not here; JournalError for entries that are in both and not the same."""
    mine, theirs = _by_entry(here), _by_entry(there)
    wrong = [
        words
        for entry, facts in theirs.items()
        if entry in mine
        for words in _differences(mine[entry], facts)
    ]
    ids = {id for facts in mine.values() for id in facts}
    for entry in theirs.keys() - mine.keys():
        wrong += [f"fact {id} is of another entry here" for id in theirs[entry] if id in ids]
    if wrong:
        said = f"it is not of one piece with {path}: {_first(wrong)}"
        raise JournalError(other, said, _ONE_IS_DAMAGED)
    new = tuple(row for row in there if row["entry"] not in mine)
    return TakenIn(new, len(there) - len(new))


def _by_entry(rows: Iterable[Row]) -> dict[str, dict[str, Row]]:
    entries: dict[str, dict[str, Row]] = {}
    for row in rows:
        entries.setdefault(row["entry"], {})[row["id"]] = row
    return entries


def _differences(mine: Mapping[str, Row], theirs: Mapping[str, Row]) -> Iterator[str]:
    """How the facts of one entry differ between two journals."""
    for id in sorted(mine.keys() ^ theirs.keys()):
        row = mine.get(id) or theirs[id]
        yield f"fact {id} of entry {row['entry']} is in one of the two only"
    for id in sorted(mine.keys() & theirs.keys()):
        for key in KEYS:
            here, there = mine[id][key], theirs[id][key]
            if here != there:
                sides = f"here {json.dumps(here)}, there {json.dumps(there)}"
                yield f"{key} of fact {id} is {sides}"


def _first(words: Sequence[str]) -> str:
    more = len(words) - _SHOWN
    return "; ".join(words[:_SHOWN]) + (f"; and {more} more" if more > 0 else "")
