"""A kit made of an export: what cannot be is told by its line, and nothing gets out of the folder.

The damage is done by hand to an export of a small kit; what JSON and TOML can hold is their
standards' (RFC 8259, TOML 1.0).
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from clikit import write_kit_files
from kitfiles import bytes_of

from toolbox.desk.archive import export_kit, kit_from
from toolbox.desk.errors import DeskError
from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.journal.archive import KEYS
from toolbox.journal.store import open_journal
from toolbox.kit.facts import LoosePick

AT = datetime(2026, 11, 20, 9, tzinfo=UTC)
Change = Callable[[list[dict]], None]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An export of a kit with two entries, the first taken back."""
    home = tmp_path_factory.mktemp("whole")
    kit = write_kit_files(home / "kit")
    with open_journal(kit / "journal.db") as journal:
        when = {"at": AT, "author": "Mika", "written": AT}
        entry = journal.add([LoosePick("K4"), LoosePick("CT")], **when)
        journal.undo(entry, **when)
        journal.add([LoosePick("K5")], **when)
    export_kit(kit, home / "out")
    return home / "out"


@pytest.fixture
def out(whole: Path, tmp_path: Path) -> Path:
    """A copy of it, to be damaged."""
    shutil.copytree(whole, tmp_path / "out")
    return tmp_path / "out"


def _rewrite(path: Path, change: Change) -> None:
    """Change the lines of a file as what they say, the count in the first with them."""
    lines = [json.loads(line) for line in path.read_text(encoding="ascii").splitlines()]
    change(lines)
    lines[0]["lines"] = len(lines) - 1
    path.write_text("".join(f"{json.dumps(line)}\n" for line in lines), encoding="ascii")


def _refused(out: Path, *words: str) -> str:
    """What is said of the export; nothing is there afterwards that was not there before."""
    home = out.parent
    before = bytes_of(home)
    with pytest.raises(KitFaults) as faults:
        kit_from(home / "new", out)
    assert bytes_of(home) == before
    assert not (home / "new").exists()
    said = str(faults.value)
    for word in words:
        assert word in said
    return said


PATHS = ("../tools.toml", "/tools.toml", "a/../../x.toml", "a\\b.toml", "C:x.toml", ".x.toml",
         "a/b/c.toml", "tools.txt", "a/.toml", "..toml/x.toml")  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_no_file_gets_out_of_the_folder(out: Path, path: str) -> None:
    """A line names a TOML file in the kit or one folder deep, and nothing else on any system."""

    def change(lines: list[dict]) -> None:
        lines[1]["file"] = path

    _rewrite(out / "kit.jsonl", change)
    _refused(out, "kit.jsonl, line 2", "no file of a kit")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda lines: lines[2].pop("table"), "has the keys file, values"),
        (lambda lines: lines[2].update(values=[]), "values that are none"),
        (lambda lines: lines[2]["values"].update(name=None), "holds null"),
        (lambda lines: lines[2]["values"].update(name="\ud800"), "half a character"),
        (lambda lines: lines[2]["values"].update(n=2**63), "a number too long"),
        (lambda lines: lines.insert(2, lines[1]), "is a second head of box.toml"),
        (lambda lines: lines.insert(1, lines.pop(2)), "comes before the head of box.toml"),
        (lambda lines: lines[1].update(file="Box.toml"), "comes before the head of box.toml"),
        (lambda lines: lines.append({**lines[1], "file": "BOX.toml"}), "names BOX.toml beside"),
        (lambda lines: lines[1]["values"].update(opening=1), "whose head has opening too"),
        (lambda lines: lines[1]["values"].update(more=[{}]), "holds the entries of more"),
    ],
)
def test_a_line_that_cannot_be_is_named(out: Path, change: Change, words: str) -> None:
    """Keys, values and the order of the lines of kit.jsonl."""
    shutil.rmtree(out / "files")
    _rewrite(out / "kit.jsonl", change)
    _refused(out, "kit.jsonl, line", words)


