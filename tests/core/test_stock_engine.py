"""The stock engine: dates of supplies, the ledger, refilling and buying, fluids kept apart."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed
from toolbox.kit.months import months_on
from toolbox.kit.stocking import Bought, Opened, Refilled, StockCounted, Wasted, Where
from toolbox.kit.things import Shelf
from toolbox.kit.work import Draw
from toolbox.stock.demand import listed
from toolbox.stock.errors import StockError
from toolbox.stock.expected import (
    LIMIT,
    Amount,
    LearnedWork,
    PlannedWork,
    Spread,
    around,
    days_of_cover,
    demand_of,
)
from toolbox.stock.fluids import Bottle, kind_of, kinds_named, wrong_fluids
from toolbox.stock.ledger import Change, Kind, Opening, changes_of, keep
from toolbox.stock.levels import Buy, Flies, Packs, Stocked, in_packs, newsvendor, restock
from toolbox.stock.shelf import Sealed, last_opened, life, month_end

MORNING = datetime(2026, 11, 20, 8, tzinfo=UTC)


# --- dates -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        # The calendar: 2024 and 2028 are leap years, 2100 is not (Gregorian rule).
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2096, 2, 29), 48, date(2100, 2, 28)),
        (date(2025, 2, 28), 12, date(2026, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2023, 1, 31), 1, date(2023, 2, 28)),
        (date(2026, 3, 31), 6, date(2026, 9, 30)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
        (date(2026, 12, 1), 1, date(2027, 1, 1)),
        (date(2026, 5, 17), 0, date(2026, 5, 17)),
    ],
)
def test_months_on(day, months, expected):
    """The same day of the month, or the month's last where it has no such."""
    assert months_on(day, months) == expected


def test_months_on_as_in_another_library():
    """Every day of five years and many lives, against dateutil.relativedelta."""
    relative = pytest.importorskip("dateutil.relativedelta", reason="no dateutil here")
    for n in range(0, 5 * 366, 7):
        day = date(2023, 1, 1) + timedelta(days=n)
        for months in (1, 2, 6, 11, 12, 13, 24, 36):
            assert months_on(day, months) == day + relative.relativedelta(months=months)


def test_a_month_printed_alone_means_its_last_day():
    """Common practice, no source; the calendar says which day that is."""
    assert month_end(date(2028, 2, 1)) == date(2028, 2, 29)
    assert month_end(date(2027, 2, 11)) == date(2027, 2, 28)
    assert month_end(date(2026, 12, 31)) == date(2026, 12, 31)


def test_opened_thirteen_months_ago_is_expired_whatever_is_printed():
    """The trade's own check: sealed to 2028, opened 13 months ago, good for 12."""
    today = date(2026, 11, 25)
    shelf = Shelf(date(2028, 3, 31), date(2025, 10, 25), 12)
    found = life(shelf)
    assert found.last_day == date(2026, 10, 25)
    assert found.out_of_date(today)
    assert found.days_left(today) == -31
    assert found.why == "opened 2025-10-25, good until 2026-10-25"
    assert [end.last_day.year for end in found.ends] == [2026, 2028]


def test_the_earliest_end_wins_and_its_last_day_is_still_good():
    """Printed, opened and sealed: each can be the first; the day itself is still good."""
    sealed = Sealed(date(2024, 2, 29), 24)
    assert life(Shelf(), sealed).last_day == date(2026, 2, 28)
    shelf = Shelf(date(2026, 6, 1), date(2026, 1, 31), 1)
    opened = life(shelf, sealed)
    assert opened.last_day == date(2026, 2, 28)
    assert opened.why.startswith("opened 2026-01-31, good until 2026-02-28")  # both that day
    assert not opened.out_of_date(date(2026, 2, 28))
    assert opened.days_left(date(2026, 2, 28)) == 0
    assert opened.out_of_date(date(2026, 3, 1))
    printed = life(Shelf(date(2026, 2, 27), date(2026, 1, 31), 1), sealed)
    assert printed.why == "best before 2026-02-27"
    assert life(Shelf(), sealed).why == "sealed since 2024-02-29, good until 2026-02-28"


