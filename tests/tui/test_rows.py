"""The windowed list: draws what is in view, keeps its cursor by key, works by keys and mouse."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rich.text import Text
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.strip import Strip
from tui.look import same_picture, screen_text, until

from toolbox.tui.text import cells, clean, cut
from toolbox.tui.widgets.bars import thumb
from toolbox.tui.widgets.rows import LEAD, TAIL, Rows
from toolbox.tui.widgets.source import Column, Listed, Row, spread

COLUMNS = (
    Column("Tool"),
    Column("Lives in", share=2, priority=2),
    Column("Uses", width=6, right=True, priority=1),
)


class Counted:
    """Rows made when asked for, which counts how often it is asked."""

    def __init__(self, numbers: Sequence[int]) -> None:
        self.numbers = numbers
        self.asked: set[int] = set()

    def __len__(self) -> int:
        return len(self.numbers)

    def key(self, i: int) -> str:
        return f"tool-{self.numbers[i]}"

    def cells(self, i: int) -> tuple[Text, ...]:
        self.asked.add(i)
        n = self.numbers[i]
        return Text(f"spanner {n}"), Text(f"drawer {n % 7}"), Text(str(n * 3))

    def mark(self, i: int) -> str:
        return "!" if self.numbers[i] % 5 == 0 else ""


class CountingRows(Rows):
    """Counts the lines drawn in each draw."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.draws: list[int] = []

    def render_lines(self, crop: Region) -> list[Strip]:
        self.draws.append(0)
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        if self.draws:
            self.draws[-1] += 1
        return super().render_line(y)


class Shown(App[None]):
    """A list alone, and what it posted."""

    def __init__(self, source: Any, columns: Sequence[Column] = COLUMNS) -> None:
        super().__init__()
        self.list = CountingRows(columns, source)
        self.posted: list[tuple[str, str | None]] = []

    def compose(self) -> ComposeResult:
        yield self.list

    def on_rows_moved(self, event: Rows.Moved) -> None:
        self.posted.append(("moved", event.key))

    def on_rows_chosen(self, event: Rows.Chosen) -> None:
        self.posted.append(("chosen", event.key))


def cursor_line(app: App[Any]) -> str:
    """The line with the cursor's sign, which must be there once."""
    lines = [line for line in screen_text(app).splitlines() if line.startswith(">")]
    assert len(lines) == 1, screen_text(app)
    return lines[0]


async def test_only_rows_in_view_are_drawn_and_asked_for() -> None:
    """20,000 rows: at most height + 2 lines a draw, and no row asked for that was not in view."""
    source = Counted(range(20_000))
    app = Shown(source)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.list.draws, "drawn")
        assert source.asked <= set(range(24))
        await pilot.press("end", "pageup", "up", "home", "pagedown", "down")
        assert 2 < max(app.list.draws) <= 24 + 2
        assert source.asked <= {*range(48), *range(20_000 - 48, 20_000)}


