"""What holds in every place: themes, NO_COLOR, sizes, the way in and out, faults."""

from __future__ import annotations

import json
import re
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from look import screen_text, until
from rich.cells import cell_len
from textual.pilot import Pilot
from textual.widgets import Input

from toolbox.tui.actions import PLACES
from toolbox.tui.shell import NO_KIT, READING, TOO_SMALL
from toolbox.tui.themes import THEMES

SIZES = [(60, 20), (80, 24), (120, 40), (200, 60)]
NAMES = [place.name for place in PLACES]


async def go(pilot: Pilot[Any], name: str) -> str:
    """Go to a place by its F-key, wait until it stands still, and give its text."""
    row = next(place for place in PLACES if place.name == name)
    await pilot.press(row.keys[0])
    await until(pilot, lambda: pilot.app.place and name == pilot.app.place.PLACE, f"{name}")
    return await still(pilot)


async def still(pilot: Pilot[Any]) -> str:
    """The screen's text when nothing is worked on and it no longer changes by itself."""
    seen = [""]

    def same() -> bool:
        before, now = seen[-1], screen_text(pilot.app)
        seen.append(now)
        busy = any(thread.is_alive() for _, thread in pilot.app.works)
        known = "Restock ?" not in now  # stands there until the stocks are worked out
        return before == now and len(seen) > 3 and known and not busy

    await until(pilot, same, "a screen that stands still", 20)
    return seen[-1]


async def test_places_say_the_same_in_every_theme(
    demo_once: Path, opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Colour says nothing that the text does not: dark, light, sun and NO_COLOR read alike."""
    texts = {}
    async with opened(demo_once) as pilot:
        for name in NAMES:
            texts[name] = await go(pilot, name)
            for theme in THEMES:
                pilot.app.theme = theme
                assert await still(pilot) == texts[name], (name, theme)
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(demo_once) as pilot:
        for name in NAMES:
            assert await go(pilot, name) == texts[name]


async def test_help_and_quit_are_always_there_and_no_tab_is_cut(demo_once: Path, opened) -> None:
    """At each size each place names its help, and its way out (Esc in a line to type into)."""
    async with opened(demo_once) as pilot:
        for place in PLACES:
            await go(pilot, place.name)
            for size in SIZES:
                await pilot.resize_terminal(*size)
                await until(pilot, lambda size=size: pilot.app.size == size, f"{size}")
                lines = (await still(pilot)).splitlines()
                assert len(lines) == size[1], place.name
                assert f"[{place.title}]" in lines[1]
                # Where one types at once, the keys named are those that type nothing.
                typing = isinstance(pilot.app.focused, Input)
                assert lines[-1].endswith("F1 Help" if typing else "? Help  q Quit"), place.name
                assert "~" not in lines[1] + lines[-1], place.name


async def test_escape_leads_back_to_ready_and_never_out(demo_once: Path, opened) -> None:
    """However deep, Escape ends at Ready after a few steps; the program stays."""
    async with opened(demo_once) as pilot:
        for name in NAMES:
            await go(pilot, name)
            for _ in range(6):
                await pilot.press("escape")
            await until(pilot, lambda: pilot.app.place.PLACE == "ready", f"Ready after {name}")
        assert pilot.app.is_running


async def test_a_kit_with_faults_shows_words_everywhere(small: Path, opened) -> None:
    """No place breaks on a kit that cannot be read; each says so."""
    (small / "tools.toml").write_text('[[tool]]\nid = "X"\nmass = "heavy"\n', encoding="utf-8")
    async with opened(small) as pilot:
        for name in NAMES:
            text = await go(pilot, name)
            assert "NOT READY" in text
            assert READING not in text
            assert NO_KIT not in text
            body = "\n".join(text.splitlines()[2:-1])
            assert "fault" in body or "STOP" in body, text


async def test_a_window_too_small_says_so(small: Path, opened) -> None:
    """Below 60 columns by 20 lines one sentence stands there, and q still quits.

    Made larger again, the keys go where they went before.
    """
    async with opened(small) as pilot:
        for name in NAMES:
            await go(pilot, name)
            held = pilot.app.place.focused
            await pilot.resize_terminal(50, 15)
            await until(pilot, lambda: TOO_SMALL[:20] in screen_text(pilot.app), "the sentence")
            await pilot.resize_terminal(50, 14)
            await pilot.resize_terminal(80, 24)
            await until(pilot, lambda: TOO_SMALL[:20] not in screen_text(pilot.app), "the place")
            await until(pilot, lambda held=held: pilot.app.place.focused is held, f"keys: {name}")
        await pilot.resize_terminal(50, 15)
        await pilot.press("escape")
        await pilot.press("q")
    assert pilot.app.return_code == 0


ODD = (
    "[bold]spanner[/", "\u202eterces\u202c tool", "e\u0301\u0301\u0301 gauge", "\u6f22" * 150,
    "and\u200d joiner", "[/]]\\[", "\u0634\u0645\u0627\u0644 key", "x" * 300,
)  # fmt: skip


@pytest.mark.parametrize("turn", range(2))
async def test_odd_names_everywhere_break_no_place(turn: int, small: Path, opened) -> None:
    """Every name of the kit is odd: brackets, right to left, marks, controls, 300 letters.

    No place breaks, no line grows past the window, and no sign that acts on a terminal
    is left.
    """
    names = count(turn)
    for file in small.glob("*.toml"):
        text = file.read_text(encoding="utf-8")

        def odd(found: re.Match[str]) -> str:
            number = next(names)
            return f"name = {json.dumps(f'{number}{ODD[(number * 3 + turn) % len(ODD)]}')}"

        text = re.sub(r'(?m)^name = "[^"\n]*"$', odd, text)
        file.write_text(text.replace("\u007f", ""), encoding="utf-8")
    async with opened(small) as pilot:
        assert pilot.app.folder is not None, pilot.app.picture.findings
        for name in NAMES:
            text = await go(pilot, name)
            for keys in (("enter",), ("down", "enter"), ("escape",)):
                await pilot.press(*keys)
                text += await still(pilot)
            assert all(cell_len(line) <= 80 for line in text.splitlines()), text
            assert not set(text) & set("\u202e\u202c\u200d\t\x1b")
