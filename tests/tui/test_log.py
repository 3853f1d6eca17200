"""Log: job steps, loose picks and supplies written down by few keys, and taken back."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from look import same_picture, screen_text, until
from textual.events import Key
from textual.pilot import Pilot

from toolbox.desk.diary import Entry, When, list_entries, log_job, pick_tools
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.likely import Choice, Sort
from toolbox.files.forms import new_kit
from toolbox.kit.facts import LoosePick, StepDone, SupplyUsed, Undone, What
from toolbox.kit.work import Draw, Pick
from toolbox.tui.menu import Menu
from toolbox.tui.screens.log import Log
from toolbox.tui.screens.log_asking import Asking, choice_line
from toolbox.tui.screens.log_entries import LastEntries
from toolbox.tui.screens.log_steps import Steps
from toolbox.tui.text import cells, clean
from toolbox.tui.widgets.entry import Entry as Line
from toolbox.tui.widgets.letters import LettersField

AT = datetime(2026, 11, 20, 10, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Tester")


def kept(kit: Path) -> list[What]:
    """What the log holds in force, undos left out, in the order of writing."""
    return [f.what for f in open_kit(kit).live if not isinstance(f.what, Undone)]


async def to_log(pilot: Pilot[Any]) -> Log:
    """Go to Log and wait for its field; from now on it is the demo's last day."""
    pilot.app.now = lambda: AT
    await press(pilot, "f3")
    await until(pilot, lambda: in_field(pilot), "the field", 15)
    assert isinstance(pilot.app.place, Log)
    return pilot.app.place


def in_field(pilot: Pilot[Any]) -> bool:
    """Whether letters go into the field."""
    held = pilot.app.focused
    return isinstance(held, Line) and held.id != "words"


def in_line(pilot: Pilot[Any]) -> bool:
    """Whether an amount or a note is asked for."""
    held = pilot.app.focused
    return isinstance(held, Line) and held.id == "words"


def in_steps(pilot: Pilot[Any]) -> bool:
    """Whether keys go to the steps of a job."""
    held = pilot.app.focused
    return held is not None and isinstance(held.parent, Steps)


def in_entries(pilot: Pilot[Any]) -> bool:
    """Whether keys go to the last entries."""
    held = pilot.app.focused
    return held is not None and isinstance(held.parent, LastEntries)


async def logged(pilot: Pilot[Any], entries: int) -> None:
    """Wait until the screen's list shows so many entries."""
    shown = pilot.app.place.query_one(LastEntries)
    await until(pilot, lambda: len(shown._entries) == entries, f"{entries} entries", 15)


async def press(pilot: Pilot[Any], *keys: str) -> None:
    """Keys at one go, as a scanner or a quick hand types; what came of them is waited for after."""
    for key in keys:
        sign = {"space": " ", "enter": "\r"}.get(key, key if len(key) == 1 else None)
        pilot.app.post_message(Key("space" if key == " " else key, sign))
    await pilot._wait_for_screen()


async def scan(pilot: Pilot[Any], code: str) -> None:
    """A code and Enter."""
    await press(pilot, *code, "enter")


async def choose(pilot: Pilot[Any], letters: str) -> None:
    """A job by letters and Enter, until its steps are there."""
    await press(pilot, *letters, "enter")
    await until(pilot, lambda: in_steps(pilot), "the steps")


async def leave(pilot: Pilot[Any]) -> None:
    """Out of the field, to the last entries."""
    await press(pilot, "escape")
    await until(pilot, lambda: in_entries(pilot), "the last entries")


async def drop(pilot: Pilot[Any], number: str) -> None:
    """The tool of the marked step with this digit is not taken, or is after all."""
    await press(pilot, "d")
    await until(pilot, lambda: in_field(pilot), "the tools to drop")
    await press(pilot, number)
    await until(pilot, lambda: in_steps(pilot), "back at the steps")


# ---- steps


