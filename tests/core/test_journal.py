"""The journal file: what it keeps, what it refuses, what it does with a bad file."""

import shutil
import sqlite3
from datetime import datetime, timedelta, timezone
from itertools import count
from uuid import uuid4

import pytest

from toolbox.journal import store
from toolbox.journal.errors import JournalError
from toolbox.journal.live import live_facts
from toolbox.journal.schema import MIGRATIONS
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone
from toolbox.kit.work import Draw, Pick

EARLY = datetime(2026, 1, 17, 7, 30, tzinfo=timezone(timedelta(hours=1)))
LATE = datetime(2026, 1, 18, 21, 5, 6, 789, tzinfo=timezone(timedelta(hours=-3, minutes=-30)))
WHO = {"author": "Ada", "written": LATE}
STEP = StepDone(
    "v1",
    "J1",
    2,
    (Pick("T4"), Pick("T5", 2)),
    (Draw("S1", 30),),
    urgent=True,
    bike="7 B",
    note="½ turn, Ø 5 “mm”\n日本",
)
WHATS = (
    STEP,
    LoosePick("T9", 3, urgent=True, bike="é", note="a"),
    SupplyUsed("S2", 12, "b", "c"),
)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "journal.db"


def numbered():
    """An id maker whose ids can be foretold."""
    numbers = count(1)
    return lambda: f"{next(numbers):032x}"


def raw(path, *statements):
    """Do something to the file behind the journal's back."""
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        for statement in statements:
            connection.execute(statement)
    finally:
        connection.close()


def test_facts_come_back_as_they_were_written(path):
    """Every field of every kind of fact survives closing and opening again."""
    with open_journal(path, new_id=numbered()) as journal:
        first = journal.add(WHATS, at=EARLY, **WHO)
        second = journal.undo(first, at=LATE, **WHO)
        assert journal.mode == "delete"
    assert (first, second) == (f"{1:032x}", f"{5:032x}")
    expected = [Fact(f"{n + 2:032x}", first, 1, EARLY, "Ada", what) for n, what in enumerate(WHATS)]
    expected.append(Fact(f"{6:032x}", second, 2, LATE, "Ada", Undone(first)))
    facts = read_facts(path)
    assert facts == tuple(expected)
    assert [fact.at.utcoffset() for fact in facts] == [EARLY.utcoffset()] * 3 + [LATE.utcoffset()]


def test_reading_makes_no_file(path):
    """Asking a kit that has no journal gives no facts and leaves no file."""
    assert read_facts(path) == ()
    assert list(path.parent.iterdir()) == []


def test_one_file_when_closed(path):
    """Nothing lies beside the journal once it is closed (synced folders, removable disks)."""
    with open_journal(path) as journal:
        journal.add(WHATS, at=EARLY, **WHO)
    assert [file.name for file in path.parent.iterdir()] == ["journal.db"]


def test_durability_settings_are_in_force(path):
    """A commit waits for the disk: synchronous FULL (2) or more, read back from SQLite."""
    with open_journal(path) as journal:
        (level,) = journal._connection.execute("PRAGMA synchronous").fetchone()
        assert level >= 2


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE facts SET author = 'Eve'",
        "DELETE FROM facts",
        "INSERT OR REPLACE INTO facts SELECT id, entry, 9, 9, at, written, 'Eve', kind, body"
        " FROM facts",
        "INSERT OR REPLACE INTO facts SELECT 'x', entry, clock, nth, at, written, 'Eve', kind,"
        " body FROM facts",
    ],
)
def test_facts_cannot_be_changed_even_from_outside(path, statement):
    """The file itself refuses to change, delete or replace a fact."""
    with open_journal(path) as journal:
        journal.add(WHATS, at=EARLY, **WHO)
        before = journal.facts()
    with pytest.raises(sqlite3.IntegrityError, match="facts are never"):
        raw(path, statement)
    assert read_facts(path) == before


