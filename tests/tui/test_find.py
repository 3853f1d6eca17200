"""Find: things and jobs by a few letters from anywhere, large, on the map, and back."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import same_picture, screen_text, until
from textual.events import Key
from textual.pilot import Pilot
from textual.widgets import Input

from toolbox.desk.diary import When, pick_tools
from toolbox.desk.folder import open_kit
from toolbox.desk.plans import make_plan
from toolbox.layout.solve import Effort
from toolbox.tui.screens.find import Find
from toolbox.tui.screens.find_there import There, pointed_text
from toolbox.tui.text import cells, clean
from toolbox.tui.widgets.box_map import BoxMap
from toolbox.tui.widgets.rows import Rows

DAY = date(2026, 11, 20)
AT = datetime(2026, 11, 19, 10, 0, tzinfo=UTC)


async def to_find(pilot: Pilot[int]) -> Find:
    """Go there by the key that works everywhere."""
    await pilot.press("slash")
    await until(pilot, lambda: isinstance(pilot.app.screen, Find), "the place")
    await until(pilot, lambda: "Where they lie" in screen_text(pilot.app), "the kit")
    place = pilot.app.screen
    assert isinstance(place, Find)
    await until(pilot, lambda: isinstance(place.focused, Input), "the field")
    return place


async def shows(pilot: Pilot[int], words: str) -> None:
    """Wait until the screen says so."""
    await until(pilot, lambda: words in screen_text(pilot.app), words)


async def test_a_few_letters_say_where_it_is(small: Path, opened) -> None:
    """Letters, and without another key there are the way, the time and the map lit up."""
    async with opened(small, (120, 40)) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"hex 5")
        await shows(pilot, "1  open the lid")
        assert "2  in Well" in screen_text(pilot.app)
        assert "s to the hand" in screen_text(pilot.app)
        assert "Where they lie today. 1 thing." in screen_text(pilot.app)
        box = place.query_one(BoxMap)
        assert box.lit == {"K5"}
        assert box.cursor_key == "well"
        assert place.marked_text().startswith("Hex key 5 mm: open the lid, in Well (")
        # What labels say: a compartment's code gives all that lies in it, a thing's the thing.
        await pilot.press(*["backspace"] * 5, *"IN:WELL")
        await shows(pilot, "2 things")
        assert box.lit == {"K4"}
        await pilot.press(*["backspace"] * 7, *"K5/1", "enter")
        await until(pilot, lambda: place.has_class("-large"), "large")
        assert place.marked_text().startswith("Hex key 5 mm")


async def test_arrows_move_the_mark_and_enter_shows_it_large(small: Path, opened) -> None:
    """Escape goes back to the letters with the mark where it was, then to the list, then away."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"hex", "down")
        await until(pilot, lambda: "Hex key 5 mm" in place.marked_text(), "the second")
        await pilot.press("enter")
        await until(pilot, lambda: place.has_class("-large"), "large")
        await shows(pilot, "2  in Well")
        await pilot.press("escape")
        await until(pilot, lambda: not place.has_class("-large"), "the list again")
        assert isinstance(place.focused, Input)
        assert place.focused.value == "hex"
        assert "Hex key 5 mm" in place.marked_text()
        await pilot.press("escape")
        assert isinstance(place.focused, Rows)
        await pilot.press("up")
        await until(pilot, lambda: "Hex key 4 mm" in place.marked_text(), "the first")
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "the place before")


async def test_from_anywhere_and_back_at_once(small: Path, opened) -> None:
    """With nothing typed one Escape is back where one was; the next time the field is empty."""
    async with opened(small) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: pilot.app.current_mode == "uses", "Uses")
        place = await to_find(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.current_mode == "uses", "back in Uses")
        await to_find(pilot)
        await pilot.press(*"chain", "enter")
        await until(pilot, lambda: place.has_class("-large"), "large")
        # Here too the key that finds begins anew.
        await pilot.press("slash")
        await until(pilot, lambda: isinstance(place.focused, Input), "the field")
        assert place.focused.value == ""
        assert not place.has_class("-large")
        await pilot.press(*"hex")
        await pilot.press("f2")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "Ready")
        await to_find(pilot)
        assert place.focused.value == ""


