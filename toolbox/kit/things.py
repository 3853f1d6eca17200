"""What lies in the box: tools with their copies and parts, and supplies that are used up.

Units: masses in whole grams (scale steps in milligrams), sizes in tenths of a
millimetre, dimensions of gauges in micrometres, supplies in whole millilitres,
grams or pieces, money in hundredths of its currency.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from toolbox.kit.quantities_units import Kind


class Known(Enum):
    """How a mass is known; decides how far it can be trusted."""

    WEIGHED = "weighed"
    CATALOGUE = "catalogue"
    GUESS = "guess"


class Mark(Enum):
    """A mark on a tool that other parts of the program ask for."""

    URGENT = "urgent"
    SHOP_MADE = "shop-made"
    FRAGILE = "fragile"
    UPRIGHT = "upright"


class Measure(Enum):
    """The whole unit in which a supply is counted."""

    MILLILITRES = "ml"
    GRAMS = "g"
    PIECES = "pc"


# What a supply's amounts are, as quantities that people write.
KIND_OF: Mapping[Measure, Kind] = MappingProxyType(
    {
        Measure.MILLILITRES: Kind.VOLUME,
        Measure.GRAMS: Kind.MASS,
        Measure.PIECES: Kind.PIECES,
    }
)


class Size(NamedTuple):
    """Length, width and height as packed, in tenths of a millimetre."""

    length: int
    width: int
    height: int


class Mass(NamedTuple):
    """Grams of one piece, how that is known, and the scale's step in milligrams if weighed.

    ``error_mg`` is how far off it may be at most in either direction, where the mechanic
    says so; else that follows from how it is known.
    """

    grams: int
    known: Known
    step_mg: int | None = None
    error_mg: int | None = None


class Money(NamedTuple):
    """Hundredths of a currency and its three-letter code (ISO 4217)."""

    hundredths: int
    currency: str

    def words(self) -> str:
        """The amount as people write it: "45.00 EUR"."""
        return f"{self.hundredths // 100}.{self.hundredths % 100:02} {self.currency}"


@dataclass(frozen=True, slots=True)
class Part:
    """A kind of part inside a set and how many of it belong there.

    ``grams`` and ``value`` are those of one, None where nobody has said.
    """

    name: str
    count: int
    grams: int | None = None
    value: Money | None = None


class Papers(NamedTuple):
    """What papers ask of a thing: who made it, which one it is, its worth, where it is from.

    ``origin`` is a country of two letters (ISO 3166-1). "" or None where nobody has said.
    """

    make: str = ""
    model: str = ""
    serial: str = ""
    year: int | None = None
    value: Money | None = None
    origin: str = ""


NO_PAPERS = Papers()


class Gauge(NamedTuple):
    """What a shop-made gauge or jig is for and the dimension that must hold, in micrometres."""

    purpose: str
    dimension: str
    nominal_um: int
    lowest_um: int
    highest_um: int


class Accuracy(Enum):
    """Types and classes of torque tools (ISO 6789-1), accuracy classes of gauges (EN 837-1)."""

    I_A = "I A"
    I_B = "I B"
    I_C = "I C"
    I_D = "I D"
    I_E = "I E"
    II_A = "II A"
    II_B = "II B"
    II_C = "II C"
    II_D = "II D"
    II_E = "II E"
    II_F = "II F"
    II_G = "II G"
    C0_1 = "0.1"
    C0_25 = "0.25"
    C0_6 = "0.6"
    C1 = "1"
    C1_6 = "1.6"
    C2_5 = "2.5"
    C4 = "4"

    @property
    def of_torque(self) -> bool:
        """True for those of torque tools."""
        return self.value.startswith("I")


# What instruments measure: torques, pressures, lengths in micrometres, masses in milligrams.
DIAL_KINDS = (Kind.TORQUE, Kind.PRESSURE, Kind.FINE, Kind.STEP)


class Dial(NamedTuple):
    """What an instrument measures, from where to where, and how far off it may be.

    All in whole units of its ``kind``: milli-newton-metres, pascals, micrometres,
    milligrams. ``step`` is the smallest to which it is set or read; ``tolerance`` a plain
    one to either side, ``percent`` one of torque tools, both before the class. Below a
    tenth of its range a pressure gauge with a fixed ``zero_stop`` shows nothing by its class.
    """

    kind: Kind
    highest: int
    lowest: int | None = None
    step: int | None = None
    accuracy: Accuracy | None = None
    tolerance: int | None = None
    percent: Fraction | None = None
    zero_stop: bool = False


class Instrument(NamedTuple):
    """When an instrument must be checked: by date, by uses, whichever comes first."""

    last_check: date | None
    every_months: int | None
    every_uses: int | None
    uses_since_check: int = 0
    dial: Dial | None = None


class Goods(NamedTuple):
    """What makes a thing dangerous goods: its class word, cell data, net contents.

    Voltage in millivolts, charge in milliampere-hours, net contents in millilitres, energy
    as printed on it in milliwatt-hours, flash point in whole degrees Celsius, lithium metal
    in milligrams, its longest blade or shaft in tenths of a millimetre. All of it for one
    piece; None where nobody has said.
    """

    kind: str
    millivolts: int | None = None
    milliampere_hours: int | None = None
    net_ml: int | None = None
    energy_mwh: int | None = None
    flash_c: int | None = None
    lithium_mg: int | None = None
    blade: int | None = None


@dataclass(frozen=True, slots=True)
class Tool:
    """One entry of the tool list. Mass and size are those of one copy, as packed.

    ``count`` copies each need a place of their own; the parts of a set travel
    together in the set's one place. A tool that is not ``carried`` is owned but
    stays at home: it needs no place in the box.
    """

    id: str
    name: str
    mass: Mass
    size: Size
    category: str = ""
    count: int = 1
    carried: bool = True
    parts: tuple[Part, ...] = ()
    marks: frozenset[Mark] = frozenset()
    substitutes: tuple[str, ...] = ()
    serial: str = ""
    value: Money | None = None
    origin: str = ""
    look: str = ""
    owner_mark: str = ""
    note: str = ""
    gauge: Gauge | None = None
    instrument: Instrument | None = None
    goods: Goods | None = None
    make: str = ""
    model: str = ""
    year: int | None = None

    @property
    def papers(self) -> Papers:
        """What papers ask of it."""
        return Papers(self.make, self.model, self.serial, self.year, self.value, self.origin)

    def copies(self) -> tuple[str, ...]:
        """Names of the copies as layouts write them: ``T1``, ``T1/2``, ``T1/3``."""
        return (self.id, *(f"{self.id}/{n}" for n in range(2, self.count + 1)))


@dataclass(frozen=True, slots=True)
class Shelf:
    """Dates of a supply that ages: printed date, opening, life once opened, lot.

    ``made`` is the day it was made or bought, from which its life sealed counts.
    """

    best_before: date | None = None
    opened: date | None = None
    opened_life_months: int | None = None
    lot: str = ""
    made: date | None = None
    sealed_life_months: int | None = None


@dataclass(frozen=True, slots=True)
class Supply:
    """A consumable. Mass and size are those of one pack; stock is in its own measure.

    A ``carried`` supply travels in the box and is given a place like a tool; it
    needs a size and a mass. Any other stays in the reserve.

    ``stock`` is all there is, ``reserve`` what of it lies in the van or the workshop (None:
    nobody said, so none), both as of the morning of ``stock_on`` (None: nobody said, so
    that all logged use comes off it). ``service`` is the chance with which its stock is to
    suffice until the next restock (None: that of the settings).
    """

    id: str
    name: str
    measure: Measure
    mass: Mass | None = None
    size: Size | None = None
    category: str = ""
    carried: bool = False
    pack: int | None = None
    stock: int | None = None
    par: int | None = None
    shelf: Shelf = Shelf()
    marks: frozenset[Mark] = frozenset()
    fluid: str = ""
    note: str = ""
    goods: Goods | None = None
    reserve: int | None = None
    stock_on: date | None = None
    service: Fraction | None = None


# A long log asks for the same few copies a million times.
@lru_cache(maxsize=16_384)
def base_id(copy: str) -> str:
    """The tool or supply behind the name of a copy: ``T1/2`` gives ``T1``."""
    return copy.partition("/")[0]
