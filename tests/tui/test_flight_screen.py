"""Flight: reading the bars, shifting things, undo, findings, the plan, weighing, the list, sheets.

The trip of these tests is small enough to be worked out by hand: bags of a known mass, things
weighed to the gram, limits of round figures. What its bars must say stands in the tests.
"""

from __future__ import annotations

import json
import random
import re
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import screen_text, until
from planned import LONG, each_size, shows, text, told
from rich.cells import cell_len
from textual.pilot import Pilot

from toolbox.desk.errors import DeskError
from toolbox.desk.flight_bags import Load
from toolbox.desk.flight_view import BarLine, FindingLine, ItemLine
from toolbox.desk.folder import open_kit
from toolbox.desk.preflight import preflight
from toolbox.desk.trips import Flight, open_flight
from toolbox.flight.goods import WHO_DECIDES
from toolbox.flight.masses import Total, Verdict
from toolbox.kit.facts import LineState
from toolbox.tui.menu import Menu
from toolbox.tui.screens import flight_search
from toolbox.tui.screens.flight import Flying
from toolbox.tui.screens.flight_bags import ABOUT, LIMIT, OVER, SURELY, gauge
from toolbox.tui.screens.flight_look import NO_TRIP
from toolbox.tui.text import clean
from toolbox.tui.widgets.ask_line import AskLine
from toolbox.tui.widgets.entry import Entry

BAGS = ("case", "roll", "pouch")
TARE = {"case": 1000, "roll": 500, "pouch": 200}
# Grams, and the bag that the trip says: the case is 2400 g, 200 over; the roll 750 g.
THINGS = {
    "anvil": (700, "case"),
    "drift": (400, "case"),
    "file": (300, "case"),
    "pack": (250, "roll"),
}
HEAD = """
name = "One race"

[[person]]
id = "ann"
name = "Ann"

[[person]]
id = "bo"
name = "Bo"

[[allowance]]
id = "one"
name = "Example: one small piece"
concept = "piece"
pieces = 1
mass = "2200 g"
cabin = { pieces = 1, mass = "1 kg" }

[[allowance]]
id = "both"
name = "Example: added up"
concept = "weight"
mass = "1700 g"
pooled = true
cabin = { pieces = 1, mass = "1 kg" }

[[leg]]
id = "out"
name = "There"
allowance = "one"
day = 2026-12-04
screening = ["eu"]

[[leg]]
id = "on"
name = "Onward"
allowance = "both"
screening = ["eu"]

[[scale]]
id = "hook"
name = "Hook scale"
scale_step = "1 g"

[[scale]]
id = "hall"
name = "Hall scale"
scale_step = "50 g"
"""
CABIN = {"pouch": 'carriage = "cabin"\n'}
GOODS = {"pack": 'goods = { kind = "li-ion-spare-9", voltage = "18 V", charge = "2 Ah" }\n'}
PLAIN = 'goods = { kind = "none" }\n'
WEIGHED = 'known = "weighed"\nscale_step = "1 g"\n'


def trip_text(names: dict[str, str] | None = None, more: str = "") -> str:
    """The trip as its file; ``names`` are other names of bags and things, as TOML strings."""
    names = names or {}
    parts = [HEAD]
    for bag in BAGS:
        who = "bo" if bag == "roll" else "ann"
        name = names.get(bag, f'"{bag.capitalize()}"')
        parts.append(
            f'[[bag]]\nid = "{bag}"\nname = {name}\nanswers = "{who}"\n{CABIN.get(bag, "")}'
            f'tare = "{TARE[bag]} g"\ntare_{WEIGHED}'
        )
    for thing, (grams, bag) in THINGS.items():
        name = names.get(thing, f'"{thing.capitalize()}"')
        parts.append(
            f'[[item]]\nid = "{thing}"\nname = {name}\nbag = "{bag}"\nmass = "{grams} g"\n'
            f"mass_{WEIGHED}{GOODS.get(thing, PLAIN)}"
        )
    return "\n".join([*parts, more])


def with_trip(kit: Path, trip: str = "", name: str = "one-race") -> Path:
    """The kit with a trip."""
    (kit / "trips").mkdir(exist_ok=True)
    (kit / "trips" / f"{name}.toml").write_text(trip or trip_text(), encoding="utf-8")
    return kit


