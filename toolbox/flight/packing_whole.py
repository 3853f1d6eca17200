"""From things cut up by the gram to whole things: packing what came out of the relaxed question.

With the same things at home, sent and paid for only few are left to be put somewhere. Where
they cannot be put to the gram, limits are exceeded by as little as can be, and two bags at
a time are packed anew until none is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import combinations
from random import Random

from toolbox.flight.packing_exchange import Exchange, Thing
from toolbox.flight.packing_limits import masses_and_rooms
from toolbox.flight.packing_model import PackingModel
from toolbox.flight.packing_pace import Pace
from toolbox.flight.packing_problem import Aim, Fate
from toolbox.flight.packing_rough import Known, Rough, known_of
from toolbox.flight.packing_tables import Tables, serving

Way = Callable[[Tables, Rough, Mapping[Aim, int], Pace], Known | None]

_SHARE = 0.25  # of the work left, for packing outright, and for mending
_QUICK = 0.12  # of the work left, for exchanging
_MOST = 0.6  # units
_PAIR = 0.05  # units for two bags
_TRIES = 400  # exchanges at most
_LOOK = 1e-6  # what a look at a thing, or at two, counts as, in units
_MORE_THINGS = 50  # one in so many may be moved besides where moves are not yet sought
_MORE_MOVES = 20  # one in so many that must be moved may be moved besides


def packed_whole(
    tables: Tables, rough: Rough, values: Mapping[Aim, int], pace: Pace
) -> Known | None:
    """A packing that holds what aims came to, or None where none was found outright.

    ``values`` are those of all aims; the widest margin is sought, but not to be held.
    """
    model = PackingModel(tables)
    *before, last = values
    for aim in before:
        model.hold(model.goal(aim), values[aim])
    work, stop = pace.part(_SHARE, _MOST)
    settled = _as_rough(model, rough)
    solved = model.solve(model.goal(last), work=work, stop=stop, settled=settled)
    pace.took(solved.work)
    return known_of(solved) if solved.value is not None else None


def _as_rough(model: PackingModel, rough: Rough) -> list[tuple[object, int]]:
    packed = rough.packed
    return [
        *model.decided(packed.places, packed.fates, homes=rough.homes),
        *model.paid(packed.fates, packed.bought),
    ]


def exchanged(tables: Tables, rough: Rough, values: Mapping[Aim, int], pace: Pace) -> Known | None:
    """Things put where there is room, then exchanged to the gram; None where that fails.

    What is not cut up stays where it came out. Where the margin is sought first, the widest
    that is found.
    """
    reserve = values[Aim.MARGIN] if Aim.MARGIN in values and len(rough.values) == 1 else 0
    places = [list(row) for row in rough.packed.places]
    for flights in tables.packings:
        things = things_of(tables, rough.packed, [flight[0] for flight in flights])
        if things is None:
            return None
        exchange = exchange_of(tables, rough, list(things.values()), flights)
        found = exchange.run(reserve, _TRIES, pace.part(_QUICK)[1])
        if found is None and next(iter(rough.values)) not in (Aim.MOVES, Aim.MARGIN):
            exchange.ease(len(things) // _MORE_THINGS)  # there are fewer once they are sought
            found = exchange.run(reserve, _TRIES, pace.part(_QUICK)[1])
        pace.took(exchange.looked * _LOOK)
        if found is None:
            return None
        for item, bag in zip(things, found.bags, strict=True):
            for leg in (leg for flight in flights for leg in flight):
                if tables.problem.items[item].grams[leg] is not None:
                    places[leg][item] = bag
    return rough.packed._replace(places=tuple(map(tuple, places)))


def exchange_of(
    tables: Tables, rough: Rough, things: Sequence[Thing], flights: Sequence[tuple[int, ...]]
) -> Exchange:
    """The bags of one packing to be filled, with no more moves than came out."""
    packed, bags = rough.packed, tables.problem.bags
    legs = {flight[0] for flight in flights}
    tops = [t for t in packed.tops if t.leg in legs and not set(packed.taken).isdisjoint(t.bags)]
    moves = len(things)
    if rough.homes:
        moves = sum(thing.home is not None and thing.home != thing.bag for thing in things)
    rooms = {b: room for b in packed.taken for room in (bags[b].room,) if room is not None}
    return Exchange(things, {b: bags[b].tare_g for b in packed.taken}, rooms, tops, moves)


def things_of(tables: Tables, packed: Known, legs: Sequence[int]) -> dict[int, Thing] | None:
    """What flies on some legs, by item; None where something has no bag to lie in."""
    problem, found = tables.problem, {}
    fixed = {tables.kind_of[i] for goods in problem.limits for i, n in goods.units if n}
    if problem.spread:
        fixed |= serving(tables)
    for number, (item, fate) in enumerate(zip(problem.items, packed.fates, strict=True)):
        grams = {leg: g for leg in legs for g in (item.grams[leg],) if g is not None}
        if fate is not Fate.CARRIED or not grams:
            continue
        kind = tables.kinds[tables.kind_of[number]]
        bags = frozenset(packed.taken).intersection(*(kind.bags[leg] for leg in grams))
        bag = packed.places[next(iter(grams))][number]
        if bag is None and not bags:
            return None
        even = len(grams) == len(legs) and len(set(grams.values())) == 1
        loose = even and tables.kind_of[number] not in fixed
        found[number] = Thing(grams, item.volume, bags, bag, item.home, loose)
    return found


def mended(tables: Tables, rough: Rough, values: Mapping[Aim, int], pace: Pace) -> Known | None:
    """Too heavy at first, two bags at a time packed anew until nothing is too heavy.

    A few more things may be moved than came out.
    """
    model = PackingModel(tables, elastic=masses_and_rooms(tables))
    for aim, value in values.items():
        if aim is not Aim.MARGIN:
            more = value // _MORE_MOVES if aim is Aim.MOVES else 0
            model.hold(model.goal(aim), value + more)
    work, stop = pace.part(_SHARE, _MOST)
    best = model.solve(model.over(), work=work, stop=stop, settled=_as_rough(model, rough))
    pace.took(best.work)
    pairs = list(combinations(range(len(tables.problem.bags)), 2))
    Random(1).shuffle(pairs)
    left, late = pace.part(_SHARE, _MOST)
    while best.value and pairs and left > 0 and not late():
        settled = [
            *model.nearby(best.places, best.fates, pairs.pop()),
            *model.paid(best.fates, best.bought),
        ]
        model.hint(best.places, best.fates)
        solved = model.solve(
            model.over(), work=min(left, _PAIR), stop=late, settled=settled, hinted=True
        )
        pace.took(solved.work)
        left -= solved.work
        if solved.value is not None and solved.value <= best.value:
            best = solved
    return known_of(best) if best.value == 0 else None
