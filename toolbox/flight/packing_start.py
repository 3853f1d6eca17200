"""A first packing by common sense: everything at home, then the cheapest repairs, one by one."""

from __future__ import annotations

from collections.abc import Callable

from toolbox.flight.packing_fill import fill
from toolbox.flight.packing_load import Load, Spot, heaviest
from toolbox.flight.packing_problem import Fate
from toolbox.flight.packing_spots import spots_for
from toolbox.flight.packing_tables import Tables

TRIALS = 12_000  # changes tried in all
FEW_TRIALS = 2_000  # where an exact search follows


def packed_by_sense(tables: Tables, stop: Callable[[], bool], trials: int = TRIALS) -> Load:
    """A packing, which may still break limits; ``trials`` counts the changes looked at.

    Things start in their home, the heaviest of the rest follow into the bag where they
    do least harm; then single changes are made as long as one helps.
    """
    load = Load(tables)
    rest = _all_at_home(load)
    if len(rest) > len(load.spots) // 2:
        rest = fill(load, rest)
    for item in sorted(rest, key=lambda i: (-heaviest(load.problem, i), i)):
        trials -= _place(load, item)
    improve(load, stop, trials)
    if load.keeps_limits():
        load.money = load.cents()
        improve(load, stop, trials)
    return load


def _all_at_home(load: Load) -> list[int]:
    """Put things into their home as far as the rules let them; returns those still nowhere."""
    for item, thing in enumerate(load.problem.items):
        if thing.home is not None:
            spot = next((s for s in spots_for(load, item) if _is_home(load, item, s)), None)
            if spot is not None:
                load.put(item, spot)
    return [item for item, spot in enumerate(load.spots) if spot is None]


def _is_home(load: Load, item: int, spot: Spot) -> bool:
    return spot.fate is Fate.CARRIED and load.moves_of(item, spot) == 0


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
