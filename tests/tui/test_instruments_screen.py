"""Checks: the due list, a check entered and judged, events, winding down, what to set, gauges.

The instruments are few and their verdicts can be worked out by hand; the numbers stand in
the tests.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import screen_text, until
from planned import LONG, each_size, shows, text, told
from rich.cells import cell_len
from textual.pilot import Pilot

from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.instrument_checks import (
    TypedCheck,
    TypedReference,
    check_fact,
    judge_typed,
    write_of_instruments,
)
from toolbox.desk.instrument_sheet import (
    begun,
    check_sheet,
    fill_check,
    proposed,
    reference_before,
    write_check,
)
from toolbox.desk.instrument_view import about, due_lines, picture
from toolbox.desk.instruments import CAUTION, stands
from toolbox.kit.checking import EventKind, InstrumentChecked, InstrumentEvent, Verdict, WoundDown
from toolbox.tui.menu import Menu
from toolbox.tui.screens.instruments import Instruments
from toolbox.tui.screens.instruments_look import DueSource, about_text
from toolbox.tui.text import clean
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.rows import Rows

SIZE = 'mass = "100 g"\nlength = "90 mm"\nwidth = "60 mm"\nheight = "40 mm"\n'
# On 2026-11-20: TW out since 2026-03-01 (its 12 months end on 28 February), HG out but at
# home, PG due on 30 November, DG and SG in date.
TOOLS = f"""
[[tool]]
id = "DG"
name = "Digital gauge"
{SIZE}[tool.instrument]
last_check = 2026-01-10
every_months = 24
tolerance = "0.05 bar"
highest = "4 bar"
step = "0.01 bar"

[[tool]]
id = "SG"
name = "Spacer gauge"
{SIZE}[tool.gauge]
purpose = "rear hub"
dimension = "thickness"
nominal = "12.05 mm"
lowest = "12 mm"
highest = "12.1 mm"

[[tool]]
id = "PG"
name = "Dial gauge"
{SIZE}[tool.instrument]
last_check = 2024-11-30
every_months = 24
accuracy = "1.6"
highest = "10 bar"
step = "0.1 bar"

[[tool]]
id = "HG"
name = "Home gauge"
carried = false
{SIZE}[tool.instrument]
last_check = 2020-01-01
every_months = 12