async def test_a_usual_step_of_a_likely_job_takes_two_keys(small: Path, opened) -> None:
    """A digit for the job, Space for the step: logged with its usual tools, then the next."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await press(pilot, "1")
        await until(pilot, lambda: in_steps(pilot), "the steps")
        await press(pilot, "space")
        await logged(pilot, 1)
        (step,) = kept(small)
        assert isinstance(step, StepDone)
        assert (step.job, step.step, step.picks) == ("CH", 1, (Pick("CT"), Pick("K5")))
        await until(pilot, lambda: "[x]" in screen_text(pilot.app), "[x]")
        # One key more for the next step, which ends the job.
        await press(pilot, "space")
        await until(pilot, lambda: in_field(pilot), "the field again")
        await logged(pilot, 2)
        first, second = kept(small)
        assert isinstance(first, StepDone)
        assert isinstance(second, StepDone)
        assert (second.step, second.draws) == (2, (Draw("OIL", 2),))
        assert first.visit == second.visit


async def test_on_another_bike_it_takes_three(small: Path, opened) -> None:
    """The bikes have digits behind the jobs; the bike stays until another is chosen."""
    for bike in ("A1", "A2"):
        pick_tools(open_kit(small), ["K4"], WHEN, bike=bike)
    async with opened(small) as pilot:
        await to_log(pilot)
        await until(pilot, lambda: "Bike A2" in screen_text(pilot.app), "Bike A2")
        await press(pilot, "3")
        await until(pilot, lambda: "Bike A1" in screen_text(pilot.app), "the bike")
        await press(pilot, "1")
        await until(pilot, lambda: in_steps(pilot), "the steps")
        await press(pilot, "space")
        await logged(pilot, 3)
        step = kept(small)[-1]
        assert isinstance(step, StepDone)
        assert step.bike == "A1"


async def test_a_first_step_by_letters_takes_three_keys(small: Path, opened) -> None:
    """Two letters and Tab; each further step is one key. In the empty field Tab logs nothing."""
    async with opened(small) as pilot:
        log = await to_log(pilot)
        await press(pilot, "tab")
        await pilot.pause()
        assert log.job.visit is None
        await press(pilot, "f3")
        await until(pilot, lambda: in_field(pilot), "the field")
        await press(pilot, "b", "r")
        await press(pilot, "tab")
        await logged(pilot, 1)
        await until(pilot, lambda: in_steps(pilot), "the steps")
        (step,) = kept(small)
        assert isinstance(step, StepDone)
        assert (step.job, step.step, step.picks) == ("CH", 1, (Pick("CT"), Pick("K5")))
        await press(pilot, "space")
        await logged(pilot, 2)
        await until(pilot, lambda: in_field(pilot), "the field again")


async def test_two_quick_digits_are_bike_and_job(small: Path, opened) -> None:
    """3 and 1 at one go are A1 and the first job."""
    for bike in ("A1", "A2"):
        pick_tools(open_kit(small), ["K4"], WHEN, bike=bike)
    async with opened(small) as pilot:
        await to_log(pilot)
        await until(pilot, lambda: "Bike A2" in screen_text(pilot.app), "Bike A2")
        await press(pilot, "3", "1")
        await until(pilot, lambda: in_steps(pilot), "the steps")
        assert "Broken chain, bike A1: 0 of 2" in screen_text(pilot.app)


async def test_a_step_with_everything_changed(small: Path, opened) -> None:
    """A tool more, one fewer, a supply, a note, urgent; nothing is written before Space."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        await press(pilot, "a")
        await until(pilot, lambda: in_field(pilot), "the field")
        await press(pilot, *"hex 4", "enter")
        await until(pilot, lambda: in_steps(pilot), "back at the steps")
        await drop(pilot, "1")
        await press(pilot, "a")
        await until(pilot, lambda: in_field(pilot), "the field")
        await press(pilot, *"lube", "enter")
        await until(pilot, lambda: in_line(pilot), "the amount")
        await press(pilot, *"5 g", "enter")
        await until(pilot, lambda: "not of volume" in screen_text(pilot.app), "the refusal")
        await press(pilot, "backspace", "backspace", "enter")
        await until(pilot, lambda: in_steps(pilot), "back at the steps")
        await press(pilot, "n")
        await until(pilot, lambda: in_line(pilot), "the note")
        await press(pilot, *"mud", "enter")
        await until(pilot, lambda: in_steps(pilot), "back at the steps")
        await press(pilot, "e")
        await until(pilot, lambda: "URGENT" in screen_text(pilot.app), "urgent")
        assert kept(small) == []
        await press(pilot, "space")
        await logged(pilot, 1)
        (step,) = kept(small)
        assert isinstance(step, StepDone)
        # In the list too; whole above it while one goes through the entries.
        log = pilot.app.place
        assert log.entries._entries[0].words == (
            "Broken chain, step 1 (urgent, without Chain tool, "
            'with Hex key 4 mm and 5 ml of Chain lube, note "mud")'
        )
        assert "without Chain tool" in screen_text(pilot.app)
        await press(pilot, "l")
        whole = log.entries.query_one("#shift").content
        await until(pilot, lambda: 'note "mud"' in screen_text(pilot.app), f"all of it: {whole}")
        assert step.picks == (Pick("K5"), Pick("K4"))
        assert step.draws == (Draw("OIL", 5),)
        assert (step.urgent, step.note) == (True, "mud")


