"""Uses: the ranking sorted, filtered and opened by keyboard and mouse, and how it looks."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import same_picture, screen_text, until
from textual.pilot import Pilot

from toolbox.desk.diary import When, pick_tools
from toolbox.desk.folder import open_kit
from toolbox.tui.screens.uses import Uses
from toolbox.tui.screens.uses_detail import Detail
from toolbox.tui.screens.uses_list import BAR, bar
from toolbox.tui.text import cells, clean, in_chrome
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.rows import Rows

AT = datetime(2026, 11, 19, 10, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Tester")


async def to_uses(pilot: Pilot[int]) -> tuple[Uses, Rows]:
    """Go there by its key and wait until it is known how sure the ranking is."""
    await pilot.press("f4")
    await until(pilot, lambda: isinstance(pilot.app.screen, Uses), "the place")
    await until(pilot, lambda: "settled." in screen_text(pilot.app), "what is settled", 20)
    place = pilot.app.screen
    assert isinstance(place, Uses)
    return place, place.query_one(Rows)


def names(rows: Rows) -> list[str]:
    """The tools in the list from the top."""
    return [rows.source.cells(i)[1].plain for i in range(len(rows.source))]


async def test_the_ranking_tells_uses_place_and_cost(small: Path, opened) -> None:
    """A row has the uses a day, the class, where it lives and what that costs."""
    pick_tools(open_kit(small), ["K5", "K5", "K4"], WHEN)
    async with opened(small, (120, 40)) as pilot:
        place, rows = await to_uses(pilot)
        assert "From 1 logged working day" in screen_text(pilot.app)
        row = dict(zip([c.title for c in rows.columns], rows.source.cells(0), strict=True))
        assert row["tool"].plain == "Hex key 5 mm"
        assert row["lives in"].plain == "Well"
        assert float(row["s/day"].plain) > 0
        assert "taken up 2 times on 1 of 1 days; last 2026-11-19" in " ".join(
            place.marked_text().split()
        )
        assert "outside any job" in place.marked_text()


async def test_one_key_sorts_by_the_next_and_says_which(small: Path, opened) -> None:
    """o goes on to the next order, in words; the cursor stays on its tool."""
    async with opened(small) as pilot:
        _, rows = await to_uses(pilot)
        await pilot.press("end")
        marked = rows.cursor_key
        for words in (
            "dearest to reach first", "most urgent first", "least settled first",
            "longest not used first", "by where it lives", "by name",
        ):  # fmt: skip
            await pilot.press("o")
            await until(pilot, lambda words=words: words in screen_text(pilot.app), words)
            assert rows.cursor_key == marked
        assert names(rows) == ["Bench vice", "Chain tool", "Hex key 4 mm", "Hex key 5 mm"]
        await pilot.press("o")
        await until(pilot, lambda: "most used first" in screen_text(pilot.app), "the first again")


async def test_letters_filter_and_escape_takes_steps_back(small: Path, opened) -> None:
    """f, letters, Enter to the list; Escape shows all again, then leaves the place."""
    async with opened(small) as pilot:
        place, rows = await to_uses(pilot)
        await pilot.press("f", *"hex")
        await until(pilot, lambda: len(rows.source) == 2, "the two keys")
        assert "2 of 4, most used first" in screen_text(pilot.app)
        assert "Filter >" in screen_text(pilot.app)
        await pilot.press("enter")
        assert place.focused is rows
        await pilot.press("escape")
        await until(pilot, lambda: len(rows.source) == 4, "all of them")
        await pilot.press("f", "q", "escape")
        assert "No tool goes by these letters" in screen_text(pilot.app)
        assert "No tool is marked" in screen_text(pilot.app)
        await pilot.press("escape", "escape")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "the place before")


async def test_enter_opens_a_tool_and_escape_closes_it(small: Path, opened) -> None:
    """In a narrow window the opened tool has it for itself; Escape is back at the list."""
    async with opened(small, (60, 20)) as pilot:
        place, rows = await to_uses(pilot)
        detail = place.query_one(Detail)
        assert not detail.region
        await pilot.press("down", "enter")
        await until(pilot, lambda: detail.region.height > 10, "the tool alone")
        assert place.focused is detail
        assert "Logged" in screen_text(pilot.app)
        await pilot.press("escape")
        await until(pilot, lambda: place.focused is rows, "the list")
        assert rows.cursor_row == 1


async def test_a_click_marks_and_a_second_opens(small: Path, opened) -> None:
    """The mouse does what the cursor keys and Enter do."""
    async with opened(small) as pilot:
        place, rows = await to_uses(pilot)
        await pilot.click(rows, offset=(5, 3))
        await until(pilot, lambda: rows.cursor_row == 2, "marked")
        await pilot.click(rows, offset=(5, 3))
        await until(pilot, lambda: place.has_class("-opened"), "opened")


async def test_what_another_window_logs_is_seen(small: Path, opened) -> None:
    """The ranking follows the journal, and the cursor stays on its tool."""
    async with opened(small) as pilot:
        _, rows = await to_uses(pilot)
        while names(rows)[rows.cursor_row] != "Bench vice":
            await pilot.press("down")
        for _ in range(3):
            pick_tools(open_kit(small), ["V"] * 9, WHEN)
        await until(pilot, lambda: names(rows)[0] == "Bench vice", "the vice on top", 15)
        assert rows.cursor_row == 0
        await until(pilot, lambda: "taken up 27 times" in screen_text(pilot.app), "its history", 15)


async def test_from_the_ranking_to_the_box(small: Path, opened) -> None:
    """b goes to the map with the marked tool; Escape comes back to the list."""
    async with opened(small) as pilot:
        place, rows = await to_uses(pilot)
        went = []
        pilot.app.action_go = lambda name: went.append((name, pilot.app.wanted))
        await pilot.press("b")
        assert went == [("box", rows.cursor_key)]
        assert place.is_current


async def test_a_kit_with_faults_and_one_without_tools(small: Path, opened) -> None:
    """Faults point to Ready; without tools it says how to take them in."""
    (small / "rules.toml").write_text("[[rule]]\n", encoding="utf-8")
    async with opened(small) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "faults: see Ready (F2)" in screen_text(pilot.app), "faults")
        (small / "rules.toml").unlink()
        await until(pilot, lambda: "Hex key 5 mm" in screen_text(pilot.app), "whole again", 15)
        for name in ("tools.toml", "jobs.toml", "layouts/present.toml"):
            (small / name).unlink()
        await until(pilot, lambda: "toolbox import" in screen_text(pilot.app), "how to", 15)


async def test_work_beside_the_screens_is_taken_out_when_it_is_done(
    demo_once: Path, opened
) -> None:
    """Only what still runs has to be stopped on leaving."""
    async with opened(demo_once) as pilot:
        await to_uses(pilot)
        await until(pilot, lambda: not pilot.app.works, "no work left")


def test_bars() -> None:
    """By hand, eight cells for 8: heavy as far as surely, a cross at the mean, thin to the end."""
    assert bar(4, 6, 8, 8).plain == "━━━━─┼──"
    assert bar(0, 0.1, 0.4, 8).plain == "┼"
    assert bar(7, 8, 8, 8).plain == "━━━━━━━┼"
    assert bar(1, 1, 1, 0).plain == ""


@given(*[st.floats(0, 50)] * 4)
def test_bars_stay_in_their_cells(a: float, b: float, c: float, more: float) -> None:
    """Never wider than the column, always with the cross, only signs of our own."""
    low, mean, high = sorted((a, b, c))
    text = bar(low, mean, high, high + more).plain
    if high + more > 0:
        assert 1 <= cells(text) <= BAR
        assert text.count("┼") == 1
        assert in_chrome(text)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60)])
async def test_uses_as_it_looks(demo_once: Path, opened, size: tuple[int, int]) -> None:
    """The demo's ranking at each size, one in every theme."""
    async with opened(demo_once, size) as pilot:
        await to_uses(pilot)
        await pilot.press("down", "down")
        name = f"uses-{size[0]}x{size[1]}"
        for theme in ("dark", "light", "sun") if size == (80, 24) else ("dark",):
            pilot.app.theme = theme
            await pilot.pause()
            same_picture(name, screen_text(pilot.app))
        await pilot.press("enter")
        await pilot.pause()
        same_picture(f"{name}-opened", screen_text(pilot.app))


async def test_uses_without_colour(demo_once: Path, opened, monkeypatch) -> None:
    """Under NO_COLOR the words and signs are the same."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(demo_once) as pilot:
        await to_uses(pilot)
        await pilot.press("down", "down")
        await pilot.pause()
        same_picture("uses-80x24", screen_text(pilot.app))


NAMES = st.one_of(
    st.text(min_size=1, max_size=40),
    st.text("[]/\\~>漢字שלוםمفتاح\u0301\u202e\u200d\ufe0f\t", min_size=1, max_size=300),
)


async def test_any_name_is_shown_whole_when_opened(small: Path, opened) -> None:
    """Whatever a tool is called: nothing breaks, and the opened tool says all of it."""
    async with opened(small, (60, 20)) as pilot:
        place, _ = await to_uses(pilot)
        row = next(iter(place._rows.values()))
        at = place._study
        detail = place.query_one(Detail)
        assert at is not None

        @settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
        @given(NAMES)
        def tried(name: str) -> None:
            detail.show(at, replace(row, name=name), None, None)
            shown = "".join(detail.whole_text.split())
            assert "".join(clean(name).split()) in shown

        tried()
        assert place.query_one("#filter", Entry).value == ""
