"""Restocking: printed worked examples, a reference library, and plain enumeration."""

from fractions import Fraction
from math import comb, floor, fsum

import pytest
from scipy import stats

from toolbox.stock.demand import ERROR, listed
from toolbox.stock.expected import (
    LIMIT,
    Amount,
    LearnedWork,
    PlannedWork,
    Spread,
    around,
    chances_to_run_out,
    days_of_cover,
    demand_of,
    expected,
)
from toolbox.stock.levels import base_stock, newsvendor

ONE = around(1)


def poisson(mean, upto=0):
    """Demand for one unit a job, the jobs Poisson with that mean."""
    return demand_of([PlannedWork(mean, ONE)], upto)


def learned(shape, rate, days=1, upto=0):
    """Demand for one unit a job, the jobs' rate believed to be gamma."""
    return demand_of([LearnedWork(shape, rate, days, ONE)], upto)


def test_freddie_the_newsboy():
    """Demand 15 to 18, ratio 0.5: order 16, the first amount that suffices in half the cases.

    Hillier & Lieberman, Introduction to Operations Research, ch. 18, exercise (question
    seen, answer computed): cost 1.50, price 2.50, refund 0.50.
    """
    tenths = {15: 4, 16: 2, 17: 3, 18: 1}
    demand = listed({amount: Fraction(n, 10) for amount, n in tenths.items()})
    assert (demand.at_most(15), demand.at_most(16)) == (Fraction(2, 5), Fraction(3, 5))
    assert newsvendor(demand, Fraction(1), Fraction(1)) == 16
    # A ratio that is met exactly asks for no unit more: 0.4 is F(15), 0.9 is F(17).
    assert newsvendor(demand, 2, 3) == 15
    assert newsvendor(demand, 9, 1) == 17
    assert demand.level(1) == 18
    # 15 * 0.4 + 16 * 0.2 + 17 * 0.3 + 18 * 0.1
    assert demand.mean == Fraction(161, 10)


def test_magazine():
    """Poisson 4.25: 11 copies for 99.6 %, and with 6 copies 3.996 are sold on average.

    Cachon & Terwiesch, Matching Supply with Demand, magazine exercise (question seen,
    answers computed).
    """
    demand = poisson(Fraction(17, 4))
    assert demand.at_most(10) == pytest.approx(0.99557, abs=5e-6)
    assert demand.at_most(11) == pytest.approx(0.99849, abs=5e-6)
    assert base_stock(demand, 0.996) == 11
    assert demand.mean - demand.short_of(6) == pytest.approx(3.996, abs=5e-4)


def test_appliances():
    """Poisson 10 in the lead time, base stock 15: fill 0.917, backorders 0.103, on hand 5.103.

    Hopp & Spearman, Factory Physics, ch. 2, appliance example (from memory; computed
    again), with its table of G(r) and B(r).
    """
    demand = poisson(10)
    assert demand.at_most(14) == pytest.approx(0.9165, abs=5e-5)
    assert demand.short_of(15) == pytest.approx(0.1035, abs=5e-5)
    assert 15 - demand.mean + demand.short_of(15) == pytest.approx(5.1035, abs=5e-5)
    fill = (0.458, 0.583, 0.697, 0.792, 0.864, 0.917, 0.951, 0.973, 0.986, 0.993)
    back = (1.793, 1.251, 0.834, 0.531, 0.322, 0.187, 0.103, 0.055, 0.028, 0.013)
    for r, g, b in zip(range(9, 19), fill, back, strict=True):
        assert demand.at_most(r) == pytest.approx(g, abs=5e-4), r
        assert demand.short_of(r) == pytest.approx(b, abs=5.1e-4), r