async def test_help_over_it_leaves_the_letters(small: Path, opened) -> None:
    """A screen laid over the place is no other place: letters and mark stay."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"hex", "f1")
        await until(pilot, lambda: pilot.app.screen is not place, "help")
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen is place, "back")
        assert place.query_one(Input).value == "hex"


async def test_a_job_gives_its_tools_by_compartment(small: Path, opened) -> None:
    """Letters of a job, Enter: its things in one walk through the box; Enter on one is large."""
    async with opened(small, (120, 40)) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"broken")
        await shows(pilot, "all things for: Broken chain")
        # Chain lube, which a step uses, stays at home.
        assert "2 tools and 1 supply from 2 compartments" in screen_text(pilot.app)
        assert place.query_one(BoxMap).lit == {"CT", "K5"}
        await pilot.press("enter")
        await shows(pilot, "Broken chain: 2 tools and 1 supply from 2 comp")
        tools = place.query_one("#tools", Rows)
        assert place.focused is tools
        # The box has the tray before the well.
        assert [tools.source.key(i) for i in range(3)] == ["CT", "K5", "OIL"]
        assert tools.source.cells(2)[0].plain == "stays at home"
        await pilot.press("down", "enter")
        await until(pilot, lambda: place.has_class("-large"), "large")
        await shows(pilot, "2  in Well")
        await pilot.press("escape")
        await until(pilot, lambda: place.focused is tools, "the list of tools")
        assert tools.cursor_key == "K5"
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(place.focused, Input), "the field")
        assert place.focused.value == "broken"


async def test_a_digit_takes_one_of_the_most_used(small: Path, opened) -> None:
    """In the empty field the things most used stand with numbers."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        second = place.query_one("#field Rows", Rows).source.key(1)
        await pilot.press("2")
        await until(pilot, lambda: place.has_class("-large"), "large")
        found = place.query_one(There)._of.found
        assert found is not None
        assert found.copy == second


async def test_a_scanned_code_is_found(small: Path, opened) -> None:
    """A scanner types a code and Enter without waiting."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        for key in ("k", "5"):
            pilot.app.post_message(Key(key, key))
        pilot.app.post_message(Key("enter", "\r"))
        await until(pilot, lambda: place.has_class("-large"), "large")
        assert place.marked_text().startswith("Hex key 5 mm")


async def test_from_the_large_view_to_the_box_and_back(small: Path, opened) -> None:
    """b goes to the map with this tool; stepping back finds all as it was left."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"chain", "enter")
        await until(pilot, lambda: place.has_class("-large"), "large")
        await pilot.press("b")
        await until(pilot, lambda: pilot.app.current_mode == "box", "the map")
        while pilot.app.current_mode == "box":
            await pilot.press("escape")
        await until(pilot, lambda: pilot.app.screen is place, "back in Find")
        assert place.has_class("-large")
        assert place.marked_text().startswith("Chain tool")


async def test_plan_or_today(small: Path, opened) -> None:
    """p looks things up in the plan, and says so; without one it tells how to make it."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"hex 5", "escape", "p")
        await shows(pilot, "There is no plan yet")
        make_plan(open_kit(small), DAY, effort=Effort.QUICK)
        await until(pilot, lambda: place._picture.plan is not None, "the plan", 15)
        planned = place._picture.plan.layout.places()["K5"]
        await pilot.press("p")
        await shows(pilot, "Where the plan has them, not as the box lies today.")
        name = next(c.name for c in place._study.kit.box.compartments if c.id == planned)
        assert name in place.marked_text()
        await pilot.press("p")
        await shows(pilot, "Where they lie today.")


async def test_the_mouse_marks_and_takes(small: Path, opened) -> None:
    """A click marks a match, a second shows it large."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"hex")
        listed = place.query_one("#field Rows", Rows)
        await until(pilot, lambda: len(listed.source) == 2, "both keys")
        await pilot.click(listed, offset=(8, 1))
        await until(pilot, lambda: "Hex key 5 mm" in place.marked_text(), "marked")
        await pilot.click(listed, offset=(8, 1))
        await until(pilot, lambda: place.has_class("-large"), "large")


