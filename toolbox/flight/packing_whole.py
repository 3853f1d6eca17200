"""From things cut up by the gram to whole things: packing what came out of the relaxed question.

With the same things at home, sent and paid for only few are left to be put somewhere. Where
they cannot be put to the gram, limits are exceeded by as little as can be, and two bags at
a time are packed anew until none is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import combinations
from random import Random

from toolbox.flight.packing_limits import masses_and_rooms
from toolbox.flight.packing_model import PackingModel, Solved
from toolbox.flight.packing_pace import Pace
from toolbox.flight.packing_problem import Aim
from toolbox.flight.packing_rough import Rough
from toolbox.flight.packing_tables import Tables

Way = Callable[[Tables, Rough, Mapping[Aim, int], Pace], Solved | None]

_SHARE = 0.25  # of the work left, for packing outright, and for mending
_MOST = 0.6  # units
_PAIR = 0.05  # units for two bags
_MORE_MOVES = 20  # one in so many that must be moved may be moved besides


def packed_whole(
    tables: Tables, rough: Rough, values: Mapping[Aim, int], pace: Pace
) -> Solved | None:
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
    return solved if solved.value is not None else None


def _as_rough(model: PackingModel, rough: Rough) -> list[tuple[object, int]]:
    packed = rough.packed
    return [
        *model.decided(packed.places, packed.fates, homes=rough.homes),
        *model.paid(packed.fates, packed.bought),
    ]


def mended(tables: Tables, rough: Rough, values: Mapping[Aim, int], pace: Pace) -> Solved | None:
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
    return best if best.value == 0 else None