def test_what_nobody_said_of_an_open_bottle_is_told():
    """An opened bottle without a life once opened: its printed date alone says too little."""
    found = life(Shelf(best_before=date(2028, 1, 1), opened=date(2026, 1, 5)))
    assert found.last_day == date(2028, 1, 1)
    assert "nobody has said how long" in found.unsaid
    nothing = life(Shelf())
    assert (nothing.last_day, nothing.why, nothing.days_left(date(2026, 1, 1))) == (None, "", None)
    assert not nothing.out_of_date(date.max)
    assert nothing.unsaid == ""


def test_lives_that_mean_nothing_are_refused_all_at_once():
    """Months below 1 and lives beyond the calendar."""
    with pytest.raises(StockError) as refused:
        life(Shelf(opened=date(2026, 1, 1), opened_life_months=0), Sealed(date(9990, 1, 1), 999))
    assert len(refused.value.faults) == 2
    assert life(Shelf(opened=date(9998, 12, 31), opened_life_months=12)).last_day == date(
        9999, 12, 31
    )
    with pytest.raises(OverflowError):
        months_on(date(9999, 12, 1), 1)


def test_a_fresh_pack_has_dates_of_its_own():
    """The pack opened last counts; an opening before the kit file's own is no news."""
    kit = Shelf(date(2027, 1, 31), date(2026, 6, 2), 12, "M1")
    fresh = last_opened(
        kit,
        [
            Opened("S1", date(2026, 5, 1), "OLD", date(2026, 12, 1)),
            Opened("S1", date(2026, 9, 30), "M2", date(2029, 3, 31)),
            Opened("S1", date(2026, 10, 31)),
        ],
    )
    assert fresh == Shelf(date(2029, 3, 31), date(2026, 10, 31), 12, "")
    assert life(fresh).last_day == date(2027, 10, 31)
    assert last_opened(kit, []) == kit
    assert last_opened(kit, [Opened("S1", date(2026, 6, 1), "OLD")]) == kit
    assert last_opened(Shelf(), [Opened("S1", date(2026, 5, 1))]).opened == date(2026, 5, 1)


# --- the ledger ------------------------------------------------------------------------


def change(kind, amount, hours=0, where=Where.BOX, clock=0, supply="S1"):
    """Something that happened to S1 so many hours after the morning."""
    return Change(supply, kind, amount, MORNING + timedelta(hours=hours), clock or hours, where)


def test_an_evening_in_the_ledger():
    """A day of the trade, added up by hand: drawn, thrown away, refilled, bought, counted."""
    happened = (
        StepDone("v", "J1", 1, (), (Draw("S1", 30), Draw("S2", 1))),
        SupplyUsed("S1", 5),
        Wasted("S1", 3),
        Refilled("S1", 40),
        Bought("S1", 100),
        StockCounted("S1", Where.BOX, 70),
        Refilled("S1", 20, Where.RESERVE),
        LoosePick("T1"),
        Opened("S1", date(2026, 11, 20)),
    )
    changes = changes_of(
        Fact(f"f{n}", f"e{n}", n, MORNING + timedelta(hours=n), "A", what)
        for n, what in enumerate(happened)
    )
    account = keep([Opening("S1", 70, 100, date(2026, 11, 20))], changes)["S1"]
    books = [(line.box, line.reserve) for line in account.lines]
    assert books == [(40, 100), (35, 100), (32, 100), (72, 60), (72, 160), (70, 160), (50, 180)]
    assert [line.off for line in account.lines] == [None] * 5 + [-2, None]
    assert account.lines[0].change.job == "J1"
    assert account.lines[0].change.fact == "f0"
    assert account.shortfalls == ()
    assert account.total == account.there_in_all == 230
    assert not account.to_count
    day = date(2026, 11, 20)
    assert account.used(day, day) == 35
    assert account.used(day + timedelta(1), day + timedelta(1)) == 0


def test_more_drawn_than_there_is_told_and_set_off_against_what_comes_in():
    """2 there, 3 drawn, 10 refilled and written down later: 9 can be there, not 10."""
    account = keep([Opening("S1", 2, 20)], [change(Kind.USED, 3, 1), change(Kind.REFILLED, 10, 2)])[
        "S1"
    ]
    (short,) = account.shortfalls
    assert (short.short, short.box) == (1, -1)
    assert account.there(Where.BOX) == 9
    assert account.total == 19
    empty = keep([Opening("S1", 2)], [change(Kind.USED, 3, 1)])["S1"]
    assert (empty.book(Where.BOX), empty.there(Where.BOX)) == (-1, 0)
    assert empty.to_count
    # the reserve of this one was never counted, so nobody knows the sum
    assert (empty.total, empty.there_in_all) == (None, None)


