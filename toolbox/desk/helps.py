"""What would help: what one more compartment, or a slightly larger one, would save a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.plans import saved_layout, study
from toolbox.desk.present import check_layout
from toolbox.layout.problem import cost_of
from toolbox.layout.worth import gain_of, settle_down, with_copy, with_size

STEP = 100
"""How much longer or deeper a compartment is made: 10 mm, in tenths of a millimetre."""


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
class Helps:
    """What would help a plan of this cost (microseconds a day).

    ``anyway`` is what the same small search saves without any change; it is not
    counted in ``found``, which stands best first, changes that save nothing last.
    """

    cost: int
    anyway: int
    found: tuple[Help, ...]


def what_helps(folder: KitFolder, today: date) -> Helps:
    """Try each compartment doubled, made longer, made deeper, from the saved plan on.

    DeskError when the plan has no place for something or no longer holds.
    """
    layout = saved_layout(folder)
    question = study(folder, today).question
    homes = question.homes(layout.places())
    if -1 in homes or check_layout(question, layout):
        raise DeskError('the saved plan no longer fits the kit; make a new one with "toolbox plan"')
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
    return Helps(cost_of(problem, homes), base.saved, tuple(found))
