"""Weighing one by one on the screen: found by letters or code, stored, asked back, undone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from look import same_picture, screen_text, until
from textual.pilot import Pilot

from toolbox.desk.folder import open_kit
from toolbox.kit.things import Known, Mass
from toolbox.tui.menu import Menu
from toolbox.tui.screens.weighing import Weighing
from toolbox.tui.widgets.rows import Rows

SIZES = [(60, 20), (80, 24), (120, 40), (200, 60)]


async def at_the_scale(pilot: Pilot[Any]) -> Weighing:
    """Go to Kit and on to weighing, by keys, and wait for the list."""
    await pilot.press("f9")
    await until(pilot, lambda: pilot.app.current_mode == "kit", "Kit")
    rows = pilot.app.place.query_one("#entries", Rows)
    await until(pilot, lambda: len(rows.source) and rows.has_focus, "the list of tools")
    await pilot.press("w")
    await until(pilot, lambda: isinstance(pilot.app.screen, Weighing), "weighing")
    place = pilot.app.screen
    assert isinstance(place, Weighing)
    await until(pilot, lambda: len(place._list.source) and place._line.has_focus, "the list")
    return place


async def test_an_evening_at_the_scale_by_keyboard(small: Path, opened) -> None:
    """Each reading is stored as it is given; the next one is marked; Undo gives the last back."""

    def mass(id: str) -> Mass:
        return open_kit(small).kit.tool(id).mass

    async with opened(small) as pilot:
        place = await at_the_scale(pilot)
        assert place._list.cursor_key == "CT"  # the most doubtful of what travels
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await until(pilot, lambda size=size: pilot.app.size == size, f"{size}")
            await until(pilot, lambda: "On the scale: Chain" in screen_text(pilot.app), "drawn")
            same_picture(f"weighing-{size[0]}x{size[1]}", screen_text(pilot.app))
        await pilot.resize_terminal(80, 24)
        # a bare reading is that of the marked thing; ten times too much is asked back, first no
        await pilot.press(*"1510", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        # an Enter that is held down is not heard here; any other key makes the next one count
        await pilot.press("up", "enter")
        await until(pilot, lambda: pilot.app.screen is place, "no")
        assert mass("CT") == Mass(150, Known.GUESS)
        await pilot.press("backspace", "enter")
        await until(pilot, lambda: mass("CT") == Mass(151, Known.WEIGHED), "stored")
        await until(pilot, lambda: "Weighed 1 of 5" in screen_text(pilot.app), "counted")
        assert place._list.cursor_key == "K5"
        # letters that mean several things: Down chooses, Enter puts it on, its reading is next
        await pilot.press(*"hex", "down", "enter")
        assert place._list.cursor_key == "K4"
        assert place._line.value == ""
        await pilot.press(*"tare 10", "enter")
        await until(pilot, lambda: "10 g of tare" in screen_text(pilot.app), "the tare")
        await pilot.press(*"5", "enter")
        await until(pilot, lambda: "nothing that a thing can weigh" in screen_text(pilot.app), "no")
        await pilot.press("home", "ctrl+k", *"36", "enter")
        await until(pilot, lambda: mass("K4") == Mass(26, Known.WEIGHED), "stored less the tare")
        # a scanned code with its reading; then a step of the scale
        await pilot.press("escape", "d", *"0.5 g", "enter")
        await pilot.press(*"K5/1 54", "enter")
        await until(pilot, lambda: mass("K5") == Mass(44, Known.WEIGHED, 500), "by its code")
        await until(pilot, lambda: len(place._done) == 3, "told")
        await pilot.press("ctrl+z")
        await until(pilot, lambda: mass("K5") == Mass(42, Known.GUESS), "taken back")
        await until(pilot, lambda: place._list.cursor_key == "K5", "on the scale again")
        await pilot.press(*"nothing like it")
        await until(pilot, lambda: "goes by these letters" in screen_text(pilot.app), "told")
        await pilot.press("escape", "escape", "escape")
        await until(pilot, lambda: pilot.app.screen is not place, "Kit again")