def test_shirts():
    """Daily Poisson 1.5, lead time 3 days, looked at daily: on order 4.5, S = 9, 10 or 14.

    Cachon & Terwiesch, order-up-to exercise (question seen, printed answers from memory,
    computed again). Two definitions of the fill rate give two answers, 9 and 10.
    """
    daily = PlannedWork(Fraction(3, 2), ONE)
    assert expected([daily] * 3) == Fraction(9, 2)
    three, four = demand_of([daily] * 3, 20), demand_of([daily] * 4, 20)
    assert four.more_than(8) == pytest.approx(0.1528, abs=5e-5)
    exact = {s: 1 - (four.short_of(s) - three.short_of(s)) / 1.5 for s in (8, 9)}
    assert exact == pytest.approx({8: 0.8357, 9: 0.9107}, abs=5e-5)
    simple = {s: 1 - four.short_of(s) / 1.5 for s in (9, 10)}
    assert simple == pytest.approx({9: 0.8925, 10: 0.9484}, abs=5e-5)
    assert four.at_most(13) == pytest.approx(0.99637, abs=5e-6)
    assert four.at_most(14) == pytest.approx(0.99860, abs=5e-6)
    assert newsvendor(four, 6, Fraction(1, 100)) == 14


def test_aircraft_part():
    """12 a year, lead time 1 month, 99 % filled from stock: base stock 5, reorder at 4.

    A textbook question (seen, source weak; computed): the chance that demand stays below S.
    """
    demand = poisson(1)
    assert demand.at_most(3) == pytest.approx(0.98101, abs=5e-6)
    assert demand.at_most(4) == pytest.approx(0.99634, abs=5e-6)
    assert base_stock(demand, 0.99) + 1 == 5
    assert demand.short_of(5) == pytest.approx(0.00069, abs=5e-6)


def test_bayes_rules_next_period():
    """Gamma(21, 6): next period 3.5 on average, variance 4.0833, and its first chances.

    Johnson, Ott, Dogucu, Bayes Rules!, 2022, ch. 5 (posterior seen, checks computed).
    """
    demand = demand_of([LearnedWork(21, 6, 1, ONE)], enough=1 - 1e-9)
    assert demand.chances[:4] == pytest.approx((0.03928, 0.11783, 0.18515, 0.20279), abs=5e-6)
    assert demand.mean == 3.5
    square = fsum(k * k * chance for k, chance in enumerate(demand.chances))
    assert square - 3.5**2 == pytest.approx(4.0833, abs=5e-5)
    assert base_stock(demand, 0.95) == 7


def test_two_periods_at_once():
    """Gamma(5, 1) and two periods: negative binomial of size 5 and chance 1/3, 10 and 30.

    Blitzstein & Hwang, Introduction to Probability, ch. 9 (parameters seen, computed).
    """
    demand = demand_of([LearnedWork(5, 1, 2, ONE)], enough=1 - 1e-9)
    # size 5 is whole, so that each chance is a fraction
    exact = [comb(k + 4, 4) * Fraction(1, 3) ** 5 * Fraction(2, 3) ** k for k in range(60)]
    assert demand.chances[:60] == pytest.approx([float(p) for p in exact], rel=1e-12)
    assert demand.mean == 10
    square = fsum(k * k * chance for k, chance in enumerate(demand.chances))
    assert square - 100 == pytest.approx(30, abs=1e-4)


def test_hoff_which_of_two_is_more():
    """Gamma(219, 112) against Gamma(68, 45): more with chance 0.48, as many with 0.22.

    Hoff, A First Course in Bayesian Statistical Methods, section 3.2 (from memory,
    equal when computed).
    """
    one, other = learned(219, 112, upto=15), learned(68, 45, upto=15)
    more = fsum(p * other.at_most(n - 1) for n, p in enumerate(one.chances[:15]))
    alike = fsum(p * q for p, q in zip(one.chances, other.chances, strict=False))
    assert (more, alike) == pytest.approx((0.48, 0.22), abs=0.005)
    assert (one.mean, other.mean) == pytest.approx((1.955357, 1.511111), abs=5e-7)


@pytest.mark.parametrize(
    ("shape", "rate", "mean"),
    [
        # Gelman et al., Bayesian Data Analysis, section 2.6, asthma (from memory)
        (6, 7, 0.86),
        (33, 25, 1.32),
        # an exercise compendium, exercise 1.3 (author not noted): means of the first counts
        (20, 1, 20),
        (44, 2, 22),
        (67, 3, 22.33),
    ],
)
def test_expected_next_period(shape, rate, mean):
    """The amount expected next is the posterior's mean; the chances agree with it."""
    demand = learned(shape, rate, upto=80)
    assert demand.mean == pytest.approx(mean, abs=0.005)
    summed = fsum(k * chance for k, chance in enumerate(demand.chances))
    assert summed == pytest.approx(shape / rate, abs=1e-6)


