"""How much of a supply to keep, what to refill from the reserve, what to buy and where.

Whole units of the supply's own measure. A level is the mechanic's own fixed one, or what
suffices until the next restock with a chance (base stock for a service level), or what
weighs having too little against having too much (newsvendor).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from toolbox.kit.kit import Settings
from toolbox.stock.demand import Demand, Number
from toolbox.stock.errors import StockError, refuse

SERVICE = Settings().service
"""The chance with which a stock suffices until the next restock, where none is said."""


class Flies(Enum):
    """Whether a supply may go on the flight that comes before the work; YES where none does."""

    YES = "may fly"
    NO = "may not fly"
    UNKNOWN = "not settled"


class Buy(Enum):
    """When a supply is bought; the value is the word shown."""

    BEFORE = "before leaving"
    ARRIVAL = "on arrival"
    ASK = "ask the carrier first, else on arrival"


class Packs(NamedTuple):
    """Whole packs, and the units in them."""

    number: int
    units: int


@dataclass(frozen=True, slots=True)
class Stocked:
    """A supply before restocking, in whole units.

    ``box`` and ``reserve`` are what can still be used (what is out of date is none), below
    0 or None where the book cannot be right or nobody counted. ``level`` is what should
    be there in all, ``box_level`` what of it should lie in the box (None: all of it).
    ``pack`` is what one pack holds when bought. ``there`` is what will be at the place of work
    anyhow, for what may not fly: a van that drives there.
    """

    supply: str
    level: int
    box: int | None
    reserve: int | None = 0
    box_level: int | None = None
    pack: int = 1
    flies: Flies = Flies.YES
    there: int = 0


@dataclass(frozen=True, slots=True)
class Restock:
    """What to do about a supply.

    ``refill`` units go from the reserve into the box; ``packs`` are to be bought at the time
    that ``when`` says (None: nothing is). ``to_count``: the figures cannot be right or are
    not known, so that somebody has to count first; what nobody knows was taken for none.
    ``box_short`` is what the box still lacks after the refill.
    """

    supply: str
    refill: int
    packs: Packs
    when: Buy | None
    to_count: bool
    box_short: int


def base_stock(demand: Demand, service: Number = SERVICE) -> int:
    """The smallest stock that suffices for the demand with at least this chance (0 to 1)."""
    return demand.level(service)


def newsvendor(demand: Demand, too_little: Number, too_much: Number) -> int:
    """The amount that weighs best, when each unit too few and each one too many has a price.

    ``too_little`` and ``too_much`` are what one unit costs either way, in any one currency.
    It is the smallest amount that suffices with the chance too_little / (too_little +
    too_much). Whole numbers and fractions are reckoned with exactly. StockError unless both
    are 0 or more and one is above.
    """
    if too_little < 0 or too_much < 0 or not too_little + too_much > 0:
        raise StockError(["what too little and too much cost must be 0 or more, and one above 0"])
    return demand.level(Fraction(too_little) / (Fraction(too_little) + Fraction(too_much)))


def in_packs(units: int, pack: int) -> Packs:
    """The fewest whole packs that hold at least so many units (none for 0 and below)."""
    refuse([f"a pack of {pack} holds nothing"] if pack < 1 else [])
    number = -(-max(0, units) // pack)
    return Packs(number, number * pack)


def restock(stocked: Stocked) -> Restock:
    """What to refill from the reserve and what to buy, so that the levels are met.

    What may not fly stays behind, so all of it is bought on arrival but for what is there
    anyhow; the box is not filled with it before. What is not settled is asked about: it is
    never taken to the flight as if it were allowed. StockError on levels and packs below 0.
    """
    refuse(_faults(stocked))
    box, reserve = max(0, stocked.box or 0), max(0, stocked.reserve or 0)
    to_count = any(n is None or n < 0 for n in (stocked.box, stocked.reserve))
    box_level = stocked.level if stocked.box_level is None else stocked.box_level
    if stocked.flies is Flies.YES:
        wanted = max(0, box_level - box)
        refill = min(wanted, reserve)
        packs = in_packs(stocked.level - box - reserve, stocked.pack)
        when = Buy.BEFORE if packs.number else None
        return Restock(stocked.supply, refill, packs, when, to_count, wanted - refill)
    packs = in_packs(stocked.level - stocked.there, stocked.pack)
    when = Buy.ARRIVAL if stocked.flies is Flies.NO else Buy.ASK
    short = max(0, box_level - stocked.there)
    return Restock(stocked.supply, 0, packs, when if packs.number else None, to_count, short)


def _faults(stocked: Stocked) -> list[str]:
    faults = []
    for name, figure in (
        ("level", stocked.level),
        ("level of the box", stocked.box_level or 0),
        ("amount there anyhow", stocked.there),
    ):
        if figure < 0:
            faults.append(f"the {name} of {stocked.supply} is {figure}: it is never below 0")
    if stocked.pack < 1:
        faults.append(f"a pack of {stocked.supply} holds {stocked.pack}: write 1 or more")
    return faults
