"""Counting what was logged, day by day, recent days weighing more.

Whole numbers are kept by day and gone on with as more is logged; what a day weighs is worked
out when they are looked at.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypeVar

from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Use
from toolbox.kit.things import Supply, Tool, base_id
from toolbox.kit.work import Draw, Job, Pick

_Key = TypeVar("_Key")


@dataclass(frozen=True, slots=True)
class Known:
    """Ids that facts may name: jobs, supplies, and items (tools and carried supplies)."""

    jobs: frozenset[str]
    supplies: frozenset[str]
    items: frozenset[str]


@dataclass(frozen=True, slots=True)
class Counts:
    """What was logged, by job and item. Plain counts are whole, all others are weighted.

    ``exposure`` is the sum of the weights of the working days; ``visits_weighted``
    and the like add up each day's count times that day's weight. ``picks`` and
    ``amounts`` go by (job, item) and (job, supply).
    """

    days: tuple[date, ...]
    exposure: float
    visits: Mapping[str, int]
    visits_weighted: Mapping[str, float]
    visits_urgent: Mapping[str, float]
    picks: Mapping[tuple[str, str], float]
    amounts: Mapping[tuple[str, str], float]
    loose: Mapping[str, float]
    loose_urgent: Mapping[str, float]
    times: Mapping[str, int]
    last_used: Mapping[str, date]
    notes: tuple[str, ...]


def known_ids(jobs: Iterable[Job], tools: Iterable[Tool], supplies: Iterable[Supply]) -> Known:
    """The ids that count."""
    kept = tuple(supplies)
    return Known(
        jobs=frozenset(job.id for job in jobs),
        supplies=frozenset(supply.id for supply in kept),
        items=frozenset(tool.id for tool in tools)
        | frozenset(supply.id for supply in kept if supply.carried),
    )


def weight(age_days: int, half_life_days: int | None) -> float:
    """What a day counts that lies ``age_days`` back: half after every half-life."""
    return 1.0 if half_life_days is None else 0.5 ** (age_days / half_life_days)


def taken_up(picks: Iterable[Pick], draws: Iterable[Draw], known: Known) -> dict[str, int]:
    """How often each item is taken up in a step, by id of the tool or supply.

    Every copy counts for its tool. A carried supply is taken up once in a step that
    draws on it, however much is drawn.
    """
    taken: dict[str, int] = {}
    for pick in picks:
        item = base_id(pick.tool)
        if pick.times > 0 and item in known.items:
            taken[item] = taken.get(item, 0) + pick.times
    for item in {base_id(draw.supply) for draw in draws if draw.amount > 0}:
        if item in known.items:
            taken[item] = taken.get(item, 0) + 1
    return taken


@dataclass(frozen=True, slots=True)
class Tally:
    """Whole numbers by day, on whatever day they are then looked at.

    ``uses`` counts facts of work; ``visits`` steps by (day, job, visit), and those that were
    urgent; ``picks`` and ``amounts`` go by (job, item) and (job, supply), ``times`` by item,
    ``strange`` by what kind of name was on no list. Nothing that came to none is kept.
    """

    known: Known
    uses: Counter[date] = field(default_factory=Counter)
    visits: Counter[tuple[date, str, str]] = field(default_factory=Counter)
    urgent_visits: Counter[tuple[date, str, str]] = field(default_factory=Counter)
    picks: Counter[tuple[date, tuple[str, str]]] = field(default_factory=Counter)
    amounts: Counter[tuple[date, tuple[str, str]]] = field(default_factory=Counter)
    loose: Counter[tuple[date, str]] = field(default_factory=Counter)
    loose_urgent: Counter[tuple[date, str]] = field(default_factory=Counter)
    times: Counter[tuple[date, str]] = field(default_factory=Counter)
    strange: Counter[tuple[date, tuple[str, str]]] = field(default_factory=Counter)

    def changed(self, more: Iterable[Fact], fewer: Iterable[Fact] = ()) -> Tally:
        """The tally with these facts more, and without those that are in it and count no more.

        The same as a tally of all facts that count then, made from nothing.
        """
        new = Tally(self.known, *(Counter(getattr(self, name)) for name in _COUNTED))
        for sign, facts in ((1, more), (-1, fewer)):
            for fact in facts:
                new._book(fact, sign)
        if fewer:
            for name in _COUNTED:
                counter: Counter[Any] = getattr(new, name)
                for key in [key for key, number in counter.items() if not number]:
                    del counter[key]
        return new

    def _book(self, fact: Fact, sign: int) -> None:
        what = fact.what
        # undos and what was said of checklists are no work
        if not isinstance(what, Use):
            return
        day = fact.at.date()
        self.uses[day] += sign
        match what:
            case StepDone():
                self._step(day, what, sign)
            case LoosePick():
                picks = (Pick(what.tool, what.times),)
                self._check(day, picks, (), sign)
                self._loose(day, taken_up(picks, (), self.known), what.urgent, sign)
            case SupplyUsed():
                draws = (Draw(what.supply, what.amount),)
                self._check(day, (), draws, sign)
                self._loose(day, taken_up((), draws, self.known), False, sign)

    def _step(self, day: date, step: StepDone, sign: int) -> None:
        self._check(day, step.picks, step.draws, sign)
        taken = taken_up(step.picks, step.draws, self.known)
        if step.job not in self.known.jobs:
            # The job is gone from the list, the trips to the box were made all the same.
            self.strange[day, ("job", step.job)] += sign
            self._loose(day, taken, step.urgent, sign)
            return
        visit = (day, step.job, step.visit)
        self.visits[visit] += sign
        if step.urgent:
            self.urgent_visits[visit] += sign
        for item, times in taken.items():
            self.picks[day, (step.job, item)] += sign * times
            self.times[day, item] += sign * times
        for draw in step.draws:
            if draw.supply in self.known.supplies and draw.amount:
                self.amounts[day, (step.job, draw.supply)] += sign * draw.amount

    def _loose(self, day: date, taken: Mapping[str, int], urgent: bool, sign: int) -> None:
        for item, times in taken.items():
            self.loose[day, item] += sign * times
            if urgent:
                self.loose_urgent[day, item] += sign * times
            self.times[day, item] += sign * times

    def _check(self, day: date, picks: Iterable[Pick], draws: Iterable[Draw], sign: int) -> None:
        for pick in picks:
            if pick.times and base_id(pick.tool) not in self.known.items:
                self.strange[day, ("tool", pick.tool)] += sign * pick.times
        for draw in draws:
            if draw.supply not in self.known.supplies:
                self.strange[day, ("supply", draw.supply)] += sign


_COUNTED = tuple(Tally.__dataclass_fields__)[1:]


def count_up(tally: Tally, today: date, half_life_days: int | None) -> Counts:
    """What was logged up to and with ``today``, the day of a fact being that of its own zone."""
    days = tuple(sorted(day for day in tally.uses if day <= today))
    weights = {day: weight((today - day).days, half_life_days) for day in days}
    visits = Counter((day, job) for day, job, _ in tally.visits if day in weights)
    urgent = Counter((day, job) for day, job, _ in tally.urgent_visits if day in weights)
    raw: Counter[str] = Counter()
    for (_, job), number in visits.items():
        raw[job] += number
    times: Counter[str] = Counter()
    last_used: dict[str, date] = {}
    for (day, item), number in tally.times.items():
        if day in weights:
            times[item] += number
            last_used[item] = max(day, last_used.get(item, day))
    return Counts(
        days=days,
        exposure=math.fsum(weights.values()),
        visits=raw,
        visits_weighted=_weighted(visits, weights),
        visits_urgent=_weighted(urgent, weights),
        picks=_weighted(tally.picks, weights),
        amounts=_weighted(tally.amounts, weights),
        loose=_weighted(tally.loose, weights),
        loose_urgent=_weighted(tally.loose_urgent, weights),
        times=times,
        last_used=last_used,
        notes=_notes(tally, today),
    )


def _weighted(
    daily: Mapping[tuple[date, _Key], int], weights: Mapping[date, float]
) -> dict[_Key, float]:
    parts: dict[_Key, list[float]] = defaultdict(list)
    for (day, key), number in daily.items():
        if day in weights:
            parts[key].append(weights[day] * number)
    # fsum rounds once, so that the order of the facts cannot show in the last digit.
    return {key: math.fsum(values) for key, values in parts.items()}


def _notes(tally: Tally, today: date) -> tuple[str, ...]:
    """What was logged but could not be counted as meant, in sentences."""
    said = []
    future = sum(number for day, number in tally.uses.items() if day > today)
    if future:
        said.append(f"{future} logged after {today.isoformat()} and not counted yet.")
    strange: Counter[tuple[str, str]] = Counter()
    for (day, named), number in tally.strange.items():
        if day <= today:
            strange[named] += number
    for (kind, name), number in sorted(strange.items()):
        said.append(_STRANGE[kind].format(name=name, number=number))
    return tuple(said)


_STRANGE = {
    "job": 'Job "{name}" is not on the job list: what its {number} logged steps took up'
    " counts as taken up outside any job.",
    "supply": 'Supply "{name}" is not on the supply list: logged {number} times, not counted.',
    "tool": 'Tool "{name}" is not on the tool list: taken up {number} times, not counted.',
}
