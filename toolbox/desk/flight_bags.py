"""Each bag's mass against its limits, leg by leg, and what else of a bag does not pass.

A limit counts with the error of the mass: at risk is not within it. What an allowance does
not say is never taken for granted: it is an open question.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from toolbox.desk.figures import count, grams
from toolbox.desk.trips import Flight, Where
from toolbox.files.tables import money_text
from toolbox.flight.masses import COVERAGE, Total, Verdict
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Size
from toolbox.kit.trips import Allowance, Bag, Carriage, Concept, Leg

Packing = Sequence[Where]  # where everything lies, for each leg
KILO = 1000
_BY_SEVERITY = (Verdict.OVER, Verdict.AT_RISK, Verdict.FITS)


@dataclass(frozen=True, slots=True)
class Load:
    """A mass against one limit on one leg; ``limit_g`` None: nobody has said one.

    ``limit`` says in words whose limit it is.
    """

    leg: int
    total: Total
    limit_g: int | None
    limit: str

    @property
    def verdict(self) -> Verdict | None:
        """Fits, at risk or over; None without a limit."""
        return None if self.limit_g is None else self.total.verdict(self.limit_g)

    @property
    def chance_over(self) -> float | None:
        """The probability that the true mass is above the limit; None without a limit."""
        return None if self.limit_g is None else self.total.chance_over(self.limit_g)

    @property
    def room_g(self) -> float:
        """What is left below the limit, the error counted in; infinite without a limit."""
        if self.limit_g is None:
            return math.inf
        return self.limit_g - self.total.grams - COVERAGE * self.total.u_g


@dataclass(frozen=True, slots=True)
class BagCheck:
    """One bag over all legs: what is in it and each of its loads."""

    bag: Bag
    things: int
    loads: tuple[Load, ...]

    @property
    def flies(self) -> bool:
        """True when there is anything in it."""
        return self.things > 0

    @property
    def governing(self) -> Load:
        """The load with least room, which is the strictest for this bag."""
        return min(self.loads, key=lambda load: load.room_g)

    @property
    def verdict(self) -> Verdict | None:
        """The worst of all legs; None when no limit is known."""
        return worst(self.loads)


@dataclass(frozen=True, slots=True)
class Pool:
    """Bags that count together on a leg: of everybody who shares a sum, or one's cabin bags."""

    people: tuple[str, ...]
    bags: tuple[str, ...]
    load: Load


def worst(loads: Sequence[Load]) -> Verdict | None:
    """The worst verdict among loads; None when none has a limit."""
    verdicts = {load.verdict for load in loads}
    return next((v for v in _BY_SEVERITY if v in verdicts), None)


def bag_checks(flight: Flight, packing: Packing, *, paying: bool) -> tuple[BagCheck, ...]:
    """Every bag with its loads; ``paying``: against the limits that money buys."""
    found = []
    alike = _alike(flight, packing)
    for bag in flight.trip.bags:
        loads: list[Load] = []
        sums: dict[int, Total] = {}
        for number, leg in enumerate(flight.trip.legs):
            first = alike[number]
            if first not in sums:
                sums[first] = flight.total(bag, packing[number], leg)
            loads += _loads(flight, bag, number, sums[first], paying=paying)
        things = max(len(flight.inside(bag, packing[n])) for n in sums)
        found.append(BagCheck(bag, things, tuple(loads)))
    return tuple(found)


def _alike(flight: Flight, packing: Packing) -> tuple[int, ...]:
    """For each leg the first one on which the bags hold the same, used up alike."""
    found: list[int] = []
    for number, leg in enumerate(flight.trip.legs):
        same = (
            n
            for n in found
            if flight.trip.legs[n].back is leg.back and packing[n] == packing[number]
        )
        found.append(next(same, number))
    return tuple(found)


