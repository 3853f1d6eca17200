"""Dates in files that lie ahead: told, and never counted as good.

By the calendar alone; the kit is looked at on fixed days.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.files.reading import read_kit
from toolbox.journal.store import open_journal
from toolbox.kit.checking import Beside, InstrumentChecked, Trust, Verdict

Run = Callable[..., Ran]
TODAY = "2026-11-20"
WRENCH = """
[[tool]]
id = "TW"
name = "Torque wrench"
mass = "400 g"
length = "200 mm"
width = "40 mm"
height = "30 mm"
[tool.instrument]
last_check = {day}
every_months = 12
accuracy = "II A"
lowest = "2 N·m"
highest = "10 N·m"
"""


def add(file: Path, text: str) -> None:
    """Text at the end of a kit file."""
    file.write_text(file.read_text("utf-8") + text, encoding="utf-8")


def told(run: Run, kit: Path, today: str = TODAY) -> dict[str, tuple[str, str]]:
    """Words of all findings -> how serious, and the command that mends it."""
    found = run("ready", "--json", "--today", today, "--kit", kit).data()["findings"]
    return {one["words"]: (one["seriousness"], one["command"]) for one in found}


@pytest.mark.parametrize("key", ["opened", "made"])
def test_a_pack_opened_or_made_in_the_future_is_told(run: Run, kit_dir: Path, key: str) -> None:
    """Years ahead on the 20th it is told and nothing is good by it; on that day it counts."""
    lives = "opened_life_months = 6\nsealed_life_months = 6\n"
    add(kit_dir / "supplies.toml", f"{lives}{key} = 2046-01-01\n")
    name = read_kit(kit_dir).supplies[-1].name
    words = f"{name}: {key} in the future (2046-01-01): check the date"
    assert told(run, kit_dir)[words] == ("MEND", "toolbox edit supply OIL")
    shown = run("stock", "lube", "--today", TODAY, "--kit", kit_dir).out
    assert "in the future (2046-01-01): check the date" in " ".join(shown.split())
    assert "2046-07-01" not in shown
    assert words not in told(run, kit_dir, "2046-01-01")
    # six months from then, by the calendar
    assert "2046-07-01" in run("stock", "lube", "--today", "2046-01-01", "--kit", kit_dir).out


@pytest.mark.parametrize("checked", [False, True])
def test_a_check_in_the_future_is_told(run: Run, kit_dir: Path, checked: bool) -> None:
    """It never counts: out without a check in the log; with one, in date and told all the same."""
    add(kit_dir / "tools.toml", WRENCH.format(day="2046-01-01"))
    if checked:
        at = datetime(2026, 10, 1, 10, tzinfo=UTC)
        passed = InstrumentChecked("TW", Verdict.PASS, Beside("house", Trust.CERTIFICATE))
        with open_journal(kit_dir / "journal.db") as journal:
            journal.add([passed], at=at, author="Mika", written=at)
    words = "Torque wrench: last checked in the future (2046-01-01): check the date"
    found = told(run, kit_dir)
    if checked:
        assert found[words] == ("MEND", "toolbox edit tool TW")
    else:
        never = f"{words}; do not trust it before a check"
        assert found[never] == ("STOP", "toolbox instruments TW")
    assert not any(one.startswith(words) for one in told(run, kit_dir, "2046-01-01"))
