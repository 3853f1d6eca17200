"""A first packing by common sense: everything at home, then the cheapest repairs, one by one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import islice, product

from toolbox.flight.packing_load import Load, Spot
from toolbox.flight.packing_problem import Fate, PackingProblem, Places
from toolbox.flight.packing_tables import Tables

_WAYS = 16  # ways through the bags tried for an item that has no bag for all legs
TRIALS = 12_000  # changes tried in all


def packed_by_sense(tables: Tables, stop: Callable[[], bool], trials: int = TRIALS) -> Load:
    """A packing, which may still break limits; ``trials`` counts the changes looked at.

    Things start in their home, the heaviest of the rest follow into the bag where they
    do least harm; then single changes are made as long as one helps.
    """
    load = Load(tables)
    rest = _all_at_home(load)
    for item in sorted(rest, key=lambda i: (-heaviest(load.problem, i), i)):
        trials -= _place(load, item)
    improve(load, stop, trials)
    if load.keeps_limits():
        load.money = load.cents()
        improve(load, stop, trials)
    return load


def rehomed(load: Load, stop: Callable[[], bool], trials: int = TRIALS) -> None:
    """Bring everything home and repair again, within the money and the lost work that is allowed.

    What is sent, bought or left stays so when it serves a job.
    """
    serving = {i for job in load.problem.jobs if job.worth for need in job.needs for i in need}
    _all_at_home(load, frozenset(i for i in serving if load.is_away(i)))
    improve(load, stop, trials)


def _all_at_home(load: Load, but: frozenset[int] = frozenset()) -> list[int]:
    """Put things into their home as far as the rules let them; returns those still nowhere."""
    for item, thing in enumerate(load.problem.items):
        if thing.home is not None and item not in but:
            spot = next((s for s in spots_for(load, item) if _is_home(load, item, s)), None)
            if spot is not None:
                load.put(item, spot)
    return [item for item, spot in enumerate(load.spots) if spot is None]


def _is_home(load: Load, item: int, spot: Spot) -> bool:
    return spot.fate is Fate.CARRIED and load.moves_of(item, spot) == 0


def loaded(tables: Tables, places: Places, fates: Sequence[Fate]) -> Load:
    """A packing to be worked on."""
    load = Load(tables)
    for item, fate in enumerate(fates):
        load.put(item, Spot(fate, tuple(row[item] for row in places)))
    return load


def improve(
    load: Load, stop: Callable[[], bool], trials: int = TRIALS, *, widen: bool = False
) -> None:
    """Make single changes as long as one helps; ``widen``: even if only the margin gains."""
    items = sorted(range(len(load.spots)), key=lambda i: (-heaviest(load.problem, i), i))
    while trials > 0 and not stop():
        before = load.worth()
        for item in items:
            if widen or load.could_gain(item):
                trials -= _improve(load, item)
            if trials <= 0 or stop():
                break
        if load.worth() == before:
            break


def heaviest(problem: PackingProblem, item: int) -> int:
    """Grams of an item on the leg where it is heaviest."""
    return max(grams or 0 for grams in problem.items[item].grams)


def _place(load: Load, item: int) -> int:
    """Put an item where it does least harm; of equal places the fullest."""
    tried = [(_with(load, item, spot), spot) for spot in spots_for(load, item)]
    if tried:
        load.put(item, min(tried, key=lambda t: (*t[0][:-1], -t[0][-1]))[1])
    return len(tried)


def _with(load: Load, item: int, spot: Spot) -> tuple[int, ...]:
    before = load.spots[item]
    load.put(item, spot)
    worth = load.worth()
    load.put(item, before)
    return worth


def _improve(load: Load, item: int) -> int:
    """Make the best single change of an item that helps; returns how many were tried."""
    here = load.spots[item]
    best, best_worth = here, load.worth()
    tried = 0
    for spot in spots_for(load, item):
        if spot != here:
            tried += 1
            worth = _with(load, item, spot)
            if worth < best_worth:
                best, best_worth = spot, worth
    if best is not here:
        load.put(item, best)
    return tried


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
