"""Reading a logged week: what it becomes, and every fault in it told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from toolbox.files.problems import KitFaults
from toolbox.files.week import WeekEntry, read_week
from toolbox.kit.box import Box, Compartment, Inside, Position
from toolbox.kit.counting import Counted, Short
from toolbox.kit.facts import LoosePick, StepDone, SupplyUsed
from toolbox.kit.kit import Kit
from toolbox.kit.things import Known, Mass, Measure, Part, Size, Supply, Tool
from toolbox.kit.work import Draw, Job, Pick, Step

ZONE = timezone(timedelta(hours=1))


def tool(name: str) -> Tool:
    """A tool of no particular size."""
    return Tool(name, name, Mass(10, Known.GUESS), Size(10, 10, 10))


TRAY = Compartment("tray", "tray", Inside.LAID, Size(1, 1, 1), Position(0, 0, 0))
KIT = Kit(
    name="kit",
    box=Box("box", Size(1, 1, 1), 1, 0, (), (TRAY,)),
    tools=(replace(tool("T1"), count=2, parts=(Part("bit", 4),)), tool("T2")),
    supplies=(Supply("S1", "oil", Measure.MILLILITRES),),
    jobs=(
        Job(
            "J1",
            "Bleed",
            (
                Step(1, "Open", (Pick("T1"),)),
                Step(2, "Fill", (Pick("T1", 2), Pick("T2")), (Draw("S1", 30),)),
            ),
            urgent=True,
            per_day=Fraction(1),
        ),
    ),
)


def week(folder: Path, text: str) -> tuple[WeekEntry, ...]:
    """The entries in a week with this text."""
    path = folder / "week.toml"
    path.write_text(text, encoding="utf-8")
    return read_week(path, KIT)


def test_a_visit_is_done_as_usual_unless_it_says_otherwise(tmp_path: Path) -> None:
    """Picks, draws and urgency come from the job; a changed step gives its own."""
    (entry,) = week(
        tmp_path,
        """
        [[entry]]
        when = 2026-11-16T08:40:00+01:00
        author = "Mika"
        [[entry.visit]]
        job = "J1"
        bike = "A1"
        [[entry.visit.changed]]
        step = 2
        tools = ["T2 x3"]
        [[entry.visit]]
        job = "J1"
        steps = [2]
        urgent = false
        """,
    )
    first, second, third = entry.whats
    assert first == StepDone("week-1-1", "J1", 1, (Pick("T1"),), (), True, "A1")
    changed = (Pick("T2", 3),)
    assert second == StepDone("week-1-1", "J1", 2, changed, (Draw("S1", 30),), True, "A1")
    usual = (Pick("T1", 2), Pick("T2"))
    assert third == StepDone("week-1-2", "J1", 2, usual, (Draw("S1", 30),), False)
    assert entry.at == entry.written == datetime(2026, 11, 16, 8, 40, tzinfo=ZONE)
    assert entry.undone is None


def test_a_changed_step_may_use_up_other_amounts(tmp_path: Path) -> None:
    """Amounts are in the supply's measure; tools stay as usual."""
    (entry,) = week(
        tmp_path,
        """
        [[entry]]
        when = 2026-11-16T08:40:00+01:00
        author = "Mika"
        [[entry.visit]]
        job = "J1"
        steps = [2]
        changed = [{ step = 2, supplies = { S1 = "5 cl" } }]
        """,
    )
    (step,) = entry.whats
    assert isinstance(step, StepDone)
    assert step.draws == (Draw("S1", 50),)
    assert step.picks == (Pick("T1", 2), Pick("T2"))


def test_trips_outside_a_job_late_and_undone_entries(tmp_path: Path) -> None:
    """A loose pick, a supply used up, an entry written later and taken back."""
    (entry,) = week(
        tmp_path,
        """
        [[entry]]
        when = 2026-11-16T23:40:00+01:00
        written = 2026-11-17T07:00:00+01:00
        undone = 2026-11-17T07:05:00+01:00
        author = "Ro"
        [[entry.pick]]
        tool = "T2"
        times = 2
        urgent = true
        [[entry.use]]
        supply = "S1"
        amount = "4 ml"
        note = "spilt"
        """,
    )
    assert entry.whats == (LoosePick("T2", 2, True), SupplyUsed("S1", 4, "", "spilt"))
    assert entry.at.day == 16
    assert entry.written == datetime(2026, 11, 17, 7, 0, tzinfo=ZONE)
    assert entry.undone == datetime(2026, 11, 17, 7, 5, tzinfo=ZONE)


