"""The command weighing: a session at a terminal, lines piped in, the list of what is left."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.cli import cli
from toolbox.desk.folder import open_kit
from toolbox.kit.things import Known, Mass

Run = Callable[..., Ran]


def test_what_is_piped_in_is_stored_whole_or_not_at_all(
    kit_dir: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line that is refused keeps all from being stored; each is named with its reason."""
    monkeypatch.setattr(sys, "stdin", io.StringIO("K5 44\nCT 9 kg\nV\n"))
    before = (kit_dir / "tools.toml").read_bytes()
    refused = run("weighing", "--kit", kit_dir)
    assert refused.code == 1
    assert "line 2, CT 9 kg" in refused.out
    assert "line 3, Bench vice" in refused.out
    assert (kit_dir / "tools.toml").read_bytes() == before
    monkeypatch.setattr(sys, "stdin", io.StringIO("K5 1.6\nCT\n5.5\n"))
    words = ("--unit", "oz", "--step", "0.1 g", "--tare", "0.1", "--json")
    stored = run("weighing", "--kit", kit_dir, *words)
    assert stored.code == 0
    data = json.loads(stored.out)
    # 1 oz is 28.349523125 g (NIST Handbook 44): 1.5 and 5.4 of them
    assert [(one["id"], one["mass_g"]) for one in data["stored"]] == [("K5", 43), ("CT", 153)]
    assert (data["of"], data["weighed"], data["guessed"]) == (5, 2, 2)
    assert open_kit(kit_dir).kit.tool("CT").mass == Mass(153, Known.WEIGHED, 100)
    listed = run("weighing", "--kit", kit_dir, "--list").out
    assert "Weighed 2 of 5" in listed
    assert "Chain tool" not in listed
    assert "Hex key 4 mm" in listed


def test_a_session_at_a_terminal(
    kit_dir: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The next thing is named, odd readings are asked back, undo gives back, the end sums up."""

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    typed = ["1500", "n", "151", "hex key 4", "tare 10", "36", "skip", "K5/1 54", "undo", "-4", ""]
    monkeypatch.setattr(sys, "stdin", Terminal("\n".join(typed) + "\n"))
    cli.main(["weighing", "--kit", str(kit_dir)], standalone_mode=False)
    kit = open_kit(kit_dir).kit
    assert kit.tool("CT").mass == Mass(151, Known.WEIGHED)
    assert kit.tool("K4").mass == Mass(26, Known.WEIGHED)
    assert kit.tool("K5").mass == Mass(42, Known.GUESS)
    said = capsys.readouterr()
    assert "Is that right?" in said.err
    assert "Not stored; weigh it again." in said.err
    assert "negative" in said.err
    assert "2 readings stored. Weighed 2 of 5" in said.out
