"""Older journals brought up, and what merging refuses: damage, and what is no journal.

The journal of version 1 in ``tests/journals`` was written by the program as it was before
journals could be merged; its lines beside it are that program's own export of it.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from toolbox.files.archive_lines import lines_text
from toolbox.journal.archive import Row, fill, rows_of
from toolbox.journal.errors import JournalError
from toolbox.journal.live import live_facts
from toolbox.journal.merge import compared, rows_elsewhere, take_in
from toolbox.journal.schema import newest
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.facts import LoosePick

OLD = Path(__file__).parents[1] / "journals" / "version_1.db"
AT = datetime(2026, 11, 20, 9, tzinfo=UTC)
WHEN = {"at": AT, "author": "Ada", "written": AT}


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A copy of the old journal."""
    return Path(shutil.copy(OLD, tmp_path / "journal.db"))


def version_of(path: Path) -> int:
    """The version as it stands in the file."""
    with closing(sqlite3.connect(path)) as connection:
        return int(connection.execute("SELECT max(number) FROM migrations").fetchone()[0])


def test_an_old_journal_is_brought_up_and_says_the_same(old: Path) -> None:
    """Every fact, id, clock and undo is as the old program exported it."""
    assert version_of(old) == 1
    assert lines_text("toolbox journal", 1, rows_of(old)) == OLD.with_suffix(".jsonl").read_bytes()
    assert version_of(old) == newest()
    # the step was undone and brought back, the supply undone
    assert {fact.entry[-2:] for fact in live_facts(read_facts(old))} == {"01", "08", "0a", "0c"}


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE facts SET author = 'Eve'",
        "DELETE FROM facts",
        "INSERT OR REPLACE INTO facts SELECT id, 'e', 99, 0, at, written, 'Eve', kind, body"
        " FROM facts",
        "INSERT OR REPLACE INTO facts SELECT 'x', entry, clock, nth, at, written, 'Eve', kind,"
        " body FROM facts",
    ],
)
def test_facts_of_an_old_journal_still_never_change(old: Path, statement: str) -> None:
    """The guards in the file are there after it was brought up."""
    before = rows_of(old)
    with closing(sqlite3.connect(old)) as connection:
        with pytest.raises(sqlite3.IntegrityError, match="facts are never"):
            connection.execute(statement)
        connection.rollback()
    assert rows_of(old) == before


def test_an_old_journal_is_taken_in_and_stays_old(old: Path, tmp_path: Path) -> None:
    """A disk from a machine with an older program is read, not brought up."""
    before = old.read_bytes()
    here = tmp_path / "here.db"
    assert len(take_in(here, rows_elsewhere(old), old).new) == 8
    assert old.read_bytes() == before
    assert rows_of(here) == rows_of(Path(shutil.copy(old, tmp_path / "copy.db")))


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="who may do all is stopped by no mode"
)
def test_what_may_only_be_read_is_taken_in(old: Path) -> None:
    """A disk that is locked against writing can be merged from."""
    old.chmod(0o444)
    old.parent.chmod(0o555)
    assert len(rows_elsewhere(old)) == 8


def test_a_copy_taken_in_the_middle_of_writing_is_read_as_it_was(old: Path, tmp_path: Path) -> None:
    """SQLite's own recovery from the rollback file beside it, as after a power cut."""
    crashed = tmp_path / "crashed"
    crashed.mkdir()
    script = (
        "import shutil, sqlite3, sys; c = sqlite3.connect(sys.argv[1], isolation_level=None);"
        "c.execute('PRAGMA cache_size = 1'); c.execute('BEGIN IMMEDIATE');"
        "[c.execute(\"INSERT INTO facts SELECT 'n' || ?1, 'e', 9, ?1, at, written, author, kind,"
        ' body FROM facts LIMIT 1", (n,)) for n in range(2000)];'
        "[shutil.copy(sys.argv[1] + end, sys.argv[2]) for end in ('', '-journal')]"
    )
    subprocess.run([sys.executable, "-c", script, str(old), str(crashed)], check=True)
    assert (crashed / "journal.db").read_bytes() != OLD.read_bytes()
    assert rows_elsewhere(crashed / "journal.db") == rows_elsewhere(OLD)


def test_a_newer_journal_is_refused_in_words(old: Path) -> None:
    """What a newer program wrote is not guessed at, and not touched."""
    with closing(sqlite3.connect(old)) as connection, connection:
        connection.execute("INSERT INTO migrations VALUES (99, 'later')")
    before = old.read_bytes()
    with pytest.raises(JournalError, match=r"newer program \(version 99"):
        rows_elsewhere(old)
    assert old.read_bytes() == before


