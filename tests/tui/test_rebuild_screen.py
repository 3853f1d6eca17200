"""Rebuild: ticking through the steps, taking back, going on later, what it says when it cannot."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import screen_text, until
from planned import LONG, each_size, planned, ring, shows, text, told
from textual.pilot import Pilot

from toolbox.desk.diary import When, list_entries, pick_tools
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.plans import adopt_plan
from toolbox.desk.rebuild import RebuildStep, rebuild_list, tick
from toolbox.tui.screens.rebuild import AS_PLANNED, OUTSIDE, Rebuilding
from toolbox.tui.text import clean
from toolbox.tui.widgets.checklist import CheckLine
from toolbox.tui.widgets.rows import Rows

DAY = date(2026, 11, 20)
AT = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Tester")


def places(kit: Path) -> dict[str, str]:
    """Where things lie today."""
    present = open_kit(kit).kit.present
    assert present is not None
    return present.places()


async def to_rebuild(pilot: Pilot[Any], words: str) -> Rows:
    """Go to Rebuild and wait for these words; the list is what comes back."""
    await pilot.press("g", "c")
    await shows(pilot, words)
    place = pilot.app.place
    assert isinstance(place, Rebuilding)
    return place.steps.rows


async def test_one_key_a_step_and_today_follows(small: Path, opened) -> None:
    """Space and Enter tick; today's layout follows each; the end says so."""
    ring(small)
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "0 of 4 done")
        assert "In this order nothing is in the way" in text(pilot)
        assert "lift with two people" in text(pilot)
        assert "Empty Front tray" in text(pilot)
        await until(pilot, lambda: pilot.app.focused is rows, "the list")
        after = (
            ("space", {"K4": "well", "K5": "loops", "CT": "tray"}),
            ("enter", {"K4": "well", "K5": "loops"}),
            ("space", {"K4": "tray", "K5": "loops"}),
            ("space", {"K4": "tray", "K5": "loops", "CT": "well"}),
        )
        for n, (key, lies) in enumerate(after, 1):
            assert rows.cursor_key == str(n)
            await pilot.press(key)
            await shows(pilot, f"{n} of 4 done")
            assert places(small) == lies
        await shows(pilot, "Done: the box now lies as planned.")


async def test_taking_back(small: Path, opened) -> None:
    """u takes the last step back and marks it; x does the same on its line."""
    ring(small)
    began = places(small)
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "0 of 4 done")
        await pilot.press("space", "space")
        await shows(pilot, "2 of 4 done")
        await pilot.press("u")
        await shows(pilot, "1 of 4 done")
        assert rows.cursor_key == "2"
        await pilot.press("x")
        await told(pilot, "This step is not done")
        # The key that ticks, on a step that is done, says which key takes it back.
        await pilot.press("up", "space", "enter")
        await told(pilot, "Step 1 is done already; x takes it back.")
        assert places(small) != began
        await pilot.press("x")
        await shows(pilot, "0 of 4 done")
        assert rows.cursor_key == "1"
        assert places(small) == began


async def test_a_tick_shows_at_once_and_is_done_when_it_is_written(
    small: Path, opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the disk takes its time a point stands there; a refusal leaves the step open."""
    ring(small)
    may_write, refuse = Event(), Event()

    def slow(folder: KitFolder, number: int | None = None) -> RebuildStep:
        assert may_write.wait(LONG)
        if refuse.is_set():
            raise DeskError("the disk is full")
        return tick(folder, number)

    monkeypatch.setattr("toolbox.tui.screens.rebuild.tick", slow)
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "0 of 4 done")
        await until(pilot, lambda: pilot.app.focused is rows, "the list")
        await pilot.press("space")
        assert "[.] 1 Fill Elastic loops" in text(pilot)
        assert rows.cursor_key == "2"
        assert "[x]" not in text(pilot)
        may_write.set()
        await shows(pilot, "[x] 1 Fill Elastic loops")
        assert places(small)["K5"] == "loops"
        refuse.set()
        await pilot.press("space")
        await told(pilot, "the disk is full")
        await until(pilot, lambda: "[.]" not in text(pilot), "no longer being written")
        await shows(pilot, "1 of 4 done")


async def test_taking_back_never_reaches_the_log(small: Path, opened) -> None:
    """With no tick left it says so; one pressed right behind a tick takes that tick back."""
    ring(small)
    pick_tools(open_kit(small), ["CT"], WHEN)
    began = places(small)
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "0 of 4 done")
        await until(pilot, lambda: pilot.app.focused is rows, "the list")
        await pilot.press("u")
        await told(pilot, "no step of the rebuild is done yet")
        await pilot.press("space", "space", "u")
        await shows(pilot, "1 of 4 done")
        await pilot.press("u")
        await shows(pilot, "0 of 4 done")
        assert places(small) == began
        assert len(list_entries(open_kit(small))) == 1


async def test_a_step_out_of_turn_is_refused(small: Path, opened) -> None:
    """The notice says which comes first, and the mark goes to the step whose turn it is."""
    ring(small)
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "0 of 4 done")
        await until(pilot, lambda: pilot.app.focused is rows, "the list")
        await pilot.press("end", "space")
        await told(pilot, "step 1 comes before step 4: do it first")
        await until(pilot, lambda: rows.cursor_key == "1", "the first step marked", LONG)
        # The second does not wait for the first.
        await pilot.press("down", "space")
        await shows(pilot, "1 of 4 done")
        await pilot.press("up", "up", "space", "space")
        await shows(pilot, "3 of 4 done")


async def test_going_on_where_it_stood(small: Path, opened) -> None:
    """A list left in any way goes on at its next step; another window's tick is seen."""
    ring(small)
    tick(open_kit(small))
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "1 of 4 done")
        assert rows.cursor_key == "2"
        # Without the caution, which belongs before the first step.
        assert "lift with two people" not in text(pilot)
        tick(open_kit(small))
        await shows(pilot, "2 of 4 done")
        assert rows.cursor_key == "2"