def test_a_refill_beyond_the_reserve_is_told():
    """10 carried over from a reserve of 4: 6 were not there by the book; the sum stays."""
    account = keep([Opening("S1", 0, 4)], [change(Kind.REFILLED, 10, 1)])["S1"]
    assert [line.short for line in account.lines] == [6]
    assert (account.book(Where.BOX), account.book(Where.RESERVE), account.total) == (10, -6, 4)
    assert account.to_count
    again = keep([Opening("S1", 0, 4)], [change(Kind.USED, 3, 1), change(Kind.USED, 2, 2)])["S1"]
    assert [line.short for line in again.lines] == [3, 2]


def test_a_stock_that_nobody_knows_stays_unknown_until_it_is_counted():
    """No opening stock is not an empty one."""
    changes = [change(Kind.USED, 3, 1), change(Kind.COUNTED, 12, 2), change(Kind.USED, 5, 3)]
    account = keep([], changes)["S1"]
    assert [line.box for line in account.lines] == [None, 12, 7]
    assert account.lines[1].off is None
    assert account.book(Where.RESERVE) is None
    assert account.to_count


def test_facts_are_booked_by_their_own_time_whatever_the_order_of_writing():
    """A draw of the morning written in the evening lies before the count of noon."""
    noon = change(Kind.COUNTED, 50, 4, clock=1)
    late = change(Kind.USED, 8, 0, clock=9)
    for order in ([noon, late], [late, noon]):
        account = keep([Opening("S1", 60, 0)], order)["S1"]
        assert account.book(Where.BOX) == 50
        assert account.lines[-1].off == -2


def test_the_hour_that_comes_twice_in_autumn():
    """2:30 in summer time lies before 2:15 in winter time (25 October 2026, EU rule)."""
    zone = ZoneInfo("Europe/Brussels")
    summer = datetime(2026, 10, 25, 2, 30, tzinfo=zone, fold=0)
    winter = datetime(2026, 10, 25, 2, 15, tzinfo=zone, fold=1)
    changes = [
        Change("S1", Kind.COUNTED, 9, winter, 1),
        Change("S1", Kind.USED, 4, summer, 2),
    ]
    assert keep([Opening("S1", 20)], changes)["S1"].book(Where.BOX) == 9


def test_one_moment_comes_in_before_it_goes_out_and_is_counted_last():
    """Refill, use and count of one entry: nothing was short, the count holds."""
    moment = [
        change(Kind.COUNTED, 7, 1),
        change(Kind.USED, 5, 1),
        change(Kind.REFILLED, 10, 1),
        change(Kind.BOUGHT, 10, 1, Where.RESERVE),
        change(Kind.COUNTED, 6, 1),
    ]
    account = keep([Opening("S1", 0, 0)], moment)["S1"]
    assert [line.change.kind for line in account.lines][:3] == [
        Kind.BOUGHT,
        Kind.REFILLED,
        Kind.USED,
    ]
    assert account.shortfalls == ()
    assert account.book(Where.BOX) == 6  # the lower of two counts


def test_the_opening_day_and_the_last_day():
    """What lies before the opening's day is in it; what comes after the day asked for waits."""
    changes = [change(Kind.USED, n, 24 * n) for n in range(5)]
    opening = Opening("S1", 50, 0, date(2026, 11, 21))
    account = keep([opening], changes, until=date(2026, 11, 23))["S1"]
    assert (account.book(Where.BOX), account.earlier, account.later) == (44, 1, 1)
    # the day is that of the place: already the 21st there, still the 20th in UTC
    east = datetime(2026, 11, 21, 5, tzinfo=timezone(timedelta(hours=9)))
    there = keep([opening], [Change("S1", Kind.USED, 6, east, 1)])["S1"]
    assert (there.book(Where.BOX), there.earlier) == (44, 0)


