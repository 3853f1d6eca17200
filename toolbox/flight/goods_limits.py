"""Limits that add up over a person's bags or in one bag, and what to do about each thing.

A thing counts under a limit when one of the limit's rules holds for it, or may hold because
a figure is missing; so nothing slips past a limit for want of a figure.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from toolbox.flight.goods import Answer, Judged, Scope
from toolbox.kit.goods import GoodsLimit, GoodsRules, Holds, Per, Say, Unit
from toolbox.kit.trips import Carriage


class Deed(Enum):
    """What to do about a thing before the flight."""

    NOTHING = "leave it where it is"
    TAKE_OUT = "take it out; buy it there or send it by ground"
    TO_CABIN = "move it to the cabin"
    TO_HOLD = "move it to the hold"
    ASK = "ask the carrier"
    SHEET = "read its safety sheet"


class LimitRow(NamedTuple):
    """A limit with the units that one piece of each thing counts: a linear constraint."""

    limit: GoodsLimit
    units: tuple[tuple[str, int], ...]


class Placed(NamedTuple):
    """Some pieces of a thing in a bag, and the person who answers for the bag."""

    thing: str
    pieces: int
    bag: str
    person: str


@dataclass(frozen=True, slots=True)
class OverLimit:
    """A limit that is passed: by whom (or in which bag), how much there is, which things."""

    limit: GoodsLimit
    whose: str
    found: int
    things: tuple[str, ...]

    @property
    def excess(self) -> int:
        """How many units must come out."""
        return self.found - self.limit.most


def limit_rows(judged: Collection[Judged], rules: GoodsRules, scope: Scope) -> tuple[LimitRow, ...]:
    """The limits that hold on the trip and that any thing counts under."""
    named = {Holds.DEPARTURE: scope.departures, Holds.SCREENING: scope.screenings}
    sets = {s.id for s in rules.sets if s.holds is Holds.ALWAYS or s.id in named[s.holds]}
    found = []
    for limit in rules.limits:
        if limit.set not in sets:
            continue
        units = tuple(
            (j.thing.id, _units(j, limit)) for j in judged if set(j.rules) & set(limit.rules)
        )
        if units := tuple(pair for pair in units if pair[1]):
            found.append(LimitRow(limit, units))
    return tuple(found)


def _units(judged: Judged, limit: GoodsLimit) -> int:
    if limit.unit is Unit.PIECES:
        return 1
    goods = judged.thing.goods
    net = goods.net_ml if goods is not None else None
    # what does not say its contents counts as a whole limit: it is asked about anyway
    return limit.most if net is None else net


def over_limits(rows: Iterable[LimitRow], placed: Sequence[Placed]) -> tuple[OverLimit, ...]:
    """Every limit that things in these bags pass, by limit and then by person or bag."""
    found = []
    for limit, units in rows:
        each = dict(units)
        sums: dict[str, int] = {}
        things: dict[str, list[str]] = {}
        for p in placed:
            if p.thing in each and p.pieces:
                whose = p.person if limit.per is Per.PERSON else p.bag
                sums[whose] = sums.get(whose, 0) + each[p.thing] * p.pieces
                things.setdefault(whose, []).append(p.thing)
        found += [
            OverLimit(limit, whose, total, tuple(dict.fromkeys(things[whose])))
            for whose, total in sums.items()
            if total > limit.most
        ]
    return tuple(found)


def deed(judged: Judged, carriage: Carriage | None) -> Deed:
    """What to do about a thing that lies in the hold or the cabin bag (None: in no bag)."""
    if judged.answer is Answer.NO:
        return Deed.TAKE_OUT if carriage is not None else Deed.NOTHING
    here = judged.says(carriage) if carriage is not None else Say.NO
    if here is Say.YES:
        return Deed.NOTHING
    if judged.answer is Answer.ASK:
        return Deed.ASK
    if judged.answer is Answer.SHEET:
        return Deed.SHEET
    if carriage is None:
        return Deed.NOTHING
    return Deed.TO_CABIN if carriage is Carriage.HOLD else Deed.TO_HOLD
