"""Rules for dangerous goods and cabin tools, as values: what a dated rule file says.

Energies in milliwatt-hours, contents in millilitres, flash points in degrees Celsius,
lithium metal in milligrams, lengths in tenths of a millimetre. A band runs above ``over``
up to and with ``most``; None where it is open.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import NamedTuple

from toolbox.kit.trips import Carriage


class Say(Enum):
    """What a rule says about one place, in the order of strictness."""

    YES = "yes"
    SHEET = "sheet"
    ASK = "ask"
    NO = "no"

    @property
    def strictness(self) -> int:
        """0 for yes, more the stricter."""
        return list(Say).index(self)


class Holds(Enum):
    """Where a set of rules holds: always, on departures that name it, at such screenings."""

    ALWAYS = "always"
    DEPARTURE = "departure"
    SCREENING = "screening"


class Figure(Enum):
    """The figure of a thing that a band is about."""

    ENERGY = "energy"
    NET = "net"
    FLASH = "flash_point"
    LITHIUM = "lithium"


class Per(Enum):
    """Whose things a limit adds up."""

    PERSON = "person"
    BAG = "bag"


class Unit(Enum):
    """What a limit adds up: pieces, or the contents of each in millilitres."""

    PIECES = "pc"
    MILLILITRES = "ml"


class Band(NamedTuple):
    """The range of one figure for which a rule holds."""

    figure: Figure
    over: int | None
    most: int | None

    def has(self, value: int) -> bool:
        """Whether a figure lies in the band: above ``over``, up to and with ``most``."""
        return (self.over is None or value > self.over) and (
            self.most is None or value <= self.most
        )


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A set of rules: whose they are and where they hold."""

    id: str
    name: str
    holds: Holds


@dataclass(frozen=True, slots=True)
class GoodsRule:
    """One row: things whose class word is among ``words`` and whose figures lie in all bands.

    The word "*" stands for anything with figures: such a row only makes others stricter.
    With ``names`` it holds only for things whose own name bears one of them.
    ``text`` says what to do; ``hand_tool`` is False for what no screening takes for a tool.
    """

    id: str
    name: str
    set: str
    words: tuple[str, ...]
    hold: Say
    cabin: Say
    source: str
    text: str = ""
    first: Carriage = Carriage.HOLD
    bands: tuple[Band, ...] = ()
    un: str = ""
    hand_tool: bool = True
    names: tuple[str, ...] = ()

    def says(self, carriage: Carriage) -> Say:
        """What the row says about the hold or the cabin."""
        return self.hold if carriage is Carriage.HOLD else self.cabin


@dataclass(frozen=True, slots=True)
class GoodsLimit:
    """A limit on all things that fall under one of these rules, added up."""

    id: str
    name: str
    set: str
    rules: tuple[str, ...]
    per: Per
    unit: Unit
    most: int
    source: str


@dataclass(frozen=True, slots=True)
class ToolRule:
    """Hand tools at a screening: barred from the cabin when they bear one of ``names``, are
    longer than ``longest`` over all, or have a blade or shaft longer than ``blade``.
    """

    id: str
    set: str
    source: str
    names: tuple[str, ...] = ()
    longest: int | None = None
    blade: int | None = None


@dataclass(frozen=True, slots=True)
class GoodsRules:
    """A whole rule file. ``suspect`` are words in a thing's name that ask for a class."""

    name: str
    dated: date
    sets: tuple[RuleSet, ...]
    rules: tuple[GoodsRule, ...]
    limits: tuple[GoodsLimit, ...] = ()
    tools: tuple[ToolRule, ...] = ()
    suspect: tuple[str, ...] = ()
