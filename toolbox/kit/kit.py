"""The kit: everything the mechanic has described, as one frozen value."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from typing import Protocol, TypeVar

from toolbox.kit.box import Box, Compartment, Opening
from toolbox.kit.customs import CustomsChoices
from toolbox.kit.layouts import Layout
from toolbox.kit.rules import Rule
from toolbox.kit.things import Supply, Tool
from toolbox.kit.work import Job


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


_Thing = TypeVar("_Thing", bound=_HasId)


class Hand(Enum):
    """The hand that reaches into the box."""

    RIGHT = "right"
    LEFT = "left"


@dataclass(frozen=True, slots=True)
class Settings:
    """Choices that steer the engines; every one has a default that can be written over.

    ``clearance`` is left between things that lie beside each other (tenths of a
    millimetre); ``loose_fill`` is the share of a bin's volume that can be filled;
    ``half_life_days`` makes recent days weigh more (None: all days alike);
    ``urgent_weight`` says how many ordinary seconds one urgent second is worth;
    ``easy_share`` is the share of all uses that the easily reached tools should cover.
    The hand starts ``stand_off`` before the box's front, ``hand_beside`` to its own side of
    the middle, ``hand_height`` above the floor; below ``bend_below`` the mechanic has to
    bend (tenths of a millimetre). Supplies are to suffice for ``restock_days``, the days from
    one restock to the next, with the chance ``service``.
    """

    clearance: int = 40
    loose_fill: Fraction = Fraction(55, 100)
    half_life_days: int | None = 30
    urgent_weight: Fraction = Fraction(5)
    easy_share: Fraction = Fraction(80, 100)
    stand_off: int = 3000
    hand_height: int = 10000
    bend_below: int = 7000
    hand: Hand = Hand.RIGHT
    hand_beside: int = 0
    service: Fraction = Fraction(95, 100)
    restock_days: int = 7


@dataclass(frozen=True, slots=True)
class Readings:
    """Stopwatch readings of one motion: an opening, or a pick from a compartment.

    ``of`` is the id of the opening or compartment; times in milliseconds.
    """

    of: str
    milliseconds: tuple[int, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Kit:
    """All of a kit folder but its journal."""

    name: str
    box: Box
    tools: tuple[Tool, ...] = ()
    supplies: tuple[Supply, ...] = ()
    jobs: tuple[Job, ...] = ()
    rules: tuple[Rule, ...] = ()
    readings: tuple[Readings, ...] = ()
    settings: Settings = field(default_factory=Settings)
    present: Layout | None = None
    customs: CustomsChoices = field(default_factory=CustomsChoices)

    def tool(self, tool_id: str) -> Tool:
        """The tool of that id; KeyError when there is none."""
        return _by_id(self.tools, tool_id)

    def supply(self, supply_id: str) -> Supply:
        """The supply of that id; KeyError when there is none."""
        return _by_id(self.supplies, supply_id)

    def job(self, job_id: str) -> Job:
        """The job of that id; KeyError when there is none."""
        return _by_id(self.jobs, job_id)

    def compartment(self, compartment_id: str) -> Compartment:
        """The compartment of that id; KeyError when there is none."""
        return _by_id(self.box.compartments, compartment_id)

    def opening(self, opening_id: str) -> Opening:
        """The opening of that id; KeyError when there is none."""
        return _by_id(self.box.openings, opening_id)

    def carried(self) -> dict[str, Tool | Supply]:
        """Every copy that needs a place in the box, by the name layouts give it.

        Carried tools by copies, then carried supplies, in the kit's order.
        """
        found: dict[str, Tool | Supply] = {
            copy: tool for tool in self.tools if tool.carried for copy in tool.copies()
        }
        found.update({s.id: s for s in self.supplies if s.carried})
        return found


def _by_id(things: Iterable[_Thing], wanted: str) -> _Thing:
    for thing in things:
        if thing.id == wanted:
            return thing
    raise KeyError(wanted)
