"""How far a comparison can be trusted: parts of an uncertainty, combined as in the GUM.

JCGM 100:2008 throughout: 4.2 (repeated readings), 4.3.7 (limits), 5.1.2 (root of the sum of
squares), 6.2.1 (expanded uncertainty), G.4.1 (Welch-Satterthwaite). Figures are in the whole
unit of what is checked: milli-newton-metres, pascals, micrometres or milligrams.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from toolbox.instruments.student import factor

# Two standard deviations of a normal distribution: 95.45 %, where k = 2 (GUM, G.6.6).
TWO_SIGMA = math.erf(math.sqrt(2))


class Part(NamedTuple):
    """One source of uncertainty: its name, its standard uncertainty, its degrees of freedom."""

    name: str
    u: float
    degrees: float = math.inf


@dataclass(frozen=True, slots=True)
class Combined:
    """Separate parts taken together.

    ``u`` is the combined standard uncertainty, ``degrees`` the effective degrees of freedom,
    ``k`` the coverage factor for the probability asked for.
    """

    parts: tuple[Part, ...]
    u: float
    degrees: float
    k: float

    @property
    def expanded(self) -> Fraction:
        """U = k u, rounded to a thousandth of the unit: so limits are compared exactly."""
        return thousandths(self.k * self.u)


def combine(parts: Iterable[Part], probability: float = TWO_SIGMA) -> Combined:
    """Separate parts as one: root of the sum of squares, k from the effective degrees.

    With nothing that rests on few readings k is 2; else it is Student's t for the same
    probability, which is larger.
    """
    kept = tuple(part for part in parts if part.u > 0)
    u = math.hypot(*(part.u for part in kept))
    degrees = effective_degrees(kept)
    return Combined(kept, u, degrees, coverage(degrees, probability))


def effective_degrees(parts: Iterable[Part]) -> float:
    """Welch-Satterthwaite (GUM, G.2b): u⁴ over the sum of each part's u⁴ by its degrees."""
    parts = tuple(parts)
    most = max((part.u for part in parts), default=0.0)
    if not most:
        return math.inf
    # in shares of the largest part, so that fourth powers neither vanish nor overflow
    shares = [(part.u / most, part.degrees) for part in parts]
    below = math.fsum(share**4 / degrees for share, degrees in shares)
    return math.fsum(share**2 for share, _ in shares) ** 2 / below if below else math.inf


def coverage(degrees: float = math.inf, probability: float = TWO_SIGMA) -> float:
    """The coverage factor k for so many degrees of freedom; 2 for many at 95.45 %."""
    if math.isinf(degrees) and probability == TWO_SIGMA:
        return 2.0
    return factor(probability, degrees)


def limited(half_width: float | Fraction) -> float:
    """Standard uncertainty of what lies anywhere within ± half_width (GUM, 4.3.7)."""
    return float(half_width) / math.sqrt(3)


def rounded(step: int) -> float:
    """Standard uncertainty of a figure rounded to a step (GUM, F.2.2.1): 0.29 of it."""
    return limited(Fraction(step, 2))


def spread(values: Sequence[Fraction]) -> float | None:
    """Standard deviation of repeated readings (GUM, 4.2.2); None for fewer than two."""
    if len(values) < 2:
        return None
    mean = sum(values, Fraction(0)) / len(values)
    variance = sum(((value - mean) ** 2 for value in values), Fraction(0)) / (len(values) - 1)
    return math.sqrt(variance)


def repeated(values: Sequence[Fraction]) -> Part | None:
    """The part of a mean that repeating left over (GUM, 4.2.3): s/√n, n - 1 degrees."""
    found = spread(values)
    if found is None:
        return None
    return Part("repeated readings", found / math.sqrt(len(values)), len(values) - 1)


def thousandths(value: float) -> Fraction:
    """A figure as an exact fraction of the unit, to a thousandth, half up."""
    return Fraction(math.floor(value * 1000 + 0.5), 1000)
