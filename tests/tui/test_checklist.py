"""The checklist: one key a line, counts, notes, carried over; nothing kept but what is shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult
from textual.widgets import Static
from tui.look import same_picture, screen_text

from toolbox.tui.text import cells, clean
from toolbox.tui.widgets.checklist import CheckLine, CheckList, progress

LINES = (
    CheckLine("lift", "Lift the tray out", "tray 1"),
    CheckLine("hex", "Hex keys back in their holder [left]", "drawer 2", count=(0, 8)),
    CheckLine("torque", "Torque wrench set to zero", "drawer 2", note="was at 5"),
    CheckLine("lid", "Close the lid"),
)


class Owner(App[None]):
    """Keeps the lines as an owner does: stores what is posted and hands back new lines."""

    def __init__(self, lines: Sequence[CheckLine] = LINES) -> None:
        super().__init__()
        self.lines = {line.key: line for line in lines}
        self.list = CheckList(lines)
        self.posted: list[tuple[Any, ...]] = []
        self.told: list[str] = []
        self.stores = True

    def compose(self) -> ComposeResult:
        yield self.list

    def on_mount(self) -> None:
        self.list.rows.focus()

    def _store(self, key: str, **change: Any) -> None:
        self.posted.append((key, *change.values()))
        if self.stores:
            self.lines[key] = replace(self.lines[key], **change)
            self.list.show(tuple(self.lines.values()))

    def on_check_list_ticked(self, event: CheckList.Ticked) -> None:
        self._store(event.key, state=event.state)

    def on_check_list_was_done(self, event: CheckList.WasDone) -> None:
        self.told.append(event.key)

    def on_check_list_counted(self, event: CheckList.Counted) -> None:
        total = self.lines[event.key].count
        assert total is not None
        state = "done" if event.count >= total[1] else "open"
        self._store(event.key, count=(event.count, total[1]), state=state)

    def on_check_list_noted(self, event: CheckList.Noted) -> None:
        self._store(event.key, note=event.note)


async def test_one_key_a_line() -> None:
    """Space, Enter, Enter, space: four lines done, and how far one is."""
    app = Owner()
    async with app.run_test(size=(60, 20)) as pilot:
        assert "0 of 4 done" in screen_text(app)
        await pilot.press("space", "enter", "enter")
        assert "3 of 4 done" in screen_text(app)
        assert app.list.rows.cursor_key == "lid"
        await pilot.press("space")
        assert "4 of 4 done" in screen_text(app)
        assert [line.state for line in app.lines.values()] == ["done"] * 4
        # One press too many changes nothing; another key opens a line again, and stays on it.
        posted = len(app.posted)
        await pilot.press("space", "enter")
        assert len(app.posted) == posted
        assert app.told == ["lid", "lid"]
        for key, presses in (("lid", ("x",)), ("torque", ("up", "x"))):
            await pilot.press(*presses)
            assert app.posted[-1] == (key, "open")
            assert app.list.rows.cursor_key == key


async def test_it_keeps_no_state_of_its_own() -> None:
    """An owner that could not store leaves the line as it was."""
    app = Owner()
    app.stores = False
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("space")
        assert app.posted == [("lift", "done")]
        assert "0 of 4 done" in screen_text(app)
        assert "[x]" not in screen_text(app)
        app.list.settle("lift")
        await pilot.pause()
        assert "[.]" not in screen_text(app)
        assert screen_text(app).count("[ ]") == 4


async def test_a_tick_shows_at_once_as_being_written() -> None:
    """It is no tick yet, can't be ticked twice, and the next one need not wait for it."""
    app = Owner()
    app.stores = False
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("space", "up", "space", "enter")
        assert app.posted == [("lift", "done")]
        seen = screen_text(app)
        assert "[.]  Lift the tray out" in seen.splitlines()[1]
        assert "0 of 4 done, 1 being written" in seen
        assert "(being written)" in seen
        await pilot.press("down", "space")
        assert app.posted == [("lift", "done"), ("hex", "done")]
        assert app.list.rows.cursor_key == "torque"
        # Lines that know of the first only: the second is on its way still.
        app.list.show((replace(LINES[0], state="done"), *LINES[1:]))
        await pilot.pause()
        assert "1 of 4 done, 1 being written" in screen_text(app)
        app.list.settle("hex", "done")
        await pilot.pause()
        assert "2 of 4 done" in screen_text(app)
        assert "being written" not in screen_text(app)
        # One that is gone from the list is waited for no longer.
        await pilot.press("space")
        app.list.show(LINES[:2])
        await pilot.pause()
        assert "0 of 2 done" in screen_text(app)
        assert "being written" not in screen_text(app)


