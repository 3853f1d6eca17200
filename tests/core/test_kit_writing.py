"""Kit files are changed whole or not at all, and what people wrote in them stays."""

from __future__ import annotations

import os
import stat
import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from kitfiles import append_jobs, append_supplies, append_tools, bytes_of, write_files

from toolbox.desk.folder import open_kit
from toolbox.desk.intake import store
from toolbox.files.layouts import SavedPlan, load_plan, save_plan
from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.files.reading import layout_from_file, read_kit
from toolbox.files.writing import (
    append_entries,
    edit_file,
    save_layout,
    write_kit,
    write_new,
)
from toolbox.intake.difference import Entry
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Known, Mass, Measure, Size, Supply, Tool
from toolbox.kit.work import Draw, Job, Pick, Step

PUMP = Tool("T9", "Shock pump", Mass(320, Known.WEIGHED, 500), Size(2800, 500, 450))


def heavier(tables: Any) -> None:
    """Weigh the second tool of the list again."""
    tables["tool"][1]["mass"] = "425 g"


def test_an_edit_changes_its_line_and_no_other(tmp_path: Path) -> None:
    """Comments, blank lines and the order of everything else stay byte for byte."""
    path = write_files(tmp_path) / "tools.toml"
    before = path.read_bytes()
    edit_file(path, heavier)
    assert path.read_bytes() == before.replace(b'"420 g"', b'"425 g"')
    assert read_kit(tmp_path).tool("T2").mass.grams == 425


def test_the_version_before_is_kept_beside_it(tmp_path: Path) -> None:
    """After each change the last version lies in a hidden file, and only the last."""
    path = write_files(tmp_path) / "tools.toml"
    first = path.read_bytes()
    edit_file(path, heavier)
    assert (tmp_path / ".tools.toml.previous").read_bytes() == first
    second = path.read_bytes()
    append_tools(tmp_path, [PUMP])
    assert (tmp_path / ".tools.toml.previous").read_bytes() == second


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_line_ends_and_byte_order_mark_stay(tmp_path: Path, mark: bytes) -> None:
    """A file with CRLF and a mark keeps both through an edit and an addition."""
    path = write_files(tmp_path) / "tools.toml"
    path.write_bytes(mark + path.read_bytes().replace(b"\n", b"\r\n"))
    before = path.read_bytes()
    edit_file(path, heavier)
    assert path.read_bytes() == before.replace(b'"420 g"', b'"425 g"')
    append_tools(tmp_path, [PUMP])
    after = path.read_bytes()
    assert after.startswith(before.replace(b'"420 g"', b'"425 g"'))
    assert after.count(b"\n") == after.count(b"\r\n")
    assert read_kit(tmp_path).tool("T9") == PUMP


def test_what_is_added_is_read_back_equal(tmp_path: Path) -> None:
    """Tools, supplies and jobs added to hand-written files arrive as they were given."""
    before = bytes_of(write_files(tmp_path))
    grease = Supply("S9", "Grease", Measure.GRAMS, pack=100, stock=2500, note='"thick"\ngreen')
    job = Job(
        "J9",
        "Regrease",
        (Step(1, "pump", (Pick("T9", 3),), (Draw("S9", 5),), 4),),
        per_day=Fraction(1, 2),
    )
    append_tools(tmp_path, [PUMP])
    append_supplies(tmp_path, [grease])
    append_jobs(tmp_path, [job])
    kit = read_kit(tmp_path)
    assert (kit.tool("T9"), kit.supply("S9"), kit.job("J9")) == (PUMP, grease, job)
    for file in ("tools.toml", "supplies.toml", "jobs.toml"):
        assert (tmp_path / file).read_bytes().startswith(before[file])


def test_adding_makes_the_file_if_it_is_not_there(tmp_path: Path) -> None:
    """The first tool of a kit makes tools.toml; no entries make nothing."""
    write_files(tmp_path)
    (tmp_path / "rules.toml").unlink()
    append_entries(tmp_path / "rules.toml", "rule", [])
    assert not (tmp_path / "rules.toml").exists()
    rule = {"name": "apart", "ask": "apart", "items": ["T1", "T2"]}
    append_entries(tmp_path / "rules.toml", "rule", [rule])
    assert [r.name for r in read_kit(tmp_path).rules] == ["apart"]
    assert (tmp_path / "rules.toml").read_text().startswith("[[rule]]\n")


def refused(folder: Path, write: Callable[[], None]) -> WriteRefused:
    """The refusal of a write that must leave every file of the folder as it was."""
    before = bytes_of(folder)
    with pytest.raises(WriteRefused) as caught:
        write()
    assert bytes_of(folder) == before
    return caught.value