[[tool]]
id = "TW"
name = "Torque wrench"
{SIZE}[tool.instrument]
last_check = 2025-02-28
every_months = 12
every_uses = 3000
accuracy = "II A"
lowest = "2 N·m"
highest = "10 N·m"
step = "0.1 N·m"
"""
MASTER = TypedReference("master", certificate="0.005 bar")
NAMES = st.lists(
    st.one_of(
        st.text(max_size=40),
        st.text("[]/\\~>漢字שלוםمفتاح\u0301\u202e\u200d\ufe0f\x1b\t\n", max_size=300),
    ),
    min_size=1,
    max_size=4,
)


def with_instruments(kit: Path) -> Path:
    """The small kit with five instruments."""
    path = kit / "tools.toml"
    path.write_text(path.read_text(encoding="utf-8") + TOOLS, encoding="utf-8")
    return kit


def with_checks(kit: Path) -> Path:
    """The digital gauge checked three times: it shows 0.01, 0.02, 0.03 bar too little."""
    folder = open_kit(with_instruments(kit))
    tool = folder.kit.tool("DG")
    for month, off in ((2, "01"), (5, "02"), (8, "03")):
        at = datetime(2026, month, 3, 10, tzinfo=UTC)
        read = tuple(f"{bar}@{bar}={bar}.{off}" for bar in (1, 2, 3))
        result = judge_typed(tool, TypedCheck(MASTER, read))
        write_of_instruments(folder, [check_fact(tool, result)], When(at, at, "Ann"))
    return kit


def said(kit: Path) -> list[Any]:
    """What the journal holds of instruments, oldest first."""
    kinds = (InstrumentChecked, InstrumentEvent, WoundDown)
    return [fact.what for fact in open_kit(kit).live if isinstance(fact.what, kinds)]


async def to_checks(pilot: Pilot[Any]) -> Instruments:
    """Go there by its letter, and wait for the list."""
    await pilot.press("g", "i")
    await until(pilot, lambda: isinstance(pilot.app.place, Instruments), "Checks", LONG)
    place = pilot.app.place
    assert isinstance(place, Instruments)
    # on the day that is looked at, so that what is written counts at once
    pilot.app.now = lambda: datetime(2026, 11, 20, 18, tzinfo=UTC)
    await until(pilot, lambda: place.lines and place.rows.has_focus, "the list", LONG)
    return place


async def mark(pilot: Pilot[Any], tool: str) -> None:
    """Put the cursor on an instrument, by the arrows."""
    keys = [line.key for line in pilot.app.place.lines]
    await pilot.press("home", *["down"] * keys.index(tool))
    await until(pilot, lambda: pilot.app.place.rows.cursor_key == tool, tool)


async def type_lines(pilot: Pilot[Any], *lines: str) -> None:
    """Fill in lines of a sheet, each ended by Enter."""
    for line in lines:
        entry = pilot.app.focused
        assert isinstance(entry, Entry)
        entry.value = line
        await pilot.press("enter")
        await pilot.pause()


# ---- the rules of the screen, without it


def test_the_most_urgent_comes_first(small: Path) -> None:
    """Out and travelling, out at home, due soon, then the rest by the day their check holds."""
    lines = due_lines(open_kit(with_instruments(small)), date(2026, 11, 20))
    found = [(line.key, line.state.value, line.short, line.since, line.left) for line in lines]
    assert found == [
        ("TW", "OUT", "too long ago", "2026-03-01", "3000"),
        ("HG", "OUT", "too long ago", "2021-01-02", ""),
        ("PG", "DUE SOON", "by 2026-11-30", "", ""),
        ("DG", "OK", "", "", ""),
        ("SG", "OK", "", "", ""),
    ]


def test_points_are_those_the_standards_ask_for(small: Path) -> None:
    """ISO 6789: lowest mark, 60 and 100 %; EN 837-1: five points for class 1.6 (from memory)."""
    kit = open_kit(with_instruments(small)).kit
    assert proposed(kit.tool("TW")) == (2000, 6000, 10_000)
    assert proposed(kit.tool("PG")) == (200_000, 400_000, 600_000, 800_000, 1_000_000)
    keys = [line.key for line in check_sheet(kit.tool("PG"))]
    assert keys[5:11] == [*(f"up:{p}00000" for p in (2, 4, 6, 8, 10)), "up:other"]
    assert keys[11:17] == [*(f"down:{p}00000" for p in (10, 8, 6, 4, 2)), "down:other"]
    assert [line.key for line in check_sheet(kit.tool("SG"))][5:6] == ["measured"]
    with pytest.raises(DeskError, match="nothing says how far off Home gauge may be"):
        check_sheet(kit.tool("HG"))


def test_each_fault_stands_at_its_line(small: Path) -> None:
    """All faults at once, each with its own line; nothing is judged before they are mended."""
    tool = open_kit(with_instruments(small)).kit.tool("PG")
    wrong = {
        "limit": "0.02 ba", "certificate": "much", "coverage": "0", "digit": "x",
        "up:200000": "2.0o", "down:200000": "3=x", "up:other": "5", "celsius": "warm",
    }  # fmt: skip
    found = fill_check(tool, wrong)
    assert set(found.faults) == set(wrong)
    assert found.result is None
    both = fill_check(tool, {"limit": "1 %", "certificate": "0.01 bar"})
    assert set(both.faults) == {"certificate"}
    none = fill_check(tool, {"up:200000": "2.01"})
    assert not none.faults
    assert "say how far the reference may be off" in none.refused[0]
    assert not begun({"reference": "master", "note": "cold"})
    assert begun({"down:other": "2=2"})


def test_a_sheet_gives_the_readings_that_were_meant(small: Path) -> None:
    """Several readings of a line, units, decimal commas, another value shown, both ways."""
    tool = open_kit(with_instruments(small)).kit.tool("PG")
    values = {f"up:{p}00000": f"{p}.02" for p in (2, 4, 6, 8)} | {
        "up:1000000": "10.02 bar 10,03 bar", "down:200000": "2.1=2.0", "limit": "0.01 bar",
    }  # fmt: skip
    result = fill_check(tool, values).result
    assert result is not None
    read = [(r.at, r.shown, r.reference, r.way.value) for r in result.check.readings]
    assert read[-3:] == [
        (1_000_000, 1_000_000, 1_002_000, "rising"),
        (1_000_000, 1_000_000, 1_003_000, "rising"),
        (200_000, 210_000, 200_000, "falling"),
    ]
    # class 1.6 of 10 bar is 0.16 bar (EN 837-1); rising -0.02, falling +0.1 bar: inside
    assert result.hysteresis is not None
    assert abs(result.hysteresis.value) == 12_000
    # U = 2 * hypot(0.01 / sqrt(3), 0.1 / sqrt(12)) = 0.059 bar: 0.12 lies within 0.16, but not
    # within 0.16 - 0.059 (ILAC-G8:09/2019)
    assert result.verdict is Verdict.CONDITIONAL_PASS
    made = open_kit(small).kit.tool("SG")
    measured = fill_check(made, {"measured": "12.04 12.06 mm", "limit": "0.005 mm"}).result
    assert measured is not None
    assert [r.reference for r in measured.check.readings] == [12_040, 12_060]


def test_nothing_is_written_without_a_verdict(small: Path) -> None:
    """Refused with its reasons, whether a line is wrong or a point is missing."""
    folder = open_kit(with_instruments(small))
    at = datetime(2026, 11, 20, 9, tzinfo=UTC)
    for values, why in (
        ({"limit": "0.5 %", "up:2000": "2.01"}, "no reading at 60 % of its maximum"),
        ({"limit": "0.5 bar", "up:2000": "2.01"}, "not of torque"),
    ):
        with pytest.raises(DeskError, match=f"{why}.*Nothing was written"):
            write_check(folder, "TW", values, When(at, at, "Ann"))
    assert said(small) == []


def test_the_reference_of_the_last_check_is_proposed(small: Path) -> None:
    """As it would be typed again; nothing for an instrument without checks."""
    folder = open_kit(with_checks(small))
    tool = folder.kit.tool("DG")
    before = reference_before(tool, folder.live)
    assert before == {"reference": "master", "certificate": "0.005 bar", "coverage": "2"}
    assert fill_check(tool, before | {"up:80000": "0.8"}).has_verdict
    assert reference_before(folder.kit.tool("PG"), folder.live) == {}


def test_pictures_fit_every_width(small: Path) -> None:
    """From 32 columns on no line is longer than asked, and limits stand below each other."""
    folder = open_kit(with_checks(small))
    today = date(2026, 11, 20)
    line = next(line for line in due_lines(folder, today) if line.key == "DG")
    found = about(folder, line, today)
    assert len(found.course) == 3
    for width in range(32, 121):
        for lines in (found.last, found.course):
            drawn = picture(lines, width)
            assert all(len(one) <= width for one in drawn), (width, drawn)
        bars = [one for one in picture(found.course, width) if one.startswith("2026")]
        assert len(bars) == 3
        assert len({(one.index("["), one.index("]")) for one in bars}) == 1
        assert all(len(one.plain) <= width for one in about_text(found, width).split("\n"))


# ---- by keyboard


async def test_a_check_is_entered_judged_and_written(small: Path, opened) -> None:
    """Torque wrench: faults at the line, no verdict with a point missing, then fail, written."""
    async with opened(with_instruments(small)) as pilot:
        place = await to_checks(pilot)
        await shows(pilot, "2 of 5 out, 1 due soon")
        await shows(pilot, CAUTION)
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the sheet")
        await type_lines(pilot, "tester", "0.5 bar")
        await shows(pilot, "bar is a unit of pressure, not of torque")
        await pilot.press("up")
        await type_lines(pilot, "0.5 %", "", "", "", "2.0 2.01 2.0 2.01 2.0", "6 6 6 6 6")
        await pilot.press("escape")
        await shows(pilot, "no reading at 100 % of its maximum")
        await pilot.press("enter")
        await told(pilot, "Nothing was written")
        assert said(small) == []
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the sheet again")
        # 10 set, 11 read: a_s = (10 - 11) / 11 = -9.09 %, where ISO 6789 allows 6 %
        await type_lines(pilot, "11 11 11 11 11")
        await pilot.press("escape")
        await shows(pilot, "Torque wrench: fail: outside the limits by more than the uncertainty")
        await shows(pilot, "(-9.09 %)")
        assert pilot.app.place.half_filled()
        await pilot.press("enter")
        await told(pilot, "Written: Torque wrench")
        await shows(pilot, "OUT Torque wrench failed 2026-11-20")
        await until(pilot, lambda: place.view == "list" and place.rows.has_focus, "the list")
        (check,) = said(small)
        assert (check.tool, check.verdict, len(check.readings)) == ("TW", Verdict.FAIL, 15)
        assert not place.half_filled()
        await pilot.press("u", "y")
        await told(pilot, "Taken back")
        assert said(small) == []


async def test_a_sheet_that_is_left_is_kept(small: Path, opened) -> None:
    """Escape from the verdict leaves it unwritten; c goes on with it; an empty one just goes."""
    async with opened(with_instruments(small)) as pilot:
        place = await to_checks(pilot)
        await mark(pilot, "SG")
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the sheet")
        await pilot.press("escape")
        await until(pilot, lambda: place.view == "list", "nothing typed, nothing asked")
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the sheet")
        await type_lines(pilot, "micrometer", "0.004 mm", "", "", "", "12.06")
        await pilot.press("escape")
        await shows(pilot, "pass: inside the limits")
        await pilot.press("escape")
        await shows(pilot, "Not written. c on it goes on with its check.")
        await pilot.press("c", "escape")
        await shows(pilot, "pass: inside the limits")
        await pilot.press("enter")
        await told(pilot, "Written: Spacer gauge")
        assert [one.verdict for one in said(small)] == [Verdict.PASS]


async def test_what_happened_and_winding_down(small: Path, opened) -> None:
    """h d: out at once, first of the list; w on what has a spring, refused on what has none."""
    async with opened(with_instruments(small)) as pilot:
        place = await to_checks(pilot)
        await mark(pilot, "DG")
        await pilot.press("w")
        await told(pilot, "has no spring to wind down")
        await pilot.press("h")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "what happened")
        await pilot.press("d")
        await told(pilot, "Digital gauge dropped: check it before it is used again.")
        await until(
            pilot, lambda: place.lines[1].short == "dropped", "out, and before what is at home"
        )
        assert place.rows.cursor_key == "DG"
        await mark(pilot, "TW")
        await pilot.press("w")
        await told(pilot, "Wound down: Torque wrench.")
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "who")
        await pilot.press(*"Lab", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "what they found")
        await pilot.press("p")
        await told(pilot, "Checked by Lab: Torque wrench, pass.")
        event, wound, check = said(small)
        assert (event.tool, event.kind) == ("DG", EventKind.DROP)
        assert wound == WoundDown("TW")
        assert (check.beside.name, check.verdict, check.readings) == ("Lab", Verdict.PASS, ())


async def test_what_to_set_and_gauges_compared(small: Path, opened) -> None:
    """2 bar true with 0.03 too little shown: let it show 1.97. Three gauges: the third is off."""
    async with opened(with_checks(small)) as pilot:
        await to_checks(pilot)
        await mark(pilot, "DG")
        await pilot.press("v")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "which value")
        await pilot.press(*"2 ba", "enter")
        await shows(pilot, "is no known unit of pressure")
        await pilot.press(*["backspace"] * 3, "enter")
        await shows(pilot, "For 2 bar let Digital gauge show 1.97 bar: that comes to 2 bar")
        await pilot.press("m")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the pairs")
        await type_lines(pilot, "DG=2:track=2.01", "DG=2:PG=2.5", "track=2.01:PG=2.5")
        await pilot.press("escape")
        await shows(pilot, "say the smallest step of track")
        await pilot.press("m")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the pairs again")
        await pilot.press("down", "down")  # it goes on behind the last pair
        await type_lines(pilot, "track=0.01 bar")
        await pilot.press("escape")
        await shows(pilot, "against their mean")
        # errors: 2, 2.01, 2.5 less their mean 2.17
        assert "Dial gauge: +0.33 bar" in text(pilot)
        await pilot.press("escape")
        assert len(said(small)) == 3


async def test_ready_leads_to_the_instrument_and_mouse_opens_it(small: Path, opened) -> None:
    """Enter on Ready's finding marks it here; two clicks on a row show its history."""
    async with opened(with_instruments(small)) as pilot:
        await shows(pilot, "Home gauge: check was due")
        keys = [finding.subject for finding in pilot.app.picture.findings]
        await pilot.press("home", *["down"] * keys.index("HG"), "enter")
        await until(pilot, lambda: isinstance(pilot.app.place, Instruments), "Checks", LONG)
        place = pilot.app.place
        await until(pilot, lambda: place.lines and place.rows.cursor_key == "HG", "it")
        await pilot.click(Rows, offset=(20, 3))
        await until(pilot, lambda: place.rows.cursor_key == "PG", "the third row")
        await pilot.click(Rows, offset=(20, 3))
        await shows(pilot, "Dial gauge [PG] DUE SOON check due 2026-11-30")
        await pilot.press("escape")
        await until(pilot, lambda: place.view == "list", "back")


