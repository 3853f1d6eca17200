"""What will be used of each supply: by the rates learned, or by the work that a trip plans.

Every coming day counts as a working day, so that use is not taken for less than it may be.
A trip that is near, or that was asked for, says what its days take: its planned work stands
in place of what was learned, with what one job uses as it was learned.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from toolbox.desk.sorted_out import Sorter
from toolbox.desk.stock import Holding
from toolbox.desk.trips import Flight, is_over
from toolbox.kit.facts import Fact, StepDone, SupplyUsed
from toolbox.kit.kit import Kit
from toolbox.kit.things import Supply
from toolbox.kit.trips import Trip
from toolbox.stock.expected import (
    Amount,
    LearnedWork,
    PlannedWork,
    Work,
    around,
    chance_to_run_out,
    demand_of,
    during,
    expected,
)
from toolbox.stock.levels import base_stock
from toolbox.usage.counts import weight
from toolbox.usage.engine import WEAK, JobRate, Usage

NEAR_DAYS = 14
"""A trip whose next leg is so many days away is what is restocked for (common practice, no
source)."""
_LONGEST = 31  # days that are looked ahead at most, one by one


@dataclass(frozen=True, slots=True)
class Level:
    """How much of a supply should be there, and why, in words; ``planned`` is the part of it
    that the planned work of a trip may take (0 without one)."""

    units: int
    why: str
    planned: int = 0


@dataclass(frozen=True)
class Coming:
    """The work that is to come, as seen on ``today``.

    ``loose`` is what was used outside any job of the kit: by supply, so many times (weighted
    as visits are) and the amounts. ``flight`` is the trip that is restocked for, or None.
    """

    kit: Kit
    usage: Usage
    today: date
    loose: dict[str, tuple[float, tuple[Amount, ...]]]
    flight: Flight | None = None

    @cached_property
    def _rates(self) -> dict[str, JobRate]:
        return {rate.job: rate for rate in self.usage.jobs}

    @property
    def days(self) -> int:
        """Days until the next restock, where no trip says otherwise."""
        return self.kit.settings.restock_days

    def learned(self, supply: str, days: int) -> tuple[Work, ...]:
        """The work of so many days by the rates learned, and what it uses of a supply.

        Jobs of which nothing is known, neither logged nor stated, say nothing here.
        """
        stated = {job.id for job in self.kit.jobs if job.per_day}
        found: list[Work] = [
            LearnedWork(rate.belief.shape, rate.belief.rate, days, around(amount.mean))
            for rate in self.usage.jobs
            if rate.visits or rate.job in stated
            for amount in rate.amounts
            if amount.supply == supply
        ]
        if supply in self.loose:
            times, amounts = self.loose[supply]
            belief = WEAK.updated(times, self.usage.exposure)
            found.append(LearnedWork(belief.shape, belief.rate, days, amounts))
        return tuple(found)

    def planned(self, supply: str) -> tuple[Work, ...]:
        """The planned work of the trip, all of it, and what it uses of a supply."""
        return tuple(
            PlannedWork(work.expected(), around(amount.mean))
            for work in (self.flight.trip.work if self.flight is not None else ())
            for amount in self._rates[work.job].amounts
            if amount.supply == supply
        )

    def until(self, supply: str, day: date) -> tuple[Work, ...]:
        """All work from tomorrow up to and with that day."""
        ahead = (day - self.today).days
        if self.flight is None:
            return self.learned(supply, ahead)
        start, _ = window(self.flight.trip, self.today)
        before = self.learned(supply, min(ahead, max(0, (start - self.today).days - 1)))
        share = _share(self.flight.trip, day, self.today)
        part = share - _share(self.flight.trip, self.today, self.today)
        return (*before, *(during(work, part) for work in self.planned(supply)))

    def work(self, supply: str) -> tuple[Work, ...]:
        """All work of the days that are looked ahead."""
        return self.until(supply, self.ahead()[-1])

    def before_leaving(self, supply: str) -> tuple[Work, ...]:
        """The work of those of these days that lie before the trip."""
        days = self.ahead()
        if self.flight is not None:
            start = window(self.flight.trip, self.today)[0]
            days = tuple(day for day in days if day < start)
        return self.learned(supply, len(days))

    def ahead(self) -> tuple[date, ...]:
        """The coming days one by one: to the next restock, or to the end of a trip that has
        begun or begins before that."""
        last = self.today + timedelta(days=self.days)
        if self.flight is not None:
            start, end = window(self.flight.trip, self.today)
            last = max(last, end) if start <= last else last
        days = min(_LONGEST, (last - self.today).days)
        return tuple(self.today + timedelta(days=n) for n in range(1, days + 1))


def coming_work(
    kit: Kit, usage: Usage, facts: Iterable[Fact], today: date, flight: Flight | None = None
) -> Coming:
    """The work to come; ``facts`` are those that count, ``flight`` is restocked for."""
    return Coming(kit, usage, today, _loose(kit, facts, today), flight)


def counts_now(flight: Flight, today: date) -> bool:
    """True when a trip is near or under way and says what work it plans."""
    days = [leg.day for leg in flight.trip.legs if leg.day is not None]
    if not flight.trip.work or not days or is_over(flight.trip, today):
        return False
    return (min(day for day in days if day >= today) - today).days <= NEAR_DAYS


def under_way(flight: Flight, today: date) -> bool:
    """True once the first leg was flown: what is bought then, is bought where the work is."""
    days = [leg.day for leg in flight.trip.legs if leg.day is not None]
    return bool(days) and min(days) < today


def window(trip: Trip, today: date) -> tuple[date, date]:
    """The first and the last day of a trip's work.

    Where no leg back has a day the end is not known, and all work counts from its first
    day on; a trip without days begins tomorrow.
    """
    days = [leg.day for leg in trip.legs if leg.day is not None and not leg.back]
    back = [leg.day for leg in trip.legs if leg.day is not None and leg.back]
    start = min(days, default=today + timedelta(days=1))
    return start, max([start, *back])


def _share(trip: Trip, day: date, today: date) -> Fraction:
    """The part of a trip's work that is done by the evening of that day."""
    start, end = window(trip, today)
    if day < start:
        return Fraction(0)
    return min(Fraction(1), Fraction((day - start).days + 1, (end - start).days + 1))


