"""The small kit on disk, and the command to use it with."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import KIT, Ran


@pytest.fixture
def kit_dir(tmp_path: Path) -> Path:
    """A kit folder of its own for each test."""
    folder = tmp_path / "kit"
    for name, text in KIT.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text.lstrip(), encoding="utf-8")
    return folder


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Run ``toolbox`` in this process as the shell would, and catch what it writes."""
    from toolbox.cli import main

    monkeypatch.delenv("TOOLBOX_KIT", raising=False)
    monkeypatch.setenv("TOOLBOX_AUTHOR", "Tester")

    def call(*words: str | Path) -> Ran:
        monkeypatch.setattr(sys, "argv", ["toolbox", *map(str, words)])
        capfd.readouterr()
        with pytest.raises(SystemExit) as end:
            main()
        caught = capfd.readouterr()
        return Ran(int(end.value.code or 0), caught.out, caught.err)

    return call
