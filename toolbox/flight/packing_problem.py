"""The packing question of a trip by air as plain frozen whole numbers, and its answer.

Masses in grams, volumes in cubic tenths of a millimetre, sums of sides in tenths of a
millimetre, money in hundredths of one currency, work in whole units of the asker's own.
People, items, bags, legs, limits and jobs are numbered from 0 in the problem's order;
names are for messages only. All prices and limits are the asker's: nothing is known here
of any carrier.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

KILO = 1000  # grams; excess mass is paid for by the started kilogram


Places = tuple[tuple[int | None, ...], ...]  # a bag or None for each leg and item


class Band(NamedTuple):
    """Up to ``most`` (grams, or tenths of a millimetre) costs ``cents``; a stair of prices."""

    most: int
    cents: int


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to be packed.

    ``grams`` holds its mass on each leg, None where it no longer flies (used up) or does
    not fly yet. Where it may go: ``hold``, ``cabin``, nowhere in ``no_bags``, and in
    ``fixed`` alone if that is given. ``home`` is the bag it belongs in. ``ship_cents`` and
    ``buy_cents`` are what it costs to send it or to buy it there (None: cannot be done);
    either way it serves jobs and flies on no leg. ``may_leave``: it may stay at home.
    """

    name: str
    grams: tuple[int | None, ...]
    volume: int = 0
    hold: bool = True
    cabin: bool = True
    no_bags: tuple[int, ...] = ()
    fixed: int | None = None
    home: int | None = None
    ship_cents: int | None = None
    buy_cents: int | None = None
    may_leave: bool = False


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag or case: who answers for it, hold or cabin, its own mass, room and mass limit.

    ``sides`` is the sum of its outer sides. A bag that is taken flies on every leg, since
    it has to come home; it is taken when something is in it on any leg, or ``always``.
    """

    name: str
    person: int
    tare_g: int
    cabin: bool = False
    room: int | None = None
    limit_g: int | None = None
    sides: int = 0
    always: bool = False


@dataclass(frozen=True, slots=True)
class ByPiece:
    """Hold baggage by number, for these people together.

    ``pieces`` are included; the next ones cost ``extra[0]``, ``extra[1]`` ...: as many as
    there are prices, no more. ``masses`` are the bands for each piece: the first is free,
    the last is the hard ceiling. ``sides`` likewise (empty: no limit of size).
    """

    people: tuple[int, ...]
    pieces: int
    masses: tuple[Band, ...]
    extra: tuple[int, ...] = ()
    sides: tuple[Band, ...] = ()


@dataclass(frozen=True, slots=True)
class ByWeight:
    """Hold baggage by total mass, for these people together.

    Above ``pooled_g`` each started kilogram costs ``kg_cents`` (None: nothing above it);
    ``most_g`` is the ceiling of the total, ``piece_g`` that of each bag (None: none).
    """

    people: tuple[int, ...]
    pooled_g: int
    kg_cents: int | None = None
    most_g: int | None = None
    piece_g: int | None = None
    sides: tuple[Band, ...] = ()


Allowance = ByPiece | ByWeight


class Cabin(NamedTuple):
    """What one person may take into the cabin: all bags together, in grams and in number."""

    most_g: int | None = None
    pieces: int | None = None


@dataclass(frozen=True, slots=True)
class Leg:
    """One flight: an allowance for everybody, the cabin for each person, what may not fly.

    ``no_hold`` and ``no_cabin`` are items that may not go there on this leg, ``no_bags``
    bags that may not be taken on it.
    """

    name: str
    allowances: tuple[Allowance, ...]
    cabins: tuple[Cabin, ...]
    no_hold: tuple[int, ...] = ()
    no_cabin: tuple[int, ...] = ()
    no_bags: tuple[int, ...] = ()


class Per(Enum):
    """What a limit of goods is counted for."""

    PERSON = "person"
    BAG = "bag"


@dataclass(frozen=True, slots=True)
class GoodsLimit:
    """At most ``most`` units per person or per bag: ``units`` are (item, units of it).

    Counted in ``bags`` and on ``legs`` only, where these are given.
    """

    name: str
    units: tuple[tuple[int, int], ...]
    most: int
    per: Per
    bags: tuple[int, ...] | None = None
    legs: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """Planned work: ``needs`` are sets of items each of which serves; ``worth`` is what is lost.

    ``worth`` is the expected number of times by the weight of urgency, in whole units. The
    job can be done when each need is served by an item that is carried, sent or bought.
    """

    name: str
    needs: tuple[tuple[int, ...], ...]
    worth: int


@dataclass(frozen=True, slots=True)
class PackingProblem:
    """All that decides a packing.

    Unless bags ``may_change`` between legs, an item lies in the same bag on all of them.
    ``spread`` asks that the loss of one hold bag on the first ``legs_out`` legs, those
    before the work, leaves as much of it possible as can be.
    """

    people: tuple[str, ...]
    items: tuple[Item, ...]
    bags: tuple[Bag, ...]
    legs: tuple[Leg, ...]
    limits: tuple[GoodsLimit, ...] = ()
    jobs: tuple[Job, ...] = ()
    may_change: bool = False
    spread: bool = False
    legs_out: int = 1


class Fate(Enum):
    """What becomes of an item."""

    CARRIED = "carried"
    SHIPPED = "shipped"
    BOUGHT = "bought there"
    LEFT = "left at home"


class Why(Enum):
    """What money is paid for."""

    EXTRA_PIECE = "piece beyond the number included"
    HEAVY = "bag above the free mass"
    LARGE = "bag above the free size"
    EXCESS = "mass above the pooled allowance"
    SHIPPED = "sent ahead"
    BOUGHT = "bought there"


class Charge(NamedTuple):
    """One payment: leg (None: no leg), what for, whose number, how much of it, cents.

    ``who`` is a bag for HEAVY and LARGE, an item for SHIPPED and BOUGHT, else an allowance
    of the leg. ``amount``: pieces, started kilograms, or grams and tenths of a millimetre
    of the bag, 1 for an item.
    """

    leg: int | None
    why: Why
    who: int
    amount: int
    cents: int


class Limited(Enum):
    """The mass limits that a margin is counted against; what ``who`` of a margin numbers."""

    PIECE = "mass of a bag on a leg"  # a bag
    BAG = "mass that a bag itself bears"  # a bag
    POOL = "pooled mass"  # an allowance of the leg
    CABIN = "cabin mass of a person"  # a person


class Margin(NamedTuple):
    """How much is left below a mass limit, in the band or the kilograms that are paid for."""

    leg: int
    limited: Limited
    who: int
    limit_g: int
    mass_g: int

    @property
    def free_g(self) -> int:
        """Grams left."""
        return self.limit_g - self.mass_g


class Loss(NamedTuple):
    """If ``bag`` is lost on the way out: jobs still possible, and the work that then is not."""

    bag: int
    possible: tuple[int, ...]
    lost: int


@dataclass(frozen=True, slots=True)
class Account:
    """What a packing means: money and why, jobs lost, items out of their home, margins.

    ``taken`` are the bags that fly. ``moved`` are items that do not fly in their home bag,
    those without a home that do not fly at all among them; ``moves`` counts one for each
    time the bags are packed. ``losses`` holds one row for each bag taken.
    """

    taken: tuple[int, ...]
    charges: tuple[Charge, ...]
    cents: int
    lost_jobs: tuple[int, ...]
    lost: int
    moved: tuple[int, ...]
    moves: int
    margins: tuple[Margin, ...]
    margin_g: int | None
    losses: tuple[Loss, ...]
    worst_loss: int


class Aim(Enum):
    """What a packing is judged by, in this order; ``SPREAD`` only where it is asked for."""

    MONEY = "money"
    LOST_WORK = "work lost by what is left"
    SPREAD = "work lost with the worst hold bag"
    MOVES = "things out of their home"
    MARGIN = "margin of the tightest limit"


class Reached(NamedTuple):
    """How far an aim was reached: its value, and the bound among packings as good before it.

    Money, work and moves are as small as can be and the bound lies below; the margin is as
    wide as can be and its bound lies above. None: no bound was proved.
    """

    aim: Aim
    value: int
    bound: int | None

    @property
    def proven(self) -> bool:
        """True when nothing better was proved possible."""
        return self.value == self.bound

    def gap(self) -> float | None:
        """Distance between value and bound as a share of the larger; None without a bound."""
        if self.bound is None:
            return None
        larger = max(abs(self.value), abs(self.bound))
        return abs(self.value - self.bound) / larger if larger else 0.0


class Outcome(Enum):
    """How the search ended."""

    OPTIMAL = "optimal"  # every aim is proved
    GOOD = "good"  # a packing, with a gap that is said
    IMPOSSIBLE = "impossible"  # proved that nothing keeps all limits
    NONE_FOUND = "none found"  # stopped before a packing was found


@dataclass(frozen=True, slots=True)
class PackingAnswer:
    """What was found: ``places[leg][item]`` is a bag or None, and a fate for each item.

    Without a packing ``places``, ``fates`` and ``aims`` are empty and ``account`` is None.
    ``method`` says in words how it was found.
    """

    outcome: Outcome
    places: Places
    fates: tuple[Fate, ...]
    account: Account | None
    aims: tuple[Reached, ...]
    method: str

    @property
    def proven(self) -> bool:
        """True when no packing is better in the order of the aims, or none is possible."""
        return self.outcome in (Outcome.OPTIMAL, Outcome.IMPOSSIBLE)


def may_lie(problem: PackingProblem, item: int, bag: int, leg: int) -> bool:
    """True when the rules let an item lie in a bag on a leg (mass and room are not looked at)."""
    thing, case, flight = problem.items[item], problem.bags[bag], problem.legs[leg]
    if thing.fixed not in (None, bag) or bag in thing.no_bags or bag in flight.no_bags:
        return False
    if case.cabin:
        return thing.cabin and item not in flight.no_cabin
    return thing.hold and item not in flight.no_hold
