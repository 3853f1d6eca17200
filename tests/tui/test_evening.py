"""Evening: counting by one key a place and by exception, what became of it, bikes, the close.

That a short count stops what follows until somebody decides, and that a missing thing is
shown with its size, last job and who: after an investigation by the Australian Transport
Safety Bureau into a tool left in an engine for 34 flights. The rest: common practice, no
source. What the small kit should show is counted by hand.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import screen_text, until
from planned import LONG, each_size, shows, told
from textual.pilot import Pilot

from toolbox.desk.count import Evening, counted, evening, write_count
from toolbox.desk.diary import Done, When, log_job, take_back
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_stock import do_task
from toolbox.desk.evening_view import evening_view
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.kit.counting import BikeReleased, Counted, Outcome, Settled, Short
from toolbox.kit.facts import Fact, LineSaid, StepDone
from toolbox.kit.kit import Kit
from toolbox.kit.stocking import Refilled, StockCounted, Where
from toolbox.tui.menu import Menu
from toolbox.tui.screens.evening import EveningPlace
from toolbox.tui.text import clean
from toolbox.tui.widgets.entry import Entry

DAY = date(2026, 11, 20)
AT = datetime(2026, 11, 20, 21, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Ann")
SET = """
[[tool]]
id = "BITS"
name = "Bit set"
mass = "300 g"
length = "120 mm"
width = "80 mm"
height = "30 mm"
parts = [{ name = "bit", count = 28 }, { name = "holder", count = 2 }]
look = "red pouch"
owner_mark = "two blue bands"
"""


@pytest.fixture
def kit(small: Path) -> Path:
    """The small kit with a set of bits that has no place yet.

    In walking order: the front tray (chain tool), the well (hex keys 4 and 5 mm), no place.
    """
    with (small / "tools.toml").open("a", encoding="utf-8") as file:
        file.write(SET)
    return small


def seen(kit: Path) -> Evening:
    """The count as the files have it."""
    return evening(open_kit(kit), DAY)


def outcomes(kit: Path) -> list[Settled]:
    """Every outcome in the journal that counts."""
    return [fact.what for fact in open_kit(kit).live if isinstance(fact.what, Settled)]


async def to_evening(pilot: Pilot[Any], words: str = "[Count ") -> EveningPlace:
    """Go to Evening by its letter and wait until it stands there, as on its evening."""
    pilot.app.now = lambda: AT
    await pilot.press("g", "e")
    await shows(pilot, words)
    place = pilot.app.place
    assert isinstance(place, EveningPlace)
    await until(pilot, lambda: pilot.app.focused is place.counting.places, "the places", LONG)
    return place


async def within(pilot: Pilot[Any]) -> None:
    """Go to the things of the marked place."""
    await pilot.press("enter")
    things = pilot.app.place.counting.things
    await until(pilot, lambda: pilot.app.focused is things, "the things", LONG)


async def asked(pilot: Pilot[Any], words: str) -> None:
    """Wait for the menu that asks what became of it."""
    await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "a menu", LONG)
    await shows(pilot, words)


async def answer(pilot: Pilot[Any], question: str, words: str) -> None:
    """Type an answer into the line that asks this."""
    await shows(pilot, question)
    await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the line", LONG)
    pilot.app.focused.value = words
    # Between two Enters another key: the second would else be the first one, held down.
    await pilot.press("end", "enter")


# ---- the count


async def test_one_key_a_place_then_one_to_close(kit: Path, opened) -> None:
    """All is well: a key for each place and one for the day."""
    async with opened(kit) as pilot:
        place = await to_evening(pilot, "[Count 0 of 3]")
        assert place.counting.places.cursor_key == "tray"
        await shows(pilot, "Front tray: 1 tool > Chain tool")
        await pilot.press("space")
        assert place.counting.places.cursor_key == "well"
        await pilot.press("space", "space")
        await shows(pilot, "[Count 3 of 3]")
        await shows(pilot, "what has no place: all there. u takes it back.")
        assert not place.half_filled()
        await pilot.press("d")
        await shows(pilot, "closed as complete (Tester")
        assert seen(kit).complete


async def test_by_exception_each_short_thing_asks_what_became_of_it(kit: Path, opened) -> None:
    """One key marks a thing, a digit the parts of a set; the day stays open until all is told."""
    async with opened(kit) as pilot:
        place = await to_evening(pilot)
        await pilot.press("down")
        await within(pilot)
        await pilot.press("down", "x")
        await shows(pilot, "[!] Well 1 marked")
        assert place.half_filled()
        assert not open_kit(kit).facts
        await pilot.press("space")
        await asked(pilot, "What became of it? Hex key 5 mm")
        await pilot.press("l")
        await answer(pilot, "Hex key 5 mm lent to >", "the neighbours")
        for wrong, why in (
            ("soon", '"soon" is not a date'),
            ("2026-11-19", "2026-11-19 is past"),
        ):
            await answer(pilot, "To be back on", wrong)
            await shows(pilot, why)
        await answer(pilot, "To be back on", "2026-11-30")
        lent = Settled("K5", Outcome.LENT, where="the neighbours", until=date(2026, 11, 30))
        await until(pilot, lambda: len(place.pen.entries) == 2, "both written", LONG)
        assert outcomes(kit) == [lent]
        assert place.counting.places.cursor_key == ""
        await pilot.press("end")
        await within(pilot)
        await pilot.press("down", "down", "3")
        await shows(pilot, "holder 2")
        await shows(pilot, "holder: 2 should be there, 3 cannot be short.")
        await pilot.press("2", "up", "2")
        await answer(pilot, "bit: how many short, of 28", "29")
        await shows(pilot, "28 of it should be there: write a number up to that")
        await answer(pilot, "bit: how many short, of 28", "12")
        await shows(pilot, "[!] bit 16 of 28 marked short")
        await shows(pilot, "[!] holder 0 of 2 marked short")
        await pilot.press("space")
        await asked(pilot, "What became of it? Bit set: 2 of the part holder")
        await pilot.press("a")
        await answer(pilot, "left at >", "at the pit box")
        await asked(pilot, "What became of it? Bit set: 12 of the part bit")
        await pilot.press("n")
        await shows(pilot, "12 short")
        assert [(m.part, m.number) for m in seen(kit).short] == [("bit", 12)]
        assert seen(kit).place("").counted is not None


async def test_the_close_is_refused_with_reasons_until_all_is_told(kit: Path, opened) -> None:
    """What is in the way stands there; nothing is written until there is a reason."""
    async with opened(kit) as pilot:
        await to_evening(pilot)
        await within(pilot)
        await pilot.press("x", "space")
        await asked(pilot, "Chain tool")
        await pilot.press("escape")
        await shows(pilot, "1 short")
        await pilot.press("d")
        for words in (
            "The day cannot be closed as complete:",
            "2 places not counted: Well; what has no place",
            "Chain tool is short since 2026-11-20 and nobody has said why",
        ):
            await shows(pilot, words)
        assert seen(kit).closing is None
        await pilot.press("d")
        await answer(pilot, "Why is the day not complete", "the van left")
        await shows(pilot, "closed as not complete: the van left (Tester")
        # Found the next morning, the rest counted: now it is complete.
        await pilot.press("m")
        await shows(pilot, "short Chain tool")
        await pilot.press("enter")
        await asked(pilot, "Chain tool")
        await pilot.press("f")
        await answer(pilot, "Found where (Enter: not said)", "")
        await shows(pilot, "Nothing is missing")
        await pilot.press("c", "space", "space")
        await shows(pilot, "Count 3 of 3")
        await until(pilot, lambda: not pilot.app.place.view.seen.hindrances, "all told", LONG)
        await pilot.press("d")
        await shows(pilot, "closed as complete (Tester")
        assert seen(kit).complete
        assert len(outcomes(kit)) == 1


async def test_taking_back_says_what(kit: Path, opened) -> None:
    """u takes marks back one by one, then what was written from here, newest first."""
    async with opened(kit) as pilot:
        place = await to_evening(pilot)
        await pilot.press("space")
        await within(pilot)
        await pilot.press("x", "down", "x", "u")
        await shows(pilot, "Taken back: Hex key 5 mm is not marked short.")
        await pilot.press("u")
        await shows(pilot, "Taken back: Hex key 4 mm is not marked short.")
        assert not place.half_filled()
        # Behind a key that is still being written, the one that takes back takes that back.
        await pilot.press("space", "u")
        await told(pilot, "Taken back: counted Well: all there")
        await until(pilot, lambda: place.counting.places.cursor_key == "well", "Well", LONG)
        await pilot.press("u")
        await told(pilot, "Taken back: counted Front tray: all there")
        await shows(pilot, "[Count 0 of 3]")
        assert place.counting.places.cursor_key == "tray"
        # With nothing left from here, the log's last entry is named and asked about.
        await pilot.press("u")
        await told(pilot, "The log holds nothing to undo.")


async def test_it_goes_on_where_it_was_and_two_can_count(kit: Path, opened) -> None:
    """Left in the middle, the next place is marked; what another counts shows by itself."""
    async with opened(kit) as pilot:
        await to_evening(pilot)
        await pilot.press("space")
        await shows(pilot, "[Count 1 of 3]")
    async with opened(kit) as pilot:
        place = await to_evening(pilot, "[Count 1 of 3]")
        assert place.counting.places.cursor_key == "well"
        folder = open_kit(kit)
        said = counted(evening(folder, DAY), ["well"], [Short("K4")])
        write_count(folder, said, WHEN)
        await shows(pilot, "[Count 2 of 3]")
        await shows(pilot, "1 short; not closed")
        await shows(pilot, "Well: 1 tool; counted 21:00, Ann")
        assert place.counting.places.cursor_key == "well"
        # What is counted already is not counted again by a key pressed once too often.
        await pilot.press("space")
        await shows(pilot, "Well is counted, by Ann.")
        assert place.counting.places.cursor_key == ""
        assert len({fact.entry for fact in open_kit(kit).facts}) == 2


async def test_what_is_refused_leaves_the_marks(
    kit: Path, opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk: it says so, and nothing that was marked is lost."""

    def full(*_: object) -> str:
        raise DeskError("the disk is full")

    monkeypatch.setattr("toolbox.tui.screens.evening.count_place", full)
    async with opened(kit) as pilot:
        place = await to_evening(pilot)
        await within(pilot)
        await pilot.press("x", "space")
        await told(pilot, "the disk is full")
        await pilot.press("escape")
        await shows(pilot, "[!] Front tray 1 marked")
        assert place.half_filled()
        assert not open_kit(kit).facts


