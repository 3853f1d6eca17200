"""Checks, due dates, drift and corrections by hand: what is refused, what is said, what not."""

from __future__ import annotations

import math
from datetime import date
from fractions import Fraction
from statistics import NormalDist

import pytest

from toolbox.instruments.check import Check, judge
from toolbox.instruments.correction import CorrectionError, setting
from toolbox.instruments.drift import Certified, Compared, DriftError, settle, who_is_off
from toolbox.instruments.due import (
    Checked,
    Event,
    FirstUsed,
    Interval,
    Unwound,
    Used,
    Why,
    listed,
    standing,
    wind_down,
)
from toolbox.instruments.limits import (
    BandLimits,
    GaugeClass,
    GaugeLimits,
    MadeLimits,
    TorqueClass,
    TorqueLimits,
    plain_limits,
)
from toolbox.instruments.trend import Measured, leaves, trend
from toolbox.instruments.verdicts import CAUTION, Allowed, decide
from toolbox.kit.checking import Beside, EventKind, Reading, Trust, Verdict
from toolbox.kit.things import Gauge, Instrument

BAR = 100_000
WRENCH = TorqueLimits(TorqueClass.II_A, 25_000)
TESTER = Beside("torque tester", Trust.LIMITS, percent=Fraction(1))
MASTER = Beside("master gauge", Trust.CERTIFICATE, amount=1_000)


def torque(*points: tuple[int, int], times: int = 5) -> tuple[Reading, ...]:
    """Readings of a tool set to the first figure, the tester showing the second."""
    return tuple(Reading(at, at, true) for at, true in points for _ in range(times))


GOOD = torque((5_000, 5_050), (15_000, 15_100), (25_000, 24_900))


def test_a_good_wrench_passes_with_its_figures() -> None:
    """Mean deviation, worst reading and spread at each point, by hand."""
    result = judge(Check(WRENCH, GOOD, TESTER, step=100, celsius=20))
    assert (result.verdict, result.accepted, result.refused) == (Verdict.PASS, True, ())
    first = result.points[0]
    assert first.percent == Fraction(-100, 101)  # (5000 - 5050) / 5050 x 100 %
    assert (first.mean_error, first.worst_error, first.readings) == (-50, -50, 5)
    assert first.spread == 0
    assert result.worst is first
    assert {part.name for part in first.uncertainty.parts} == {
        "torque tester",
        "the instrument's own step",
    }


@pytest.mark.parametrize("missing", [0, 1, 2])
def test_no_verdict_without_a_required_point(missing: int) -> None:
    """20, 60 and 100 % of the maximum are all asked for, and the missing one is named."""
    points = [(5_000, 5_000), (15_000, 15_000), (25_000, 25_000)]
    del points[missing]
    result = judge(Check(WRENCH, torque(*points), TESTER))
    assert (result.verdict, result.accepted) == (None, None)
    assert result.refused == (f"no reading at {(20, 60, 100)[missing]} % of its maximum",)


def test_everything_that_is_wrong_is_said_at_once() -> None:
    """A reference of which nothing is known, and no readings at all."""
    result = judge(Check(WRENCH, (), Beside("old gauge", Trust.LIMITS)))
    assert len(result.refused) == 4
    assert result.refused[0].startswith("nothing says how far off old gauge may be")


def test_a_reading_near_the_point_serves() -> None:
    """8.5 for 8.4 N·m where the scale has no mark; 9.0 does not."""
    small = TorqueLimits(TorqueClass.II_A, 14_000)
    ends = ((2_800, 2_800), (14_000, 14_000))
    assert judge(Check(small, torque(*ends, (8_500, 8_500)), TESTER)).verdict is Verdict.PASS
    assert judge(Check(small, torque(*ends, (9_000, 9_000)), TESTER)).refused


def test_one_bad_reading_of_five_fails_a_torque_tool() -> None:
    """The standard judges every reading, not their mean."""
    bad = (*torque((5_000, 5_000), times=4), Reading(5_000, 5_000, 5_500))
    rest = torque((15_000, 15_000), (25_000, 25_000))
    result = judge(Check(WRENCH, bad + rest, TESTER))
    assert result.verdict is Verdict.FAIL
    assert result.points[0].worst_error == -500