ENTRY = '[[entry]]\nwhen = 2026-11-16T08:40:00+01:00\nauthor = "Mika"\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ENTRY + '[[entry.visit]]\njob = "j1"', '"j1" is no job of this kit; did you mean "J1"'),
        (ENTRY + '[[entry.pick]]\ntool = "X"', '"X" is no tool of this kit; name a tool'),
        (ENTRY + '[[entry.visit]]\njob = "J1"\nsteps = [3]', "Bleed has no step 3"),
        (
            ENTRY + '[[entry.visit]]\njob = "J1"\nsteps = [1]\nchanged = [{ step = 2 }]',
            "Bleed has no step 2 that was done",
        ),
        (
            ENTRY + '[[entry.visit]]\njob = "J1"\nchanged = [{ step = 1, tools = ["T9"] }]',
            '"T9" is no tool',
        ),
        (ENTRY + '[[entry.use]]\nsupply = "S1"\namount = "4 g"', "not of volume"),
        (ENTRY + '[[entry.use]]\nsupply = "S1"\namount = "0 ml"', "is nothing"),
        (ENTRY + '[[entry.use]]\nsupply = "S1"', "add amount"),
        (ENTRY + '[[entry.count]]\nplace = "lid"', '"lid" is no compartment of this kit'),
        (
            ENTRY + '[[entry.count]]\nplace = "tray"\nshort = [{ item = "T9" }]',
            '"T9" is no tool of this kit',
        ),
        (
            ENTRY + '[[entry.count]]\nplace = "tray"\nshort = [{ item = "T2", part = "bit" }]',
            '"bit" is no part of T2 of this kit',
        ),
        (ENTRY, "logs nothing"),
        (ENTRY + '[[entry.visit]]\njbo = "J1"', 'did you mean "job"'),
        ('[[entry]]\nwhen = 2026-11-16T08:40:00\nauthor = "M"', "is not a moment with its zone"),
        ('[[entry]]\nwhen = 2026-11-16T08:40:00+01:00\n[[entry.pick]]\ntool = "T1"', "no author"),
        (
            ENTRY
            + 'written = 2026-11-16T08:39:00+01:00\n[[entry.pick]]\ntool = "T1"\n',
            "its moments out of order",
        ),
        (
            ENTRY + '[[entry.pick]]\ntool = "T1"\n'
            '[[entry]]\nwhen = 2026-11-15T08:40:00+01:00\nauthor = "M"\n'
            '[[entry.pick]]\ntool = "T1"',
            "stands below a later one",
        ),
    ],
)  # fmt: skip
def test_faults_are_told_with_their_cure(tmp_path: Path, text: str, said: str) -> None:
    """One sentence that says what is wrong."""
    with pytest.raises(KitFaults) as caught:
        week(tmp_path, text)
    assert said in str(caught.value)
    assert len(caught.value.faults) == 1


def test_a_count_belongs_to_the_evening_of_its_day(tmp_path: Path) -> None:
    """One entry may count several compartments; copies are named as in layouts."""
    (entry,) = week(
        tmp_path,
        ENTRY
        + """
        [[entry.count]]
        place = "tray"
        short = [{ item = "T1/2" }, { item = "T1", part = "bit", missing = 3 }]
        [[entry.count]]
        place = "tray"
        """,
    )
    short = (Short("T1/2", "", 1), Short("T1", "bit", 3))
    assert entry.whats == (
        Counted(date(2026, 11, 16), "tray", short),
        Counted(date(2026, 11, 16), "tray"),
    )


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    """Faults of form and unknown names, in one go."""
    text = f'{ENTRY}[[entry.pick]]\ntool = "X"\n\n{ENTRY}[[entry.pick]]\ntool = 5\n\n[[entree]]'
    with pytest.raises(KitFaults) as caught:
        week(tmp_path, text)
    assert len(caught.value.faults) >= 3