async def test_finding_a_thing_by_letters(kit: Path, opened) -> None:
    """The mark goes to the thing, wherever it belongs; several are asked about."""
    async with opened(kit) as pilot:
        place = await to_evening(pilot)
        await pilot.press("f")
        await answer(pilot, "A few letters of the thing", "pump")
        await shows(pilot, 'nothing goes by "pump"')
        await answer(pilot, "A few letters of the thing", "hold")
        await until(pilot, lambda: place.counting.within, "its place", LONG)
        assert place.counting.line.part == "holder"
        await pilot.press("f")
        await answer(pilot, "A few letters of the thing", "hex")
        await asked(pilot, 'What goes by "hex"')
        await pilot.press("2")
        await until(pilot, lambda: place.counting.line.copy == "K5", "the hex key", LONG)
        assert place.counting.places.cursor_key == "well"


# ---- what is missing, bikes


async def test_a_missing_thing_and_the_bike_it_could_be_in(kit: Path, opened) -> None:
    """From Ready to the sheet of what is short; its bike goes out by a decision alone."""
    log_job(open_kit(kit), Done("CH", bike="A1"), WHEN)
    folder = open_kit(kit)
    write_count(folder, counted(evening(folder, DAY), ["tray"], [Short("CT")]), WHEN)
    async with opened(kit) as pilot:
        pilot.app.now = lambda: AT
        await shows(pilot, "Chain tool is short since 2026-11-20")
        await pilot.press("enter")
        for words in (
            "Chain tool is short since 2026-11-20 and nobody has said why",
            "size: 130 mm x 60 mm x 30 mm mass: 150 g",
            "last used: Broken chain, step 2 (join and oil), bike A1, 2026-11-20 21:00, by Ann",
            "could be in: bike A1: may not be released",
            "on record: 2026-11-20 21:00 Ann: found short in the count of 2026-11-20",
        ):
            await shows(pilot, words)
        await pilot.press("b")
        await shows(pilot, "HELD A1 Chain tool")
        await pilot.press("enter")
        await answer(pilot, "Why may bike A1 go out >", "looked through, twice")
        await shows(pilot, "released A1")
        said = [f.what for f in open_kit(kit).live if isinstance(f.what, BikeReleased)]
        assert said == [BikeReleased("A1", ("CT",), "looked through, twice")]
        await pilot.press("end", "enter")
        await told(pilot, "It may go out already")
        await pilot.press("escape")
        await shows(pilot, "[!] Front tray 1 short")
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.place.PLACE == "ready", "Ready", LONG)


