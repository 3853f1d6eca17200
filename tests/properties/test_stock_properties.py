"""What must hold of the stock engine whatever happened and whatever is asked."""

from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction
from itertools import pairwise
from math import comb

from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.journal.live import live_facts
from toolbox.kit.facts import Fact, StepDone, SupplyUsed, Undone
from toolbox.kit.stocking import Bought, Refilled, Wasted, Where
from toolbox.kit.things import Shelf
from toolbox.kit.work import Draw
from toolbox.stock.expected import (
    Amount,
    LearnedWork,
    PlannedWork,
    Spread,
    chances_to_run_out,
    demand_of,
)
from toolbox.stock.ledger import Change, Kind, Opening, changes_of, keep
from toolbox.stock.levels import Flies, Stocked, newsvendor, restock
from toolbox.stock.shelf import Sealed, life

START = datetime(2026, 10, 24, 12, tzinfo=UTC)
SUPPLIES = st.sampled_from(["S0", "S1"])
OPENINGS = (Opening("S0", 500, 1000), Opening("S1", 0, 0))
MOMENTS = st.builds(
    lambda hours, zone: (START + timedelta(hours=hours)).astimezone(
        timezone(timedelta(hours=zone))
    ),
    st.integers(0, 60),
    st.integers(-11, 13),
)
DRAWS = st.lists(st.builds(Draw, SUPPLIES, st.integers(0, 90)), max_size=3).map(tuple)
PLACES = st.sampled_from(list(Where))
EVENTS = st.one_of(
    st.builds(lambda draws: StepDone("v", "J", 1, (), draws), DRAWS),
    st.builds(SupplyUsed, SUPPLIES, st.integers(0, 90)),
    st.builds(Bought, SUPPLIES, st.integers(0, 90), PLACES),
    st.builds(Refilled, SUPPLIES, st.integers(0, 90), PLACES),
    st.builds(Wasted, SUPPLIES, st.integers(0, 90), PLACES),
)
# Changes of every kind, with clocks of their own, so that their order is beyond doubt.
CHANGES = st.lists(
    st.tuples(SUPPLIES, st.sampled_from(list(Kind)), st.integers(0, 90), MOMENTS, PLACES),
    max_size=25,
).map(lambda rows: [Change(s, k, n, at, i, w) for i, (s, k, n, at, w) in enumerate(rows)])


@st.composite
def journals(draw):
    """Facts about stocks, some of them taken back, some of the taking back taken back."""
    whats = draw(st.lists(st.one_of(EVENTS, st.integers(0, 24)), max_size=25))
    facts = []
    for n, what in enumerate(whats):
        if isinstance(what, int):
            what = Undone(f"e{what}")
        facts.append(Fact(f"f{n}", f"e{n}", n, draw(MOMENTS), "A", what))
    return facts


def net(facts, supply):
    """What these facts brought in of a supply, less what they drew and threw away."""
    total = 0
    for what in (fact.what for fact in facts):
        if isinstance(what, StepDone):
            total -= sum(d.amount for d in what.draws if d.supply == supply)
        elif isinstance(what, SupplyUsed | Wasted | Bought) and what.supply == supply:
            total += what.amount if isinstance(what, Bought) else -what.amount
    return total


@settings(max_examples=80, deadline=None)
@given(journals(), st.randoms(use_true_random=False))
def test_stock_is_opening_less_draws_plus_what_came_in(facts, dice):
    """To the unit, after any facts and undos, in any order of writing."""
    live = live_facts(facts)
    booked = list(changes_of(live))
    dice.shuffle(booked)
    accounts = keep(OPENINGS, booked)
    for opening in OPENINGS:
        account = accounts[opening.supply]
        assert account.total == opening.box + opening.reserve + net(live, opening.supply)
        assert account.there(Where.BOX) >= 0
        assert account.there(Where.RESERVE) >= 0
        # never below nothing without a line that says so
        for where in Where:
            if account.book(where) < 0:
                assert account.shortfalls
                assert account.to_count


