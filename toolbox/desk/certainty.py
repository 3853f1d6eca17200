"""How sure each placement of a layout is, as far as the logged work tells.

A thing belongs among the most wanted with some chance; the layout has it behind few
openings or behind many. What is hardly wanted may lie anywhere there is room; what is
surely wanted and lies deep has another reason to, or none.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from toolbox.desk.folder import name_of_copy
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.usage.settled import SURE, Settled


class Verdict(Enum):
    """What the chance of being wanted says about a placement."""

    SURE = "sure"  # surely wanted and easily reached, or surely not wanted
    OPEN = "open"  # the log does not say yet whether it is wanted
    AGAINST = "against"  # surely wanted and not easily reached


@dataclass(frozen=True, slots=True)
class Placed:
    """A thing (its first copy) in a layout: ``chance`` that it is among the most wanted."""

    item: str
    name: str
    compartment: str
    chance: float
    easy: bool

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
    """

    wanted: int
    easy: tuple[str, ...]
    placed: tuple[Placed, ...]

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
