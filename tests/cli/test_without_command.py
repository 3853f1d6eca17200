"""Options without a command, and where the demo is laid out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.desk.errors import DeskError
from toolbox.desk.setup import DEMO, demo_target

Run = Callable[..., Ran]


def test_options_without_a_command_are_those_of_the_screens(kit_dir: Path, run: Run) -> None:
    """With a theme the same as without, where no screens can be shown; a theme there is none of."""
    plain = run("screens", "--print", "--kit", kit_dir)
    assert "NOT READY: Test kit" in plain.out
    for words in (("--theme", "sun", "--print"), ("--print", "--no-mouse"), ("--print",)):
        ran = run(*words, "--kit", kit_dir)
        assert (ran.code, ran.out) == (plain.code, plain.out)
    wrong = run("--theme", "blue")
    assert wrong.code == 2
    assert "'dark', 'light', 'sun'" in wrong.err


def test_an_option_of_a_command_goes_behind_it(kit_dir: Path, run: Run) -> None:
    """Before it, it is refused and told where it belongs; a folder may be called like a command."""
    ran = run("--kit", kit_dir, "uses")
    assert ran.code == 2
    assert "options go behind their command: toolbox uses" in ran.err
    assert run("--json").code == 2
    kit_dir.rename(kit_dir.parent / "uses")
    assert "NOT READY" in run("--kit", kit_dir.parent / "uses", "--print").out
    assert run("--version").out.startswith("toolbox ")
    assert "Commands:" in run("-h").out


def test_the_demo_never_goes_into_a_kit(kit_dir: Path, tmp_path: Path) -> None:
    """Beside the kit one is in, and the same one again from within it; elsewhere as named."""
    outside = tmp_path / "empty"
    outside.mkdir()
    assert demo_target(None, outside) == (Path(DEMO), "")
    beside, words = demo_target(None, kit_dir / "layouts")
    assert beside == kit_dir.resolve().parent / DEMO
    assert str(beside) in words
    beside.mkdir()
    (beside / "kit.toml").write_text('name = "Demo"\n', encoding="utf-8")
    assert demo_target(None, beside) == (beside, "")
    with pytest.raises(DeskError, match="lies in the kit"):
        demo_target(kit_dir / "demo", outside)
    assert demo_target(outside / "demo", kit_dir) == (outside / "demo", "")


def test_a_demo_named_inside_a_kit_is_refused(
    kit_dir: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is copied."""
    monkeypatch.chdir(kit_dir)
    ran = run("demo", "try")
    assert ran.code == 1
    assert "name a folder outside of it" in ran.err
    assert not Path("try").exists()
