"""What must hold of the usage engine whatever was logged."""

import math
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.journal.live import live_facts
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone
from toolbox.kit.kit import Settings
from toolbox.kit.things import Known, Mass, Measure, Size, Supply, Tool
from toolbox.kit.work import Draw, Job, Pick, Step
from toolbox.usage.engine import estimate
from toolbox.usage.settled import settle

TODAY = date(2026, 1, 31)
NOON = datetime(2026, 1, 31, 12, tzinfo=UTC)
TOOLS = tuple(Tool(f"T{n}", "t", Mass(1, Known.GUESS), Size(9, 9, 9)) for n in range(4))
SUPPLIES = (
    Supply("S0", "s", Measure.GRAMS, carried=True),
    Supply("S1", "s", Measure.GRAMS),
)
TOOL_IDS = st.sampled_from(["T0", "T1", "T2", "T3", "T9"])
PICKS = st.lists(st.builds(Pick, TOOL_IDS, st.integers(0, 9)), max_size=3).map(tuple)
DRAWS = st.lists(
    st.builds(Draw, st.sampled_from(["S0", "S1", "S9"]), st.integers(0, 50)), max_size=2
).map(tuple)
JOBS = st.lists(
    st.builds(Step, st.integers(1, 9), st.just("s"), PICKS, DRAWS),
    max_size=2,
).map(tuple)
RATES = st.one_of(st.none(), st.fractions(0, 30, max_denominator=10))


@st.composite
def kits(draw):
    """Three jobs with or without a stated rate."""
    return tuple(
        Job(f"J{n}", "j", draw(JOBS), urgent=draw(st.booleans()), per_day=draw(RATES))
        for n in range(3)
    )


WHATS = st.one_of(
    st.builds(
        StepDone,
        visit=st.sampled_from("abc"),
        job=st.sampled_from(["J0", "J1", "J2", "J9"]),
        step=st.integers(1, 3),
        picks=PICKS,
        draws=DRAWS,
        urgent=st.booleans(),
    ),
    st.builds(LoosePick, TOOL_IDS, st.integers(1, 9), st.booleans()),
    st.builds(SupplyUsed, st.sampled_from(["S0", "S1"]), st.integers(0, 9)),
)
LOGGED = st.lists(st.tuples(WHATS, st.integers(-2, 90)), max_size=25)
SETTINGS = st.builds(
    Settings,
    half_life_days=st.sampled_from([None, 1, 30]),
    easy_share=st.sampled_from([Fraction(1, 2), Fraction(4, 5), Fraction(1)]),
)


def facts_of(logged):
    """Facts, one entry each, each on its day."""
    return tuple(
        Fact(f"f{n}", f"e{n}", n, NOON - timedelta(days=back), "A", what)
        for n, (what, back) in enumerate(logged)
    )


def worked_out(jobs, facts, chosen):
    """The usage of the fixed tools."""
    return estimate(jobs, TOOLS, SUPPLIES, facts, TODAY, chosen)


@settings(max_examples=60, deadline=None)
@given(kits(), LOGGED, SETTINGS, st.randoms(use_true_random=False))
def test_order_of_facts_does_not_matter(jobs, logged, chosen, dice):
    """The same facts in another order give the very same usage, to the last digit."""
    facts = facts_of(logged)
    shuffled = list(facts)
    dice.shuffle(shuffled)
    assert worked_out(jobs, tuple(shuffled), chosen) == worked_out(jobs, facts, chosen)


@settings(max_examples=60, deadline=None)
@given(kits(), LOGGED, SETTINGS)
def test_every_usage_is_well_formed(jobs, logged, chosen):
    """All items ranked once, rates above zero and inside their limits, shares add up to 1."""
    usage = worked_out(jobs, facts_of(logged), chosen)
    assert {use.item for use in usage.tools} == {"T0", "T1", "T2", "T3", "S0"}
    assert len(usage.tools) == 5
    rates = [use.per_day for use in usage.tools]
    assert rates == sorted(rates, reverse=True)
    assert usage.tools[-1].cumulative == 1.0
    total = math.fsum(rates)
    before = 0.0
    for use in usage.tools:
        assert math.isclose(use.cumulative - before, use.per_day / total, abs_tol=1e-9)
        before = use.cumulative
        assert use.per_day > 0
        assert 0 <= use.low < use.high
        assert 0 <= use.urgent_share <= 1
        assert 0 <= use.loose_urgent_share <= 1
    assert "".join(use.grade for use in usage.tools) == "".join(
        sorted(use.grade for use in usage.tools)
    )
    covered = math.fsum(use.per_day for use in usage.tools if use.grade == "A") / total
    assert covered >= float(chosen.easy_share) - 1e-9
    for job in usage.jobs:
        assert 0 <= job.urgent_share <= 1
        assert job.low < job.high


