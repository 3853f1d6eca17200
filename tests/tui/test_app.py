"""What works everywhere: keys, help, palette, jumping, copying, saving, undo, leaving."""

from __future__ import annotations

import re
import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest
from look import screen_text, until
from textual.command import CommandPalette
from textual.events import Key
from textual.widgets import Input, OptionList

from toolbox.cli import COMMANDS
from toolbox.desk.diary import When, list_entries, pick_tools
from toolbox.desk.folder import open_kit
from toolbox.layout.watch import StopSwitch
from toolbox.tui.actions import ACTIONS, INNER, PLACES, default_keys, for_place
from toolbox.tui.app import ToolboxApp, screen_of
from toolbox.tui.deeds.kinds import EVERYWHERE, SCREENS_ONLY, Action
from toolbox.tui.jump import LETTERS
from toolbox.tui.menu import Menu
from toolbox.tui.screens.help import Help
from toolbox.tui.screens.welcome import Welcome
from toolbox.tui.shell import BEING_READ, Place, tabs_within
from toolbox.tui.text import in_chrome
from toolbox.tui.themes import PAIRS, THEMES
from toolbox.tui.widgets.key_line import answer_line, key_line

AT = datetime(2026, 11, 19, 10, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Tester")
WHERE = {EVERYWHERE, "welcome", *INNER, *(place.name for place in PLACES)}


def by_id(action: Action) -> str:
    """What a test's case is called."""
    return action.id


@pytest.mark.parametrize("action", ACTIONS, ids=by_id)
def test_every_action_says_what_it_is(action: Action) -> None:
    """Id, label and help are there; its place exists; so does the command that does the same."""
    assert action.id
    assert in_chrome(action.label)
    assert action.label.strip() == action.label != ""
    assert len(action.help) > 10
    assert not action.help.endswith(".")
    assert action.keys
    assert action.where in WHERE
    assert action.command == SCREENS_ONLY or action.command.split()[0] in COMMANDS


@pytest.mark.parametrize("action", ACTIONS, ids=by_id)
def test_no_action_needs_a_key_that_does_not_arrive(action: Action) -> None:
    """Each action has a key that every terminal sends: a plain sign, an arrow, an F-key.

    Common practice with terminals: modified Enter, Alt and most Ctrl keys are kept by
    the terminal, by tmux or screen (ctrl+b, ctrl+a), or by flow control (ctrl+s, ctrl+q).
    """
    plain = [key for key in action.keys if "+" not in key]
    assert plain
    for key in action.keys:
        assert key not in ("ctrl+b", "ctrl+a", "ctrl+s", "ctrl+q", "ctrl+enter", "ctrl+j")
        assert not key.startswith(("alt+", "shift+", "ctrl+shift+", "super+"))


def test_ids_are_each_used_once_and_keys_once_a_place() -> None:
    """One row an id; no key means two things in one place."""
    assert len(default_keys()) == len(ACTIONS)
    for where in WHERE:
        rows = {*for_place(where), *for_place(EVERYWHERE)}
        keys = [key for row in rows for key in row.keys]
        assert len(keys) == len(set(keys)), where
    letters = [place.letter for place in PLACES]
    assert len(letters) == len(set(letters))


def test_every_place_is_there_with_its_help_and_every_row_its_method() -> None:
    """The tables name screens that load, and each row runs something that exists."""
    named = {place.name: place.screen for place in PLACES} | dict(INNER)
    screens = {name: screen_of(screen)() for name, screen in named.items()}
    screens["welcome"] = Welcome()
    for name, screen in screens.items():
        assert isinstance(screen, Place)
        assert name == screen.PLACE
        assert len(screen.HELP or "") > 40
    for action in ACTIONS:
        where, dot, rest = action.run.rpartition(".")
        method = f"action_{rest.partition('(')[0]}"
        owner = ToolboxApp if (dot and where == "app") else type(screens.get(action.where))
        assert hasattr(owner, method), action.id


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("pair", PAIRS)
def test_text_stands_out(theme: str, pair: tuple[str, str]) -> None:
    """Contrast of at least 4.5:1 (WCAG 2.1, success criterion 1.4.3)."""
    a, b = (luminance(getattr(THEMES[theme], name)) for name in pair)
    assert (max(a, b) + 0.05) / (min(a, b) + 0.05) >= 4.5


@pytest.mark.parametrize("width", [60, 80, 100, 120, 200])
@pytest.mark.parametrize("place", [*(place.name for place in PLACES), *INNER, "welcome"])
def test_the_line_of_keys_cuts_no_label(width: int, place: str) -> None:
    """As wide as asked; help and quit are there, and no more than six below 100 columns."""
    line = key_line(place, default_keys(), width)
    assert line.cell_len == width
    assert in_chrome(line.plain)
    labels = {row.label for row in (*for_place(place), *for_place(EVERYWHERE))}
    shown = [part.split(" ", 1)[1] for part in re.split(" {2,}", line.plain) if part]
    assert set(shown) <= labels
    assert {"Help", "Quit"} <= set(shown)
    assert len(shown) <= (6 if width < 100 else 10)


def test_while_typing_the_line_of_keys_names_no_letters() -> None:
    """A letter, a mark or a blank would go into the line: only keys that are none are named."""
    for place in PLACES:
        line = key_line(place.name, default_keys(), 80, typing=True)
        assert line.cell_len == 80
        named = [part.split(" ", 1)[0] for part in re.split(" {2,}", line.plain) if part]
        assert {"F1", "Ctrl+Z", "Esc"} <= set(named)
        assert all(len(key) > 1 and key != "Space" for key in named)


def test_while_one_thing_is_asked_no_key_of_the_place_is_named() -> None:
    """Enter gives the answer, whatever it does in the place; at each width nothing is cut."""
    for width in (60, 80, 120):
        line = answer_line(default_keys(), width)
        assert line.cell_len == width
        named = [part.split(" ", 1) for part in re.split(" {2,}", line.plain) if part]
        assert named[0] == ["Enter", "Done"]
        assert named[-1] == ["F1", "Help"]
        everywhere = {row.label for row in for_place(EVERYWHERE)}
        assert {label for _, label in named[1:]} <= everywhere


async def test_the_line_of_keys_follows_the_focus(small: Path, opened) -> None:
    """In the field of Log Ctrl+Z undoes; beside it the keys of the place are named."""
    async with opened(small) as pilot:
        await pilot.press("f3")
        await until(pilot, lambda: "Ctrl+Z Undo" in screen_text(pilot.app), "keys of a field")
        assert "a Add" not in screen_text(pilot.app)
        await pilot.press("escape")
        await until(pilot, lambda: "a Add" in screen_text(pilot.app), "keys of the place")


async def test_help_belongs_to_the_place(small: Path, opened) -> None:
    """? tells what Ready is for and its keys; Escape brings back the place and its focus."""
    async with opened(small) as pilot:
        await until(pilot, lambda: isinstance(pilot.app.focused, OptionList), "the list")
        opener = pilot.app.focused
        await pilot.press("question_mark")
        await until(pilot, lambda: isinstance(pilot.app.screen, Help), "help")
        text = screen_text(pilot.app)
        assert "One look says READY" in text
        assert "Keys here" in text
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.focused is opener, "the focus back")


