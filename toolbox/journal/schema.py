"""The shape of the journal file: numbered migrations, each applied once and recorded."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import NamedTuple

# Stands in the file's header, so that another program's database is told apart.
APPLICATION_ID = 0x544A4E4C


class Migration(NamedTuple):
    """A step from one shape of the file to the next."""

    number: int
    name: str
    statements: tuple[str, ...]


MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        1,
        "facts",
        (
            f"PRAGMA application_id = {APPLICATION_ID}",
            "CREATE TABLE migrations (number INTEGER PRIMARY KEY, name TEXT NOT NULL)",
            """
            CREATE TABLE facts (
                id TEXT PRIMARY KEY NOT NULL,
                entry TEXT NOT NULL,
                clock INTEGER NOT NULL,
                nth INTEGER NOT NULL,
                at TEXT NOT NULL,
                written TEXT NOT NULL,
                author TEXT NOT NULL,
                kind TEXT NOT NULL,
                body TEXT NOT NULL,
                UNIQUE (clock, nth)
            )
            """,
            "CREATE TRIGGER facts_never_change BEFORE UPDATE ON facts"
            " BEGIN SELECT RAISE(ABORT, 'facts are never changed'); END",
            "CREATE TRIGGER facts_never_go BEFORE DELETE ON facts"
            " BEGIN SELECT RAISE(ABORT, 'facts are never deleted'); END",
            # INSERT OR REPLACE deletes without waking the trigger above.
            "CREATE TRIGGER facts_never_replaced BEFORE INSERT ON facts"
            " WHEN EXISTS (SELECT 1 FROM facts WHERE id = NEW.id"
            " OR (clock = NEW.clock AND nth = NEW.nth))"
            " BEGIN SELECT RAISE(ABORT, 'facts are never replaced'); END",
        ),
    ),
    # Entries written apart may have the same clock: the entry's id is part of the order.
    Migration(
        2,
        "facts of several journals",
        (
            "DROP TRIGGER facts_never_change",
            "DROP TRIGGER facts_never_go",
            "DROP TRIGGER facts_never_replaced",
            "ALTER TABLE facts RENAME TO facts_of_one",
            """
            CREATE TABLE facts (
                id TEXT PRIMARY KEY NOT NULL,
                entry TEXT NOT NULL,
                clock INTEGER NOT NULL,
                nth INTEGER NOT NULL,
                at TEXT NOT NULL,
                written TEXT NOT NULL,
                author TEXT NOT NULL,
                kind TEXT NOT NULL,
                body TEXT NOT NULL,
                UNIQUE (clock, entry, nth)
            )
            """,
            "INSERT INTO facts SELECT id, entry, clock, nth, at, written, author, kind, body"
            " FROM facts_of_one ORDER BY clock, nth",
            "DROP TABLE facts_of_one",
            "CREATE TRIGGER facts_never_change BEFORE UPDATE ON facts"
            " BEGIN SELECT RAISE(ABORT, 'facts are never changed'); END",
            "CREATE TRIGGER facts_never_go BEFORE DELETE ON facts"
            " BEGIN SELECT RAISE(ABORT, 'facts are never deleted'); END",
            "CREATE TRIGGER facts_never_replaced BEFORE INSERT ON facts"
            " WHEN EXISTS (SELECT 1 FROM facts WHERE id = NEW.id"
            " OR (clock = NEW.clock AND entry = NEW.entry AND nth = NEW.nth))"
            " BEGIN SELECT RAISE(ABORT, 'facts are never replaced'); END",
        ),
    ),
)


class ForeignDatabase(Exception):
    """The file is a sound database, but not a journal of this program."""


class NewerJournal(Exception):
    """The file was written by a newer program; the argument is its version."""


def newest() -> int:
    """The version that this program writes."""
    return MIGRATIONS[-1].number


def version(connection: sqlite3.Connection) -> int:
    """Number of the last migration applied, 0 for an empty file; reads only.

    Raises ForeignDatabase and NewerJournal.
    """
    # Tables before mark: while another process makes the journal between the two
    # questions, no tables and our mark can be seen, but never tables without a mark.
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    if mark not in (0, APPLICATION_ID) or (tables and mark == 0):
        raise ForeignDatabase
    if not tables:
        return 0
    (number,) = connection.execute("SELECT max(number) FROM migrations").fetchone()
    if number is None:
        raise ForeignDatabase
    if number > newest():
        raise NewerJournal(number)
    return int(number)


def migrate(connection: sqlite3.Connection) -> None:
    """Bring the file to the newest version; writes nothing when it is there already."""
    while version(connection) < newest():
        with writing(connection):
            # Asked again under the lock: another process may have been faster.
            done = version(connection)
            todo = next((m for m in MIGRATIONS if m.number == done + 1), None)
            if todo is not None:
                _apply(connection, todo)


@contextmanager
def writing(connection: sqlite3.Connection) -> Iterator[None]:
    """A write transaction that takes the lock at once; left by an error, nothing is kept.

    When the block has ended without an error, the transaction is on the disk.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _apply(connection: sqlite3.Connection, migration: Migration) -> None:
    for statement in migration.statements:
        connection.execute(statement)
    connection.execute("INSERT INTO migrations VALUES (?, ?)", (migration.number, migration.name))
