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
from toolbox.flight.packing_tables import Tables, homeless, staying

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


def roughly(
    tables: Tables,
    aims: Sequence[Aim],
    held: Mapping[Aim, int],
    known: Known | None,
    pace: Pace,
    *,
    beat: int | None = None,
    reserve: int = 0,
) -> Rough:
    """Take the first of some aims, with those before held at these values; the rest quickly.

    ``known`` is a packing with the values that are held, where there is one; its first aim
    is at ``beat``, and the rest are taken only if that is bettered. With a ``reserve`` of
    grams below each limit there is no bound, but what comes out is the easier to pack.
    """
    return _Roughly(tables, held, known, pace, beat, reserve).take(aims)


class _Roughly:
    """One run: what is held, what was found last."""

    def __init__(
        self,
        tables: Tables,
        held: Mapping[Aim, int],
        known: Known | None,
        pace: Pace,
        beat: int | None,
        reserve: int,
    ) -> None:
        self.tables = tables
        self.bare = homeless(tables.problem)
        self.held = dict(held)
        self.known = known
        self.packed = known or Known((), (), ())
        self.pace = pace
        self.beat = beat
        self.reserve = reserve
        self.model: PackingModel | None = None  # with homes, once it is needed

    def take(self, aims: Sequence[Aim]) -> Rough:
        values: dict[Aim, int] = {}
        bound: int | None = None
        for aim in aims:
            model, goal = self._ready(aim)
            if goal is None or self.pace.over():
                break
            tied = self._tied(model) if aim is Aim.SPREAD else goal
            solved = self._quickly(model, tied)
            if aim is aims[0]:
                solved = self._at_large(model, tied, solved)
                if solved.impossible and not self.held and not self.reserve:
                    return Rough({}, None, self.packed, homes=False, impossible=True)
                if solved.bound is not None and not self.reserve:
                    bound = self._counted(aim, solved.bound)
            if solved is None or solved.value is None:
                break
            values[aim] = self._counted(aim, solved.value)
            if aim is aims[0] and not better(aim, values[aim], self.beat):
                break
            self.packed = Known(solved.places, solved.fates, solved.bought)
            self.held[aim] = values[aim]
            if model is self.model and aim is not Aim.MARGIN:
                model.hold(goal, values[aim])
        homes = any(aim not in _BARE for aim in values)
        return Rough(values, bound, self.packed, homes)

    def _counted(self, aim: Aim, goal: int) -> int:
        """The value or bound of an aim out of that of what was made small for it."""
        return goal // _most_moves(self.tables) if aim is Aim.SPREAD else counted(aim, goal)

    def _tied(self, model: PackingModel) -> Any:
        """The loss of the worst bag, and of equal losses the fewer moves: that is found sooner."""
        worst: Any = model.goal(Aim.SPREAD)
        return worst * _most_moves(self.tables) + model.goal(Aim.MOVES)

    def _ready(self, aim: Aim) -> tuple[PackingModel, Any]:
        """A model that holds what was reached before, and its goal for an aim."""
        if aim in _BARE:
            model = PackingModel(self.bare, stay=staying(self.bare, aim), cut=True)
        elif self.model is None:
            model = self.model = PackingModel(self.tables, cut=True)
            if self.known:
                model.hint(self.known.places, self.known.fates)
        else:
            return self.model, self.model.goal(aim)
        for before, value in self.held.items():
            model.hold(model.goal(before), value)
        margin = model.goal(Aim.MARGIN)
        if self.reserve and margin is not None:
            model.hold(margin, -self.reserve)
        return model, model.goal(aim)

    def _quickly(self, model: PackingModel, goal: Any) -> Solved | None:
        """With the same things sent and kilograms bought as before, if that is known."""
        if not self.packed.bought:
            return None
        settled = model.paid(self.packed.fates, self.packed.bought)
        return self._solve(model, goal, _QUICK, settled)

    def _at_large(self, model: PackingModel, goal: Any, quick: Solved | None) -> Solved:
        solved = self._solve(model, goal, _QUICK if self.reserve else _SHARE, None)
        if quick is None or quick.value is None:
            return solved
        if solved.value is None or quick.value < solved.value:
            return quick._replace(bound=solved.bound)
        return solved

    def _solve(
        self, model: PackingModel, goal: Any, share: float, settled: Settled | None
    ) -> Solved:
        work, stop = self.pace.part(share, _MOST)
        solved = model.solve(goal, work=work, stop=stop, settled=settled)
        self.pace.took(solved.work)
        return solved


def _most_moves(tables: Tables) -> int:
    """More than anything can be moved."""
    problem = tables.problem
    return 1 + len(problem.items) * (len(problem.legs) if problem.may_change else 1)


def better(aim: Aim, value: int, beat: int | None) -> bool:
    """Whether an aim at a value is better than at another; anything is better than none."""
    return beat is None or (value > beat if aim is Aim.MARGIN else value < beat)


def counted(aim: Aim, goal: int) -> int:
    """The value or bound of an aim out of that of its goal: a margin is sought as its negative."""
    return -goal if aim is Aim.MARGIN else max(0, goal)
