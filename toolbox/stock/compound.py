"""Compound counts and their sums: chances of 0, 1, 2 ... units wanted by jobs.

A job comes N times and each time uses some units, f(j) being the chance of j. Chances of
the units wanted in all follow Panjer's recursion (H. H. Panjer, ASTIN Bulletin 12, 1981,
from memory): with f(0) = 0, of a Poisson count with mean l

    g(n) = l / n (1 f(1) g(n-1) + 2 f(2) g(n-2) + ...),  g(0) = exp(-l)

and of a negative binomial one, that is Poisson with a gamma rate of shape r and an exposure of
x times its scale, with q = x / (1 + x)

    g(n) = q ((1 + (r-1) 1/n) f(1) g(n-1) + (1 + (r-1) 2/n) f(2) g(n-2) + ...),
    g(0) = (1 + x) ** -r

Nothing is ever subtracted, so that n steps lose about n roundings of a float: less than
1e-11 for 4,000. Sums of jobs are multiplied out in whole numbers of 1/2**64.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

_HIGH = 1e200  # when a number passes this, all are brought down by it, so that none overflows
_FINE = 64  # bits behind the point of a chance that is multiplied as a whole number
_SLOT = 17  # bytes for a sum of products of two chances: at most 1, so 2 * 64 bits and a few
_FEW = 24  # with so few chances on one side plain sums are faster


def poisson_times(mean: float, uses: Sequence[float], number: int) -> list[float]:
    """So many chances of 0, 1, 2 ... units in a Poisson number of jobs.

    ``uses[j]`` is the chance that a job uses j units, below 1 for no units.
    """
    mean, pairs = mean * (1.0 - uses[0]), _used(uses)
    return _recursion(-mean, [(j, 0.0, mean * j * f) for j, f in pairs], number)


def gamma_poisson_times(
    shape: float, exposure: float, uses: Sequence[float], number: int
) -> list[float]:
    """The same for jobs with a gamma belief about their rate.

    ``exposure`` is the time they come in, over the rate parameter of the gamma.
    """
    # Times that use nothing are left out: what is left comes that much less often.
    exposure, pairs = exposure * (1.0 - uses[0]), _used(uses)
    ratio = exposure / (1.0 + exposure)
    terms = [(j, ratio * f, ratio * f * (shape - 1.0) * j) for j, f in pairs]
    return _recursion(-shape * math.log1p(exposure), terms, number)


def _used(uses: Sequence[float]) -> list[tuple[int, float]]:
    """Units and their chances, given that something is used at all."""
    something = 1.0 - uses[0]
    return [(j, use / something) for j, use in enumerate(uses) if j and use]


def _recursion(
    log_of_nothing: float, terms: Sequence[tuple[int, float, float]], number: int
) -> list[float]:
    """g(n) = sum of (a + b / n) g(n - j) over the terms (j, a, b)."""
    weights, scale = [1.0], log_of_nothing
    for n in range(1, number):
        weight = 0.0
        for j, a, b in terms:
            if j > n:
                break
            weight += (a + b / n) * weights[n - j]
        weights.append(weight)
        if weight > _HIGH:
            weights = [w / _HIGH for w in weights]
            scale += math.log(_HIGH)
    factor = math.exp(scale)
    return [weight * factor for weight in weights]


def product(one: Sequence[float], other: Sequence[float], most: int) -> list[float]:
    """Chances of the sum of two amounts, no more than ``most`` of them."""
    short, long = sorted((one[:most], other[:most]), key=len)
    number = min(most, len(short) + len(long) - 1)
    if len(short) > _FEW:
        return _multiplied(short, long)[:number]
    chances = [0.0] * number
    for shift, chance in enumerate(short):
        if chance:
            for n, other_chance in enumerate(long[: number - shift], shift):
                chances[n] += chance * other_chance
    return chances


def _multiplied(one: Sequence[float], other: Sequence[float]) -> list[float]:
    """All sums of products at once: two polynomials as two long whole numbers, multiplied."""
    slots = len(one) + len(other)
    digits = (_whole(one) * _whole(other)).to_bytes(slots * _SLOT, "little")
    return [
        math.ldexp(int.from_bytes(digits[at : at + _SLOT], "little"), -2 * _FINE)
        for at in range(0, (slots - 1) * _SLOT, _SLOT)
    ]


def _whole(chances: Sequence[float]) -> int:
    return int.from_bytes(
        b"".join(int(math.ldexp(c, _FINE)).to_bytes(_SLOT, "little") for c in chances), "little"
    )


def power(chances: Sequence[float], times: int, most: int) -> list[float]:
    """Chances of the sum of so many alike amounts, no more than ``most`` of them."""
    result, square = [1.0], list(chances)
    while times:
        if times % 2:
            result = product(result, square, most)
        times //= 2
        if times:
            square = product(square, square, most)
    return result