async def test_a_window_too_small_says_so_and_can_be_left(small: Path, opened) -> None:
    """Below 60 x 20 there is one plain line; growing the window brings the place back."""
    async with opened(small, (50, 20)) as pilot:
        assert "Make the window larger" in screen_text(pilot.app)
        await pilot.resize_terminal(80, 19)
        assert "Make the window larger" in screen_text(pilot.app)
        await pilot.resize_terminal(80, 24)
        await until(pilot, lambda: "[Ready]" in screen_text(pilot.app), "the place")
        await pilot.resize_terminal(40, 10)
        await pilot.press("q")
    assert pilot.app.return_code == 0


async def test_escape_never_leaves_the_program(small: Path, opened) -> None:
    """Escape at Ready stays at Ready, however often."""
    async with opened(small) as pilot:
        for _ in range(4):
            await pilot.press("escape")
        assert pilot.app.is_running
        assert pilot.app.current_mode == "ready"


async def test_the_palette_finds_every_action(small: Path, opened) -> None:
    """: opens it; it lists each action of the place; a few letters and Enter run one."""
    async with opened(small, (120, 60)) as pilot:
        await pilot.press("colon")
        await until(pilot, lambda: CommandPalette.is_open(pilot.app), "the palette")
        rows = [a for w in ("ready", EVERYWHERE) for a in for_place(w) if a.id != "palette"]
        await until(
            pilot,
            lambda: all(f"{a.label} (" in screen_text(pilot.app) for a in rows),
            "every action in the palette",
        )
        await pilot.press(*"theme")
        await until(pilot, lambda: "Go to Ready" not in screen_text(pilot.app), "only it")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu of themes")