@settings(max_examples=80, deadline=None)
@given(kits(), LOGGED, SETTINGS, st.sampled_from(["T0", "T1", "T2", "T3"]), st.integers(1, 9))
def test_more_uses_on_a_logged_day_never_lower_a_rate(jobs, logged, chosen, item, times):
    """A further loose pick, or pick in a visit already logged, never lowers the tool's rate.

    On a further day it may: a day with fewer uses than usual is news of its own.
    """
    facts = facts_of([*logged, (StepDone("a", "J0", 1, ()), 3)])
    day = NOON - timedelta(days=3)
    before = {use.item: use.per_day for use in worked_out(jobs, facts, chosen).tools}
    for what in (LoosePick(item, times), StepDone("a", "J0", 2, (Pick(item, times),))):
        more = (*facts, Fact("x", "ex", 99, day, "A", what))
        after = {use.item: use.per_day for use in worked_out(jobs, more, chosen).tools}
        assert after[item] >= before[item] * (1 - 1e-12)


@settings(max_examples=80, deadline=None)
@given(kits(), LOGGED, SETTINGS, st.sampled_from(["T0", "T1", "T2", "T3"]))
def test_a_further_visit_with_as_many_picks_never_lowers_a_rate(jobs, logged, chosen, item):
    """A further visit on a logged day that takes the tool up at least as often as learned."""
    facts = facts_of([*logged, (LoosePick("T9"), 3)])
    before = worked_out(jobs, facts, chosen)
    mean = next((p.mean for p in before.jobs[0].picks if p.item == item), 0.0)
    what = StepDone("new", "J0", 1, (Pick(item, math.ceil(mean)),))
    more = (*facts, Fact("x", "ex", 99, NOON - timedelta(days=3), "A", what))
    rates = {use.item: use.per_day for use in before.tools}
    after = {use.item: use.per_day for use in worked_out(jobs, more, chosen).tools}
    assert after[item] >= rates[item] * (1 - 1e-12)


@settings(max_examples=60, deadline=None)
@given(kits(), LOGGED, LOGGED, SETTINGS)
def test_undone_entries_change_nothing(jobs, logged, mistakes, chosen):
    """Entries that were made and taken back leave the usage as if they had never been."""
    facts = facts_of(logged)
    wrong = tuple(
        Fact(f"w{n}", f"w{n}", 100 + n, NOON - timedelta(days=back), "A", what)
        for n, (what, back) in enumerate(mistakes)
    )
    undos = tuple(
        Fact(f"u{n}", f"u{n}", 200 + n, NOON, "A", Undone(fact.entry))
        for n, fact in enumerate(wrong)
    )
    told = live_facts(facts + wrong + undos)
    assert worked_out(jobs, told, chosen) == worked_out(jobs, facts, chosen)


@settings(max_examples=20, deadline=None)
@given(kits(), LOGGED, SETTINGS)
def test_chances_add_up_to_the_places(jobs, logged, chosen):
    """In every draw just as many tools are easily reached as there are places."""
    usage = worked_out(jobs, facts_of(logged), chosen)
    sure = settle(usage, draws=50)
    assert math.isclose(sum(chance for _, chance in sure.chances), sure.places)
    assert [item for item, _ in sure.chances] == [use.item for use in usage.tools]
    opened = {one.item for one in sure.open}
    assert opened == {item for item, _ in sure.chances if not sure.is_settled(item)}
    for one in sure.log_next:
        assert set(one.items) <= opened
