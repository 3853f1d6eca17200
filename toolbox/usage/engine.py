"""How often each job comes and each tool is wanted in a working day, and how sure that is.

Every job is believed to come at a constant rate: a gamma belief from what the
mechanic said, updated by the visits logged (gamma-Poisson). Picks in a visit are a
mean between the usual steps and what was logged. Trips outside any job are learned
for each tool alone. The interval of a tool takes its picks in a visit as known and
gives the sum of its rates the gamma distribution of the same mean and variance.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from toolbox.kit.facts import Fact
from toolbox.kit.kit import Settings
from toolbox.kit.things import Mark, Supply, Tool
from toolbox.kit.work import Job
from toolbox.usage.counts import Counts, Known, Tally, count_up, known_ids, taken_up
from toolbox.usage.gamma import Gamma, matching

PRIOR_DAYS = 2.0
"""A rate the mechanic stated weighs as much as so many logged working days."""

WEAK = Gamma(0.1, 1.0)
"""Belief about a job or a loose trip of which nothing was said: once in ten days, unsure."""

SHRINK_VISITS = 2.0
"""Usual steps, and the word "urgent", weigh as much as so many logged visits."""

URGENT_BEFORE = 0.5
"""Share of urgent uses expected of what is marked urgent, before anything is logged."""

GRADE_B_SHARE = 0.95
"""Grade B reaches up to this share of all uses (ABC classes; common practice, no source)."""


@dataclass(frozen=True, slots=True)
class PicksPerVisit:
    """How often one visit for a job takes up an item, on average."""

    item: str
    mean: float


@dataclass(frozen=True, slots=True)
class AmountPerVisit:
    """How much of a supply one visit for a job uses up, in the supply's own measure."""

    supply: str
    mean: float


@dataclass(frozen=True, slots=True)
class JobRate:
    """How often a job comes in a working day.

    ``belief`` is the whole belief about the rate, ``low`` and ``high`` its 90 %
    limits; ``visits`` were logged, unweighted; ``picks`` and ``amounts`` most first.
    """

    job: str
    belief: Gamma
    low: float
    high: float
    visits: int
    urgent_share: float
    picks: tuple[PicksPerVisit, ...]
    amounts: tuple[AmountPerVisit, ...]

    @property
    def per_day(self) -> float:
        """Expected visits in a working day."""
        return self.belief.mean()


@dataclass(frozen=True, slots=True)
class ToolUse:
    """How often a tool (all its copies) or a carried supply is taken up in a working day.

    ``low`` and ``high`` are 90 % limits of ``per_day``; ``loose`` is the belief about
    trips outside any job, with the urgent share of those; ``urgent_share`` is that
    of all uses. ``times`` were logged, unweighted. ``cumulative`` is the share of all
    uses that this item and those ranked before it have; ``grade`` A, B or C.
    """

    item: str
    per_day: float
    low: float
    high: float
    loose: Gamma
    loose_urgent_share: float
    urgent_share: float
    last_used: date | None
    times: int
    cumulative: float = 0.0
    grade: str = "C"

    @property
    def loose_per_day(self) -> float:
        """Expected trips outside any job in a working day."""
        return self.loose.mean()


@dataclass(frozen=True, slots=True)
class Usage:
    """What the journal and the job list say about a working day.

    ``days`` counts days with logged work and ``exposure`` is the sum of their weights;
    ``jobs`` stand in the job list's order, ``tools`` most used first; ``notes`` are
    sentences about facts that could not be counted as meant.
    """

    days: int
    exposure: float
    first_day: date | None
    last_day: date | None
    jobs: tuple[JobRate, ...]
    tools: tuple[ToolUse, ...]
    notes: tuple[str, ...]


def estimate(
    jobs: tuple[Job, ...],
    tools: tuple[Tool, ...],
    supplies: tuple[Supply, ...],
    facts: tuple[Fact, ...],
    today: date,
    settings: Settings,
) -> Usage:
    """How often each job comes and each item is taken up, as seen on ``today``.

    ``facts`` are those that count (nothing undone), in any order. Facts of later days
    are left out, and a note says so.
    """
    tally = Tally(known_ids(jobs, tools, supplies)).changed(facts)
    return estimate_tallied(jobs, tools, supplies, tally, today, settings)


def estimate_tallied(
    jobs: tuple[Job, ...],
    tools: tuple[Tool, ...],
    supplies: tuple[Supply, ...],
    tally: Tally,
    today: date,
    settings: Settings,
) -> Usage:
    """The same from a tally of the facts that count, made for these jobs, tools and supplies."""
    known = tally.known
    counts = count_up(tally, today, settings.half_life_days)
    rates = tuple(_job_rate(job, counts, known) for job in jobs)
    parts = _parts(rates)
    marks = {tool.id: tool.marks for tool in tools}
    marks.update({supply.id: supply.marks for supply in supplies if supply.carried})
    uses = [_use(item, Mark.URGENT in marks[item], counts, parts.get(item, ())) for item in marks]
    return Usage(
        days=len(counts.days),
        exposure=counts.exposure,
        first_day=counts.days[0] if counts.days else None,
        last_day=counts.days[-1] if counts.days else None,
        jobs=rates,
        tools=_graded(uses, float(settings.easy_share)),
        notes=counts.notes,
    )


