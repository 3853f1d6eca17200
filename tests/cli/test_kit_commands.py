"""Making, checking and filling a kit, as typed at the terminal."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran, shell

Run = Callable[..., Ran]


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its bytes."""
    return {str(p): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.mark.parametrize("form", ["clamshell", "drawer-chest", "pallet-case", "roll-pack"])
def test_new_makes_a_kit_without_faults_from_each_form(run: Run, tmp_path: Path, form: str) -> None:
    """Each shipped box form gives a kit that the check accepts at once."""
    assert run("new", tmp_path / "mine", "--box", form).code == 0
    ran = run("check", "--kit", tmp_path / "mine", "--json")
    assert ran.code == 0
    assert ran.data()["faults"] == []


def test_new_refuses_a_folder_with_something_in_it(run: Run, kit_dir: Path) -> None:
    """A folder that holds files is never written into."""
    before = contents(kit_dir)
    ran = run("new", kit_dir, "--box", "clamshell")
    assert ran.code != 0
    assert "kit" in ran.err
    assert contents(kit_dir) == before


def test_new_names_the_forms_when_the_name_is_wrong(run: Run, tmp_path: Path) -> None:
    """An unknown form is answered with the forms there are."""
    ran = run("new", tmp_path / "mine", "--box", "trunk")
    assert ran.code == 1
    assert "clamshell" in ran.err
    assert not (tmp_path / "mine").exists()


def test_check_counts_what_travels(run: Run, kit_dir: Path) -> None:
    """The mass of what travels and the empty box add up to the total, to the gram."""
    data = run("check", "--kit", kit_dir, "--json").data()
    assert data["carried"] == 3
    assert data["carried_g"] == 25 + 42 + 150
    assert data["tare_g"] == 2000


def test_check_names_every_fault_of_every_file(run: Run, kit_dir: Path) -> None:
    """Three faults in three files give three sentences in one run; nothing is changed."""
    for file, old, new in (
        ("tools.toml", 'mass = "25 g"', 'mass = "25 grm"'),
        ("jobs.toml", 'tools = ["CT"]', 'tools = ["CTT"]'),
        ("box.toml", 'openings = ["lid"]', 'openings = ["lit"]'),
    ):
        path = kit_dir / file
        path.write_text(path.read_text().replace(old, new))
    before = contents(kit_dir)
    ran = run("check", "--kit", kit_dir)
    assert ran.code == 3
    assert len([line for line in ran.err.splitlines() if line.startswith("- ")]) == 3
    for file in ("tools.toml", "jobs.toml", "box.toml"):
        assert file in ran.err
    assert len(run("check", "--kit", kit_dir, "--json").data()["faults"]) == 3
    assert contents(kit_dir) == before


def test_without_a_kit_the_way_to_one_is_named(run: Run, tmp_path: Path) -> None:
    """In a folder without a kit the message says how to make one."""
    ran = run("check", "--kit", tmp_path)
    assert ran.code == 1
    assert "toolbox new" in ran.err


def test_import_is_a_dry_run_until_yes(run: Run, kit_dir: Path, tmp_path: Path) -> None:
    """Without agreement nothing is stored; with --yes all is; a second time nothing is new."""
    sheet = tmp_path / "more.csv"
    sheet.write_text(
        "id,name,mass,length,width,height\nSP,Spoke key,20 g,60 mm,30 mm,8 mm\n", encoding="utf-8"
    )
    before = contents(kit_dir)
    assert "Spoke key" in run("import", sheet, "--kit", kit_dir, "--json").out
    assert contents(kit_dir) == before
    assert run("import", sheet, "--kit", kit_dir, "--yes").code == 0
    text = (kit_dir / "tools.toml").read_text(encoding="utf-8")
    assert "# the keys I use all day" in text
    assert "Spoke key" in text
    again = contents(kit_dir)
    assert "Nothing new" in run("import", sheet, "--kit", kit_dir, "--yes").err
    assert contents(kit_dir) == again


def test_an_odd_mass_in_a_list_is_told_before_and_after(
    run: Run, kit_dir: Path, tmp_path: Path
) -> None:
    """A hammer of 45 kg: beside the dry run, beside the data, and to who agreed beforehand."""
    sheet = tmp_path / "odd.csv"
    lines = "name,mass (g),length (mm),width (mm),height (mm)\nHammer,45000,270,85,32\n"
    sheet.write_text(lines + "File,149,260,22,6\n", encoding="utf-8")
    dry = run("import", sheet, "--kit", kit_dir, "--json")
    assert [one.split(":")[0] for one in dry.data()["odd_masses"]] == ["Hammer"]
    assert "CAUTION: Hammer: 45.00 kg is more than" in dry.err
    stored = run("import", sheet, "--kit", kit_dir, "--yes")
    assert stored.code == 0
    assert "CAUTION: Hammer: 45.00 kg is more than" in stored.err


def test_a_list_with_a_refused_cell_goes_in_not_at_all(
    run: Run, kit_dir: Path, tmp_path: Path
) -> None:
    """One bad mass among good rows is named by line and column, and nothing is stored."""
    sheet = tmp_path / "more.csv"
    sheet.write_text(
        "id,name,mass,length,width,height\n"
        "SP,Spoke key,20 g,60 mm,30 mm,8 mm\n"
        "PU,Pump,12,200 mm,40 mm,30 mm\n",
        encoding="utf-8",
    )
    before = contents(kit_dir)
    ran = run("import", sheet, "--kit", kit_dir, "--yes")
    assert ran.code == 1
    assert "line 3" in ran.out
    assert contents(kit_dir) == before


def test_place_says_where_a_tool_lies(run: Run, kit_dir: Path) -> None:
    """A tool placed by a few letters is found there afterwards, the rest where it was."""
    assert run("place", "hex 5", "--in", "loops", "--kit", kit_dir).code == 0
    found = run("find", "hex", "--kit", kit_dir, "--json").data()["found"]
    assert {f["item"]: f["compartment"] for f in found} == {"K4": "well", "K5": "loops"}
    ran = run("place", "vice", "--in", "well", "--kit", kit_dir)
    assert ran.code == 1
    assert "does not travel" in ran.err


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
@pytest.mark.parametrize(
    "words", [("check",), ("uses",), ("map", "--draw"), ("find", "cle"), ("--help",)]
)
def test_old_consoles_and_pipes_get_letters_they_have(
    kit_dir: Path, tmp_path: Path, encoding: str, words: tuple[str, ...]
) -> None:
    """Piped in any encoding nothing crashes, and no box-drawing signs are written."""
    path = kit_dir / "tools.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("Chain tool", "Clé ½″ × 3 → 鎖 [/b]"),
        encoding="utf-8",
    )
    env = {**os.environ, "PYTHONIOENCODING": encoding, "TOOLBOX_KIT": str(kit_dir), "NO_COLOR": "1"}
    done = shell(*words, env=env, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    text = done.stdout.decode(encoding)
    assert text
    assert not any("\u2500" <= letter <= "\u257f" for letter in text)
    assert "\x1b" not in text