def test_few_readings_are_said_but_not_refused() -> None:
    """Two of five."""
    points = ((5_000, 5_000), (15_000, 15_000), (25_000, 25_000))
    result = judge(Check(WRENCH, torque(*points, times=2), TESTER))
    assert result.verdict is Verdict.PASS
    assert result.notes[0] == "2 of 5 readings at 20 % of its maximum"


@pytest.mark.parametrize(("percent", "warned", "refused"), [(1, 0, 0), (2, 1, 0), (4, 0, 1)])
def test_a_poor_reference_warns_and_a_useless_one_is_refused(
    percent: int, warned: int, refused: int
) -> None:
    """4 % over 2/√3 times 1, 2 and 4 %: 3.5, 1.7 and 0.9 times better."""
    rough = Beside("rough tester", Trust.LIMITS, percent=Fraction(percent))
    result = judge(Check(WRENCH, GOOD, rough))
    assert len(result.refused) == refused
    assert sum("times the uncertainty" in note for note in result.notes) == warned
    if refused:
        assert result.verdict is None
        assert all(point.decision is None for point in result.points)
        assert "rough tester is not good enough" in result.refused[0]


@pytest.mark.parametrize(("amount", "judged"), [(99, True), (100, False), (101, False)])
def test_a_reference_no_better_than_the_instrument_is_useless(amount: int, judged: bool) -> None:
    """With U as large as the limit nothing but the very middle could pass."""
    limits = plain_limits(Fraction(100), 10_000)
    block = Beside("block", Trust.CERTIFICATE, amount=amount)
    result = judge(Check(limits, (Reading(5_000, 5_000, 5_000),), block))
    assert (result.verdict is not None) is judged


def test_a_torque_of_nothing_is_refused() -> None:
    """Nothing on the tester would divide by nothing."""
    result = judge(Check(WRENCH, (*GOOD, Reading(5_000, 5_000, 0)), TESTER))
    assert "a torque of nothing" in result.refused[0]


def test_a_tool_fixed_to_one_torque_is_read_there() -> None:
    """Nobody can set it to 20 %; and one whose lowest mark is above 60 % neither."""
    assert TorqueLimits(TorqueClass.II_B, 5_000).required() == (5_000,)
    assert TorqueLimits(TorqueClass.II_A, 14_000, 10_000).required() == (10_000, 14_000)
    assert not TorqueClass.II_B.has_spring
    assert TorqueClass.II_A.has_spring
    assert not TorqueClass.I_B.has_spring


def test_the_makers_own_limit_goes_first() -> None:
    """2 % instead of the class's 4 %."""
    own = TorqueLimits(TorqueClass.I_C, 25_000, own_percent=Fraction(2))
    readings = torque((5_000, 5_000), (15_000, 15_000), (25_000, 24_300))
    assert judge(Check(own, readings, TESTER)).verdict is Verdict.CONDITIONAL_FAIL
    of_class = judge(Check(TorqueLimits(TorqueClass.I_C, 25_000), readings, TESTER))
    assert of_class.accepted
    assert "from memory" in of_class.notes[-1]  # nobody has looked this class up yet
    assert not any("from memory" in note for note in judge(Check(own, readings, TESTER)).notes)


def test_what_lies_outside_the_range_is_shown_and_not_judged() -> None:
    """2 N·m on a tool whose limits begin at 5."""
    result = judge(Check(WRENCH, (*GOOD, Reading(2_000, 2_000, 3_000)), TESTER))
    assert result.points[0].decision is None
    assert result.verdict is Verdict.PASS
    assert "no limit holds at 8 % of its maximum: shown, not judged" in result.notes


GAUGE = GaugeLimits(GaugeClass.C1_6, 0, 10 * BAR)


def test_a_gauge_needs_as_many_points_as_its_class_asks_for() -> None:
    """Four of five."""
    readings = tuple(Reading(at * BAR, at * BAR, at * BAR) for at in (2, 4, 6, 8))
    result = judge(Check(GAUGE, readings, MASTER))
    assert result.verdict is None
    assert result.refused[0].startswith("read at 4 points")
    more = judge(Check(GAUGE, (*readings, Reading(BAR, BAR, BAR)), MASTER))
    assert more.verdict is Verdict.PASS
    assert "read one way only" in more.notes[-1]
    assert more.hysteresis is None