async def test_nothing_found_names_what_is_near(small: Path, opened) -> None:
    """A slip of the finger; what is at home or has no place is said."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"chian tool")
        await shows(pilot, "nothing goes by these letters; near: Chain tool")
        assert not place.query_one(BoxMap).display
        await pilot.press("slash", *["backspace"] * 12, *"vice")
        await shows(pilot, "Bench vice:  does not travel in the box")


async def test_the_mark_stays_when_another_window_logs(small: Path, opened) -> None:
    """A new entry of the log changes nothing in what was typed and marked."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"hex", "down")
        await until(pilot, lambda: "Hex key 5 mm" in place.marked_text(), "the second")
        before = pilot.app.picture
        pick_tools(open_kit(small), ["CT"], When(AT, AT, "Tester"))
        await until(pilot, lambda: place._picture is not before, "the new entry seen", 15)
        assert "Hex key 5 mm" in place.marked_text()
        assert place.query_one(Input).value == "hex"


async def test_another_window_moves_it(small: Path, opened) -> None:
    """What is shown large follows the kit."""
    async with opened(small) as pilot:
        place = await to_find(pilot)
        await pilot.press(*"hex 5", "enter")
        await until(pilot, lambda: place.has_class("-large"), "large")
        present = small / "layouts" / "present.toml"
        told = present.read_text(encoding="utf-8")
        moved = told.replace(
            'item = "K5"\ncompartment = "well"', 'item = "K5"\ncompartment = "loops"'
        )
        present.write_text(moved, encoding="utf-8")
        await until(pilot, lambda: "in Elastic loops" in screen_text(pilot.app), "there", 15)


async def test_a_kit_with_faults(small: Path, opened) -> None:
    """Faults point to Ready; nothing is found in what could not be read."""
    (small / "rules.toml").write_text("[[rule]]\n", encoding="utf-8")
    async with opened(small) as pilot:
        await pilot.press("f8")
        await shows(pilot, "faults: see Ready (F2)")
        await pilot.press(*"hex", "enter")
        await shows(pilot, "nothing goes by these letters")


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60)])
async def test_find_as_it_looks(demo_once: Path, opened, size: tuple[int, int]) -> None:
    """Letters, a job's tools, one of them large: at each size, one in every theme."""
    name = f"{size[0]}x{size[1]}"
    async with opened(demo_once, size) as pilot:
        await to_find(pilot)
        await pilot.press(*"bleed")
        await shows(pilot, "3 things and 2 jobs.")
        for theme in ("dark", "light", "sun") if size == (80, 24) else ("dark",):
            pilot.app.theme = theme
            await pilot.pause()
            same_picture(f"find-{name}", screen_text(pilot.app))
        await pilot.press("down", "down", "down", "down", "enter")
        await shows(pilot, "9 tools and ")
        await pilot.pause()
        same_picture(f"find-job-{name}", screen_text(pilot.app))
        await pilot.press("down", "down", "down", "enter")
        await pilot.pause()
        same_picture(f"find-large-{name}", screen_text(pilot.app))


async def test_find_without_colour(demo_once: Path, opened, monkeypatch) -> None:
    """Under NO_COLOR the words and signs are the same."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(demo_once) as pilot:
        await to_find(pilot)
        await pilot.press(*"bleed")
        await shows(pilot, "3 things and 2 jobs.")
        await pilot.pause()
        same_picture("find-80x24", screen_text(pilot.app))


NAMES = st.one_of(
    st.text(min_size=1, max_size=40),
    st.text("[]/\\~>漢字שלוםمفتاح\u0301\u202e\u200d\ufe0f\t", min_size=1, max_size=300),
)


async def test_any_name_is_shown_whole(small: Path, opened) -> None:
    """Whatever things and compartments are called: all of it stands there, no line too wide."""
    async with opened(small, (60, 20)) as pilot:
        place = await to_find(pilot)
        there = place.query_one(There)
        await pilot.press(*"hex 5")
        await until(pilot, lambda: there._of.found is not None, "found")
        of = there._of

        @settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
        @given(NAMES, NAMES)
        def tried(name: str, home: str) -> None:
            compartment = replace(of.found.compartment, name=home)
            odd = replace(of, found=replace(of.found, name=name, compartment=compartment))
            there.show(odd)
            lines = pointed_text(odd, 24).plain.split("\n")
            assert max(map(cells, lines)) <= 24
            shown = "".join("".join(lines).split())
            assert "".join(clean(name).split()) in shown
            assert "".join(clean(home).split()) in shown

        tried()