def _loads(flight: Flight, bag: Bag, number: int, total: Total, *, paying: bool) -> Iterator[Load]:
    allowance = flight.trip.allowance(flight.trip.legs[number], bag.answers)
    if bag.carriage is Carriage.CABIN:
        cabin = allowance.cabin
        most = cabin.mass_g if cabin is not None else None
        yield Load(number, total, most, f"cabin, {allowance.name}")
    else:
        most = piece_limit(allowance, total, paying=paying)
        if most is None:
            most = pool_limit(flight, allowance, number, total, paying=paying)
        yield Load(number, total, most, allowance.name)
    if bag.limit_g is not None:
        yield Load(number, total, bag.limit_g, "the bag's own limit")


def piece_limit(allowance: Allowance, total: Total, *, paying: bool) -> int | None:
    """The most one hold bag may weigh; ``paying``: in the dearest band that it takes."""
    if allowance.concept is Concept.WEIGHT:
        return allowance.ceiling_g
    tops = [allowance.mass_g, *(band.up_to_g for band in allowance.bands)]
    if not paying:
        return tops[0]
    heavy = total.grams + COVERAGE * total.u_g
    return next((top for top in tops if heavy <= top), tops[-1])


def pool_limit(
    flight: Flight, allowance: Allowance, number: int, total: Total, *, paying: bool
) -> int:
    """The most that all hold bags under an allowance by weight may weigh together."""
    share = len(sharers(flight, allowance, number)) if allowance.pooled else 1
    free = allowance.mass_g * share
    if not paying or allowance.per_kg is None:
        return free
    over = total.grams + COVERAGE * total.u_g - free
    paid = free + KILO * max(0, math.ceil(over / KILO))
    return paid if allowance.most_g is None else min(paid, allowance.most_g * share)


def sharers(flight: Flight, allowance: Allowance, number: int) -> tuple[str, ...]:
    """The people who have an allowance on a leg, in their order."""
    leg = flight.trip.legs[number]
    return tuple(p.id for p in flight.trip.people if leg.allowance_of(p.id) == allowance.id)


def groups_of(flight: Flight, number: int) -> list[tuple[Allowance, tuple[str, ...]]]:
    """Each allowance of a leg with the people who count together under it."""
    found: list[tuple[Allowance, tuple[str, ...]]] = []
    seen = set()
    for person in flight.trip.people:
        allowance = flight.trip.allowance(flight.trip.legs[number], person.id)
        if not allowance.pooled:
            found.append((allowance, (person.id,)))
        elif allowance.id not in seen:
            seen.add(allowance.id)
            found.append((allowance, sharers(flight, allowance, number)))
    return found


def pools(flight: Flight, checks: Sequence[BagCheck], *, paying: bool) -> tuple[Pool, ...]:
    """What counts together: hold bags by weight, and the cabin bags of who has several."""
    found = []
    for number in range(len(flight.trip.legs)):
        for allowance, people in groups_of(flight, number):
            if allowance.concept is Concept.WEIGHT:
                bags = _theirs(checks, people, Carriage.HOLD)
                total = _together(checks, bags, number)
                most = pool_limit(flight, allowance, number, total, paying=paying)
                load = Load(number, total, most, allowance.name)
                found.append(Pool(people, tuple(b.id for b in bags), load))
        for person in flight.trip.people:
            bags = _theirs(checks, (person.id,), Carriage.CABIN)
            cabin = flight.trip.allowance(flight.trip.legs[number], person.id).cabin
            if len(bags) > 1 and cabin is not None and cabin.mass_g is not None:
                total = _together(checks, bags, number)
                load = Load(number, total, cabin.mass_g, "cabin, all bags together")
                found.append(Pool((person.id,), tuple(b.id for b in bags), load))
    return tuple(found)


def _theirs(checks: Sequence[BagCheck], people: Sequence[str], carriage: Carriage) -> list[Bag]:
    bags = (check.bag for check in checks if check.flies)
    return [bag for bag in bags if bag.answers in people and bag.carriage is carriage]


def _together(checks: Sequence[BagCheck], bags: Sequence[Bag], number: int) -> Total:
    totals = [
        next(load.total for load in check.loads if load.leg == number)
        for check in checks
        if check.bag in bags
    ]
    u = math.hypot(*(t.u_g for t in totals))
    return Total(sum(t.grams for t in totals), u, sum(t.u_shared_g for t in totals))