async def test_a_step_draws_two_lines_only() -> None:
    """Moving the cursor inside the window draws the line it left and the one it came to."""
    app = Shown(Counted(range(20_000)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down")
        app.list.draws.clear()
        await pilot.press("down")
        await until(pilot, lambda: app.list.draws, "drawn")
        assert sum(app.list.draws) == 2


async def test_the_cursor_keeps_its_key() -> None:
    """Filtered out and back, sorted the other way, resized: the same row, in view."""
    every = list(range(3000))
    app = Shown(Counted(every))
    async with app.run_test(size=(80, 24)) as pilot:
        app.list.move_to("tool-1501")
        app.list.refill(Counted([n for n in every if n % 2]))
        await pilot.pause()
        assert "spanner 1501 " in cursor_line(app)
        app.list.refill(Counted([n for n in every if n % 2 == 0]))
        await pilot.pause()
        assert app.list.cursor_key != "tool-1501"
        assert cursor_line(app)
        app.list.refill(Counted(every[::-1]))
        await pilot.pause()
        assert "spanner 1501 " in cursor_line(app)
        for size in ((60, 20), (120, 40), (60, 8)):
            await pilot.resize_terminal(*size)
            await until(
                pilot,
                lambda: any(line[:1] == ">" for line in screen_text(app).splitlines()),
                "the cursor in view",
            )
            assert "spanner 1501 " in cursor_line(app)


async def test_a_row_that_is_gone_leaves_the_cursor_beside_it() -> None:
    """After its row was taken away the cursor is on the next, and says so."""
    app = Shown(Counted(range(10)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down", "down")
        app.posted.clear()
        app.list.refill(Counted([n for n in range(10) if n != 2]))
        await pilot.pause()
        assert app.posted == [("moved", "tool-3")]
        app.list.refill(Counted([]), empty="no tool by these letters")
        await pilot.pause()
        assert app.posted[-1] == ("moved", None)
        assert "no tool by these letters" in screen_text(app)
        await pilot.press("down", "enter", "end")
        assert app.list.cursor_key is None


async def test_keys_move_and_enter_chooses() -> None:
    """Arrows, pages, ends; a page keeps one row in view."""
    app = Shown(Counted(range(100)))
    async with app.run_test(size=(80, 11)) as pilot:
        for key, row in (
            ("down", 1), ("up", 0), ("up", 0), ("pagedown", 9), ("pagedown", 18),
            ("pageup", 9), ("end", 99), ("down", 99), ("home", 0),
        ):  # fmt: skip
            await pilot.press(key)
            assert app.list.cursor_row == row, key
            assert f"spanner {row} " in cursor_line(app)
        await pilot.press("down", "enter")
        assert app.posted[-1] == ("chosen", "tool-1")


async def test_mouse_chooses_by_a_second_click_and_the_wheel_scrolls() -> None:
    """One click brings the cursor, a second chooses; the head is no row; the wheel scrolls."""
    app = Shown(Counted(range(100)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.click(app.list, offset=(5, 0))
        assert app.posted == []
        await pilot.click(app.list, offset=(5, 4))
        assert app.posted == [("moved", "tool-3")]
        await pilot.click(app.list, offset=(5, 4))
        assert app.posted[-1] == ("chosen", "tool-3")
        # The cursor came to this row by a key: a first click there does not choose.
        await pilot.press("down")
        await pilot.click(app.list, offset=(5, 5))
        assert app.posted[-1] == ("moved", "tool-4")
        app.list.post_message(wheel_down(app.list))
        await until(pilot, lambda: app.list.scroll_offset.y > 0, "scrolled")
        assert "spanner 0 " not in screen_text(app)


def wheel_down(rows: Rows) -> Any:
    """A turn of the wheel over the list, as the driver sends it."""
    from textual.events import MouseScrollDown

    return MouseScrollDown(rows, 5, 5, 0, 1, 0, False, False, False)


async def test_cursor_and_marks_show_without_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    """Under NO_COLOR: a sign and a reversed line at the cursor, bold and a sign at marks."""
    monkeypatch.setenv("NO_COLOR", "1")
    app = Shown(Counted(range(30)))
    async with app.run_test(size=(60, 20)) as pilot:
        assert app.no_color
        await pilot.pause()
        looks = [app.list.render_line(y)._segments[0].style for y in (1, 2, 6)]
        assert looks[0] is not None
        assert looks[0].reverse
        assert looks[1] is not None
        assert not looks[1].reverse
        assert not looks[1].bold
        assert looks[2] is not None
        assert looks[2].bold
        assert screen_text(app).splitlines()[1].startswith(">! spanner 0")
        assert screen_text(app).splitlines()[6].startswith(" ! spanner 5")


@pytest.mark.parametrize("size", [(60, 20), (120, 40)])
async def test_pictures(size: tuple[int, int]) -> None:
    """A list as text, narrow and wide."""
    app = Shown(Counted(range(200)))
    async with app.run_test(size=size) as pilot:
        await pilot.press("down", "down")
        same_picture(f"rows-{size[0]}x{size[1]}", screen_text(app))


NAMES = st.lists(
    st.one_of(
        st.text(max_size=40),
        st.text("[]/\\~>漢字שלוםمفتاح\u0301\u202e\u200d\ufe0f\x1b\t\n", max_size=300),
    ),
    min_size=1,
    max_size=8,
)


async def test_any_name_is_drawn_and_can_be_had_whole() -> None:
    """Every strip has exactly the width, a cut name ends in "~" and is whole in the tooltip."""
    app = Shown(Listed())
    async with app.run_test(size=(60, 20)):

        @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
        @given(NAMES)
        def tried(names: list[str]) -> None:
            listed = Listed(
                [
                    Row(str(n), (Text(name), Text(name), Text("1")), mark=name[:1])
                    for n, name in enumerate(names)
                ]
            )
            app.list.refill(listed)
            width = app.list.scrollable_content_region.width
            shown, broad, _ = spread(COLUMNS, width - LEAD - TAIL)
            for y in range(20):
                strip = app.list.render_line(y)
                assert cells(strip.text) == strip.cell_length == width
            for n, name in enumerate(names):
                # Text() itself drops the five signs rich calls control codes.
                typed = clean(Text(name).plain)
                assert cut(typed, shown).plain in app.list.render_line(n + 1).text
                assert typed in app.list.whole(n).plain
                assert app.list._is_cut(n) == (cells(typed) > shown or cells(typed) > broad)

        tried()


async def test_a_cut_name_is_whole_in_the_tooltip() -> None:
    """With the mouse over a row in which something is cut, all of it is told; else nothing."""
    long = "spanner " + "very " * 40 + "[long]"
    rows = [
        Row("a", (Text(long), Text(""), Text("1"))),
        Row("b", (Text("hex"), Text(""), Text("2"))),
    ]
    app = Shown(Listed(rows))
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.hover(app.list, offset=(6, 1))
        assert long not in screen_text(app)
        assert str(app.list.tooltip) == f"Tool: {long}\nUses: 1"
        await pilot.hover(app.list, offset=(6, 2))
        assert app.list.tooltip is None


def test_columns_drop_by_priority() -> None:
    """Columns drop by priority, share what is left, and never exceed the width."""
    # By hand: 76 - 2 gaps of 2 - 6 - twice 8 = 50 to share, 16 and 34 of it on top of 8.
    assert spread(COLUMNS, 76) == [24, 42, 6]
    # "Lives in" has the highest priority number and goes first, then "Uses".
    assert spread(COLUMNS, 20) == [12, 0, 6]
    assert spread(COLUMNS, 12) == [12, 0, 0]
    assert spread((Column("a", width=5), Column("b", width=5)), 4) == [2, 0]


@given(
    st.lists(
        st.builds(
            Column,
            st.just("x"),
            st.one_of(st.none(), st.integers(1, 30)),
            st.integers(1, 4),
            st.integers(0, 3),
        ),
        min_size=1,
        max_size=6,
    ),
    st.integers(1, 120),
)
def test_columns_never_exceed_the_width(columns: list[Column], width: int) -> None:
    """Whatever the columns: they fit, and a sharing one leaves nothing unused."""
    widths = spread(columns, width)
    shown = [n for n in range(len(columns)) if widths[n]]
    assert sum(widths) + 2 * (len(shown) - 1) <= width
    assert all(widths[n] > 0 for n in shown)


@given(st.integers(1, 60), st.integers(1, 10_000), st.integers(1, 10_000), st.integers(0, 10_000))
def test_the_bar_is_at_its_ends_only_when_the_view_is(
    size: int, whole: int, window: int, position: int
) -> None:
    """The heavy part lies on the track, and touches an end only there (where there is room)."""
    start, end = thumb(size, whole, window, position)
    assert 0 <= start <= end <= size
    if whole <= window:
        assert (start, end) == (0, 0)
        return
    position = min(position, whole - window)
    if size - (end - start) > 1:
        assert (start == 0) == (position == 0)
        assert (end == size) == (position == whole - window)


async def test_opening_many_takes_little_longer_than_opening_few() -> None:
    """20,000 rows are filled in within 150 ms of what 20 take (best of three: a busy machine)."""
    app = Shown(Counted(range(20)))
    async with app.run_test(size=(80, 24)):
        took = {}
        for count in (20, 20_000):
            took[count] = min(_filling(app, count) for _ in range(3))
        assert took[20_000] - took[20] < 0.150


def _filling(app: Shown, count: int) -> float:
    # The cursor's key is the last that is looked at in the new filling.
    app.list.refill(Counted(range(count)))
    app.list.move_to(f"tool-{count - 1}")
    source = Counted([count, *range(count)])
    start = time.perf_counter()
    app.list.refill(source)
    for y in range(24):
        app.list.render_line(y)
    took = time.perf_counter() - start
    assert app.list.cursor_row == count
    return took
