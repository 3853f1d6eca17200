"""The search for a packing: aim after aim, each with its proof or its gap.

A first packing comes from common sense: everything at home, then single repairs. CP-SAT
then takes the aims in their order; what one aim reached is held while the next is sought.
Every packing is checked by ``packing_check`` before anybody hears of it. Without a time in
seconds only counted work limits the search, so the same question has the same answer.
Without the solver package the first packing is the answer, and said not to be proved.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, cycle, islice
from random import Random

from toolbox.flight.packing_account import account_of, bag_masses, values_of, worth_of
from toolbox.flight.packing_check import packing_faults
from toolbox.flight.packing_model import PackingModel
from toolbox.flight.packing_pace import Pace
from toolbox.flight.packing_problem import (
    Account,
    Aim,
    Outcome,
    PackingAnswer,
    PackingProblem,
    Places,
    Reached,
)
from toolbox.flight.packing_question import PackingError, question_faults
from toolbox.flight.packing_rough import (
    Known,
    Rough,
    RoughSearch,
    better,
    counted,
    known_of,
    sought,
)
from toolbox.flight.packing_start import FEW_TRIALS, TRIALS, packed_by_sense
from toolbox.flight.packing_tables import Tables, most_moves, staying, tables_of
from toolbox.flight.packing_watch import PackingWatcher
from toolbox.flight.packing_whole import Way, exchanged, mended, packed_whole
from toolbox.layout.solver import solver_there
from toolbox.layout.watch import Stop

WORK = 4.0  # deterministic units for all aims together, each a few seconds at most
_AIMS = (Aim.MONEY, Aim.LOST_WORK, Aim.SPREAD, Aim.MOVES, Aim.MARGIN)
# Of the work that is left for an aim: outright at first, a few bags at a time after that.
_FIRST, _NEARBY = 0.5, 0.4
_FAR_SHARE, _NEAR_SHARE, _NEAR = 0.5, 0.04, 0.01  # of the work, by the gap of the aim
_ROUND = 0.1  # units for a change of two bags
_ROUNDS = 60
_PASSES = 3  # through the aims, while work is left
_RESERVES = (0, 40, 300)  # grams kept below each limit while the last could not be packed
_WIDER = (0.5, 1.0)  # of the way from a margin to its bound, one after another
_UNKNOWN = -1  # no aim has such a bound


def pack(
    problem: PackingProblem,
    *,
    work: float = WORK,
    seconds: float | None = None,
    watcher: PackingWatcher | None = None,
    stop: Stop | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> PackingAnswer:
    """Find the best packing, say how good it is, or that none is possible.

    Aims in order: money over all legs, work lost by what is left, with ``spread`` the work
    lost with the worst hold bag, things out of their home, margin of the tightest limit.
    ``work`` limits the search in the solver's own units; with ``seconds`` a ``clock`` does,
    and two runs may differ. ``stop`` ends it at any moment with the best so far.
    PackingError names all that is wrong with the question.
    """
    faults = question_faults(problem)
    if faults:
        raise PackingError(faults)
    pace = Pace(stop or _never, work, seconds, clock)
    return _Search(problem, watcher or PackingWatcher(), pace).run()


def _never() -> bool:
    return False


@dataclass(frozen=True, slots=True)
class _Best:
    """The best checked packing so far."""

    known: Known
    account: Account


class _Search:
    """One run: what it watches, what it found, what it proved."""

    def __init__(self, problem: PackingProblem, watcher: PackingWatcher, pace: Pace) -> None:
        self.problem = problem
        self.tables = tables_of(problem)
        self.watcher = watcher
        self.pace = pace
        self.best: _Best | None = None
        self.bounds: dict[Aim, int] = {}
        self.random = Random(1)
        self.met = False  # the last aim is as good as with things cut up: hardly to be bettered
        self.method = "packed by common sense"

    def run(self) -> PackingAnswer:
        """Search and answer; the watcher hears the beginning, each step and the end."""
        self.watcher.started()
        self._first()
        impossible = False
        if solver_there() and not self.pace.over():
            self.method = "aim after aim by exact search"
            impossible = self._aims()
        answer = PackingAnswer(Outcome.IMPOSSIBLE, (), (), None, (), self.method)
        if not impossible:
            answer = self._answer()
        self.watcher.finished(answer)
        return answer

    def _first(self) -> None:
        """A first packing: without changes on the way if that can be, which is easier to find."""
        tables = [self.tables]
        if self.problem.may_change:
            tables.insert(0, tables_of(replace(self.problem, may_change=False)))
        for some in tables:
            # A first answer comes however few seconds are given: that takes a moment only.
            few = solver_there()
            stop = self.pace.stopped if few else self.pace.over
            load = packed_by_sense(some, stop, FEW_TRIALS if few else TRIALS)
            if load.keeps_limits():
                self._found(Known(*load.result(), bought=()))
                return

    def _aims(self) -> bool:
        """Take the aims in order; True when it is proved that no packing is possible."""
        aims = [aim for aim in _AIMS if aim is not Aim.SPREAD or self.problem.spread]
        if self.problem.spread and self._without_spread():
            return True
        for number in range(_PASSES):
            if self._pass(aims, far=number == 1):
                return True
            if self.best is None or self.pace.over() or all(map(self._proved, aims)):
                break
        return False

    def _pass(self, aims: Sequence[Aim], *, far: bool) -> bool:
        """Take the aims once, but what is proved, or only the ``far`` from their bound.

        True when it is proved that nothing is possible.
        """
        for number, aim in enumerate(aims):
            self.met = False
            if far and self._near(aim):
                continue
            if not self._proved(aim) and self._roughly(aims, number):
                return True
            if self.best is not None and self.pace.over():
                return False
            if not self._proved(aim) and self._aim(aim, aims[:number], len(aims) - number):
                return True
            if self.best is None or self.pace.over():
                return False
            value = self._values().get(aim)
            if value is None:
                return False  # no limit of mass bears on what is taken: no margin to be wider
            self.watcher.aim_done(Reached(aim, value, self.bounds.get(aim)))
        return False

    def _without_spread(self) -> bool:
        """Begin as if no bag could be lost; True when it is proved that nothing is possible."""
        plain = _Search(replace(self.problem, spread=False), PackingWatcher(), self.pace)
        plain.best = self.best
        impossible = plain._roughly([aim for aim in _AIMS if aim is not Aim.SPREAD], 0)
        if plain.best is not None and plain.best is not self.best:
            self._found(plain.best.known)
        self.bounds.update(plain.bounds)
        return impossible

    def _roughly(self, aims: Sequence[Aim], first: int) -> bool:
        """Seek an aim with things cut up, pack towards it; True when nothing is possible."""
        held: dict[Aim, int] = {}
        known, beat, aim = None, None, aims[first]
        if self.best is not None:
            held = {before: self._values()[before] for before in aims[:first]}
            known = self.best.known
            beat = self._values().get(aim)
        search = RoughSearch(self.tables, held, known, beat, self.pace)
        first_rough: Rough | None = None
        done = False
        for reserve in _RESERVES:
            rough = search.take(aims[first:], reserve)
            if rough.bound is not None:
                self._bounded(aim, rough.bound)
            if rough.impossible:
                return True
            if aim is Aim.MARGIN and not reserve:
                self._widen(held)
                beat = self._values().get(aim)
            if aim not in rough.values or self._proved(aim):
                break
            self.met = rough.values[aim] == beat and self._near(aim) and not reserve
            if not better(aim, rough.values[aim], beat) or self.pace.over():
                break
            first_rough = first_rough or rough
            done = self._whole(exchanged, rough, held) or self._whole(packed_whole, rough, held)
            if done:
                self.met = not reserve
                break
        if first_rough is not None and not done and not self.pace.over():
            self._whole(mended, first_rough, held)
        return False

    def _widen(self, held: dict[Aim, int]) -> None:
        """Exchange things of the best packing so that more is free below its tightest limit."""
        if self.best is None or not self.best.known.tops or Aim.MARGIN not in self.bounds:
            return
        least, bound = self._values()[Aim.MARGIN], self.bounds[Aim.MARGIN]
        for share in _WIDER:
            asked = {Aim.MARGIN: least + round((bound - least) * share)}
            if asked[Aim.MARGIN] > self._values()[Aim.MARGIN] and not self.pace.over():
                self._whole(exchanged, Rough(asked, bound, self.best.known, True), held)

    def _whole(self, way: Way, rough: Rough, held: dict[Aim, int]) -> bool:
        """Pack whole things as they came out cut up, in a way; True when they come out as good."""
        solved = way(self.tables, rough, {**held, **rough.values}, self.pace)
        if solved is not None:
            self._found(solved)
        aim, value = next(iter(rough.values.items()))
        return self.best is not None and not better(aim, value, self._values().get(aim))

    def _aim(self, aim: Aim, before: Sequence[Aim], left: int) -> bool:
        """Seek one aim; True when it is proved that nothing is possible."""
        if self.best is not None:
            value = self._values().get(aim)
            if value is None:
                return False
            if value == 0 and aim is not Aim.MARGIN:
                self.bounds[aim] = 0
                return False
        model = PackingModel(self.tables, stay=staying(self.tables, aim))
        goal = model.goal(aim)
        if goal is None:
            return False
        if self.best is not None:
            for held in before:
                model.hold(model.goal(held), self._values()[held])
        if aim in self.bounds:
            bound = self.bounds[aim]
            model.bounded(goal, -bound if aim is Aim.MARGIN else bound)
        return self._solve(model, aim, sought(model, aim), left)

    def _solve(self, model: PackingModel, aim: Aim, goal: object, left: int) -> bool:
        """Outright; if that proves nothing by changing few bags at a time; outright again."""
        share = _NEAR_SHARE if self.met or self._near(aim) else 1.0 if left == 1 else _FAR_SHARE
        if self._outright(model, aim, goal, share * _FIRST):
            return True
        if self.best is None:
            return self._outright(model, aim, goal, share)
        if not self._proved(aim):
            self._nearby(model, aim, goal, *self.pace.part(share * _NEARBY))
        if not self._proved(aim) and not self.pace.over():
            self._outright(model, aim, goal, share)
        return False

    def _proved(self, aim: Aim) -> bool:
        """Whether nothing better is possible; an aim that there is not counts as proved."""
        if self.best is None:
            return False
        value = self._values().get(aim)
        return value is None or value == self.bounds.get(aim, _UNKNOWN)

    def _near(self, aim: Aim) -> bool:
        """Whether an aim is so near its bound that more work is better spent on others."""
        if self.best is None or aim not in self.bounds or aim not in self._values():
            return False
        gap = Reached(aim, self._values()[aim], self.bounds[aim]).gap()
        return gap is not None and gap <= _NEAR

    def _bounded(self, aim: Aim, bound: int) -> None:
        """Keep a bound if it is better than the one that is known."""
        known = self.bounds.get(aim, bound)
        self.bounds[aim] = min(known, bound) if aim is Aim.MARGIN else max(known, bound)

    def _outright(self, model: PackingModel, aim: Aim, goal: object, share: float) -> bool:
        """Solve for an aim; True when it is proved that nothing is possible."""
        if self.best is not None:
            model.hint(self.best.known.places, self.best.known.fates)
        work, stop = self.pace.part(share)
        solved = model.solve(goal, work=work, stop=stop)
        self.pace.took(solved.work)
        if solved.value is not None:
            self._found(known_of(solved))
        if solved.bound is not None:
            self._bounded(aim, counted(self.tables, aim, solved.bound))
        return solved.impossible

    def _sought(self, aim: Aim) -> int:
        """What is made small for an aim, as it is now."""
        values = self._values()
        if aim is Aim.SPREAD:
            return values[aim] * most_moves(self.problem) + values[Aim.MOVES]
        return -values[aim] if aim is Aim.MARGIN else values[aim]

    def _nearby(
        self,
        model: PackingModel,
        aim: Aim,
        goal: object,
        work: float,
        stop: Callable[[], bool],
    ) -> None:
        """Change two bags at a time, every two in turn, as long as the work lasts."""
        pairs = list(combinations(range(len(self.problem.bags)), 2))
        self.random.shuffle(pairs)
        fruitless = 0
        for pair in islice(cycle(pairs), _ROUNDS):
            if self.best is None or self._proved(aim) or work <= 0 or stop():
                break
            if fruitless == len(pairs):
                break
            before = self.best
            settled = model.nearby(before.known.places, before.known.fates, pair)
            solved = model.solve(
                goal, work=min(work, _ROUND), stop=stop, settled=settled, below=self._sought(aim)
            )
            self.pace.took(solved.work)
            work -= solved.work
            if solved.value is not None:
                self._found(known_of(solved))
            fruitless = 0 if self.best is not before else fruitless + 1

    def _values(self) -> dict[Aim, int]:
        assert self.best is not None
        return values_of(self.problem, self.best.account)

    def _found(self, known: Known) -> None:
        """Take a packing if it is better: account for it, check it, tell the watcher."""
        places = _twins_in_order(self.tables, known.places)
        if places != known.places:
            known = known._replace(places=places, tops=())  # limits of bags named otherwise
        account = account_of(self.problem, places, known.fates)
        if self.best is not None and worth_of(self.problem, account) >= worth_of(
            self.problem, self.best.account
        ):
            return
        self.best = _Best(known, account)
        answer = self._answer()
        wrong = packing_faults(self.problem, answer)
        if wrong:
            raise RuntimeError("the packing found does not hold: " + "; ".join(wrong))
        self.watcher.better_packing(answer)

    def _answer(self) -> PackingAnswer:
        if self.best is None:
            said = "no packing was found in the work given"
            return PackingAnswer(Outcome.NONE_FOUND, (), (), None, (), said)
        best = self.best
        aims = tuple(
            Reached(aim, value, self.bounds.get(aim)) for aim, value in self._values().items()
        )
        done = all(reached.proven for reached in aims)
        outcome = Outcome.OPTIMAL if done else Outcome.GOOD
        known = best.known
        return PackingAnswer(outcome, known.places, known.fates, best.account, aims, self.method)


def _twins_in_order(tables: Tables, places: Places) -> Places:
    """The same packing with bags that nothing tells apart named in order of mass."""
    leg = tables.packings[0][0][0]
    everything = range(len(tables.problem.bags))
    masses = bag_masses(tables.problem, places[leg], leg, everything)
    used = {bag for row in places for bag in row}
    name = {bag: bag for bag in everything}
    for group in tables.twins:
        ordered = sorted(group, key=lambda b: (b not in used, -masses[b], b))
        name.update(zip(ordered, group, strict=True))
    return tuple(tuple(None if bag is None else name[bag] for bag in row) for row in places)
