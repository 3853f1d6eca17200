"""Why there is no layout: plain reasons first, then a small set of demands that can't all hold.

A demand is anything that could be given up: a rule, a thing's place in the box, a
compartment's load limit. The small set is found by giving up as much as possible while
there is still provably no layout, and checked by proving it once more by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import combinations

from toolbox.kit.box import Inside
from toolbox.layout.bars import rival_blocks
from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import lay
from toolbox.layout.possible import ROUNDS, Standing, find_out
from toolbox.layout.problem import LayoutProblem
from toolbox.layout.tables import bits, tables_of
from toolbox.layout.watch import Stop

TRIES = 150  # questions asked to make one set small


@dataclass(frozen=True, slots=True)
class Demand:
    """Something a layout is asked to keep and that could be given up.

    ``place_for`` names an item that is to have a place, ``load_of`` a place whose load
    limit is to hold; ``allowed`` (item, places left to it), ``together`` and ``apart``
    are what a rule asks.
    """

    place_for: int | None = None
    load_of: int | None = None
    allowed: tuple[tuple[int, tuple[int, ...]], ...] = ()
    together: tuple[tuple[int, ...], ...] = ()
    apart: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Conflict:
    """Demands that cannot all hold, by their numbers in the list that was given.

    ``needed[k]`` is true when giving up the k-th alone was proved to help. ``confirmed``:
    a second method proved the contradiction as well.
    """

    demands: tuple[int, ...]
    needed: tuple[bool, ...]
    confirmed: bool


class Measure(Enum):
    """What is added up."""

    AREA = "area"
    LENGTH = "length"
    VOLUME = "volume"
    LOAD = "load"
    SHARE = "share of a place"


_MEASURES = {
    Inside.LAID: Measure.AREA,
    Inside.ROW: Measure.LENGTH,
    Inside.LOOSE: Measure.VOLUME,
}


@dataclass(frozen=True, slots=True)
class Sum:
    """What some items need of the only places open to them, against what is there.

    Lengths in tenths of a millimetre, mass in grams, shares in thousandths of one place
    (each item counted where it takes the smallest part). More needed than there is a proof.
    """

    items: tuple[int, ...]
    places: tuple[int, ...]
    measure: Measure
    need: int
    there: int


@dataclass(frozen=True, slots=True)
class Clash:
    """Items bound to the one place that is left to each, which can't share it."""

    items: tuple[int, ...]
    place: int
    apart: bool  # a rule keeps them apart; else they don't fit in together


def asked(problem: LayoutProblem, demands: Sequence[Demand]) -> LayoutProblem:
    """The problem with these demands only; costs are left out, items may be fewer."""
    kept = sorted({d.place_for for d in demands if d.place_for is not None})
    again = {old: new for new, old in enumerate(kept)}
    left = {i: set(range(len(problem.places))) for i in kept}
    for demand in demands:
        for item, places in demand.allowed:
            if item in left:
                left[item] &= set(places)

    def only(groups: Sequence[tuple[int, ...]]) -> tuple[tuple[int, ...], ...]:
        short = (tuple(again[i] for i in group if i in again) for group in groups)
        return tuple(group for group in short if len(group) > 1)

    free = sum(item.mass_g for item in problem.items)
    loads = {d.load_of for d in demands}
    shapes = (p if n in loads else replace(p, load_g=free) for n, p in enumerate(problem.places))
    return LayoutProblem(
        items=tuple(problem.items[i] for i in kept),
        places=tuple(shapes),
        openings=problem.openings,
        clearance=problem.clearance,
        pick_cost=tuple((0,) * len(problem.places) for _ in kept),
        visits=(),
        allowed=tuple(tuple(sorted(left[i])) for i in kept),
        together=only([group for d in demands for group in d.together]),
        apart=only([group for d in demands for group in d.apart]),
    )


