"""Masses and scales against OIML R 76-1, the GUM, ILAC-G8 and plain enumeration."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm, uniform

from toolbox.flight.masses import (
    Line,
    Shared,
    Total,
    Verdict,
    chance_above,
    reading_behind,
    total_of,
    uncertainty_of,
    weigh_next,
    weighed_total,
)
from toolbox.flight.scales import class_taken, permissible_error_mg, reading_of, rectangular
from toolbox.kit.things import Known, Mass
from toolbox.kit.trips import Scale, ScaleClass

# OIML R 76-1:2006, Table 6, initial verification: class, up to so many intervals, error in e.
TABLE_6 = [
    (ScaleClass.I, 50_000, "0.5"),
    (ScaleClass.I, 200_000, "1"),
    (ScaleClass.I, 1_000_000, "1.5"),
    (ScaleClass.II, 5_000, "0.5"),
    (ScaleClass.II, 20_000, "1"),
    (ScaleClass.II, 100_000, "1.5"),
    (ScaleClass.III, 500, "0.5"),
    (ScaleClass.III, 2_000, "1"),
    (ScaleClass.III, 10_000, "1.5"),
    (ScaleClass.IIII, 50, "0.5"),
    (ScaleClass.IIII, 200, "1"),
    (ScaleClass.IIII, 1_000, "1.5"),
]


@pytest.mark.parametrize(("accuracy", "intervals", "errors"), TABLE_6)
def test_table_6_up_to_its_last_interval(accuracy: ScaleClass, intervals: int, errors: str) -> None:
    """R 76-1 Table 6: the error holds up to and with the last interval of its row.

    In service it is twice that (UK Statutory Instrument 1995/1907, schedule 2).
    """
    step = 200
    right = Fraction(errors) * step
    at = permissible_error_mg(intervals * step, step, accuracy, in_service=False)
    assert at == right
    assert permissible_error_mg(intervals * step, step, accuracy) == 2 * right


@pytest.mark.parametrize("row", [r for r in TABLE_6 if r[2] != "1.5"], ids=str)
def test_one_milligram_more_is_the_next_row(row: tuple[ScaleClass, int, str]) -> None:
    """R 76-1 Table 6: just above a row's last interval half an interval more is allowed."""
    accuracy, intervals, errors = row
    above = permissible_error_mg(intervals * 200 + 1, 200, accuracy, in_service=False)
    assert above == (Fraction(errors) + Fraction(1, 2)) * 200


@pytest.mark.parametrize(
    ("accuracy", "intervals"),
    [(ScaleClass.II, 100_000), (ScaleClass.III, 10_000), (ScaleClass.IIII, 1_000)],
)
def test_no_scale_of_the_class_shows_more(accuracy: ScaleClass, intervals: int) -> None:
    """R 76-1 Table 6 ends there, so no error can be told."""
    with pytest.raises(ValueError, match=r"no .* intervals"):
        permissible_error_mg((intervals + 1) * 200, 200, accuracy)


@pytest.mark.parametrize(("kilograms", "verified", "in_service"), [(23, 25, 50), (32, 50, 100)])
def test_a_luggage_scale_of_50_grams(kilograms: int, verified: int, in_service: int) -> None:
    """50 kg, e = 50 g, class III, by hand from Table 6: 460 e and 640 e."""
    load, step = kilograms * 10**6, 50_000
    first = permissible_error_mg(load, step, ScaleClass.III, in_service=False)
    assert (first, permissible_error_mg(load, step, ScaleClass.III)) == (
        verified * 1000,
        in_service * 1000,
    )


def test_an_error_known_by_its_limits_is_spread_evenly() -> None:
    """JCGM 100:2008, 4.3.7: a/√3; the same as scipy's uniform distribution gives."""
    assert rectangular(50.0) == pytest.approx(uniform(loc=-50, scale=100).std())
    reading = reading_of(23_000, 50_000, ScaleClass.III)
    assert reading.scale_g == pytest.approx(uniform(loc=-50, scale=100).std())
    # at 640 e Table 6 allows ±1 e, in service ±2 e = ±100 g
    heavier = reading_of(32_000, 50_000, ScaleClass.III)
    assert heavier.scale_g == pytest.approx(uniform(loc=-100, scale=200).std())
    # F.2.2.1 there: a digital step δx gives 0.29 δx
    assert reading.rounding_g == pytest.approx(0.29 * 50, rel=0.01)


