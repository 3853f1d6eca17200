"""Due days and days of work by the calendar, in any zone, around clock changes, at midnight.

The calendar is that of ISO 8601, counted up here day by day; the zones and their clock
changes are those of the IANA tables as zoneinfo reads them. What happened after what is
taken from the moments in UTC.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from clikit import write_kit_files
from hypothesis import given, settings
from hypothesis import strategies as st
from smallkit import small_kit, tool

from toolbox.desk.count import evening_of
from toolbox.desk.count_book import keep_book
from toolbox.desk.count_losses import loans, overdue
from toolbox.desk.folder import KitFolder
from toolbox.desk.history import histories
from toolbox.desk.instruments import stands
from toolbox.desk.picture import take_picture
from toolbox.desk.plans import study
from toolbox.desk.ready_count import count_findings
from toolbox.desk.ready_sight import Sight
from toolbox.desk.stock import holdings
from toolbox.instruments.due import Checked, Interval, standing
from toolbox.kit.checking import (
    Beside,
    EventKind,
    InstrumentChecked,
    InstrumentEvent,
    Trust,
    Verdict,
    WoundDown,
)
from toolbox.kit.counting import Counted, DayClosed, Outcome, Settled
from toolbox.kit.facts import Fact, LoosePick, SupplyUsed, What
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.months import months_on
from toolbox.kit.quantities import Kind
from toolbox.kit.stocking import Bought, Opened, Where
from toolbox.kit.things import Accuracy, Dial, Instrument, Measure, Shelf, Supply
from toolbox.stock.shelf import Sealed, life
from toolbox.usage.engine import estimate

QUICK = settings(max_examples=60, deadline=None)
# With summer time in north and south, half an hour's, none; both sides of the date line.
ZONES = (
    "Europe/Berlin",
    "America/New_York",
    "Australia/Lord_Howe",
    "Pacific/Auckland",
    "Pacific/Honolulu",
    "Pacific/Kiritimati",
    "Asia/Kathmandu",
    "UTC",
)
CHANGES = (datetime(2026, 3, 29, 1, tzinfo=UTC), datetime(2026, 10, 25, 1, tzinfo=UTC))
PASSED = Beside("a test house", Trust.LIMITS)
DIAL = Dial(Kind.TORQUE, 10_000, 2_000, 100, Accuracy.II_A)
WRENCH = replace(tool("wrench", "Torque wrench"), instrument=Instrument(None, None, None, 0, DIAL))
KIT = replace(
    small_kit(),
    tools=(*small_kit().tools, WRENCH),
    supplies=(Supply("fluid", "Brake fluid", Measure.MILLILITRES, pack=100, stock=900),),
    present=Layout("present", (Spot("key4", "tray"), Spot("wrench", "well"))),
)


def at(moment: datetime, zone: str) -> datetime:
    """The moment on a wall in that zone, with its offset alone, as the journal gives it back."""
    return datetime.fromisoformat(moment.astimezone(ZoneInfo(zone)).isoformat())


def facts_of(*said: tuple[datetime, What]) -> tuple[Fact, ...]:
    """Each an entry of its own, in the order of writing."""
    return tuple(
        Fact(f"f{n}", f"e{n}", n + 1, moment, "Mika", what) for n, (moment, what) in enumerate(said)
    )


def folder_with(facts: tuple[Fact, ...]) -> KitFolder:
    """The kit with these facts in its journal."""
    folder = KitFolder(Path("nowhere"), KIT)
    vars(folder)["facts"] = facts
    return folder


# ---- months


def months() -> list[list[date]]:
    """The days of 2023 to 2033, month by month, counted up from the first."""
    found: list[list[date]] = [[]]
    day = date(2023, 1, 1)
    while day < date(2034, 1, 1):
        if found[-1] and day.month != found[-1][-1].month:
            found.append([])
        found[-1].append(day)
        day += timedelta(days=1)
    return found


def test_months_on_is_the_same_day_or_the_last_of_its_month() -> None:
    """Every day of two leap years and those between, by a calendar counted up day by day."""
    calendar = months()
    assert [len(month) for month in calendar[12:24]] == [
        31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31,
    ]  # fmt: skip
    for number in (*range(1, 14), 18, 24, 36, 48, 60):
        for n, month in enumerate(calendar[: 12 * 6]):
            later = calendar[n + number]
            assert [months_on(day, number) for day in month] == [
                later[min(i, len(later) - 1)] for i in range(len(month))
            ]


@QUICK
@given(
    st.dates(date(2023, 12, 1), date(2028, 3, 31)),
    st.integers(1, 60),
    st.integers(0, 20),
    st.booleans(),
)
def test_the_last_day_holds_and_the_next_one_does_not(
    start: date, number: int, days: int, failed: bool
) -> None:
    """Of instruments and of shelf lives alike, on 29 February as on any other day."""
    interval = Interval(number, None, days)
    verdict = Verdict.FAIL if failed else Verdict.PASS
    last = interval.last_day(start)
    assert last is not None
    today, tomorrow = (standing(interval, [Checked(start, verdict)], d).reasons
                       for d in (last, last + timedelta(days=1)))  # fmt: skip
    assert len(tomorrow) == len(today) + 1
    assert tomorrow[-1].since == last + timedelta(days=1)
    for lasts in (
        life(Shelf(opened=start, opened_life_months=number)),
        life(Shelf(), Sealed(start, number)),
        life(Shelf(best_before=months_on(start, number))),
    ):
        assert lasts.last_day == last - timedelta(days=days)
        assert not lasts.out_of_date(lasts.last_day)
        assert lasts.out_of_date(lasts.last_day + timedelta(days=1))
        assert lasts.days_left(start) == (lasts.last_day - start).days


def test_what_is_lent_is_overdue_on_the_day_after() -> None:
    """By the days of the one who reads, whatever zone the lender wrote in."""
    for zone in ZONES:
        lent = Settled("key4", Outcome.LENT, where="next door", until=date(2028, 2, 29))
        facts = facts_of((at(datetime(2028, 2, 1, tzinfo=UTC), zone), lent))
        (loan,) = loans(keep_book(KIT, facts, facts))
        assert not overdue(loan, date(2028, 2, 29))
        assert overdue(loan, date(2028, 3, 1))


# ---- what happened after what

HAPPENED = st.sampled_from(["checked", "dropped", "used", "wound"])


def said_of_the_wrench(what: str) -> What:
    """One of the four, about the torque wrench."""
    return {
        "checked": InstrumentChecked("wrench", Verdict.PASS, PASSED),
        "dropped": InstrumentEvent("wrench", EventKind.DROP),
        "used": LoosePick("wrench"),
        "wound": WoundDown("wrench"),
    }[what]


@QUICK
@given(
    st.sampled_from(CHANGES),
    st.lists(st.tuples(HAPPENED, st.integers(1, 900), st.sampled_from(ZONES)), max_size=8),
)
def test_an_instrument_stands_by_the_order_in_which_things_happened(
    change: datetime, said: list[tuple[str, int, str]]
) -> None:
    """Around clock changes and across the date line a drop after the last check asks for one."""
    moment, rows = change - timedelta(hours=20), []
    for what, minutes, zone in said:
        moment += timedelta(minutes=minutes)
        rows.append((at(moment, zone), said_of_the_wrench(what)))
    order = [what for what, _, _ in said]
    since = order[len(order) - order[::-1].index("checked") :] if "checked" in order else order
    turns = [what for what in order if what in ("used", "wound")]
    facts = facts_of(*rows)
    today = max((fact.at.date() for fact in facts), default=change.date())
    for seen in (facts, facts[::-1]):
        one = stands(KIT, seen, today)["wrench"]
        assert one.out == ("dropped" in since or "checked" not in order)
        assert one.standing.uses == since.count("used")
        assert one.unwound == (turns[-1:] == ["used"])


@pytest.mark.parametrize(
    ("before", "after"),
    [
        # autumn: ten past two for the second time is later than ten to three
        ("2026-10-25T02:50+02:00", "2026-10-25T02:10+01:00"),
        # spring: no clock shows what lies between
        ("2026-03-29T01:50+01:00", "2026-03-29T03:10+02:00"),
        # from New Zealand to Hawaii one lands on the day before
        ("2026-11-21T08:00+13:00", "2026-11-20T20:00-10:00"),
    ],
)
def test_a_drop_after_the_check_is_not_forgotten(before: str, after: str) -> None:
    """Written late or in time: what fell after it was checked is to be checked again."""
    moments = [datetime.fromisoformat(text) for text in (before, after)]
    assert moments[0] < moments[1]
    check, drop = (said_of_the_wrench(what) for what in ("checked", "dropped"))
    today = max(moment.date() for moment in moments)
    for rows in (
        zip(moments, (check, drop), strict=True),
        zip(moments, (drop, check), strict=True),
    ):
        listed = list(rows)
        for facts in (facts_of(*listed), facts_of(*listed[::-1])):
            assert stands(KIT, facts, today)["wrench"].out == (listed[1][1] == drop)


# ---- the day and the evening


@pytest.mark.parametrize("zone", ZONES)
def test_an_evening_goes_from_four_to_four_on_the_wall(zone: str) -> None:
    """Every quarter of an hour around each clock change of 2026 is of one evening; none is left."""
    for change in (
        *CHANGES,
        datetime(2026, 4, 4, 15, tzinfo=UTC),
        datetime(2026, 10, 3, 15, tzinfo=UTC),
    ):
        begun = change - timedelta(hours=30)
        walls = [at(begun + timedelta(minutes=15 * n), zone) for n in range(4 * 60)]
        evenings = [evening_of(wall) for wall in walls]
        for wall, evening in zip(walls, evenings, strict=True):
            assert wall.date() == (evening if wall.hour >= 4 else evening + timedelta(days=1))
        assert all(b - a in (timedelta(0), timedelta(days=1)) for a, b in pairwise(evenings))


def findings(facts: tuple[Fact, ...], today: date) -> list[str]:
    """What readiness says of the count on that day."""
    folder = folder_with(facts)
    return [
        found.words for found in count_findings(Sight(folder, today, study(folder, today), None))
    ]


def test_work_after_midnight_belongs_to_the_evening_that_was_closed() -> None:
    """Who works until one and counts then has closed the day; nobody asks for the next one."""
    evening = date(2026, 11, 20)
    night = datetime.fromisoformat("2026-11-21T00:30+01:00")
    counted = [Counted(evening, place) for place in ("tray", "well", "")]
    said: list[tuple[datetime, What]] = [
        (night - timedelta(hours=3), LoosePick("key4")),
        (night, LoosePick("key4")),
        *((night + timedelta(minutes=20), what) for what in counted),
    ]
    open_yet = findings(facts_of(*said), date(2026, 11, 22))
    assert [words[:40] for words in open_yet] == ["the count of 2026-11-20 is not closed: 3"]
    closed = facts_of(*said, (night + timedelta(minutes=30), DayClosed(evening, complete=True)))
    assert findings(closed, date(2026, 11, 22)) == []
    late = (datetime.fromisoformat("2026-11-21T04:00+01:00"), LoosePick("key4"))
    again = findings((*closed, *facts_of(late)), date(2026, 11, 22))
    assert [words[:38] for words in again] == ["the count of 2026-11-21 is not closed:"]


# ---- read in another zone

LOGGED = st.lists(
    st.tuples(st.sampled_from(["key4", "fluid"]), st.integers(1, 700), st.sampled_from(ZONES)),
    min_size=1,
    max_size=8,
)


@QUICK
@given(st.sampled_from(CHANGES), LOGGED, st.sampled_from(ZONES))
def test_what_has_happened_counts_wherever_it_is_read(
    change: datetime, logged: list[tuple[str, int, str]], reader: str
) -> None:
    """Somebody further west, where it is still the day before, sees all that was written."""
    moment, rows = change - timedelta(hours=30), []
    for what, minutes, zone in logged:
        moment += timedelta(minutes=minutes)
        fact = LoosePick("key4") if what == "key4" else SupplyUsed("fluid", 10)
        rows.append((at(moment, zone), fact))
    folder = folder_with(facts_of(*rows))
    today = folder.day(at(moment, reader))
    assert today in (at(moment, reader).date(), max(fact.at.date() for fact in folder.facts))
    picks = sum(what == "key4" for what, _, _ in logged)
    usage = estimate(KIT.jobs, KIT.tools, KIT.supplies, folder.live, today, KIT.settings)
    assert {use.item: use.times for use in usage.tools}["key4"] == picks
    assert usage.notes == ()
    assert usage.days == len({fact.at.date() for fact in folder.facts})
    held = holdings(KIT, folder.live, today)["fluid"]
    assert held.account.later == 0
    assert held.left == 900 - 10 * (len(logged) - picks)
    found = histories(KIT, folder.live, today)
    assert (found["key4"].times if picks else 0) == picks


def test_what_is_still_to_come_makes_no_day() -> None:
    """An entry with a wrong date in it, years ahead, does not move the day one looks at."""
    now = datetime(2026, 11, 20, 12, tzinfo=UTC)
    wrong = facts_of((now.replace(year=2029), LoosePick("key4")), (now, LoosePick("key4")))
    assert folder_with(wrong).day(now) == date(2026, 11, 20)
    assert folder_with(()).day(now) == date(2026, 11, 20)


@pytest.mark.parametrize("zone", ZONES)
def test_lives_begin_on_the_day_of_the_place(zone: str) -> None:
    """Bought and opened before and after midnight there: 29 February or 1 March."""
    midnight = datetime(2028, 3, 1, tzinfo=ZoneInfo(zone)).astimezone(UTC)
    stocked = Supply(
        "fluid", "Brake fluid", Measure.MILLILITRES, pack=100, stock=0,
        shelf=Shelf(sealed_life_months=12, opened_life_months=6),
    )  # fmt: skip
    kit = replace(KIT, supplies=(stocked,))
    for moment, day, sealed, opened in (
        (midnight - timedelta(minutes=1), date(2028, 2, 29), date(2029, 2, 28), date(2028, 8, 29)),
        (midnight, date(2028, 3, 1), date(2029, 3, 1), date(2028, 9, 1)),
    ):
        wall = at(moment, zone)
        facts = facts_of((wall, Bought("fluid", 200)), (wall, Opened("fluid", wall.date())))
        held = holdings(kit, facts, day)["fluid"]
        assert held.sealed.last_day == sealed
        assert held.opened is not None
        assert held.opened.last_day == opened
        assert held.life(Where.RESERVE) == held.opened


def test_days_of_cover_look_back_on_seven_days_of_each_place() -> None:
    """Use on each side of the first midnight of the week, around both clock changes."""
    for zone in ZONES:
        for today in (date(2026, 3, 30), date(2026, 10, 26), date(2028, 3, 3)):
            first = datetime(today.year, today.month, today.day, tzinfo=ZoneInfo(zone))
            first -= timedelta(days=6)  # on the wall, whatever the clock did between
            before = first.astimezone(UTC) - timedelta(minutes=1)
            facts = facts_of(
                (at(before, zone), SupplyUsed("fluid", 100)),
                (at(first.astimezone(UTC), zone), SupplyUsed("fluid", 70)),
            )
            held = holdings(KIT, facts, today)["fluid"]
            assert held.week == 70
            assert held.cover == 73  # 730 ml at 10 ml a day


@pytest.mark.parametrize("key", ["best_before", "opened", "made", "stock_on"])
@pytest.mark.parametrize(
    ("year", "fine"), [(9999, False), (2200, False), (2199, True), (1899, False)]
)
def test_a_day_that_is_hardly_meant_is_told_and_never_reckoned_with(
    tmp_path: Path, key: str, year: int, fine: bool
) -> None:
    """Lives are counted on from it: from 9999 they would leave the calendar."""
    kit = write_kit_files(tmp_path)
    lives = "opened_life_months = 600\nsealed_life_months = 600\n"
    with (kit / "supplies.toml").open("a", encoding="utf-8") as file:
        file.write(f"{key} = {year}-12-31\n{lives}")
    words = [finding.words for finding in take_picture(kit, date(2026, 11, 20)).findings]
    told = [line for line in words if f"{key} {year}-12-31 is hardly the day that is meant" in line]
    assert bool(told) != fine