def test_every_fault_is_told_at_once_by_line_file_and_entry(out: Path) -> None:
    """Faults of the kit are told where they stand in the export, a key with its cure."""

    def change(lines: list[dict]) -> None:
        by_id = {line["values"].get("id"): line["values"] for line in lines[1:]}
        by_id["K4"]["mass"] = "-1 g"
        by_id["BC"]["step"][0]["tools"] = ["K9"]
        del by_id["well"]["depth"]

    shutil.rmtree(out / "files")
    _rewrite(out / "kit.jsonl", change)
    said = _refused(out).splitlines()
    lines = (out / "kit.jsonl").read_text(encoding="ascii").splitlines()
    assert len(said) == 3
    for line, name in zip(said, ("well", "K4", "BC"), strict=True):
        number = int(line.partition("line ")[2].partition(",")[0])
        assert json.loads(lines[number - 1])["values"]["id"] == name
        assert f'"{name}"' in line


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda lines: lines.pop(1), "line 2: has clock 1, nth 1 where 1, 0"),
        (lambda lines: lines.insert(2, lines.pop(3)), "has clock 1, nth 1 where 3, 0"),
        (lambda lines: lines[2].update(id=lines[1]["id"]), "has the id of a line before it"),
        (lambda lines: lines[4].update(entry=lines[1]["entry"]), "an entry that was over"),
        (lambda lines: lines[3]["body"].update(entry="x"), "takes back an entry that does not"),
        (lambda lines: lines[1].update(at="2026-11-20T09:00:00"), "at is no time with its zone"),
        (lambda lines: lines[1].update(kind="telegram"), "unknown kind, 'telegram'"),
        (lambda lines: lines[1]["body"].update(times="1"), "a whole number expected"),
        (lambda lines: lines[1]["body"].pop("tool"), "cannot be read"),
        (lambda lines: lines[1].update(clock=True), "clock is no whole number"),
        (lambda lines: lines[1].update(author=None), "author is no text"),
        (lambda lines: lines[1].pop("author"), "has the keys"),
        (lambda lines: lines[1].update(more=1), "has the keys"),
        (lambda lines: lines[1]["body"].update(times=1.5), "line 2"),
    ],
)
def test_a_fact_that_cannot_be_is_named(out: Path, change: Change, words: str) -> None:
    """What a fact says and where it stands among the others."""
    _rewrite(out / "journal.jsonl", change)
    _refused(out, "journal.jsonl, line", words)


@pytest.mark.parametrize("name", ["kit.jsonl", "journal.jsonl"])
def test_a_newer_export_is_refused_in_words(out: Path, name: str) -> None:
    """The version is told first: what a newer line means is nobody's guess."""
    path = out / name
    text = path.read_text(encoding="ascii").replace('"version": 1', '"version": 2', 1)
    path.write_text(f"{text}nonsense\n", encoding="ascii")
    assert len(_refused(out, f"{name}: is of version 2", "update toolbox").splitlines()) == 1


@pytest.mark.parametrize("name", ["kit.jsonl", "journal.jsonl"])
@pytest.mark.parametrize("texts", [True, False])
def test_an_end_that_is_cut_off_is_told(out: Path, name: str, texts: bool) -> None:
    """What is left is sound in itself: only the count in the first line tells."""
    if not texts:
        shutil.rmtree(out / "files")
    lines = (out / name).read_text(encoding="ascii").splitlines(keepends=True)
    (out / name).write_text("".join(lines[:-1]), encoding="ascii")
    many = len(lines) - 1
    _refused(out, f"{name}: says that {many} lines follow the first one, and {many - 1} do")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('{"a": 1, "a": 2}', 'the key "a" stands there twice'),
        ("[1]", "no object in braces"),
        ("", "it is blank"),
        ("NaN", "NaN is no number"),
        ("[" * 100_000, "is damaged"),
        ("1" * 5000, "is damaged"),
    ],
)
def test_what_is_no_line_is_named(out: Path, text: str, words: str) -> None:
    """JSON that readers understand differently, or not at all."""
    path = out / "kit.jsonl"
    lines = path.read_text(encoding="ascii").splitlines()
    lines[3] = text
    path.write_text("\n".join(lines), encoding="ascii")
    _refused(out, "kit.jsonl, line 4", words)


def test_a_text_that_says_something_else_is_refused(out: Path) -> None:
    """Comments are free; a value that differs, a file too many, a file that is no TOML are not."""
    box = out / "files" / "box.toml"
    box.write_text("# mine\n" + box.read_text(encoding="utf-8"), encoding="utf-8")
    kit_from(out.parent / "made", out)
    assert (out.parent / "made" / "box.toml").read_text(encoding="utf-8").startswith("# mine")
    box.write_text(box.read_text(encoding="utf-8").replace("2 kg", "3 kg"), encoding="utf-8")
    (out / "files" / "rules.toml").write_text("")
    (out / "files" / "jobs.toml").write_text("[[job")
    (out / "files" / ".DS_Store").write_bytes(b"\0")
    said = _refused(out, "files/rules.toml: is there and", "files/jobs.toml", "is not TOML")
    assert "files/box.toml: says something else than kit.jsonl" in said
    assert len(said.splitlines()) == 3


def test_what_is_no_export_and_what_is_in_the_way(out: Path, tmp_path: Path) -> None:
    """Each in words: no export, no log, a folder that holds something."""
    with pytest.raises(DeskError, match="is no export"):
        kit_from(tmp_path / "new", tmp_path)
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / "mine").write_text("x")
    with pytest.raises(WriteRefused, match="cannot become a kit"):
        kit_from(tmp_path / "new", out)
    shutil.rmtree(tmp_path / "new")
    (out / "journal.jsonl").unlink()
    _refused(out, "journal.jsonl: is not there")