async def test_some_of_what_is_missing(kit: Path, opened) -> None:
    """Of 12 bits two are lost: a digit says of how many one speaks."""
    folder = open_kit(kit)
    write_count(folder, counted(evening(folder, DAY), [""], [Short("BITS", "bit", 12)]), WHEN)
    async with opened(kit) as pilot:
        await to_evening(pilot)
        await pilot.press("m")
        await shows(pilot, "looks like: red pouch owner's mark: two blue bands")
        await pilot.press("2")
        await asked(pilot, "Bit set: 2 of the part bit")
        await pilot.press("x")
        await answer(pilot, "Lost: a note (Enter: none)", "in the mud")
        await shows(pilot, "lost Bit set: 2 of the part bit")
        await until(
            pilot, lambda: [one.note for one in outcomes(kit)] == ["in the mud"], "it", LONG
        )
        await shows(pilot, "short Bit set: 10 of the part bit")


async def test_by_mouse(kit: Path, opened) -> None:
    """A click marks, a second one on the same row goes in; a second on a thing asks."""
    async with opened(kit) as pilot:
        place = await to_evening(pilot)
        for _ in range(2):
            await pilot.click(place.counting.places, offset=(10, 1))
        await until(pilot, lambda: place.counting.within, "the things", LONG)
        for _ in range(2):
            await pilot.click(place.counting.things, offset=(10, 1))
        await asked(pilot, "What became of it? Hex key 5 mm")
        await pilot.press("b")
        await answer(pilot, "Broken: a note (Enter: none)", "")
        await shows(pilot, "Hex key 5 mm broken")