@pytest.mark.parametrize("mean", [0.01, 0.7, 4.25, 60, 700])
def test_poisson_tails_and_quantiles_equal_scipy(mean):
    """Every tail within 1e-12 of scipy.stats.poisson, every quantile equal."""
    demand, known = poisson(mean), stats.poisson(mean)
    assert demand.step == 1
    for amount in range(demand.most + 1):
        assert demand.more_than(amount) == pytest.approx(known.sf(amount), abs=1e-12)
    for service in (0.05, 0.5, 0.8, 0.9, 0.95, 0.99, 0.999):
        assert demand.level(service) == known.ppf(service)


@pytest.mark.parametrize(
    ("shape", "rate", "days"),
    [(0.1, 1.0, 10), (0.1, 11.0, 3), (21, 6, 1), (2.5, 0.4, 7), (219, 112, 4), (900, 2, 1)],
)
def test_negative_binomial_tails_and_quantiles_equal_scipy(shape, rate, days):
    """Every tail within 1e-12 of scipy.stats.nbinom, every quantile equal."""
    demand, known = learned(shape, rate, days), stats.nbinom(shape, rate / (rate + days))
    assert demand.step == 1
    for amount in range(demand.most + 1):
        assert demand.more_than(amount) == pytest.approx(known.sf(amount), abs=1e-12)
    for service in (0.05, 0.5, 0.8, 0.9, 0.95, 0.99, 0.999):
        assert demand.level(service) == known.ppf(service)


def by_enumeration(counts, uses, upto):
    """Chances of 0 ... upto units: every number of jobs, every way they can use units."""
    jobs, total = {0: 1.0}, [0.0] * (upto + 1)
    for chance in counts:
        for units, way in jobs.items():
            total[units] += chance * way
        following = {}
        for units, way in jobs.items():
            for more, use in uses:
                if units + more <= upto:
                    following[units + more] = following.get(units + more, 0.0) + way * float(use)
        jobs = following
    return total


USES = (Amount(0, 0.2), Amount(3, 0.5), Amount(10, 0.3))


@pytest.mark.parametrize("uses", [USES, around(Fraction(12, 5)), around(0.3), around(40)])
def test_what_a_job_uses_and_how_often_it_comes(uses):
    """Compound counts equal plain enumeration over the number of jobs and what each uses."""
    for work, counts in (
        (LearnedWork(2.5, 4, 3, uses), stats.nbinom(2.5, 4 / 7).pmf(range(120))),
        (PlannedWork(2.2, uses), stats.poisson(2.2).pmf(range(120))),
        (PlannedWork(3, uses, Spread.FIXED), [0, 0, 0, 1]),
        (PlannedWork(Fraction(9, 4), uses, Spread.FIXED), [0, 0, 0.75, 0.25]),
    ):
        demand = demand_of([work])
        known = by_enumeration(counts, uses, demand.most)
        for k, chance in enumerate(demand.chances):
            at = demand.least + k * demand.step
            assert chance == pytest.approx(known[at], abs=1e-12), (work, at)
        # between the steps there is nothing
        assert fsum(demand.chances) == pytest.approx(fsum(known), abs=1e-12)


def test_several_jobs_draw_one_supply():
    """Four jobs together equal the four enumerated ones, convolved by hand."""
    work = (
        LearnedWork(0.6, 2, 3, around(2.25)),
        LearnedWork(12, 7, 3, around(5)),
        PlannedWork(1.5, USES),
        PlannedWork(Fraction(5, 2), around(Fraction(7, 2)), Spread.FIXED),
    )
    demand = demand_of(work)
    assert (demand.least, demand.step) == (2 * 3, 1)
    counts = (
        stats.nbinom(0.6, 2 / 5).pmf(range(250)),
        stats.nbinom(12, 7 / 10).pmf(range(250)),
        stats.poisson(1.5).pmf(range(100)),
        (0, 0, 0.5, 0.5),
    )
    known = [1.0] + [0.0] * demand.most
    for job, count in zip(work, counts, strict=True):
        one = by_enumeration(count, job.uses, demand.most)
        known = [fsum(known[i] * one[k - i] for i in range(k + 1)) for k in range(len(known))]
    assert demand.chances == pytest.approx(known[demand.least :], abs=1e-12)
    assert demand.mean == pytest.approx(0.9 * 2.25 + 12 / 7 * 3 * 5 + 1.5 * 4.5 + 2.5 * 3.5)