def test_a_gauge_in_the_heat_is_judged_with_less_trust() -> None:
    """At 35 °C it may have moved by 0.6 % of its span: counted as uncertainty, not as room."""
    readings = tuple(Reading(at * BAR, at * BAR + 12_000, at * BAR) for at in (1, 3, 5, 7, 9))
    assert judge(Check(GAUGE, readings, MASTER, celsius=20)).verdict is Verdict.PASS
    warm = judge(Check(GAUGE, readings, MASTER, celsius=35))
    assert warm.verdict is Verdict.CONDITIONAL_PASS
    hot = judge(Check(GAUGE, readings, MASTER, celsius=70))
    assert hot.verdict is None
    assert "temperature" in hot.refused[0]


def test_a_plain_tolerance_is_judged_by_the_mean() -> None:
    """Three readings of a calliper: mean 20 µm off, each new reading counted (t of 2)."""
    limits = plain_limits(Fraction(60), 150_000, (50_000,))
    blocks = Beside("gauge block", Trust.CERTIFICATE, amount=2)
    readings = tuple(Reading(50_000, 50_000 + off, 50_000) for off in (10, 20, 30))
    result = judge(Check(limits, readings, blocks, step=10))
    point = result.points[0]
    assert (point.mean_error, point.spread) == (20, 10)
    # u: 1, 10/√12 and 10/√3 (2 degrees): together 6.53, 3.27 degrees, so k = t(3) = 3.31
    assert round(point.uncertainty.u, 2) == 6.53
    assert round(point.uncertainty.k, 2) == 3.31
    assert result.verdict is Verdict.PASS
    single = judge(Check(limits, readings[:1], blocks, step=10))
    assert "how well it repeats" in single.notes[0]
    assert judge(Check(limits, (), blocks)).refused == ("no reading at point 1 of 1",)
    above = BandLimits(((150_000, Fraction(60)),))
    nowhere = judge(Check(above, (Reading(200_000, 200_000, 200_000),), blocks))
    assert nowhere.refused == ("no reading where a limit holds",)


@pytest.mark.parametrize(
    ("measured", "verdict"),
    [
        (12_000, Verdict.PASS),
        (12_030, Verdict.PASS),
        (12_045, Verdict.CONDITIONAL_PASS),
        (12_055, Verdict.CONDITIONAL_FAIL),
        (11_985, Verdict.CONDITIONAL_PASS),
        (11_975, Verdict.CONDITIONAL_FAIL),
        (11_950, Verdict.FAIL),
    ],
)
def test_a_shop_made_gauge_by_its_own_limits(measured: int, verdict: Verdict) -> None:
    """12.00 mm, 11.98 to 12.05 mm, measured with U = 20 µm."""
    made = Gauge("dropout", "inner width", 12_000, 11_980, 12_050)
    calliper = Beside("calliper", Trust.CERTIFICATE, amount=20)
    readings = (Reading(12_000, 12_000, measured),)
    assert judge(Check(MadeLimits(made), readings, calliper)).verdict is verdict
    missing = judge(Check(MadeLimits(made), (), calliper))
    assert missing.refused == ("no reading at inner width",)


def test_every_verdict_says_that_it_is_no_calibration() -> None:
    """Checks, decisions, standings, drift and corrections alike."""
    result = judge(Check(WRENCH, GOOD, TESTER))
    decision = decide(Fraction(1), Allowed(Fraction(-2), Fraction(2)), Fraction(0))
    found = who_is_off(settle([Compared("A", "B", 1, 1)]))
    due = standing(Interval(12, 5_000), [], date(2026, 1, 1))
    said = [result.caution, decision.caution, found.caution, due.caution]
    said.append(setting(result, 15_000).caution)
    assert set(said) == {CAUTION}
    assert "does not replace an accredited calibration" in CAUTION
    assert decision.words.endswith(CAUTION)


