"""What would help: one more compartment, a slightly larger one, a second copy of a tool."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import Enum

from toolbox.desk.folder import KitFolder
from toolbox.desk.plans import Study, reach_of, study_plan
from toolbox.desk.question import layout_question, uses_of
from toolbox.kit.things import Tool
from toolbox.layout.problem import cost_of
from toolbox.layout.worth import (
    gain_of,
    second_copy,
    settle_down,
    use_cost,
    with_copy,
    with_size,
)

STEP = 100
"""How much longer or deeper a compartment is made: 10 mm, in tenths of a millimetre."""

TWINS = 10
"""So many tools, those that cost most to reach, are tried with a second copy."""


class Change(Enum):
    """A change of the box that may be worth its trouble."""

    SECOND = "one more like it"
    LONGER = "10 mm longer"
    DEEPER = "10 mm deeper"


@dataclass(frozen=True, slots=True)
class Help:
    """A change of one compartment and what it saves a day at least (microseconds)."""

    change: Change
    compartment: str
    name: str
    saved: int


@dataclass(frozen=True, slots=True)
class Twin:
    """A second copy of a tool: where it and the first lie, what it saves a day at least.

    ``compartment`` is None where no place for it was found that saves anything.
    ``grams`` is what it adds to the box.
    """

    tool: str
    name: str
    compartment: str | None
    first: str
    saved: int
    grams: int


@dataclass(frozen=True, slots=True)
class Helps:
    """What would help a plan of this cost (microseconds a day).

    ``anyway`` is what the same small search saves without any change; it is not
    counted in ``found`` and ``twins``, which stand best first, what saves nothing last.
    """

    cost: int
    anyway: int
    found: tuple[Help, ...]
    twins: tuple[Twin, ...]


def what_helps(folder: KitFolder, today: date) -> Helps:
    """Try each compartment doubled, made longer, made deeper, from the saved plan on.

    And a second copy of the tools that cost most, among those carried once for jobs.
    DeskError when the plan has no place for something or no longer holds.
    """
    at, _, homes = study_plan(folder, today)
    question = at.question
    problem = question.problem
    base = settle_down(problem, homes)
    found = []
    for p, (compartment, place) in enumerate(
        zip(question.compartments, problem.places, strict=True)
    ):
        for change, changed, touched in (
            (Change.SECOND, with_copy(problem, p), len(problem.places)),
            (Change.LONGER, with_size(problem, p, longer=STEP), p),
            (Change.DEEPER, with_size(problem, p, deeper=STEP), p),
        ):
            saved = gain_of(changed, base.homes, [touched]).saved
            found.append(Help(change, compartment, place.name, saved))
    found.sort(key=lambda h: -h.saved)
    return Helps(cost_of(problem, homes), base.saved, tuple(found), _twins(at, base.homes))


def _twins(at: Study, homes: Sequence[int]) -> tuple[Twin, ...]:
    """Second copies of the dearest tools, best first."""
    question = at.question
    wanted = {pick.item for job in at.usage.jobs for pick in job.picks}
    dear = []
    for tool in at.kit.tools:
        if tool.carried and tool.count == 1 and tool.id in wanted:
            uses = uses_of(at.kit, at.usage, at.times, question, tool.id)
            item = question.copies.index(tool.id)
            dear.append((-use_cost(question.problem, homes, item, uses), item, tool))
    dear.sort(key=lambda one: one[:2])
    return tuple(sorted((_twin(at, homes, t) for _, _, t in dear[:TWINS]), key=lambda t: -t.saved))


def _twin(at: Study, homes: Sequence[int], tool: Tool) -> Twin:
    """The kit with two of a tool, so that every rule holds for the second as well."""
    twice = replace(tool, count=2)
    kit = replace(at.kit, tools=tuple(twice if t is tool else t for t in at.kit.tools))
    question = layout_question(kit, at.usage, reach_of(kit))
    new = next(n for n, c in enumerate(question.copies) if c not in at.question.copies)
    item = question.copies.index(tool.id)
    uses = uses_of(at.kit, at.usage, at.times, question, tool.id)
    start = (*homes[:new], -1, *homes[new:])
    gain = second_copy(question.problem, start, item, new, uses)
    place = gain.homes[new]
    return Twin(
        tool=tool.id,
        name=tool.name,
        compartment=question.compartments[place] if place >= 0 else None,
        first=question.compartments[gain.homes[item]],
        saved=gain.saved,
        grams=tool.mass.grams,
    )