def on_disk(kit: Path, pilot: Pilot[Any]) -> Flight:
    """The trip as its files say now."""
    return open_flight(open_kit(kit), None, pilot.app.picture.today)


def lies(kit: Path, pilot: Pilot[Any]) -> dict[str, str | None]:
    """Where each thing lies by the files."""
    flight = on_disk(kit, pilot)
    return {copy.id: flight.now.get(copy.id, copy.bag) for copy in flight.contents}


async def to_flight(pilot: Pilot[Any], words: str = "Enter: what lies in it") -> Flying:
    """Go to Flight and wait until it stands there."""
    await pilot.press("f10")
    await shows(pilot, words)
    place = pilot.app.place
    assert isinstance(place, Flying)
    return place


async def written(pilot: Pilot[Any]) -> None:
    """Wait until all that was done is on the disk."""
    place = pilot.app.place
    await until(pilot, lambda: place.pen is not None and not place.pen.waits, "written", LONG)


def bar_of(pilot: Pilot[Any], name: str) -> str:
    """The line of the bars with this name."""
    return next(line for line in screen_text(pilot.app).splitlines() if f"  {name}" in line)


# ---- the bars


def load(low: int, grams: int, high: int, limit: int | None) -> Load:
    """A mass with an interval, against a limit; u is such that U = 2 u gives it."""
    return Load(0, Total(grams, (high - low) / 4, 0.0), limit, "")


@settings(max_examples=200, deadline=None)
@given(
    grams=st.integers(0, 60_000),
    wide=st.integers(0, 9_000),
    limit=st.integers(1, 40_000),
    width=st.integers(9, 60),
    span=st.floats(1.25, 2.5),
)
def test_a_bar_says_what_the_verdict_says(
    grams: int, wide: int, limit: int, width: int, span: float
) -> None:
    """Something stands behind the limit exactly when the mass may be over it (U = 2 u, as in
    ILAC-G8:09/2019), the expected mass behind it exactly when it is over; all within one cell.
    """
    one = load(grams - wide, grams, grams + wide, limit)
    bar = gauge(one, width, span).plain
    assert len(bar) == width
    before, mark, behind = bar.partition(LIMIT)
    assert mark
    high = one.total.interval()[1]
    assert bool(behind.strip()) is (high > limit)
    assert (
        (ABOUT in behind or behind[-1] == ">") if one.verdict is Verdict.OVER else (ABOUT in before)
    )
    if one.verdict is not Verdict.OVER:
        # true to scale: one cell stands for limit / len(before) grams
        assert abs(before.index(ABOUT) - grams / limit * len(before)) <= 1
        sure = len(before) - len(before.lstrip(SURELY))
        assert sure <= max(0, one.total.interval()[0]) / limit * len(before)
    assert OVER not in before


def test_no_limit_no_bar() -> None:
    """What has no limit is not drawn against one."""
    assert gauge(load(1, 2, 3, None), 20, 1.25).plain == ""


async def test_reading_the_bars_leg_by_leg(small: Path, opened) -> None:
    """Each bag with mass, limit and verdict in words; l goes leg by leg, then all of them."""
    async with opened(with_trip(small)) as pilot:
        place = await to_flight(pilot)
        for words in (
            "One race, 2026-12-04, in 14 days",
            "DOES NOT FIT: 1 over, 1 to take out or move.",
            WHO_DECIDES,
            "they are the carrier's to set",
            "Case: 2.40 kg (2.40 to 2.40 kg) of 2.20 kg: over (There",
            "Case: 3 things 1400 g + empty 1000 g = 2400 g",
        ):
            await shows(pilot, words)
        assert "2.40 of 2.20  OVER" in bar_of(pilot, "Case")
        assert re.search(rf"{SURELY}+.*{LIMIT}{OVER}*{ABOUT}", bar_of(pilot, "Case"))
        assert "0.75 of 2.20  fits" in bar_of(pilot, "Roll")
        # 2400 g and 750 g, of twice 1700 g
        assert "3.15 of 3.40  fits" in bar_of(pilot, "Ann + Bo, together")
        await pilot.press("down", "down", "down")
        await shows(pilot, "In the bags of Ann + Bo, together: > Anvil Case 700 g weighed hold")
        await pilot.press("l")
        await shows(pilot, "There limit")
        assert "together" not in text(pilot)
        await pilot.press("l")
        await shows(pilot, "Onward limit")
        assert "2.40 of 3.40  fits" in bar_of(pilot, "Case")
        await pilot.press("l")
        await shows(pilot, "bag leg")
        assert len(place.bars.lines) == 2 * len(BAGS) + 2
        await pilot.press("l")
        await shows(pilot, "strictest leg")