DAY = date(2026, 3, 10)


def test_never_checked_is_out_and_a_new_tool_counts_from_its_first_use() -> None:
    """12 months from first use (from memory of ISO 6789)."""
    assert [r.why for r in standing(Interval(12, 5_000), [], DAY).reasons] == [Why.NEVER]
    new = standing(Interval(12, 5_000), [FirstUsed(date(2025, 3, 10)), Used(DAY, 4)], DAY)
    assert (new.out, new.good_until, new.checked, new.uses) == (False, DAY, None, 4)
    checked = [FirstUsed(date(2025, 3, 10)), Checked(DAY, Verdict.PASS), FirstUsed(DAY)]
    assert standing(Interval(12, 5_000), checked, DAY).good_until == date(2027, 3, 10)


@pytest.mark.parametrize("kind", list(EventKind))
def test_an_event_calls_for_a_check_and_a_check_answers_it(kind: EventKind) -> None:
    """On one day the order of happening decides."""
    passed, event = Checked(DAY, Verdict.PASS), Event(DAY, kind)
    out = standing(Interval(12, None), [passed, event], DAY)
    assert [(r.why, r.since) for r in out.reasons] == [(Why.EVENT, DAY)]
    assert kind.value in out.reasons[0].words
    assert not standing(Interval(12, None), [event, passed], DAY).out


def test_all_reasons_are_told_and_the_earliest_day_is_since_when() -> None:
    """A year gone, too many uses, dropped as well."""
    happened = [
        Checked(date(2024, 2, 29), Verdict.PASS),
        Used(date(2024, 12, 1), 5_001),
        Event(date(2025, 1, 5), EventKind.DROP),
    ]
    found = standing(Interval(12, 5_000), happened, DAY)
    assert [r.why for r in found.reasons] == [Why.EVENT, Why.DAY, Why.USES]
    assert [r.since for r in found.reasons] == [
        date(2025, 1, 5),
        date(2025, 3, 1),
        date(2024, 12, 1),
    ]
    assert found.since == date(2024, 12, 1)
    assert "5,001 times" in found.reasons[2].words


def test_the_interval_is_halved_once_after_a_failed_check() -> None:
    """Failed, set right and passed: half; passed again: whole again."""
    fail, good = Checked(DAY, Verdict.FAIL), Checked(DAY, Verdict.PASS)
    failed = standing(Interval(12, 5_000), [fail], DAY)
    assert [(r.why, r.since) for r in failed.reasons] == [(Why.FAILED, DAY)]
    after = standing(Interval(12, 5_000), [fail, fail, good], DAY)
    assert (after.halved, after.out) == (True, False)
    assert (after.interval, after.good_until) == (Interval(6, 2_500), date(2026, 9, 10))
    later = standing(Interval(12, 5_000), [fail, good, good], DAY)
    assert (later.halved, later.good_until) == (False, date(2027, 3, 10))
    assert Interval(3, 1).halved().last_day(date(2026, 1, 31)) == date(2026, 3, 15)


def test_what_happens_later_does_not_count_yet() -> None:
    """A list can be looked at for any day."""
    happened = [Checked(DAY, Verdict.PASS), Event(date(2026, 4, 1), EventKind.DROP)]
    assert not standing(Interval(12, None), happened, date(2026, 3, 31)).out
    assert standing(Interval(12, None), happened, date(2026, 4, 1)).out


def test_the_list_of_the_kit_is_where_a_history_begins() -> None:
    """Uses that the list counts have no day, so nobody knows since when."""
    happened = listed(Instrument(DAY, 12, 5_000, 5_001))
    found = standing(Interval(12, 5_000), happened, DAY)
    assert [(r.why, r.since) for r in found.reasons] == [(Why.USES, None)]
    assert found.since is None
    assert listed(Instrument(None, 12, None)) == ()


def test_wound_down_after_use() -> None:
    """Asked for after a use, not before one and not again once done."""
    assert not wind_down([], DAY)
    assert wind_down([Unwound(DAY), Used(DAY)], DAY)
    assert not wind_down([Used(DAY), Unwound(DAY)], DAY)


