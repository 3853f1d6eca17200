"""Gamma distributions: what is believed of a rate before and after counting.

Counts that come at a constant rate are Poisson; a gamma belief about that rate stays
a gamma after every count. Standard library only, so that it runs wherever we do.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

_TINY = 1e-300


class Gamma(NamedTuple):
    """A belief about a rate: ``shape`` events seen, so to speak, in ``rate`` working days."""

    shape: float
    rate: float

    def updated(self, count: float, exposure: float) -> Gamma:
        """The belief after ``count`` events in ``exposure`` more days."""
        return Gamma(self.shape + count, self.rate + exposure)

    def mean(self) -> float:
        """Expected events a day."""
        return self.shape / self.rate

    def variance(self) -> float:
        """Variance of the rate."""
        return self.shape / self.rate**2

    def below(self, limit: float) -> float:
        """Probability that the rate lies at or below ``limit``."""
        return regularized(self.shape, self.rate * limit)

    def quantile(self, probability: float) -> float:
        """The rate that is not passed with this probability (0 < probability < 1)."""
        return _unit_quantile(self.shape, probability) / self.rate

    def interval(self, probability: float = 0.9) -> tuple[float, float]:
        """Low and high between which the rate lies with ``probability``, equal tails."""
        tail = (1.0 - probability) / 2.0
        return self.quantile(tail), self.quantile(1.0 - tail)


def matching(mean: float, variance: float) -> Gamma:
    """The gamma distribution of that mean and variance, both above zero."""
    return Gamma(mean * mean / variance, mean / variance)


def regularized(shape: float, limit: float) -> float:
    """Regularized lower incomplete gamma function P(shape, limit), shape above zero.

    Series and continued fraction as in the NIST Digital Library of Mathematical
    Functions, 8.11.4 and 8.9.2, each where it converges fast.
    """
    if limit <= 0.0:
        return 0.0
    scale = math.exp(shape * math.log(limit) - limit - math.lgamma(shape))
    if limit < shape + 1.0:
        return min(1.0, scale * _series(shape, limit))
    return max(0.0, 1.0 - scale * _fraction(shape, limit))


def _series(shape: float, limit: float) -> float:
    term = total = 1.0 / shape
    divisor = shape
    while term > total * 1e-17:
        divisor += 1.0
        term *= limit / divisor
        total += term
    return total


def _fraction(shape: float, limit: float) -> float:
    # Lentz's method, from the front, until another step changes nothing.
    b = limit + 1.0 - shape
    c = 1.0 / _TINY
    d = 1.0 / b
    value = d
    step, n = 0.0, 0
    while abs(step - 1.0) > 1e-15 and n < 100_000:
        n += 1
        a = -n * (n - shape)
        b += 2.0
        d = 1.0 / _away_from_zero(a * d + b)
        c = _away_from_zero(b + a / c)
        step = c * d
        value *= step
    return value


def _away_from_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


# After one more entry in the log most beliefs are what they were.
@lru_cache(maxsize=16_384)
def _unit_quantile(shape: float, probability: float) -> float:
    """Quantile at rate 1: Newton's method on the logarithm, kept inside a bracket."""
    # P(a, x) <= x^a / Gamma(a + 1), so this point lies at or below the quantile.
    low = (math.log(probability) + math.lgamma(shape + 1.0)) / shape
    if low < -700.0:
        return math.exp(max(low, -745.0))  # so small that the bound is the quantile
    high = low + 1.0
    while regularized(shape, math.exp(high)) < probability:
        low, high = high, high + 1.0
    at = (low + high) / 2.0
    for _ in range(200):
        x = math.exp(at)
        over = regularized(shape, x) - probability
        low, high = (low, at) if over > 0.0 else (at, high)
        slope = math.exp(shape * at - x - math.lgamma(shape))
        following = at - over / slope if slope > _TINY else low
        if not low < following < high:
            following = (low + high) / 2.0
        if abs(following - at) <= 1e-13 * max(1.0, abs(at)):
            return math.exp(following)
        at = following
    return math.exp(at)