# ---- things in and out


async def test_shifting_a_thing_and_taking_that_back(small: Path, opened) -> None:
    """One digit: both bars follow before the disk does; u takes it back; 0 takes it out of all."""
    async with opened(with_trip(small)) as pilot:
        place = await to_flight(pilot)
        await pilot.press("enter")
        await shows(pilot, "1 to 3: into that bag")
        assert place.items.cursor_key == "anvil"
        await pilot.press("2")
        await shows(pilot, "Anvil (700 g) into Roll. u takes it back.")
        assert "1.70 of 2.20  fits" in bar_of(pilot, "Case")
        assert "1.45 of 2.20  fits" in bar_of(pilot, "Roll")
        await written(pilot)
        assert lies(small, pilot)["anvil"] == "roll"
        assert place.items.cursor_key == "drift"
        await pilot.press("0", "3")
        await shows(pilot, "File (300 g) into Pouch.")
        await written(pilot)
        assert lies(small, pilot) == {
            "anvil": "roll", "drift": None, "file": "pouch", "pack": "roll",
        }  # fmt: skip
        await pilot.press("escape", "0")
        await shows(pilot, "In no bag, so it does not fly: > Drift 400 g weighed hold")
        await pilot.press("up")
        await shows(pilot, "Roll: 2 things 950 g + empty 500 g = 1450 g")
        await pilot.press("u", "u")
        await shows(pilot, "Taken back: Drift (400 g) out of all bags.")
        await pilot.press("u", "u")
        await told(pilot, "Nothing was shifted here")
        await written(pilot)
        assert lies(small, pilot) == {thing: bag for thing, (_, bag) in THINGS.items()}
        await pilot.press("b")
        await shows(pilot, "Enter: what lies in it")


async def test_what_is_shown_adds_up_to_the_gram(small: Path, opened) -> None:
    """After any moves by keys each bag shows its things and its empty mass, worked out by hand."""
    dice = random.Random(4)
    account = {thing: bag for thing, (_, bag) in THINGS.items()}
    async with opened(with_trip(small)) as pilot:
        place = await to_flight(pilot)
        for _ in range(5):
            thing = dice.choice([t for t, bag in account.items() if bag is not None])
            target = dice.choice([b for b in (*BAGS, None) if b != account[thing]])
            await pilot.press("b", str(BAGS.index(account[thing]) + 1), "enter")
            await until(pilot, lambda: pilot.app.focused is place.items, "the things")
            place.items.move_to(thing)
            await pilot.press("0" if target is None else str(BAGS.index(target) + 1))
            account[thing] = target
            for n, bag in enumerate(BAGS, 1):
                await pilot.press("b", str(n))
                mass = sum(THINGS[t][0] for t, b in account.items() if b == bag)
                total = mass + TARE[bag]
                await shows(pilot, f"{mass} g + empty {TARE[bag]} g = {total} g")
                line = next(line for line in place.bars.lines if line.key == bag)
                assert line.load is not None
                assert line.load.total.grams == total
        await written(pilot)
        assert lies(small, pilot) == account


