"""What can be done with one item of a packing: each bag that serves, and staying away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice, product

from toolbox.flight.packing_load import Load, Spot
from toolbox.flight.packing_problem import Fate

_WAYS = 16  # ways through the bags tried for an item that has no bag for all legs


def spots_for(load: Load, item: int) -> Iterator[Spot]:
    """What can be done with an item: each bag that serves for all legs, single changes, away."""
    kind = load.tables.kinds[load.tables.kind_of[item]]
    legs = [leg for leg, bags in enumerate(load.problem.items[item].grams) if bags is not None]
    nowhere: tuple[int | None, ...] = (None,) * len(load.problem.legs)
    common = set.intersection(*(set(kind.bags[leg]) for leg in legs))
    for bag in sorted(common):
        yield Spot(Fate.CARRIED, _on(nowhere, legs, bag))
    if load.problem.may_change:
        if not common:
            yield from _ways(load, item, legs)
        yield from _changed(load, item, legs)
    if kind.away_cents is not None:
        yield Spot(kind.away, nowhere)
    if kind.may_leave:
        yield Spot(Fate.LEFT, nowhere)


def _ways(load: Load, item: int, legs: list[int]) -> Iterator[Spot]:
    """Ways through different bags, the same on alike legs."""
    kind = load.tables.kinds[load.tables.kind_of[item]]
    flights = [flight for flight in load.tables.flights if flight[0] in legs]
    for way in islice(product(*(kind.bags[flight[0]] for flight in flights)), _WAYS):
        bags: tuple[int | None, ...] = (None,) * len(load.problem.legs)
        for flight, bag in zip(flights, way, strict=True):
            bags = _on(bags, flight, bag)
        yield Spot(Fate.CARRIED, bags)


def _changed(load: Load, item: int, legs: list[int]) -> Iterator[Spot]:
    """The present spot with another bag on the legs of one packing."""
    here = load.spots[item]
    kind = load.tables.kinds[load.tables.kind_of[item]]
    if here is None or here.fate is not Fate.CARRIED:
        return
    for flight in load.tables.flights:
        if flight[0] in legs:
            for bag in kind.bags[flight[0]]:
                yield Spot(Fate.CARRIED, _on(here.bags, flight, bag))


def _on(bags: tuple[int | None, ...], legs: Sequence[int], bag: int) -> tuple[int | None, ...]:
    return tuple(bag if leg in legs else other for leg, other in enumerate(bags))