async def test_with_faults_or_nothing_to_count(small: Path, opened) -> None:
    """No tool that travels: it says where to take them up; keys do no harm."""
    tools = small / "tools.toml"
    tools.write_text(
        "\n".join(
            f"{line}\ncarried = false" if line.startswith("id =") else line
            for line in tools.read_text(encoding="utf-8")
            .replace("carried = false\n", "")
            .split("\n")
        ),
        encoding="utf-8",
    )
    (small / "layouts" / "present.toml").unlink()
    async with opened(small) as pilot:
        assert pilot.app.folder is not None, pilot.app.picture.findings
        await pilot.press("f11")
        await shows(pilot, "There is nothing to count")
        await pilot.press("space", "x", "enter", "d", "m", "b", "c", "f", "1", "u")
        await told(pilot, "The log holds nothing to undo.")


# ---- supplies and lists

OF_EVENING = """
title = "Shutting the box"
when = "evening"

[[line]]
id = "wipe"
words = "Wet tools wiped and oiled"

[[line]]
id = "stem"
words = "Stem bolts"
torque = "5 N·m"
tool = "K4"
why = "they were opened"
"""
OWN = 'title = "Van"\nwhen = "own"\n\n[[line]]\nid = "fuel"\nwords = "Tank full"\n'


def with_lists(kit: Path) -> Path:
    """The kit with a list for the evening and one of its own."""
    (kit / "lists").mkdir()
    (kit / "lists" / "shut.toml").write_text(OF_EVENING.lstrip(), encoding="utf-8")
    (kit / "lists" / "van.toml").write_text(OWN, encoding="utf-8")
    return kit


SUPPLIES = """
[[supply]]
id = "GREASE"
name = "Grease"
measure = "g"
mass = "120 g"
length = "120 mm"
width = "40 mm"
height = "40 mm"
carried = true
pack = "60 g"
stock = "530 g"
reserve = "500 g"
par = "60 g"

[[supply]]
id = "TAPE"
name = "Tape"
measure = "pc"
par = "2 pc"
"""


def with_supplies(kit: Path) -> Path:
    """The kit with grease, 30 g in the box where 60 g are to be, and tape nobody has counted."""
    with (kit / "supplies.toml").open("a", encoding="utf-8") as file:
        file.write(SUPPLIES)
    return kit


def said(kit: Path, *kinds: type) -> list[object]:
    """What was said of these kinds, as far as it counts."""
    return [fact.what for fact in open_kit(kit).live if isinstance(fact.what, kinds)]


