"""The settings file: read, faults in sentences, keys changed, clashes told."""

from __future__ import annotations

from pathlib import Path

import pytest
from look import screen_text, until

from toolbox.cli import screens
from toolbox.tui.actions import default_keys
from toolbox.tui.menu import Menu
from toolbox.tui.settings import Memory, Settings, keys_with, read_settings
from toolbox.tui.themes import THEMES


def settings(tmp_path: Path, text: str) -> Settings:
    """The settings that this text gives."""
    path = tmp_path / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return read_settings(path)


def test_no_file_is_no_fault(tmp_path: Path) -> None:
    """The defaults, and nothing to tell."""
    assert read_settings(tmp_path / "none.toml") == Settings()


def test_everything_can_be_set(tmp_path: Path) -> None:
    """Theme, mouse, keys by one word or several, with signs as people write them."""
    read = settings(
        tmp_path,
        'theme = "sun"\nmouse = false\n'
        '[keys]\njump = " f13 "\nhelp = ["?", "f15"]\npalette = ";"\n',
    )
    assert read.faults == ()
    assert (read.theme, read.mouse) == ("sun", False)
    assert read.keys["jump"] == ("f13",)
    assert read.keys["help"] == ("question_mark", "f15")
    assert read.keys["palette"] == ("semicolon",)
    assert read.keys["quit"] == ("q",)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("theme = \n", "line 1"),
        ('theme = "pink"\n', "theme is one of dark, light, sun"),
        ('mouse = "no"\n', "mouse is true or false"),
        ('colour = "x"\n', '"colour" is no setting'),
        ('keys = "x"\n', "[keys] is a table"),
        ('[keys]\nfly = "x"\n', 'no action "fly"'),
        ("[keys]\njump = 3\n", "[keys] jump is a key"),
        ("[keys]\njump = []\n", "[keys] jump is a key"),
        ('[keys]\njump = ""\n', "[keys] jump is a key"),
        ('[keys]\njump = "a,b"\n', "[keys] jump is a key"),
    ],
)
def test_a_fault_is_a_sentence_and_the_rest_stands(tmp_path: Path, text: str, part: str) -> None:
    """What cannot be used is told; the defaults stand in for it."""
    read = settings(tmp_path, text)
    assert len(read.faults) == 1
    assert part in read.faults[0]
    assert read.keys == default_keys()


def test_a_clash_names_both_actions_once(tmp_path: Path) -> None:
    """Undo on the key of Theme: one sentence with both names, and Undo stays where it was."""
    read = settings(tmp_path, '[keys]\nundo = "t"\n')
    (fault,) = read.faults
    assert "Theme (theme)" in fault
    assert "Undo (undo)" in fault
    assert read.keys["undo"] == ("u", "ctrl+z")


def test_a_key_of_a_place_clashes_with_one_that_works_everywhere() -> None:
    """In Ready both would hear it, so it is refused; between two other places it is none."""
    _, faults = keys_with({"ready-mend": ("q",)})
    assert len(faults) == 1
    _, faults = keys_with({"ready-mend": ("d",)})
    assert faults == ()


async def test_changed_keys_work_and_are_shown(small: Path, opened, tmp_path: Path) -> None:
    """The new key opens the themes, the old one does nothing, the line of keys shows the new."""
    read = settings(tmp_path, '[keys]\ntheme = "f13"\nquit = "f14"\n')
    async with opened(small, settings=read) as pilot:
        assert "F14 Quit" in screen_text(pilot.app)
        await pilot.press("t")
        assert not isinstance(pilot.app.screen, Menu)
        await pilot.press("f13")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        await pilot.press("escape", "f14")
    assert pilot.app.return_code == 0


async def test_faults_of_the_settings_are_told(small: Path, opened, tmp_path: Path) -> None:
    """They come as a notice; the screens open all the same."""
    async with opened(small, settings=settings(tmp_path, 'theme = "[/pink]"\n')) as pilot:
        await until(pilot, lambda: "theme is one of" in screen_text(pilot.app), "the notice")


def test_what_is_remembered(tmp_path: Path) -> None:
    """The last kit while it is there, the last theme; a spoilt file is an empty one."""
    memory = Memory(tmp_path / "state")
    assert (memory.kit, memory.theme) == (None, None)
    kit = tmp_path / "kit"
    kit.mkdir()
    memory.keep(kit=str(kit))
    memory.keep(theme="sun")
    assert (memory.kit, memory.theme) == (kit, "sun")
    kit.rmdir()
    assert memory.kit is None
    (tmp_path / "state" / "screens.json").write_text("[1", encoding="utf-8")
    assert memory.theme is None


async def test_the_kit_and_the_theme_are_remembered(small: Path, opened, tmp_path: Path) -> None:
    """Opening a kit and choosing a theme are there the next time."""
    memory = Memory(tmp_path / "state")
    async with opened(small, memory=memory) as pilot:
        await until(pilot, lambda: memory.kit == small.resolve(), "the kit remembered")
        await pilot.press("t")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        await pilot.press("s")
        await until(pilot, lambda: memory.theme == "sun", "the theme remembered")


def test_the_command_line_names_every_theme() -> None:
    """The command cannot load the themes before the first frame, so it names them itself."""
    assert tuple(THEMES) == screens.THEMES