def test_two_that_agree_prove_little() -> None:
    """Nobody is named by two gauges, whether they agree or not."""
    agree = who_is_off(settle([Compared("A", "B", 500, 1_000)]))
    assert agree.names == ()
    assert "proves little" in agree.words
    differ = who_is_off(settle([Compared("A", "B", 9_000, 1_000)]))
    assert differ.names == ()
    assert "nothing says which" in differ.words


THREE = [Compared("A", "B", 200, 1_000), Compared("A", "C", 15_000, 1_000)]


def test_with_three_the_one_that_stands_apart_is_named() -> None:
    """A and B agree, C shows 15,000 less; a third comparison closes the ring."""
    offsets = settle([*THREE, Compared("B", "C", 14_900, 1_000)])
    found = who_is_off(offsets)
    assert found.names == ("C",)
    assert found.surely is not None
    assert found.surely > 0.99
    assert "may still be off alike" in found.words
    assert not offsets.contradict


def test_how_surely_one_of_three_stands_apart() -> None:
    """By hand: the gap to the mean of the others has u/√2, and any of three might be the one."""
    ring = [Compared("A", "B", 0, 1_000)]
    ring += [Compared(one, "C", 2_050, 1_000) for one in "AB"]
    found = who_is_off(settle(ring))
    chance = NormalDist(0, 1_000 / math.sqrt(2)).cdf(-2_050)
    assert found.names == ("C",)
    assert found.surely == pytest.approx(1 - 3 * 2 * chance)
    assert "98.8 % sure" in found.words
    less = [Compared("A", "B", 0, 1_000)]
    less += [Compared(one, "C", 1_600, 1_000) for one in "AB"]
    assert who_is_off(settle(less)).names == ()  # 2.26 u: 97.6 % for one, 92.9 % for any


def test_three_that_agree_or_all_differ_name_nobody() -> None:
    """No single one can be told from a spread of three."""
    agree = who_is_off(settle([Compared("A", "B", 200, 1_000), Compared("B", "C", 0, 1_000)]))
    assert (agree.names, agree.surely) == ((), None)
    spread = who_is_off(settle([Compared("A", "B", 9_000, 500), Compared("B", "C", 9_000, 500)]))
    assert spread.names == ()
    assert "no single one" in spread.words


def test_a_certified_gauge_says_who_is_off_even_of_two() -> None:
    """The certificate says A is right to 500; B shows 9,000 more."""
    pairs = [Compared("B", "A", 9_000, 1_000)]
    offsets = settle(pairs, [Certified("A", 0, 500)])
    assert offsets.error("B") == 9_000
    assert offsets.u("B") == pytest.approx((1_000**2 + 500**2) ** 0.5)
    found = who_is_off(offsets)
    assert found.names == ("B",)
    near = who_is_off(settle([Compared("B", "A", 900, 1_000)], [Certified("A", 0, 500)]))
    assert near.names == ()
    both = settle(pairs, [Certified("A", 0, 500), Certified("B", 0, 500)])
    assert both.contradict
    assert "contradict one another" in who_is_off(both).words


def test_comparisons_that_cannot_be_settled_are_refused_with_all_reasons() -> None:
    """Islands, a gauge beside itself, no uncertainty, a certificate for something else."""
    with pytest.raises(DriftError) as caught:
        settle(
            [Compared("A", "B", 0, 1), Compared("C", "D", 0, 0), Compared("A", "A", 0, 1)],
            [Certified("E", 0, 1)],
        )
    assert len(caught.value.reasons) == 4
    assert "no comparison links C, D with A" in str(caught.value)
    with pytest.raises(DriftError, match="nothing was compared"):
        settle([])
    # two islands, each with a certified gauge, are no islands
    pairs = [Compared("A", "B", 5, 1), Compared("C", "D", 7, 1)]
    linked = settle(pairs, [Certified("A", 10, 1), Certified("C", 20, 1)])
    assert [linked.error(name) for name in "ABCD"] == [10, 5, 20, 13]


