"""The command merge as it is used: words, exit codes, data; an old and a newer log."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.cli.codes import DONE, FAULTY, NO

Run = Callable[..., Ran]


@pytest.fixture
def ben(run: Run, kit_dir: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Another copy of the kit, which met this one after the first entry."""
    monkeypatch.setenv("TOOLBOX_STATE", str(tmp_path / "state"))
    monkeypatch.chdir(kit_dir)
    assert run("log", "CH", "--bike", "A1").code == DONE
    shutil.copytree(kit_dir, tmp_path / "ben")
    met = run("merge", tmp_path / "ben")
    assert (met.code, met.out) == (
        DONE,
        "Nothing is new in its log.\nThe files of both say the same.\n",
    )
    return tmp_path / "ben"


def change(kit: Path, old: str, new: str) -> None:
    """Change tools.toml."""
    path = kit / "tools.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")


def test_entries_of_two_machines_come_together(
    run: Run, kit_dir: Path, ben: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who wrote what is said; both then list the same, and a second merge brings nothing."""
    run("pick", "K4")
    monkeypatch.setenv("TOOLBOX_AUTHOR", "Ben")
    run("pick", "K5", "CT", "--kit", ben)
    run("undo", "--kit", ben)
    came = run("merge", ben)
    assert came.code == DONE
    assert "Took in 2 entries (3 facts), written by Ben." in came.out
    assert "Nothing is new" in run("merge", ben).out
    assert "Took in 1 entry (1 fact), written by" in run("merge", kit_dir, "--kit", ben).out
    here, there = (run("undo", "--list", "--json", "--kit", kit).data() for kit in (kit_dir, ben))
    assert here == there
    assert [entry["live"] for entry in here["entries"]].count(False) == 1
    assert len(here["entries"]) == 4


def test_differences_stand_side_by_side(run: Run, kit_dir: Path, ben: Path) -> None:
    """What can be taken in, what clashes, what was changed here; signs of markup stay text."""
    change(ben, 'mass = "25 g"', 'mass = "26 g"')
    change(ben, '"Chain tool"', '"Chain [b]tool"')
    change(kit_dir, '"Chain tool"', '"Chain breaker"')
    change(kit_dir, 'mass = "42 g"', 'mass = "43 g"')
    shown = run("merge", ben)
    assert shown.code == NO
    assert shown.out.splitlines() == [
        "Nothing is new in its log.",
        "",
        "Changed there alone; --take takes it in:",
        "  tools.toml, tool K4 (Hex key 4 mm)",
        "          here  there",
        "    mass  25 g  26 g   changed there, was 25 g",
        "",
        "Different; nothing was written over, settle it by hand on either side:",
        "  tools.toml, tool CT (Chain breaker)",
        "          here           there",
        "    name  Chain breaker  Chain [b]tool  changed on both sides, was Chain tool",
        "",
        "1 difference made here alone: nothing to do on this side.",
    ]
    data = run("merge", ben, "--json").data()
    assert data["to_settle"] == 2
    assert {d["name"]: (d["verdict"], d["takeable"], d["taken"]) for d in data["differences"]} == {
        "K4": ("changed there", True, False),
        "K5": ("changed here", False, False),
        "CT": ("changed on both sides", False, False),
    }
    taken = run("merge", ben, "--take")
    assert taken.code == NO
    assert "Taken in, since it was changed there alone:" in taken.out
    assert 'mass = "26 g"' in (kit_dir / "tools.toml").read_text(encoding="utf-8")
    change(ben, '"Chain [b]tool"', '"Chain breaker"')
    assert run("merge", ben, "--take").code == DONE


def test_strangers_old_and_damaged_logs(run: Run, ben: Path, tmp_path: Path) -> None:
    """A log with nothing in common is asked about, an old one is read, nonsense is refused."""
    old = Path(__file__).parents[1] / "journals" / "version_1.db"
    asked = run("merge", old)
    assert (asked.code, asked.out) == (NO, "")
    assert "--yes" in asked.err
    taken = run("merge", old, "--yes", "--json").data()
    assert (taken["entries"], taken["facts"], taken["files_compared"]) == (6, 8, False)
    refused = run("merge", ben / "tools.toml")
    assert refused.code == FAULTY
    assert "no journal" in refused.err
    assert run("merge", tmp_path / "nowhere").code == NO
