"""Screens that only look: whatever is asked of them, the kit stays as it was, byte for byte."""

from __future__ import annotations

import hashlib
import shutil
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from tui.look import until

from toolbox.desk.diary import When, pick_tools
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.look_only import ONLY_LOOKING, only_seen
from toolbox.desk.plans import adopt_plan
from toolbox.tui.actions import PLACES, for_place
from toolbox.tui.app import ToolboxApp
from toolbox.tui.deeds.kinds import SCREENS_ONLY

NOW = datetime(2026, 11, 21, 9, 0, tzinfo=UTC)
MOST_WAITED = 60.0  # seconds
# These look for a plan, for seconds; what comes of it is kept by the same one function.
SEARCHES = {"plan-search", "plan-few", "plan-curve", "flight-plan", "flight-if"}


def fingerprint(folder: Path) -> dict[str, str]:
    """Every file below a folder with the digest of its content; not SQLite's own two."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.suffix not in (".db-wal", ".db-shm")
    }


def test_a_folder_only_seen_is_read_and_not_written(demo_once: Path) -> None:
    """Its kit and facts are there; a function that writes is refused in words."""
    folder = open_kit(demo_once)
    seen = only_seen(folder)
    assert folder.live
    assert (seen.kit, seen.live) == (folder.kit, folder.live)
    tool = folder.kit.tools[0].id
    with pytest.raises(DeskError, match="only look"):
        pick_tools(seen, [tool], When(NOW, NOW, "Tester"))
    with pytest.raises(DeskError, match="only look"):
        adopt_plan(seen)


EVERY = tuple(place.name for place in PLACES)


@pytest.mark.parametrize(
    "places", [("log", "rebuild"), pytest.param(EVERY, marks=pytest.mark.slow)], ids=len
)
async def test_whatever_is_asked_nothing_is_written(
    demo_once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, places: tuple[str, ...]
) -> None:
    """Every action that has a command is run, with a yes and Enter behind it; then the app is left.

    Nothing of the kit has changed, and in the folder it was started from lies nothing new.
    """
    kit = Path(shutil.copytree(demo_once, tmp_path / "kit"))
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    before = fingerprint(kit)
    app = ToolboxApp(
        kit, now=lambda: NOW, author="Tester", today=date(2026, 11, 20), look_only=True
    )
    told: list[str] = []
    monkeypatch.setattr(app, "tell", lambda words, **_: told.append(words))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.picture is not None, "the kit is there", MOST_WAITED)
        for place in places:
            app.action_go(place)
            await until(pilot, partial(_is_at, app, place), place, MOST_WAITED)
            for row in for_place(place):
                if row.command != SCREENS_ONLY and row.id not in SEARCHES:
                    await _ask(app, pilot, row.run, place)
        for run in ("app.take_back", "app.save_screen"):
            await _ask(app, pilot, run, app.current_mode)
    assert fingerprint(kit) == before
    assert list(here.iterdir()) == []
    assert told.count(ONLY_LOOKING) >= 4


async def _ask(app: ToolboxApp, pilot: Any, run: str, place: str) -> None:
    """Run one action as its key would, answer what it asks, and come back to the place."""
    screen = app.place
    assert screen is not None
    await app.run_action(run, screen)
    await pilot.press("y", "enter")
    while len(app.screen_stack) > 1:
        await pilot.press("escape")
    if app.current_mode != place:
        app.action_go(place)
        await until(pilot, partial(_is_at, app, place), place, MOST_WAITED)


def _is_at(app: ToolboxApp, place: str) -> bool:
    """Whether this place is there, with the kit in it."""
    here = app.place
    return here is not None and place == here.PLACE and here.is_running and here._shown is not None