@settings(max_examples=80, deadline=None)
@given(CHANGES)
def test_a_count_sets_the_figure_from_then_on(changes):
    """Each place: its last count, or the opening, and what came and went after it."""
    accounts = keep(OPENINGS, changes)
    for opening in OPENINGS:
        mine = [c for c in changes if c.supply == opening.supply]
        mine.sort(key=lambda c: (c.at, c.clock))
        for where, figure in ((Where.BOX, opening.box), (Where.RESERVE, opening.reserve)):
            counts = [n for n, c in enumerate(mine) if c.kind is Kind.COUNTED and c.where is where]
            after = mine
            if counts:
                figure, after = mine[counts[-1]].amount, mine[counts[-1] + 1 :]
            for c in after:
                comes = c.kind in (Kind.BOUGHT, Kind.REFILLED) and c.where is where
                goes = c.kind in (Kind.USED, Kind.WASTED) and c.where is where
                goes = goes or (c.kind is Kind.REFILLED and c.where is not where)
                figure += c.amount * (comes - goes)
            assert accounts[opening.supply].book(where) == figure


@settings(max_examples=50, deadline=None)
@given(journals(), CHANGES, st.randoms(use_true_random=False))
def test_the_order_of_writing_never_shows(facts, changes, dice):
    """Shuffled changes give the same ledger, line by line."""
    booked = [*changes_of(live_facts(facts)), *changes]
    mixed = list(booked)
    dice.shuffle(mixed)
    assert keep(OPENINGS, mixed) == keep(OPENINGS, booked)


@settings(max_examples=50, deadline=None)
@given(journals(), EVENTS, MOMENTS)
def test_taking_a_job_back_gives_its_supplies_back(facts, what, at):
    """Logged and taken back is as if it had never been logged."""
    more = Fact("fx", "ex", 100, at, "A", what)
    back = Fact("fy", "ey", 101, at, "A", Undone("ex"))
    before = keep(OPENINGS, changes_of(live_facts(facts)))
    assert keep(OPENINGS, changes_of(live_facts([*facts, more, back]))) == before


# --- demand ----------------------------------------------------------------------------

USES = st.lists(st.tuples(st.integers(0, 12), st.integers(1, 9)), min_size=1, max_size=3).map(
    lambda pairs: tuple(Amount(n, Fraction(w, sum(w for _, w in pairs))) for n, w in pairs)
)
LEARNED = st.builds(
    LearnedWork,
    st.fractions(Fraction(1, 10), 6, max_denominator=10),
    st.fractions(Fraction(1, 2), 12, max_denominator=10),
    st.fractions(Fraction(1, 2), 5, max_denominator=4),
    USES,
)
PLANNED = st.builds(
    PlannedWork, st.fractions(0, 6, max_denominator=4), USES, st.sampled_from(list(Spread))
)
WORKS = st.lists(st.one_of(LEARNED, PLANNED), max_size=3).map(tuple)
SERVICES = st.fractions(0, Fraction(999, 1000), max_denominator=1000)


@settings(max_examples=40, deadline=None)
@given(WORKS, SERVICES, SERVICES)
def test_more_service_never_means_less_stock(work, one, other):
    """The level rises with the service level, and is the smallest that gives it."""
    demand = demand_of(work)
    low, high = sorted((one, other))
    assert demand.level(low) <= demand.level(high)
    level = demand.level(high)
    assert demand.at_most(level) >= float(high) - 1e-9
    assert level == 0 or demand.at_most(level - 1) < high
    if high:
        # the price of too little that asks for this service, exactly
        assert newsvendor(demand, high.numerator, high.denominator - high.numerator) == level