def test_exact_where_chances_are_fractions():
    """A whole shape makes a negative binomial of fractions: no float comes near its error.

    Plain fractions of the definition, shape 3, chance 7/12, over amounts of 4 or 9 units.
    """
    nothing, again = Fraction(7, 12), Fraction(5, 12)
    counts = [comb(n + 2, 2) * nothing**3 * again**n for n in range(60)]
    uses = (Amount(4, Fraction(2, 3)), Amount(9, Fraction(1, 3)))
    known = [Fraction(0)] * 130
    for n, chance in enumerate(counts):
        for nines in range(n + 1):
            units = 4 * (n - nines) + 9 * nines
            if units < len(known):
                ways = comb(n, nines) * Fraction(1, 3) ** nines * Fraction(2, 3) ** (n - nines)
                known[units] += chance * ways
    demand = demand_of([LearnedWork(3, Fraction(7), Fraction(5), uses)], upto=129)
    for k in range(130):
        assert abs(Fraction(demand.chances[k]) - known[k]) < Fraction(1, 10**14)
    assert Fraction(1, 10**14) < ERROR


def test_much_planned_work_in_fixed_number_is_counted_by_single_units():
    """600 jobs of 63 or 64 units: scipy.stats.binom above the 37,800 that are sure."""
    demand = demand_of([PlannedWork(600, around(Fraction(127, 2)), Spread.FIXED)])
    assert (demand.least, demand.step) == (600 * 63, 1)
    known = stats.binom(600, 0.5)
    assert demand.chances == pytest.approx(known.pmf(range(601)), abs=1e-12)
    assert demand.level(0.95) == 600 * 63 + known.ppf(0.95)


@pytest.mark.parametrize("times", [5000, 9000])
def test_beyond_the_limit_steps_are_larger_and_the_mean_stays(times):
    """More units than are worked out one by one: a little more is kept, never less (scipy)."""
    demand, known = poisson(times), stats.poisson(times)
    assert demand.step > 1
    assert len(demand.chances) <= LIMIT
    summed = fsum(k * demand.step * chance for k, chance in enumerate(demand.chances))
    assert summed == pytest.approx(times, rel=1e-6)
    for service in (0.9, 0.95, 0.99):
        assert known.ppf(service) <= demand.level(service) <= 1.03 * known.ppf(service)


def test_chance_to_run_out_by_each_day():
    """Five cartridges, two or so a day: each day's chance by scipy.stats.nbinom."""
    chances = chances_to_run_out([LearnedWork(9, 4, 1, ONE)], 5, range(6))
    known = [0.0, *(stats.nbinom(9, 4 / (4 + day)).sf(5) for day in range(1, 6))]
    assert chances == pytest.approx(known, abs=1e-12)


def test_chance_to_run_out_in_the_course_of_a_planned_trip():
    """Four days with 12 bleeds of 30 ml planned: 250 ml lasts through 8 (scipy.stats.poisson)."""
    chances = chances_to_run_out(
        [PlannedWork(12, around(30))], 250, [Fraction(day, 4) for day in (1, 2, 3, 4)]
    )
    assert chances == pytest.approx(stats.poisson([3, 6, 9, 12]).sf(8), abs=1e-12)


def test_days_of_cover():
    """70 ml, 60 ml used in 7 days: 8 1/6 days; plain division. Nothing used: no rate."""
    assert days_of_cover(70, 60, 7) == Fraction(49, 6)
    assert floor(days_of_cover(70, 60, 7)) == 8
    assert days_of_cover(70, 0, 7) is None
    assert days_of_cover(-4, 60, 7) == 0