def size_of(bag: Bag, kit: Kit) -> Size | None:
    """Outer size of a bag; that of the kit's box stands in box.toml."""
    return kit.box.size if bag.box else bag.size


def bag_matters(flight: Flight, checks: Sequence[BagCheck], *, paying: bool) -> tuple[str, ...]:
    """What besides mass keeps bags from flying as they are: number, size, things nobody said."""
    found: list[str] = []
    for leg in flight.trip.legs:
        for person in flight.trip.people:
            allowance = flight.trip.allowance(leg, person.id)
            hold = _theirs(checks, (person.id,), Carriage.HOLD)
            cabin = _theirs(checks, (person.id,), Carriage.CABIN)
            found += [
                *_pieces(allowance, len(hold), f"{leg.name}: {person.name}", paying=paying),
                *(w for b in hold for w in _sides(flight, allowance, b, leg, paying=paying)),
                *_cabin(flight, allowance, cabin, leg),
            ]
    return tuple(dict.fromkeys(found))


def _pieces(allowance: Allowance, bags: int, who: str, *, paying: bool) -> Iterator[str]:
    if allowance.pieces is None or bags <= allowance.pieces:
        return
    more, prices = bags - allowance.pieces, allowance.extra_pieces
    has = f"{who} has {count(bags, 'hold bag')}, {allowance.pieces} included"
    if more > len(prices):
        yield f"{has}, and for {bags} the allowance has no price: one must stay"
    elif not paying:
        yield f"{has}: the next costs {money_text(prices[0])}"


def _sides(
    flight: Flight, allowance: Allowance, bag: Bag, leg: Leg, *, paying: bool
) -> Iterator[str]:
    free, most = allowance.sides, allowance.sides_ceiling
    if free is None and most is None:
        return
    size = size_of(bag, flight.kit)
    if size is None:
        yield f"{bag.name} was not measured, and {allowance.name} has a limit of size: measure it"
        return
    sides = sum(size)
    limit, said = free if free is not None else most, write(sides, Kind.LENGTH)
    if limit is None or sides <= limit:
        return
    has = f"{leg.name}: {bag.name} has {said} of sides, at most {write(limit, Kind.LENGTH)} is free"
    priced = allowance.oversize is not None and most is not None and sides <= most
    if not priced:
        yield f"{has}, and more is not taken"
    elif not paying:
        yield f"{has}: {money_text(allowance.oversize)} for oversize"


def _cabin(flight: Flight, allowance: Allowance, bags: Sequence[Bag], leg: Leg) -> Iterator[str]:
    cabin = allowance.cabin
    if not bags:
        return
    if cabin is None:
        yield f"{allowance.name} says nothing about the cabin: read it in the ticket's conditions"
        return
    if len(bags) > cabin.pieces:
        yield f"{leg.name}: {count(len(bags), 'cabin bag')}, at most {cabin.pieces} may be taken"
    if cabin.mass_g is None:
        yield f"{allowance.name} says no mass for the cabin: read it in the ticket's conditions"
    for bag in bags:
        if cabin.size is None:
            continue
        size = size_of(bag, flight.kit)
        if size is None:
            yield f"{bag.name} was not measured, and the cabin has a limit of size: measure it"
        elif not goes_in(size, cabin.size):
            yield f"{leg.name}: {bag.name} is too large for the cabin of {allowance.name}"


def goes_in(size: Size, room: Size) -> bool:
    """Whether a body goes into a room without standing askew, turned any way."""
    return all(a <= b for a, b in zip(sorted(size), sorted(room), strict=True))


def interval_words(total: Total) -> str:
    """A mass with its interval: "25.99 kg (25.91 to 26.06)"."""
    low, high = total.interval()
    return f"{grams(total.grams)} ({max(0, low) / KILO:.2f} to {high / KILO:.2f} kg)"