def test_what_cannot_be_booked_is_refused_all_at_once():
    """Amounts below 0, moments without a zone, two openings."""
    naive = Change("S1", Kind.USED, 1, datetime(2026, 11, 20), 1)
    with pytest.raises(StockError) as refused:
        keep([Opening("S1", 1), Opening("S1", -2)], [naive, change(Kind.USED, -1)])
    assert len(refused.value.faults) == 4


# --- refilling and buying --------------------------------------------------------------


def test_refill_and_buy_before_leaving():
    """Level 40 in all, 24 in the box: 14 over from the reserve, two packs of 12 to buy."""
    found = restock(Stocked("S1", level=40, box=10, reserve=16, box_level=24, pack=12))
    assert found == restock(Stocked("S1", 40, 10, 16, 24, 12, Flies.YES))
    assert (found.refill, found.packs, found.when) == (14, Packs(2, 24), Buy.BEFORE)
    assert (found.box_short, found.to_count) == (0, False)
    enough = restock(Stocked("S1", level=40, box=30, reserve=10, box_level=24))
    assert (enough.refill, enough.packs, enough.when) == (0, Packs(0, 0), None)


def test_a_reserve_that_is_too_small_leaves_the_box_short():
    """The box wants 14, the reserve has 5."""
    found = restock(Stocked("S1", level=24, box=10, reserve=5))
    assert (found.refill, found.box_short, found.packs.units) == (5, 9, 9)


@pytest.mark.parametrize(("flies", "when"), [(Flies.NO, Buy.ARRIVAL), (Flies.UNKNOWN, Buy.ASK)])
def test_what_may_not_fly_is_bought_on_arrival_whatever_lies_here(flies, when):
    """16 cartridges in the box help nobody at the race; 6 in the van that drives there do."""
    found = restock(Stocked("S1", 20, 16, 30, pack=5, flies=flies, there=6))
    assert (found.refill, found.packs, found.when) == (0, Packs(3, 15), when)
    assert found.box_short == 14


@pytest.mark.parametrize(("box", "reserve"), [(None, 4), (5, None), (-1, 4)])
def test_figures_that_cannot_be_right_are_to_be_counted(box, reserve):
    """Nobody counted, or below nothing: taken for none, and told."""
    found = restock(Stocked("S1", 10, box, reserve))
    assert found.to_count
    assert found.packs.units == 10 - max(0, box or 0) - max(0, reserve or 0)


def test_packs_are_rounded_up():
    """Plain division, rounded up; nothing for nothing."""
    assert [in_packs(n, 12).number for n in (-5, 0, 1, 12, 13)] == [0, 0, 1, 1, 2]
    for pack in (0, -1):
        with pytest.raises(StockError):
            in_packs(3, pack)
    with pytest.raises(StockError) as refused:
        restock(Stocked("S1", -1, 0, 0, -1, pack=0, there=-1))
    assert len(refused.value.faults) == 4


# --- demand ----------------------------------------------------------------------------


def test_demand_that_means_nothing_is_refused():
    """Every fault is told, by the number of the work."""
    work = (
        LearnedWork(1, 0, 1, around(1)),
        LearnedWork(float("nan"), 1, 1, around(1)),
        PlannedWork(-1, around(1)),
        PlannedWork(1, (Amount(3, 0.5),)),
        PlannedWork(1, (Amount(-3, 1),)),
        PlannedWork(LIMIT, around(Fraction(1, 2)), Spread.FIXED),
    )
    with pytest.raises(StockError) as refused:
        demand_of(work)
    assert len(refused.value.faults) == len(work)
    with pytest.raises(StockError):
        around(-1)
    with pytest.raises(StockError):
        days_of_cover(1, 1, 0)


def test_chances_that_were_not_worked_out_are_not_made_up():
    """Beyond the last worked-out amount there is no answer, rather than a wrong one."""
    demand = demand_of([LearnedWork(0.1, 1, 10, around(1))])
    assert 0 < demand.beyond < 1e-4
    with pytest.raises(StockError):
        demand.level(0.99999999)
    with pytest.raises(StockError):
        demand.at_most(demand.most + 1)
    with pytest.raises(StockError):
        demand.level(1.2)
    assert demand_of([LearnedWork(0.1, 1, 10, around(1))], upto=300).at_most(300) > 0.9999
    # just as many units as are worked out at most, and far more wanted
    far = demand_of([LearnedWork(3, 1, 2 * LIMIT, around(1))], upto=LIMIT, enough=0.0)
    assert 0 < far.at_most(LIMIT) < 0.1


