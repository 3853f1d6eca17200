"""Whatever the readings: verdicts, due dates, drift and trends keep to their rules."""

from __future__ import annotations

import math
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.linalg import lstsq

from toolbox.instruments.check import Check, judge
from toolbox.instruments.correction import setting
from toolbox.instruments.drift import Certified, Compared, Offsets, settle
from toolbox.instruments.due import Checked, Event, Interval, Used, standing
from toolbox.instruments.limits import TorqueClass, TorqueLimits, plain_limits
from toolbox.instruments.trend import Measured, leaves, trend
from toolbox.instruments.verdicts import Allowed, decide, has_failed, severity
from toolbox.kit.checking import Beside, EventKind, Reading, Trust, Verdict

# In thousandths, and often on the very edge: small numbers meet one another.
SIZES = st.integers(0, 8) | st.integers(0, 10**6)
WIDTHS = SIZES.map(lambda n: Fraction(n, 1000))
NUMBERS = st.builds(lambda sign, width: sign * width, st.sampled_from([1, -1]), WIDTHS)


@settings(max_examples=200, deadline=None)
@given(NUMBERS, WIDTHS, WIDTHS, WIDTHS, WIDTHS, st.booleans())
def test_a_larger_deviation_is_never_judged_better(
    middle: Fraction, half: Fraction, expanded: Fraction, one: Fraction, more: Fraction, up: bool
) -> None:
    """Away from the middle of the limits the verdict only gets worse, on either side."""
    allowed = Allowed(middle - half, middle + half)
    sign = 1 if up else -1
    near = decide(middle + sign * one, allowed, expanded)
    far = decide(middle + sign * (one + more), allowed, expanded)
    assert severity(far.verdict) >= severity(near.verdict)
    assert near.accepted or not far.accepted


@settings(max_examples=200, deadline=None)
@given(NUMBERS, NUMBERS, WIDTHS, WIDTHS, WIDTHS)
def test_the_guard_band_accepts_nothing_that_simple_acceptance_rejects(
    value: Fraction, middle: Fraction, half: Fraction, expanded: Fraction, more: Fraction
) -> None:
    """Pass implies accepted; more uncertainty never makes a pass nor a plain fail."""
    allowed = Allowed(middle - half, middle + half)
    found = decide(value, allowed, expanded)
    assert found.accepted == (allowed.low <= value <= allowed.high)
    assert found.accepted or has_failed(found.verdict)
    assert not found.accepted or not has_failed(found.verdict)
    assert (found.verdict is Verdict.PASS) == (
        allowed.low + expanded <= value <= allowed.high - expanded
    )
    wider = decide(value, allowed, expanded + more)
    if wider.verdict in (Verdict.PASS, Verdict.FAIL):
        assert wider.verdict is found.verdict


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(4_000, 6_000), min_size=3, max_size=3), st.integers(0, 500))
def test_a_torque_tool_further_off_is_never_judged_better(reads: list[int], more: int) -> None:
    """The same check with every reading further from what was set."""
    limits = TorqueLimits(TorqueClass.II_A, 25_000)
    tester = Beside("tester", Trust.LIMITS, percent=Fraction(1))
    right = tuple(Reading(at, at, at) for at in (15_000, 25_000))

    def check(push: int) -> int:
        off = [read + (push if read >= 5_000 else -push) for read in reads]
        readings = (*right, *(Reading(5_000, 5_000, read) for read in off))
        verdict = judge(Check(limits, readings, tester, step=100)).verdict
        assert verdict is not None
        return severity(verdict)

    assert check(more) >= check(0)


DAYS = st.dates(date(1996, 1, 1), date(2040, 12, 31)) | st.sampled_from(
    [date(2024, 2, 29), date(2028, 2, 29), date(2023, 2, 28), date(2024, 1, 31)]
)


@settings(max_examples=150, deadline=None)
@given(DAYS, st.integers(1, 60), st.integers(0, 4000))
def test_a_check_holds_through_its_last_day(day: date, months: int, later: int) -> None:
    """Last day by dateutil; out on the next day and ever after, in since that next day."""
    last = day + relativedelta(months=months)
    interval = Interval(months, None)
    happened = [Checked(day, Verdict.PASS)]
    today = day + timedelta(days=later)
    found = standing(interval, happened, today)
    assert found.good_until == last
    assert found.out == (today > last)
    assert found.since == (last + timedelta(days=1) if found.out else None)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.integers(1, 900), max_size=30), st.integers(1, 8000))