def _loose(
    kit: Kit, facts: Iterable[Fact], today: date
) -> dict[str, tuple[float, tuple[Amount, ...]]]:
    """What was used outside the jobs of the kit, by supply: how often, and the amounts."""
    outside = _LOOSE.sorted_out(tuple(facts), frozenset(job.id for job in kit.jobs))
    found = {s: [use for use in uses if use.day <= today] for s, uses in outside.items()}
    half_life = kit.settings.half_life_days
    return {
        supply: (
            sum(weight((today - use.day).days, half_life) for use in uses),
            tuple(Amount(use.amount, Fraction(1, len(uses))) for use in uses),
        )
        for supply, uses in found.items()
        if uses
    }


class _Use(NamedTuple):
    day: date
    amount: int


def _outside(facts: Iterable[Fact], jobs: frozenset[str]) -> Iterator[tuple[str, _Use]]:
    """What was used outside any of these jobs, by supply."""
    for fact in facts:
        what = fact.what
        if isinstance(what, SupplyUsed):
            yield what.supply, _Use(fact.at.date(), what.amount)
        elif isinstance(what, StepDone) and what.job not in jobs:
            for draw in what.draws:
                yield draw.supply, _Use(fact.at.date(), draw.amount)


_LOOSE = Sorter(_outside)


# ---- levels and chances


def service_of(kit: Kit, supply: Supply) -> Fraction:
    """The chance with which a stock is to suffice: the supply's own, or the kit's."""
    return kit.settings.service if supply.service is None else supply.service


