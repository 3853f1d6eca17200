"""Small random trips by air, and all their packings by plain enumeration.

Shares nothing with the package but its value types.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from random import Random

from toolbox.flight.packing_problem import (
    Allowance,
    Bag,
    Band,
    ByPiece,
    ByWeight,
    Cabin,
    Fate,
    GoodsLimit,
    Item,
    Job,
    Leg,
    PackingProblem,
    Per,
    Places,
)


def random_trip(seed: int, *, may_change: bool = False, spread: bool = False) -> PackingProblem:
    """A trip with a handful of items and bags, one or two legs and one or two people."""
    dice = Random(seed)
    people = dice.choice((1, 1, 2))
    legs = 2 if may_change else dice.choice((1, 1, 2))
    bags = tuple(_bag(dice, b, people) for b in range(dice.choice((2, 2, 3))))
    count = dice.choice((2, 3, 3, 4) if legs == 2 else (3, 4, 5))
    items = tuple(_item(dice, i, len(bags), legs) for i in range(count))
    jobs = tuple(_job(dice, j, len(items)) for j in range(dice.choice((0, 1, 2, 3))))
    flights = tuple(_leg(dice, n, people, len(items), len(bags)) for n in range(legs))
    if legs == 2 and dice.random() < 0.3:
        flights = (flights[0], flights[0])
    limits = tuple(_goods(dice, n, len(items), len(bags)) for n in range(dice.choice((0, 0, 1))))
    out = dice.randint(1, legs)
    names = ("Ann", "Ben")[:people]
    return PackingProblem(
        names, items, bags, flights, limits, jobs, may_change, spread, legs_out=out
    )


def _bag(dice: Random, number: int, people: int) -> Bag:
    return Bag(
        f"bag {number}",
        dice.randrange(people),
        dice.choice((0, 500, 2000)),
        cabin=dice.random() < 0.3,
        room=dice.choice((None, None, 60)),
        limit_g=dice.choice((None, None, None, 9000)),
        sides=dice.choice((1200, 1580, 1900)),
        always=dice.random() < 0.3,
    )


def _item(dice: Random, number: int, bags: int, legs: int) -> Item:
    grams = [dice.choice((1000, 1000, 2500, 4001, 6000))] * legs
    if legs == 2 and dice.random() < 0.4:
        grams[dice.choice((0, 1, 1))] = dice.choice((None, 700))
    some_bag = dice.choice((None, *range(bags)))
    fate = dice.random()
    return Item(
        f"thing {number}",
        tuple(grams),
        volume=dice.choice((0, 10, 30)),
        hold=dice.random() < 0.9,
        cabin=dice.random() < 0.7,
        no_bags=(dice.randrange(bags),) if dice.random() < 0.1 else (),
        fixed=some_bag if dice.random() < 0.1 else None,
        home=dice.choice((None, *range(bags))),
        ship_cents=dice.choice((0, 900, 4000)) if fate < 0.25 else None,
        buy_cents=dice.choice((500, 3000)) if fate < 0.1 else None,
        may_leave=dice.random() < 0.4,
    )


def _job(dice: Random, number: int, items: int) -> Job:
    needs = tuple(
        tuple(dice.sample(range(items), dice.choice((1, 1, 2))))
        for _ in range(dice.choice((1, 1, 2)))
    )
    return Job(f"job {number}", needs, dice.choice((1, 5, 12)))


def _leg(dice: Random, number: int, people: int, items: int, bags: int) -> Leg:
    if people == 2 and dice.random() < 0.5:
        allowances: tuple[Allowance, ...] = (_allowance(dice, (0, 1)),)
    else:
        allowances = tuple(_allowance(dice, (p,)) for p in range(people))
    cabins = tuple(
        Cabin(dice.choice((None, 3000, 5000, 8000)), dice.choice((None, 1))) for _ in range(people)
    )
    return Leg(
        f"leg {number}",
        allowances,
        cabins,
        no_hold=(dice.randrange(items),) if dice.random() < 0.1 else (),
        no_cabin=(dice.randrange(items),) if dice.random() < 0.2 else (),
        no_bags=(dice.randrange(bags),) if dice.random() < 0.05 else (),
    )


def _allowance(dice: Random, people: tuple[int, ...]) -> Allowance:
    sides = dice.choice(((), (Band(1580, 0), Band(2000, 700)), (Band(1580, 0),)))
    if dice.random() < 0.5:
        masses = dice.choice(
            (
                (Band(5000, 0), Band(8000, 3000)),
                (Band(6000, 0),),
                (Band(3000, 0), Band(6000, 1000), Band(11000, 4000)),
            )
        )
        extra = dice.choice(((), (5000,), (5000, 2000)))
        return ByPiece(people, dice.choice((0, 1, 1, 2)), masses, extra, sides)
    return ByWeight(
        people,
        dice.choice((4000, 7000, 10000)),
        dice.choice((None, 400, 400)),
        dice.choice((None, None, 11500)),
        dice.choice((None, 9000)),
        sides,
    )


def _goods(dice: Random, number: int, items: int, bags: int) -> GoodsLimit:
    units = tuple((i, dice.choice((1, 2))) for i in range(items) if dice.random() < 0.6)
    some = dice.choice((None, (0,), tuple(range(bags))))
    return GoodsLimit(
        f"goods {number}", units, dice.choice((1, 2, 3)), dice.choice(tuple(Per)), some
    )


Packing = tuple[Places, tuple[Fate, ...]]


def every_packing(trip: PackingProblem) -> Iterator[Packing]:
    """Every way to treat every item, whether or not it keeps the limits."""
    options = [list(_options(trip, i)) for i in range(len(trip.items))]
    for chosen in product(*options):
        places = tuple(tuple(bags[leg] for bags, _ in chosen) for leg in range(len(trip.legs)))
        yield places, tuple(fate for _, fate in chosen)


def _options(trip: PackingProblem, number: int) -> Iterator[tuple[tuple[int | None, ...], Fate]]:
    item = trip.items[number]
    ways = (
        product(*(range(len(trip.bags)) if g is not None else (None,) for g in item.grams))
        if trip.may_change
        else (
            tuple(b if g is not None else None for g in item.grams) for b in range(len(trip.bags))
        )
    )
    for way in ways:
        if all(b is None or _allowed(trip, number, b, leg) for leg, b in enumerate(way)):
            yield way, Fate.CARRIED
    nowhere = (None,) * len(trip.legs)
    if item.ship_cents is not None:
        yield nowhere, Fate.SHIPPED
    if item.buy_cents is not None:
        yield nowhere, Fate.BOUGHT
    if item.may_leave:
        yield nowhere, Fate.LEFT


def _allowed(trip: PackingProblem, number: int, bag: int, leg: int) -> bool:
    item = trip.items[number]
    if trip.bags[bag].cabin:
        fits = item.cabin and number not in trip.legs[leg].no_cabin
    else:
        fits = item.hold and number not in trip.legs[leg].no_hold
    return fits and bag not in item.no_bags and (item.fixed is None or item.fixed == bag)


def worth(trip: PackingProblem, packing: Packing) -> tuple[int, ...] | None:
    """Money, lost work, [worst loss,] moves, minus margin; None when a limit is broken."""
    places, fates = packing
    used = {b for row in places for b in row}
    flying = [b for b, bag in enumerate(trip.bags) if bag.always or b in used]
    cents, margins = 0, []
    for i, fate in enumerate(fates):
        cents += (trip.items[i].ship_cents or 0) if fate is Fate.SHIPPED else 0
        cents += (trip.items[i].buy_cents or 0) if fate is Fate.BOUGHT else 0
    for leg in range(len(trip.legs)):
        found = _leg_worth(trip, leg, places[leg], flying)
        if found is None:
            return None
        cents += found[0]
        margins += found[1]
    there = {i for i, fate in enumerate(fates) if fate is not Fate.LEFT}
    lost = _lost(trip, there)
    value = [cents, sum(trip.jobs[j].worth for j in lost)]
    if trip.spread:
        value.append(_worst(trip, places, there, flying))
    value.append(_moves(trip, places))
    if margins:
        value.append(-min(margins))
    return tuple(value)


def _leg_worth(
    trip: PackingProblem, leg: int, row: tuple[int | None, ...], flying: list[int]
) -> tuple[int, list[int]] | None:
    """Money of one leg and what is free below each limit; None when one is broken."""
    flight = trip.legs[leg]
    inside = {b: [trip.items[i] for i, at in enumerate(row) if at == b] for b in flying}
    mass = {b: trip.bags[b].tare_g + sum(t.grams[leg] for t in inside[b]) for b in flying}
    cents, free = 0, []
    for b in flying:
        bag = trip.bags[b]
        if b in flight.no_bags:
            return None
        if bag.room is not None and sum(t.volume for t in inside[b]) > bag.room:
            return None
        if bag.limit_g is not None:
            free.append(bag.limit_g - mass[b])
    for allowance in flight.allowances:
        held = [
            b for b in flying if not trip.bags[b].cabin and trip.bags[b].person in allowance.people
        ]
        for b in held:
            if allowance.sides:
                steps = [band.cents for band in allowance.sides if trip.bags[b].sides <= band.most]
                if not steps:
                    return None
                cents += steps[0]
        total = sum(mass[b] for b in held)
        if isinstance(allowance, ByPiece):
            beyond = max(0, len(held) - allowance.pieces)
            if beyond > len(allowance.extra):
                return None
            cents += sum(allowance.extra[:beyond])
            for b in held:
                steps = [band for band in allowance.masses if mass[b] <= band.most]
                if not steps:
                    return None
                cents += steps[0].cents
                free.append(steps[0].most - mass[b])
        else:
            if allowance.piece_g is not None:
                free += [allowance.piece_g - mass[b] for b in held]
            kilos = 0
            while allowance.kg_cents and total > allowance.pooled_g + 1000 * kilos:
                kilos += 1
            cents += kilos * (allowance.kg_cents or 0)
            if held:
                tops = [allowance.pooled_g + 1000 * kilos]
                if allowance.most_g is not None:
                    tops.append(allowance.most_g)
                free.append(min(tops) - total)
    for person, (most, pieces) in enumerate(flight.cabins):
        mine = [b for b in flying if trip.bags[b].cabin and trip.bags[b].person == person]
        if pieces is not None and len(mine) > pieces:
            return None
        if most is not None and mine:
            free.append(most - sum(mass[b] for b in mine))
    if any(f < 0 for f in free) or _too_many_goods(trip, leg, row):
        return None
    return cents, free


def _too_many_goods(trip: PackingProblem, leg: int, row: tuple[int | None, ...]) -> bool:
    for limit in trip.limits:
        counts: dict[object, int] = {}
        for i, units in limit.units:
            b = row[i]
            if b is not None and (limit.bags is None or b in limit.bags):
                key = trip.bags[b].person if limit.per is Per.PERSON else b
                counts[key] = counts.get(key, 0) + units
        if (limit.legs is None or leg in limit.legs) and any(
            n > limit.most for n in counts.values()
        ):
            return True
    return False


def _lost(trip: PackingProblem, there: set[int]) -> set[int]:
    return {
        j for j, job in enumerate(trip.jobs) if not all(there & set(need) for need in job.needs)
    }


def _worst(
    trip: PackingProblem,
    places: tuple[tuple[int | None, ...], ...],
    there: set[int],
    flying: list[int],
) -> int:
    worst = sum(trip.jobs[j].worth for j in _lost(trip, there))
    for b in flying:
        if not trip.bags[b].cabin:
            undone: set[int] = set()
            for row in places[: trip.legs_out]:
                undone |= _lost(trip, there - {i for i, at in enumerate(row) if at == b})
            worst = max(worst, sum(trip.jobs[j].worth for j in undone))
    return worst


def _moves(trip: PackingProblem, places: Places) -> int:
    moves = 0
    for i, item in enumerate(trip.items):
        legs = [leg for leg, grams in enumerate(item.grams) if grams is not None]
        for leg in legs if trip.may_change else legs[:1]:
            at = places[leg][i]
            moves += at is None or (item.home is not None and at != item.home)
    return moves


def best_of(trip: PackingProblem) -> tuple[int, ...] | None:
    """The best worth among all packings; None when none keeps the limits."""
    worths = (worth(trip, packing) for packing in every_packing(trip))
    return min((w for w in worths if w is not None), default=None)
