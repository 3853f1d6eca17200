"""What the command line says of itself: words that a shell completes, and the manual page.

Completion goes through click's own classes and through a real bash; the page through groff.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.shell_completion import FishComplete, ZshComplete

import toolbox.cli
from toolbox.cli import COMMANDS, cli
from toolbox.cli.codes import MEANINGS
from toolbox.cli.completion import PROGRAM, VARIABLE, Bash, kind_of
from toolbox.cli.manual import page

TRIP = 'name = "Race"\n\n[[bag]]\nid = "case"\nname = "Grey case"\n'


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, kit_dir: Path) -> Path:
    """A shell asks in a folder of the small kit with a trip."""
    (kit_dir / "trips").mkdir()
    (kit_dir / "trips" / "race.toml").write_text(TRIP, encoding="utf-8")
    monkeypatch.setattr(toolbox.cli, "_COMPLETING", True)
    monkeypatch.delenv("TOOLBOX_KIT", raising=False)
    monkeypatch.chdir(kit_dir)
    return kit_dir


def offered(*words: str, begun: str = "") -> list[str]:
    """What is offered behind these words."""
    found = Bash(cli, {}, PROGRAM, VARIABLE).get_completions(list(words), begun)
    return [str(item.value) for item in found]


@pytest.mark.parametrize(
    ("words", "begun", "expected"),
    [
        (("log",), "b", ["Broken chain", "Bar change"]),
        (("place",), "hex key 5", ["Hex key 5 mm"]),
        (("place",), "k", ["K4", "K5"]),
        (("place", "K4", "--in"), "", ["Front tray", "Elastic loops", "Well"]),
        (("log", "CH", "--with"), "ch", ["Chain tool"]),
        (("spend",), "", ["Chain lube"]),
        (("find",), "chain", ["Chain tool", "Chain lube"]),
        (("edit", "job"), "br", ["Broken chain"]),
        (("flight",), "", ["race"]),
        (("stow", "K4", "--in"), "g", ["Grey case"]),
        (("stow", "K4", "--in"), "c", ["case"]),
        ((), "cust", ["customs"]),
        (("claim", "race", "case"), "--arr", ["--arrived"]),
        (("claim", "race", "case", "--for"), "d", ["damage", "delay"]),
    ],
)
def test_words_of_the_kit_here_are_offered(
    asked: Path, words: tuple[str, ...], begun: str, expected: list[str]
) -> None:
    """Names by their beginning, ids by theirs, besides what click offers itself."""
    assert offered(*words, begun=begun) == expected


def test_a_shared_name_is_offered_by_its_id(asked: Path) -> None:
    """What two things are called means neither; what a shell takes apart is left to the id."""
    tools = asked / "tools.toml"
    text = tools.read_text(encoding="utf-8").replace("Hex key 5 mm", "Hex key 4 mm")
    tools.write_text(text.replace("Bench vice", "The $HOME vice"), encoding="utf-8")
    assert offered("place") == ["Chain tool", "V"]
    assert offered("place", begun="k") == ["K4", "K5"]


def test_a_faulty_kit_or_none_offers_nothing(
    asked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shell that asks for a word has no place for faults."""
    (asked / "tools.toml").write_text("[[tool", encoding="utf-8")
    assert offered("place") == []
    (asked / "tools.toml").write_bytes(b"\xff\xfe")
    assert offered("find", begun="chain") == ["Chain lube"]
    empty = tmp_path / "empty"
    empty.mkdir()
    monkeypatch.chdir(empty)
    assert offered("place") == []
    assert offered("place", "--kit", str(asked), "K4", "--in", begun="w") == ["Well"]


@pytest.mark.parametrize(
    ("command", "parameter", "kind"),
    [
        ("log", "job", "job"),
        ("log", "more", "tool"),
        ("log", "fewer", "tool"),
        ("log", "used", None),
        ("log", "note", None),
        ("pick", "tools", "tool"),
        ("place", "compartment", "compartment"),
        ("map", "compartment", "compartment"),
        ("count", "places", "compartment"),
        ("count", "shorts", "thing"),
        ("settle", "thing", "thing"),
        ("stock", "supply", "supply"),
        ("stock", "trip", "trip"),
        ("uses", "letters", "tool"),
        ("pitbag", "jobs", "job"),
        ("test", "reference", "tool"),
        ("sheets", "name", "trip"),
        ("sheets", "out", None),
        ("weigh", "bag", "bag"),
        ("lists", "name", "list"),
        ("customs", "bags", "bag"),
        ("trip", "name", None),
    ],
)
def test_what_a_word_names(command: str, parameter: str, kind: str | None) -> None:
    """By what usage lines call it."""
    found = cli.get_command(click.Context(cli), command)
    assert found is not None
    (one,) = [p for p in found.params if p.name == parameter]
    assert kind_of(command, one) == kind