async def test_a_step_says_that_its_instrument_is_out(small: Path, opened) -> None:
    """A gauge over its own interval is named with the step that takes it, until it is dropped."""
    tools, jobs = small / "tools.toml", small / "jobs.toml"
    gauge = """
[[tool]]
id = "PG"
name = "Gauge [b]"
mass = "100 g"
length = "90 mm"
width = "60 mm"
height = "40 mm"
[tool.instrument]
last_check = 2024-01-10
every_months = 12
"""
    job = """
[[job]]
id = "PR"
name = "Pressures"
[[job.step]]
text = "look"
tools = ["K5"]
[[job.step]]
text = "measure"
tools = ["PG"]
"""
    tools.write_text(tools.read_text(encoding="utf-8") + gauge, encoding="utf-8")
    jobs.write_text(jobs.read_text(encoding="utf-8") + job, encoding="utf-8")
    out = "OUT Gauge [b]: check was due 2025-01-10"
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "pressures")
        await until(pilot, lambda: "1. look: " in screen_text(pilot.app), "the first step")
        assert "OUT" not in screen_text(pilot.app)
        await press(pilot, "down")
        await until(pilot, lambda: out in screen_text(pilot.app), "what is out")
        await drop(pilot, "1")
        await until(pilot, lambda: "without Gauge [b]" in screen_text(pilot.app), "dropped")
        assert "OUT" not in screen_text(pilot.app)


async def test_old_fluids_are_told_and_mixed_ones_are_asked_about(small: Path, opened) -> None:
    """Past its date: told before and after, and logged; another kind: logged only on a yes."""
    supplies, jobs = small / "supplies.toml", small / "jobs.toml"
    fluid = """
[[supply]]
id = "GLY"
name = "Glycol fluid [b]"
measure = "ml"
pack = "100 ml"
stock = "250 ml"
opened = 2024-01-01
opened_life_months = 12
fluid = "glycol"
"""
    job = """
[[job]]
id = "BL"
name = "Bleed, mineral"
[[job.step]]
text = "open the nipple"
tools = ["K5"]
[[job.step]]
text = "push it through"
supplies = { GLY = "15 ml" }
"""
    supplies.write_text(supplies.read_text(encoding="utf-8") + fluid, encoding="utf-8")
    jobs.write_text(jobs.read_text(encoding="utf-8") + job, encoding="utf-8")
    old = "Glycol fluid [b]: opened 2024-01-01, good until 2025-01-01, which is past"

    def seen(pilot: Pilot[Any], words: str) -> bool:
        return words in " ".join(screen_text(pilot.app).replace("│", " ").split())

    async with opened(small, size=(120, 40)) as pilot:
        await to_log(pilot)
        await choose(pilot, "bleed")
        await until(pilot, lambda: seen(pilot, "1. open the nipple"), "the first step")
        await press(pilot, "space")
        await until(pilot, lambda: seen(pilot, f"CAUTION {old}"), "told at the step")
        await until(pilot, lambda: len(kept(small)) == 1, "one step logged")
        # twice the same key, as a hand in gloves does: that is no yes
        await press(pilot, "space")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        mixed = "CAUTION: Bleed, mineral, step 2: Glycol fluid [b] holds glycol"
        await until(pilot, lambda: seen(pilot, mixed), "what would be mixed")
        await press(pilot, "enter")
        await until(pilot, lambda: in_steps(pilot), "back at the steps")
        await press(pilot, "space")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "asked again")
        assert len(kept(small)) == 1
        await press(pilot, "l")
        await until(pilot, lambda: len(kept(small)) == 2, "logged")
        await until(pilot, lambda: seen(pilot, f"CAUTION: {old}"), "told once more")
        await until(pilot, lambda: in_field(pilot), "the job is done")