def test_a_scale_that_names_no_class_counts_as_three_or_finer() -> None:
    """R 76-1 Table 6: 2 kg in steps of 0.1 g are 20,000 e, more than class III has."""
    assert class_taken(2_000_000, 1_000) is ScaleClass.III
    assert class_taken(2_000_000, 100) is ScaleClass.II
    assert class_taken(20_000_000, 100) is ScaleClass.I
    assert class_taken(10_000_000, 1_000) is ScaleClass.III
    assert class_taken(10_000_001, 1_000) is ScaleClass.II
    # named III though it shows more than a III may: the finer class counts
    assert reading_of(10_001, 1_000, ScaleClass.III) == reading_of(10_001, 1_000, ScaleClass.II)
    assert reading_of(10_000, 1_000, ScaleClass.III) != reading_of(10_000, 1_000, ScaleClass.II)


def of_u(name: str, u: float) -> Line:
    """A line whose standard uncertainty is u grams, by its own limits."""
    return Line(name, name, Mass(1000, Known.WEIGHED, None, round(u * math.sqrt(3) * 1000)))


@pytest.mark.parametrize(
    ("parts", "combined"),
    [
        # S. Bell, A Beginner's Guide to Uncertainty of Measurement, NPL Guide 11 (2001):
        # 0.7, 2.5, 0.3 and 5.8 mm together 6.4 mm
        ((0.7, 2.5, 0.3, 5.8), 6.4),
        # JCGM 100:2008, H.1 (end gauge): 25, 9.7, 2.9 and 16.6 nm together 32 nm
        ((25, 9.7, 2.9, 16.6), 32),
    ],
)
def test_separate_parts_combine_as_in_the_worked_examples(
    parts: tuple[float, ...], combined: float
) -> None:
    """The root of the sum of squares, printed to the places the examples print."""
    total = total_of(of_u(str(n), u) for n, u in enumerate(parts))
    places = 1 if combined == 6.4 else 0
    assert round(total.u_g, places) == combined


def test_2295_on_a_scale_good_to_100_grams_is_at_risk() -> None:
    """22.95 kg ± 0.1 kg against 23 kg: inside by itself, not with its error (ILAC-G8, 4.2.2)."""
    scale = Scale("hall", "Luggage scale", 50_000, None, 100_000)
    total = weighed_total(22_950, scale)
    assert total.verdict(23_000) is Verdict.AT_RISK
    assert total.chance_over(23_000) == pytest.approx(norm.sf(50 / (100 / math.sqrt(3))))
    assert weighed_total(22_800, scale).verdict(23_000) is Verdict.FITS
    assert weighed_total(23_010, scale).verdict(23_000) is Verdict.OVER


def test_the_guard_band_of_ilac_g8() -> None:
    """ILAC-G8:09/2019: limit 4.00, u 0.800, U 1.600: accepted up to 2.40, and 3.20 is not."""
    assert Total(2400, 800.0, 800.0).verdict(4000) is Verdict.FITS
    assert Total(2401, 800.0, 800.0).verdict(4000) is Verdict.AT_RISK
    assert Total(3200, 800.0, 800.0).verdict(4000) is Verdict.AT_RISK
    # with w = U less than 2.5 % of what is accepted is wrong
    assert Total(2400, 800.0, 800.0).chance_over(4000) < 0.025


@pytest.mark.parametrize("sigmas", [-9.0, -6.0, -1.0, 0.0, 0.5, 2.0, 5.0, 12.0])
def test_the_tail_is_exact_however_far_out(sigmas: float) -> None:
    """Against scipy's survival function."""
    right = float(norm.sf(sigmas))
    assert chance_above(23_000 + sigmas * 40, 23_000, 40.0) == pytest.approx(right, rel=1e-9)


def test_without_any_error_a_limit_is_kept_or_not() -> None:
    """Equal to the limit is within it."""
    assert chance_above(23_000, 23_000, 0.0) == 0.0
    assert chance_above(23_000, 23_001, 0.0) == 1.0


def test_copies_of_one_reading_add_up_plainly() -> None:
    """JCGM 100:2008, 5.2.2 note 1: four times one figure has four times its uncertainty."""
    one = Mass(105, Known.CATALOGUE)
    four = total_of([Line("S", "tube", one, 4)])
    assert four.grams == 420
    assert four.u_g == pytest.approx(4 * reading_behind(one).u_g)
    apart = total_of(Line(str(n), "tube", one) for n in range(4))
    assert apart.u_g == pytest.approx(2 * reading_behind(one).u_g)


