"""The journal file: opened, appended to, read, and never changed or deleted.

One SQLite file in rollback mode: when it is closed there is one file and nothing
beside it, which removable disks and synced folders ask for. No clock in here: the
caller says when things happened and when they were written.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from datetime import datetime
from pathlib import Path
from types import TracebackType
from uuid import uuid4

from toolbox.journal.bodies import read_body, write_body
from toolbox.journal.errors import JournalError
from toolbox.journal.live import live_entries, live_facts
from toolbox.journal.schema import ForeignDatabase, NewerJournal, migrate, newest, writing
from toolbox.kit.facts import Fact, Undone, What

WAIT_SECONDS = 5.0
"""How long another program is waited for that writes to the same file."""
PUT_BACK = (
    'Do not delete it: "toolbox restore" lists the copies of the kit, and keeps this file aside '
    'when one is put back; "toolbox doctor" says what of it can still be read'
)
"""What to do about a file that cannot be used any more."""


def fresh_id() -> str:
    """A new id that nobody else has: 32 hexadecimal digits."""
    return uuid4().hex


class Journal:
    """An open journal. Use it in the thread that opened it, and close it.

    ``mode`` is the journal mode really in force, as SQLite says it: ``delete``
    unless the file's home does not allow it. Every method may raise JournalError.
    """

    def __init__(
        self, path: Path, connection: sqlite3.Connection, mode: str, new_id: Callable[[], str]
    ) -> None:
        self.path = path
        self.mode = mode
        self._connection = connection
        self._new_id = new_id
        self._held = False

    def __enter__(self) -> Journal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; closing twice does no harm."""
        self._connection.close()

    def add(self, whats: Sequence[What], *, at: datetime, author: str, written: datetime) -> str:
        """Write facts as one entry, all or none, and return the entry's id.

        When this returns, the entry is on the disk. ``at`` is when it happened,
        ``written`` when it was typed in; both must know their zone. ValueError for
        no facts at all, times without zone, impossible counts, or an undo (see undo).
        """
        if not whats:
            raise ValueError("an entry needs at least one fact")
        if any(isinstance(what, Undone) for what in whats):
            raise ValueError("entries are taken back with undo, not with add")
        with told(self.path):
            return self._append(lambda: whats, at, author, written)

    def undo(self, entry: str, *, at: datetime, author: str, written: datetime) -> str:
        """Take an entry back by writing so, and return the id of the new entry.

        Undoing an undo brings back what it took, also where several took it back.
        JournalError when there is no such entry or it is undone already; the journal is
        unchanged then.
        """
        with told(self.path):
            return self._append(lambda: self._undoing(entry), at, author, written)

    @contextmanager
    def together(self) -> Iterator[None]:
        """Write many entries with one wait for the disk: all are there at its end, or none.

        An entry written inside is not acknowledged before the end.
        """
        with told(self.path), writing(self._connection):
            self._held = True
            try:
                yield
            finally:
                self._held = False

    @contextmanager
    def at_once(self) -> Iterator[sqlite3.Connection]:
        """The file within one write transaction, for what this package writes as rows."""
        with told(self.path), writing(self._connection):
            yield self._connection

    def facts(self, after: Fact | None = None) -> tuple[Fact, ...]:
        """Every fact behind the entry of this one (all by default), in the order of writing."""
        if after is None:
            return self._stored()
        return self._stored("WHERE (clock, entry) > (?, ?)", after.clock, after.entry)

    def begins_with(self, known: Sequence[Fact]) -> bool:
        """Whether the journal's first facts are these ones: same number, same last id.

        False where others were merged in between them since ``known`` was read, and for a
        file that another one was put in the place of.
        """
        if not known:
            return True
        last = known[-1]
        with told(self.path):
            (many, there) = self._connection.execute(
                "SELECT (SELECT count(*) FROM facts WHERE (clock, entry) <= (?, ?)),"
                " (SELECT id FROM facts WHERE (clock, entry) = (?, ?) ORDER BY nth DESC LIMIT 1)",
                (last.clock, last.entry) * 2,
            ).fetchone()
        return bool(many == len(known) and there == last.id)

    def live(self) -> tuple[Fact, ...]:
        """The facts that count: those whose entry has not been undone."""
        return live_facts(self.facts())

    def _append(
        self,
        whats: Callable[[], Sequence[What]],
        at: datetime,
        author: str,
        written: datetime,
    ) -> str:
        times = (_zoned(at, "at"), _zoned(written, "written"))
        entry = self._new_id()
        # what is written may depend on what is there: asked for under the lock
        with nullcontext() if self._held else writing(self._connection):
            bodies = [write_body(what) for what in whats()]
            (clock,) = self._connection.execute(
                "SELECT coalesce(max(clock), 0) + 1 FROM facts"
            ).fetchone()
            self._connection.executemany(
                "INSERT INTO facts (id, entry, clock, nth, at, written, author, kind, body)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                [
                    (self._new_id(), entry, clock, nth, *times, author, kind, body)
                    for nth, (kind, body) in enumerate(bodies)
                ],
            )
        return entry

    def _undoing(self, entry: str) -> tuple[Undone, ...]:
        """What has to be taken back for this entry to be; JournalError when it cannot be."""
        # Only undos and the entry itself decide, which keeps a long journal quick.
        facts = self._stored("WHERE kind = 'undone' OR entry = ?", entry)
        if all(fact.entry != entry for fact in facts):
            raise JournalError(
                self.path,
                f"there is no entry {entry} to undo",
                "List the entries and take the id from there",
            )
        live = live_entries(facts)
        if entry not in live:
            raise JournalError(
                self.path,
                f"entry {entry} is undone already",
                "To bring it back, undo the entry that took it back",
            )
        return tuple(Undone(one) for one in (entry, *_undos_beside(entry, facts, live)))

    def _stored(self, which: str = "", *values: str | int) -> tuple[Fact, ...]:
        with told(self.path):
            rows = self._connection.execute(
                "SELECT id, entry, clock, at, author, kind, body FROM facts"
                f" {which} ORDER BY clock, entry, nth",
                values,
            ).fetchall()
            return tuple(_read_row(self.path, *row) for row in rows)