async def test_restocking_line_by_line(kit: Path, opened) -> None:
    """A tick writes the refill as it stands there; a count asks for its figure; x takes back."""
    async with opened(with_supplies(kit)) as pilot:
        place = await to_evening(pilot, "Restock 0 of 2")
        await pilot.press("r")
        await shows(pilot, "[Restock 0 of 2]")
        await until(pilot, lambda: pilot.app.focused is place.stock.list.rows, "the list", LONG)
        await shows(pilot, "Without a place in the box: refill 30 g of Grease")
        await shows(pilot, "- 2 pc of Tape: nobody has said how much is there")
        await pilot.press("space")
        await shows(pilot, "Restock 1 of 2")
        refilled = Refilled("GREASE", 30, Where.BOX)
        assert said(kit, Refilled, StockCounted) == [refilled]
        await shows(pilot, "[x] Moved 30 g of Grease from the reserve to the box")
        await pilot.press("home", "space")
        await answer(pilot, "Count Tape in the reserve >", "many")
        await shows(pilot, "many")
        assert place.half_filled()
        await answer(pilot, "Count Tape in the reserve >", "3")
        await shows(pilot, "Restock 2 of 2")
        await shows(pilot, "Nothing to buy.")
        counted_tape = StockCounted("TAPE", Where.RESERVE, 3)
        assert said(kit, Refilled, StockCounted) == [refilled, counted_tape]
        await pilot.press("home", "x")
        await told(pilot, "Taken back: moved 30 g of Grease")
        await shows(pilot, "Restock 1 of 2")
        await pilot.press("u")
        await told(pilot, "Taken back: counted 3 pc of Tape")
        await shows(pilot, "Restock 0 of 2")
        await pilot.press("x")
        await told(pilot, "It stays on the list until it is done.")
        assert not said(kit, Refilled, StockCounted)


async def test_what_somebody_else_refilled_is_not_written_twice(kit: Path, opened) -> None:
    """Both stand before the same line; the second tick is refused."""
    async with opened(with_supplies(kit)) as pilot:
        place = await to_evening(pilot, "Restock 0 of 2")
        view = place.stocks.view
        do_task(open_kit(kit), view, "refill:GREASE:box", WHEN)
        with pytest.raises(DeskError, match="was done meanwhile"):
            do_task(open_kit(kit), view, "refill:GREASE:box", WHEN)
        await shows(pilot, "Restock 1 of 2")
        with pytest.raises(DeskError, match="not on the list any more"):
            do_task(open_kit(kit), place.stocks.view, "refill:GREASE:box", WHEN)


async def test_lists_of_ones_own(kit: Path, opened) -> None:
    """The evening's list first, then the others; ticks, notes, not now; all of it taken back."""
    async with opened(with_lists(kit)) as pilot:
        place = await to_evening(pilot, "Lists 0 of 2")
        await pilot.press("l")
        await shows(pilot, "Shutting the box, 2026-11-20 (list 1 of 2)")
        await until(pilot, lambda: pilot.app.focused is place.listed.list.rows, "the list", LONG)
        await shows(pilot, "[ ] Stem bolts | 5 N·m | Hex key 4 mm")
        await pilot.press("space")
        await shows(pilot, "[x] Wet tools wiped and oiled (TE 21:00)")
        await shows(pilot, "[Lists 1 of 2]")
        assert place.listed.list.rows.cursor_key == "stem"
        await pilot.press("x")
        await shows(pilot, "[-] Stem bolts")
        await pilot.press("n")
        await answer(pilot, "Note >", "thread worn")
        await shows(pilot, "note: thread worn")
        await pilot.press("home", "space")
        await told(pilot, "That line is done already; x on it opens it again.")
        for words in ("Stem bolts: a note", "Stem bolts: carried over", "Wet tools wiped"):
            await pilot.press("u")
            await told(pilot, "Taken back: ")
            await until(pilot, lambda: not pilot.app.place.pen.waits, words, LONG)
        await shows(pilot, "[Lists 0 of 2]")
        assert not said(kit, LineSaid)
        await pilot.press("l")
        await shows(pilot, "Van, 2026-11-20 (list 2 of 2)")
        await shows(pilot, "[Lists 0 of 1]")
        await pilot.press("l", "escape")
        await shows(pilot, "[Count 0 of 3] Restock")