def job_belief(job: Job) -> Gamma:
    """What is believed of a job's rate before anything is logged.

    A stated rate is the mean and weighs PRIOR_DAYS days. Where none is stated, or
    zero, the belief is weak, so that the first visits logged decide.
    """
    if not job.per_day:
        return WEAK
    return Gamma(float(job.per_day) * PRIOR_DAYS, PRIOR_DAYS)


def _job_rate(job: Job, counts: Counts, known: Known) -> JobRate:
    visits = counts.visits_weighted.get(job.id, 0.0)
    belief = job_belief(job).updated(visits, counts.exposure)
    low, high = belief.interval()
    usual_picks: Counter[str] = Counter()
    usual_amounts: Counter[str] = Counter()
    for step in job.steps:
        usual_picks.update(taken_up(step.picks, step.draws, known))
        for draw in step.draws:
            usual_amounts[draw.supply] += draw.amount
    picks = _per_visit(job.id, usual_picks, counts.picks, visits)
    amounts = _per_visit(job.id, usual_amounts, counts.amounts, visits)
    return JobRate(
        job=job.id,
        belief=belief,
        low=low,
        high=high,
        visits=counts.visits.get(job.id, 0),
        urgent_share=_share(job.urgent, counts.visits_urgent.get(job.id, 0.0), visits),
        picks=tuple(PicksPerVisit(item, mean) for item, mean in picks),
        amounts=tuple(AmountPerVisit(supply, mean) for supply, mean in amounts),
    )


def _per_visit(
    job: str, usual: Counter[str], logged: Mapping[tuple[str, str], float], visits: float
) -> list[tuple[str, float]]:
    """Means in a visit: the usual number stands for SHRINK_VISITS visits more."""
    names = set(usual) | {name for where, name in logged if where == job}
    means = {
        name: (SHRINK_VISITS * usual[name] + logged.get((job, name), 0.0))
        / (SHRINK_VISITS + visits)
        for name in names
    }
    return sorted(means.items(), key=lambda pair: (-pair[1], pair[0]))


def _share(marked: bool, urgent: float, all_uses: float) -> float:
    before = URGENT_BEFORE if marked else 0.0
    return (SHRINK_VISITS * before + urgent) / (SHRINK_VISITS + all_uses)


def _parts(rates: tuple[JobRate, ...]) -> dict[str, list[tuple[JobRate, float]]]:
    """Item -> the jobs that take it up, each with its picks in a visit."""
    parts: dict[str, list[tuple[JobRate, float]]] = {}
    for rate in rates:
        for pick in rate.picks:
            parts.setdefault(pick.item, []).append((rate, pick.mean))
    return parts


def _use(
    item: str,
    marked_urgent: bool,
    counts: Counts,
    parts: list[tuple[JobRate, float]] | tuple[()],
) -> ToolUse:
    loose = WEAK.updated(counts.loose.get(item, 0.0), counts.exposure)
    loose_share = _share(
        marked_urgent, counts.loose_urgent.get(item, 0.0), counts.loose.get(item, 0.0)
    )
    shares = [(rate.per_day * mean, rate.urgent_share) for rate, mean in parts]
    shares.append((loose.mean(), loose_share))
    per_day = math.fsum(uses for uses, _ in shares)
    variance = math.fsum(
        [loose.variance(), *(mean**2 * rate.belief.variance() for rate, mean in parts)]
    )
    low, high = matching(per_day, variance).interval()
    return ToolUse(
        item=item,
        per_day=per_day,
        low=low,
        high=high,
        loose=loose,
        loose_urgent_share=loose_share,
        urgent_share=math.fsum(uses * urgent for uses, urgent in shares) / per_day,
        last_used=counts.last_used.get(item),
        times=counts.times.get(item, 0),
    )


def _graded(uses: list[ToolUse], easy_share: float) -> tuple[ToolUse, ...]:
    """Most used first, with shares added up and grades.

    The item with which a share is reached still belongs to the grade, so that
    grade A covers at least the share asked for.
    """
    ranked = sorted(uses, key=lambda use: (-use.per_day, use.item))
    total = math.fsum(use.per_day for use in ranked)
    graded: list[ToolUse] = []
    before, exact = 0.0, Fraction(0)  # the sum is rounded once for each, as fsum would
    for n, use in enumerate(ranked, 1):
        # A hair's breadth below, lest rounding lets one more item in at a share met exactly.
        grade = "A" if before < easy_share - 1e-9 else "B" if before < GRADE_B_SHARE - 1e-9 else "C"
        exact += Fraction(use.per_day)
        share = 1.0 if n == len(ranked) else float(exact) / total
        graded.append(replace(use, cumulative=share, grade=grade))
        before = share
    return tuple(graded)
