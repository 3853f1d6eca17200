"""The first start on a folder without a kit: the demo, or a box of one's own."""

from __future__ import annotations

from pathlib import Path

import pytest
from look import same_picture, screen_text, until
from textual.widgets import Input

from toolbox.desk.folder import open_kit
from toolbox.tui.screens.welcome import NewBox, folder_name


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Start in an empty folder."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60)])
async def test_welcome_as_it_looks(opened, size: tuple[int, int]) -> None:
    """Three lines and two ways, the same in every theme."""
    async with opened(None, size) as pilot:
        await until(pilot, lambda: "Try the demo" in screen_text(pilot.app), "the ways")
        for theme in ("dark", "light", "sun"):
            pilot.app.theme = theme
            await pilot.pause()
            same_picture(f"welcome-{size[0]}x{size[1]}", screen_text(pilot.app))


async def test_the_demo_by_one_key(opened) -> None:
    """d copies the demo here and shows whether it is ready."""
    async with opened(None) as pilot:
        await pilot.press("d")
        await until(pilot, lambda: "NOT READY: " in screen_text(pilot.app), "the demo", 30)
    assert Path("toolbox-demo", "kit.toml").is_file()


async def test_a_demo_copied_before_is_opened_as_it_is(opened, demo_once: Path) -> None:
    """The second time nothing is copied over what was logged since."""
    Path("toolbox-demo").symlink_to(demo_once)
    before = {p: p.stat().st_mtime_ns for p in demo_once.rglob("*")}
    async with opened(None) as pilot:
        await pilot.press("enter")
        await until(pilot, lambda: "NOT READY: " in screen_text(pilot.app), "the demo", 30)
    assert {p: p.stat().st_mtime_ns for p in demo_once.rglob("*")} == before


async def test_a_folder_in_the_way_is_told(opened) -> None:
    """A folder of that name which holds something else: words, nothing touched."""
    Path("toolbox-demo").mkdir()
    Path("toolbox-demo", "mine.txt").write_text("x", encoding="utf-8")
    async with opened(None) as pilot:
        await pilot.press("d")
        await until(pilot, lambda: "is not empty" in screen_text(pilot.app), "the refusal")
    assert [p.name for p in Path("toolbox-demo").iterdir()] == ["mine.txt"]


async def test_a_new_box_by_keys(opened) -> None:
    """n, a name, Enter, a form, Enter: the kit is there and shown."""
    async with opened(None) as pilot:
        await pilot.press("n")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewBox), "the form")
        await pilot.press("enter")
        await until(pilot, lambda: "a name first" in screen_text(pilot.app), "what is missing")
        await pilot.press(*"Rig 7")
        await pilot.press("enter", "down", "enter")
        await until(pilot, lambda: "NOT READY: 1" in screen_text(pilot.app), "the new kit", 30)
    assert open_kit(Path("rig-7")).kit.name == "Rig 7"


async def test_a_name_taken_is_told_in_the_form(opened) -> None:
    """A folder of that name is left alone, and the form stays open with what was typed."""
    Path("rig").mkdir()
    Path("rig", "mine.txt").write_text("x", encoding="utf-8")
    async with opened(None) as pilot:
        await pilot.press("n")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewBox), "the form")
        await pilot.press(*"Rig")
        await pilot.press("enter", "enter")
        await until(pilot, lambda: "holds something" in screen_text(pilot.app), "the refusal")
        assert pilot.app.screen.query_one("#name", Input).value == "Rig"
    assert [p.name for p in Path("rig").iterdir()] == ["mine.txt"]


async def test_escape_goes_back_one_step_at_a_time(opened) -> None:
    """From the forms to the name, from the name to the welcome, and no further."""
    async with opened(None) as pilot:
        await pilot.press("n")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewBox), "the form")
        await pilot.press(*"Rig")
        await pilot.press("enter", "escape")
        assert isinstance(pilot.app.focused, Input)
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.current_mode == "welcome", "the welcome")
        await pilot.press("escape", "f2")
        assert pilot.app.current_mode == "welcome"
        assert pilot.app.is_running


@pytest.mark.parametrize(
    ("name", "folder"),
    [
        ("Rig 7", "rig-7"),
        ("  CX / Team?  ", "cx-team"),
        ("../../etc", "etc"),
        ("\u202e[/x]", "x"),
        ("!!!", "kit"),
        ("Ärmel", "ärmel"),
        ("x" * 300, "x" * 60),
    ],
)
def test_folders_get_harmless_names(name: str, folder: str) -> None:
    """Letters and digits joined by a dash; never a way out of the folder."""
    assert folder_name(name) == folder