async def test_pictures_of_the_list_the_history_and_a_verdict(small: Path, opened) -> None:
    """At all four sizes in one app: the due list, one instrument's history, a check judged."""
    async with opened(with_checks(small)) as pilot:
        place = await to_checks(pilot)
        await each_size(pilot, "instruments")
        await mark(pilot, "DG")
        await pilot.press("enter")
        await until(pilot, lambda: place.view == "about", "its history")
        await each_size(pilot, "instruments-history")
        await pilot.press("escape")
        await until(pilot, lambda: place.rows.has_focus, "the list")
        await mark(pilot, "PG")
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.focused, Entry), "the sheet")
        await type_lines(
            pilot, "master", "", "0.01 bar", "", "", "2.01", "4.1", "6.16", "8.2", "10"
        )
        await type_lines(pilot, "", "10", "8", "6", "4 b")
        await each_size(pilot, "instruments-sheet")
        await pilot.press("up")
        await type_lines(pilot, "3.95", "2")
        await pilot.press("escape")
        await until(pilot, lambda: place.view == "verdict", "the verdict")
        await each_size(pilot, "instruments-verdict")


async def test_any_name_is_shown_whole_and_harmless(small: Path, opened) -> None:
    """Brackets, right to left, marks, controls, 300 letters: in the list and in the history."""
    async with opened(with_checks(small), (60, 20)) as pilot:
        place = await to_checks(pilot)
        folder = pilot.app.folder
        line = place.lines[0]

        @settings(
            max_examples=25,
            deadline=None,
            suppress_health_check=[HealthCheck.function_scoped_fixture],
        )
        @given(NAMES)
        def shown(names: list[str]) -> None:
            lines = [renamed(folder, line.key, name, n) for n, name in enumerate(names)]
            place.rows.refill(DueSource(lines))
            width = place.rows.scrollable_content_region.width
            for y, name in enumerate(names):
                assert place.rows.render_line(y + 1).cell_length == width
                assert place.rows.source.cells(y)[1].plain == clean(name)
            laid = about_text(about(folder, lines[0], date(2026, 11, 20)), 50)
            assert all(cell_len(one.plain) <= 50 for one in laid.split("\n"))
            assert not set(laid.plain) & set("\u202e\u200d\x1b\t")

        shown()
        assert all(cell_len(one) <= 60 for one in screen_text(pilot.app).splitlines())


def renamed(folder: KitFolder, tool: str, name: str, number: int) -> Any:
    """A line of the due list whose tool bears another name."""
    from dataclasses import replace

    from toolbox.desk.instrument_view import DueLine

    stand = stands(folder.kit, folder.live, date(2026, 11, 20))[tool]
    return DueLine(replace(stand, tool=replace(stand.tool, id=f"{tool}{number}", name=name)))