async def test_an_enter_held_down_opens_a_job_and_logs_nothing(
    small: Path, opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As keyboards send it: again after half a second, then 30 times a second; later it counts.

    The last step taken by Enter leaves the job: held on, it opens no other one.
    """

    async def enter(pilot: Pilot[Any], at: float) -> None:
        key = Key("enter", "\r")
        key.time = at
        pilot.app.post_message(key)
        await pilot.pause()

    async with opened(small) as pilot:
        log = await to_log(pilot)
        await press(pilot, *"bro")
        await enter(pilot, 100.0)
        await until(pilot, lambda: in_steps(pilot), "the steps")
        for at in (100.5, 100.533, 100.566, 100.6):
            await enter(pilot, at)
        assert kept(small) == []
        assert log.job.left == (1, 2)
        for entries, at in ((1, 101.0), (2, 101.2)):
            await enter(pilot, at)
            await logged(pilot, entries)
        await until(pilot, lambda: in_field(pilot), "the field again")
        for at in (101.7, 101.733):
            await enter(pilot, at)
        assert in_field(pilot)
        await enter(pilot, 102.5)
        await until(pilot, lambda: in_steps(pilot), "the likeliest job")
        # Another key between is another press, however soon.
        await press(pilot, "down", "up")
        await enter(pilot, 102.6)
        await logged(pilot, 3)


async def test_the_rest_in_one_go_and_the_job_once_more(small: Path, opened) -> None:
    """f logs what is left, changed steps apart; o begins the job as a visit of its own."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        await press(pilot, "space", "o")
        await until(pilot, lambda: "0 of 2 done" in screen_text(pilot.app), "begun again")
        await drop(pilot, "2")
        await press(pilot, "f")
        await until(pilot, lambda: in_field(pilot), "the field")
        await logged(pilot, 3)
        steps = kept(small)
        assert [s.step for s in steps if isinstance(s, StepDone)] == [1, 2, 1]
        assert len({s.visit for s in steps if isinstance(s, StepDone)}) == 2
        assert steps[2].picks == (Pick("CT"),)


async def test_a_job_left_is_gone_on_with_by_another_run(small: Path, opened) -> None:
    """Escape leaves it after the first step; the program anew, it stands where it was."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        await press(pilot, "space")
        await logged(pilot, 1)
        await press(pilot, "escape")
        await until(pilot, lambda: in_field(pilot), "the field")
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        await until(
            pilot,
            lambda: "1 of 2 done, since 10:00" in screen_text(pilot.app),
            "1 of 2 done, since 10:00",
        )
        await press(pilot, "space")
        await logged(pilot, 2)
        steps = kept(small)
        assert len({s.visit for s in steps if isinstance(s, StepDone)}) == 1


async def test_a_logged_step_is_not_logged_twice_by_mistake(small: Path, opened) -> None:
    """Space on a logged step says so; taking the entry back opens the step again."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        await press(pilot, "space")
        await logged(pilot, 1)
        await press(pilot, "up", "space")
        await until(pilot, lambda: "This step is logged" in screen_text(pilot.app), "it says so")
        await press(pilot, "x")
        await until(pilot, lambda: "0 of 2 done" in screen_text(pilot.app), "open again", 15)
        assert kept(small) == []


async def test_steps_that_could_not_be_written_are_open_again(
    small: Path, opened, monkeypatch
) -> None:
    """The refusal is told, the step stands open, and so does its change."""

    def refuse(*given: object) -> Entry:
        raise DeskError("the disk is full")

    monkeypatch.setattr("toolbox.tui.screens.log_pen.log_job", refuse)
    async with opened(small) as pilot:
        log = await to_log(pilot)
        await choose(pilot, "bro")
        await drop(pilot, "1")
        await press(pilot, "space")
        await until(pilot, lambda: "the disk is full" in screen_text(pilot.app), "the refusal", 15)
        await until(pilot, lambda: "0 of 2 done" in screen_text(pilot.app), "open again")
        assert log.half_filled()
        monkeypatch.setattr("toolbox.tui.screens.log_pen.log_job", log_job)
        await press(pilot, "up", "space")
        await logged(pilot, 1)
        assert kept(small)[0].picks == (Pick("K5"),)


# ---- loose picks, supplies, bikes, scans


async def test_two_letters_and_enter_pick_a_tool(small: Path, opened) -> None:
    """Logged at once, for the bike at hand; the field is ready for the next."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await press(pilot, *"ct", "enter")
        await logged(pilot, 1)
        assert kept(small) == [LoosePick("CT")]
        assert in_field(pilot)
        # The list of entries says of it what the commands say.
        (entry,) = list_entries(open_kit(small))
        await until(pilot, lambda: f"10:00  {entry.words}" in screen_text(pilot.app), "the entry")


async def test_a_scanner_works_in_the_same_field(small: Path, opened) -> None:
    """Codes of tools and of a job, each with its Enter and without a pause; a strange one not."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await scan(pilot, "K4")
        await logged(pilot, 1)
        await scan(pilot, "K5/1")
        await logged(pilot, 2)
        assert kept(small) == [LoosePick("K4"), LoosePick("K5")]
        await scan(pilot, "4006381333931")
        line = pilot.app.place.query_one(LettersField).line
        await until(pilot, lambda: not line.selection.is_empty, "it waits to be overwritten")
        await until(pilot, lambda: "nothing goes by" in screen_text(pilot.app), "nothing goes by")
        await scan(pilot, "CH")
        await until(pilot, lambda: in_steps(pilot), "the steps of the job")
        assert len(kept(small)) == 2


async def test_a_scan_while_a_job_is_open_adds_to_the_marked_step(small: Path, opened) -> None:
    """The tool joins the step and nothing is logged by its Enter; a strange code is shown."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        await scan(pilot, "K4/1")
        await until(pilot, lambda: "with Hex key 4 mm" in screen_text(pilot.app), "it joined")
        assert kept(small) == []
        await press(pilot, "K", "9")
        await until(pilot, lambda: "Scanned > K9" in screen_text(pilot.app), "what was typed")
        await press(pilot, "backspace", "escape")
        await until(pilot, lambda: "Scanned" not in screen_text(pilot.app), "given up")
        assert in_steps(pilot)
        await scan(pilot, "K9")
        await until(pilot, lambda: "nothing goes by" in screen_text(pilot.app), "it is said")
        await press(pilot, "escape")
        await until(pilot, lambda: in_steps(pilot), "back at the steps")
        await press(pilot, "space")
        await logged(pilot, 1)
        assert kept(small)[0].picks == (Pick("CT"), Pick("K5"), Pick("K4"))


async def test_a_supply_outside_any_job(small: Path, opened) -> None:
    """Letters, Enter, a number in its measure, Enter; Escape from the number writes nothing."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await press(pilot, *"lube", "enter")
        await until(pilot, lambda: in_line(pilot), "the amount")
        await until(
            pilot,
            lambda: "How much Chain lube (ml) >" in screen_text(pilot.app),
            "How much Chain lube (ml) >",
        )
        await press(pilot, "escape")
        await until(pilot, lambda: in_field(pilot), "the field")
        assert kept(small) == []
        await press(pilot, *"lube", "enter")
        await until(pilot, lambda: in_line(pilot), "the amount")
        await press(pilot, "6", "enter")
        await logged(pilot, 1)
        assert kept(small) == [SupplyUsed("OIL", 6)]
        assert in_field(pilot)


async def test_a_new_bike_and_none(small: Path, opened) -> None:
    """b asks for it outside the field: a name that is not known yet, later a digit, or none."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await leave(pilot)
        await press(pilot, "b")
        await until(pilot, lambda: "Bike >" in screen_text(pilot.app), "the question")
        await press(pilot, *"B7", "enter")
        await until(pilot, lambda: "Bike B7" in screen_text(pilot.app), "the bike")
        await press(pilot, *"ct", "enter")
        await logged(pilot, 1)
        assert kept(small) == [LoosePick("CT", bike="B7")]
        await leave(pilot)
        await press(pilot, "b")
        await until(pilot, lambda: "2  no bike" in screen_text(pilot.app), "the choices")
        await press(pilot, "2")
        await until(pilot, lambda: "No bike" in screen_text(pilot.app), "none")
        # Typed as it is written already, it is no new one.
        await leave(pilot)
        await press(pilot, "b")
        await until(pilot, lambda: "Bike >" in screen_text(pilot.app), "the question")
        await press(pilot, *"b7")
        await until(pilot, lambda: "a new bike" not in screen_text(pilot.app), "known")
        await press(pilot, "escape")
        await until(pilot, lambda: "Job, tool, supply or bike" in screen_text(pilot.app), "back")


async def test_another_bike_for_the_job_at_hand(small: Path, opened) -> None:
    """b while the steps are there: they begin on the other bike, as a visit of its own."""
    pick_tools(open_kit(small), ["K4"], WHEN, bike="A1")
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        await press(pilot, "space")
        await logged(pilot, 2)
        await press(pilot, "b")
        await until(pilot, lambda: "Bike >" in screen_text(pilot.app), "the question")
        await press(pilot, *"A2", "enter")
        await until(pilot, lambda: "Broken chain, bike A2: 0 of 2" in screen_text(pilot.app), "it")
        await press(pilot, "space")
        await logged(pilot, 3)
        assert [s.bike for s in kept(small)] == ["A1", "A1", "A2"]


async def test_urgent_and_a_note_for_a_loose_pick(small: Path, opened) -> None:
    """Marked before the pick; the note goes with one pick only, urgent stays and is seen."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await leave(pilot)
        await press(pilot, "e", "n")
        await until(pilot, lambda: in_line(pilot), "the note")
        await press(pilot, *"sand", "enter")
        await until(pilot, lambda: "Note: sand" in screen_text(pilot.app), "the note shown")
        await scan(pilot, "ct")
        await logged(pilot, 1)
        await scan(pilot, "ct")
        await logged(pilot, 2)
        assert kept(small) == [LoosePick("CT", 1, True, "", "sand"), LoosePick("CT", 1, True)]
        await until(
            pilot,
            lambda: 'picked Chain tool (urgent, note "sand")' in screen_text(pilot.app),
            "urgent and note in the list",
        )
        await until(pilot, lambda: "URGENT" in screen_text(pilot.app), "URGENT")


# ---- the last entries


async def test_an_entry_in_the_middle_is_taken_back_and_brought_back(small: Path, opened) -> None:
    """Escape out of the field, arrow to it, Enter; it stays in the list and says so."""
    for tool in ("K4", "K5", "CT"):
        pick_tools(open_kit(small), [tool], WHEN)
    async with opened(small) as pilot:
        await to_log(pilot)
        await leave(pilot)
        await press(pilot, "down", "enter")
        await until(pilot, lambda: "taken back" in screen_text(pilot.app), "taken back", 15)
        assert kept(small) == [LoosePick("K4"), LoosePick("CT")]
        (line,) = [row for row in screen_text(pilot.app).splitlines() if row.startswith(">")]
        assert "picked Hex key 5 mm" in line
        await press(pilot, "x")
        await until(pilot, lambda: len(kept(small)) == 3, "brought back", 15)
        await until(
            pilot, lambda: "Brought back: picked Hex key 5" in screen_text(pilot.app), "told", 15
        )
        # u takes the newest back, which is seen here: nothing is asked.
        await press(pilot, "u")
        await until(pilot, lambda: "x on it brings it back" in screen_text(pilot.app), "told", 15)
        assert kept(small) == [LoosePick("K4"), LoosePick("K5")]


async def test_what_an_entry_changed_in_the_ranking_is_told(small: Path, opened) -> None:
    """Hex key 4 mm, third by the jobs alone, climbs with each pick until it is first.

    By hand, with the one logged day as exposure: chain tool 2 x 1/3 + 0.05 = 0.72 a day,
    hex key 5 mm 1/3 + 2 x 0.05 + 0.05 = 0.48, hex key 4 mm 0.05 + 0.55, then 0.05 + 1.05.
    """
    async with opened(small) as pilot:
        await to_log(pilot)
        await until(
            pilot,
            lambda: "What an entry changes" in screen_text(pilot.app),
            "What an entry changes",
        )
        for told in ("mm: 3rd -> 2nd most used", "mm: 2nd -> 1st most used", "nothing moved"):
            await scan(pilot, "K4")
            await until(pilot, lambda told=told: told in screen_text(pilot.app), told, 15)


async def test_another_window_adds_to_the_list(small: Path, opened) -> None:
    """What was being typed stays; the entry of the other window stands in the list."""
    async with opened(small) as pilot:
        log = await to_log(pilot)
        await press(pilot, *"he")
        pick_tools(open_kit(small), ["CT"], WHEN)
        await logged(pilot, 1)
        assert log.query_one(LettersField).line.value == "he"


# ---- ways back, faults


async def test_escape_is_one_step_back(small: Path, opened) -> None:
    """Field of a step -> steps -> field -> last entries -> Ready."""
    async with opened(small) as pilot:
        log = await to_log(pilot)
        await choose(pilot, "bro")
        await press(pilot, "a")
        await until(pilot, lambda: in_field(pilot), "the field of the step")
        await press(pilot, "escape")
        await until(pilot, lambda: in_steps(pilot), "the steps")
        await press(pilot, "n")
        await until(pilot, lambda: in_line(pilot), "the note")
        await press(pilot, "escape")
        await until(pilot, lambda: in_steps(pilot), "the steps")
        await press(pilot, "escape")
        await until(pilot, lambda: in_field(pilot), "the field")
        await press(pilot, "escape")
        await until(pilot, lambda: log.entries.rows.has_focus, "the last entries")
        await press(pilot, "a")
        await until(pilot, lambda: in_field(pilot), "the field by its key")
        await leave(pilot)
        await press(pilot, "escape")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "Ready")