@pytest.mark.parametrize("content", [b"tool;times\n" * 99, None])
def test_what_is_no_journal_is_refused(tmp_path: Path, content: bytes | None) -> None:
    """A list, and a file that is not there; no file is made of it."""
    path = tmp_path / "other.db"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(JournalError, match=r"no journal|not there"):
        rows_elsewhere(path)
    assert path.exists() == (content is not None)


def test_an_empty_file_holds_nothing(tmp_path: Path) -> None:
    """A copy of no bytes is a journal in which nothing was written yet."""
    path = tmp_path / "other.db"
    path.touch()
    assert rows_elsewhere(path) == ()
    assert path.read_bytes() == b""


Change = Callable[[list[Row]], None]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda rows: rows[0]["body"].update(note="x"), "body of fact 0+2 is"),
        (lambda rows: rows[3].update(author="Eve"), "author of fact 0+7 is here .* there .Eve"),
        (lambda rows: rows[7].update(at="2026-01-18T00:00:00+01:00"), "at of fact 0+e is"),
        (lambda rows: rows.pop(), "fact 0+e of entry 0+c is in one of the two only"),
        (lambda rows: rows[0].update(id="z"), "fact z of entry 0+1 is in one"),
        (
            lambda rows: [row.update(entry="z") for row in rows[6:]],
            "fact 0+d is of another entry here",
        ),
    ],
)
def test_the_same_id_with_other_content_is_damage(
    old: Path, tmp_path: Path, change: Change, words: str
) -> None:
    """Nothing is taken in, and what differs is named."""
    with open_journal(old) as journal:
        journal.add([LoosePick("K4")], **WHEN)
    other = tmp_path / "other.db"
    with open_journal(Path(shutil.copy(OLD, tmp_path / "more.db"))) as journal:
        journal.add([LoosePick("K5")], **WHEN)
    *rows, extra = rows_of(tmp_path / "more.db")
    change(rows)
    fill(other, rows)
    before = rows_of(old)
    for do in (compared, take_in):
        with pytest.raises(JournalError, match=words) as told:
            do(old, [*rows, extra], other)
        assert told.value.file == other
        assert "Nothing was taken in" in told.value.cure
    assert rows_of(old) == before


def test_a_journal_with_a_hole_is_damage(old: Path, tmp_path: Path) -> None:
    """Facts that were taken out of a file behind the program's back are missed."""
    rows = list(rows_of(old))
    del rows[2]
    other = tmp_path / "other.db"
    fill(other, rows)
    with pytest.raises(JournalError, match=r"has clock 3, nth 0 where 2, 0 comes next"):
        rows_elsewhere(other)


def test_all_or_nothing(old: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that fails in the middle leaves the journal as it was."""
    import toolbox.journal.merge as merging

    here = tmp_path / "here.db"
    with open_journal(here) as journal:
        journal.add([LoosePick("K4")], **WHEN)
    before = rows_of(here)
    whole = merging.put_rows

    def fails(connection: sqlite3.Connection, rows: list[Row]) -> None:
        whole(connection, rows[:5])
        raise sqlite3.OperationalError("disk I/O error")

    monkeypatch.setattr(merging, "put_rows", fails)
    with pytest.raises(JournalError, match="disk I/O error"):
        take_in(here, rows_elsewhere(old), old)
    assert rows_of(here) == before


def test_what_was_known_is_gone_on_from_only_where_it_still_leads(tmp_path: Path) -> None:
    """Facts merged in between, and behind with the same clock, are all seen by a reader."""
    paths = [tmp_path / "a.db", tmp_path / "b.db"]
    for name, path in zip("ab", paths, strict=True):
        ids = iter([f"{name}{number}" for number in range(9)])
        with open_journal(path, new_id=lambda ids=ids: next(ids)) as journal:
            for _ in range(2):
                journal.add([LoosePick("K4")], **WHEN)
    known = read_facts(paths[0])
    last = read_facts(paths[1])[-1:]
    # only the last entry of b: of the clock of the last one known, and behind it
    row = rows_of(paths[1])[-1]
    take_in(paths[0], [row], paths[1])
    again = read_facts(paths[0], known)
    assert again == (*known, *last) == read_facts(paths[0])
    take_in(paths[0], rows_of(paths[1]), paths[1])
    assert read_facts(paths[0], again) == read_facts(paths[0])
    assert [fact.id for fact in read_facts(paths[0])] == ["a1", "b1", "a3", "b3"]
    with open_journal(paths[0]) as journal:
        journal.add([LoosePick("K4")], **WHEN)
        assert journal.facts()[-1].clock == 3
