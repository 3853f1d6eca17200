"""Rules of the mechanic's own that a layout must keep."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Ask(Enum):
    """What a rule asks for."""

    PINNED = "pinned"  # these things lie in this one compartment
    ONLY = "only"  # these things lie in one of these compartments
    TOGETHER = "together"  # these things share one compartment
    APART = "apart"  # no two of these share a compartment, or none with any of the others
    WITHIN = "within"  # each of these is in the hand within so many seconds
    CLEAR = "clear"  # the others lie in these compartments, none of these in or above one


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. ``items`` are tool or supply ids; every copy of a tool keeps it,
    except that WITHIN is kept when the first copy keeps it.

    ``compartments`` goes with PINNED (exactly one), ONLY and CLEAR (one or more),
    ``milliseconds`` with WITHIN, ``others`` with CLEAR and, where two groups are to stay
    apart, with APART. ``name`` is how messages call the rule.
    """

    name: str
    ask: Ask
    items: tuple[str, ...]
    compartments: tuple[str, ...] = ()
    milliseconds: int | None = None
    others: tuple[str, ...] = ()

    def speaks_of(self, *things: str) -> bool:
        """Whether the rule names all of these tools or supplies, by their ids."""
        return {*self.items, *self.others}.issuperset(things)

    def parts(self, one: str, two: str) -> bool:
        """Whether an APART rule keeps two different things apart."""
        if not self.others:
            return one != two and {one, two} <= set(self.items)
        return (one in self.items and two in self.others) or (
            two in self.items and one in self.others
        )