async def test_the_key_of_log_leads_back_into_the_field(small: Path, opened) -> None:
    """Asked for while it is shown, one types at once; beside the field letters take back."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await leave(pilot)
        await press(pilot, "f3")
        await until(pilot, lambda: in_field(pilot), "the field by the key of the place")


async def test_help_and_find_are_keys_in_the_empty_field(small: Path, opened) -> None:
    """No name begins with ? or /; behind a letter they are letters like all others."""
    async with opened(small) as pilot:
        log = await to_log(pilot)
        await press(pilot, "question_mark")
        await until(pilot, lambda: "Keys here" in screen_text(pilot.app), "help")
        await press(pilot, "escape")
        await until(pilot, lambda: in_field(pilot), "the field again")
        await pilot.press("h", "question_mark", "slash")
        assert log.asking.field.line.value == "h?/"
        await pilot.press("ctrl+u", "slash")
        await until(pilot, lambda: pilot.app.current_mode == "find", "Find")


async def test_help_gives_the_focus_back_and_another_place_the_field(small: Path, opened) -> None:
    """? over the last entries leaves one there; coming back from Ready one types at once."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await leave(pilot)
        await press(pilot, "question_mark")
        await until(pilot, lambda: "Keys here" in screen_text(pilot.app), "help")
        await press(pilot, "escape")
        await until(pilot, lambda: in_entries(pilot), "the focus back")
        await pilot.pause()
        assert in_entries(pilot)
        await press(pilot, "f2")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "Ready")
        await press(pilot, "f3")
        await until(pilot, lambda: in_field(pilot), "the field")


