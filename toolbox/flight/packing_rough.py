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

from toolbox.flight.packing_limits import Top
from toolbox.flight.packing_model import PackingModel, Settled, Solved
from toolbox.flight.packing_pace import Pace
from toolbox.flight.packing_problem import Aim, Fate, Places, Reached
from toolbox.flight.packing_tables import Tables, homeless, most_moves, staying

_SHARE = 0.35  # of the work that is left, for one aim
_SHORT = 0.07  # for a proof of what is near
_QUICK = 0.15  # and for one with all that is paid for settled
_MOST = 0.6  # units for one aim
_LOOSE = 0.05  # a gap of what is not yet sought
_TURN = 0.2  # and for an aim the other way round
_TURNED = (Aim.LOST_WORK, Aim.MOVES)  # aims that are paid for
_NEAR = 0.01  # a gap that is small enough
_BARE = (Aim.MONEY, Aim.LOST_WORK)  # aims that ask for no homes


class Known(NamedTuple):
    """A packing: places by leg, fates, what a model calls bought (empty where not known).

    ``tops`` and ``taken`` are the limits of mass that come of it, and the bags that fly.
    """

    places: Places
    fates: tuple[Fate, ...]
    bought: tuple[int, ...]
    tops: tuple[Top, ...] = ()
    taken: tuple[int, ...] = ()


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
            if goal is None or self._pace.over() or aim is Aim.MARGIN is not aims[0]:
                break
            solved = self._quickly(model, aim, first=aim is aims[0])
            if aim is aims[0]:
                solved = self._first_aim(model, aim, solved, reserve)
                if solved.impossible and not self._held and not reserve:
                    return Rough({}, None, self._packed, homes=False, impossible=True)
                if solved.bound is not None and not reserve:
                    bound = counted(self._tables, aim, solved.bound)
            if solved is None or solved.value is None:
                break
            values[aim] = counted(self._tables, aim, solved.value)
            if aim is aims[0] and not better(aim, values[aim], self._beat):
                break
            self._packed = known_of(solved)
            self._held[aim] = values[aim]
            if model is self._homed and aim is not Aim.MARGIN:
                model.hold(goal, values[aim])
        homes = any(aim not in _BARE for aim in values)
        return Rough(values, bound, self._packed, homes)

    def _first_aim(
        self, model: PackingModel, aim: Aim, quick: Solved | None, reserve: int
    ) -> Solved:
        """At large, until it is near the bound; for a short while the other way round."""
        goal = sought(model, aim)
        turn = aim in _TURNED and self._held.get(Aim.MONEY) and not reserve
        share = _SHORT if turn else _QUICK if reserve else _SHARE
        solved = self._at_large(model, goal, quick, share, _NEAR)
        if reserve or solved.impossible or not self._far(aim, solved):
            return solved
        if turn and (solved.value or self._beat):
            solved = self.turned(aim, solved)
        if turn and self._far(aim, solved, _NEAR):
            solved = self._at_large(model, goal, solved, _SHARE, _NEAR)
        elif not turn and not self._far(aim, solved, _NEAR):
            solved = self._closer(model, aim, goal, solved)
        return solved

    def _closer(self, model: PackingModel, aim: Aim, goal: Any, solved: Solved) -> Solved:
        """Near is good enough, but a proof may be had in a short while."""
        if aim is Aim.SPREAD or solved.bound is None or solved.value is None:
            return solved
        model.bounded(goal, solved.bound)
        return self._at_large(model, goal, solved, _SHORT, gap=0.0)

    def _far(self, aim: Aim, solved: Solved, near: float = 0.0) -> bool:
        value = solved.value if solved.value is not None else self._beat
        if value is None or solved.bound is None:
            return True
        gap = Reached(aim, value, solved.bound).gap()
        return gap is not None and gap > near

    def turned(self, aim: Aim, solved: Solved) -> Solved:
        """The other way round: the least money for something better, which may be too much.

        Prices tell the search more than what is lost or moved: proofs come sooner.
        """
        value = solved.value if solved.value is not None else self._beat
        assert value is not None
        tables = self._bare if aim in _BARE else self._tables
        model = PackingModel(tables, stay=staying(tables, aim), cut=True, even=aim not in _BARE)
        for before, most in self._held.items():
            if before is not Aim.MONEY or aim is Aim.MOVES:
                model.hold(model.goal(before), most)
        model.hold(model.goal(aim), value - 1)
        money, most = model.goal(Aim.MONEY), self._held[Aim.MONEY]
        turned = self._solve(model, money, _TURN, None)
        if turned.impossible or (turned.bound is not None and turned.bound > most):
            return solved._replace(bound=value)
        if turned.value is not None and turned.value <= most:
            return turned._replace(value=value - 1, bound=solved.bound)
        return solved

    def _ready(self, aim: Aim, reserve: int, *, first: bool) -> tuple[PackingModel, Any]:
        """A model that holds what was reached before, and its goal for an aim."""
        bare = aim in _BARE
        if bare and first and self._first is not None:
            model = self._first  # it begins at what it found with less reserve
        elif bare:
            model = PackingModel(self._bare, stay=staying(self._bare, aim), cut=True)
            self._hold(model)
        elif self._homed is None:
            model = self._homed = PackingModel(self._tables, cut=True, even=True)
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

    def _quickly(self, model: PackingModel, aim: Aim, *, first: bool) -> Solved | None:
        """With the same kilograms bought as before; without homes the same things sent too.

        What is not yet sought need not be its best.
        """
        if not self._packed.bought:
            return None
        fates = self._packed.fates if aim in _BARE else None
        settled = model.paid(fates, self._packed.bought)
        gap = 0.0 if first else _LOOSE
        return self._solve(model, sought(model, aim), _QUICK, settled, gap)

    def _at_large(
        self,
        model: PackingModel,
        goal: Any,
        quick: Solved | None,
        share: float,
        gap: float,
    ) -> Solved:
        solved = self._solve(model, goal, share, None, gap)
        if quick is None or quick.value is None:
            return solved
        known = [bound for bound in (quick.bound, solved.bound) if bound is not None]
        solved = solved._replace(bound=max(known, default=None))
        if solved.value is None or quick.value < solved.value:
            return quick._replace(bound=solved.bound)
        return solved

    def _solve(
        self,
        model: PackingModel,
        goal: Any,
        share: float,
        settled: Settled | None,
        gap: float = 0.0,
    ) -> Solved:
        work, stop = self._pace.part(share, _MOST)
        solved = model.solve(goal, work=work, stop=stop, settled=settled, gap=gap)
        self._pace.took(solved.work)
        return solved


def known_of(solved: Solved) -> Known:
    """What a model found, as far as it is known where things are."""
    return Known(solved.places, solved.fates, solved.bought, solved.tops, solved.taken)


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
