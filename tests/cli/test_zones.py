"""Commands in other zones, around clock changes and midnight: the same kit says the same.

Zones and clock changes are those of the IANA tables, as the system's own clock follows them
(TZ, tzset) and as zoneinfo reads them.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from clikit import Ran

from toolbox.cli import codes, common
from toolbox.files.forms import demo_folder
from toolbox.journal.store import open_journal, read_facts
from toolbox.kit.checking import EventKind, InstrumentEvent
from toolbox.kit.counting import Counted, Outcome, Settled, Short
from toolbox.kit.facts import LoosePick, StepDone, SupplyUsed, What
from toolbox.kit.stocking import Bought, Opened
from toolbox.kit.work import Draw, Pick

Run = Callable[..., Ran]
Clock = Callable[[str, str], None]
HOME = "Europe/Berlin"
WRENCH = """
[[tool]]
id = "TW"
name = "Torque wrench"
mass = "400 g"
length = "200 mm"
width = "40 mm"
height = "30 mm"
[tool.instrument]
last_check = 2026-03-01
every_months = 12
accuracy = "II A"
lowest = "2 N·m"
highest = "10 N·m"
"""


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[Clock]:
    """Put the machine into a zone, and its clock on a moment."""

    class Stopped(datetime):
        moment = datetime.now()

        @classmethod
        def now(cls, tz: object = None) -> datetime:
            return cls.moment

    def put(zone: str, moment: str) -> None:
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        Stopped.moment = datetime.fromisoformat(moment).astimezone(ZoneInfo(zone))
        monkeypatch.setattr(common, "datetime", Stopped)

    yield put
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def travelled(kit_dir: Path) -> Path:
    """A kit whose entries were written in three zones, around the change of March 2026."""
    tools, jobs = kit_dir / "tools.toml", kit_dir / "supplies.toml"
    tools.write_text(tools.read_text("utf-8") + WRENCH, encoding="utf-8")
    lives = 'opened_life_months = 6\nsealed_life_months = 12\npack = "50 ml"\n'
    jobs.write_text(jobs.read_text("utf-8") + lives, encoding="utf-8")
    step = StepDone("v", "CH", 2, (Pick("CT"), Pick("TW")), (Draw("OIL", 2),), bike="red")
    lent = Settled("K4", Outcome.LENT, where="x", until=day("2026-03-30"))
    said: list[tuple[str, What]] = [
        ("2026-03-29T01:50:00+01:00", step),
        ("2026-03-29T03:10:00+02:00", LoosePick("K5", bike="red")),
        ("2026-03-29T23:55:00+02:00", Counted(day("2026-03-29"), "tray", (Short("CT"),))),
        ("2026-03-30T00:05:00+02:00", lent),
        ("2026-03-30T23:30:00+13:00", SupplyUsed("OIL", 5)),
        ("2026-03-30T08:00:00-10:00", Bought("OIL", 50)),
        ("2026-03-30T08:10:00-10:00", Opened("OIL", day("2026-03-30"))),
    ]  # fmt: skip
    with open_journal(kit_dir / "journal.db") as journal:
        for text, what in said:
            moment = datetime.fromisoformat(text)
            journal.add([what], at=moment, author="Mika", written=moment)
    return kit_dir


def day(text: str) -> date:
    """A date."""
    return datetime.fromisoformat(text).date()


SHOWN = (
    ("instruments",),
    ("instruments", "TW"),
    ("stock",),
    ("stock", "lube"),
    ("restock",),
    ("buy",),
    ("lent",),
    ("losses",),
    ("missing",),
    ("ready",),
    ("uses",),
    ("uses", "K5"),
    ("undo", "--list"),
)


def test_the_same_kit_says_the_same_in_every_zone(run: Run, travelled: Path, clock: Clock) -> None:
    """Every command that looks at days, read on 31 March in Europe, Hawaii and New Zealand."""
    said: dict[str, list[tuple[int, str, str]]] = {}
    for zone in (HOME, "Pacific/Honolulu", "Pacific/Auckland"):
        clock(zone, "2026-03-31T12:00:00+00:00")
        said[zone] = []
        for words in SHOWN:
            dated = () if words[0] in ("missing", "undo") else ("--today", "2026-03-31")
            said[zone].append(run(*words, *dated, "--kit", travelled))
    assert said[HOME] == said["Pacific/Honolulu"] == said["Pacific/Auckland"]
    texts = dict(zip(SHOWN, (ran.out for ran in said[HOME]), strict=True))
    assert "OVERDUE" in texts["lent",]
    assert "2026-09-30" in texts["stock", "lube"]  # opened on 30 March in Hawaii, good for 6 months


def test_what_was_written_after_midnight_further_east_counts_at_once(
    run: Run, travelled: Path, clock: Clock
) -> None:
    """A wrench dropped on the 21st in New Zealand is out on the 20th in Hawaii, too."""
    dropped = datetime.fromisoformat("2026-11-21T08:00:00+13:00")
    with open_journal(travelled / "journal.db") as journal:
        fell = InstrumentEvent("TW", EventKind.DROP)
        journal.add([fell], at=dropped, author="Mika", written=dropped)
    clock("Pacific/Honolulu", "2026-11-20T20:00:00-10:00")
    for words in (("instruments", "TW"), ("ready",)):
        assert "dropped on 2026-11-21" in run(*words, "--kit", travelled).out
    assert (
        "dropped" not in run("instruments", "TW", "--today", "2026-11-20", "--kit", travelled).out
    )
    clock("Pacific/Honolulu", "2026-11-20T07:00:00-10:00")  # an hour before it fell
    assert "dropped" not in run("instruments", "TW", "--kit", travelled).out


@pytest.mark.parametrize(
    ("now", "typed", "meant"),
    [
        # the clock was put on at two: before that it was an hour less ahead of UTC
        ("2026-03-29T12:00+02:00", "01:30", "2026-03-29T01:30+01:00"),
        ("2026-03-29T12:00+02:00", "03:00", "2026-03-29T03:00+02:00"),
        # put back at three: half past two was there twice
        ("2026-10-25T12:00+01:00", "01:30", "2026-10-25T01:30+02:00"),
        ("2026-10-25T12:00+01:00", "02:30", "2026-10-25T02:30+01:00"),
        ("2026-10-25T02:40+02:00", "02:30", "2026-10-25T02:30+02:00"),
        ("2026-10-25T02:20+01:00", "02:30", "2026-10-25T02:30+02:00"),
        ("2026-11-20T12:00+01:00", "12:00", "2026-11-20T12:00+01:00"),
        # with the date in it
        ("2026-11-20T12:00+01:00", "2026-07-01 09:30", "2026-07-01T09:30+02:00"),
    ],
)
def test_a_time_of_day_is_the_one_the_clock_showed(
    run: Run, kit_dir: Path, clock: Clock, now: str, typed: str, meant: str
) -> None:
    """On the days on which the clocks are changed, the offset is that of the time typed."""
    clock(HOME, now)
    assert run("pick", "K4", "--at", typed, "--kit", kit_dir).code == codes.DONE
    (fact,) = read_facts(kit_dir / "journal.db")
    assert fact.at.isoformat() == datetime.fromisoformat(meant).isoformat()
    assert fact.at == datetime.fromisoformat(meant)


def test_after_midnight_a_time_of_the_evening_is_not_today(
    run: Run, kit_dir: Path, clock: Clock
) -> None:
    """23:50 typed at ten past midnight would lie in the future: refused, nothing written."""
    clock(HOME, "2026-11-21T00:10+01:00")
    refused = run("pick", "K4", "--at", "23:50", "--kit", kit_dir)
    assert refused.code == codes.NO
    assert 'write "2026-11-20 23:50"' in refused.err
    assert read_facts(kit_dir / "journal.db") == ()


def test_trips_are_looked_at_on_the_day_of_the_kit(
    run: Run, kit_dir: Path, clock: Clock, tmp_path: Path
) -> None:
    """Sheets of a trip bear the day that it is for the kit, which is that of New Zealand here."""
    demo = tmp_path / "demo"
    shutil.copytree(demo_folder(), demo)
    east = datetime.fromisoformat("2026-11-21T08:00:00+13:00")
    with open_journal(demo / "journal.db") as journal:
        journal.add([LoosePick("none")], at=east, author="Mika", written=east)
    clock("Pacific/Honolulu", "2026-11-20T20:00:00-10:00")
    ran = run("sheets", "--out", tmp_path / "sheets", "--json", "--kit", demo)
    assert ran.data()["made"] == "2026-11-21"
    days = [run(c, "--json", "--kit", demo).data()["days_left"] for c in ("preflight",)]
    named = ("preflight", "--json", "--today", "2026-11-21", "--kit", demo)
    assert days == [run(*named).data()["days_left"]]


def test_a_full_date_still_to_come_is_refused(run: Run, kit_dir: Path, clock: Clock) -> None:
    """As a time of day is; a moment of another zone counts as that moment."""
    clock(HOME, "2026-11-20T12:00+01:00")
    for text in ("2026-11-20 12:01", "2026-11-21", "2046-01-01 10:00", "2026-11-20T11:01+00:00"):
        refused = run("pick", "K4", "--at", text, "--kit", kit_dir)
        assert (refused.code, "is still to come" in refused.err) == (codes.NO, True)
    assert read_facts(kit_dir / "journal.db") == ()
    for text in ("2026-11-20 12:00", "2026-11-21T00:00+13:00"):
        assert run("pick", "K4", "--at", text, "--kit", kit_dir).code == codes.DONE


def test_after_midnight_count_and_lists_are_of_the_evening_before(
    run: Run, kit_dir: Path, clock: Clock
) -> None:
    """Until four; from then on it is the new day."""
    (kit_dir / "lists").mkdir()
    text = 'title = "Van"\nwhen = "own"\n[[line]]\nid = "a"\nwords = "lock it."\n'
    (kit_dir / "lists" / "van.toml").write_text(text, encoding="utf-8")
    for now, of in (("00:30", "2026-11-20"), ("03:59", "2026-11-20"), ("04:00", "2026-11-21")):
        clock(HOME, f"2026-11-21T{now}+01:00")
        assert run("count", "--json", "--kit", kit_dir).data()["day"] == of
        assert of in run("lists", "van", "--kit", kit_dir).out


def test_no_day_is_named_from_which_the_calendar_ends(run: Run, kit_dir: Path) -> None:
    """Days to come are counted on from it; the last day of the calendar is 9999-12-31."""
    for words in (("ready",), ("stock",), ("restock",), ("lent",)):
        assert run(*words, "--today", "9899-12-31", "--kit", kit_dir).code in (codes.DONE, codes.NO)
        assert "the last year is 9899" in run(*words, "--today", "9900-01-01", "--kit", kit_dir).err


def test_a_tool_wound_down_after_midnight_is_done_on_the_list_of_the_evening(
    run: Run, travelled: Path, clock: Clock
) -> None:
    """Used at nine, wound down at half past twelve, used again at one, wound down again."""
    (travelled / "lists").mkdir()
    text = 'title = "Van"\nwhen = "evening"\n[[line]]\nmade = "instruments"\n'
    (travelled / "lists" / "van.toml").write_text(text, encoding="utf-8")
    kit = ("--kit", travelled)

    def state() -> str:
        lines = run("lists", "van", "--json", *kit).data()["lines"]
        return str(next(line["state"] for line in lines if line["key"] == "wind:TW"))

    clock(HOME, "2026-11-20T21:00+01:00")
    run("pick", "TW", *kit)
    clock(HOME, "2026-11-21T00:30+01:00")
    assert state() == "open"
    assert run("lists", "van", "--tick", "wind:TW", *kit).code == codes.DONE
    assert state() == "done"
    clock(HOME, "2026-11-21T01:00+01:00")
    run("pick", "TW", *kit)
    assert state() == "open"
    run("wound", *kit)
    assert state() == "done"
    clock(HOME, "2026-11-21T22:00+01:00")
    run("pick", "TW", *kit)
    assert state() == "open"