@pytest.mark.parametrize(
    ("whats", "at", "written"),
    [
        ((), EARLY, LATE),
        ((STEP,), datetime(2026, 1, 17, 7, 30), LATE),
        ((STEP,), EARLY, datetime(2026, 1, 17, 7, 30)),
        ((STEP, Undone("x")), EARLY, LATE),
        ((STEP, LoosePick("T1", 0)), EARLY, LATE),
        ((STEP, LoosePick("T1", True)), EARLY, LATE),
        ((STEP, SupplyUsed("S1", -1)), EARLY, LATE),
        ((StepDone("v", "J", 1, (Pick("T1", -1),)),), EARLY, LATE),
        ((StepDone("v", "J", 1, (), (Draw("S1", 1.5),)),), EARLY, LATE),
    ],
)
def test_nonsense_is_refused_whole(path, whats, at, written):
    """What cannot be is refused before it gets in, and nothing of its entry is kept."""
    with open_journal(path) as journal:
        with pytest.raises(ValueError, match=r"."):
            journal.add(whats, at=at, author="Ada", written=written)
        assert journal.facts() == ()


def test_an_entry_that_fails_midway_leaves_nothing(path):
    """When the second fact of an entry cannot be stored, the first is not kept either."""
    ids = iter(["entry", "same", "same"])
    with open_journal(path, new_id=lambda: next(ids)) as journal:
        with pytest.raises(JournalError):
            journal.add((STEP, STEP), at=EARLY, **WHO)
        assert journal.facts() == ()


def test_undo_and_its_undo(path):
    """An undone entry is out, undoing the undo brings it back; nothing is undone twice."""
    with open_journal(path) as journal:
        first = journal.add((STEP,), at=EARLY, **WHO)
        second = journal.add((LoosePick("T1"),), at=EARLY, **WHO)
        undo = journal.undo(first, at=LATE, **WHO)
        assert {fact.entry for fact in journal.live()} == {second, undo}
        with pytest.raises(JournalError, match="undone already"):
            journal.undo(first, at=LATE, **WHO)
        again = journal.undo(undo, at=LATE, **WHO)
        assert {fact.entry for fact in journal.live()} == {first, second, again}
        with pytest.raises(JournalError, match="no entry nobody"):
            journal.undo("nobody", at=LATE, **WHO)
        assert len(journal.facts()) == 4


def test_live_facts_do_not_depend_on_the_order_given():
    """Facts in any order give the same live facts; an undo cannot reach forward."""
    facts = [
        Fact("a", "e1", 1, EARLY, "Ada", Undone("e2")),
        Fact("b", "e2", 2, EARLY, "Ada", STEP),
        Fact("c", "e3", 3, EARLY, "Ada", Undone("e2")),
        Fact("d", "e4", 4, EARLY, "Ada", Undone("e3")),
        Fact("e", "e5", 5, EARLY, "Ada", Undone("e5")),
    ]
    assert [f.id for f in live_facts(facts)] == ["a", "b", "d", "e"]
    assert [f.id for f in live_facts(facts[::-1])] == ["e", "d", "b", "a"]


def test_a_file_that_is_no_database(path):
    """A text file in the journal's place is named, explained and left untouched."""
    path.write_text("tool;times\nhex key;4\n" * 90)
    before = path.read_bytes()
    with pytest.raises(JournalError, match="not an SQLite database") as told:
        open_journal(path)
    assert told.value.file == path
    assert "Do not delete" in told.value.cure
    assert str(path) in told.value.sentence()
    assert path.read_bytes() == before


def test_a_database_of_another_program(path):
    """A sound database with other tables is not taken for a journal and not touched."""
    raw(path, "CREATE TABLE migrations (number)", "INSERT INTO migrations VALUES (1)")
    before = path.read_bytes()
    with pytest.raises(JournalError, match="another program"):
        open_journal(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("where", [4096, 8192, 12288])
def test_a_damaged_journal(path, where):
    """Overwritten pages are found when the file is opened; the file is left untouched."""
    with open_journal(path) as journal:
        journal.add([STEP] * 200, at=EARLY, **WHO)
    data = bytearray(path.read_bytes())
    data[where : where + 4096] = b"\xa5" * 4096
    path.write_bytes(data)
    with pytest.raises(JournalError, match="damaged"):
        open_journal(path)
    assert path.read_bytes() == data


def test_a_journal_cut_short(path):
    """Half a file (a copy that broke off) is called damaged."""
    with open_journal(path) as journal:
        journal.add([STEP] * 200, at=EARLY, **WHO)
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])
    with pytest.raises(JournalError, match="damaged"):
        open_journal(path)