async def test_shifting_by_menu_and_mouse(small: Path, opened) -> None:
    """A click marks, a second one opens: the bag, then the menu of bags for a thing."""
    async with opened(with_trip(small)) as pilot:
        place = await to_flight(pilot)
        await pilot.click(place.bars, offset=(10, 2))
        await shows(pilot, "Roll: 1 thing 250 g")
        await pilot.click(place.bars, offset=(10, 2))
        await until(pilot, lambda: pilot.app.focused is place.items, "the things")
        for _ in range(2):
            await pilot.click(place.items, offset=(6, 0))
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the menu of bags")
        assert "3 Pouch" in text(pilot)
        await pilot.press("3")
        await shows(pilot, "Pack (250 g) into Pouch.")
        # the spare battery is where it may fly now
        await shows(pilot, "DOES NOT FIT: 1 over.")
        await written(pilot)
        assert lies(small, pilot)["pack"] == "pouch"


async def test_what_is_fixed_stays_and_another_windows_move_is_seen(small: Path, opened) -> None:
    """Refused in words, nothing changes; what is stowed elsewhere comes to this screen."""
    text_of = trip_text().replace('id = "anvil"\n', 'id = "anvil"\nfixed = true\n')
    async with opened(with_trip(small, text_of)) as pilot:
        place = await to_flight(pilot)
        await pilot.press("enter", "2")
        await told(pilot, "Anvil stays in its bag")
        assert "2.40 of 2.20  OVER" in bar_of(pilot, "Case")
        await pilot.press("9")
        await told(pilot, "There is no bag 9")
        (small / "packings").mkdir()
        (small / "packings" / "one-race.toml").write_text(
            'trip = "one-race"\n[[packed]]\nitem = "file"\nbag = "roll"\n', encoding="utf-8"
        )
        await until(
            pilot, lambda: "2.10 of 2.20" in bar_of(pilot, "Case"), "the other's move", LONG
        )
        assert place.view is not None


async def test_what_is_not_written_yet_is_written_on_leaving(small: Path, opened) -> None:
    """With a session that never gets to it: it is told as being written, and q loses none."""
    async with opened(with_trip(small)) as pilot:
        pilot.app.write = lambda do, said: None
        await to_flight(pilot)
        await pilot.press("enter", "2", "3")
        await shows(pilot, "Drift (400 g) into Pouch. u takes it back. Being written.")
        assert lies(small, pilot)["drift"] == "case"
        await pilot.press("q")
    after = lies(small, pilot)
    assert (after["anvil"], after["drift"], after["file"]) == ("roll", "pouch", "case")


# ---- findings, plan


async def test_findings_name_the_thing_and_it_is_moved_from_there(small: Path, opened) -> None:
    """From Ready's finding to f: what to do, why, by which source; a digit moves what it names."""
    # A week before the flight Ready begins to ask for it, with a finding of its own.
    soon = trip_text().replace("2026-12-04", "2026-11-25")
    async with opened(with_trip(small, soon)) as pilot:
        await shows(pilot, "F10 Flight")
        await pilot.press("enter")
        await shows(pilot, "Enter: what lies in it")
        await pilot.press("f")
        for words in ("TO CABIN Pack Roll", "Move it to the cabin.", "Wh", "[", WHO_DECIDES):
            await shows(pilot, words)
        await pilot.press("3")
        await shows(pilot, "Pack (250 g) into Pouch.")
        await until(pilot, lambda: "TO CABIN" not in text(pilot), "nothing more of it")
        await pilot.press("escape")
        await shows(pilot, "0.45 of 1.00 fits")
        # without anything in a hold bag there is nothing that counts together
        await pilot.press("1", "enter", "0", "0", "0")
        await until(pilot, lambda: "together" not in text(pilot), "no bags together")
        await shows(pilot, "FITS as far as")
        await pilot.press("a")
        await told(pilot, "There is no plan to take yet.")