@settings(max_examples=40, deadline=None)
@given(WORKS, st.integers(0, 60))
def test_the_chance_to_run_out_grows_with_days_and_falls_with_stock(work, stock):
    """Never lower on a later day, never higher with more there."""
    days = (0, Fraction(1, 2), 1, 2, 3)
    chances = chances_to_run_out(work, stock, days)
    assert chances[0] == 0.0
    assert all(0.0 <= chance <= 1.0 for chance in chances)
    for earlier, later in pairwise(chances):
        assert later >= earlier - 1e-9
    more = chances_to_run_out(work, stock + 1, days)
    assert all(b <= a + 1e-9 for a, b in zip(chances, more, strict=True))


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 4), st.fractions(Fraction(1, 2), 9, max_denominator=6), USES)
def test_chances_equal_exact_fractions(shape, rate, uses):
    """A whole shape: the negative binomial's own fractions, every use enumerated."""
    upto = 15
    known = [Fraction(0)] * (upto + 1)
    jobs = {0: Fraction(1)}
    idle = sum(a.chance for a in uses if a.units == 0)
    for n in range(upto + 1):  # jobs that use something; those that do not are left out
        chance = _negative_binomial(n, shape, rate / (rate + 1 - idle))
        for units, way in jobs.items():
            known[units] += chance * way
        following = {}
        for units, way in jobs.items():
            for amount in uses:
                if amount.units and units + amount.units <= upto:
                    more = way * amount.chance / (1 - idle)
                    at = units + amount.units
                    following[at] = following.get(at, Fraction(0)) + more
        jobs = following
    demand = demand_of([LearnedWork(shape, rate, 1, uses)], upto=upto)
    for amount in range(upto + 1):
        exact = sum(known[: amount + 1], Fraction(0))
        assert abs(Fraction(demand.at_most(amount)) - exact) < Fraction(1, 10**12)


def _negative_binomial(n, shape, chance):
    return comb(n + shape - 1, n) * chance**shape * (1 - chance) ** n


# --- restocking and dates --------------------------------------------------------------


@settings(max_examples=100, deadline=None)
@given(
    st.integers(0, 80), st.integers(-5, 80), st.integers(-5, 80), st.integers(0, 80),
    st.integers(1, 15), st.sampled_from(list(Flies)), st.integers(0, 30),
)  # fmt: skip
def test_after_restocking_the_level_is_met_with_no_pack_too_many(
    level, box, reserve, box_level, pack, flies, there
):
    """Bought and refilled is enough, one pack less is not, and nothing is conjured up."""
    found = restock(Stocked("S", level, box, reserve, box_level, pack, flies, there))
    have = max(0, box) + max(0, reserve) if flies is Flies.YES else there
    assert have + found.packs.units >= level
    assert not found.packs.number or have + found.packs.units - pack < level
    assert (found.when is None) == (found.packs.number == 0)
    assert 0 <= found.refill <= max(0, reserve)
    if found.refill:
        assert max(0, box) + found.refill + found.box_short == box_level
    assert found.to_count == (box < 0 or reserve < 0)


DAYS = st.dates(date(2000, 1, 1), date(2100, 12, 31))
MAYBE = st.one_of(st.none(), DAYS)


@settings(max_examples=100, deadline=None)
@given(MAYBE, MAYBE, st.integers(1, 60), MAYBE, st.integers(1, 60), DAYS)
def test_no_end_is_later_than_it_may_be(printed, opened, months, made, sealed_months, today):
    """Adding a date never makes a supply good for longer, and the reason names the winner."""
    shelf = Shelf(printed, opened, months)
    sealed = None if made is None else Sealed(made, sealed_months)
    found = life(shelf, sealed)
    assert (found.last_day is None) == (printed is None and opened is None and made is None)
    for alone in (life(Shelf(printed)), life(Shelf(None, opened, months)), life(Shelf(), sealed)):
        if alone.last_day is not None:
            assert found.last_day <= alone.last_day
    if found.last_day is not None:
        assert str(found.last_day) in found.why
        assert found.out_of_date(today) == (found.days_left(today) < 0)