@pytest.mark.parametrize(
    ("kind", "body", "at"),
    [
        ("dance", "{}", EARLY.isoformat()),
        ("loose", "{}", EARLY.isoformat()),
        ("loose", "[1", EARLY.isoformat()),
        ("undone", '{"entry": 5}', EARLY.isoformat()),
        ("undone", '{"entry": "e"}', "yesterday"),
    ],
)
def test_a_fact_that_cannot_be_read(path, kind, body, at):
    """A fact whose text makes no sense is named, not passed over."""
    open_journal(path).close()
    values = ", ".join(f"'{v}'" for v in ("f77", "e1", 1, 0, at, at, "Ada", kind, body))
    raw(path, f"INSERT INTO facts VALUES ({values})")
    with pytest.raises(JournalError, match="f77"):
        read_facts(path)


def test_a_newer_journal_is_left_alone(path):
    """A journal of a later version is refused with a cure and not a byte of it changes."""
    open_journal(path).close()
    raw(path, f"INSERT INTO migrations VALUES ({MIGRATIONS[-1].number + 1}, 'later')")
    before = path.read_bytes()
    with pytest.raises(JournalError, match="newer program") as told:
        open_journal(path)
    assert "Update" in told.value.cure
    assert path.read_bytes() == before


def test_a_migration_that_fails_leaves_no_trace(path, monkeypatch):
    """A migration and its record are one: when its last statement fails, nothing stays."""
    good, name = MIGRATIONS[0], "toolbox.journal.schema.MIGRATIONS"
    bad = good._replace(statements=(*good.statements, "INSERT INTO nowhere VALUES (1)"))
    monkeypatch.setattr(name, (bad,))
    with pytest.raises(JournalError, match="nowhere"):
        open_journal(path)
    monkeypatch.setattr(name, (good,))
    with open_journal(path) as journal:
        assert journal.facts() == ()


def test_an_older_journal_is_brought_up(path, monkeypatch):
    """One more migration is applied once, in order, and what was there stays."""
    with open_journal(path) as journal:
        journal.add((STEP,), at=EARLY, **WHO)
        before = journal.facts()
    number = MIGRATIONS[-1].number + 1
    more = MIGRATIONS[0]._replace(number=number, name="x", statements=("CREATE TABLE extra (a)",))
    monkeypatch.setattr("toolbox.journal.schema.MIGRATIONS", (*MIGRATIONS, more))
    for _ in range(2):
        assert read_facts(path) == before
    connection = sqlite3.connect(path)
    applied = connection.execute("SELECT number, name FROM migrations").fetchall()
    assert applied == [*((step.number, step.name) for step in MIGRATIONS), (number, "x")]
    connection.close()


def test_an_empty_file_is_a_new_journal(path):
    """A file of no bytes (cut off at its making) becomes a journal."""
    path.touch()
    with open_journal(path) as journal:
        assert journal.facts() == ()


def test_no_folder(tmp_path):
    """A folder that is not there is said in words."""
    with pytest.raises(JournalError, match="cannot be opened"):
        open_journal(tmp_path / "gone" / "journal.db")
    with pytest.raises(JournalError, match="cannot be opened"):
        open_journal(tmp_path)


def test_a_file_set_to_another_mode_goes_back(path):
    """A journal that was switched to write-ahead mode is one file again when closed."""
    open_journal(path).close()
    raw(path, "PRAGMA journal_mode = WAL")
    with open_journal(path) as journal:
        journal.add((STEP,), at=EARLY, **WHO)
        assert journal.mode == "delete"
    assert [file.name for file in path.parent.iterdir()] == ["journal.db"]


def test_the_mode_really_in_force_is_told(path):
    """While another program holds the file in its own mode, that mode is told, not hoped for."""
    open_journal(path).close()
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("PRAGMA journal_mode = WAL")
    other.execute("SELECT count(*) FROM facts").fetchone()
    try:
        with open_journal(path) as journal:
            assert journal.mode == "wal"
            journal.add((STEP,), at=EARLY, **WHO)
            assert len(journal.facts()) == 1
    finally:
        other.close()


def test_a_file_held_by_another_program(path, monkeypatch):
    """When the wait is over the reader is told that nothing was written."""
    monkeypatch.setattr("toolbox.journal.store.WAIT_SECONDS", 0.05)
    with open_journal(path) as journal:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        try:
            with pytest.raises(JournalError, match="another program"):
                journal.add((STEP,), at=EARLY, **WHO)
        finally:
            other.close()
        journal.add((STEP,), at=EARLY, **WHO)
        assert len(journal.facts()) == 1


