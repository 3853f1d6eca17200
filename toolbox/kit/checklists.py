"""Templates of checklists: lines to work through on an occasion, written by the mechanic."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Occasion(Enum):
    """When a list is worked through; the value is the word in files."""

    EVENING = "evening"
    RACE_MORNING = "race morning"
    BETWEEN = "between runs"
    ARRIVAL = "arrival"
    DEPARTURE = "departure"
    OWN = "own"


class Made(Enum):
    """Lines that the program makes, put in at a place of a list; the value is the word in files."""

    INSTRUMENTS = "instruments"
    FLIGHT = "flight"
    COUNT = "count"
    RESTOCK = "restock"


@dataclass(frozen=True, slots=True)
class ListLine:
    """One line as it is written: words, or ``made`` for lines that the program makes there.

    ``key`` tells it from the others. ``torque_mnm`` (milli-newton-metres) and ``tool``, an id,
    stand beside a bolt; a line ``bike`` is there once for each bike.
    """

    key: str
    words: str = ""
    why: str = ""
    source: str = ""
    torque_mnm: int | None = None
    tool: str = ""
    bike: bool = False
    made: Made | None = None


@dataclass(frozen=True, slots=True)
class ListTemplate:
    """A list by the name of its file; ``bikes`` are those it is worked through for."""

    name: str
    title: str
    when: Occasion
    lines: tuple[ListLine, ...]
    discipline: str = ""
    bikes: tuple[str, ...] = ()