def test_an_id_that_is_taken_is_not_added_again(tmp_path: Path) -> None:
    """A second tool of the same id would spoil the kit: refused, with what was wanted."""
    write_files(tmp_path)
    other = Tool("T1", "Other", Mass(10, Known.GUESS), Size(100, 100, 100))
    refusal = refused(tmp_path, lambda: append_tools(tmp_path, [PUMP, other]))
    assert '"T1"' in str(refusal)
    assert 'id = "T9"' in refusal.wanted


def test_what_could_not_be_read_again_is_not_added(tmp_path: Path) -> None:
    """A tool that the reader would refuse never gets into the file: no mass, a bad id."""
    write_files(tmp_path)
    before = bytes_of(tmp_path)
    ghost = Tool("T/9", "Gh\x1bost", Mass(0, Known.GUESS), Size(100, 100, 100))
    with pytest.raises(KitFaults) as caught:
        store(open_kit(tmp_path), [Entry(1, PUMP), Entry(2, ghost)])
    assert len(caught.value.faults) == 3
    assert bytes_of(tmp_path) == before


def test_a_list_written_inline_is_not_added_to(tmp_path: Path) -> None:
    """``tool = []`` and a [[tool]] below it are not TOML together: refused, not mixed."""
    write_files(tmp_path)
    for text in ("tool = []\n", 'tool = "none"\n'):
        (tmp_path / "tools.toml").write_text(text)
        refusal = refused(tmp_path, lambda: append_tools(tmp_path, [PUMP]))
        assert "[[tool]]" in refusal.wanted


def test_a_faulty_file_is_not_written(tmp_path: Path) -> None:
    """What is not TOML, or not UTF-8, is told as such and left alone."""
    write_files(tmp_path)
    path = tmp_path / "tools.toml"
    for data in (b"[[tool]\n", b"\xff\xfe[\x00", b"# \xe9\n"):
        path.write_bytes(data)
        refused(tmp_path, lambda: edit_file(path, heavier))
        refused(tmp_path, lambda: append_tools(tmp_path, [PUMP]))


# Documents that tomlkit 0.15.2 silently changes the meaning or the order of, as
# its pull requests 588 and 601 describe (github.com/python-poetry/tomlkit).
DOTTED = "a.b = 1\nz = 2\n"
INTERRUPTED = "[[a]]\nn = 1\n[b]\nm = 1\n[[a]]\nn = 2\n"


def test_an_edit_that_would_not_come_out_as_meant_is_refused(tmp_path: Path) -> None:
    """A new table after dotted keys would swallow the keys below it."""

    def add_table(tables: Any) -> None:
        tables["a"]["new"] = {"x": 1}

    path = tmp_path / "dotted.toml"
    path.write_text(DOTTED)
    refusal = refused(tmp_path, lambda: edit_file(path, add_table))
    assert tomllib.loads(refusal.wanted) == {"a": {"b": 1, "new": {"x": 1}}, "z": 2}


def test_a_document_is_never_rearranged(tmp_path: Path) -> None:
    """In an interrupted list of tables one line changes, and adding leaves all as it is."""

    def change(tables: Any) -> None:
        tables["b"]["m"] = 2

    path = tmp_path / "interrupted.toml"
    path.write_text(INTERRUPTED)
    edit_file(path, change)
    changed = INTERRUPTED.replace("m = 1", "m = 2")
    assert path.read_text() == changed
    append_entries(path, "a", [{"n": 3}])
    assert path.read_text().startswith(changed)
    assert tomllib.loads(path.read_text())["a"] == [{"n": 1}, {"n": 2}, {"n": 3}]


def test_one_and_true_are_not_the_same_change(tmp_path: Path) -> None:
    """A change minds types: 1 becomes true and true becomes 1, each written as what it is."""
    path = tmp_path / "types.toml"
    path.write_text("a = 1\nb = true\n")
    edit_file(path, lambda tables: tables.update(a=True, b=1))
    assert path.read_text() == "a = true\nb = 1\n"


def test_a_file_changed_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    """What somebody else saved between our reading and our writing stays."""
    path = write_files(tmp_path) / "tools.toml"
    theirs = path.read_text() + "# theirs\n"

    def change(tables: Any) -> None:
        heavier(tables)
        path.write_text(theirs)

    with pytest.raises(WriteRefused, match="changed by somebody else"):
        edit_file(path, change)
    assert path.read_text() == theirs
    assert sorted(p.name for p in tmp_path.iterdir() if p.name.startswith(".")) == []


