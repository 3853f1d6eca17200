"""The small kit on disk, and the command to use it with."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran, hold_to_schema, write_kit_files


@pytest.fixture
def kit_dir(tmp_path: Path) -> Path:
    """A kit folder of its own for each test."""
    return write_kit_files(tmp_path / "kit")


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Run ``toolbox`` in this process as the shell would, and catch what it writes.

    Whatever it prints with --json is held against the schema of the command.
    """
    from toolbox.cli import main

    monkeypatch.delenv("TOOLBOX_KIT", raising=False)
    monkeypatch.setenv("TOOLBOX_AUTHOR", "Tester")

    def call(*words: str | Path) -> Ran:
        monkeypatch.setattr(sys, "argv", ["toolbox", *map(str, words)])
        capfd.readouterr()
        with pytest.raises(SystemExit) as end:
            main()
        caught = capfd.readouterr()
        if "--json" in words and caught.out.startswith("{"):
            hold_to_schema(str(words[0]), caught.out)
        return Ran(int(end.value.code or 0), caught.out, caught.err)

    return call
