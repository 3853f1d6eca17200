"""The letters field: few letters, digits, scanned codes, one step back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rich.text import Text
from textual.app import App, ComposeResult
from textual.events import Key, Paste
from textual.pilot import Pilot
from textual.widgets import Button
from tui.look import same_picture, screen_text, until

from toolbox.desk.names import Named, match
from toolbox.tui.text import cells, clean, cut
from toolbox.tui.widgets.letters import LettersField

TOOLS = (
    Named("4006", "torque wrench [small]"),
    Named("hex-4", "hex key 4 mm"),
    Named("hex-40", "hex key 4 mm, long"),
    Named("hex-5", "hex key 5 mm"),
    Named("truing", "truing gauge"),
)


def matches(letters: str) -> Sequence[tuple[str, Text]]:
    """The desk's own matching; the likely ones are the list as it stands."""
    found = match(letters, TOOLS).found if letters else TOOLS
    return [(thing.id, Text(thing.name)) for thing in found]


class Shown(App[None]):
    """A field beside a button, and what it posted."""

    def __init__(self, asked: Any = matches) -> None:
        super().__init__()
        self.field = LettersField("Tool", asked)
        self.taken: list[str] = []

    def compose(self) -> ComposeResult:
        yield self.field
        yield Button("other")

    def on_letters_field_taken(self, event: LettersField.Taken) -> None:
        self.taken.append(event.id)


async def scan(pilot: Pilot[Any], code: str) -> None:
    """The code and Enter at one go, as a scanner types: no waiting between the keys."""
    for letter in code:
        pilot.app.post_message(Key(letter, letter))
    pilot.app.post_message(Key("enter", "\r"))
    await pilot.pause()


async def test_letters_and_enter_take_the_marked_match() -> None:
    """Two letters, an arrow, Enter; then the field is empty and ready for the next."""
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await pilot.press("h", "e", "down", "enter")
        assert app.taken == ["hex-40"]
        assert app.field.line.value == ""
        assert app.field.line.has_focus
        await pilot.press("t", "r", "u", "enter")
        assert app.taken == ["hex-40", "truing"]


async def test_a_digit_in_the_empty_field_takes_that_line() -> None:
    """2 takes the second of the likely ones, by itself; a digit beyond the list is a letter."""
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await pilot.press("2")
        await until(pilot, lambda: app.taken == ["hex-4"], "the second taken")
        assert app.field.line.value == ""
        await pilot.press("9")
        await pilot.pause()
        assert app.field.line.value == "9"
        assert app.taken == ["hex-4"]


async def test_two_quick_digits_are_two_choices() -> None:
    """3, 2 at one go: the third, then the second; 4, 0 begin a code and stay letters."""
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await pilot.pause()
        for sign in "32":
            app.post_message(Key(sign, sign))
        await until(pilot, lambda: app.taken == ["hex-40", "hex-4"], "both taken")
        assert app.field.line.value == ""
        await pilot.press("4", "0")
        assert app.field.line.value == "40"
        assert app.field._waiting is None
        # A digit that no line has, and three of them, are letters too; nothing is taken.
        for digits in ("39", "321"):
            await pilot.press("ctrl+u", *digits)
            assert app.field.line.value == digits
            assert app.field._waiting is None
        # One typed behind the two in time ends the wait.
        assert app.taken == ["hex-40", "hex-4"]


async def test_a_digit_after_letters_is_a_letter() -> None:
    """In "hex 5" the 5 narrows the list."""
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await pilot.press(*"hex", "space", "5", "enter")
        assert app.taken == ["hex-5"]


async def test_a_blank_pressed_too_often_changes_nothing() -> None:
    """The likely ones keep their digits."""
    app = Shown()
    async with app.run_test() as pilot:
        app.field.focus()
        await pilot.press("space", "space", "3")
        await until(pilot, lambda: app.taken == ["hex-40"], "the third of the likely ones")


async def test_two_scans_that_arrive_together_are_two() -> None:
    """The second code begins in an empty line though the first was not yet read."""
    app = Shown()
    async with app.run_test() as pilot:
        app.field.focus()
        await pilot.pause()
        for letter in ("hex-4", "4006", "nothing", "hex-5"):
            for sign in letter:
                app.post_message(Key(sign, sign))
            app.post_message(Key("enter", "\r"))
        await until(pilot, lambda: len(app.taken) == 3, "three things taken")
        assert app.taken == ["hex-4", "4006", "hex-5"]
        assert app.field.line.value in ("", "nothing")