def test_a_file_that_vanished_meanwhile_is_not_written_again(tmp_path: Path) -> None:
    """Deleting a file wins over a change to it."""
    path = write_files(tmp_path) / "tools.toml"

    def change(tables: Any) -> None:
        heavier(tables)
        path.unlink(missing_ok=True)

    with pytest.raises(WriteRefused, match="is gone"):
        edit_file(path, change)
    assert not path.exists()


def test_a_read_only_file_is_left_alone(tmp_path: Path) -> None:
    """Replacing a file asks the folder for leave, so we ask the file ourselves."""
    path = write_files(tmp_path) / "tools.toml"
    path.chmod(0o444)
    assert "read-only" in str(refused(tmp_path, lambda: append_tools(tmp_path, [PUMP])))
    path.chmod(0o640)
    append_tools(tmp_path, [PUMP])
    assert stat.S_IMODE(path.stat().st_mode) == 0o640 or os.name == "nt"


@pytest.mark.parametrize("call", ["replace", "fsync"])
def test_a_write_that_fails_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    """With the disk failing at any step the folder is as before, no part files in it."""
    write_files(tmp_path)
    path = tmp_path / "layouts" / "present.toml"

    def fail(*args: object, **more: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, call, fail)
    layout = Layout("present", (Spot("T1", "bin"),))
    for write in (
        lambda: append_tools(tmp_path, [PUMP]),
        lambda: edit_file(tmp_path / "tools.toml", heavier),
        lambda: save_layout(path, layout, "now"),
        lambda: write_new(tmp_path / "new.toml", {"a": 1}),
    ):
        assert "no space left" in str(refused(tmp_path, write))


def test_a_layout_is_written_anew_with_its_note(tmp_path: Path) -> None:
    """Saving a layout puts the note at its head, makes the folder, and keeps the last one."""
    kit = read_kit(write_files(tmp_path))
    path = tmp_path / "layouts" / "wet.toml"
    wet = Layout("wet", (Spot("T1", "top", 10, 25, True), Spot("T3", "bin")))
    save_layout(path, wet, "For mud.\nSecond try.")
    assert path.read_text().startswith("# For mud.\n# Second try.\n\nname =")
    assert layout_from_file(path, kit) == wet
    save_layout(path, Layout("wet", ()), "")
    assert layout_from_file(path, kit) == Layout("wet", ())
    assert "mud" in (tmp_path / "layouts" / ".wet.toml.previous").read_text()


def test_a_note_cannot_break_the_file(tmp_path: Path) -> None:
    """Line ends of any kind in a note stay in the comment."""
    kit = read_kit(write_files(tmp_path))
    path = tmp_path / "layouts" / "wet.toml"
    save_layout(path, Layout("wet", ()), "a\rb\r\nc\x0bd\x85e\u2028f\x1b[0m\x00")
    assert layout_from_file(path, kit) == Layout("wet", ())


def test_a_plan_keeps_what_the_search_found(tmp_path: Path) -> None:
    """Cost, bound, method and stamp come back; a layout without them is no plan."""
    kit = read_kit(write_files(tmp_path))
    layout = Layout("plan", (Spot("T1", "top", 0, 0),))
    path = tmp_path / "layouts" / "plan.toml"
    for bound in (1_200_000, None):
        plan = SavedPlan(layout, 1_234_567, bound, "search, seed 1", "a1b2")
        save_plan(path, plan)
        assert load_plan(path, kit) == plan
    assert layout_from_file(path, kit) == layout
    with pytest.raises(KitFaults, match="without a plan"):
        load_plan(tmp_path / "layouts" / "present.toml", kit)


def test_a_new_file_never_replaces_one(tmp_path: Path) -> None:
    """write_new and write_kit refuse where something lies already."""
    kit = read_kit(write_files(tmp_path / "kit"))
    write_new(tmp_path / "own.toml", {"n": 1}, "ours")
    assert tomllib.loads((tmp_path / "own.toml").read_text()) == {"n": 1}
    refused(tmp_path, lambda: write_new(tmp_path / "own.toml", {"n": 2}))
    refused(tmp_path, lambda: write_kit(tmp_path / "kit", kit))


def test_a_link_to_a_file_stays_a_link(tmp_path: Path) -> None:
    """A kit file that is a link is changed where it points to."""
    real = write_files(tmp_path / "real") / "tools.toml"
    folder = write_files(tmp_path / "kit")
    (folder / "tools.toml").unlink()
    try:
        (folder / "tools.toml").symlink_to(real)
    except OSError:
        pytest.skip("this system makes no links here")
    edit_file(folder / "tools.toml", heavier)
    assert (folder / "tools.toml").is_symlink()
    assert b'"425 g"' in real.read_bytes()