def test_uses_are_counted_to_the_last_one(times: list[int], most: int) -> None:
    """Out exactly when the sum passes the limit, since the day on which it did."""
    start = date(2026, 1, 1)
    happened = [
        Checked(start, Verdict.PASS),
        *(Used(start + timedelta(days=n), t) for n, t in enumerate(times)),
    ]
    found = standing(Interval(None, most), happened, date(2026, 12, 31))
    total, first = 0, None
    for n, t in enumerate(times):
        total += t
        if total > most and first is None:
            first = start + timedelta(days=n)
    assert (found.uses, found.out, found.since) == (total, total > most, first)
    assert found.uses_left == max(0, most - total)


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.sampled_from([*Verdict, *EventKind]), min_size=1, max_size=8),
    st.none() | st.integers(1, 60),
    st.none() | st.integers(1, 9999),
)
def test_a_failed_check_halves_and_an_event_calls(
    story: list[Verdict | EventKind], months: int | None, uses: int | None
) -> None:
    """Out by event or failure exactly as the story ends; the interval is never longer."""
    day = date(2026, 1, 1)
    happened = [Checked(day, one) if isinstance(one, Verdict) else Event(day, one) for one in story]
    found = standing(Interval(months, uses), happened, day)
    checks = [n for n, one in enumerate(story) if isinstance(one, Verdict)]
    after = story[checks[-1] + 1 :] if checks else story
    last = story[checks[-1]] if checks else None
    bad = (Verdict.CONDITIONAL_FAIL, Verdict.FAIL)
    assert found.out == (last is None or last in bad or bool(after))
    before = story[checks[-2]] if len(checks) > 1 else None
    assert found.halved == (before in bad and last not in bad)
    if found.halved:
        if months is not None:
            whole, half = day + relativedelta(months=months), found.good_until
            assert half is not None
            # half a month counts as 15 days (our own), whole ones by dateutil
            odd = timedelta(days=15 * (months % 2))
            assert half == day + relativedelta(months=months // 2) + odd
            assert half < whole
        if uses is not None:
            assert found.interval.uses == max(1, uses // 2)


@st.composite
def comparisons(draw: st.DrawFn) -> tuple[list[Compared], list[Certified]]:
    """Three to six gauges in a chain with more pairs thrown in, and up to two certified."""
    names = [f"gauge {n}" for n in range(draw(st.integers(2, 6)))]
    values = st.integers(-50_000, 50_000)
    us = st.integers(50, 5_000)
    pairs = list(pairwise(names))
    pairs += draw(
        st.lists(
            st.tuples(st.sampled_from(names), st.sampled_from(names)).filter(
                lambda p: p[0] != p[1]
            ),
            max_size=8,
        )
    )
    compared = [Compared(a, b, draw(values), draw(us)) for a, b in pairs]
    known = draw(st.lists(st.sampled_from(names), unique=True, max_size=2))
    return compared, [Certified(name, draw(values), draw(us)) for name in known]


@settings(max_examples=100, deadline=None)
@given(comparisons())
def test_least_squares_equals_scipys(asked: tuple[list[Compared], list[Certified]]) -> None:
    """Errors and covariance against scipy's lstsq and numpy's pseudo-inverse."""
    compared, certified = asked
    found = settle(compared, certified)
    place = {name: n for n, name in enumerate(found.names)}
    rows, values = [], []
    for pair in compared:
        row = np.zeros(len(place))
        row[place[pair.one]], row[place[pair.other]] = 1 / pair.u, -1 / pair.u
        rows.append(row)
        values.append(pair.difference / pair.u)
    for one in certified:
        row = np.zeros(len(place))
        row[place[one.name]] = 1 / one.u
        rows.append(row)
        values.append(one.error / one.u)
    design, right = np.array(rows), np.array(values)
    # without a certified one lstsq takes the shortest answer, which adds up to nothing as well
    # (the cut is far below the real ratios of weights, far above the floats' last digits)
    best = lstsq(design, right, cond=1e-10)[0]
    assert [float(e) for e in found.errors] == pytest.approx(list(best), rel=1e-6, abs=1e-3)
    residual = design @ best - right
    assert found.spare == len(right) - np.linalg.matrix_rank(design)
    birge = math.sqrt(float(residual @ residual) / found.spare) if found.spare else 1.0
    assert found.scatter == pytest.approx(max(1.0, birge), rel=1e-6)
    covariance = np.linalg.pinv(design.T @ design, rcond=1e-12, hermitian=True) * found.scatter**2
    assert np.array(found.covariance) == pytest.approx(covariance, rel=1e-5, abs=1e-3)
    if not certified:
        assert sum(found.errors) == 0


@settings(max_examples=60, deadline=None)
@given(comparisons(), st.integers(-30_000, 30_000))
def test_only_differences_are_known_without_a_certified_one(
    asked: tuple[list[Compared], list[Certified]], push: int
) -> None:
    """A certificate that says more by so much moves all errors by so much, differences never."""
    compared, _ = asked
    first = compared[0].one

    def with_error(error: int) -> Offsets:
        return settle(compared, [Certified(first, error, 100)])

    low, high, free = with_error(0), with_error(push), settle(compared)
    for name in low.names:
        assert high.error(name) - low.error(name) == push
        difference = free.error(name) - free.error(first)
        assert low.error(name) - low.error(first) == difference


SERIES = st.lists(
    st.tuples(st.integers(0, 3000), st.integers(-10_000, 10_000)), min_size=3, max_size=12
)


@settings(max_examples=100, deadline=None)
@given(SERIES)
def test_a_trend_equals_scipys(pairs: list[tuple[int, int]]) -> None:
    """Slope, its uncertainty and its significance against linregress."""
    days = [day for day, _ in pairs]
    assume(len(set(days)) > 1)
    start = date(2010, 1, 1)
    line = trend([Measured(start + timedelta(days=d), v) for d, v in pairs])
    values = [float(v) for _, v in pairs]
    right = stats.linregress(days, values)
    assert float(line.per_day) == pytest.approx(right.slope, rel=1e-6, abs=1e-9)
    exact = float(line.per_day) * (max(days) - min(days))
    if line.scatter > 1e-3 * max(1.0, abs(exact)):
        # on a line without scatter scipy's own figures are the last digits of its floats
        assert line.u_per_day == pytest.approx(right.stderr, rel=1e-6)
        if abs(right.pvalue - 0.05) > 1e-6:
            assert line.significant == (right.pvalue < 0.05)


@settings(max_examples=100, deadline=None)
@given(SERIES, st.integers(0, 20_000), st.integers(0, 20_000))
def test_it_is_inside_on_its_last_good_day_and_outside_on_the_next(
    pairs: list[tuple[int, int]], below: int, above: int
) -> None:
    """By the line itself; earliest, expected and latest day come in that order."""
    assume(len({day for day, _ in pairs}) > 1)
    start = date(2010, 1, 1)
    line = trend([Measured(start + timedelta(days=d), v) for d, v in pairs], u=20.0)
    low, high = -10_000 - below, 10_000 + above
    found = leaves(line, low, high)
    assert bool(found.not_known) == (found.good_until is None)
    if not line.significant:
        assert found.not_known.startswith("not known")
    if found.good_until is None:
        return
    day = timedelta(days=1)
    if line.per_day > 0:
        assert line.at(found.good_until)[0] <= high < line.at(found.good_until + day)[0]
    else:
        assert line.at(found.good_until)[0] >= low > line.at(found.good_until + day)[0]
    if found.earliest is not None:
        assert found.earliest <= found.good_until
    if found.latest is not None:
        assert found.latest >= found.good_until


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(-300, 300), min_size=3, max_size=3),
    st.integers(1_000, 9_000),
)
def test_what_is_set_by_a_correction_comes_out_as_wanted(offs: list[int], wanted: int) -> None:
    """An instrument whose error runs straight between its points, by plain interpolation."""
    points = (1_000, 5_000, 9_000)
    readings = tuple(
        Reading(at, at + off, at) for at, off in zip(points, offs, strict=True) for _ in range(2)
    )
    reference = Beside("master", Trust.CERTIFICATE, amount=10)
    result = judge(Check(plain_limits(Fraction(1_000), 10_000, points), readings, reference))
    found = setting(result, wanted)
    assert float(found.exact) == pytest.approx(wanted + np.interp(wanted, points, offs))
    assert abs(found.true - wanted) <= Fraction(1, 2)
    assert found.expanded >= 10
