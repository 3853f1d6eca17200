"""How long reaching takes, and where each figure comes from."""

from __future__ import annotations

from dataclasses import dataclass

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import name_of_copy
from toolbox.desk.plans import reach_of
from toolbox.kit.kit import Kit
from toolbox.reach.engine import Timed


@dataclass(frozen=True, slots=True)
class Passed:
    """An opening with the time to open and close it again."""

    opening: str
    name: str
    timed: Timed


@dataclass(frozen=True, slots=True)
class Fetched:
    """A compartment with the time of one fetch and return, and to the hand from a shut box."""

    compartment: str
    name: str
    timed: Timed
    in_hand_ms: int


@dataclass(frozen=True, slots=True)
class Reaching:
    """All openings, and all compartments for one thing."""

    thing: str
    openings: tuple[Passed, ...]
    compartments: tuple[Fetched, ...]


def reaching(kit: Kit, tool: str | None) -> Reaching:
    """Times for a carried tool (id), or for the first one carried when none is named.

    DeskError when it does not travel, or nothing does.
    """
    carried = kit.carried()
    if not carried:
        raise DeskError("nothing travels in the box yet, so there is nothing to reach for")
    item = tool or next(iter(carried))
    if item not in carried:
        raise DeskError(f"{name_of_copy(kit, item)} does not travel in the box")
    times = reach_of(kit)
    return Reaching(
        name_of_copy(kit, item),
        tuple(Passed(o.id, o.name, times.opening(o.id)) for o in kit.box.openings),
        tuple(
            Fetched(c.id, c.name, times.pick(item, c.id), times.in_hand(item, c.id))
            for c in kit.box.compartments
        ),
    )