def test_no_service_asks_for_no_stock():
    """Nothing is enough for a chance of 0, even where some is wanted for sure."""
    demand = demand_of([PlannedWork(3, around(7), Spread.FIXED)])
    assert [demand.level(service) for service in (0, Fraction(1, 100), 1)] == [0, 21, 21]


def test_no_work_wants_nothing():
    """No jobs, jobs that never come, jobs that use nothing, no days: nothing is wanted."""
    for work in (
        (),
        (PlannedWork(0, around(5)), LearnedWork(0, 1, 3, around(5))),
        (PlannedWork(4, around(0)),),
        (LearnedWork(3, 1, 0, around(5)),),
    ):
        demand = demand_of(work)
        assert (demand.at_most(0), demand.level(0.95), demand.mean) == (1, 0, 0)


def test_listed_chances_must_be_chances():
    """They add up to one, exactly where they are fractions."""
    for chances in (
        {},
        {1: Fraction(1, 2)},
        {1: Fraction(3, 2), 2: Fraction(-1, 2)},
        {-1: 1},
        {1: Fraction(1), 2: Fraction(1, 10**12)},
    ):
        with pytest.raises(StockError):
            listed(chances)
    with pytest.raises(StockError):
        newsvendor(listed({1: 1}), 0, 0)


# --- fluids ----------------------------------------------------------------------------

GLYCOL = Bottle("S1", "Brake fluid", "DOT 5.1")
MINERAL = Bottle("S2", "Brake oil", "mineral")


def test_a_job_that_names_the_other_fluid_warns():
    """Drawn from the mineral bottle in a job for glycol, and the other way round."""
    (found,) = wrong_fluids(["Bleed, glycol (B bikes)", "Push fluid"], [MINERAL])
    assert (found.bottle, found.named) == (MINERAL, ("glycol",))
    assert "Brake oil holds mineral, the job says glycol" in found.words
    assert [w.bottle for w in wrong_fluids(["Bleed, MINERAL oil"], [GLYCOL, MINERAL])] == [
        GLYCOL,
        GLYCOL,  # and both in one step
    ]


def test_the_right_fluid_and_things_without_one_are_no_matter():
    """No warning for the kind that is named, for none named, for what is no such fluid."""
    rag = Bottle("S3", "Wipes", "")
    assert wrong_fluids(["Bleed, glycol"], [GLYCOL, rag]) == ()
    assert wrong_fluids(["Bleed brake DOT 4"], [Bottle("S4", "Old stock", "glycol")]) == ()
    assert wrong_fluids(["Bleed brake"], [MINERAL]) == ()
    assert wrong_fluids(["Clean with mineral spirits, silicone spray"], [GLYCOL]) == ()


def test_two_kinds_in_one_step_warn_without_any_word():
    """Glycol and mineral drawn together, whatever the job is called."""
    (found,) = wrong_fluids(["Bleed"], [GLYCOL, MINERAL])
    assert "never mix" in found.words
    assert wrong_fluids(["Bleed"], [GLYCOL, Bottle("S4", "Old stock", "Glycol ")]) == ()


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        # FMVSS 116, from memory: DOT 3, 4, 5.1 are glycol ethers, DOT 5 is silicone
        ("DOT 3", ("glycol",)),
        ("dot4 LV", ("glycol",)),
        ("DOT 5.1", ("glycol",)),
        ("DOT 5", ("silicone",)),
        ("Use DOT 5. Wipe off.", ("silicone",)),
        ("mineral oil, no glycol", ("glycol", "mineral")),
        ("DOT 51", ()),
        ("grease", ()),
    ],
)
def test_kinds_that_a_text_names(text, kinds):
    """The trade's words for brake fluids."""
    assert kinds_named(text) == kinds


def test_other_fluids_are_compared_by_their_words():
    """Case and spaces are no difference."""
    assert kind_of("  Fork   Oil ") == "fork oil"
    assert kind_of("DOT 4") == "glycol"
