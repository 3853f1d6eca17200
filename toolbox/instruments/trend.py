"""A value over time as a straight line: how fast it goes, and when it leaves its limits.

For the error of a gauge from check to check, and for the dimension of a shop-made gauge that
wears. Ordinary least squares with Student's t (JCGM 100:2008, H.3 for the line and its
uncertainties); the dates between which it leaves its limits are those where the edges of the
line's own band cross them (Fieller's theorem, from memory). A series begins anew with each
adjustment or repair.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import NamedTuple

from toolbox.instruments.student import factor

LEAST_VALUES = 3
SURE = 0.95
# As far ahead as a date is told: beyond it a line through a few checks says nothing.
HORIZON_DAYS = 36_525


class Measured(NamedTuple):
    """A value of one day, in whole units or fractions of them."""

    day: date
    value: int | Fraction


@dataclass(frozen=True, slots=True)
class Trend:
    """The line through a series.

    It goes through ``mean`` on the day ``centre`` (days since ``first``) and rises by
    ``per_day``. ``u_per_day`` is the standard uncertainty of that, ``scatter`` the standard
    deviation about the line with ``degrees`` of freedom, ``spread_days`` the sum of squared
    days from the centre, ``number`` how many values there are.
    """

    first: date
    last: date
    number: int
    centre: Fraction
    mean: Fraction
    per_day: Fraction
    scatter: float
    degrees: int
    spread_days: Fraction

    @property
    def u_per_day(self) -> float:
        """The standard uncertainty of the slope, in whole units a day."""
        return self.scatter / math.sqrt(self.spread_days)

    @property
    def per_day_within(self) -> float:
        """The slope lies within ± this with 95 %."""
        return factor(SURE, self.degrees) * self.u_per_day

    @property
    def significant(self) -> bool:
        """True when the slope cannot well be chance: nothing is not within its 95 %."""
        return abs(self.per_day) > self.per_day_within

    def at(self, day: date) -> tuple[Fraction, float]:
        """The line on a day, and the standard uncertainty of the line there."""
        away = (day - self.first).days - self.centre
        value = self.mean + self.per_day * away
        return value, self.scatter * math.sqrt(1 / self.number + away**2 / self.spread_days)


@dataclass(frozen=True, slots=True)
class Leaving:
    """When a line leaves its limits.

    ``good_until`` is the last day inside as the line goes, ``earliest`` and ``latest`` the
    same for the edges of its 95 % band, None beyond a hundred years; all None when that is
    ``not_known``, which says why.
    """

    good_until: date | None
    earliest: date | None
    latest: date | None
    not_known: str = ""


def trend(series: Sequence[Measured], u: float = 0.0) -> Trend:
    """The straight line through a series, in any order.

    ``u`` is the standard uncertainty of one value that is new each time; the scatter is
    taken for at least that, since few values can lie on a line by luck. ValueError for
    fewer than three values or all of one day.
    """
    if len(series) < LEAST_VALUES:
        raise ValueError(f"{len(series)} values: a trend needs at least {LEAST_VALUES}")
    first = min(one.day for one in series)
    days = [(one.day - first).days for one in series]
    values = [Fraction(one.value) for one in series]
    number = len(series)
    centre, mean = Fraction(sum(days), number), sum(values, Fraction(0)) / number
    across = sum(((day - centre) ** 2 for day in days), Fraction(0))
    if not across:
        raise ValueError("all values are of one day: a trend needs some time between them")
    pairs = list(zip(days, values, strict=True))
    per_day = sum(((d - centre) * (v - mean) for d, v in pairs), Fraction(0)) / across
    left = sum(((v - mean - per_day * (d - centre)) ** 2 for d, v in pairs), Fraction(0))
    scatter = max(math.sqrt(left / (number - 2)), u)
    last = max(one.day for one in series)
    return Trend(first, last, number, centre, mean, per_day, scatter, number - 2, across)


def leaves(line: Trend, low: int | Fraction, high: int | Fraction) -> Leaving:
    """When a line leaves the limits ``low`` to ``high``, both of them still inside.

    Where the trend is not significant it is not known, and beyond a hundred years neither.
    """
    if not line.significant:
        return Leaving(None, None, None, "not known: the values show no sure trend")
    away = Fraction(high if line.per_day > 0 else low) - line.mean
    days = away / line.per_day
    soon, late = _band(line, float(away))
    middle = line.centre + days
    if abs(middle) > HORIZON_DAYS:
        words = "not within a hundred years, as it goes" if middle > 0 else "long ago, as it goes"
        return Leaving(None, None, None, words)
    # the edges are floats: they never come before or after the line by a last digit
    earliest = min(Fraction(soon) + line.centre, middle) if line.scatter else middle
    latest = max(Fraction(late) + line.centre, middle) if line.scatter else middle
    return Leaving(_day(line, middle), _day(line, earliest), _day(line, latest))


def _band(line: Trend, away: float) -> tuple[float, float]:
    """Days from the centre on which the edges of the line's band are ``away`` from its mean."""
    slope = float(line.per_day)
    band = (factor(SURE, line.degrees) * line.scatter) ** 2
    across = float(line.spread_days)
    # (away - slope x)² = band (1/n + x²/across), a quadratic in x
    a = slope**2 - band / across
    c = away**2 - band / line.number
    root = math.sqrt(max(0.0, (slope * away) ** 2 - a * c))
    # a is above nothing where the trend is significant
    return (slope * away - root) / a, (slope * away + root) / a


def _day(line: Trend, days: Fraction) -> date | None:
    """The last whole day before so many; None beyond the horizon."""
    if abs(days) > HORIZON_DAYS:
        return None
    return line.first + timedelta(days=math.floor(days))