async def test_jumping_puts_letters_on_what_can_be_reached(demo_once: Path, opened) -> None:
    """j, then the letter on a finding, marks it; another key ends the jump."""
    # The tabs have the letters before those of the findings.
    first, second = LETTERS[len(PLACES) : len(PLACES) + 2]
    async with opened(demo_once) as pilot:
        await until(pilot, lambda: "STOP  Bit driver" in screen_text(pilot.app), "findings")
        await pilot.press("j")
        await until(pilot, lambda: f"{second}TOP" in screen_text(pilot.app), "letters")
        await pilot.press(second)
        findings = pilot.app.place.query_one(OptionList)
        await until(pilot, lambda: findings.highlighted == 1, "the second finding marked")
        await pilot.press("j")
        await until(pilot, lambda: f"{first}TOP" in screen_text(pilot.app), "letters")
        await pilot.press("escape")
        await until(pilot, lambda: f"{first}TOP" not in screen_text(pilot.app), "no letters")
        assert findings.highlighted == 1


async def test_going_by_the_menu_and_by_mouse(small: Path, opened) -> None:
    """g offers every place by its letter; a touch on a tab goes there."""
    async with opened(small) as pilot:
        await pilot.press("g")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        for place in PLACES:
            assert f"{place.letter}  {place.title}" in screen_text(pilot.app)
        await pilot.press("r")
        await until(pilot, lambda: isinstance(pilot.app.screen, Place), "the place")
        assert pilot.app.current_mode == "ready"
        await pilot.click("TopLine", offset=(3, 1))
        assert pilot.app.current_mode == "ready"


async def test_a_letter_typed_right_after_g_is_heard_by_the_menu(small: Path, opened) -> None:
    """Both keys come at once, as from a quick hand; in the place below k alone means Checks."""
    async with opened(small) as pilot:
        for letter in "gk":
            pilot.app.post_message(Key(letter, letter))
        await until(pilot, lambda: "[1 Tools" in screen_text(pilot.app), "Kit")
        assert pilot.app.current_mode == "kit"


async def test_copying_says_what_it_did(small: Path, opened, monkeypatch) -> None:
    """The marked finding goes out as plain text, and the notice claims no more than that."""
    async with opened(small) as pilot:
        await until(pilot, lambda: "no plan" in screen_text(pilot.app), "a finding")
        sent: list[str] = []
        monkeypatch.setattr(pilot.app._driver, "write", sent.append)
        await pilot.press("y")
        await until(pilot, lambda: "Sent to the terminal" in screen_text(pilot.app), "the notice")
        assert pilot.app.clipboard == "no plan of the box was made yet"
        assert sum("\x1b]52;c;" in text for text in sent) == 1


