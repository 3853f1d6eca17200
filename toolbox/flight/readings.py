"""Why a packed bag weighs other than its list: the likeliest missing and extra things.

Each thing on the list may be missing, each thing known to be elsewhere may be in the bag.
A set of up to three such things is as likely as the odds of each of them and as the reading
is, were the set true: a normal density with the uncertainties of scale and list. The odds
are common practice, no source; they rank, and are no frequencies counted anywhere.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from toolbox.flight.masses import COVERAGE, Total
from toolbox.flight.scales import Reading

# One thing in five hundred lies elsewhere than the list says; ten times as likely when nobody
# has counted it in yet, three times when it was last used away from the box.
BASE_ODDS, UNCOUNTED, AWAY = 0.002, 10.0, 3.0
# Something else: a thing on no list, a wrong figure, more things than are tried. As likely
# with any difference, spread over three kilograms to either side.
ELSE_ODDS, ELSE_SPAN_G = 0.01, 6000.0
LARGEST = 3
# A bag of so many candidates is searched in a fraction of a second; more are cut by odds.
CANDIDATES = 200
# Sets that weigh less than a billionth of the best one, or whose mass is off by more than
# seven standard uncertainties, are passed over: there are at most 1.3 million of them.
_LEAST, _REACH = 1e-9, 7.0
_TURN = 2 * math.pi


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thing that may be missing from the bag, or, when ``extra``, be in it unlisted.

    ``grams`` and ``u_g`` are those of all its pieces that would be missing or extra.
    """

    id: str
    name: str
    grams: int
    u_g: float
    extra: bool = False
    counted: bool = True
    away: bool = False

    def odds(self) -> float:
        """Odds that it lies elsewhere than the list says, before the bag was weighed."""
        return BASE_ODDS * (1.0 if self.counted else UNCOUNTED) * (AWAY if self.away else 1.0)

    def shift(self) -> int:
        """By how many grams the bag would be heavier than its list."""
        return self.grams if self.extra else -self.grams


@dataclass(frozen=True, slots=True)
class Explanation:
    """One way to explain the reading, and its probability among those that were tried.

    With neither missing nor extra things it is that the masses are off by so much, or, when
    ``otherwise``, something else: a thing on no list, a wrong figure, more things at once.
    """

    missing: tuple[str, ...]
    extra: tuple[str, ...]
    probability: float
    otherwise: bool = False


@dataclass(frozen=True, slots=True)
class Explained:
    """A reading compared with the list's sum.

    ``difference_g`` is reading less sum and ``u_g`` its standard uncertainty; ``agrees``
    when it is within U = 2 u. ``explanations`` are the likeliest first; ``others`` is the
    probability of all that were tried and are not shown. ``tried`` sets were weighed up,
    of ``largest`` things at most; ``not_tried`` candidates were left out for their number.
    ``unsearched`` is how likely all other sets (of more things, or with one of those left
    out) were together before the bag was weighed: near 1, count the things in first.
    """

    difference_g: int
    u_g: float
    agrees: bool
    explanations: tuple[Explanation, ...]
    others: float
    tried: int
    largest: int
    not_tried: int
    unsearched: float

    @property
    def unexplained(self) -> bool:
        """True when the reading is off and most likely for a reason that is not on the lists."""
        return not self.agrees and self.explanations[0].otherwise


def explain(
    reading_g: int,
    scale: Reading,
    listed: Total,
    candidates: Iterable[Candidate],
    show: int = 5,
) -> Explained:
    """What explains the reading of a packed bag beside the sum of its list, likeliest first."""
    every = _by_odds(candidates)
    tried = every[:CANDIDATES]
    difference = reading_g - listed.grams
    u = math.hypot(scale.u_g, listed.u_g)
    search = _Search(tried, difference, u, scale.u_g)
    ranked = search.likeliest(show)
    otherwise = ELSE_ODDS / ELSE_SPAN_G
    total = search.total + otherwise
    found = [_explanation(some, w / total) for w, some in ranked if w]
    found.append(Explanation((), (), otherwise / total, otherwise=True))
    found = sorted(found, key=lambda e: -e.probability)[:show]
    return Explained(
        difference_g=difference,
        u_g=u,
        agrees=abs(difference) <= COVERAGE * u,
        explanations=tuple(found),
        others=max(0.0, 1.0 - sum(e.probability for e in found)),
        tried=sum(math.comb(len(tried), n) for n in range(LARGEST + 1)),
        largest=LARGEST,
        not_tried=len(every) - len(tried),
        unsearched=_unsearched(every, len(tried)),
    )


def is_explained(
    reading_g: int, scale: Reading, listed: Total, candidates: Iterable[Candidate]
) -> bool:
    """Whether the reading agrees with the list, or something that was tried explains it.

    False exactly when the first of ``explain`` would be "something else" for a reading
    that does not agree; a small part of its work.
    """
    difference = reading_g - listed.grams
    u = math.hypot(scale.u_g, listed.u_g)
    if abs(difference) <= COVERAGE * u:
        return True
    search = _Search(_by_odds(candidates)[:CANDIDATES], difference, u, scale.u_g)
    return search.reaches(ELSE_ODDS / ELSE_SPAN_G)


def _by_odds(candidates: Iterable[Candidate]) -> list[Candidate]:
    return sorted(candidates, key=lambda c: (-c.odds(), c.id, c.extra))


