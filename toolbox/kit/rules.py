"""Rules of the mechanic's own that a layout must keep."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Ask(Enum):
    """What a rule asks for."""

    PINNED = "pinned"  # these things lie in this one compartment
    ONLY = "only"  # these things lie in one of these compartments
    TOGETHER = "together"  # these things share one compartment
    APART = "apart"  # no two of these things share a compartment
    WITHIN = "within"  # each of these is in the hand within so many seconds


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. ``items`` are tool or supply ids; every copy of a tool keeps it,
    except that WITHIN is kept when the first copy keeps it.

    ``compartments`` goes with PINNED (exactly one) and ONLY (one or more),
    ``milliseconds`` with WITHIN. ``name`` is how messages call the rule.
    """

    name: str
    ask: Ask
    items: tuple[str, ...]
    compartments: tuple[str, ...] = ()
    milliseconds: int | None = None
