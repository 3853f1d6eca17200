"""Usages drawn from what is believed, against the gamma law and sums done by hand."""

from __future__ import annotations

import math
from datetime import date

import pytest
from smallkit import small_kit

from toolbox.usage.drawn import drawn_usages
from toolbox.usage.engine import Usage, estimate
from toolbox.usage.settled import settle

DAY = date(2026, 11, 20)


@pytest.fixture(scope="module")
def usage() -> Usage:
    """The small kit's usage before anything is logged."""
    kit = small_kit()
    return estimate(kit.jobs, kit.tools, kit.supplies, (), DAY, kit.settings)


def test_a_draw_is_the_same_however_many_are_drawn(usage: Usage) -> None:
    """The k-th usage does not hang on how many follow it."""
    assert drawn_usages(usage, 5)[:3] == drawn_usages(usage, 3)
    assert len(set(drawn_usages(usage, 5))) == 5


def test_a_tool_is_wanted_as_often_as_its_jobs_and_trips_say(usage: Usage) -> None:
    """Drawn rates add up: trips outside jobs, and each job's rate times its picks (by hand)."""
    for drawn in drawn_usages(usage, 4):
        rates = {job.job: job.per_day for job in drawn.jobs}
        for use in drawn.tools:
            parts = [
                rates[job.job] * pick.mean
                for job in drawn.jobs
                for pick in job.picks
                if pick.item == use.item
            ]
            assert use.per_day == pytest.approx(math.fsum([use.loose_per_day, *parts]), rel=1e-9)
            assert use.low == use.per_day == use.high


def test_only_rates_are_drawn(usage: Usage) -> None:
    """Picks in a visit, urgent shares, order and grades stay as they are believed."""
    for drawn in drawn_usages(usage, 3):
        for was, job in zip(usage.jobs, drawn.jobs, strict=True):
            assert (job.job, job.picks, job.urgent_share) == (was.job, was.picks, was.urgent_share)
        assert [(u.item, u.grade) for u in drawn.tools] == [(u.item, u.grade) for u in usage.tools]


def test_draws_have_the_mean_and_variance_of_the_belief(usage: Usage) -> None:
    """A gamma of shape a and rate b has the mean a / b and the variance a / b^2 (textbook).

    The limits are five standard errors of 2000 draws; of the variance by its fourth moment,
    3 + 6 / a for a gamma (textbook). The seed is fixed, so the outcome never changes.
    """
    number = 2000
    draws = drawn_usages(usage, number)
    for n, job in enumerate(usage.jobs):
        rates = [drawn.jobs[n].per_day for drawn in draws]
        mean, variance = job.belief.shape / job.belief.rate, job.belief.shape / job.belief.rate**2
        found = math.fsum(rates) / number
        spread = math.fsum((rate - mean) ** 2 for rate in rates) / number
        assert found == pytest.approx(mean, abs=5 * math.sqrt(variance / number))
        off = variance * math.sqrt((2 + 6 / job.belief.shape) / number)
        assert spread == pytest.approx(variance, abs=5 * off)


def test_chances_are_those_of_the_same_draws(usage: Usage) -> None:
    """Ranking each drawn usage by hand gives the chances that ``settle`` tells."""
    sure = settle(usage, draws=200)
    hits = dict.fromkeys((use.item for use in usage.tools), 0)
    for drawn in drawn_usages(usage, 200):
        for use in sorted(drawn.tools, key=lambda use: -use.per_day)[: sure.places]:
            hits[use.item] += 1
    assert dict(sure.chances) == {item: hit / 200 for item, hit in hits.items()}