def test_a_trend_that_may_be_chance_gives_no_date() -> None:
    """Up and down without a direction, and a flat line."""
    restless = [Measured(date(2026, n, 1), v) for n, v in ((1, 0), (2, 9), (3, 1), (4, 8))]
    assert leaves(trend(restless), -20, 20).not_known.startswith("not known")
    flat = [Measured(date(2026, n, 1), 5) for n in (1, 2, 3)]
    assert leaves(trend(flat), 0, 10).not_known.startswith("not known")
    slow = [Measured(date(2026, 1, n), Fraction(n, 1000)) for n in (1, 2, 3)]
    assert "hundred years" in leaves(trend(slow), -100, 100).not_known
    with pytest.raises(ValueError, match="at least 3"):
        trend(flat[:2])
    with pytest.raises(ValueError, match="one day"):
        trend([Measured(DAY, n) for n in (1, 2, 3)])


def test_values_on_a_line_by_luck_are_trusted_no_more_than_the_measuring() -> None:
    """Three values that fall by 10 µm each month, measured to u = 15 µm, show nothing sure."""
    line = [Measured(date(2026, n, 1), 12_000 - 10 * n) for n in (1, 2, 3)]
    assert trend([Measured(date(2026, 1, n), -10 * n) for n in (1, 2, 3)]).significant
    assert not trend(line, u=15.0).significant


def test_a_wrench_is_set_by_its_check() -> None:
    """It shows 100 too much at 5 N·m and 300 too little at 15: halfway 100 too little."""
    readings = torque((5_000, 4_900), (15_000, 15_300), (25_000, 25_000))
    result = judge(Check(WRENCH, readings, TESTER, step=250))
    found = setting(result, 10_100)
    assert found.exact == 10_100 - 100  # half of the way from 4,900 to 15,300
    assert (found.shown, found.true) == (10_000, 10_100)
    moved = setting(result, 10_100, moved=Fraction(150), moved_u=40.0)
    assert (moved.exact, moved.shown, moved.true) == (10_150, 10_250, 10_200)
    assert moved.expanded > found.expanded
    assert setting(result, 15_300).exact == 15_000


def test_one_use_strays_further_than_the_mean() -> None:
    """By hand: readings 10, 20 and 30 off, s = 10: mean s/√3 and one use s, two degrees each."""
    blocks = Beside("master", Trust.CERTIFICATE, amount=2)
    readings = tuple(Reading(at, at + off, at) for at in (1_000, 2_000) for off in (10, 20, 30))
    result = judge(Check(plain_limits(Fraction(100), 5_000), readings, blocks))
    found = setting(result, 1_000)
    assert found.exact == 1_020
    assert found.uncertainty.u == pytest.approx(math.sqrt(1 + 100 / 3 + 100))
    degrees = found.uncertainty.u**4 / ((100 / 3) ** 2 / 2 + 100**2 / 2)
    assert found.uncertainty.degrees == pytest.approx(degrees)
    assert found.uncertainty.k == pytest.approx(3.307, abs=1e-3)  # three degrees, 95.45 %


def test_nothing_is_told_to_set_where_nothing_is_known() -> None:
    """Outside the points, without a verdict, and for a torque tool that failed."""
    result = judge(Check(WRENCH, GOOD, TESTER))
    with pytest.raises(CorrectionError, match="outside the points"):
        setting(result, 4_000)
    with pytest.raises(CorrectionError, match="no verdict"):
        setting(judge(Check(WRENCH, (), TESTER)), 5_000)
    bad = torque((5_000, 6_000), (15_000, 15_000), (25_000, 25_000))
    with pytest.raises(CorrectionError, match="failed its check"):
        setting(judge(Check(WRENCH, bad, TESTER)), 10_000)


def test_a_gauge_that_failed_is_corrected_for_today_only() -> None:
    """50,000 Pa too high everywhere: 3.5 bar shown for 3 bar, and mend it."""
    readings = tuple(Reading(at * BAR, at * BAR + 50_000, at * BAR) for at in (1, 3, 5, 7, 9))
    result = judge(Check(GAUGE, readings, MASTER, step=5_000))
    assert result.verdict is Verdict.FAIL
    found = setting(result, 3 * BAR)
    assert (found.shown, found.true) == (350_000, 300_000)
    assert found.note.startswith("outside its limits")
