"""Copies of a kit, the days that are kept, and a kit put back: the desk's part.

Expected values come from sums by ``sha256sum``'s algorithm as Python's hashlib has it, from
SQLite's own integrity check, and from plain enumeration of days.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from clikit import write_kit_files

from toolbox.desk.backup import copies_in, faults_of, make_copy, newest_good, read_copy
from toolbox.desk.backup_daily import beside_copy, keep_daily, kept
from toolbox.desk.backup_home import copies_of, daily_copy
from toolbox.desk.backup_restore import Becomes, copy_named, go_on, look_ahead, restore
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.files.problems import KitFaults
from toolbox.journal.errors import JournalError
from toolbox.journal.salvage import newer, readable
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.facts import LoosePick

NOW = datetime(2026, 3, 10, 18, 0, tzinfo=UTC)


def log(kit: Path, *notes: str) -> list[str]:
    """Entries of two facts each; their ids."""
    with open_journal(kit / "journal.db") as journal, journal.together():
        return [
            journal.add(
                [LoosePick("K4", note=f"{note} {part}") for part in "ab"],
                at=NOW,
                author="Ada",
                written=NOW,
            )
            for note in notes
        ]


def entries(kit: Path) -> list[str]:
    """Ids of the entries in the journal, in order."""
    return list(dict.fromkeys(fact.entry for fact in read_facts(kit / "journal.db")))


def tree(folder: Path) -> dict[str, bytes]:
    """Every file that is seen in a folder, with its bytes; hidden ones left out."""
    found = (path for path in folder.rglob("*") if path.is_file())
    named = {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}
    return {name: data for name, data in named.items() if not name.startswith(".")}


@pytest.fixture
def kit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small kit with three entries, its copies in a folder of the test's own."""
    monkeypatch.setenv("TOOLBOX_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("TOOLBOX_COPIES", "yes")
    folder = write_kit_files(tmp_path / "kit")
    log(folder, "one", "two", "three")
    return folder


def test_a_copy_has_every_file_and_its_sum(kit: Path, tmp_path: Path) -> None:
    """All files byte for byte, the journal as SQLite's own backup, sums as hashlib has them."""
    copy = read_copy(make_copy(kit, tmp_path / "copy", NOW).path)
    texts = {name: data for name, data in tree(kit).items() if name != "journal.db"}
    there = tree(copy.kit)
    assert {name: data for name, data in there.items() if name != "journal.db"} == texts
    assert copy.sums == {name: hashlib.sha256(data).hexdigest() for name, data in there.items()}
    assert entries(copy.kit) == entries(kit)
    assert (copy.facts, copy.made, faults_of(copy)) == (6, NOW, ())
    connection = sqlite3.connect(copy.kit / "journal.db")
    assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    connection.close()


def test_a_copy_is_whole_while_somebody_writes(kit: Path, tmp_path: Path) -> None:
    """An open transaction of somebody else is not in the copy, and the copy does not wait."""
    other = sqlite3.connect(kit / "journal.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    other.execute("INSERT INTO facts SELECT 'x', 'x', 99, 0, at, written, author, kind, body"
                  " FROM facts LIMIT 1")  # fmt: skip
    copy = make_copy(kit, tmp_path / "copy", NOW)
    other.execute("ROLLBACK")
    other.close()
    assert copy.facts == 6


def test_any_change_of_a_copy_is_seen(kit: Path, tmp_path: Path) -> None:
    """One flipped bit, a file missing, a file more: named, never put back, an older one taken."""
    older = make_copy(kit, tmp_path / "copies" / "a", NOW - timedelta(days=1))
    copy = make_copy(kit, tmp_path / "copies" / "b", NOW)
    path = copy.kit / "jobs.toml"
    whole = path.read_bytes()
    path.write_bytes(bytes([whole[0] ^ 1]) + whole[1:])
    assert faults_of(copy) == ("jobs.toml is not as it was copied",)
    path.unlink()
    assert faults_of(copy) == ("jobs.toml is missing",)
    path.write_bytes(whole)
    (copy.kit / "more.toml").touch()
    assert faults_of(copy) == ("more.toml is not as it was copied",)
    copies = copies_in(tmp_path / "copies")
    assert [one.name for one in copies] == ["b", "a"]
    assert newest_good(copies) == older
    assert copy_named(kit, "newest", tmp_path / "copies") == older
    with pytest.raises(DeskError, match="not good: more"):
        copy_named(kit, "b", tmp_path / "copies")


@pytest.mark.parametrize("name", ["../kit.toml", "a/b/c.toml", "/abs.toml"])
def test_no_copy_leads_out_of_its_folder(kit: Path, tmp_path: Path, name: str) -> None:
    """A copy whose list names a file elsewhere is none."""
    about = make_copy(kit, tmp_path / "copy", NOW).path / "copy.json"
    said = json.loads(about.read_bytes())
    said["files"][name] = "0" * 64
    about.write_text(json.dumps(said))
    with pytest.raises(DeskError, match="no copy of a kit"):
        read_copy(tmp_path / "copy")


def test_one_copy_a_day_and_never_of_what_is_broken(kit: Path) -> None:
    """Asked twice it is made once; a damaged journal is told and copied over nothing."""
    assert keep_daily(kit, NOW) == ""
    log(kit, "four")
    assert keep_daily(kit, NOW + timedelta(hours=1)) == ""
    (copy,) = copies_in(copies_of(kit))
    assert (copy.name, copy.facts) == ("2026-03-10", 6)
    data = bytearray((kit / "journal.db").read_bytes())
    data[4096:] = bytes(len(data) - 4096)
    (kit / "journal.db").write_bytes(data)
    assert "damaged" in keep_daily(kit, NOW + timedelta(days=1))
    assert len(copies_in(copies_of(kit))) == 1
    assert [path.name for path in copies_of(kit).iterdir()] == ["2026-03-10"], "nothing left over"


def test_a_fact_that_says_something_else_is_told(kit: Path) -> None:
    """A note changed in the file itself, as a flipped bit does it, is seen by the next day."""
    keep_daily(kit, NOW)
    data = (kit / "journal.db").read_bytes()
    assert data.count(b"two a") == 1
    (kit / "journal.db").write_bytes(data.replace(b"two a", b"twp a"))
    said = keep_daily(kit, NOW + timedelta(days=1))
    assert said.startswith("1 fact says something else than in the copy of 2026-03-10. ")
    assert not daily_copy(kit, NOW + timedelta(days=1)).exists()


def test_facts_that_are_gone_are_counted(kit: Path) -> None:
    """An entry of the copy that the journal lacks, and none while all are there."""
    keep_daily(kit, NOW)
    log(kit, "four")
    newest = newest_good(copies_in(copies_of(kit)))
    assert len(beside_copy(kit, newest).missing) == 0
    connection = sqlite3.connect(kit / "journal.db")
    connection.execute("DROP TRIGGER facts_never_go")
    connection.execute("DELETE FROM facts WHERE clock = 2")
    connection.commit()
    connection.close()
    assert len(beside_copy(kit, newest).missing) == 2


def test_no_copy_is_no_reason_to_stop(kit: Path, tmp_path: Path) -> None:
    """Where no copy can be made, nothing is said and nothing raised."""
    (tmp_path / "state").write_text("a file where a folder should be")
    assert keep_daily(kit, NOW) == ""


def test_the_days_kept_are_those_of_the_rule() -> None:
    """Two years of daily copies, thinned out each day, keep what enumeration says.

    Last 7 days, last day of each of the last 4 weeks and 12 months (ISO 8601 weeks).
    """
    there: set[date] = set()
    first = date(2024, 1, 1)
    for number in range(800):
        there = set(kept({*there, first + timedelta(days=number)}))
    today = first + timedelta(days=799)
    every = [first + timedelta(days=number) for number in range(800)]
    ends = [day for day in every if day == today or day.isoweekday() == 7]
    months = [day for day in every if day == today or (day + timedelta(days=1)).day == 1]
    assert there == {*every[-7:], *ends[-4:], *months[-12:]}


def test_a_clock_set_wrong_takes_no_copy_away() -> None:
    """A copy of ten years ahead costs at most the oldest of each sort."""
    days = {date(2026, 3, 1) + timedelta(days=n) for n in range(7)}
    assert days | {date(2036, 1, 1)} == set(kept(days | {date(2036, 1, 1)})) | {min(days)}


# ---- putting back


def test_put_back_it_is_the_copy_and_what_was_there_is_kept(kit: Path, tmp_path: Path) -> None:
    """Changed, new and missing files; the dry run changes nothing and says what comes."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    (kit / "trips").mkdir()
    (kit / "trips" / "x.toml").write_text("name = 'x'")
    (kit / "jobs.toml").unlink()
    (kit / "tools.toml").write_text("broken =")
    log(kit, "four")
    before = tree(kit)
    ahead = look_ahead(kit, copy)
    assert tree(kit) == before
    assert {name: how for name, how in ahead.files if how is not Becomes.SAME} == {
        "trips/x.toml": Becomes.GONE,
        "jobs.toml": Becomes.NEW,
        "tools.toml": Becomes.OTHER,
        "journal.db": Becomes.OTHER,
    }
    assert [row["body"]["note"] for row in ahead.since] == ["four a", "four b"]
    aside = restore(kit, ahead, NOW)
    assert tree(kit) == tree(copy.kit)
    assert faults_of(copy) == ()
    changed = ("trips/x.toml", "tools.toml", "journal.db")
    assert tree(aside) == {name: before[name] for name in changed}


def test_newer_entries_are_kept_when_asked(kit: Path, tmp_path: Path) -> None:
    """Behind those of the copy, with their ids and in their order, undos among them."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    (four,) = log(kit, "four")
    with open_journal(kit / "journal.db") as journal:
        journal.undo(four, at=NOW, author="Ada", written=NOW)
    before, live = entries(kit), open_kit(kit).live
    restore(kit, look_ahead(kit, copy, ["journal.db"]), NOW, keep_newer=True)
    assert entries(kit) == before
    assert open_kit(kit).live == live


def test_what_can_be_read_of_a_damaged_journal(kit: Path, tmp_path: Path) -> None:
    """Of a journal with a broken leaf page all rows of other pages come back, and none else."""
    ids = log(kit, *(f"n{n}" for n in range(120)))
    copy = make_copy(kit, tmp_path / "copy", NOW)
    late = log(kit, *(f"late{n}" for n in range(40)))
    path = kit / "journal.db"
    page = 4096
    data = path.read_bytes()
    # the page that holds an early entry, as SQLite's own table of pages says
    at = data.index(b"n30 a") // page
    path.write_bytes(data[: at * page] + b"\xff" * page + data[(at + 1) * page :])
    with pytest.raises(JournalError, match="toolbox restore"):
        read_facts(path)
    found = readable(path)
    read = {row["entry"] for row in found.rows}
    lost = set(ids) - read
    assert ids[30] in lost
    assert 1 <= len(lost) < 40
    assert set(late) <= read
    ahead = look_ahead(kit, copy, ["journal.db"])
    assert "damaged" in ahead.damaged
    assert len(newer(ahead.since, ())) == len(ahead.keepable) == 80
    aside = restore(kit, ahead, NOW, keep_newer=True)
    assert set(ids) | set(late) <= set(entries(kit))
    assert (aside / "journal.db").read_bytes()[at * page : (at + 1) * page] == b"\xff" * page


def test_half_an_entry_is_not_kept() -> None:
    """Entries without their first fact, of two clocks, or known in part are left out."""
    row = {"clock": 1, "nth": 0, "kind": "loose", "body": {}}
    known = [{**row, "id": "k", "entry": "K"}]
    rows = [
        {**row, "id": "a", "entry": "A"},
        {**row, "id": "b", "entry": "B", "nth": 1},
        {**row, "id": "c", "entry": "C"},
        {**row, "id": "d", "entry": "C", "nth": 1, "clock": 2},
        {**row, "id": "e", "entry": "K", "nth": 1},
        {**row, "id": "f", "entry": "F", "kind": "undone", "body": {"entry": "B"}},
        {**row, "id": "g", "entry": "G", "kind": "undone", "body": {"entry": "A"}},
    ]
    assert [one["id"] for one in newer(rows, known)] == ["a", "g"]


def test_broken_off_it_is_not_opened_before_it_is_finished(
    kit: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped before each of its moves in turn: nothing happened, or going on finishes it."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    (kit / "tools.toml").write_text("broken =")
    (kit / "more.toml").write_text("x = 1")
    log(kit, "four")
    begun, count, real = 0, 0, os.replace

    def stop(source: str, target: str) -> None:
        nonlocal count
        count += 1
        if count == step:
            raise KeyboardInterrupt
        real(source, target)

    for step in range(1, 20):
        work = Path(shutil.copytree(kit, tmp_path / f"work{step}"))
        count = 0
        monkeypatch.setattr(os, "replace", stop)
        try:
            restore(work, look_ahead(work, copy), NOW)
            break
        except KeyboardInterrupt:
            pass
        finally:
            monkeypatch.setattr(os, "replace", real)
        if (work / ".restoring").exists():
            begun += 1
            with pytest.raises(KitFaults, match="broken off half-way"):
                open_kit(work)
            with pytest.raises(DeskError, match="broken off half-way"):
                restore(work, look_ahead(work, copy), NOW)
            assert go_on(work)
            assert tree(work) == tree(copy.kit)
        else:
            assert tree(work) == tree(kit)
        open_kit(work) if not (work / "more.toml").exists() else None
        assert not go_on(work)
    assert begun >= 2
    assert step > begun + 1


def test_nobody_writes_into_a_journal_that_is_put_aside(kit: Path, tmp_path: Path) -> None:
    """A program that has the old file open is refused, so it acknowledges nothing that is lost."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    log(kit, "four")
    with open_journal(kit / "journal.db") as journal:
        restore(kit, look_ahead(kit, copy), NOW)
        with pytest.raises(JournalError):
            journal.add([LoosePick("K4")], at=NOW, author="Ada", written=NOW)
    assert entries(kit) == entries(copy.kit)


def test_while_somebody_writes_nothing_is_put_back(
    kit: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An open transaction of another program: told, nothing changed."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    log(kit, "four")
    ahead = look_ahead(kit, copy)
    monkeypatch.setattr("toolbox.journal.copies.WAIT_SECONDS", 0.05)
    other = sqlite3.connect(kit / "journal.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    before = tree(kit)
    with pytest.raises(JournalError, match="another program"):
        restore(kit, ahead, NOW)
    other.close()
    assert tree(kit) == before


def test_what_was_changed_since_it_was_looked_at_is_looked_at_again(
    kit: Path, tmp_path: Path
) -> None:
    """An entry written between looking and doing is not put away unseen."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    ahead = look_ahead(kit, copy)
    log(kit, "four")
    with pytest.raises(DeskError, match="look again"):
        restore(kit, ahead, NOW)
    assert len(entries(kit)) == 4


def test_a_rollback_file_of_the_old_journal_is_not_taken_for_the_new_one(
    kit: Path, tmp_path: Path
) -> None:
    """What a crash left beside the old journal is not there when the new one comes."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    (kit / "journal.db").write_bytes(b"not a database at all")
    (kit / "journal.db-journal").write_bytes(b"left over")
    aside = restore(kit, look_ahead(kit, copy, ["journal.db"]), NOW)
    assert not (kit / "journal.db-journal").exists()
    assert (aside / "journal.db").read_bytes() == b"not a database at all"
    assert len(entries(kit)) == 3


def test_a_kit_that_is_gone_comes_back(kit: Path, tmp_path: Path) -> None:
    """Into the same place, out of the automatic copy."""
    keep_daily(kit, NOW)
    before = tree(kit)
    shutil.rmtree(kit)
    restore(kit, look_ahead(kit, copy_named(kit, "2026-03-10", None)), NOW)
    assert tree(kit).keys() == before.keys()
    assert len(entries(kit)) == 3


def test_a_name_that_is_no_file_or_no_copy_is_refused(kit: Path, tmp_path: Path) -> None:
    """Both are named; nothing is guessed."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    with pytest.raises(DeskError, match='no file "toys'):
        look_ahead(kit, copy, ["toys.toml"])
    with pytest.raises(DeskError, match='no copy "2020-01-01"'):
        copy_named(kit, "2020-01-01", None)
    with pytest.raises(DeskError, match="no good copy"):
        copy_named(kit, "newest", tmp_path / "nowhere")


@pytest.mark.parametrize(
    ("was", "becomes"),
    [
        (b"two a", b"tw\xff a"),
        (b"CREATE TABLE facts", b"CREATE TABLE f\xc6cts"),
    ],
)
def test_a_text_that_is_none_is_told_as_damage(
    kit: Path, tmp_path: Path, was: bytes, becomes: bytes
) -> None:
    """In a fact and in SQLite's own tables: the way out is named, what stands there is not."""
    copy = make_copy(kit, tmp_path / "copy", NOW)
    path = kit / "journal.db"
    data = path.read_bytes()
    assert was in data
    path.write_bytes(data.replace(was, becomes))
    with pytest.raises(JournalError, match=r"damaged.*toolbox restore") as told:
        read_facts(path)
    assert "note" not in str(told.value)
    restore(kit, look_ahead(kit, copy, ["journal.db"]), NOW, keep_newer=True)
    assert entries(kit) == entries(copy.kit)


def test_a_column_that_holds_what_it_cannot_is_told(kit: Path) -> None:
    """Bytes where the author should be: told as a fault, not met by what reads on."""
    connection = sqlite3.connect(kit / "journal.db")
    connection.execute("DROP TRIGGER facts_never_change")
    connection.execute("UPDATE facts SET author = x'41' WHERE clock = 2 AND nth = 0")
    connection.commit()
    connection.close()
    with pytest.raises(JournalError, match="holds what it cannot"):
        read_facts(kit / "journal.db")