def test_a_disk_that_fails_leaves_nothing(
    out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder gets its name last; before that it can go without a trace."""

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    before = bytes_of(tmp_path)
    with pytest.raises(OSError, match="No space"):
        kit_from(tmp_path / "new", out)
    with pytest.raises(OSError, match="No space"):
        export_kit(write_kit_files(tmp_path / "kit"), tmp_path / "again")
    shutil.rmtree(tmp_path / "kit")
    assert bytes_of(tmp_path) == before


def test_what_is_left_out_is_named(tmp_path: Path) -> None:
    """Pictures, other kits, exports and hidden files beside the kit; a faulty kit is refused."""
    kit = write_kit_files(tmp_path / "kit")
    for name in ("notes.txt", ".tools.toml.previous", "layouts/old.svg", "photos/a.jpg",
                 "deep/er/x.toml", "other/kit.toml", "old/kit.jsonl"):  # fmt: skip
        (kit / name).parent.mkdir(parents=True, exist_ok=True)
        (kit / name).write_text("x")
    (kit / "labels").mkdir()
    (kit / "labels" / "grid.toml").write_text("rows = 8\n")
    found = export_kit(kit, tmp_path / "out")
    assert found.left_out == (
        "deep/", "layouts/old.svg", "notes.txt", "old/", "other/", "photos/",
    )  # fmt: skip
    assert found.hidden == 1
    assert "labels/grid.toml" in found.files
    (kit / "tools.toml").write_text("[[tool]]\n")
    with pytest.raises(KitFaults):
        export_kit(kit, tmp_path / "faulty")
    assert not (tmp_path / "faulty").exists()


def test_any_order_that_toml_allows_comes_back(tmp_path: Path) -> None:
    """Values behind tables, entries between others, inline tables: the same lines again."""
    kit = write_kit_files(tmp_path / "kit")
    own = """
parts = [{ name = "a", count = 1 }]
[[b]]
x = 1.50
[c]
e = { f = 2026-01-31, g = [[1], { h = true }] }
d = 07:30:00
[[b]]
[b.y]
z = 1
[a.b]
"""
    (kit / "own.toml").write_text(own)
    export_kit(kit, tmp_path / "first")
    shutil.rmtree(tmp_path / "first" / "files")
    kit_from(tmp_path / "made", tmp_path / "first")
    export_kit(tmp_path / "made", tmp_path / "second")
    lines = (tmp_path / "first" / "kit.jsonl").read_bytes()
    assert (tmp_path / "second" / "kit.jsonl").read_bytes() == lines
    found = [json.loads(line) for line in lines.splitlines()[1:]]
    told = [(one["table"], one["values"]) for one in found if one["file"] == "own.toml"]
    assert told == [
        ("", {
            "parts": [{"name": "a", "count": 1}],
            "c": {"d": "07:30:00", "e": {"f": "2026-01-31", "g": [[1], {"h": True}]}},
            "a": {"b": {}},
        }),
        ("b", {"x": 1.5}),
        ("b", {"y": {"z": 1}}),
    ]  # fmt: skip


def test_ids_times_and_authors_of_the_log_come_back(out: Path, tmp_path: Path) -> None:
    """Each column of each fact, one written later than it happened."""

    def change(lines: list[dict]) -> None:
        lines[4].update(written="2026-11-21T08:00:00+01:00", author="Ann, =1")

    _rewrite(out / "journal.jsonl", change)
    kit_from(tmp_path / "new", out)
    export_kit(tmp_path / "new", tmp_path / "again")
    again = (tmp_path / "again" / "journal.jsonl").read_bytes()
    assert again == (out / "journal.jsonl").read_bytes()
    assert b"2026-11-21T08:00:00+01:00" in again


def test_every_column_of_the_journal_is_exported(tmp_path: Path) -> None:
    """A column that a later migration adds must not get lost on the way."""
    open_journal(tmp_path / "journal.db").close()
    with closing(sqlite3.connect(tmp_path / "journal.db")) as connection:
        columns = {row[1] for row in connection.execute("PRAGMA table_info(facts)")}
    assert columns == set(KEYS)


def test_the_same_kit_gives_the_same_bytes_wherever_it_lies(tmp_path: Path) -> None:
    """No name of a folder, no time and no chance is in an export."""
    for name in ("one", "two"):
        export_kit(write_kit_files(tmp_path / name), tmp_path / f"out-{name}")
    assert bytes_of(tmp_path / "out-one") == bytes_of(tmp_path / "out-two")
    for path in (tmp_path / "out-one").glob("*.jsonl"):
        path.read_bytes().decode("ascii")
