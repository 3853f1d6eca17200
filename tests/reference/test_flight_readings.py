"""Explanations of a scale reading against plain enumeration and against simulated bags."""

from __future__ import annotations

import math
import random
from itertools import combinations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from toolbox.flight.masses import Total
from toolbox.flight.readings import (
    AWAY,
    BASE_ODDS,
    ELSE_ODDS,
    ELSE_SPAN_G,
    UNCOUNTED,
    Candidate,
    chance_elsewhere,
    explain,
    is_explained,
)
from toolbox.flight.scales import Reading

SCALE = Reading(20.0, 0.0)


def candidate(name: str, grams: int, **more: bool) -> Candidate:
    """A thing whose mass is known to about a hundredth."""
    return Candidate(name, f"tool {name}", grams, max(0.5, grams / 100), **more)


CANDIDATES = st.lists(
    st.tuples(st.integers(1, 900), st.booleans(), st.booleans(), st.booleans()), max_size=7
).map(
    lambda rows: [
        candidate(f"T{n}", grams, extra=extra, counted=counted, away=away)
        for n, (grams, extra, counted, away) in enumerate(rows)
    ]
)


@settings(max_examples=60, deadline=None)
@example([candidate("T0", 1, counted=False)], 949)  # so far off that weights all but vanish
@given(CANDIDATES, st.integers(-1500, 1500))
def test_probabilities_are_those_of_plain_enumeration(
    candidates: list[Candidate], difference: int
) -> None:
    """Bayes' rule over every set of up to three, one by one, densities from scipy."""
    listed = Total(20_000, 15.0, 15.0)
    found = explain(20_000 + difference, SCALE, listed, candidates, show=200)
    weights = {}
    for size in range(4):
        for some in combinations(candidates, size):
            shift = sum(c.grams if c.extra else -c.grams for c in some)
            variance = 20.0**2 + 15.0**2
            variance += sum(c.u_g**2 * (1 if c.extra else -1) for c in some)
            spread = math.sqrt(max(variance, 20.0**2))
            odds = math.prod(
                BASE_ODDS * (1 if c.counted else UNCOUNTED) * (AWAY if c.away else 1) for c in some
            )
            key = (
                frozenset(c.id for c in some if not c.extra),
                frozenset(c.id for c in some if c.extra),
                False,
            )
            weights[key] = odds * float(norm.pdf(difference, shift, spread))
    likeliest, otherwise = max(weights.values()), ELSE_ODDS / ELSE_SPAN_G
    within = abs(difference) <= 2 * math.hypot(20.0, 15.0)
    if likeliest != pytest.approx(otherwise, rel=1e-6):
        quick = is_explained(20_000 + difference, SCALE, listed, candidates)
        assert quick is (within or likeliest > otherwise)
        assert found.unexplained is not quick
    weights[frozenset(), frozenset(), True] = otherwise
    total = sum(weights.values())
    for e in found.explanations:
        key = (frozenset(e.missing), frozenset(e.extra), e.otherwise)
        assert e.probability == pytest.approx(weights[key] / total, rel=1e-6, abs=1e-7)
    # nothing likely was passed over
    shown = {(frozenset(e.missing), frozenset(e.extra), e.otherwise) for e in found.explanations}
    assert sum(w for key, w in weights.items() if key not in shown) / total < 1e-6
    assert sum(e.probability for e in found.explanations) + found.others == pytest.approx(1.0)


@settings(max_examples=40, deadline=None)
@given(CANDIDATES)
def test_what_was_not_searched_is_the_odds_of_larger_sets(candidates: list[Candidate]) -> None:
    """Every set of any size, each by the product of its odds, added up one by one."""
    everything, small = 0.0, 0.0
    for size in range(len(candidates) + 1):
        for some in combinations(candidates, size):
            odds = math.prod(c.odds() for c in some)
            everything += odds
            small += odds if size <= 3 else 0.0
    found = explain(20_000, SCALE, Total(20_000, 15.0, 15.0), candidates)
    assert found.unsearched == pytest.approx(1 - small / everything, abs=1e-12)
    assert found.tried == sum(math.comb(len(candidates), n) for n in range(4))


def test_a_torque_key_used_away_from_the_box_is_the_first_suspect() -> None:
    """Of two that weigh alike, the one last used away and not counted in (by the odds)."""
    candidates = [
        candidate("at-hand", 480),
        candidate("away", 482, counted=False, away=True),
        *(candidate(f"T{n}", 60 + 7 * n) for n in range(30)),
    ]
    found = explain(19_520, SCALE, Total(20_000, 15.0, 15.0), candidates)
    assert not found.agrees
    assert found.explanations[0].missing == ("away",)
    assert found.explanations[0].probability > 0.5
    assert chance_elsewhere(found)[0][0] == "away"


def test_a_reading_within_its_uncertainty_asks_for_nothing() -> None:
    """20 g off with u = 25 g: the masses explain it, no thing needs to be missing."""
    candidates = [candidate(f"T{n}", 100 + 40 * n) for n in range(20)]
    found = explain(20_020, SCALE, Total(20_000, 15.0, 15.0), candidates)
    assert found.agrees
    assert found.explanations[0].missing == found.explanations[0].extra == ()
    assert not found.explanations[0].otherwise


def test_where_nothing_matches_it_says_so() -> None:
    """1.3 kg too much, and nothing known to be elsewhere weighs anything like that."""
    candidates = [candidate(f"T{n}", 100 + n) for n in range(20)]
    found = explain(21_300, SCALE, Total(20_000, 15.0, 15.0), candidates)
    assert found.explanations[0].otherwise


def test_probabilities_come_true_in_simulated_bags() -> None:
    """Of 300 bags drawn as the model says, the first explanation is right as often as it claims.

    What is missing by its odds, true masses and reading by their uncertainties; the count
    of hits lies within four binomial standard deviations of the sum of the probabilities.
    """
    chance = random.Random(5)
    hits, claimed, spread = 0, 0.0, 0.0
    for _ in range(300):
        grams = [chance.randint(20, 1200) for _ in range(25)]
        candidates = [
            Candidate(f"T{n}", "", g, g / 100, counted=n % 3 > 0) for n, g in enumerate(grams)
        ]
        gone = {c.id for c in candidates if chance.random() < c.odds() / (1 + c.odds())}
        u = math.sqrt(sum(c.u_g**2 for c in candidates))
        there = sum(chance.gauss(c.grams, c.u_g) for c in candidates if c.id not in gone)
        reading = round(there + chance.gauss(0, 10))
        if len(gone) > 3:
            continue
        first = explain(reading, Reading(10.0, 0.0), Total(sum(grams), u, u), candidates)
        best = first.explanations[0]
        # things on no list are never drawn here, though the model thinks of them
        if best.otherwise:
            continue
        hits += set(best.missing) == gone
        claimed += best.probability
        spread += best.probability * (1 - best.probability)
    assert abs(hits - claimed) <= 4 * math.sqrt(spread)
    assert claimed < 0.98 * 300  # else nothing was put to the test


def test_a_large_bag_says_what_it_did_not_try() -> None:
    """300 things: a hundred are left out, and the count of sets tried is the binomial sum."""
    candidates = [candidate(f"T{n:03}", 20 + 3 * n) for n in range(300)]
    found = explain(19_000, SCALE, Total(20_000, 15.0, 15.0), candidates)
    assert found.not_tried == 100
    assert found.tried == sum(math.comb(200, n) for n in range(4))
    assert 0 < found.unsearched < 1
