"""From work to demand: how often jobs come and what each uses, as chances on whole units.

Work that is learned comes at a rate of which there is a gamma belief, so its count in some
days is negative binomial (gamma-Poisson); planned work is Poisson around its expected
times, or a fixed number. What one job uses is itself a chance on whole units, so a supply's
demand is a sum of compound counts: see ``stock/compound`` for how they are added up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from toolbox.stock.compound import gamma_poisson_times, poisson_times, power, product
from toolbox.stock.demand import ERROR, Demand, Number
from toolbox.stock.errors import refuse

LIMIT = 4000
"""So many amounts are worked out at most. Where that is too few in whole units (or in what all
jobs' amounts have in common), amounts are counted in larger steps: each job's is then split
between the two nearest steps so that its mean stays, which makes demand a little more spread,
never less."""

ENOUGH = 0.9999
"""Chances are worked out until no more than 1 in 10,000 lies beyond."""


class Amount(NamedTuple):
    """So many whole units are used in a job, with this chance."""

    units: int
    chance: Number


class Spread(Enum):
    """How planned work may differ from what is planned; the value is the word shown."""

    POISSON = "about"  # the times are expected ones: more or fewer come as they come
    FIXED = "exactly"  # just so many


@dataclass(frozen=True, slots=True)
class LearnedWork:
    """A job at a learned rate over ``days`` working days, and what one of it uses.

    The belief about visits in a working day is a gamma distribution of that ``shape`` and
    ``rate`` (in days); a shape of 0 is a job that never comes. ``uses`` are the chances
    of the amounts, together 1: see ``around`` where only a mean is known.
    """

    shape: Number
    rate: Number
    days: Number
    uses: tuple[Amount, ...]

    @property
    def times(self) -> Number:
        """How often it is expected in all."""
        return self.shape * self.days / self.rate


@dataclass(frozen=True, slots=True)
class PlannedWork:
    """A job planned so many ``times`` in all (broken: once more with that chance)."""

    times: Number
    uses: tuple[Amount, ...]
    spread: Spread = Spread.POISSON


Work = LearnedWork | PlannedWork


def around(mean: Number) -> tuple[Amount, ...]:
    """The whole amounts below and above a learned mean, with the chances that keep it.

    A mean of 2.4 is 2 six times in ten and 3 four times in ten.
    """
    refuse([f"a use of {mean} a job is below 0"] if mean < 0 else [])
    return _split(mean, 1)


def expected(work: Iterable[Work]) -> Number:
    """The amount that is expected to be used, in whole units and parts of them."""
    return sum((job.times * _mean(job.uses) for job in work), Fraction(0))


def demand_of(work: Iterable[Work], upto: int = 0, enough: float = ENOUGH) -> Demand:
    """How much of a supply all this work wants together.

    Chances are worked out until they cover ``enough``, and at least to the amount ``upto``.
    StockError, with all faults, on figures that mean nothing: rates not above 0,
    days, times or shapes below 0, chances of amounts that do not add up to 1, and LIMIT or more
    jobs in fixed number.
    """
    jobs = tuple(work)
    refuse(_faults(jobs))
    coming = tuple(job for job in jobs if job.times and _mean(job.uses))
    step = _common(coming)
    least, above = _reach(coming) if enough else (0, 0)
    step *= max(1, math.ceil(max(upto - least, above) / (step * LIMIT)))
    reach = (upto, max(upto, least + above))
    mean = float(expected(coming))
    while (found := _on_steps(coming, step, reach, enough)) is None:
        step *= 2
    least, chances = found
    beyond = 1.0 - math.fsum(chances)
    return Demand(chances, mean, least * step, step, beyond if beyond > ERROR else 0.0)


def during(job: Work, part: Number) -> Work:
    """The same work over so many times its days: half of a trip, three such days."""
    if isinstance(job, LearnedWork):
        return replace(job, days=job.days * part)
    return replace(job, times=job.times * part)


def chances_to_run_out(
    work: Iterable[Work], stock: int, parts: Iterable[Number]
) -> tuple[float, ...]:
    """The chance that more than ``stock`` is wanted within each of these parts of the days.

    A part is how many times the days that the work was made for: of work made for one day,
    1, 2, 3 are days; of work planned for a trip of four days, 1/4 is its first.
    """
    jobs = tuple(work)
    return tuple(chance_to_run_out((during(job, part) for job in jobs), stock) for part in parts)


def chance_to_run_out(work: Iterable[Work], stock: int) -> float:
    """The chance that more than ``stock`` is wanted by all this work."""
    return float(demand_of(work, upto=stock, enough=0.0).more_than(stock))


def days_of_cover(stock: int, used: Number, days: Number) -> Fraction | None:
    """How many days a stock lasts at the rate of ``used`` in the last ``days`` days.

    None when nothing was used: then there is no rate to go by. Whole days are what
    rounding down gives.
    """
    refuse([f"a rate over {days} days is none"] if days <= 0 else [])
    return max(0, stock) * Fraction(days) / Fraction(used) if used > 0 else None


def _faults(jobs: tuple[Work, ...]) -> Iterator[str]:
    for n, job in enumerate(jobs, 1):
        if isinstance(job, LearnedWork):
            figures = {"shape": job.shape, "rate": job.rate, "days": job.days}
            allowed = job.shape >= 0 and job.rate > 0 and job.days >= 0
        else:
            figures = {"times": job.times}
            allowed = job.times >= 0
        if not (allowed and all(math.isfinite(figure) for figure in figures.values())):
            told = ", ".join(f"{name} {figure}" for name, figure in figures.items())
            yield f"work {n} means nothing: {told}"
        if any(amount.units < 0 or amount.chance < 0 for amount in job.uses):
            yield f"work {n} uses amounts or chances below 0"
        if abs(math.fsum(amount.chance for amount in job.uses) - 1.0) > ERROR:
            yield f"the chances of what work {n} uses do not add up to 1"
    if math.fsum(job.times + 1 for job in jobs if _is_fixed(job)) > LIMIT:
        yield f"{LIMIT} jobs and more in fixed number are too many: plan them as expected times"


def _mean(uses: tuple[Amount, ...]) -> Number:
    return sum((amount.units * amount.chance for amount in uses), Fraction(0))


def _common(jobs: tuple[Work, ...]) -> int:
    """The largest step of which every amount is a whole number of times."""
    return math.gcd(*(a.units for job in jobs for a in job.uses if a.chance)) or 1


def _reach(jobs: tuple[Work, ...]) -> tuple[int, int]:
    """What is wanted at least, and about how far up demand goes from there.

    That is three standard deviations above the mean.
    """
    least, mean, variance = 0, 0.0, 0.0
    for job in jobs:
        times, one = float(job.times), float(_mean(job.uses))
        square = math.fsum(amount.units**2 * amount.chance for amount in job.uses)
        mean += times * one
        variance += times * square
        if isinstance(job, LearnedWork):
            variance += (times * one) ** 2 / float(job.shape)
        elif job.spread is Spread.FIXED:
            variance -= times * one * one
            least += math.floor(job.times) * min(a.units for a in job.uses if a.chance)
    return least, math.ceil(mean - least + 3.0 * math.sqrt(max(0.0, variance)))


def _is_fixed(job: Work) -> bool:
    return isinstance(job, PlannedWork) and job.spread is Spread.FIXED


def _split(units: Number, step: int) -> tuple[Amount, ...]:
    """An amount in steps: the whole numbers below and above, with chances that keep it."""
    exact = Fraction(units) / step
    low = math.floor(exact)
    ways = (Amount(low, 1 - (exact - low)), Amount(low + 1, exact - low))
    return tuple(way for way in ways if way.chance)


def _in_steps(uses: tuple[Amount, ...], step: int) -> list[float]:
    """Chances of 0, 1, 2 ... steps in one job."""
    ways = [
        Amount(way.units, float(way.chance) * float(amount.chance))
        for amount in uses
        if amount.chance
        for way in _split(amount.units, step)
    ]
    chances = [0.0] * (max(way.units for way in ways) + 1)
    for way in ways:
        chances[way.units] += float(way.chance)
    total = math.fsum(chances)
    return [chance / total for chance in chances]


def _on_steps(
    jobs: tuple[Work, ...], step: int, reach: tuple[int, int], enough: float
) -> tuple[int, tuple[float, ...]] | None:
    """Least number of steps and chances from there on; None when LIMIT do not reach so far.

    ``reach`` is the amount to be reached, and the one that will likely be needed.
    """
    spread, least = [1.0], 0
    for job in filter(_is_fixed, jobs):
        floor, chances = _fixed(_in_steps(job.uses, step), Fraction(job.times))
        least += floor
        spread = product(spread, chances, LIMIT + 1)
        if len(spread) > LIMIT:
            return None
    coming = tuple((job, _in_steps(job.uses, step)) for job in jobs if not _is_fixed(job))
    if not coming:
        return least, tuple(spread)
    wanted, size = (max(1, amount // step - least + 1) for amount in reach)
    size = min(LIMIT, size)
    while True:
        chances = spread
        for job, uses in coming:
            chances = product(chances, _times(job, uses, size), size)
        covered = math.fsum(chances)
        if (covered >= enough and size >= wanted) or covered >= 1.0 - ERROR:
            return least, tuple(chances)
        if size == LIMIT:
            return None
        size = min(LIMIT, size + size // 2 + 1)


def _times(job: Work, uses: list[float], size: int) -> list[float]:
    """So many chances of a job that comes as it comes."""
    if isinstance(job, LearnedWork):
        return gamma_poisson_times(float(job.shape), float(job.days / job.rate), uses, size)
    return poisson_times(float(job.times), uses, size)


def _fixed(uses: list[float], times: Fraction) -> tuple[int, list[float]]:
    """So many jobs that each use so many steps: the least they use, and chances from there."""
    number = math.floor(times)
    low = next(n for n, chance in enumerate(uses) if chance)
    once_more = [float(times - number) * chance for chance in uses]
    once_more[0] += float(1 - (times - number))
    chances = power(uses[low:], number, LIMIT + 1)
    return low * number, product(chances, once_more, LIMIT + 1) if times > number else chances
