"""The command import: questions and answers, what is accepted, all or nothing, pasted lists."""

from __future__ import annotations

import io
import json
import sys
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from clikit import Ran, write_kit_files

from toolbox.cli import cli
from toolbox.desk.folder import open_kit
from toolbox.desk.intake import accepted, store, take_in
from toolbox.desk.setup import place_tools
from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.intake.difference import State
from toolbox.intake.reading import Answers
from toolbox.kit.things import Known, Mass

HEADER = "name,mass,length,width,height\n"


@pytest.fixture
def kit_dir(tmp_path: Path) -> Path:
    """A small kit of its own."""
    return write_kit_files(tmp_path / "kit")


def run(*words: object, text: str = "") -> Ran:
    """A run of the command in this process, with this text piped in."""
    ran = CliRunner().invoke(cli, ["import", *map(str, words)], input=text.encode())
    if ran.exception is not None and not isinstance(ran.exception, SystemExit):
        raise ran.exception
    return Ran(ran.exit_code, ran.stdout, ran.stderr)


def listed(folder: Path, text: str, name: str = "list.csv") -> Path:
    """A list as a file beside the kit."""
    path = folder.parent / name
    path.write_text(text, encoding="utf-8")
    return path


def contents(folder: Path) -> dict[str, bytes]:
    """All that is in the kit folder."""
    return {str(p): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_a_question_is_asked_once_and_its_answer_kept(kit_dir: Path) -> None:
    """Nothing is stored while it is open; once answered and stored, it is asked no more."""
    path = listed(kit_dir, f"{HEADER}Spoke key,20,60 mm,30 mm,8 mm\n")
    before = contents(kit_dir)
    first = run(path, "--kit", kit_dir, "--yes")
    assert first.code == 1
    assert "unit mass" in first.out
    assert contents(kit_dir) == before
    second = run(path, "--kit", kit_dir, "--answer", "unit mass=g", "--yes")
    assert second.code == 0
    kept = kit_dir / "answers" / "list.csv.toml"
    assert tomllib.loads(kept.read_text("utf-8")) == {"answers": {"unit mass": "g"}}
    assert open_kit(kit_dir).kit.tool("spoke-key").mass == Mass(20, Known.GUESS)
    again = contents(kit_dir)
    third = run(path, "--kit", kit_dir, "--yes")
    assert (third.code, "Nothing new" in third.err) == (0, True)
    assert contents(kit_dir) == again


def test_answers_can_be_kept_and_read_elsewhere_and_their_faults_are_told(kit_dir: Path) -> None:
    """--keep writes where it says, --answers reads from there; a faulty file is named whole."""
    path = listed(kit_dir, "Ding;Gewicht;length;width;height\nSpoke key;20 g;60 mm;30 mm;8 mm\n")
    kept = kit_dir.parent / "mine.toml"
    told = run(path, "--kit", kit_dir, "--column", "Ding=name", "--keep", kept, "--yes")
    assert told.code == 0
    assert tomllib.loads(kept.read_text("utf-8")) == {"columns": {"Ding": "name"}}
    assert not (kit_dir / "answers").exists()
    assert "Nothing new" in run(path, "--kit", kit_dir, "--answers", kept).err
    kept.write_text('[column]\nDing = "name"\n[answers]\nmarks = 1\n', encoding="utf-8")
    with pytest.raises(KitFaults) as caught:
        run(path, "--kit", kit_dir, "--answers", kept)
    assert [fault.wrong.split('"')[1] for fault in caught.value.faults] == ["column", "marks"]


def test_a_pasted_list_is_read_and_shown_as_data(kit_dir: Path) -> None:
    """- reads what is piped in; the data hold cells, values, guesses, questions, changes."""
    text = "name\tmass (g)\nHex key 4 mm\t~26\nHex key 5 mm\tn/a\n"
    ran = run("-", "--kit", kit_dir, "--json", text=text)
    assert ran.code == 1
    data = json.loads(ran.out)
    assert data["kind"] == "tools+supplies"
    assert data["stored"] == []
    assert data["lines"][0]["values"]["mass"] == {
        "cell": "~26", "read": "about 26 g", "rests_on": "about; unit g from the header",
    }  # fmt: skip
    assert data["changed"][0]["changes"] == [
        {"key": "mass", "old": "25 g (guess)", "new": "26 g (guess)"}
    ]
    assert [q["id"] for q in data["questions"]] == ["cell mass (g): n/a"]
    assert "CT" in data["missing"]


def test_what_differs_is_taken_in_only_where_it_is_accepted(kit_dir: Path) -> None:
    """--yes leaves known entries alone; --accept and --only take what they name; comments stay."""
    text = "id,name,mass,length\nK4,Hex key 4,26 g,140 mm\nK5,Hex key 5 mm,44 g,\n"
    path = listed(kit_dir, text)
    before = contents(kit_dir)
    ran = run(path, "--kit", kit_dir, "--yes")
    assert (ran.code, contents(kit_dir)) == (0, before)
    assert "2 entries differ" in ran.err
    old = open_kit(kit_dir).kit
    assert run(path, "--kit", kit_dir, "--accept", "2", "--only", "mass").code == 0
    new = open_kit(kit_dir).kit
    assert new.tool("K4") == replace(old.tool("K4"), mass=Mass(26, Known.GUESS))
    assert new.tool("K5") == old.tool("K5")
    assert "# the keys I use all day" in (kit_dir / "tools.toml").read_text("utf-8")
    assert run(path, "--kit", kit_dir, "--accept", "changed").code == 0
    last = open_kit(kit_dir).kit
    assert (last.tool("K4").name, last.tool("K4").size.length) == ("Hex key 4", 1400)
    assert last.tool("K5").mass.grams == 44
    done = contents(kit_dir)
    assert "Nothing new" in run(path, "--kit", kit_dir, "--accept", "changed").err
    assert contents(kit_dir) == done


def test_good_lines_beside_bad_ones_go_in_only_by_name(kit_dir: Path) -> None:
    """A refused line keeps --yes from storing; --accept new stores the others and says no."""
    rows = "Spoke key,20 g,60 mm,30 mm,8 mm\nPump,-1 g,200 mm,40 mm,30 mm\n"
    path = listed(kit_dir, HEADER + rows)
    assert run(path, "--kit", kit_dir, "--yes").code == 1
    assert "Spoke key" not in (kit_dir / "tools.toml").read_text("utf-8")
    assert run(path, "--kit", kit_dir, "--accept", "new").code == 1
    assert "Spoke key" in (kit_dir / "tools.toml").read_text("utf-8")
    assert "Pump" not in (kit_dir / "tools.toml").read_text("utf-8")


def test_a_write_that_fails_half_way_leaves_all_files_as_they_were(kit_dir: Path) -> None:
    """The second file cannot be written: the first is put back, byte for byte."""
    text = (
        "name,kind,mass,length,width,height\nSpoke key,tool,20 g,60 mm,30 mm,8 mm\n"
        "Chain lube 100 ml,supply,120 g,,,\n"
    )
    folder = open_kit(kit_dir)
    taken = take_in(folder, text.encode(), "list.csv", Answers())
    chosen = accepted(taken.difference, ["all"], ())
    assert {entry.state for entry in chosen} == {State.NEW}
    supplies = kit_dir / "supplies.toml"
    supplies.touch()
    before = contents(kit_dir)
    supplies.chmod(0o444)
    with pytest.raises(WriteRefused):
        store(folder, chosen)
    after = {path: data for path, data in contents(kit_dir).items() if ".previous" not in path}
    assert after == before
    supplies.chmod(0o644)
    store(folder, chosen)
    assert "Spoke key" in (kit_dir / "tools.toml").read_text("utf-8")
    assert "Chain lube" in supplies.read_text("utf-8")


def test_what_the_kit_could_not_bear_is_refused_before_anything_is_written(kit_dir: Path) -> None:
    """Fewer copies than lie in the box today: the kit would have a fault, so nothing is written."""
    place_tools(open_kit(kit_dir), ["K4"], "well")
    path = listed(kit_dir, "id,name,carried\nK4,Hex key 4 mm,no\n")
    before = contents(kit_dir)
    with pytest.raises(KitFaults):
        run(path, "--kit", kit_dir, "--accept", "changed")
    assert contents(kit_dir) == before


def test_weighings_become_weighed_masses_of_known_things(kit_dir: Path) -> None:
    """The latest day holds; two orders of days in one column; a name not known is refused."""
    text = (
        "Tool;Reading (g);Date\nHex key 4 mm;26,4;2026-09-01 06:45:00\n"
        "Hex key 4 mm;27,2;02.09.2026\nHex key 5 mm;43;2026-09-01\n"
    )
    path = listed(kit_dir, text)
    ran = run(path, "--kit", kit_dir, "--accept", "changed", "--json")
    data = json.loads(ran.out)
    assert (ran.code, data["kind"], data["stored"]) == (0, "weighings", ["K4", "K5"])
    kit = open_kit(kit_dir).kit
    assert kit.tool("K4").mass == Mass(27, Known.WEIGHED)
    assert kit.tool("K5").mass == Mass(43, Known.WEIGHED)
    strange = run(listed(kit_dir, text.replace("key 5", "saw 5")), "--kit", kit_dir)
    assert (strange.code, "is not in the kit" in strange.out) == (1, True)
    twice = run(listed(kit_dir, text.replace("2026-09-01 06:45:00", "2.9.2026")), "--kit", kit_dir)
    assert "more than once" in twice.out


def test_at_a_terminal_questions_are_asked_and_entries_agreed_to_one_by_one(
    kit_dir: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Choices by number, free answers as text, new entries one by one, changes one by one."""
    rows = "Spoke key,20,60 mm,30 mm,8 mm\nPump,200,200 mm,40 mm,30 mm\nHex key 4 mm,0.026 kg,,,\n"
    path = listed(kit_dir, HEADER + rows)

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    # unit: the first choice; new ones: one by one, yes, no; the change: yes
    monkeypatch.setattr(sys, "stdin", Terminal("9\n1\none\ny\nn\ny\n"))
    monkeypatch.setattr(sys, "stderr", Terminal())
    cli.main(["import", str(path), "--kit", str(kit_dir)], standalone_mode=False)
    kit = open_kit(kit_dir).kit
    assert kit.tool("spoke-key").mass.grams == 20
    assert "pump" not in {tool.id for tool in kit.tools}
    assert kit.tool("K4").mass.grams == 26


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--accept", "99"), "no line and no id"),
        (("--accept", "new", "--only", "colour"), "nothing changes in"),
        (("--column", "mass"), "nothing for --column"),
        (("--answer", "marks"), "nothing for --answer"),
    ],
)
def test_words_that_mean_nothing_are_told(kit_dir: Path, words: tuple[str, ...], said: str) -> None:
    """A line that is not there, a key that does not change, half a pair."""
    path = listed(kit_dir, f"{HEADER}Spoke key,20 g,60 mm,30 mm,8 mm\n")
    with pytest.raises(Exception, match=said):
        run(path, "--kit", kit_dir, *words)