def test_an_error_shared_by_all_readings_is_told_beside() -> None:
    """JCGM 100:2008, 5.2.2: nine readings on one scale, its own error nine times over."""
    lines = [Line(str(n), "tool", Mass(200, Known.WEIGHED, 1_000)) for n in range(9)]
    total = total_of(lines)
    scale, rounding = 1 / math.sqrt(3), 0.5 / math.sqrt(3)  # ±1 e in service, half a step
    assert total.u_g == pytest.approx(3 * math.hypot(scale, rounding))
    assert total.u_shared_g == pytest.approx(math.hypot(9 * scale, 3 * rounding))
    assert total.shared == (Shared(1_000, 9),)


def test_how_a_mass_is_known_decides_how_far_it_is_trusted() -> None:
    """The stated defaults, and the mechanic's own figure before them (common practice)."""
    of_known = {known: reading_behind(Mass(400, known, None)).u_g for known in Known}
    assert of_known[Known.CATALOGUE] == pytest.approx(20 / math.sqrt(3))
    assert of_known[Known.GUESS] == pytest.approx(100 / math.sqrt(3))
    assert of_known[Known.WEIGHED] < of_known[Known.CATALOGUE] < of_known[Known.GUESS]
    # light things: a catalogue rounds to grams, nobody guesses to less than five
    assert reading_behind(Mass(4, Known.CATALOGUE)).u_g == pytest.approx(1 / math.sqrt(3))
    assert reading_behind(Mass(4, Known.GUESS)).u_g == pytest.approx(5 / math.sqrt(3))
    untold = Mass(400, Known.WEIGHED, None)
    assert reading_behind(untold) == reading_of(400, 10_000)
    own = Mass(400, Known.GUESS, None, 3_000)
    assert reading_behind(own).u_g == pytest.approx(3 / math.sqrt(3))


MASSES = st.builds(
    Mass,
    st.integers(1, 5_000),
    st.sampled_from([Known.CATALOGUE, Known.GUESS]),
    st.none(),
    st.none() | st.integers(1, 100_000),
) | st.builds(
    Mass, st.integers(1, 5_000), st.just(Known.WEIGHED), st.sampled_from([None, 100, 1000, 5000])
)


@st.composite
def bags(draw: st.DrawFn, most: int = 7) -> list[Line]:
    """A few lines with ids of their own."""
    masses = draw(st.lists(st.tuples(MASSES, st.integers(1, 5)), max_size=most))
    return [Line(f"T{n}", f"tool {n}", mass, pieces) for n, (mass, pieces) in enumerate(masses)]


@settings(max_examples=100, deadline=None)
@given(bags(), st.randoms(use_true_random=False))
def test_a_total_is_the_sum_to_the_gram_in_any_order(lines: list[Line], chance: object) -> None:
    """Grams add up; order changes nothing; a shared error never makes it surer."""
    total = total_of(lines)
    chance.shuffle(lines)  # type: ignore[attr-defined]
    again = total_of(lines)
    assert total.grams == again.grams == sum(x.mass.grams * x.pieces for x in lines)
    assert total.u_g == pytest.approx(again.u_g)
    assert total.u_shared_g >= total.u_g - 1e-9
    low, high = total.interval()
    assert low <= total.grams <= high
    assert total.chance_over(high + 1) < 0.025
    assert total.chance_over(low - 1) > 0.97


@settings(max_examples=60, deadline=None)
@given(bags())
def test_no_three_others_would_tell_more(lines: list[Line]) -> None:
    """Every choice of up to three lines weighed, tried out one by one."""
    scale = Scale("k", "kitchen scale", 1_000)
    chosen = weigh_next(lines, scale)

    def variance(weighed: frozenset[str]) -> float:
        total = 0.0
        for line in lines:
            u = uncertainty_of(line)
            if line.id in weighed:
                u = min(u, reading_of(line.grams, scale.step_mg).u_g)
            total += u**2
        return total

    best = min(
        variance(frozenset(line.id for line in some))
        for n in range(min(3, len(lines)) + 1)
        for some in combinations(lines, n)
    )
    assert variance(frozenset(s.line.id for s in chosen)) == pytest.approx(best)
    light = weigh_next(lines, replace(scale, capacity_g=500))
    assert all(s.line.grams <= 500 for s in light)
    if chosen:
        assert chosen[-1].total_u_g == pytest.approx(math.sqrt(best), abs=1e-6)
    assert all(s.u_after_g < s.u_g for s in chosen)
