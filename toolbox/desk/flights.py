"""Checking a trip by air: every bag on every leg, every thing by the goods rules.

The carrier, the state and the screening officer decide; nothing here says that they agree.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from toolbox.desk.flight_bags import (
    BagCheck,
    Packing,
    Pool,
    bag_checks,
    bag_matters,
    pools,
    size_of,
)
from toolbox.desk.flight_goods import GoodsFinding, goods_findings
from toolbox.desk.trips import Flight, Where
from toolbox.desk.weigh_in import readings_off
from toolbox.flight.contents import lines_of, tare_line
from toolbox.flight.goods import age_warning
from toolbox.flight.lifting import Advice, over_reference, usual_lifts
from toolbox.flight.masses import Suggestion, Verdict, weigh_next
from toolbox.kit.quantities import Kind, write
from toolbox.kit.trips import Bag, Scale

_TENTHS = 100  # tenths of a millimetre in a centimetre


@dataclass(frozen=True, slots=True)
class Check:
    """How a packing stands: bags and what counts together, goods, and what else is in the way.

    ``paying`` tells that masses were held against the limits that money buys.
    """

    bags: tuple[BagCheck, ...]
    pools: tuple[Pool, ...]
    findings: tuple[GoodsFinding, ...]
    matters: tuple[str, ...]
    paying: bool

    @property
    def masses_fit(self) -> bool:
        """True when every bag that flies is within every limit, its error counted."""
        loads = [load for bag in self.bags if bag.flies for load in bag.loads]
        loads += [pool.load for pool in self.pools]
        return all(load.verdict is Verdict.FITS for load in loads)

    @property
    def open(self) -> tuple[GoodsFinding, ...]:
        """What must still be asked of the carrier or read in a safety sheet."""
        return tuple(f for f in self.findings if f.is_open)

    @property
    def fits(self) -> bool:
        """True only when nothing is over, at risk, forbidden, open or unsaid."""
        return self.masses_fit and not self.findings and not self.matters


@dataclass(frozen=True, slots=True)
class ToWeigh:
    """Which things of a bag to put on which scale next, the most telling first."""

    bag: Bag
    scale: Scale
    things: tuple[Suggestion, ...]


@dataclass(frozen=True, slots=True)
class BagLifting:
    """Usual two-handed lifts of a bag with what the equation says; none without its size."""

    bag: Bag
    lifts: tuple[Advice, ...]
    over: tuple[str, ...]


def check_now(flight: Flight, *, paying: bool = False) -> Check:
    """The trip as it is packed today, against what is free of charge or (``paying``) bought."""
    return check_packing(flight, [flight.now] * len(flight.trip.legs), paying=paying)


def check_packing(flight: Flight, packing: Packing, *, paying: bool) -> Check:
    """Any packing, leg by leg."""
    checks = bag_checks(flight, packing, paying=paying)
    findings = tuple(
        dict.fromkeys(f for where in _different(packing) for f in goods_findings(flight, where))
    )
    return Check(
        bags=checks,
        pools=pools(flight, checks, paying=paying),
        findings=findings,
        matters=(*bag_matters(flight, checks, paying=paying), *_readings(flight)),
        paying=paying,
    )


def _readings(flight: Flight) -> Iterator[str]:
    """Readings that count as the mass of a bag although nothing explains them."""
    for weighing, off in readings_off(flight):
        reading, how = write(weighing.reading_g, Kind.MASS), "heavier" if off > 0 else "lighter"
        yield (
            f"{flight.bag(weighing.bag).name}: its reading of {weighing.day}, {reading}, "
            f"is {abs(off)} g {how} than its list, and nothing on the lists explains it: weigh it "
            "again, or say what is in it, or accept the reading with a reason"
        )


def _different(packing: Packing) -> list[Where]:
    found: list[Where] = []
    for where in packing:
        if where not in found:
            found.append(where)
    return found


def rules_warning(flight: Flight) -> str:
    """That the goods rules are old, in words; "" when they are not."""
    return age_warning(flight.rules, flight.today)


def to_weigh(flight: Flight, check: Check, number: int = 3) -> tuple[ToWeigh, ...]:
    """What to weigh next: of each bag that is not surely within, or else of the least sure one.

    A bag whose own reading counts is left out, since its things no longer matter.
    """
    weighed = {weighing.bag for weighing in flight.trip.weighings}
    bags = [b for b in check.bags if b.flies and b.bag.id not in weighed]
    unsure = [b for b in bags if b.verdict is Verdict.AT_RISK]
    if not unsure and bags:
        unsure = [max(bags, key=lambda b: b.loads[0].total.u_g)]
    found = (_weigh_in(flight, b.bag, number) for b in unsure)
    return tuple(one for one in found if one is not None)


def _weigh_in(flight: Flight, bag: Bag, number: int) -> ToWeigh | None:
    """On the scale of the trip that makes the total surest; None when none would help."""
    lines = (tare_line(bag, flight.kit), *lines_of(flight.inside(bag, flight.now)))
    tried = [
        ToWeigh(bag, scale, things)
        for scale in flight.trip.scales
        if (things := weigh_next(lines, scale, number))
    ]
    return min(tried, key=lambda one: one.things[-1].total_u_g, default=None)


def lifting_of(flight: Flight, checks: Sequence[BagCheck]) -> tuple[BagLifting, ...]:
    """Lifting advice for each bag that flies, by its heaviest leg."""
    found = []
    for check in checks:
        if not check.flies:
            continue
        mass = max(load.total.grams for load in check.loads)
        size = size_of(check.bag, flight.kit)
        lifts: tuple[Advice, ...] = ()
        if size is not None:
            # held against the body by its shorter side, the hands half-way up (common
            # practice, no source)
            depth = min(size.length, size.width) / _TENTHS
            lifts = usual_lifts(mass, depth, size.height / 2 / _TENTHS)
        found.append(BagLifting(check.bag, lifts, over_reference(mass)))
    return tuple(found)
