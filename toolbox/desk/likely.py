"""What will likely be logged next: jobs, bikes, tools and supplies, those of late first.

The log is gone through from its newest entry backwards. The newest visit, loose pick or
use of a supply weighs 1, and every ``HALF_ACTS`` of them further back weigh half: no
clock is needed, and a week at home forgets nothing. What never came up follows in the
order of the ranking, or of the list where there is none.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import NamedTuple

from toolbox.desk.names import Named, match
from toolbox.kit.codes import parted
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed
from toolbox.kit.kit import Kit
from toolbox.kit.things import base_id
from toolbox.usage.engine import Usage

LOOKED_AT = 2000
"""So many of the newest facts are looked at; older ones would weigh nothing."""

HALF_ACTS = 32
"""After so many acts a visit or a pick weighs half.

Chosen on the demo's week, replayed visit by visit: the job that came next was among the
first six in 33 % of visits with 4, 40 % with 8, 44 % with 16, 47 % with 32, 46 % with 64.
"""

OFFERED = 9
"""How many choices have a digit."""

BIKES_OFFERED = 3
"""How many of those are bikes."""


class Sort(Enum):
    """What a choice is; the value is the word for it."""

    JOB = "job"
    TOOL = "tool"
    SUPPLY = "supply"
    BIKE = "bike"


class Choice(NamedTuple):
    """Something that can be meant: what it is, its id and its name."""

    sort: Sort
    id: str
    name: str

    @property
    def key(self) -> str:
        """What tells it from every other choice, of other sorts too."""
        return f"{self.sort.value} {self.id}"


@dataclass(frozen=True, slots=True)
class Likely:
    """Choices of each sort, likeliest first; ``everything`` has all of them in one row.

    ``beside`` says how much (job, tool or supply) weighs that a step of the job took in
    addition to what it usually takes.
    """

    jobs: tuple[Choice, ...] = ()
    bikes: tuple[Choice, ...] = ()
    things: tuple[Choice, ...] = ()
    everything: tuple[Choice, ...] = ()
    beside: Mapping[tuple[str, str], float] | None = None

    def first(self, bike: str) -> tuple[Choice, ...]:
        """The choices that have a digit: jobs, then bikes other than the present one."""
        others = [choice for choice in self.bikes if choice.id != bike][:BIKES_OFFERED]
        return (*self.jobs[: OFFERED - len(others)], *others)

    def to_add(self, job: str) -> tuple[Choice, ...]:
        """Tools and supplies, those first that steps of this job took beside the usual ones."""
        beside = self.beside or {}
        return tuple(sorted(self.things, key=lambda thing: -beside.get((job, thing.id), 0.0)))


def likely_now(kit: Kit, usage: Usage, facts: Sequence[Fact]) -> Likely:
    """What of this kit is likely to be logged next.

    ``facts`` are those that count, in the order of writing; only the newest are looked at.
    """
    weights, beside = _weights(kit, facts)
    rate = {job.job: job.per_day for job in usage.jobs}
    rank = {use.item: number for number, use in enumerate(usage.tools)}
    jobs = [Choice(Sort.JOB, job.id, job.name) for job in kit.jobs]
    jobs.sort(key=lambda job: (-weights[job[:2]], -rate.get(job.id, 0.0)))
    things = [Choice(Sort.TOOL, tool.id, tool.name) for tool in kit.tools]
    things.sort(key=lambda tool: rank.get(tool.id, len(rank)))
    things += [Choice(Sort.SUPPLY, supply.id, supply.name) for supply in kit.supplies]
    bikes = [Choice(sort, name, name) for sort, name in weights if sort is Sort.BIKE]

    def lately(choice: Choice) -> float:
        return -weights[choice[:2]]

    return Likely(
        jobs=tuple(jobs),
        bikes=tuple(sorted(bikes, key=lately)),
        things=tuple(sorted(things, key=lately)),
        everything=tuple(sorted([*jobs, *things, *bikes], key=lately)),
        beside=beside,
    )


def found(choices: Sequence[Choice], letters: str) -> tuple[Choice, ...]:
    """Which of the choices the letters can mean, in the order given; see ``names.match``.

    An id or whole name that is typed exactly is meant alone, as when a code was scanned; the
    code of a copy means its tool.
    """
    base, number = parted(letters)
    if number:
        things = [c for c in choices if c.sort in (Sort.TOOL, Sort.SUPPLY)]
        if any(c.id.upper() == base.upper() for c in things):
            choices, letters = things, base
    by_name: dict[Named, list[Choice]] = {}
    for choice in choices:
        by_name.setdefault(Named(choice.id, choice.name), []).append(choice)
    return tuple(choice for named in match(letters, by_name).found for choice in by_name[named])


_Weights = defaultdict[tuple[Sort, str], float]


def _weights(kit: Kit, facts: Sequence[Fact]) -> tuple[_Weights, dict[tuple[str, str], float]]:
    usual = {
        (job.id, step.number): {base_id(pick.tool) for pick in step.picks}
        | {draw.supply for draw in step.draws}
        for job in kit.jobs
        for step in job.steps
    }
    weights: _Weights = defaultdict(float)
    beside: defaultdict[tuple[str, str], float] = defaultdict(float)
    for weight, new, what in _acts(facts):
        if new:
            if what.bike:
                weights[Sort.BIKE, what.bike] += weight
            weights[_meant(what)] += weight
        if isinstance(what, StepDone):
            for item in _taken(what) - usual.get((what.job, what.step), set()):
                beside[what.job, item] += weight
    return weights, dict(beside)


def _acts(facts: Sequence[Fact]) -> Iterator[tuple[float, bool, StepDone | LoosePick | SupplyUsed]]:
    """What happened, newest first, with its weight; all steps of a visit are one act.

    The second value says whether the fact is the first seen of its act.
    """
    visits: dict[str, int] = {}
    acts = 0
    for fact in reversed(facts[-LOOKED_AT:]):
        what = fact.what
        if isinstance(what, StepDone):
            new = what.visit not in visits
            number = visits.setdefault(what.visit, acts)
            acts += new
            yield 0.5 ** (number / HALF_ACTS), new, what
        elif isinstance(what, LoosePick | SupplyUsed):
            yield 0.5 ** (acts / HALF_ACTS), True, what
            acts += 1


def _meant(what: StepDone | LoosePick | SupplyUsed) -> tuple[Sort, str]:
    if isinstance(what, StepDone):
        return Sort.JOB, what.job
    if isinstance(what, LoosePick):
        return Sort.TOOL, base_id(what.tool)
    return Sort.SUPPLY, what.supply


def _taken(step: StepDone) -> set[str]:
    return {base_id(pick.tool) for pick in step.picks} | {draw.supply for draw in step.draws}


def bike_at_hand(facts: Sequence[Fact], today: date) -> str:
    """The bike of the newest entry if that is of today, else "": nobody has said."""
    for fact in reversed(facts[-LOOKED_AT:]):
        if isinstance(fact.what, StepDone | LoosePick | SupplyUsed):
            return fact.what.bike if fact.at.date() == today else ""
    return ""
