"""Student's t distribution, for uncertainties that rest on few readings.

Closed sums for whole degrees of freedom: Abramowitz and Stegun, Handbook of Mathematical
Functions (1964), 26.7.3 and 26.7.4; for many degrees its expansion 26.7.5.
"""

from __future__ import annotations

import math
from statistics import NormalDist

# From here on the expansion is good to ten digits, and the sums grow long.
_MANY = 1_000


def inside(t: float, degrees: int) -> float:
    """The probability (0 to 1) that a t value lies within ± t.

    ``degrees`` is whole and at least 1; ``t`` is not negative. ValueError otherwise.
    """
    if degrees < 1 or t < 0:
        raise ValueError(f"no t distribution for t = {t} with {degrees} degrees of freedom")
    angle = math.atan(t / math.sqrt(degrees))
    sine, cosine = math.sin(angle), math.cos(angle)
    odd = degrees % 2 == 1
    term = cosine if odd else 1.0
    total = term if degrees > 1 else 0.0
    for n in range(3 if odd else 2, degrees - 1, 2):
        term *= cosine**2 * ((n - 1) / n)
        total += term
    return 2 / math.pi * (angle + sine * total) if odd else sine * total


def factor(probability: float, degrees: float = math.inf) -> float:
    """The t within ± of which so much of the distribution lies: t95 is ``factor(0.95, n)``.

    Degrees that are not whole are cut to the next lower whole number, at least 1, as JCGM
    100:2008, G.4.1 does. ValueError for a probability that is not between 0 and 1.
    """
    if not 0 < probability < 1:
        raise ValueError(f"{probability} is no probability between 0 and 1")
    z = NormalDist().inv_cdf((1 + probability) / 2)
    if math.isinf(degrees):
        return z
    whole = max(1, math.floor(degrees))
    return _expanded(z, whole) if whole > _MANY else _halved(probability, whole)


def _halved(probability: float, degrees: int) -> float:
    low, high = 0.0, 1.0
    while inside(high, degrees) < probability:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(middle, degrees) < probability else (low, middle)
    return (low + high) / 2


def _expanded(z: float, degrees: int) -> float:
    first = (z**3 + z) / 4
    second = (5 * z**5 + 16 * z**3 + 3 * z) / 96
    third = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384
    return z + first / degrees + second / degrees**2 + third / degrees**3