async def test_x_carries_over_and_moving_on_skips_what_is_seen_to() -> None:
    """After the last open line below, the cursor goes to the first open one above."""
    app = Owner()
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("down", "x")
        assert app.posted == [("hex", "skipped")]
        assert "[-]" in screen_text(app)
        assert "1 carried over" in screen_text(app)
        await pilot.press("space", "space")
        assert app.list.rows.cursor_key == "lift"
        await pilot.press("down")
        assert "(carried over, 0 of 8)" in screen_text(app)
        await pilot.press("x")
        assert app.posted[-1] == ("hex", "open")


async def test_digits_and_enter_are_a_count() -> None:
    """7, Enter stores seven and moves on; Escape stores nothing; letters are no count."""
    app = Owner()
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("5")
        assert app.posted == []
        assert not app.list.has_class("-asking")
        await pilot.press("down", "1", "escape")
        assert app.posted == []
        assert app.list.rows.has_focus
        await pilot.press("1", "2", "x", "backspace", "backspace", "enter")
        assert app.posted == []
        await pilot.press("7", "enter")
        assert app.posted == [("hex", (7, 8), "open")]
        assert "7 of 8" in screen_text(app)
        assert app.list.rows.cursor_key == "torque"


async def test_a_note_is_written_and_an_old_one_changed() -> None:
    """n opens the note as it is; letters that are keys elsewhere are letters there."""
    app = Owner()
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("n", "n", "x", "[", "1", "enter")
        assert app.posted == [("lift", "nx[1")]
        assert "note: nx[1" in screen_text(app)
        await pilot.press("down", "down", "n", "0", "enter")
        assert app.posted[-1] == ("torque", "was at 50")
        await pilot.press("n", "escape", "space")
        assert app.posted[-1] == ("torque", "done")


async def test_new_lines_while_a_note_is_typed_disturb_nothing() -> None:
    """What another window stored is shown; the note goes on and to its own line."""
    app = Owner()
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("down", "n", "a")
        app.list.show((LINES[3], *LINES[:3]))
        await pilot.press("b", "enter")
        assert app.posted == [("hex", "ab")]


async def test_a_second_click_ticks() -> None:
    """By mouse: one click to the line, a second ticks it."""
    app = Owner()
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.click(app.list.rows, offset=(10, 2))
        assert app.posted == []
        await pilot.click(app.list.rows, offset=(10, 2))
        assert app.posted == [("torque", "done")]


async def test_nothing_to_do() -> None:
    """An empty list says so and takes every key calmly."""
    app = Owner(())
    async with app.run_test(size=(60, 20)) as pilot:
        assert "nothing to do" in screen_text(app)
        await pilot.press("space", "enter", "n", "x", "1", "down")
        assert app.posted == []


async def test_states_are_told_apart_as_text() -> None:
    """Open, done and carried over differ in their signs; the picture has all of them."""
    lines = (
        replace(LINES[0], state="done"),
        replace(LINES[1], state="skipped", count=(3, 8)),
        *LINES[2:],
    )
    app = Owner(lines)
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("down")
        small = screen_text(app)
        await pilot.resize_terminal(120, 40)
        await pilot.pause()
        same_picture("checklist-60x20", small)
        same_picture("checklist-120x40", screen_text(app))


def test_progress_in_words() -> None:
    """Counted by hand."""
    lines = [CheckLine(str(n), "x", state="done" if n < 12 else "open") for n in range(40)]
    assert progress(lines).endswith("  12 of 40 done")
    assert progress(lines).startswith("━" * 6 + "─" * 14)
    lines[20] = replace(lines[20], state="skipped")
    assert progress(lines).endswith("12 of 40 done, 1 carried over")
    assert "0 of 0 done" in progress([])


async def test_any_words_are_shown_whole() -> None:
    """Words, detail and note of all kinds: whole in the part below the list, no crash."""
    anything = st.one_of(
        st.text(max_size=30), st.text("[]/\\漢שم\u0301\u202e\u200d\ufe0f\x1b\n", max_size=300)
    )
    app = Owner()
    async with app.run_test(size=(60, 20)):

        @settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
        @given(anything, anything, anything)
        def tried(words: str, detail: str, note: str) -> None:
            app.list.show([CheckLine("a", words, detail, note=note, count=(1, 2))])
            rows = app.list.rows
            for y in range(rows.size.height):
                assert cells(rows.render_line(y).text) == rows.scrollable_content_region.width
            more = app.list.query_one(".checklist--more", Static).content
            for text in (words, detail, note):
                assert clean(text) in str(more)

        tried()