@pytest.mark.parametrize(("key", "ending"), [("t", "txt"), ("v", "svg")])
async def test_saving_the_screen(
    small: Path, opened, key: str, ending: str, tmp_path: Path, monkeypatch
) -> None:
    """The screen without the menu over it; a second one does not take the first one's name."""
    monkeypatch.chdir(tmp_path)
    async with opened(small) as pilot:
        await until(pilot, lambda: "no plan" in screen_text(pilot.app), "a finding")
        for name in (f"toolbox-ready.{ending}", f"toolbox-ready-2.{ending}"):
            await pilot.press("s")
            await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
            await pilot.press(key)
            await until(pilot, (tmp_path / name).is_file, name)
            await until(pilot, lambda n=name: n in screen_text(pilot.app), "the notice")
    text = (tmp_path / f"toolbox-ready.{ending}").read_text(encoding="utf-8")
    assert "Save this screen" not in text
    assert ("no plan of the box" if ending == "txt" else "<svg") in text


async def test_a_screen_that_cannot_be_saved_is_told(
    small: Path, opened, tmp_path: Path, monkeypatch
) -> None:
    """A folder that is gone: words, and the screens go on."""
    gone = tmp_path / "gone"
    gone.mkdir()
    async with opened(small) as pilot:
        monkeypatch.setattr(Path, "cwd", lambda: gone)
        gone.rmdir()
        await pilot.press("s")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        await pilot.press("t")
        await until(pilot, lambda: "was not saved" in screen_text(pilot.app), "the refusal")


async def test_undo_names_what_it_took_back(small: Path, opened) -> None:
    """u names the last entry, another window's too, and asks; with none left it says so."""
    async with opened(small) as pilot:
        pick_tools(open_kit(small), ["CT"], WHEN)
        await until(pilot, lambda: pilot.app.folder.facts, "the entry of another window", 15)
        for answer in ("n", "escape", "u"):
            await pilot.press("u")
            await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
            assert "picked Chain tool" in screen_text(pilot.app)
            await pilot.press(answer)
        # A second u is no answer: the question still stands there, and nothing was done.
        assert isinstance(pilot.app.screen, Menu)
        assert len(list_entries(open_kit(small))) == 1
        await pilot.press("y")
        await until(pilot, lambda: "Taken back: picked" in screen_text(pilot.app), "it", 15)
        assert "x on it in Log (F3) brings it back." in screen_text(pilot.app)
        assert list_entries(open_kit(small)) == ()
        await until(pilot, lambda: not list_entries(pilot.app.folder), "seen", 15)
        await pilot.press("u")
        await until(pilot, lambda: "nothing to undo" in screen_text(pilot.app), "so", 15)


async def test_a_menu_shows_all_of_what_it_says(small: Path, opened) -> None:
    """In a narrow window long lines go on below, under their own words."""
    async with opened(small, (60, 20)) as pilot:
        title, words = "title " * 20, "word " * 30
        pilot.app.push_screen(Menu(title, [("a", "a", words), ("b", "b", "short")]))
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        await pilot.pause()
        shown = screen_text(pilot.app)
        assert shown.count("title") == 20
        assert shown.count("word") == 30
        assert "b  short" in shown
        assert "   word" in shown


async def test_notices_do_not_pile_up(small: Path, opened) -> None:
    """The newest takes the place of the one before; what was refused stays beside it."""
    async with opened(small) as pilot:
        for words, refused in (("first", False), ("refused", True), ("second", False)):
            pilot.app.tell(words, refused=refused)
            await until(pilot, lambda w=words: w in screen_text(pilot.app), words)
        shown = screen_text(pilot.app)
        assert "first" not in shown
        assert "Not done" in shown


async def test_names_are_never_read_as_markup(small: Path, opened) -> None:
    """A tool called like markup, turned writing and controls: the notice shows what was typed."""
    tools = small / "tools.toml"
    text = tools.read_text(encoding="utf-8")
    tools.write_text(text.replace("Chain tool", "[/chain] [red]tool \u202e"), encoding="utf-8")
    async with opened(small) as pilot:
        pick_tools(open_kit(small), ["CT"], WHEN)
        await until(pilot, lambda: pilot.app.folder.facts, "the entry", 15)
        await pilot.press("u", "y")
        await until(pilot, lambda: "Taken back" in screen_text(pilot.app), "it", 15)
        assert "[red]tool" in screen_text(pilot.app)
        assert "[/chain]" in screen_text(pilot.app)


