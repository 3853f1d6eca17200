"""How sure each placement of a layout is, as far as the logged work tells.

A thing belongs among the most wanted with some chance; the layout has it behind few
openings or behind many. What is hardly wanted may lie anywhere there is room; what is
surely wanted and lies deep has another reason to, or none.

Planning again with rates drawn from what is believed of them asks the layout itself: a
thing that every such plan puts within easy reach belongs there, room and rules included.
The small search of ``layout/worth`` does that from the plan on: on the demo's box it came
out as cheap as the quick search for a plan, and it moves only what makes the day cheaper.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from enum import Enum

from toolbox.desk.folder import KitFolder, name_of_copy
from toolbox.desk.plans import study_plan
from toolbox.desk.question import layout_question
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.layout.worth import settle_down
from toolbox.usage.drawn import drawn_usages
from toolbox.usage.settled import SURE, Settled, settle


class Verdict(Enum):
    """What the chance of being wanted says about a placement."""

    SURE = "sure"  # surely wanted and easily reached, or surely not wanted
    OPEN = "open"  # the log does not say yet whether it is wanted
    AGAINST = "against"  # surely wanted and not easily reached


@dataclass(frozen=True, slots=True)
class Placed:
    """A thing (its first copy) in a layout: ``chance`` that it is among the most wanted.

    ``again`` is in how many of the plans made again it lies easily reached, None where
    none were made.
    """

    item: str
    name: str
    compartment: str
    chance: float
    easy: bool
    again: int | None = None

    @property
    def verdict(self) -> Verdict:
        """Whether the place agrees with what is known of its use."""
        if 1.0 - SURE < self.chance < SURE:
            return Verdict.OPEN
        return Verdict.SURE if self.easy or self.chance < SURE else Verdict.AGAINST


@dataclass(frozen=True, slots=True)
class PlanCertainty:
    """All placements of a layout; ``wanted`` is how many things count as the most wanted.

    ``easy`` are the easily reached compartments in the box's order: those behind the
    fewest openings, as many layers as it takes to hold that many things in this layout.
    ``replans`` is how many plans were made again with drawn rates.
    """

    wanted: int
    easy: tuple[str, ...]
    placed: tuple[Placed, ...]
    replans: int = 0

    def of(self, item: str) -> Placed | None:
        """The placement of a thing, None when it has none."""
        return next((p for p in self.placed if p.item == item), None)


def plan_certainty(kit: Kit, layout: Layout, sure: Settled) -> PlanCertainty:
    """Set the chance of being among the most wanted beside the place, for each thing placed."""
    places = layout.places()
    easy = easy_compartments(kit, layout, sure.places)
    placed = tuple(
        Placed(item, name_of_copy(kit, item), places[item], chance, places[item] in easy)
        for item, chance in sure.chances
        if item in places
    )
    return PlanCertainty(sure.places, easy, placed)


def easy_compartments(kit: Kit, layout: Layout, wanted: int) -> tuple[str, ...]:
    """The compartments behind the fewest openings, layer by layer, until they hold enough."""
    homes = list(layout.places().values())
    found: list[str] = []
    for depth in sorted({len(c.openings) for c in kit.box.compartments}):
        if sum(homes.count(c) for c in found) >= wanted:
            break
        found += [c.id for c in kit.box.compartments if len(c.openings) == depth]
    order = [c.id for c in kit.box.compartments]
    return tuple(sorted(found, key=order.index))


def replanned(
    folder: KitFolder, today: date, replans: int, heard: Callable[[int], None]
) -> PlanCertainty:
    """The certainty of the saved plan, with so many plans made again from drawn rates.

    Each is a small search from the saved plan on; ``heard`` is told how many are done.
    The same kit and day give the same answer. DeskError when the plan no longer fits.
    """
    at, layout, homes = study_plan(folder, today)
    sure = plan_certainty(folder.kit, layout, settle(at.usage))
    counts: Counter[str] = Counter()
    for done, usage in enumerate(drawn_usages(at.usage, replans), start=1):
        question = layout_question(at.kit, usage, at.times)
        found = zip(question.copies, settle_down(question.problem, homes).homes, strict=True)
        counts.update(copy for copy, p in found if question.compartments[p] in sure.easy)
        heard(done)
    placed = tuple(replace(p, again=counts[p.item]) for p in sure.placed)
    return replace(sure, placed=placed, replans=replans)
