"""The command edit: entries listed, shown, changed, added, copied and retired by words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.desk.folder import open_kit

Run = Callable[..., Ran]


def test_a_sort_is_listed_and_one_of_it_shown(kit_dir: Path, run: Run) -> None:
    """What the screens show as list and detail, in words and for programs."""
    listed = run("edit", "tool", "--kit", kit_dir)
    assert listed.out.splitlines()[0].split() == ["id", "mass", "copies", "where", "name"]
    assert "V   4 kg   1       at home  Bench vice" in listed.out
    rows = run("edit", "compartment", "--kit", kit_dir, "--json").data()["compartments"]
    assert [row["id"] for row in rows] == ["tray", "loops", "well"]
    shown = run("edit", "tool", "chain", "--kit", kit_dir)
    assert "mass    150 g" in shown.out
    assert "Empty: category, mass_known" in shown.out
    assert "Named by job Broken chain." in shown.out
    data = run("edit", "job", "CH", "--kit", kit_dir, "--json").data()
    assert data["job"]["step.2.supplies"] == "OIL = 2 ml"


def test_lines_are_changed(kit_dir: Path, run: Run) -> None:
    """KEY=VALUE, an empty VALUE takes the key out; comments stay."""
    done = run("edit", "tool", "K4", "mass=26 g", "note=bent, still good", "--kit", kit_dir)
    assert (done.code, done.out) == (0, "Hex key 4 mm: mass, note written.\n")
    assert run("edit", "tool", "CT", "marks=", "--kit", kit_dir).code == 0
    text = (kit_dir / "tools.toml").read_text()
    assert text.startswith("# the keys I use all day\n")
    assert 'mass = "26 g"' in text
    assert 'note = "bent, still good"' in text
    assert "marks" not in text


def test_a_mass_out_of_all_proportion_is_asked_back(kit_dir: Path, run: Run) -> None:
    """Nobody there to answer: refused, until --sure says that it is meant; check tells it."""
    before = (kit_dir / "tools.toml").read_bytes()
    words = ("edit", "tool", "K4", "mass=45 kg", "--kit", kit_dir)
    ran = run(*words)
    assert (ran.code, ran.out) == (1, "")
    assert "45.00 kg is more than all the rest of the packed box (2.19 kg)" in ran.err
    assert "--sure" in ran.err
    assert (kit_dir / "tools.toml").read_bytes() == before
    assert run("edit", "tool", "K4", "note=bent", "--kit", kit_dir).code == 0
    assert run(*words, "--sure").code == 0
    odd = run("check", "--kit", kit_dir, "--json").data()["odd_masses"]
    assert [one.split(":")[0] for one in odd] == ["Hex key 4 mm"]
    assert "CAUTION: Hex key 4 mm: 45.00 kg" in run("check", "--kit", kit_dir).out


def test_faults_are_told_all_at_once_and_nothing_is_written(kit_dir: Path, run: Run) -> None:
    """Each with its key; exit code 1; for programs as data."""
    before = (kit_dir / "tools.toml").read_bytes()
    words = ("edit", "tool", "K4", "mass=26", "count=0", "length=4 s", "--kit", kit_dir)
    ran = run(*words)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.count("\n- ") == 3
    assert '- mass: mass "26" cannot be read: has no unit' in ran.err
    data = run(*words, "--json").data()
    assert [fault["key"] for fault in data["faults"]] == ["mass", "length", "count"]
    assert (kit_dir / "tools.toml").read_bytes() == before


def test_adding_and_copying(kit_dir: Path, run: Run) -> None:
    """A new entry by its name, one like another; each says its id."""
    size = ("length=15 cm", "width=8 mm", "height=8 mm")
    added = run("edit", "tool", "Scribe", "--add", "mass=20 g", *size, "--kit", kit_dir, "--json")
    assert added.data()["id"] == "scribe"
    copied = run("edit", "job", "BC", "--copy", "name=Bar swap", "--kit", kit_dir)
    assert copied.out == "Added the job Bar swap (bar-swap).\n"
    kit = open_kit(kit_dir).kit
    assert kit.tool("scribe").size.length == 1500
    assert kit.job("bar-swap").steps == kit.job("BC").steps


def test_retiring(kit_dir: Path, run: Run) -> None:
    """First it stays at home; what jobs still name cannot be taken out, the rest can."""
    home = run("edit", "tool", "chain", "--retire", "--kit", kit_dir)
    assert "no place in today's layout" in home.out
    assert not open_kit(kit_dir).kit.tool("CT").carried
    again = run("edit", "tool", "chain", "--retire", "--kit", kit_dir)
    assert again.code == 1
    assert "Chain tool stays: it is named by job Broken chain" in again.err
    gone = run("edit", "tool", "vice", "--retire", "--kit", kit_dir)
    assert gone.out == "Taken out: the tool Bench vice (V).\n"
    assert [tool.id for tool in open_kit(kit_dir).kit.tools] == ["K4", "K5", "CT"]


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("tool", "hex"), 4, "could be any of these tools"),
        (("tool", "zzz"), 1, "no tool in this kit goes by"),
        (("tool", "K4", "weight=3 g"), 1, "did you mean mass"),
        (("tool", "K4", "mass"), 1, "is not KEY=VALUE"),
        (("tool", "K4", "--retire", "mass=3 g"), 2, "choose one"),
        (("tool", "--add"), 2, "say which tool"),
        (("spoon",), 2, "spoon"),
    ],
)
def test_what_is_not_clear_is_said(
    kit_dir: Path, run: Run, words: tuple[str, ...], code: int, says: str
) -> None:
    """Nothing is guessed; the exit code tells which way it went."""
    ran = run("edit", *words, "--kit", kit_dir)
    assert ran.code == code
    assert says in ran.err
