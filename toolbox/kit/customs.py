"""Lists of goods for customs, as values: how one is made, and one that was issued.

Masses in whole grams, money in hundredths of its currency.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import NamedTuple


class SetsAs(Enum):
    """How a set of several parts stands on the list, the strictest first."""

    PARTS = "parts"  # a line for each kind of part, with mass and value of its own
    COUNTED = "counted"  # one line, all its parts named, and counted as pieces
    ONE = "one"  # one line and one piece, all its parts named


class MassUnit(Enum):
    """The one unit of mass of a whole list."""

    KILOGRAMS = "kg"
    GRAMS = "g"


class CustomsChoices(NamedTuple):
    """The country and the currency a list is issued in, "" for not said; its unit; its sets."""

    country: str = ""
    currency: str = ""
    unit: MassUnit = MassUnit.KILOGRAMS
    sets: SetsAs = SetsAs.PARTS


@dataclass(frozen=True, slots=True)
class CustomsLine:
    """One item of a general list.

    ``number`` is its running number and ``pieces`` how many it counts. ``thing`` is the copy
    or bag, ``part`` the part of a set, "" for the whole. ``words`` are its trade description
    with marks and numbers; ``serial`` stands in them too, "" for none. ``grams`` and
    ``hundredths`` (of the list's currency) are those of all pieces, None where not known.
    """

    number: int
    thing: str
    part: str
    words: str
    pieces: int
    grams: int | None
    hundredths: int | None
    origin: str
    serial: str = ""


@dataclass(frozen=True, slots=True)
class IssuedList:
    """A list as it was issued: its trip, which issue of it, the day, the bags, the choices.

    ``left_out`` says in words what stayed off it, ``kept_off`` names the copies of it that did
    so by choice.
    """

    trip: str
    issue: int
    day: date
    bags: tuple[str, ...]
    choices: CustomsChoices
    lines: tuple[CustomsLine, ...]
    left_out: tuple[str, ...] = ()
    kept_off: tuple[str, ...] = ()
