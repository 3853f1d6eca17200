"""Fluids that must not meet: steps that draw another kind than their job asks for.

A warning, never a refusal: what was done is written down as it was done. Which fluid a brake
takes is printed on it; nothing here replaces that.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from toolbox.kit.facts import Fact, StepDone, What
from toolbox.kit.kit import Kit
from toolbox.kit.work import Draw, Job
from toolbox.stock.fluids import Bottle, wrong_fluids


def mixings_of_kit(kit: Kit) -> tuple[str, ...]:
    """What is wrong with the fluids that the kit's jobs usually draw, in words."""
    found = []
    for job in kit.jobs:
        for step in job.steps:
            place = f"{job.name}, step {step.number}"
            found += [f"{place}: {words}" for words in _wrong(kit, job, step.text, step.draws)]
    return tuple(found)


def mixings_of(kit: Kit, whats: Iterable[What]) -> tuple[str, ...]:
    """What is wrong with the fluids that were drawn, in words, each once."""
    jobs = {job.id: job for job in kit.jobs}
    found: dict[str, None] = {}
    for what in whats:
        job = jobs.get(what.job) if isinstance(what, StepDone) else None
        if job is not None and isinstance(what, StepDone):
            text = next((step.text for step in job.steps if step.number == what.step), "")
            place = f"{job.name}, step {what.step}" + (f", bike {what.bike}" if what.bike else "")
            wrong = _wrong(kit, job, text, what.draws)
            found |= {f"{place}: {words}": None for words in wrong}
    return tuple(found)


def mixings_logged(
    kit: Kit, facts: Iterable[Fact], first: date, last: date
) -> tuple[tuple[Fact, str], ...]:
    """Steps logged from the first to the last day that drew a fluid they must not, in words."""
    return tuple(
        (fact, words)
        for fact in facts
        if first <= fact.at.date() <= last
        for words in mixings_of(kit, [fact.what])
    )


def _wrong(kit: Kit, job: Job, text: str, draws: Sequence[Draw]) -> Iterator[str]:
    supplies = {supply.id: supply for supply in kit.supplies}
    drawn = (supplies[draw.supply] for draw in draws if draw.supply in supplies)
    bottles = [Bottle(supply.id, supply.name, supply.fluid) for supply in drawn]
    return (wrong.words for wrong in wrong_fluids((job.name, text), bottles, job.fluid))