async def test_no_notes_or_carried_lines_that_nobody_keeps(small: Path, opened) -> None:
    """n and x do nothing here; y copies the marked step with its things."""
    ring(small)
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "0 of 4 done")
        await until(pilot, lambda: pilot.app.focused is rows, "the list")
        await pilot.press("n", "x", "7")
        assert pilot.app.focused is rows
        assert "carried over" not in text(pilot)
        await pilot.press("y")
        await told(pilot, "the marked line")
        assert (
            " ".join(pilot.app.clipboard.split()) == "1 Fill Elastic loops: from Well: Hex key 5 mm"
        )


def nothing(kit: Path) -> None:
    """The small kit as it is: no plan."""


def adopted(kit: Path) -> None:
    """A box that lies as planned."""
    adopt_plan(open_kit(ring(kit)))


def faulty(kit: Path) -> None:
    """A kit file that cannot be read."""
    (kit / "tools.toml").write_text("[[tool]]\n", encoding="utf-8")


def unknown(kit: Path) -> None:
    """A plan, but nobody has said how the box lies."""
    (ring(kit) / "layouts" / "present.toml").unlink()


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (nothing, "There is no plan that can be used yet: make one in Plan (F6)."),
        (adopted, AS_PLANNED),
        (faulty, "The kit has faults: mend them first."),
        (unknown, OUTSIDE),
    ],
)
async def test_when_there_is_no_list(
    small: Path, opened, make: Callable[[Path], None], words: str
) -> None:
    """What is missing is said, with where to mend it; keys do no harm."""
    make(small)
    async with opened(small) as pilot:
        await to_rebuild(pilot, words)
        await pilot.press("space", "u")
        await until(pilot, lambda: pilot.app.is_running, "still there")
    assert pilot.app.return_code in (None, 0)


async def test_rebuild_by_mouse(small: Path, opened) -> None:
    """Two clicks on a step tick it."""
    ring(small)
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "0 of 4 done")
        for _ in range(2):
            await pilot.click(rows, offset=(12, 1))
        await shows(pilot, "1 of 4 done")
        assert [step.done for step in rebuild_list(open_kit(small)).steps] == [
            False,
            True,
            False,
            False,
        ]


async def test_rebuild_as_it_looks(demo: Path, opened) -> None:
    """Before the first step and after some, at every size."""
    async with opened(planned(demo)) as pilot:
        rows = await to_rebuild(pilot, "0 of ")
        await until(pilot, lambda: pilot.app.focused is rows, "the list")
        await each_size(pilot, "rebuild")
        for n in range(1, 4):
            await pilot.press("space")
            await shows(pilot, f"{n} of ")
        await each_size(pilot, "rebuild-begun")


NAMES = st.lists(
    st.one_of(st.text(max_size=40), st.text("[]/\\~>漢של\u0301\u202e\u200d\x1b\t\n", max_size=300)),
    min_size=1,
    max_size=8,
)


async def test_any_name_may_stand_in_a_step(small: Path, opened) -> None:
    """Whatever things are called, a line each, as wide as the list."""
    ring(small)
    async with opened(small) as pilot:
        rows = await to_rebuild(pilot, "0 of 4 done")
        steps = pilot.app.place.steps

        @settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
        @given(NAMES)
        def shown(names: list[str]) -> None:
            steps.show([CheckLine(str(n), name, "; ".join(names)) for n, name in enumerate(names)])
            width = rows.scrollable_content_region.width
            for y in range(len(names)):
                assert rows.render_line(y).cell_length == width
            assert [clean(name) for name in names] == [
                rows.source.cells(n)[1].plain for n in range(len(names))
            ]

        shown()
        assert screen_text(pilot.app)