async def test_lines_of_the_program_lead_to_where_they_are_done(kit: Path, opened) -> None:
    """The key that ticks a line goes to its place, to the close, to Checks; nothing is written."""
    path = kit / "tools.toml"
    path.write_text(path.read_text("utf-8") + WRENCH, encoding="utf-8")
    (kit / "lists").mkdir()
    made = "".join(f'[[line]]\nmade = "{one}"\n' for one in ("count", "instruments"))
    (kit / "lists" / "last.toml").write_text(f'title = "Last"\n{made}', encoding="utf-8")
    async with opened(kit) as pilot:
        place = await to_evening(pilot)
        for key, chosen in (("count::well", "count"), ("count:close", "close")):
            await pilot.press("l")
            rows = place.listed.list.rows
            await until(pilot, lambda: pilot.app.focused is rows, "the list", LONG)  # noqa: B023
            assert rows.move_to(key)
            await pilot.press("space")
            await until(pilot, lambda: place.chosen == chosen, chosen, LONG)  # noqa: B023
        assert place.counting.places.cursor_key == "well"
        await pilot.press("l")
        await until(pilot, lambda: pilot.app.focused is rows, "the list", LONG)
        assert rows.move_to("due:TW")
        await pilot.press("space")
        await until(pilot, lambda: pilot.app.place.PLACE == "instruments", "Checks", LONG)
        assert not open_kit(kit).facts


WRENCH = """
[[tool]]
id = "TW"
name = "Torque wrench"
mass = "400 g"
length = "200 mm"
width = "40 mm"
height = "30 mm"
[tool.instrument]
last_check = 2024-02-29
accuracy = "II A"
highest = "10 N·m"
"""


async def test_without_a_list_an_example_is_offered(kit: Path, opened) -> None:
    """Enter copies it into the kit; a list with faults is told with its file."""
    async with opened(kit) as pilot:
        await to_evening(pilot)
        await pilot.press("l")
        await shows(pilot, "There is no list of your own in this kit yet.")
        await pilot.press("enter")
        await told(pilot, "Copied:")
        await until(pilot, lambda: (kit / "lists" / "evening.toml").is_file(), "the file", LONG)
        await until(pilot, lambda: pilot.app.place.listed.opened is not None, "its list", LONG)
        (kit / "lists" / "evening.toml").write_text("title = 3\n", encoding="utf-8")
        await shows(pilot, "A list cannot be read.")
        await shows(pilot, "lists/evening.toml")


@pytest.fixture
def uncounted(demo: Path) -> Path:
    """The demo before its last evening's count, which is the last entry of its week."""
    take_back(open_kit(demo), None, WHEN)
    return demo


