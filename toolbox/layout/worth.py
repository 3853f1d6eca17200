"""What a change of the box would be worth: the same small search with and without it.

The search moves one block at a time, or swaps two, only where that fits for sure and
makes the day cheaper. It looks only at places where something has changed, so a
change of one place is followed up quickly. What it finds is a layout that can be
packed, so a gain is a gain of at least that much over the layout it began with.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from toolbox.kit.box import Inside
from toolbox.layout.bars import rival_blocks
from toolbox.layout.draft import Draft
from toolbox.layout.fit import Fits
from toolbox.layout.problem import LayoutProblem
from toolbox.layout.tables import Tables, bits, tables_of

_MOVES = 200  # moves and swaps made at most in one search


@dataclass(frozen=True, slots=True)
class Gain:
    """What a change saves a day (microseconds), and the homes by item that save it."""

    saved: int
    homes: tuple[int, ...]


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