async def test_quit_asks_about_a_step_that_was_changed(small: Path, opened) -> None:
    """A change not logged yet would be lost; without one nothing is asked."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        await drop(pilot, "1")
        await press(pilot, "q")
        await until(pilot, lambda: isinstance(pilot.app.screen, Menu), "the question")
        await press(pilot, "s")
        await until(pilot, lambda: in_steps(pilot), "back at the steps")
        await drop(pilot, "1")
        await press(pilot, "q")
    assert pilot.app.return_code == 0


async def test_a_kit_with_faults_or_nothing_in_it(small: Path, opened, tmp_path: Path) -> None:
    """Said in words, with where to go; once mended, the field is there."""
    jobs = small / "jobs.toml"
    whole = jobs.read_text(encoding="utf-8")
    jobs.write_text(whole + "\n[[job]]\nid = 3\n", encoding="utf-8")
    async with opened(small) as pilot:
        await press(pilot, "f3")
        await until(pilot, lambda: "F2 shows what is wrong" in screen_text(pilot.app), "so")
        jobs.write_text(whole, encoding="utf-8")
        await until(pilot, lambda: in_field(pilot), "the field", 15)
    new_kit(tmp_path / "new", "clamshell", "New")
    async with opened(tmp_path / "new") as pilot:
        await press(pilot, "f3")
        await until(pilot, lambda: "toolbox import" in screen_text(pilot.app), "what to do")


async def test_a_job_taken_out_of_the_kit_is_left(small: Path, opened) -> None:
    """Another editor removed it: the field is there again."""
    async with opened(small) as pilot:
        await to_log(pilot)
        await choose(pilot, "bro")
        jobs = small / "jobs.toml"
        text = jobs.read_text(encoding="utf-8")
        jobs.write_text(text[text.index('[[job]]\nid = "BC"') :], encoding="utf-8")
        await until(pilot, lambda: in_field(pilot), "the field", 15)


# ---- the mouse, looks, names


async def test_by_mouse(small: Path, opened) -> None:
    """A second touch on a job opens it, on a step logs it, on an entry takes it back."""
    async with opened(small) as pilot:
        log = await to_log(pilot)
        for _ in range(2):
            await pilot.click(log.query_one(LettersField).listed, offset=(12, 0))
        await until(pilot, lambda: in_steps(pilot), "the steps")
        await press(pilot, "n")
        await until(pilot, lambda: in_line(pilot), "the note")
        await pilot.click(log.steps.rows, offset=(12, 1))
        await until(pilot, lambda: "Note >" not in screen_text(pilot.app), "no note after all")
        await pilot.click(log.steps.rows, offset=(12, 1))
        await logged(pilot, 1)
        assert [s.step for s in kept(small)] == [2]
        for _ in range(2):
            await pilot.click(log.entries.rows, offset=(12, 0))
        await until(pilot, lambda: kept(small) == [], "taken back", 15)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60)])
async def test_log_as_it_looks(demo_once: Path, opened, size: tuple[int, int]) -> None:
    """The field with the likely ones, then a job with a changed step, on the demo's week."""
    async with opened(demo_once, size) as pilot:
        log = await to_log(pilot)
        await pilot.pause()
        same_picture(f"log-{size[0]}x{size[1]}", screen_text(pilot.app))
        await choose(pilot, "J-01")
        await press(pilot, "down", "e")
        await drop(pilot, "1")
        await pilot.pause()
        whole = screen_text(pilot.app)
        same_picture(f"log-steps-{size[0]}x{size[1]}", whole)
        for theme in ("light", "sun") if size == (80, 24) else ():
            pilot.app.theme = theme
            await pilot.pause()
            assert screen_text(pilot.app) == whole
        await press(pilot, "a")
        await until(pilot, lambda: in_field(pilot), "the field")
        await pilot.pause()
        same_picture(f"log-add-{size[0]}x{size[1]}", screen_text(pilot.app))
        assert log.marked_text() == "Pressures to the sheet"