def test_writing_left_open_by_a_crash_is_rolled_back(path, tmp_path):
    """A copy of the file and its rollback file, taken mid-write, opens as it was before."""
    with open_journal(path) as journal:
        journal.add([STEP] * 50, at=EARLY, **WHO)
        before = journal.facts()
    whole = path.read_bytes()
    crashed = tmp_path / "crashed"
    crashed.mkdir()
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("PRAGMA cache_size = 1")
    other.execute("BEGIN IMMEDIATE")
    for n in range(2000):
        other.execute(
            "INSERT INTO facts SELECT 'n' || ?1, 'e', 9, ?1, at, written, author, kind, body"
            " FROM facts LIMIT 1",
            (n,),
        )
    shutil.copy(path, crashed)
    shutil.copy(path.with_name("journal.db-journal"), crashed)
    other.close()
    assert (crashed / "journal.db").read_bytes() != whole
    assert read_facts(crashed / "journal.db") == before
    assert [file.name for file in crashed.iterdir()] == ["journal.db"]


def test_a_rollback_file_with_nothing_in_it_goes(path):
    """A crash before the first page was saved leaves an idle rollback file; reading clears it."""
    with open_journal(path) as journal:
        journal.add((STEP,), at=EARLY, **WHO)
        before = journal.facts()
    path.with_name("journal.db-journal").write_bytes(bytes(512))
    assert read_facts(path) == before
    assert [file.name for file in path.parent.iterdir()] == ["journal.db"]


def test_a_rollback_file_in_use_stays(path):
    """Opening a journal while another program writes does not take its rollback file away."""
    with open_journal(path) as journal:
        journal.add((STEP,), at=EARLY, **WHO)
        before = journal.facts()
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    other.execute(
        "INSERT INTO facts SELECT 'n', 'e', 9, 0, at, written, author, kind, body FROM facts"
    )
    rollback = path.with_name("journal.db-journal")
    assert rollback.stat().st_size > 0
    assert read_facts(path) == before
    assert rollback.stat().st_size > 0
    other.execute("COMMIT")
    other.close()
    assert [fact.id for fact in read_facts(path)] == [before[0].id, "n"]


def add_two_of_which_one_is_empty(journal):
    """An entry that would do, then one that is refused, in one go."""
    with journal.together():
        journal.add((STEP,), at=EARLY, **WHO)
        journal.add((), at=EARLY, **WHO)


def test_entries_written_together_are_all_there_or_none(path):
    """An error in the middle takes back what was written before it in the same go."""
    with open_journal(path) as journal:
        with journal.together():
            journal.add(WHATS, at=EARLY, **WHO)
            journal.undo(journal.add((STEP,), at=EARLY, **WHO), at=LATE, **WHO)
        before = journal.facts()
        assert len({fact.entry for fact in before}) == 3
        with pytest.raises(ValueError, match="at least one fact"):
            add_two_of_which_one_is_empty(journal)
        assert journal.facts() == before
        journal.add((STEP,), at=EARLY, **WHO)  # and afterwards each entry stands alone again
    assert len(read_facts(path)) == len(before) + 1


def test_only_newer_facts_are_fetched(path, monkeypatch):
    """Facts known from before are kept as they are; only later clocks are read from the file."""
    with open_journal(path, new_id=numbered()) as journal:
        journal.add(WHATS, at=EARLY, **WHO)
        first = journal.add(WHATS[:1], at=EARLY, **WHO)
    known = read_facts(path)
    assert read_facts(path, known) is known
    with open_journal(path, new_id=lambda: uuid4().hex) as journal:
        journal.undo(first, at=EARLY, **WHO)
        newer = journal.facts(after=known[-1])
    read = []
    whole = store._read_row
    monkeypatch.setattr(store, "_read_row", lambda *row: read.append(row) or whole(*row))
    assert read_facts(path, known) == known + newer
    assert len(read) == len(newer) == 1
    assert read_facts(path) == known + newer


def test_facts_of_another_file_are_not_joined(path):
    """A journal put in the place of the known one is read whole: longer, shorter or as long."""
    with open_journal(path) as journal:
        for _ in range(3):
            journal.add(WHATS[:1], at=EARLY, **WHO)
    known = read_facts(path)
    for many in (1, 3, 5):
        path.unlink()
        with open_journal(path) as journal:
            for _ in range(many):
                journal.add(WHATS[:1], at=EARLY, **WHO)
        again = read_facts(path, known)
        assert len(again) == many
        assert again == read_facts(path)
