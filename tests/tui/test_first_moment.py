"""The moment before a kit was read, or shown: nothing is said of it, and no key acts on it."""

from __future__ import annotations

import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest
from look import screen_text, until

from toolbox.desk import picture
from toolbox.desk.folder import open_kit
from toolbox.kit.counting import Counted
from toolbox.tui.app import ToolboxApp
from toolbox.tui.screens.evening import EveningPlace

NOW = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)


async def test_rebuild_counts_no_steps_before_the_kit_is_read(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While it is read it says so; "0 of 0 done" would be a lie."""
    gate, taken = threading.Event(), picture.take_picture

    def slowly(*args, **more):
        gate.wait(30)
        return taken(*args, **more)

    monkeypatch.setattr(picture, "take_picture", slowly)

    app = ToolboxApp(small, now=lambda: NOW, author="Tester", today=NOW.date())
    async with app.run_test(size=(80, 24)) as pilot:
        try:
            await until(pilot, lambda: app.session is not None, "that it is being read")
            await pilot.press("f7")
            await until(pilot, lambda: app.current_mode == "rebuild", "Rebuild")
            await until(pilot, lambda: "reading the kit" in screen_text(app), "that it is read")
            assert "of 0" not in screen_text(app)
        finally:
            gate.set()
        await until(pilot, lambda: "There is no plan" in screen_text(app), "the kit", 30)


async def test_a_place_is_not_counted_before_it_was_seen(
    small: Path, opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """F11 and Space so quick that the key comes with the picture; once seen it counts."""
    drawn = EveningPlace.draw
    early: list[bool] = []

    def draw_and_press(place: EveningPlace) -> None:
        drawn(place)
        if not early:
            early.append(True)
            place.action_there()

    def counts() -> int:
        return sum(isinstance(fact.what, Counted) for fact in open_kit(small).live)

    monkeypatch.setattr(EveningPlace, "draw", draw_and_press)
    async with opened(small) as pilot:
        await pilot.press("f11")
        await until(pilot, lambda: early, "the evening", 30)
        await until(pilot, lambda: "Front tray" in screen_text(pilot.app), "the first place")
        await pilot.press("space")
        await until(pilot, lambda: counts() == 1, "one place counted", 15)
        await pilot.pause()
    assert counts() == 1
