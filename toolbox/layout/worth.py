"""What a change of the box would be worth: the same small search with and without it.

The search moves one block at a time, or swaps two, only where that fits for sure and
makes the day cheaper. It looks only at places where something has changed, so a
change of one place is followed up quickly. What it finds is a layout that can be
packed, so a gain is a gain of at least that much over the layout it began with.

A second copy of a thing serves where it is the cheaper one: each use of the thing goes
to the copy that costs that use less, given what the rest of the visit opens anyway.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from toolbox.kit.box import Inside
from toolbox.layout.bars import rival_blocks
from toolbox.layout.draft import Draft
from toolbox.layout.fit import Fits
from toolbox.layout.problem import LayoutProblem, cost_of
from toolbox.layout.tables import Tables, bits, tables_of

_MOVES = 200  # moves and swaps made at most in one search
_AIMS = 3  # full places a second copy is tried for, beside the best one with room


@dataclass(frozen=True, slots=True)
class Gain:
    """What a change saves a day (microseconds), and the homes by item that save it."""

    saved: int
    homes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Use:
    """One sort of use of a thing: what it costs a day in each place (microseconds).

    In a visit (its number) the openings come on top and are shared with the rest of
    the visit; without one (None) the openings are in ``cost``.
    """

    visit: int | None
    cost: tuple[int, ...]


def with_copy(problem: LayoutProblem, place: int) -> LayoutProblem:
    """The problem with one more place like this one, behind the same openings, as its last."""
    new = len(problem.places)
    shape = problem.places[place]
    return replace(
        problem,
        places=(*problem.places, replace(shape, name=f"second {shape.name}")),
        pick_cost=tuple((*row, row[place]) for row in problem.pick_cost),
        allowed=tuple((*a, new) if place in a else a for a in problem.allowed),
    )


def with_size(
    problem: LayoutProblem, place: int, *, longer: int = 0, deeper: int = 0
) -> LayoutProblem:
    """The problem with one place made longer or deeper (tenths of a millimetre)."""
    old = problem.places[place]
    length, depth = old.length + longer, old.depth + deeper
    room = old.room * length * depth // max(1, old.length * old.depth)
    new = replace(old, length=length, depth=depth, room=room)
    places = (*problem.places[:place], new, *problem.places[place + 1 :])
    return replace(problem, places=places)


def settle_down(problem: LayoutProblem, homes: Sequence[int]) -> Gain:
    """Improve a layout until no single move or swap helps; what that saves."""
    return _search(problem, homes, range(len(problem.places)))


def gain_of(changed: LayoutProblem, homes: Sequence[int], places: Iterable[int]) -> Gain:
    """What a changed problem saves against a layout, when these places are new or larger.

    Begin with a layout that ``settle_down`` left, or its own savings count in too.
    """
    return _search(changed, homes, places)


def use_cost(problem: LayoutProblem, homes: Sequence[int], item: int, uses: Sequence[Use]) -> int:
    """What the uses of an item cost a day where it lies, openings for it alone included."""
    return sum(row[homes[item]] for row in _served(problem, homes, (item,), uses))


def second_copy(
    problem: LayoutProblem, homes: Sequence[int], item: int, twin: int, uses: Sequence[Use]
) -> Gain:
    """What a second copy of an item saves a day at least, each use going to the cheaper copy.

    ``twin`` is the second copy: an item of the problem without costs and visits, home -1;
    the others lie where ``settle_down`` left them. Saves 0 with the twin's home still -1
    where no place has room for it or none would help.
    """
    nothing = Gain(0, tuple(homes))
    start = list(homes)
    tables = tables_of(problem)
    block = next(b for b, items in enumerate(tables.blocks) if twin in items)
    if len(tables.blocks[block]) > 1 or not tables.options[block]:
        return nothing  # bound to lie with others, or too big for every place: no choice of place
    start[twin] = tables.options[block][0]
    roomy = _Search(tables, start).with_room(block)
    if not roomy:
        return nothing
    rows = _served(problem, start, (item, twin), uses)
    here = homes[item]
    saves = [sum(max(0, row[here] - row[p]) for row in rows) for p in range(len(problem.places))]
    start[twin] = max(roomy, key=lambda p: (saves[p], -p))
    full = sorted(set(tables.options[block]) - set(roomy), key=lambda p: (-saves[p], p))
    bare = _without(problem, item)
    before = cost_of(bare, tuple(start)) + sum(row[here] for row in rows)
    best = nothing
    for aim in (start[twin], *(p for p in full[:_AIMS] if saves[p] > 0)):
        split = _split(bare, item, twin, uses, [row[aim] < row[here] for row in rows])
        found = _search(split, start, [aim, here]).homes
        after = _served(problem, found, (item, twin), uses)
        served = sum(min(row[found[item]], row[found[twin]]) for row in after)
        saved = before - cost_of(bare, found) - served
        if saved > best.saved:
            best = Gain(saved, found)
    return best


def _served(
    problem: LayoutProblem, homes: Sequence[int], copies: tuple[int, ...], uses: Sequence[Use]
) -> list[list[int]]:
    """Cost of each use by place, with openings that nothing else in its visit opens."""
    rows = []
    for use in uses:
        if use.visit is None:
            rows.append(list(use.cost))
            continue
        visit = problem.visits[use.visit]
        others = (i for i in visit.items if i not in copies)
        paid = {o for i in others for o in problem.places[homes[i]].openings}
        opened = (
            sum(visit.opening_cost[o] for o in place.openings if o not in paid)
            for place in problem.places
        )
        rows.append([cost + more for cost, more in zip(use.cost, opened, strict=True)])
    return rows


def _without(problem: LayoutProblem, item: int) -> LayoutProblem:
    """The problem with an item that nobody uses."""
    rows = list(problem.pick_cost)
    rows[item] = (0,) * len(problem.places)
    visits = tuple(replace(v, items=tuple(i for i in v.items if i != item)) for v in problem.visits)
    return replace(problem, pick_cost=tuple(rows), visits=visits)


def _split(
    bare: LayoutProblem, item: int, twin: int, uses: Sequence[Use], to_twin: Sequence[bool]
) -> LayoutProblem:
    """The problem without uses of an item, its uses shared out between it and its twin."""
    rows, visits = list(bare.pick_cost), list(bare.visits)
    for use, twins in zip(uses, to_twin, strict=True):
        copy = twin if twins else item
        rows[copy] = tuple(a + b for a, b in zip(rows[copy], use.cost, strict=True))
        if use.visit is not None:
            old = visits[use.visit]
            visits[use.visit] = replace(old, items=(*old.items, copy))
    return replace(bare, pick_cost=tuple(rows), visits=tuple(visits))


def _search(problem: LayoutProblem, homes: Sequence[int], places: Iterable[int]) -> Gain:
    search = _Search(tables_of(problem), homes)
    before = search.cost
    search.run(places)
    return Gain(before - search.cost, search.tables.spread(search.draft.home))


class _Search:
    """A layout that gets cheaper by moves into places where something has changed."""

    def __init__(self, tables: Tables, homes: Sequence[int]) -> None:
        self.tables = tables
        self.fits = Fits(tables)
        self.rivals = rival_blocks(tables.problem, tables.blocks)
        self.draft = Draft(tables, [homes[block[0]] for block in tables.blocks])
        self.cost = self.draft.cost

    def run(self, places: Iterable[int]) -> None:
        """Follow changes until nothing is left to gain."""
        waiting = list(places)
        for _ in range(_MOVES):
            if not waiting:
                return
            touched = self._enter(waiting[0])
            if touched is None:
                waiting.pop(0)
            elif touched not in waiting:
                waiting.append(touched)

    def with_room(self, block: int) -> list[int]:
        """The places with room for a block beside all that lies there."""
        return [p for p in self.tables.options[block] if self._takes(p, block, 1 << block)]

    def _enter(self, place: int) -> int | None:
        """The best move or swap into a place; the other place it touched, None when none helps."""
        ways: list[tuple[int, int, int]] = []
        draft = self.draft
        residents = list(bits(draft.inside[place]))
        for block, options in enumerate(self.tables.options):
            home = draft.home[block]
            if home == place or place not in options:
                continue
            dearer = draft.dearer(block, place)
            if dearer < 0:
                ways.append((dearer, block, -1))
            for other in residents:
                if home in self.tables.options[other]:
                    both = self._swapped(block, other, dearer)
                    if both < 0:
                        ways.append((both, block, other))
        for dearer, block, other in sorted(ways):
            if self._done(block, other, place):
                self.cost += dearer
                return self.left
        return None

    def _swapped(self, block: int, other: int, dearer: int) -> int:
        """How much dearer the day gets when two blocks change places."""
        shared = set(self.tables.visits_of[block]) & set(self.tables.visits_of[other])
        home, place = self.draft.home[block], self.draft.home[other]
        if not shared or self.tables.zone[home] == self.tables.zone[place]:
            return dearer + self.draft.dearer(other, home)
        self.draft.move(block, place)
        both = dearer + self.draft.dearer(other, home)
        self.draft.move(block, home)
        return both

    def _done(self, block: int, other: int, place: int) -> bool:
        """Make the move if everything fits for sure; ``left`` is where the block came from."""
        draft = self.draft
        self.left = draft.home[block]
        out = 0 if other < 0 else 1 << other
        if not self._takes(place, block, out):
            return False
        if other < 0:
            draft.move(block, place)
            return True
        if not self._takes(self.left, other, 1 << block):
            return False
        draft.move(block, place)
        draft.move(other, self.left)
        return True

    def _takes(self, place: int, block: int, out: int) -> bool:
        tables, draft = self.tables, self.draft
        inside = draft.inside[place] & ~out
        if self.rivals[block] & inside:
            return False
        used = tables.use[block][place] + sum(tables.use[b][place] for b in bits(inside))
        mass = tables.mass[block] + sum(tables.mass[b] for b in bits(inside))
        if used > tables.room[place] or mass > tables.load[place]:
            return False
        if tables.problem.places[place].kind is not Inside.LAID:
            return True
        return self.fits.quickly(place, inside | 1 << block)