async def test_planning_taking_and_a_what_if(small: Path, opened) -> None:
    """p seeks and shows moves, cost and proof; a takes it; what-ifs cannot be taken.

    By hand: one thing must leave the case; the anvil in the roll leaves 500 g below the
    tightest limit, the drift would leave 200, the file 100. The battery goes to the cabin.
    """
    async with opened(with_trip(small)) as pilot:
        place = await to_flight(pilot)
        await pilot.press("p")
        for words in (
            "2 things to move, nothing to pay. a says that it is packed so.",
            "Proved: no packing is better",
            "- Anvil: Case to Roll",
            "- Pack: Roll to Pouch",
            "Packed so: FITS as far as the figures and rules here go.",
        ):
            await shows(pilot, words)
        assert lies(small, pilot)["anvil"] == "case"
        await each_size(pilot, "flight-plan")
        await pilot.resize_terminal(80, 24)
        await pilot.press("b", "a")
        await told(pilot, "Look at what it moves first")
        await pilot.press("a")
        await shows(pilot, "TAKEN: it is written down as packed so.")
        await shows(pilot, "FITS as far as")
        await written(pilot)
        assert lies(small, pilot) == {
            "anvil": "roll", "drift": "case", "file": "case", "pack": "pouch",
        }  # fmt: skip
        await pilot.press("u")
        await shows(pilot, "Taken back: The plan.")
        await written(pilot)
        assert lies(small, pilot) == {thing: bag for thing, (_, bag) in THINGS.items()}
        # something else is moved: the plan is told to be old, and is not taken
        await pilot.press("b", "1", "enter", "2", "p")
        await shows(pilot, "OLD: things have changed since")
        await pilot.press("a")
        await told(pilot, "have changed since this plan was made")
        await pilot.press("i", "k")
        await until(pilot, lambda: place.query_one(AskLine).asking, "the line")
        assert place.query_one(AskLine).typed == "32 kg"
        await pilot.press("enter")
        await shows(pilot, "If each hold bag might weigh 32.00 kg: 1 thing to move")
        await pilot.press("a")
        await told(pilot, "A what-if cannot be taken")


async def test_reasons_when_nothing_can_be_packed(small: Path, opened) -> None:
    """What has to fly and is too heavy for every bag: the limit and what would help."""
    heavy = trip_text().replace('mass = "700 g"', 'mass = "2 kg"')
    heavy = heavy.replace('name = "One race"', 'name = "One race"\nmust = ["anvil"]')
    async with opened(with_trip(small, heavy)) as pilot:
        await to_flight(pilot)
        await pilot.press("p")
        await shows(pilot, "There is no packing that keeps all limits:")
        await shows(pilot, "These limits cannot all be kept")
        await shows(pilot, "What would help:")


class Waiting:
    """In the place of the search: it goes on until it is stopped."""

    def __init__(self) -> None:
        self.begun = threading.Event()

    def seek(self, flight: Flight, wish: Any, *, watcher: Any, stop: Callable[[], bool]) -> Any:
        """Wait for the stop, then find nothing."""
        watcher.started()
        self.begun.set()
        gate = threading.Event()
        while not stop():
            gate.wait(0.01)
        raise DeskError("stopped by the test")


async def test_a_search_is_stopped_and_goes_when_the_screens_are_left(
    small: Path, opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """x ends it, a second p is refused meanwhile; leaving ends it too."""
    one = Waiting()
    monkeypatch.setattr(flight_search, "seek_packing", one.seek)
    async with opened(with_trip(small)) as pilot:
        await to_flight(pilot)
        await pilot.press("x")
        await told(pilot, "Nothing is being searched.")
        await pilot.press("p")
        await shows(pilot, "no packing yet. x stops it with what it has.")
        await pilot.press("p")
        await told(pilot, "A search is under way")
        await pilot.press("x")
        await shows(pilot, "stopped by the test")
        assert not pilot.app.works
        one.begun.clear()
        await pilot.press("p")
        await until(pilot, one.begun.is_set, "another search")
        thread = pilot.app.works[0][1]
        await pilot.press("q")
    assert not thread.is_alive()


# ---- weighing


async def test_weighing_a_bag_says_what_may_be_behind_it(small: Path, opened) -> None:
    """A strict reading, its fault at the field; which scale; what is missing, by its mass."""
    async with opened(with_trip(small)) as pilot:
        place = await to_flight(pilot)
        await pilot.press("w", *"2.1", "enter")
        await shows(pilot, '"2.1": has no unit')
        assert place.half_filled()
        await pilot.press("space", *"kg", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "which scale")
        await pilot.press("1")
        # 2400 g by the list, 2100 g on the scale: the file weighs 300 g
        for words in ("300 g lighter", "missing: File", "Stored in trips/one-race.toml"):
            await shows(pilot, words)
        weighed = on_disk(small, pilot).trip.weighings
        assert [(w.bag, w.reading_g, w.scale) for w in weighed] == [("case", 2100, "hook")]
        await pilot.press("escape")
        await shows(pilot, "its reading of 2026-11-20: 2100 g, which counts")
        assert "2.10 of 2.20" in bar_of(pilot, "Case")
        # The key for undo takes no older shift back in place of the reading.
        await pilot.press("u")
        await told(pilot, "A reading is not taken back")
        assert "2.10 of 2.20" in bar_of(pilot, "Case")
        await pilot.press("u")
        await told(pilot, "Nothing was shifted here")
        await pilot.press("down", "down", "down", "w")
        await told(pilot, "Mark one bag first")
        await pilot.press("1", "w", "escape")
        await until(pilot, lambda: not place.query_one(AskLine).asking, "the line gone")
        assert pilot.app.focused is place.bars
        # Far more than anything known weighs: open, until it is decided with a reason.
        await pilot.press("w", *"9", "space", *"kg", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "which scale")
        await pilot.press("1")
        await shows(pilot, "Nothing on the lists explains it")
        await shows(pilot, "1 other matter to settle")
        await pilot.press("escape", "w")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "what becomes of it")
        await pilot.press("c")
        await shows(pilot, "Why 9 kg counts")
        await pilot.press(*"[b]tent", "enter")
        await shows(pilot, "Accepted by Tester: [b]tent.")
        weighed = on_disk(small, pilot).trip.weighings
        assert [(w.accepted, w.by) for w in weighed[1:]] == [("", ""), ("[b]tent", "Tester")]