def open_journal(path: Path, *, new_id: Callable[[], str] = fresh_id) -> Journal:
    """Open the journal at ``path`` for reading and writing, making it if it is not there.

    The file is checked first. JournalError when it is no journal, damaged, written
    by a newer program, or cannot be opened; the file is left as it is then.
    """
    with told(path):
        connection = sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)
        try:
            mode = _settle(connection)
            checked(path, connection)
            migrate(connection)
        except BaseException:
            connection.close()
            raise
    return Journal(path, connection, mode, new_id)


def read_facts(path: Path, known: tuple[Fact, ...] = ()) -> tuple[Fact, ...]:
    """Every fact of the journal at ``path``; none, and no file made, when it is not there.

    ``known`` are facts read from it before: only newer ones are then fetched, which
    keeps a long journal quick.
    """
    if not path.exists():
        return ()
    with open_journal(path) as journal:
        if not journal.begins_with(known):
            return journal.facts()
        newer = journal.facts(known[-1] if known else None)
        return known + newer if newer else known


def _undos_beside(entry: str, facts: Sequence[Fact], live: Collection[str]) -> list[str]:
    """Other undos that stand and took back what this one did: written elsewhere, then merged."""
    took = [(fact.entry, fact.what.entry) for fact in facts if isinstance(fact.what, Undone)]
    taken = {target for undo, target in took if undo == entry}
    others = (undo for undo, target in took if target in taken and undo != entry and undo in live)
    return list(dict.fromkeys(others))


def _settle(connection: sqlite3.Connection) -> str:
    # EXTRA is FULL that also makes the end of the rollback file last: without
    # it a power cut just after the commit can bring an acknowledged entry to nothing.
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA fullfsync = ON")
    try:
        # By way of PERSIST: only leaving that mode clears away a rollback file that
        # a crash left before anything stood in it.
        connection.execute("PRAGMA journal_mode = PERSIST").fetchone()
        (mode,) = connection.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.OperationalError as fault:
        # Another program holds the file in its own mode; it stays, and is told.
        if _code(fault) not in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise
        (mode,) = connection.execute("PRAGMA journal_mode").fetchone()
    return str(mode)


def checked(path: Path, connection: sqlite3.Connection, *, indexes: bool = False) -> None:
    """JournalError when SQLite finds the open file damaged; with ``indexes`` those, too."""
    check = "integrity_check" if indexes else "quick_check"
    (verdict,) = connection.execute(f"PRAGMA {check}(1)").fetchone()
    if verdict != "ok":
        raise JournalError(path, f"the journal is damaged ({verdict})", PUT_BACK)


def _read_row(
    path: Path,
    fact: str,
    entry: str,
    clock: int,
    at: str,
    author: str,
    kind: str,
    body: str,
) -> Fact:
    try:
        if not isinstance(clock, int) or not all(isinstance(t, str) for t in (fact, entry, author)):
            raise ValueError("a column holds what it cannot")
        happened = datetime.fromisoformat(at)
        what = read_body(kind, body)
    except (TypeError, ValueError) as fault:
        raise JournalError(path, f"fact {fact} of entry {entry}: {fault}", PUT_BACK) from fault
    return Fact(fact, entry, clock, happened, author, what)


def _zoned(moment: datetime, name: str) -> str:
    if moment.utcoffset() is None:
        raise ValueError(f"{name} needs a time zone: {moment.isoformat()} has none")
    return moment.isoformat()


def _code(fault: sqlite3.Error) -> int:
    # The low byte is the primary code; faults of the driver itself carry none.
    return getattr(fault, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Within it what goes wrong with the journal at ``path`` becomes a JournalError."""
    try:
        yield
    except ForeignDatabase as fault:
        wrong = "this is a database of another program, not a journal"
        raise JournalError(path, wrong, PUT_BACK) from fault
    except NewerJournal as fault:
        wrong = f"written by a newer program (version {fault.args[0]}, known up to {newest()})"
        raise JournalError(path, wrong, "Update toolbox; the file was left as it is") from fault
    except UnicodeDecodeError as fault:
        # SQLite's own words about a damaged file can hold what stands in it
        raise JournalError(path, "the journal is damaged (no text)", PUT_BACK) from fault
    except sqlite3.Error as fault:
        raise JournalError(path, *_in_words(fault)) from fault


def _in_words(fault: sqlite3.Error) -> tuple[str, str]:
    match _code(fault):
        case sqlite3.SQLITE_NOTADB:
            return "this file is no journal (not an SQLite database)", PUT_BACK
        case sqlite3.SQLITE_CORRUPT:
            return f"the journal is damaged ({fault})", PUT_BACK
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            wrong = f"another program has been writing to it for {WAIT_SECONDS:g} s"
            return wrong, "Nothing was written; close the other program and try again"
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_PERM:
            cure = "Nothing was written; allow writing to the file and its folder"
            return "the file or its folder may only be read", cure
        case sqlite3.SQLITE_CANTOPEN:
            return "it cannot be opened", "See that the folder exists and may be written to"
        case sqlite3.SQLITE_FULL:
            return "the disk is full", "Nothing was written; make room and try again"
        case sqlite3.SQLITE_ERROR if "decode" in str(fault):
            return "the journal is damaged (a text in it is none)", PUT_BACK
        case _:
            return f"reading or writing failed ({fault})", "Nothing was written; check the disk"