async def test_enter_pressed_twice_takes_one_thing() -> None:
    """The second, on the line just emptied, takes nothing; later one takes the likeliest again."""
    app = Shown()
    async with app.run_test() as pilot:
        app.field.focus()
        await pilot.pause()
        for key in ("t", "r", "u", "enter", "enter"):
            app.post_message(Key(key, "\r" if key == "enter" else key))
        await pilot.pause()
        assert app.taken == ["truing"]
        await until(pilot, lambda: not app.field.line.unread, "it is read")
        await pilot.press("enter")
        assert app.taken == ["truing", "4006"]


async def test_a_scanned_code_takes_the_exact_one(monkeypatch: Any) -> None:
    """Codes that begin with a digit, and codes that another code begins with."""
    # So long that only the following letters, not the clock, decide.
    monkeypatch.setattr(LettersField, "pause", 60.0)
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await scan(pilot, "4006")
        await until(pilot, lambda: app.taken == ["4006"], "the scanned one taken")
        await scan(pilot, "hex-4")
        await until(pilot, lambda: app.taken[1:] == ["hex-4"], "the exact one taken")
        await scan(pilot, "HEX-40")
        await until(pilot, lambda: app.taken[2:] == ["hex-40"], "taken in capitals")
        # Enter soon after a digit does not wait for the clock.
        await scan(pilot, "5")
        await until(pilot, lambda: app.taken[3:] == ["truing"], "the fifth taken")


async def test_what_nothing_goes_by_is_said_and_overwritten_by_the_next() -> None:
    """An unknown code takes nothing, says so, and the next scan replaces it."""
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await scan(pilot, "zzz")
        await until(
            pilot, lambda: "nothing goes by these letters" in screen_text(app), "it is said"
        )
        assert app.taken == []
        await scan(pilot, "hex-5")
        await until(pilot, lambda: app.taken == ["hex-5"], "the next scan taken")


async def test_escape_leaves_and_posts_nothing(monkeypatch: Any) -> None:
    """One step back: the focus is elsewhere, nothing was taken, also not a waiting digit."""
    monkeypatch.setattr(LettersField, "pause", 60.0)
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await until(pilot, lambda: "Tool >" in screen_text(app), "the focus shown")
        await pilot.press("1")
        await until(pilot, lambda: app.field._waiting is not None, "the digit waits")
        await pilot.press("escape")
        await until(pilot, lambda: "Tool :" in screen_text(app), "the lost focus shown")
        assert not app.field.line.has_focus
        assert app.field._waiting is None
        assert app.taken == []


async def test_what_was_typed_whole_goes_before_what_begins_with_it() -> None:
    """Where a list has other matches first, Enter still takes the code as it was scanned."""
    codes = ("wrench-10", "wrench-1", "wrench-12")
    app = Shown(lambda letters: [(c, Text(c)) for c in codes if c.startswith(letters.lower())])
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await scan(pilot, "Wrench-1")
        await until(pilot, lambda: app.taken, "taken")
        assert app.taken == ["wrench-1"]


async def test_a_click_on_a_match_takes_it() -> None:
    """The first click marks, the second takes."""
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.click(app.field.listed, offset=(10, 3))
        await pilot.click(app.field.listed, offset=(10, 3))
        assert app.taken == ["hex-5"]


async def test_picture() -> None:
    """Likely ones with their digits; then what letters led to."""
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        app.field.focus()
        await pilot.press("down")
        first = screen_text(app)
        await pilot.press("h", "e")
        same_picture("letters", first + "-" * 60 + "\n" + screen_text(app))


async def test_any_name_and_any_letters() -> None:
    """Names of all kinds are listed, typed and pasted letters of all kinds do no harm."""
    names: list[str] = []
    app = Shown(lambda letters: [(f"t{n}", Text(name)) for n, name in enumerate(names)])
    anything = st.one_of(
        st.text(max_size=30), st.text("[]/\\漢שم\u0301\u202e\u200d\ufe0f\x1b\x9b", max_size=300)
    )
    async with app.run_test(size=(60, 20)):

        @settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
        @given(st.lists(anything, min_size=1, max_size=5), anything)
        def tried(listed: list[str], typed: str) -> None:
            names[:] = listed
            app.field.line.value = ""
            app.field.line._on_paste(Paste(typed))
            first = typed.splitlines()[0] if typed else ""
            tidy = clean(first)
            assert app.field.line.value == (tidy if tidy.strip(" ") else "")
            app.field.ask()
            width = app.field.listed.scrollable_content_region.width
            for n, name in enumerate(listed):
                strip = app.field.listed.render_line(n)
                assert cells(strip.text) == width
                assert cut(Text(name), width - 3 - 3 - 1).plain in strip.text
                assert clean(Text(name).plain) in app.field.listed.whole(n).plain
            line = app.field.line.render_line(0)
            assert "\x1b" not in line.text
            assert "\x9b" not in line.text

        tried()
