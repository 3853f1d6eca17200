"""Entries of the journal in words: what was done, what in it was unusual, its note."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from toolbox.desk.evening_words import said_words
from toolbox.desk.figures import count
from toolbox.kit.facts import LineSaid, LineState, LoosePick, StepDone, SupplyUsed, Undone, What
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import write
from toolbox.kit.things import KIND_OF, base_id
from toolbox.kit.work import Draw


def bike_of(facts: Sequence[What]) -> str:
    """The bike that was worked on, "" for none."""
    done = (f for f in facts if isinstance(f, StepDone | LoosePick | SupplyUsed))
    return next((fact.bike for fact in done if fact.bike), "")


def entry_words(
    kit: Kit, names: Mapping[str, str], facts: Sequence[What], *, bike: bool = True
) -> str:
    """One entry's facts in words; ``names`` by id. Without its bike where that stands beside it.

    What a step took more or less than the kit says today is named, and the note.
    """
    steps = [f for f in facts if isinstance(f, StepDone)]
    said = []
    if steps:
        said.append(_steps_said(kit, names, steps, bike))
    said += _lists_said([f for f in facts if isinstance(f, LineSaid)])
    for fact in facts:
        if isinstance(fact, LoosePick):
            said.append("picked " + names.get(fact.tool, fact.tool))
        elif isinstance(fact, SupplyUsed):
            said.append(f"used {_amount(kit, Draw(fact.supply, fact.amount))}")
        elif isinstance(fact, Undone):
            said.append(f"took back entry {fact.entry[:8]}")
        elif not isinstance(fact, StepDone | LineSaid):
            said.append(said_words(kit, names, fact))
    loose = next((f for f in facts if isinstance(f, LoosePick | SupplyUsed)), None)
    if loose is not None:
        urgent = isinstance(loose, LoosePick) and loose.urgent
        said[-1] += _in_brackets(_marks(loose.bike if bike else "", loose.note, urgent=urgent))
    return ", ".join(said)


def _in_brackets(marks: Sequence[str]) -> str:
    return f" ({', '.join(marks)})" if marks else ""


def _marks(bike: str, note: str, *, urgent: bool, changed: Sequence[str] = ()) -> list[str]:
    """What is said of an act beside what it was."""
    marks = ["urgent"] if urgent else []
    marks += [f"bike {bike}"] if bike else []
    return [*marks, *changed, *([f'note "{note}"'] if note else [])]


def _steps_said(kit: Kit, names: Mapping[str, str], steps: Sequence[StepDone], bike: bool) -> str:
    first = steps[0]
    visits = len({step.visit for step in steps})
    said = names.get(first.job, first.job) + (f" {visits} times" if visits > 1 else "")
    job = next((job for job in kit.jobs if job.id == first.job), None)
    marks = _marks(
        first.bike if bike else "",
        first.note,
        urgent=first.urgent,
        changed=_unusual(kit, names, steps),
    )
    if len(steps) == 1 and job is not None:
        said += f", step {first.step}" if len(job.steps) > 1 else ""
    else:
        marks.insert(0, count(len(steps) // visits, "step"))
    return said + _in_brackets(marks)


def _unusual(kit: Kit, names: Mapping[str, str], steps: Sequence[StepDone]) -> list[str]:
    """What was left and what was taken as well, each once; a step that is gone says nothing."""
    usual = {(job.id, step.number): step for job in kit.jobs for step in job.steps}
    fewer: dict[str, None] = {}
    more: dict[str, None] = {}
    for done in steps:
        step = usual.get((done.job, done.step))
        if step is None:
            continue
        had, took = ([base_id(p.tool) for p in s.picks] for s in (step, done))
        fewer |= {names.get(tool, tool): None for tool in had if tool not in took}
        more |= {names.get(tool, tool): None for tool in took if tool not in had}
        drawn = {draw.supply for draw in done.draws}
        fewer |= {names.get(d.supply, d.supply): None for d in step.draws if d.supply not in drawn}
        more |= {_amount(kit, draw): None for draw in done.draws if draw not in step.draws}
    return [
        f"{lead} {' and '.join(found)}"
        for lead, found in (("without", fewer), ("with", more))
        if found
    ]


def _lists_said(facts: Sequence[LineSaid]) -> list[str]:
    """What was said of checklists, each list once with its lines behind it."""
    lists: dict[str, list[str]] = {}
    for fact in facts:
        lists.setdefault(f"{fact.checklist} {fact.about}", []).append(_line_said(fact))
    return [f"{name}: {'; '.join(lines)}" for name, lines in lists.items()]


def _line_said(fact: LineSaid) -> str:
    """What was said of a checklist's line, by the words that it had then."""
    said = [fact.state.value] if fact.state is not None else []
    if fact.count and fact.state is not LineState.DONE:
        said.append(f"{fact.count} counted")
    if fact.note is not None:
        said.append(f'note "{fact.note}"' if fact.note else "note taken away")
    return f"{fact.words} - {', '.join(said)}"


def _amount(kit: Kit, draw: Draw) -> str:
    """An amount of a supply, with its unit as long as the supply is on the list."""
    supply = next((s for s in kit.supplies if s.id == draw.supply), None)
    if supply is None:
        return f"{draw.amount} of {draw.supply}"
    return f"{write(draw.amount, KIND_OF[supply.measure])} of {supply.name}"