async def test_themes_are_chosen_and_locked_without_colours(
    small: Path, opened, monkeypatch
) -> None:
    """t and a letter change the theme; under NO_COLOR it says that it stays."""
    async with opened(small) as pilot:
        await pilot.press("t")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        await pilot.press("l")
        await until(pilot, lambda: pilot.app.theme == "light", "the light theme")
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(small) as pilot:
        await pilot.press("t")
        await until(pilot, lambda: "NO_COLOR is set" in screen_text(pilot.app), "the notice")
        assert not isinstance(pilot.app.screen, Menu)


async def test_leaving_stops_long_work(small: Path, opened) -> None:
    """Quitting throws the stop of every long work and waits for its end; exit code 0."""
    stop = StopSwitch()
    begun, ended = threading.Event(), threading.Event()

    def work() -> None:
        begun.set()
        while not stop():
            stop._thrown.wait(5)
        ended.set()

    thread = threading.Thread(target=work, daemon=True)
    async with opened(small) as pilot:
        thread.start()
        pilot.app.works.append((stop, thread))
        begun.wait(5)
        await pilot.press("q")
    assert ended.is_set()
    assert pilot.app.return_code == 0


async def test_quit_asks_when_something_is_half_filled(small: Path, opened, monkeypatch) -> None:
    """A half-filled form is asked about; staying stays, quitting quits."""
    async with opened(small) as pilot:
        monkeypatch.setattr(type(pilot.app.place), "half_filled", lambda self: True)
        await pilot.press("q")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        await pilot.press("s")
        await until(pilot, lambda: isinstance(pilot.app.screen, Place), "the place again")
        assert pilot.app.is_running
        await pilot.press("q")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        await pilot.press("q")
    assert pilot.app.return_code == 0


async def test_a_second_letter_after_a_choice_does_nothing(small: Path, opened) -> None:
    """Two letters in one packet: the first chooses, the second finds the menu going."""
    async with opened(small) as pilot:
        await pilot.press("g")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu")
        for letter in ("u", "b", "escape"):
            pilot.app.screen.post_message(Key(letter, letter if len(letter) == 1 else None))
        await until(pilot, lambda: pilot.app.place.PLACE == "uses", "the place chosen first")
        assert pilot.app.is_running


async def test_a_kit_that_is_still_being_read_is_not_said_to_be_none(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the very first frames, going to a place and writing: neither is possible yet."""
    monkeypatch.setattr(ToolboxApp, "_begin", lambda *_: None)
    app = ToolboxApp(small, now=lambda: AT, author="Tester")
    async with app.run_test(notifications=True) as pilot:
        await pilot.press("f7")
        assert [one.message for one in app._notifications] == [BEING_READ]
        app.write(lambda folder: folder, str)
        await pilot.pause()
        assert {one.message for one in app._notifications} == {BEING_READ}
        assert app.place.PLACE == "ready"


async def test_escape_leaves_a_field_first(small: Path, opened) -> None:
    """In a field Escape only leaves the field; plain letters typed in it are not actions."""
    async with opened(small) as pilot:
        await until(pilot, lambda: isinstance(pilot.app.focused, OptionList), "the list")
        field = Input()
        await pilot.app.place.query_one("#body").mount(field)
        field.focus()
        await pilot.press(*"qtu")
        assert field.value == "qtu"
        await pilot.press("escape")
        assert isinstance(pilot.app.focused, OptionList)
        assert pilot.app.is_running


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("here", range(11))
def test_no_tab_is_cut_and_the_present_one_is_there(width: int, here: int) -> None:
    """Also with more places than one line holds; without a need the first stays first."""
    titles = [
        "Ready",
        "Log",
        "Uses",
        "Box",
        "Plan",
        "Rebuild",
        "Find",
        "Kit",
        "Flight",
        "Evening",
        "Gauges",
    ]
    shown = tabs_within(titles, here, width)
    assert here in shown
    assert sum(len(titles[number]) + 2 for number in shown) <= width
    assert shown.start == 0 or sum(len(title) + 2 for title in titles[: here + 1]) > width