# ---- the list of the night before, and sheets


async def test_the_list_is_ticked_and_sheets_are_written(
    small: Path, opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Space ticks into the journal, n notes, x carries over, u takes back; weighing is asked.

    e writes a Markdown and an HTML file for each bag into the folder one started from.
    """
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    async with opened(with_trip(small)) as pilot:
        place = await to_flight(pilot)
        await pilot.press("c")
        await shows(pilot, "0 of ")
        lines = place.checks.list
        await until(pilot, lambda: pilot.app.focused is lines.rows, "the list")
        first, second = (line.key for line in lines.lines[:2])
        await pilot.press("space")
        await shows(pilot, "1 of ")
        await pilot.press("n", *"asked", "enter")
        await until(
            pilot, lambda: any(line.note == "asked" for line in lines.lines), "the note", LONG
        )
        await pilot.press("x")
        await shows(pilot, "1 carried over")
        listed = preflight(on_disk(small, pilot))
        assert listed.line(first).state is LineState.DONE
        assert (listed.line(second).state, listed.line(second).note) == (LineState.CARRIED, "asked")
        await pilot.press("u")
        await until(pilot, lambda: lines.lines[1].state == "open", "taken back", LONG)
        lines.rows.move_to("weigh:roll")
        await pilot.press("space")
        await shows(pilot, "Roll on the scale")
        await pilot.press(*"750 g", "enter", "1")
        await shows(pilot, "the same to the gram")
        await pilot.press("c")
        await until(
            pilot,
            lambda: any(one.key == "weigh:roll" and one.state == "done" for one in lines.lines),
            "done by the reading",
            LONG,
        )
        await pilot.press("e")
        await shows(pilot, "Open the HTML files in a browser")
    found = {path.suffix for path in (tmp_path / "here" / "sheets-one-race").iterdir()}
    assert found == {".md", ".html"}


# ---- no trip, several trips, faults


async def test_without_a_trip_it_says_how_to_begin_one(small: Path, opened) -> None:
    """Words instead of bags; keys do no harm; a trip that comes is shown; faults are named."""
    async with opened(small) as pilot:
        await to_flight(pilot, 'Begin one in a terminal with "toolbox trip NAME"')
        assert " ".join(NO_TRIP.split()) in text(pilot)
        await pilot.press("enter", "1", "0", "l", "m", "p", "a", "w", "c", "f", "u", "e", "b")
        with_trip(small)
        await shows(pilot, "DOES NOT FIT: 1 over")
        with_trip(small, trip_text().replace('bag = "roll"', 'bag = "rol"'))
        await shows(pilot, "A trip cannot be read.")
        await shows(pilot, "trips/one-race.toml")


async def test_the_next_of_several_trips(small: Path, opened) -> None:
    """m goes round; what is shifted goes into the packing of the trip that is seen."""
    with_trip(small)
    with_trip(small, trip_text().replace("One race", "Later race"), "later")
    async with opened(small) as pilot:
        await to_flight(pilot)
        before = "Later race" in text(pilot)
        await pilot.press("m")
        await shows(pilot, "One race, 2026" if before else "Later race, 2026")
        await pilot.press("enter", "2")
        await written(pilot)
        seen = "one-race" if before else "later"
        assert [path.stem for path in (small / "packings").iterdir()] == [seen]
        await pilot.press("m")
        await shows(pilot, "Later race, 2026" if before else "One race, 2026")


# ---- how it looks, and any name


async def test_flight_as_it_looks(demo: Path, opened) -> None:
    """The demo's trip: bags, findings, the list, at every size."""
    async with opened(demo) as pilot:
        place = await to_flight(pilot)
        await each_size(pilot, "flight")
        await pilot.press("f")
        await shows(pilot, "1 to 5: into that bag")
        await each_size(pilot, "flight-findings")
        await pilot.press("c")
        await until(pilot, lambda: pilot.app.focused is place.checks.list.rows, "the list")
        await each_size(pilot, "flight-list")


ODD = (
    "[bold]bag[/", "\u202egab\u202c", "e\u0301\u0301 [/]]\\[", "\u6f22" * 150, "and\u200d joined",
    "x" * 300, "\u0634\u0645\u0627\u0644",
)  # fmt: skip
NAMES = st.lists(
    st.one_of(st.text(max_size=40), st.text("[]/\\~>漢של\u0301\u202e\u200d\x1b\t\n", max_size=300)),
    min_size=1,
    max_size=6,
)


async def test_any_name_may_stand_in_it(small: Path, opened) -> None:
    """Whatever bags and things are called, each line is as wide as its list, and all is there.

    With odd names in the trip's file every pane, menu and question is gone through as well.
    """
    names = {name: json.dumps(odd) for name, odd in zip((*BAGS, *THINGS), ODD, strict=True)}
    async with opened(with_trip(small, trip_text(names)), size=(60, 20)) as pilot:
        place = await to_flight(pilot)
        seen = ""
        for keys in ("enter", "enter", "2", "w", "escape", "c", "p", "b", "l", "f"):
            await pilot.press(keys)
            seen += screen_text(pilot.app) + "\n"
        await until(pilot, lambda: not place.plan.running, "the plan", LONG)
        await pilot.press("p")
        seen += screen_text(pilot.app)
        assert all(cell_len(line) <= 60 for line in seen.splitlines())
        assert not set(seen) & set("\u202e\u202c\u200d\t\x1b")
        await pilot.press("f")
        await shows(pilot, "TO CABIN")
        found = place.query_one("#findings")

        @settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
        @given(NAMES)
        def shown(names: list[str]) -> None:
            one = load(1, 2, 3, 2)
            lines = [BarLine(str(n), "1", name, ("case",), one, "OVER", name, name)
                     for n, name in enumerate(names)]  # fmt: skip
            place.bars.show(tuple(lines), names[0], True)
            things = [ItemLine(str(n), name, 9, "weighed", "hold", True, False, name)
                      for n, name in enumerate(names)]  # fmt: skip
            place.items.refill(type(place.items.source)(things, 2))
            found.show(tuple(FindingLine(str(n), "ASK", name, name, (), name)
                             for n, name in enumerate(names)))  # fmt: skip
            place.plan.more([f"- {name}" for name in names])
            width = found.rows.scrollable_content_region.width
            for y in range(len(names)):
                assert found.rows.render_line(y).cell_length == width
                assert place.bars.source.cells(y)[1].plain == clean(names[y])
            assert place.items.source.cells(0)[0].plain == clean(names[0])

        shown()
        assert all(cell_len(line) <= 60 for line in screen_text(pilot.app).splitlines())
        assert isinstance(place.query_one(AskLine).query_one(Entry), Entry)
