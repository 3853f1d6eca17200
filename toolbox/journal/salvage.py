"""What can still be read of a damaged journal, fact by fact, and put behind a sound copy."""

from __future__ import annotations

import json
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from toolbox.journal.archive import KEYS, Row, has_zone, put_rows
from toolbox.journal.bodies import read_body, write_body
from toolbox.journal.copies import BESIDE
from toolbox.journal.store import open_journal
from toolbox.kit.facts import Undone

_LEAST = 60  # bytes that a fact takes at the very least: no file holds more than its size by it
_UNDONE = write_body(Undone(""))[0]


@dataclass(frozen=True, slots=True)
class Readable:
    """The facts that can be read, in the order of writing, and how many rows could not be.

    Of what stood in pages that are gone nobody knows how many there were.
    """

    rows: tuple[Row, ...]
    unreadable: int


def readable(path: Path) -> Readable:
    """What can be read of a journal, sound or not; the file itself is not touched.

    Nothing at all for a file that is no database any more.
    """
    with tempfile.TemporaryDirectory() as scratch:
        # a copy is read: opening the file could roll back what stands beside it
        there = Path(scratch) / path.name
        for end in ("", *BESIDE):
            part = path.with_name(path.name + end)
            if part.exists():
                shutil.copyfile(part, there.with_name(there.name + end))
        if not there.exists():
            return Readable((), 0)
        with closing(sqlite3.connect(there, isolation_level=None)) as connection:
            connection.text_factory = bytes
            return _sorted_out(_raw_rows(connection, there.stat().st_size // _LEAST + 1))


def _raw_rows(connection: sqlite3.Connection, most: int) -> Iterator[tuple[object, ...] | None]:
    """Every row by its number in the file, None for a stretch that cannot be read."""
    try:
        connection.execute("SELECT 1 FROM facts LIMIT 0")
    except (sqlite3.Error, UnicodeDecodeError):
        return  # not even the name of the table is left
    stretches = [(1, most)]
    while stretches:
        low, high = stretches.pop()
        try:
            yield from connection.execute(
                f"SELECT {', '.join(KEYS)} FROM facts NOT INDEXED"
                " WHERE rowid BETWEEN ? AND ? ORDER BY rowid",
                (low, high),
            ).fetchall()
        except (sqlite3.Error, UnicodeDecodeError):
            if low == high:
                yield None
                continue
            middle = (low + high) // 2
            # the lower half is read first
            stretches += [(middle + 1, high), (low, middle)]


def _sorted_out(found: Iterator[tuple[object, ...] | None]) -> Readable:
    rows: dict[str, Row] = {}
    unreadable = 0
    for raw in found:
        row = _row(raw) if raw is not None else None
        if row is None or row["id"] in rows:
            unreadable += raw is not None
        else:
            rows[row["id"]] = row
    return Readable(tuple(sorted(rows.values(), key=_place)), unreadable)


def _place(row: Row) -> tuple[int, str, int]:
    return row["clock"], row["entry"], row["nth"]


def _row(raw: tuple[object, ...]) -> Row | None:
    """The row as an export has it, None when something in it is no fact."""
    try:
        row = {
            key: value.decode("utf-8") if isinstance(value, bytes) else value
            for key, value in zip(KEYS, raw, strict=True)
        }
        return {**row, "body": json.loads(str(row["body"]))} if _is_fact(row) else None
    except (TypeError, ValueError):
        return None


def _is_fact(row: Mapping[str, object]) -> bool:
    """Whether every column holds what it must; ValueError or TypeError for some of what cannot."""
    places = [row[key] for key in ("clock", "nth")]
    texts = [row[key] for key in ("id", "entry", "author")]
    read_body(str(row["kind"]), str(row["body"]))
    return (
        all(isinstance(place, int) and place >= 0 for place in places)
        and all(isinstance(text, str) for text in texts)
        and all(has_zone(str(row[key])) for key in ("at", "written"))
    )


def newer(rows: Sequence[Row], known: Sequence[Row]) -> tuple[Row, ...]:
    """The facts of whole entries that are not among the known ones.

    An entry of which some facts are known, or whose first ones are missing, is left out, and
    so is an undo of an entry that is nowhere.
    """
    entries: dict[str, list[Row]] = {}
    for row in rows:
        entries.setdefault(row["entry"], []).append(row)
    there = {row["entry"] for row in known}
    ids = {row["id"] for row in known}
    kept: list[Row] = []
    for entry, facts in entries.items():
        whole = [fact["nth"] for fact in facts] == list(range(len(facts)))
        together = len({fact["clock"] for fact in facts}) == 1
        undoes = [fact["body"]["entry"] for fact in facts if fact["kind"] == _UNDONE]
        strange = entry in there or any(fact["id"] in ids for fact in facts)
        if whole and together and not strange and all(target in there for target in undoes):
            kept += facts
            there.add(entry)
    return tuple(kept)


def append_rows(path: Path, rows: Sequence[Row]) -> None:
    """Put whole entries behind those of a sound journal, all or none; JournalError.

    They keep ids, times and their order; where some that stood between are gone, those behind
    move up, for a journal has no gaps.
    """
    if not rows:
        return
    with open_journal(path) as journal, journal.at_once() as connection:
        (last,) = connection.execute("SELECT coalesce(max(clock), 0) FROM facts").fetchone()
        moved: dict[int, int] = {}
        for clock in sorted({row["clock"] for row in rows}):
            moved[clock] = min(clock, last + 1)
            last = max(last, moved[clock])
        put_rows(connection, [{**row, "clock": moved[row["clock"]]} for row in rows])
