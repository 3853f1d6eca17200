"""Counting what was logged, day by day, recent days weighing more."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar

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


def taken_up(picks: Iterable[Pick], draws: Iterable[Draw], known: Known) -> Counter[str]:
    """How often each item is taken up in a step, by id of the tool or supply.

    Every copy counts for its tool. A carried supply is taken up once in a step that
    draws on it, however much is drawn.
    """
    taken: Counter[str] = Counter()
    for pick in picks:
        item = base_id(pick.tool)
        if item in known.items and pick.times > 0:
            taken[item] += pick.times
    drawn = {base_id(draw.supply) for draw in draws if draw.amount > 0}
    taken.update(drawn & known.items)
    return taken


def count_up(
    facts: Iterable[Fact], known: Known, today: date, half_life_days: int | None
) -> Counts:
    """Count the facts up to and with ``today``; the order of the facts does not matter.

    The day of a fact is the date where it happened, by the fact's own zone.
    """
    tally = _Tally(known)
    for fact in facts:
        # undos and what was said of checklists are no work
        if not isinstance(fact.what, Use):
            continue
        day = fact.at.date()
        if day > today:
            tally.future += 1
        else:
            tally.add(day, fact.what)
    days = tuple(sorted(tally.days))
    weights = {day: weight((today - day).days, half_life_days) for day in days}
    visits = Counter((day, job) for day, job, _ in tally.visits)
    urgent = Counter((day, job) for day, job, _ in tally.urgent_visits)
    raw: Counter[str] = Counter()
    for (_, job), number in visits.items():
        raw[job] += number
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
        times=tally.times,
        last_used=tally.last_used,
        notes=tally.notes(today),
    )


def _weighted(
    daily: Mapping[tuple[date, _Key], int], weights: Mapping[date, float]
) -> dict[_Key, float]:
    parts: dict[_Key, list[float]] = defaultdict(list)
    for (day, key), number in daily.items():
        parts[key].append(weights[day] * number)
    # fsum rounds once, so that the order of the facts cannot show in the last digit.
    return {key: math.fsum(values) for key, values in parts.items()}


@dataclass(slots=True)
class _Tally:
    """Whole numbers by day while the facts are gone through."""

    known: Known
    days: set[date] = field(default_factory=set)
    visits: set[tuple[date, str, str]] = field(default_factory=set)
    urgent_visits: set[tuple[date, str, str]] = field(default_factory=set)
    picks: Counter[tuple[date, tuple[str, str]]] = field(default_factory=Counter)
    amounts: Counter[tuple[date, tuple[str, str]]] = field(default_factory=Counter)
    loose: Counter[tuple[date, str]] = field(default_factory=Counter)
    loose_urgent: Counter[tuple[date, str]] = field(default_factory=Counter)
    times: Counter[str] = field(default_factory=Counter)
    last_used: dict[str, date] = field(default_factory=dict)
    strange: Counter[tuple[str, str]] = field(default_factory=Counter)
    future: int = 0

    def add(self, day: date, what: Use) -> None:
        """Count one thing that happened on that day."""
        self.days.add(day)
        match what:
            case StepDone():
                self._step(day, what)
            case LoosePick():
                self._check((Pick(what.tool, what.times),), ())
                taken = taken_up((Pick(what.tool, what.times),), (), self.known)
                self._loose(day, taken, what.urgent)
            case SupplyUsed():
                draws = (Draw(what.supply, what.amount),)
                self._check((), draws)
                self._loose(day, taken_up((), draws, self.known), urgent=False)

    def _step(self, day: date, step: StepDone) -> None:
        self._check(step.picks, step.draws)
        taken = taken_up(step.picks, step.draws, self.known)
        if step.job not in self.known.jobs:
            # The job is gone from the list, the trips to the box were made all the same.
            self.strange["job", step.job] += 1
            self._loose(day, taken, step.urgent)
            return
        visit = (day, step.job, step.visit)
        self.visits.add(visit)
        if step.urgent:
            self.urgent_visits.add(visit)
        for item, times in taken.items():
            self.picks[day, (step.job, item)] += times
            self._used(day, item, times)
        for draw in step.draws:
            if draw.supply in self.known.supplies:
                self.amounts[day, (step.job, draw.supply)] += draw.amount

    def _loose(self, day: date, taken: Mapping[str, int], urgent: bool) -> None:
        for item, times in taken.items():
            self.loose[day, item] += times
            if urgent:
                self.loose_urgent[day, item] += times
            self._used(day, item, times)

    def _used(self, day: date, item: str, times: int) -> None:
        self.times[item] += times
        self.last_used[item] = max(day, self.last_used.get(item, day))

    def _check(self, picks: Iterable[Pick], draws: Iterable[Draw]) -> None:
        for pick in picks:
            if base_id(pick.tool) not in self.known.items:
                self.strange["tool", pick.tool] += pick.times
        for draw in draws:
            if draw.supply not in self.known.supplies:
                self.strange["supply", draw.supply] += 1

    def notes(self, today: date) -> tuple[str, ...]:
        """What was logged but could not be counted as meant, in sentences."""
        said = []
        if self.future:
            said.append(f"{self.future} logged after {today.isoformat()} and not counted yet.")
        for (kind, name), number in sorted(self.strange.items()):
            said.append(_STRANGE[kind].format(name=name, number=number))
        return tuple(said)


_STRANGE = {
    "job": 'Job "{name}" is not on the job list: what its {number} logged steps took up'
    " counts as taken up outside any job.",
    "supply": 'Supply "{name}" is not on the supply list: logged {number} times, not counted.',
    "tool": 'Tool "{name}" is not on the tool list: taken up {number} times, not counted.',
}
