"""Counting in: what was there in the evening, and what became of what was not."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import NamedTuple


class Outcome(Enum):
    """What became of a thing that was short; the value is the word shown."""

    FOUND = "found"
    LENT = "lent"
    LEFT = "left at"
    BROKEN = "broken"
    LOST = "lost"


class Short(NamedTuple):
    """What a count did not find: a copy (``part`` is ""), or so many of one part of a set.

    ``missing`` is all that is not there, also what is known to be lent, left, broken or lost.
    """

    copy: str
    part: str = ""
    missing: int = 1


@dataclass(frozen=True, slots=True)
class Counted:
    """A compartment looked through in the count of an evening; all else in it was there.

    ``day`` is the evening it belongs to. Of several counts of a compartment on one day the
    last one holds, and each stays on record.
    """

    day: date
    place: str
    short: tuple[Short, ...] = ()


@dataclass(frozen=True, slots=True)
class Settled:
    """What somebody found out about things that were short.

    ``where`` is to whom they are lent, or where they were left or found; ``until`` the day
    something lent is to be back.
    """

    copy: str
    outcome: Outcome
    part: str = ""
    number: int = 1
    where: str = ""
    until: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class BikeReleased:
    """A decision that a bike may go out though ``copies`` might be in or on it, and why."""

    bike: str
    copies: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class DayClosed:
    """The evening's count was closed: as complete, or else with things open, and why."""

    day: date
    complete: bool
    reason: str = ""


SaidOfCount = Counted | Settled | BikeReleased | DayClosed
