"""Copies of a journal by SQLite itself, and a journal held against an older copy of it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from toolbox.journal.archive import KEYS
from toolbox.journal.errors import JournalError
from toolbox.journal.schema import version
from toolbox.journal.store import WAIT_SECONDS, checked, told

BESIDE = ("-journal", "-wal", "-shm")
"""What SQLite leaves beside a file that was not closed, behind the file's own name."""


@dataclass(frozen=True, slots=True)
class Held:
    """How many facts a journal holds, and the id of the one written last ("" for none)."""

    facts: int
    last: str


@dataclass(frozen=True, slots=True)
class Against:
    """A journal held against an older copy: ids of facts it lacks, and of facts that differ.

    Facts never change, so one that differs was damaged in one of the two files.
    """

    missing: tuple[str, ...]
    changed: tuple[str, ...]


def copy_journal(source: Path, target: Path) -> Held:
    """Copy a sound journal, of whatever version, while others may write to it.

    Every page and index is checked first. JournalError for a file that is damaged, no
    journal, or cannot be copied; FileExistsError when there is a target already.
    """
    if target.exists():
        raise FileExistsError(target)
    with told(source), closing(_opened(source)) as here:
        checked(source, here, indexes=True)
        with closing(_opened(target)) as there:
            # whoever asks for the copy makes it outlast a power cut as a whole
            there.execute("PRAGMA synchronous = OFF")
            here.backup(there)
            return _held(there)


def held(path: Path) -> Held:
    """What a journal holds after a check of every page and index; JournalError as above."""
    with told(path), closing(_opened(path)) as connection:
        checked(path, connection, indexes=True)
        return _held(connection)


def mode_of(path: Path) -> str:
    """The journal mode that SQLite says is in force for this file; JournalError."""
    with told(path), closing(_opened(path)) as connection:
        return str(connection.execute("PRAGMA journal_mode").fetchone()[0])


def against(path: Path, copy: Path) -> Against:
    """Hold a sound journal against an older sound copy of it; neither is changed."""
    columns = [key for key in KEYS if key != "id"]
    same = " AND ".join(f"here.{key} IS there.{key}" for key in columns)
    with told(path), closing(_opened(path)) as connection:
        if not version(connection):
            return Against((), ())
        connection.execute("ATTACH DATABASE ? AS copy", (str(copy),))
        found = connection.execute(
            f"SELECT there.id, here.id IS NULL FROM copy.facts AS there"
            " LEFT JOIN main.facts AS here ON here.id = there.id"
            f" WHERE here.id IS NULL OR NOT ({same}) ORDER BY there.clock, there.entry, there.nth"
        ).fetchall()
    return Against(
        tuple(fact for fact, gone in found if gone),
        tuple(fact for fact, gone in found if not gone),
    )


@contextmanager
def nobody_writes(path: Path) -> Iterator[None]:
    """Within it no other program can write to this journal; no harm where it is not sound.

    Whoever waited finds the file gone from its name afterwards, which SQLite refuses to
    write to, so that nothing is acknowledged that is then not there.
    """
    if not path.exists():
        yield
        return
    with closing(_opened(path)) as connection:
        try:
            connection.execute("BEGIN IMMEDIATE")
        except (sqlite3.DatabaseError, UnicodeDecodeError) as fault:
            # to a damaged file, or one that may only be read, nobody can write anyway
            if getattr(fault, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY:
                wrong = "another program is writing to it"
                raise JournalError(path, wrong, "Nothing was done; try again") from fault
        yield


def _opened(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)


def _held(connection: sqlite3.Connection) -> Held:
    if not version(connection):
        return Held(0, "")
    (facts,) = connection.execute("SELECT count(*) FROM facts").fetchone()
    last = connection.execute(
        "SELECT id FROM facts ORDER BY clock DESC, entry DESC, nth DESC LIMIT 1"
    )
    return Held(facts, (last.fetchone() or ("",))[0])