def find_conflict(
    problem: LayoutProblem,
    demands: Sequence[Demand],
    *,
    work: float = 1.0,
    tries: int = TRIES,
    rounds: int = ROUNDS,
    stop: Stop | None = None,
) -> Conflict | None:
    """A small set of demands that can't all hold; None when that is not proved of all of them.

    Sizes of things and places are given facts and never given up. After ``tries``
    questions, or when ``stop`` is thrown, the set found so far is returned, with what is
    known of it. ``work`` and ``rounds`` limit each question.
    """

    def standing(numbers: Sequence[int]) -> Standing:
        return find_out(
            asked(problem, [demands[n] for n in numbers]), work=work, rounds=rounds, stop=stop
        ).standing

    enough = stop or (lambda: False)
    everything = list(range(len(demands)))
    if standing(everything) is not Standing.IMPOSSIBLE:
        return None
    kept, tries = everything, tries - 1
    size = max(1, len(kept) // 2)
    while True:
        at = 0
        while at < len(kept) and tries > 0 and not enough():
            tries -= 1
            fewer = kept[:at] + kept[at + size :]
            if standing(fewer) is Standing.IMPOSSIBLE:
                kept = fewer
            else:
                at += size
        if size == 1 or tries <= 0 or enough():
            break
        size = min(max(1, size // 2), max(1, len(kept) // 2))
    needed = [
        len(kept) <= TRIES and standing([m for m in kept if m != n]) is Standing.POSSIBLE
        for n in kept
    ]
    alone = asked(problem, [demands[n] for n in kept])
    confirmed = any(
        find_out(alone, work=work, rounds=rounds, stop=stop, **way).standing is Standing.IMPOSSIBLE
        for way in ({"presolve": False}, {"package": False})
    )
    return Conflict(tuple(kept), tuple(needed), confirmed)


def sums(problem: LayoutProblem) -> tuple[Sum, ...]:
    """Needs against what is there, for each group of places some item is bound to; tightest first.

    Mass against load for each such group and for the whole box; area, length or volume
    where the places are of one kind, else shares of places.
    """
    tables = tables_of(problem)
    everywhere = (1 << len(tables.room)) - 1
    found = []
    for hull in dict.fromkeys((*tables.option_set, everywhere)):
        blocks = [b for b, mine in enumerate(tables.option_set) if mine and not mine & ~hull]
        places = tuple(bits(hull))
        if not blocks or not places:
            continue
        items = tuple(i for b in blocks for i in tables.blocks[b])
        mass, load = sum(tables.mass[b] for b in blocks), sum(tables.load[p] for p in places)
        found.append(Sum(items, places, Measure.LOAD, mass, load))
        kinds = {problem.places[p].kind for p in places}
        if len(kinds) == 1:
            need = sum(min(tables.use[b][p] for p in places) for b in blocks)
            there = sum(tables.room[p] for p in places)
            found.append(Sum(items, places, _MEASURES[kinds.pop()], need, there))
        else:
            need = sum(
                min(1000 * tables.use[b][p] // max(tables.room[p], 1) for p in tables.options[b])
                for b in blocks
            )
            found.append(Sum(items, places, Measure.SHARE, need, 1000 * len(places)))
    return tuple(sorted(found, key=lambda s: (-s.need / max(s.there, 1), s.places)))


def clashes(problem: LayoutProblem) -> tuple[Clash, ...]:
    """Things that have one place left and can't share it, by a rule or by an exact fit."""
    tables = tables_of(problem)
    rivals = rival_blocks(problem, tables.blocks)
    found = []
    for place, shape in enumerate(problem.places):
        bound = [b for b, options in enumerate(tables.options) if options == (place,)]
        for one, two in combinations(bound, 2):
            if rivals[one] >> two & 1:
                pair = (*tables.blocks[one], *tables.blocks[two])
                found.append(Clash(pair, place, apart=True))
        items = tuple(i for b in bound for i in tables.blocks[b])
        things = [problem.items[i] for i in items]
        if len(bound) > 1 and lay(shape, things, problem.clearance).verdict is Verdict.REFUSED:
            found.append(Clash(items, place, apart=False))
    return tuple(found)
