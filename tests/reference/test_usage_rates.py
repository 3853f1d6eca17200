"""Learning rates from counts: printed worked examples, and a reference library."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest
from scipy import integrate, special, stats

from toolbox.kit.facts import Fact, StepDone
from toolbox.kit.kit import Settings
from toolbox.kit.work import Job
from toolbox.usage.counts import weight
from toolbox.usage.engine import ToolUse, Usage, estimate
from toolbox.usage.gamma import Gamma, matching, regularized
from toolbox.usage.settled import settle

SHAPES = [0.01, 0.1, 0.5, 1.0, 1.1, 2.0, 5.0, 21.0, 219.0, 1000.0, 1e4, 1e5]
TODAY = date(2026, 1, 31)
ALIKE = Settings(half_life_days=None)


def visits(counts):
    """Facts of that many visits for job J on consecutive days, the last one today."""
    facts = []
    for back, number in enumerate(reversed(counts)):
        at = datetime(2026, 1, 31, 10, tzinfo=UTC) - timedelta(days=back)
        for n in range(number):
            what = StepDone(f"v{back}-{n}", "J", 1, ())
            facts.append(Fact(f"f{back}-{n}", f"e{back}-{n}", len(facts), at, "A", what))
    return tuple(facts)


@pytest.mark.parametrize("shape", SHAPES)
def test_incomplete_gamma_equals_scipy(shape):
    """P(a, x) within 1e-9 of scipy.special.gammainc, tails and middle, small shapes and large."""
    for part in (1e-6, 1e-3, 0.1, 0.5, 0.9, 0.99, 1.0, 1.01, 1.1, 2.0, 5.0, 50.0):
        x = part * max(shape, 1.0)
        assert regularized(shape, x) == pytest.approx(
            special.gammainc(shape, x), rel=1e-9, abs=1e-290
        )
    assert regularized(shape, 0.0) == 0.0


@pytest.mark.parametrize("shape", SHAPES)
def test_quantiles_equal_scipy(shape):
    """Quantiles within 1e-9 of scipy.special.gammaincinv, as the 90 % limits need them."""
    for probability in (0.001, 0.05, 0.25, 0.5, 0.95, 0.999):
        expected = special.gammaincinv(shape, probability) / 3.0
        assert Gamma(shape, 3.0).quantile(probability) == pytest.approx(
            expected, rel=1e-9, abs=1e-290
        )


def test_bayes_rules_example_through_the_whole_engine():
    """Gamma(10,2) and counts 6, 2, 2, 1 give Gamma(21,6), mean 3.5, variance 0.5833.

    Johnson, Ott, Dogucu, Bayes Rules!, 2022, ch. 5. A stated 5 a day is that prior.
    """
    job = Job("J", "Puncture", (), per_day=Fraction(5))
    usage = estimate((job,), (), (), visits([6, 2, 2, 1]), TODAY, ALIKE)
    (rate,) = usage.jobs
    assert rate.belief == Gamma(21.0, 6.0)
    assert rate.per_day == 3.5
    assert rate.belief.variance() == pytest.approx(0.5833, abs=5e-5)
    assert (rate.visits, usage.days, usage.exposure) == (11, 4, 4.0)
    low, high = stats.gamma.interval(0.9, 21, scale=1 / 6)
    assert (rate.low, rate.high) == pytest.approx((low, high), rel=1e-9)


@pytest.mark.parametrize(
    ("count", "exposure", "posterior", "mean", "low", "high"),
    [
        (217, 111, Gamma(219, 112), 1.955357, 1.704943, 2.222679),
        (66, 44, Gamma(68, 45), 1.511111, 1.173437, 1.890836),
    ],
)
def test_hoff_birth_rates(count, exposure, posterior, mean, low, high):
    """Hoff, A First Course in Bayesian Statistical Methods, section 3.2 (from memory, computed).

    Prior Gamma(2,1); posterior means and 95 % limits.
    """
    belief = Gamma(2, 1).updated(count, exposure)
    assert belief == posterior
    assert belief.mean() == pytest.approx(mean, abs=5e-7)
    assert belief.interval(0.95) == pytest.approx((low, high), abs=5e-7)


@pytest.mark.parametrize(
    ("deaths", "exposure", "mean", "above_one"), [(3, 2.0, 0.86, 0.30), (30, 20.0, 1.32, 0.93)]
)
def test_gelman_asthma(deaths, exposure, mean, above_one):
    """Gelman et al., Bayesian Data Analysis, section 2.6, asthma mortality (from memory).

    Prior Gamma(3,5): posterior mean and probability that the rate is above 1.
    """
    belief = Gamma(3, 5).updated(deaths, exposure)
    assert belief.mean() == pytest.approx(mean, abs=0.005)
    assert 1 - belief.below(1.0) == pytest.approx(above_one, abs=0.005)


def test_counting_from_nothing_known():
    """A flat start and counts 20, 24, 23 give Gamma(67,3), mean 22.33.

    A published exercise compendium, exercise 1.3 (author not noted); means 20, 22, 22.33.
    """
    belief, means = Gamma(0, 0), []
    for count in (20, 24, 23):
        belief = belief.updated(count, 1)
        means.append(belief.mean())
    assert belief == Gamma(67, 3)
    assert means == pytest.approx([20, 22, 22.33], abs=0.005)


@pytest.mark.parametrize(
    ("age", "half_life", "expected"),
    [(0, 30, 1.0), (30, 30, 0.5), (60, 30, 0.25), (90, 30, 0.125), (400, None, 1.0)],
)
def test_decay_weights(age, half_life, expected):
    """A day counts half after every half-life; standard definition (computed)."""
    assert weight(age, half_life) == expected


def test_decay_weights_add_up():
    """All whole days together weigh 1 / (1 - 0.5^(1/h)); standard definition (computed)."""
    total = sum(weight(age, 30) for age in range(3000))
    assert total == pytest.approx(1 / (1 - 0.5 ** (1 / 30)), rel=1e-12)


def test_old_visits_fade():
    """Four visits one half-life ago count as two, and their day as half a day (computed)."""
    job = Job("J", "Puncture", (), per_day=Fraction(5))
    at = datetime(2026, 1, 1, 10, tzinfo=UTC)
    facts = tuple(
        Fact(f"f{n}", f"e{n}", n, at, "A", StepDone(f"v{n}", "J", 1, ())) for n in range(4)
    )
    (rate,) = estimate((job,), (), (), facts, TODAY, Settings(half_life_days=30)).jobs
    assert rate.belief == Gamma(10 + 2.0, 2 + 0.5)
    assert rate.visits == 4


def test_moment_matching():
    """The matched gamma has that mean and variance (scipy)."""
    belief = matching(3.5, 0.7)
    mean, variance = stats.gamma.stats(belief.shape, scale=1 / belief.rate)
    assert (mean, variance) == pytest.approx((3.5, 0.7))


def use(item, belief, grade):
    """A tool used only outside jobs, at a rate believed so."""
    return ToolUse(item, belief.mean(), *belief.interval(), belief, 0.0, 0.0, None, 0, 0.0, grade)


def test_chance_to_be_the_most_used():
    """P(rate 1 > rate 2) is 0.97 for Gamma(219,112) and Gamma(68,45).

    Hoff, section 3.2 (from memory); integrated here with scipy.
    """
    one, two = Gamma(219, 112), Gamma(68, 45)
    exact, _ = integrate.quad(
        lambda x: stats.gamma.pdf(x, 219, scale=1 / 112) * stats.gamma.cdf(x, 68, scale=1 / 45),
        0.5,
        4,
    )
    assert exact == pytest.approx(0.97, abs=0.005)
    usage = Usage(1, 1.0, None, None, (), (use("T1", one, "A"), use("T2", two, "C")), ())
    sure = settle(usage, draws=4000)
    # Four standard errors of 4000 draws.
    assert sure.chance("T1") == pytest.approx(exact, abs=4 * (exact * (1 - exact) / 4000) ** 0.5)
    assert sure.chance("T2") == pytest.approx(1 - sure.chance("T1"))
    assert sure.open == ()


def test_like_tools_share_the_chances():
    """Of five tools believed alike each is among two easily reached with 2/5 (computed)."""
    belief = Gamma(3, 2)
    tools = tuple(use(f"T{n}", belief, "A" if n < 2 else "C") for n in range(5))
    sure = settle(Usage(1, 1.0, None, None, (), tools, ()), draws=4000)
    for tool in tools:
        assert sure.chance(tool.item) == pytest.approx(0.4, abs=4 * (0.24 / 4000) ** 0.5)
    assert sum(chance for _, chance in sure.chances) == pytest.approx(2.0)
    assert len(sure.open) == 5
