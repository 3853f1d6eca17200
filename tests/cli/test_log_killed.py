"""The command log killed at any moment: what it has said is logged stays logged."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

import pytest

from toolbox.journal.live import live_facts
from toolbox.journal.store import open_journal

CHILD = """
import sys
from toolbox.cli import main
while True:
    sys.argv = ["toolbox", "log", "BC", "--json", "--kit", {kit!r}]
    try:
        main()
    except SystemExit as end:
        assert not end.code
    sys.stdout.flush()
"""


def promised(text: str) -> list[str]:
    """Entries that the command acknowledged, read from what it printed."""
    return [line.split('"')[3] for line in text.splitlines() if line.strip().startswith('"entry"')]


@pytest.mark.parametrize("kills", [5, pytest.param(100, marks=pytest.mark.slow)])
def test_no_acknowledged_entry_is_lost(kit_dir: Path, kills: int) -> None:
    """SIGKILL at a random moment of logging, many times over: every entry said is there, whole."""
    chance = random.Random(5)
    said: list[str] = []
    for _ in range(kills):
        child = subprocess.Popen(
            [sys.executable, "-c", CHILD.format(kit=str(kit_dir))],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert child.stdout is not None
        lines = [child.stdout.readline() for _ in range(chance.randint(1, 40))]
        child.kill()
        rest, _ = child.communicate()
        said += promised("".join(lines) + rest)
    assert len(said) >= kills
    with open_journal(kit_dir / "journal.db") as journal:
        found = live_facts(journal.facts())
    entries = {fact.entry for fact in found}
    assert set(said) <= entries
    assert len(found) == len(entries)  # one step each, none cut in two
    assert [p.name for p in kit_dir.glob("journal.db*")] == ["journal.db"]