def test_zsh_and_fish_get_names_with_ids(asked: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Through click's own classes, in the form that its scripts read."""
    monkeypatch.setenv("COMP_WORDS", "toolbox place ch")
    monkeypatch.setenv("COMP_CWORD", "2")
    assert ZshComplete(cli, {}, PROGRAM, VARIABLE).complete() == "plain\nChain tool\nCT"
    boxes = asked / "box.toml"
    boxes.write_text(boxes.read_text().replace("Front tray", "Tray, front"), encoding="utf-8")
    monkeypatch.setenv("COMP_WORDS", "toolbox map t")
    monkeypatch.setenv("COMP_CWORD", "t")
    monkeypatch.setenv(VARIABLE, "fish_complete")
    # a comma would be taken for the end of the word by click's script for fish
    assert FishComplete(cli, {}, PROGRAM, VARIABLE).complete() == "plain,tray\tTray, front"


def test_a_real_bash_completes_names_of_several_words(asked: Path) -> None:
    """Blanks escaped outside quotes and not inside; names with commas and stars come whole."""
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("no bash here")
    tools = asked / "tools.toml"
    text = tools.read_text(encoding="utf-8").replace("Chain tool", "Chain tool, star *")
    tools.write_text(text, encoding="utf-8")
    program = """
eval "$(toolbox completion bash)"
try() {
    COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=()
    _toolbox_completion toolbox; printf '[%s]' "${COMPREPLY[@]}"; echo
}
try toolbox place 'chain\\ t'
try toolbox place '"hex key 5'
"""
    beside = Path(sys.executable).parent
    if not (beside / "toolbox").exists():
        pytest.skip("the command is not installed beside this Python")
    env = {**os.environ, "PATH": f"{beside}{os.pathsep}{os.environ['PATH']}"}
    run = subprocess.run(
        [bash, "--norc", "-c", program], cwd=asked, env=env, capture_output=True, text=True
    )
    assert run.stdout.splitlines() == ["[Chain\\ tool,\\ star\\ \\*]", "[Hex key 5 mm]"], run.stderr


def test_completing_loads_no_screens_units_or_solver(kit_dir: Path) -> None:
    """Whoever presses Tab waits for what the command itself loads, and for no more."""
    code = (
        "import sys; sys.argv = ['toolbox']\n"
        "from toolbox.cli import main\n"
        "try: main()\nexcept SystemExit: pass\n"
        "print(' '.join({m.split('.')[0] for m in sys.modules}), file=sys.stderr)"
    )
    env = os.environ | {
        VARIABLE: "bash_complete",
        "COMP_WORDS": "toolbox\nlog\nb",
        "COMP_CWORD": "2",
        "TOOLBOX_KIT": str(kit_dir),
    }
    run = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True)
    assert "plain,Broken\\\\ chain" in run.stdout
    heavy = {"textual", "pint", "ortools", "numpy", "pydantic", "tomlkit"}
    assert not set(run.stderr.split()) & heavy


# ---- the manual page


def test_the_page_has_every_command_option_and_exit_code() -> None:
    """Held against the commands themselves, as a plain text."""
    text = page().replace("\\-", "-").replace("\\&", "")
    for name in COMMANDS:
        assert f'.SS "toolbox {name}"' in text
        command = cli.get_command(click.Context(cli), name)
        assert command is not None
        section = text.partition(f'.SS "toolbox {name}"')[2].partition("\n.S")[0]
        for parameter in command.params:
            if isinstance(parameter, click.Option) and not parameter.hidden:
                assert all(opt in section for opt in parameter.opts), (name, parameter.opts)
    for code in MEANINGS:
        assert f"\n\\fB{code}\\fR\n" in text
    assert "\\fBTOOLBOX_KIT\\fR" in text


def test_the_page_is_set_without_a_warning() -> None:
    """groff, which man uses, finds nothing wrong with it and prints its sections."""
    groff = shutil.which("groff")
    if groff is None:
        pytest.skip("no groff here")
    run = subprocess.run(
        [groff, "-man", "-Tutf8", "-ww", "-P-cbou"], input=page().encode(), capture_output=True
    )
    assert run.returncode == 0
    assert run.stderr == b""
    shown = run.stdout.decode()
    for head in ("NAME", "SYNOPSIS", "COMMANDS", "EXIT STATUS", "ENVIRONMENT"):
        assert f"\n{head}\n" in shown