def allowed(kit: Kit, supply: Supply) -> Fraction:
    """The chance to run out that is put up with until the next restock.

    What its service leaves, 5 % for 95 %. A supply with a level of the mechanic's own and
    no service of its own is kept by that level: more is asked for only when it is as likely
    as not to run out.
    """
    if supply.par is not None and supply.service is None:
        return Fraction(1, 2)
    return 1 - service_of(kit, supply)


def once_more(kit: Kit, held: Holding) -> Level:
    """What the job that draws most of a supply takes of it, done once more as usual."""
    drawn = [
        (sum(d.amount for step in job.steps for d in step.draws if d.supply == held.supply.id), job)
        for job in kit.jobs
    ]
    units, job = max(drawn, key=lambda one: one[0], default=(0, None))
    if job is None or not units:
        return Level(0, "")
    return Level(units, f"{job.name}, once more, takes {held.amount(units)}")


def level_of(coming: Coming, held: Holding, *, at_home: bool = False) -> Level:
    """How much should be there, the largest of these: the mechanic's own level, what one more
    job takes, what the coming days take with more than the chance ``allowed``, what the
    planned work of the trip may take. With ``at_home`` the trip is left out: what does not
    fly is not kept for it.
    """
    own, most = held.supply.par or 0, allowed(coming.kit, held.supply)
    words = "no level to keep" if held.supply.par is None else f"level to keep {held.amount(own)}"
    found = [Level(own, words), once_more(coming.kit, held)]
    if not at_home:
        found.append(_for_the_trip(coming, held))
    work = coming.before_leaving(held.supply.id) if at_home else coming.work(held.supply.id)
    if _may_pass(work, own, most):
        wanted = base_stock(demand_of(work), 1 - most)
        days, chance = len(coming.ahead()), _percent(1 - most)
        takes = f"{days} days take up to {held.amount(wanted)} with {chance} chance"
        found.append(Level(wanted, takes))
    planned = max(level.planned for level in found)
    return replace(max(found, key=lambda level: level.units), planned=planned)


def _for_the_trip(coming: Coming, held: Holding) -> Level:
    """What the planned work that is left of a trip takes with the supply's service."""
    flight, planned = coming.flight, coming.planned(held.supply.id)
    if flight is None or not planned:
        return Level(0, "")
    service = service_of(coming.kit, held.supply)
    rest = 1 - _share(flight.trip, coming.today, coming.today)
    units = base_stock(demand_of(during(one, rest) for one in planned), service)
    takes = f"takes up to {held.amount(units)} with {_percent(service)} chance"
    return Level(units, f"the planned work of {flight.trip.name} {takes}", units)


def chances(coming: Coming, held: Holding) -> tuple[tuple[date, float], ...]:
    """The chance that a supply runs out by the evening of each coming day.

    Empty where nobody knows how much is there.
    """
    if held.good is None:
        return ()
    return tuple((day, _chance(coming, held, day, held.good)) for day in coming.ahead())


def runs_out(coming: Coming, held: Holding) -> tuple[date, float] | None:
    """The first day by which a supply runs out with more than the chance ``allowed``, and
    that chance; None where none is, or nobody knows how much is there.
    """
    if held.good is None:
        return None
    most, days = allowed(coming.kit, held.supply), coming.ahead()
    work = coming.work(held.supply.id)
    # the chance only grows with the days: most supplies are settled by the last one alone
    if not _may_pass(work, held.good, most) or chance_to_run_out(work, held.good) <= most:
        return None
    by_day = ((day, _chance(coming, held, day, held.good)) for day in days)
    return next((day, chance) for day, chance in by_day if chance > most)


def _may_pass(work: Sequence[Work], stock: int, most: Fraction) -> bool:
    """False where work surely takes more than a stock with no more than that chance.

    Markov: the chance of stock + 1 and more is at most the mean in that.
    """
    return bool(work) and float(expected(work)) > float(most) * (stock + 1)


def _chance(coming: Coming, held: Holding, day: date, stock: int) -> float:
    work = coming.until(held.supply.id, day)
    return chance_to_run_out(work, stock) if work else 0.0


def _percent(share: Fraction) -> str:
    return f"{float(share * 100):g} %"
