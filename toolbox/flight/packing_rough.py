"""Aims with things cut up by the gram: quick bounds, and what to pack towards.

What is cut up nearly always comes out as good as whole things can be packed, and is solved
in a fraction of the time. The bound of an aim holds for every packing that is as good in
the aims before it. What is found is no packing yet, but says what to send, what to leave,
what to pay for and what to keep at home.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from toolbox.flight.packing_model import PackingModel, Settled, Solved
from toolbox.flight.packing_pace import Pace
from toolbox.flight.packing_problem import Aim, Fate, Places
from toolbox.flight.packing_tables import Tables, homeless, most_moves, staying

_SHARE = 0.35  # of the work that is left, for one aim
_QUICK = 0.15  # and for one with all that is paid for settled
_MOST = 0.6  # units for one aim
_BARE = (Aim.MONEY, Aim.LOST_WORK)  # aims that ask for no homes


class Known(NamedTuple):
    """A packing: places by leg, fates, what a model calls bought (empty where not known)."""

    places: Places
    fates: tuple[Fate, ...]
    bought: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Rough:
    """What aims came to, and the bound of the first among all that is as good before it.

    Aims are missing where the search was stopped or ran out of work. Places of what was
    cut up are None; without ``homes`` that is all, nobody asked what is at home.
    ``impossible``: proved that there is no packing.
    """

    values: Mapping[Aim, int]
    bound: int | None
    packed: Known
    homes: bool
    impossible: bool = False


class RoughSearch:
    """The first of some aims with those before held; the rest quickly, where it is bettered.

    ``held`` are the values before, ``known`` a packing that has them, where there is one;
    its first aim is at ``beat``.
    """

    def __init__(
        self,
        tables: Tables,
        held: Mapping[Aim, int],
        known: Known | None,
        beat: int | None,
        pace: Pace,
    ) -> None:
        """Nothing is solved yet."""
        self._tables = tables
        self._bare = homeless(tables.problem)
        self._before = dict(held)
        self._held = dict(held)
        self._known = known
        self._packed = known or Known((), (), ())
        self._pace = pace
        self._beat = beat
        self._first: PackingModel | None = None  # of the first aim, where it asks for no homes
        self._homed: PackingModel | None = None  # a model with homes, once it is needed

    def take(self, aims: Sequence[Aim], reserve: int = 0) -> Rough:
        """Take the aims. With more ``reserve`` than before, grams below each limit.

        Then there is no bound, but what comes out is the easier to pack.
        """
        self._held = dict(self._before)
        self._packed = self._known or Known((), (), ())
        self._homed = None
        values: dict[Aim, int] = {}
        bound: int | None = None
        for aim in aims:
            model, goal = self._ready(aim, reserve, first=aim is aims[0])
            if goal is None or self._pace.over():
                break
            solved = self._quickly(model, sought(model, aim))
            if aim is aims[0]:
                share = _QUICK if reserve else _SHARE
                solved = self._at_large(model, sought(model, aim), solved, share)
                if solved.impossible and not self._held and not reserve:
                    return Rough({}, None, self._packed, homes=False, impossible=True)
                if solved.bound is not None and not reserve:
                    bound = counted(self._tables, aim, solved.bound)
            if solved is None or solved.value is None:
                break
            values[aim] = counted(self._tables, aim, solved.value)
            if aim is aims[0] and not better(aim, values[aim], self._beat):
                break
            self._packed = Known(solved.places, solved.fates, solved.bought)
            self._held[aim] = values[aim]
            if model is self._homed and aim is not Aim.MARGIN:
                model.hold(goal, values[aim])
        homes = any(aim not in _BARE for aim in values)
        return Rough(values, bound, self._packed, homes)

    def _ready(self, aim: Aim, reserve: int, *, first: bool) -> tuple[PackingModel, Any]:
        """A model that holds what was reached before, and its goal for an aim."""
        bare = aim in _BARE
        if bare and first and self._first is not None:
            model = self._first  # it begins at what it found with less reserve
        elif bare:
            model = PackingModel(self._bare, stay=staying(self._bare, aim), cut=True)
            self._hold(model)
        elif self._homed is None:
            model = self._homed = PackingModel(self._tables, cut=True)
            if self._known:
                model.hint(self._known.places, self._known.fates)
            self._hold(model)
        else:
            return self._homed, self._homed.goal(aim)
        if bare and first:
            self._first = model
        margin = model.goal(Aim.MARGIN)
        if reserve and margin is not None:
            model.hold(margin, -reserve)
        return model, model.goal(aim)

    def _hold(self, model: PackingModel) -> None:
        for before, value in self._held.items():
            model.hold(model.goal(before), value)

    def _quickly(self, model: PackingModel, goal: Any) -> Solved | None:
        """With the same things sent and kilograms bought as before, if that is known."""
        if not self._packed.bought:
            return None
        settled = model.paid(self._packed.fates, self._packed.bought)
        return self._solve(model, goal, _QUICK, settled)

    def _at_large(
        self, model: PackingModel, goal: Any, quick: Solved | None, share: float
    ) -> Solved:
        solved = self._solve(model, goal, share, None)
        if quick is None or quick.value is None:
            return solved
        if solved.value is None or quick.value < solved.value:
            return quick._replace(bound=solved.bound)
        return solved

    def _solve(
        self, model: PackingModel, goal: Any, share: float, settled: Settled | None
    ) -> Solved:
        work, stop = self._pace.part(share, _MOST)
        solved = model.solve(goal, work=work, stop=stop, settled=settled)
        self._pace.took(solved.work)
        return solved


def better(aim: Aim, value: int, beat: int | None) -> bool:
    """Whether an aim at a value is better than at another; anything is better than none."""
    return beat is None or (value > beat if aim is Aim.MARGIN else value < beat)


def sought(model: PackingModel, aim: Aim) -> Any:
    """What is made small for an aim.

    Of packings with an equal worst loss the one with fewer moves: that is found sooner, and
    has not to be found again.
    """
    goal: Any = model.goal(aim)
    if aim is Aim.SPREAD:
        return goal * model.most_moves + model.goal(Aim.MOVES)
    return goal


def counted(tables: Tables, aim: Aim, goal: int) -> int:
    """The value or bound of an aim out of that of what was made small for it."""
    if aim is Aim.MARGIN:
        return -goal
    return max(0, goal) // (most_moves(tables.problem) if aim is Aim.SPREAD else 1)
