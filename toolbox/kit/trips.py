"""Trips: who flies with which bags on which legs, what each leg allows, what work is planned.

Masses in grams, lengths in tenths of a millimetre, money in hundredths of its currency.
A carrier's figures are whatever its conditions say: the mechanic enters them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from toolbox.kit.things import NO_PAPERS, Goods, Mass, Money, Papers, Size


class Carriage(Enum):
    """Where a bag travels."""

    HOLD = "hold"
    CABIN = "cabin"


class Concept(Enum):
    """How an allowance counts: so many pieces of so much each, or one total mass."""

    PIECE = "piece"
    WEIGHT = "weight"


class Other(Enum):
    """What else may be done with a thing than flying it."""

    LEAVE = "leave"
    SHIP = "ship"
    BUY = "buy"


class ScaleClass(Enum):
    """Accuracy class of a scale (OIML R 76-1)."""

    I = "I"  # noqa: E741 - the class bears this name
    II = "II"
    III = "III"
    IIII = "IIII"


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale: its step in milligrams, its class, or how far off it is at most.

    ``error_mg`` is the mechanic's own figure and goes before that of the class;
    ``capacity_g`` is the most it can weigh. None for each where it is not known.
    """

    id: str
    name: str
    step_mg: int
    accuracy: ScaleClass | None = None
    error_mg: int | None = None
    capacity_g: int | None = None


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who flies and answers for bags."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag or case. ``answers`` is the person it counts for.

    With ``box`` it is the kit's own box: what is carried there lies in it, and its empty
    mass and outer size are the box's (``tare`` and ``size`` are None). Any other has a
    tare; ``size`` and ``inside`` (room) are None where they were not measured. ``holds``
    are the ids of tools and supplies that lie in it but not in the box. ``limit_g`` is the
    bag's own limit, whatever the carrier says.
    """

    id: str
    name: str
    answers: str
    carriage: Carriage = Carriage.HOLD
    box: bool = False
    tare: Mass | None = None
    size: Size | None = None
    inside: Size | None = None
    holds: tuple[str, ...] = ()
    limit_g: int | None = None
    papers: Papers = NO_PAPERS


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that is no part of the kit: a wheel, a jacket. ``bag`` is where it lies now.

    ``mass`` and ``size`` are those of one piece; a ``fixed`` one stays in its bag. ``off_list``
    keeps it off lists for customs: personal things, and what is used up or given away.
    """

    id: str
    name: str
    bag: str
    mass: Mass
    count: int = 1
    size: Size | None = None
    fixed: bool = False
    goods: Goods | None = None
    papers: Papers = NO_PAPERS
    off_list: bool = False


class Band(NamedTuple):
    """The price for one heavy piece: above the band before, up to and with ``up_to_g``."""

    up_to_g: int
    price: Money


class Cabin(NamedTuple):
    """What may go into the cabin: pieces, mass of all together, size of each; None: not said."""

    pieces: int
    mass_g: int | None
    size: Size | None


@dataclass(frozen=True, slots=True)
class Allowance:
    """What one person may check in on a leg, and what more costs.

    By piece: ``pieces`` of ``mass_g`` each, ``extra_pieces`` the prices of the first, second
    ... one more, as many as there are prices; ``bands`` the prices of heavy ones. By weight:
    ``mass_g`` in all, ``per_kg`` the price of each begun kilogram more, up to ``most_g`` in
    all; with ``pooled`` the people who have it share one sum. No piece above ``ceiling_g``
    is taken at any price. ``sides`` is length, width and height added up; above it
    ``oversize`` is paid, above ``sides_ceiling`` it is not taken. A price of None means
    that it cannot be had, not that it is free.
    """

    id: str
    name: str
    concept: Concept
    mass_g: int
    pieces: int | None = None
    ceiling_g: int | None = None
    sides: int | None = None
    sides_ceiling: int | None = None
    extra_pieces: tuple[Money, ...] = ()
    bands: tuple[Band, ...] = ()
    per_kg: Money | None = None
    most_g: int | None = None
    oversize: Money | None = None
    pooled: bool = False
    cabin: Cabin | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Leg:
    """One flight. ``departs`` and ``screening`` name the sets of goods rules that hold there.

    ``allowance`` holds for everybody but those in ``others``, pairs of person and
    allowance. With ``repack`` the bags can be packed anew before it; a leg ``back`` is
    flown with what the work used up taken off.
    """

    id: str
    name: str
    allowance: str
    day: date | None = None
    carrier: str = ""
    others: tuple[tuple[str, str], ...] = ()
    departs: tuple[str, ...] = ()
    screening: tuple[str, ...] = ()
    repack: bool = False
    back: bool = False

    def allowance_of(self, person: str) -> str:
        """The id of the allowance that this person has on the leg."""
        return dict(self.others).get(person, self.allowance)


@dataclass(frozen=True, slots=True)
class Bike:
    """A bike at the race, and the bag it travels in ("" where it comes by other ways)."""

    id: str
    name: str
    bag: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """A job planned for the trip: ``times`` it is expected, on each of ``bikes`` if any."""

    job: str
    times: Fraction
    bikes: tuple[str, ...] = ()

    def expected(self) -> Fraction:
        """How often the job is expected in all."""
        return self.times * max(1, len(self.bikes))


class Way(NamedTuple):
    """What else can be done with a thing, and its price (None: it costs nothing)."""

    item: str
    other: Other
    price: Money | None = None


@dataclass(frozen=True, slots=True)
class Approval:
    """A carrier said yes to these things, as the mechanic noted it."""

    items: tuple[str, ...]
    by: str
    day: date
    note: str = ""


@dataclass(frozen=True, slots=True)
class Weighing:
    """A packed bag put on a scale: the reading in grams and what was in the bag.

    ``items`` are empty where the bag held what lies in it by the trip; "T1" stands for all
    copies, "T1/1", "T1/2" for one. ``accepted`` says why a reading that nothing on the lists
    explains counts all the same, and ``by`` who decided that; both or neither.
    """

    bag: str
    reading_g: int
    scale: str
    day: date
    items: tuple[str, ...] = ()
    accepted: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Trip:
    """A whole trip. ``must`` are the things that have to fly, whatever it costs."""

    name: str
    people: tuple[Person, ...]
    bags: tuple[Bag, ...]
    allowances: tuple[Allowance, ...]
    legs: tuple[Leg, ...]
    items: tuple[Item, ...] = ()
    bikes: tuple[Bike, ...] = ()
    work: tuple[Work, ...] = ()
    ways: tuple[Way, ...] = ()
    approvals: tuple[Approval, ...] = ()
    scales: tuple[Scale, ...] = ()
    weighings: tuple[Weighing, ...] = ()
    must: tuple[str, ...] = ()
    note: str = ""

    def allowance(self, leg: Leg, person: str) -> Allowance:
        """What this person may check in on this leg; KeyError when the trip has no such one."""
        wanted = leg.allowance_of(person)
        for allowance in self.allowances:
            if allowance.id == wanted:
                return allowance
        raise KeyError(wanted)

    def approved(self) -> frozenset[str]:
        """The ids of all things that a carrier said yes to."""
        return frozenset(item for approval in self.approvals for item in approval.items)