def chance_elsewhere(explained: Explained) -> tuple[tuple[str, float], ...]:
    """For each thing in the shown explanations the probability that it is missing or extra."""
    chances: dict[str, float] = {}
    for found in explained.explanations:
        for name in (*found.missing, *found.extra):
            chances[name] = chances.get(name, 0.0) + found.probability
    return tuple(sorted(chances.items(), key=lambda pair: (-pair[1], pair[0])))


def _explanation(some: Sequence[Candidate], probability: float) -> Explanation:
    return Explanation(
        tuple(c.id for c in some if not c.extra),
        tuple(c.id for c in some if c.extra),
        probability,
    )


class _Search:
    """The search for sets of up to three whose mass comes near the difference."""

    def __init__(self, tried: Sequence[Candidate], difference: int, u: float, least: float) -> None:
        self._difference = difference
        self._variance = u**2
        # the scale stays as sure as it is, and whole grams no surer than their last one
        self._floor = max(least**2, 1 / 12)
        # by their shift, so that the last of a set can be looked up instead of tried
        self._tried = sorted(tried, key=lambda c: (c.shift(), c.id))
        self._shifts = [c.shift() for c in self._tried]
        self._odds = [c.odds() for c in self._tried]
        # what is missing takes its own uncertainty out of the list's sum, what is extra adds one
        self._adds = [c.u_g**2 if c.extra else -(c.u_g**2) for c in self._tried]
        self._most_odds = max(self._odds, default=0.0)
        self._most_added = max(self._adds, default=0.0)
        self.total = 0.0

    def likeliest(self, number: int) -> list[tuple[float, tuple[Candidate, ...]]]:
        """The sets of most weight, best first; ``total`` is then the sum of all weights."""
        kept: list[tuple[float, tuple[int, ...]]] = []
        least = 0.0
        for weight, some in self._weights():
            self.total += weight
            if weight >= least:
                kept.append((weight, some))
                if len(kept) > 100 * number:
                    kept = sorted(kept, key=lambda found: -found[0])[:number]
                    least = kept[-1][0]
        named = [(weight, tuple(self._tried[n] for n in some)) for weight, some in kept]
        return sorted(named, key=lambda f: (-f[0], [c.id for c in f[1]]))[:number]

    def reaches(self, weight: float) -> bool:
        """Whether any set weighs so much; what cannot is passed over unseen."""
        return any(found >= weight for found, _ in self._weights(weight / _LEAST))

    def _weights(self, beside: float = 0.0) -> Iterator[tuple[float, tuple[int, ...]]]:
        """Each set, as numbers of things, with its odds times density.

        Sets are held against ``beside`` as if it were the weight of one that was found.
        """
        variance = max(self._variance, self._floor)
        off = self._difference
        none = math.exp(-off * off / (2 * variance)) / math.sqrt(_TURN * variance)
        yield none, ()
        best = max(none, beside)
        for size in range(LARGEST):
            for some in combinations(range(len(self._tried)), size):
                for weight, last in self._last(some, best):
                    best = max(best, weight)
                    yield weight, (*some, last)

    def _last(self, some: tuple[int, ...], best: float) -> Iterator[tuple[float, int]]:
        """The things that make these a set that counts, with the set's weight."""
        odds = math.prod(self._odds[n] for n in some)
        variance = self._variance + sum(self._adds[n] for n in some)
        wanted = self._difference - sum(self._shifts[n] for n in some)
        window = self._window(odds, variance, best)
        first = some[-1] + 1 if some else 0
        low = bisect_left(self._shifts, wanted - window, lo=first)
        high = bisect_right(self._shifts, wanted + window, lo=low)
        # a million rounds of this for a full bag: nothing is looked up twice
        shifts, all_odds, adds, floor = self._shifts, self._odds, self._adds, self._floor
        exp, sqrt = math.exp, math.sqrt
        for n in range(low, high):
            off = wanted - shifts[n]
            spread = variance + adds[n]
            if spread < floor:
                spread = floor
            weight = odds * all_odds[n] * exp(-off * off / (2 * spread)) / sqrt(_TURN * spread)
            if weight > 0.0:
                yield weight, n

    def _window(self, odds: float, variance: float, best: float) -> float:
        """How far off a set with these odds may be and still weigh a billionth of the best."""
        peak = odds * self._most_odds / math.sqrt(_TURN * self._floor)
        if peak <= _LEAST * best:
            return -1.0
        if not best:
            reach = _REACH
        else:
            # logarithms apart: a billionth of the tiniest weight is nothing
            reach = math.sqrt(2 * (math.log(peak) - math.log(_LEAST) - math.log(best)))
        widest = max(variance + self._most_added, self._floor)
        return min(reach, _REACH) * math.sqrt(widest)


def _unsearched(every: Sequence[Candidate], tried: int) -> float:
    """The share of all sets that were not tried, each weighing as much as its odds."""
    # coefficients of the product of (1 + odds x): by how many things a set has
    searched = [1.0] + [0.0] * LARGEST
    for candidate in every[:tried]:
        for size in range(LARGEST, 0, -1):
            searched[size] += searched[size - 1] * candidate.odds()
    everything = math.prod(1.0 + c.odds() for c in every)
    return max(0.0, 1.0 - sum(searched) / everything)