async def test_log_without_colour(demo_once: Path, opened, monkeypatch) -> None:
    """Under NO_COLOR the same words: every state is a word or a sign."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(demo_once) as pilot:
        await to_log(pilot)
        await pilot.pause()
        same_picture("log-80x24", screen_text(pilot.app))


async def test_any_name(small: Path, opened) -> None:
    """Names of all kinds in steps, choices and entries: no crash, nothing lost, widths right."""
    anything = st.one_of(
        st.text(max_size=30), st.text("[]/\\漢שم\u0301\u202e\u200d\ufe0f\x1b\x9b", max_size=300)
    )
    async with opened(small) as pilot:
        log = await to_log(pilot)
        await choose(pilot, "bro")
        kit = open_kit(small).kit
        job = kit.job("CH")

        @settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
        @given(anything)
        def tried(name: str) -> None:
            from dataclasses import replace

            steps = tuple(replace(step, text=name) for step in job.steps)
            visit = replace(log.job.visit, job=replace(job, steps=steps, name=name), bike=name)
            log.steps.show(kit, visit, {}, frozenset(), {})
            log.entries.show([Entry("e", AT, name, ())], AT.date())
            log.entries.tell(name)
            for rows in (log.steps.rows, log.entries.rows):
                width = rows.scrollable_content_region.width
                assert cells(rows.render_line(0).text) == width
                assert clean(name) in rows.whole(0).plain
            assert clean(name) in choice_line(Choice(Sort.TOOL, name, name)).plain

        tried()
        asking = log.query_one(Asking)
        asking.ask("bike")
        for name in ("[/", "[red]x", "שלום"):
            assert clean(name) in "".join(text.plain for _, text in asking._matches(name))