async def test_an_evening_takes_at_most_60_keys_when_all_is_well(
    uncounted: Path, opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The demo, larger than asked for: at least 120 tools and 40 supplies, all there.

    Whether the box is ready is no matter here, and would be worked out behind every key.
    """
    monkeypatch.setattr("toolbox.desk.picture.readiness", lambda sight: ())
    folder = open_kit(uncounted)
    tools = [tool for tool in folder.kit.tools if tool.carried]
    assert len(tools) >= 120
    assert len(folder.kit.supplies) >= 40
    keys: list[str] = []
    async with opened(uncounted) as pilot:
        pilot.app.now = lambda: AT

        async def press(*some: str) -> None:
            keys.extend(some)
            await pilot.press(*some)

        await press("f11")
        await shows(pilot, "[Count 0 of 18]")
        place = pilot.app.place
        await until(pilot, lambda: pilot.app.focused is place.counting.places, "places", LONG)
        await press(*("space" for _ in place.view.seen.places))
        await shows(pilot, "[Count 18 of 18]")
        await press("d")
        await shows(pilot, "closed as complete")
        await until(pilot, lambda: place.stocks is not None, "the supplies", LONG)
        await press("r")
        await until(pilot, lambda: pilot.app.focused is place.stock.list.rows, "list", LONG)
        tasks = place.stocks.view.listed.tasks
        assert len(tasks) >= 3
        await press(*("space" for _ in tasks))
        await until(pilot, lambda: not place.stocks.view.listed.tasks, "restocked", LONG)
        await press("l")
        await until(pilot, lambda: pilot.app.focused is place.listed.list.rows, "list", LONG)
        # What was counted and restocked before is no line any more.
        gone = ("count::", "restock:")
        await until(
            pilot,
            lambda: not any(item.key.startswith(gone) for item in place.listed.opened.items),
            "only what is left",
            LONG,
        )
        # What a tick cannot make done (an instrument to be checked) is passed over.
        # What is done already (the day is closed) is stepped over by the tick before it.
        items = [item for item in place.listed.opened.items if not item.line.done]
        await press(*("space" if item.ticked_here else "down" for item in items))
        done = [item.key for item in items if item.ticked_here]
        assert len(done) >= 9
        await until(
            pilot, lambda: all(place.listed.opened.item(k).line.done for k in done), "done", LONG
        )
        assert seen(uncounted).complete
        assert len(keys) <= 60, keys


# ---- how it looks


async def test_evening_as_it_looks(uncounted: Path, opened) -> None:
    """Counting, among the things with some marked short, and what is missing, at every size."""
    async with opened(uncounted) as pilot:
        await to_evening(pilot, "[Count 0 of 18] Restock 0 of 4")
        await pilot.press("space")
        await shows(pilot, "[Count 1 of 18]")
        await each_size(pilot, "evening")
        await within(pilot)
        await pilot.press("down", "x", "down", "down", "2")
        await answer(pilot, "of 10", "2")
        await shows(pilot, "8 of 10")
        await each_size(pilot, "evening-short")
        await pilot.press("space")
        await asked(pilot, "Angled hex key 8 mm")
        await pilot.press("x")
        await answer(pilot, "Lost: a note (Enter: none)", "")
        await asked(pilot, "Bleed blocks")
        await pilot.press("n")
        await pilot.press("m")
        await shows(pilot, "lost Angled hex key 8 mm")
        await each_size(pilot, "evening-missing")
        await pilot.press("r")
        await shows(pilot, "[Restock 0 of 4]")
        await each_size(pilot, "evening-restock")
        await pilot.press("l")
        await shows(pilot, "[Lists 0 of 32]")
        await each_size(pilot, "evening-lists")


NAMES = st.lists(
    st.one_of(st.text(max_size=40), st.text("[]/\\~>漢של\u0301\u202e\u200d\x1b\t\n", max_size=300)),
    min_size=4,
    max_size=4,
)


async def test_any_name_may_be_counted(kit: Path, opened) -> None:
    """Whatever places, tools, parts and bikes are called: a line each, as wide as the list."""
    log_job(open_kit(kit), Done("CH", bike="A1"), WHEN)
    folder = open_kit(kit)
    for short, at in ((Short("CT"), "tray"), (Short("BITS", "bit", 2), "")):
        write_count(open_kit(kit), counted(evening(folder, DAY), [at], [short]), WHEN)
    facts = open_kit(kit).facts
    async with opened(kit) as pilot:
        place = await to_evening(pilot)

        @settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
        @given(NAMES)
        def shown(names: list[str]) -> None:
            where, thing, part, bike = names
            kit_then, facts_then = renamed(folder.kit, facts, where, thing, part, bike)
            place.view = evening_view(KitFolder(kit, kit_then, facts_then), DAY, DAY)
            place.draw()
            lists = (
                place.counting.places,
                place.counting.things,
                place.missing.rows,
                place.bikes.rows,
            )
            for rows in lists:
                width = rows.scrollable_content_region.width
                for y in range(len(rows.source)):
                    assert rows.render_line(y).cell_length == width
            said = [rows.source.cells(n) for rows in lists for n in range(len(rows.source))]
            texts = [cell.plain for cells in said for cell in cells]
            assert clean(where) in texts
            assert clean(bike) in texts
            assert any(clean(thing) in text for text in texts)
            assert all(clean(text) == text for text in texts)

        shown()
        for key in ("m", "b", "d", "c"):
            await pilot.press(key)
        assert screen_text(pilot.app)


def renamed(
    kit: Kit, facts: tuple[Fact, ...], where: str, thing: str, part: str, bike: str
) -> tuple[Kit, tuple[Fact, ...]]:
    """The kit with other names, and the log with another bike and another part."""
    tools = tuple(
        replace(
            tool, name=thing, parts=tuple(replace(p, name=part + str(p.count)) for p in tool.parts)
        )
        for tool in kit.tools
    )
    places = tuple(replace(one, name=where) for one in kit.box.compartments)

    def said(what: object) -> object:
        if isinstance(what, StepDone):
            return replace(what, bike=bike or "A1")
        if isinstance(what, Counted):
            return replace(
                what, short=tuple(s._replace(part=part + "28") if s.part else s for s in what.short)
            )
        return what

    then = tuple(replace(fact, what=said(fact.what)) for fact in facts)
    return replace(kit, tools=tools, box=replace(kit.box, compartments=places)), then
