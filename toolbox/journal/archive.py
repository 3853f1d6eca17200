"""A journal's facts as plain rows with every column, and a journal made of such rows."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from toolbox.journal.bodies import read_body, write_body
from toolbox.journal.store import open_journal, told
from toolbox.kit.facts import Undone

Row = dict[str, Any]
_TEXTS = ("id", "entry", "at", "written", "author", "kind")
_UNDAMAGED = "take an undamaged copy"
_FIRST: Row = {"entry": "", "clock": 0, "nth": 0}
_UNDONE = write_body(Undone(""))[0]
KEYS = ("id", "entry", "clock", "nth", "at", "written", "author", "kind", "body")


@dataclass(frozen=True, slots=True)
class RowFault:
    """What is wrong with a row: its number, counted from 0, and the cure."""

    row: int
    wrong: str
    cure: str


def rows_of(path: Path) -> tuple[Row, ...]:
    """Every fact of a journal, undone ones too, in the order of writing; none without a file.

    Each row has the keys ``KEYS``, the body as JSON has it. JournalError for a journal that
    is damaged, of a newer program, or holds a fact that cannot be read.
    """
    if not path.exists():
        return ()
    # opened first as any journal is: checked, and of the newest shape
    with open_journal(path) as journal:
        journal.facts()
    with told(path), closing(sqlite3.connect(path)) as connection:
        return stored_rows(connection)


def stored_rows(connection: sqlite3.Connection) -> tuple[Row, ...]:
    """Every fact of an open journal file of any version as ``rows_of`` gives them.

    ValueError for a body that is no JSON.
    """
    found = connection.execute(f"SELECT {', '.join(KEYS)} FROM facts ORDER BY clock, entry, nth")
    rows = [dict(zip(KEYS, row, strict=True)) for row in found]
    return tuple({**row, "body": json.loads(row["body"])} for row in rows)


def fill(path: Path, rows: Sequence[Row]) -> None:
    """Make a journal of rows, with their ids, times and clocks; no file is made of no rows.

    The rows are such that ``row_faults`` finds nothing wrong with them. FileExistsError when
    there is a file already, JournalError when it cannot be written.
    """
    if path.exists():
        raise FileExistsError(path)
    if not rows:
        return
    with open_journal(path) as journal, journal.at_once() as connection:
        put_rows(connection, rows)


def put_rows(connection: sqlite3.Connection, rows: Iterable[Row]) -> None:
    """Add rows to an open journal file of the newest version, within its transaction."""
    marks = ", ".join("?" * len(KEYS))
    values = ([*(row[key] for key in KEYS[:-1]), _body(row)] for row in rows)
    connection.executemany(f"INSERT INTO facts ({', '.join(KEYS)}) VALUES ({marks})", values)


def _body(row: Row) -> str:
    # as bodies are written: sorted keys, no blanks, plain ASCII
    return json.dumps(row["body"], sort_keys=True, separators=(",", ":"))


def row_faults(rows: Sequence[Row]) -> Iterator[RowFault]:
    """What keeps rows from being a journal: first what is wrong in one, else with its place."""
    ids: set[str] = set()
    entries: dict[str, int] = {}  # each with its clock
    before: Row | None = _FIRST
    for number, row in enumerate(rows):
        wrong = next(_wrong_itself(row), None)
        # of what comes behind a damaged row nobody knows what should come
        sound = None if wrong else row
        if sound is not None:
            wrong = next(_wrong_here(sound, before, ids, entries), None)
            ids.add(sound["id"])
        if wrong is not None:
            yield RowFault(number, *wrong)
        entries[str(row.get("entry"))] = sound["clock"] if sound is not None else 0
        before = sound


def _wrong_itself(row: Row) -> Iterator[tuple[str, str]]:
    if sorted(row) != sorted(KEYS):
        yield f"has the keys {', '.join(sorted(row))}", f"write the keys {', '.join(KEYS)}"
        return
    for key in _TEXTS:
        if not isinstance(row[key], str) or not _is_unicode(row[key]):
            yield f"{key} is no text", "write it between double quotes"
    for key in ("clock", "nth"):
        if type(row[key]) is not int:
            yield f"{key} is no whole number", _UNDAMAGED
    for key in ("at", "written"):
        if not has_zone(row[key]):
            yield f"{key} is no time with its zone", "write it like 2026-01-31T09:30:00+01:00"
    try:
        read_body(row["kind"], _body(row))
    except (TypeError, ValueError) as fault:
        yield str(fault), _UNDAMAGED


def _wrong_here(
    row: Row, before: Row | None, ids: set[str], entries: Mapping[str, int]
) -> Iterator[tuple[str, str]]:
    goes_on = before is not None and row["entry"] == before["entry"]
    if before is not None and not _may_follow(row, before):
        clock, nth = (0, before["nth"] + 1) if goes_on else (1, 0)
        there = f"clock {row['clock']}, nth {row['nth']}"
        wrong = f"has {there} where {before['clock'] + clock}, {nth} comes next"
        yield wrong, "take a copy in which no line is missing and all are in order"
    if row["id"] in ids:
        yield "has the id of a line before it", _UNDAMAGED
    if before is not None and not goes_on and row["entry"] in entries:
        yield "goes on with an entry that was over", _UNDAMAGED
    clock = row["clock"]
    if row["kind"] == _UNDONE and entries.get(row["body"]["entry"], clock) >= clock:
        yield "takes back an entry that does not come before it", _UNDAMAGED


def _may_follow(row: Row, before: Row) -> bool:
    """Whether a row is its entry's next, a new clock's first, or another entry's of that clock.

    Entries of the same clock were written apart and merged; their ids put them in order.
    """
    if row["entry"] == before["entry"]:
        return bool((row["clock"], row["nth"]) == (before["clock"], before["nth"] + 1))
    beside = row["clock"] == before["clock"] > 0 and row["entry"] > before["entry"]
    return bool(row["nth"] == 0 and (beside or row["clock"] == before["clock"] + 1))


def _is_unicode(text: str) -> bool:
    # half a character out of an escape is no text that a file can hold
    return text.isascii() or not any("\ud800" <= letter <= "\udfff" for letter in text)


def has_zone(text: str) -> bool:
    """Whether a text is a time with its zone."""
    try:
        return datetime.fromisoformat(text).utcoffset() is not None
    except ValueError:
        return False
