"""The packing question of a trip: bags, masses, allowances, goods answers and planned work
joined into the plain whole numbers that ``flight/packing`` solves.

Each bag counts with its interval: the guard, U = 2 u of its total, is added to its empty
mass, so that what the solver finds fits and is not merely at risk. What a rule leaves to
the carrier or to a safety sheet is packed where least is asked, and stays an open question.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from toolbox.carry.coverage import needs_of
from toolbox.desk.errors import DeskError
from toolbox.desk.flight_bags import goes_in, groups_of, size_of
from toolbox.desk.trips import Flight
from toolbox.flight import packing_problem as ask
from toolbox.flight.contents import Content
from toolbox.kit.goods import Per, Say
from toolbox.kit.things import Size, Supply, base_id
from toolbox.kit.trips import Allowance, Bag, Carriage, Concept, Other, Way, Work

WORTH = 100  # one expected time of an ordinary job, in the solver's whole units
_CM3 = 10**6  # cubic tenths of a millimetre in a cubic centimetre
_NO_END_G = 10**9


@dataclass(frozen=True, slots=True)
class Asked:
    """A packing question and what its numbers stand for.

    Items are the copies of ``flight.contents``, bags and people those of the trip in their
    order. ``jobs`` are the works counted in the problem; ``undoable`` those that cannot be
    done with what lies in the bags, whatever is packed. ``guards`` are grams of each bag.
    """

    flight: Flight
    problem: ask.PackingProblem
    jobs: tuple[Work, ...]
    undoable: tuple[Work, ...]
    guards: tuple[int, ...]


def packing_question(flight: Flight, guards: Sequence[int], *, spread: bool = False) -> Asked:
    """The question for a trip as it stands; ``guards`` are grams kept free in each bag.

    Bags may be packed anew on the way only when every leg after the first allows it.
    """
    legs = flight.trip.legs
    numbers = {copy.id: n for n, copy in enumerate(flight.contents)}
    jobs, undoable = _jobs(flight)
    problem = ask.PackingProblem(
        people=tuple(person.name for person in flight.trip.people),
        items=tuple(_item(flight, copy) for copy in flight.contents),
        bags=tuple(_bag(flight, b, g) for b, g in zip(flight.trip.bags, guards, strict=True)),
        legs=tuple(_leg(flight, number) for number in range(len(legs))),
        limits=tuple(_limits(flight, numbers)),
        jobs=tuple(job for _, job in jobs),
        may_change=len(legs) > 1 and all(leg.repack for leg in legs[1:]),
        spread=spread,
        legs_out=max(1, sum(not leg.back for leg in legs)),
    )
    return Asked(flight, problem, tuple(w for w, _ in jobs), undoable, tuple(guards))


def _item(flight: Flight, copy: Content) -> ask.Item:
    bags = flight.trip.bags
    number = {bag.id: n for n, bag in enumerate(bags)}
    left = copy.id in flight.left
    ways = {} if left else _ways(flight, copy)
    must = base_id(copy.id) in flight.trip.must
    lies = flight.now.get(copy.id, copy.bag)
    # what was taken out stays out, unless it must fly
    out = left or (lies is None and not must)
    hold, cabin = (False, False) if out else _places(flight, copy)
    # what may fly nowhere stays at home unless the mechanic named other ways for it
    nowhere = not (hold or cabin) and not ways and not must
    return ask.Item(
        name=copy.name,
        grams=tuple(flight.grams(copy, leg) for leg in flight.trip.legs),
        volume=math.ceil(_volume(flight, copy) / _CM3),
        hold=hold,
        cabin=cabin,
        no_bags=tuple(n for n, b in enumerate(bags) if b.id != lies and not _goes_into(copy, b)),
        fixed=number[copy.bag] if copy.fixed and not out else None,
        home=number[copy.bag if lies is None else lies],
        ship_cents=_cents(ways.get(Other.SHIP)),
        buy_cents=_cents(ways.get(Other.BUY)),
        may_leave=left or nowhere or Other.LEAVE in ways,
    )


def _ways(flight: Flight, copy: Content) -> dict[Other, Way]:
    """What else can be done with it; what must fly has no other way."""
    item = base_id(copy.id)
    if item in flight.trip.must:
        return {}
    return {way.other: way for way in flight.trip.ways if way.item == item}


def _cents(way: Way | None) -> int | None:
    if way is None:
        return None
    return way.price.hundredths if way.price is not None else 0


def _places(flight: Flight, copy: Content) -> tuple[bool, bool]:
    """Hold and cabin: where least has to be asked; never where it is forbidden.

    What is fixed keeps its bag as long as that is not forbidden.
    """
    judged = flight.judged[copy.id]
    if copy.fixed:
        say = judged.says(flight.bag(copy.bag).carriage)
        return say is not Say.NO, say is not Say.NO
    least = min(judged.hold.strictness, judged.cabin.strictness)
    hold, cabin = (
        say is not Say.NO and say.strictness == least for say in (judged.hold, judged.cabin)
    )
    return hold, cabin


def _volume(flight: Flight, copy: Content) -> int:
    """Cubic tenths of a millimetre; a piece has its share of the pack, the unknown none."""
    if copy.size is not None:
        return math.prod(copy.size)
    supply = _supply(flight, copy)
    if supply is None or supply.size is None or not supply.pack:
        return 0
    return math.prod(supply.size) // supply.pack


def _supply(flight: Flight, copy: Content) -> Supply | None:
    return next((s for s in flight.kit.supplies if s.id == base_id(copy.id)), None)


def _goes_into(copy: Content, bag: Bag) -> bool:
    """Whether a thing may be put into a bag, as far as its size goes.

    In the kit's box only what belongs there has a place.
    """
    if bag.id == copy.bag:
        return True
    if bag.box:
        return False
    return copy.size is None or bag.inside is None or goes_in(copy.size, bag.inside)


def _bag(flight: Flight, bag: Bag, guard: int) -> ask.Bag:
    person = [p.id for p in flight.trip.people].index(bag.answers)
    # a reading of the packed bag counts as if the empty bag weighed what it leaves over
    empty = flight.total(bag, dict.fromkeys(c.id for c in flight.contents)).grams
    if empty < 0:
        raise DeskError(
            f"{bag.name} was weighed and what lies in it weighs {-empty} g more than that "
            "reading; weigh it again or put the masses right"
        )
    size = size_of(bag, flight.kit)
    room = None if bag.inside is None or bag.box else math.prod(bag.inside) // _CM3
    return ask.Bag(
        name=bag.name,
        person=person,
        tare_g=empty + guard,
        cabin=bag.carriage is Carriage.CABIN,
        room=room,
        limit_g=bag.limit_g,
        sides=sum(size) if size is not None else 0,
    )


def _leg(flight: Flight, number: int) -> ask.Leg:
    leg = flight.trip.legs[number]
    people = [p.id for p in flight.trip.people]
    cabins = [flight.trip.allowance(leg, person).cabin for person in people]
    return ask.Leg(
        name=leg.name,
        allowances=tuple(
            _allowance(allowance, tuple(people.index(p) for p in group))
            for allowance, group in groups_of(flight, number)
        ),
        cabins=tuple(
            ask.Cabin() if cabin is None else ask.Cabin(cabin.mass_g, cabin.pieces)
            for cabin in cabins
        ),
        no_bags=tuple(
            n
            for n, bag in enumerate(flight.trip.bags)
            if bag.carriage is Carriage.CABIN
            and _too_large(size_of(bag, flight.kit), cabins[people.index(bag.answers)])
        ),
    )


def _too_large(size: Size | None, cabin: object) -> bool:
    room = getattr(cabin, "size", None)
    return size is not None and room is not None and not goes_in(size, room)


def _allowance(allowance: Allowance, people: tuple[int, ...]) -> ask.Allowance:
    sides = tuple(_side_bands(allowance))
    if allowance.concept is Concept.PIECE:
        masses = [ask.Band(allowance.mass_g, 0)]
        masses += [ask.Band(band.up_to_g, band.price.hundredths) for band in allowance.bands]
        extra = tuple(price.hundredths for price in allowance.extra_pieces)
        return ask.ByPiece(people, allowance.pieces or 0, tuple(masses), extra, sides)
    share = len(people) if allowance.pooled else 1
    free, most = allowance.mass_g * share, allowance.most_g
    top = None if most is None else most * share
    cents = None if allowance.per_kg is None else allowance.per_kg.hundredths
    if cents == 0:
        free, cents = (top if top is not None else _NO_END_G), None
    return ask.ByWeight(people, free, cents, top, allowance.ceiling_g, sides)


def _side_bands(allowance: Allowance) -> Iterator[ask.Band]:
    free, most = allowance.sides, allowance.sides_ceiling
    first = free if free is not None else most
    if first is None:
        return
    yield ask.Band(first, 0)
    price = allowance.oversize
    if free is not None and most is not None and price is not None and price.hundredths:
        yield ask.Band(most, price.hundredths)


def _limits(flight: Flight, numbers: Mapping[str, int]) -> Iterator[ask.GoodsLimit]:
    for row in flight.limits:
        yield ask.GoodsLimit(
            row.limit.name,
            tuple((numbers[thing], units) for thing, units in row.units),
            row.limit.most,
            ask.Per.PERSON if row.limit.per is Per.PERSON else ask.Per.BAG,
        )


def _jobs(flight: Flight) -> tuple[list[tuple[Work, ask.Job]], tuple[Work, ...]]:
    """Planned work as sets of copies that serve, and what cannot be done with any of them.

    A job needs each tool or a stand-in for it, and each of its supplies that travels at all:
    one that lies in no bag is taken to be there.
    """
    copies: dict[str, list[int]] = {}
    for number, copy in enumerate(flight.contents):
        copies.setdefault(base_id(copy.id), []).append(number)
    found, undoable = [], []
    for work in flight.trip.work:
        job = flight.kit.job(work.job)
        needs = [
            tuple(n for server in need.servers for n in copies.get(server, ()))
            for need in needs_of(job, flight.kit.tools)
        ]
        drawn = dict.fromkeys(draw.supply for step in job.steps for draw in step.draws)
        needs += [tuple(copies[supply]) for supply in drawn if supply in copies]
        if not all(needs):
            undoable.append(work)
            continue
        weight = flight.kit.settings.urgent_weight if job.urgent else 1
        worth = round(work.expected() * weight * WORTH)
        found.append((work, ask.Job(job.name, tuple(needs), worth)))
    return found, tuple(undoable)
