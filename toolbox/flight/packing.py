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
from toolbox.flight.packing_model import Near, PackingModel
from toolbox.flight.packing_problem import (
    Account,
    Aim,
    Fate,
    Outcome,
    PackingAnswer,
    PackingProblem,
    Places,
    Reached,
)
from toolbox.flight.packing_question import PackingError, question_faults
from toolbox.flight.packing_start import loaded, packed_by_sense, rehomed
from toolbox.flight.packing_tables import Tables, by_the_gram, staying, tables_of
from toolbox.flight.packing_watch import PackingWatcher
from toolbox.layout.solver import solver_there
from toolbox.layout.watch import Stop

WORK = 4.0  # deterministic units for all aims together, each a few seconds at most
_AIMS = (Aim.MONEY, Aim.LOST_WORK, Aim.SPREAD, Aim.MOVES, Aim.MARGIN)
# Of the work on an aim: outright at first, and a few bags at a time; the rest outright again.
_FIRST, _NEARBY = 0.6, 0.2
_ROUND = 0.1  # units for a change of two bags
_ROUNDS = 60
_SUMS_WORK = 0.05
_EVER = 10**6  # units where the clock decides


def pack(
    problem: PackingProblem,
    *,
    work: float = WORK,
    seconds: float | None = None,
    watcher: PackingWatcher | None = None,
    stop: Stop | None = None,
) -> PackingAnswer:
    """Find the best packing, say how good it is, or that none is possible.

    Aims in order: money over all legs, work lost by what is left, with ``spread`` the work
    lost with the worst hold bag, things out of their home, margin of the tightest limit.
    ``work`` limits the search in the solver's own units; with ``seconds`` the clock does,
    and two runs may differ. ``stop`` ends it at any moment with the best so far.
    PackingError names all that is wrong with the question.
    """
    faults = question_faults(problem)
    if faults:
        raise PackingError(faults)
    pace = _Pace(stop or _never, work, seconds)
    return _Search(problem, watcher or PackingWatcher(), pace).run()


def _never() -> bool:
    return False


class _Pace:
    """How much work or time is left, shared out among the aims that are left."""

    def __init__(self, stop: Stop, work: float, seconds: float | None) -> None:
        self._stop = stop
        self._end = None if seconds is None else time.monotonic() + seconds
        self._work = work

    def over(self) -> bool:
        return self._stop() or (self._end is not None and time.monotonic() >= self._end)

    def share(self, aims_left: int) -> tuple[float, Callable[[], bool]]:
        """Units and stop signal for the next aim: half of what is left, all for the last."""
        part = 1.0 if aims_left == 1 else 0.5
        if self._end is None:
            return self._work * part, self._stop
        now = time.monotonic()
        end = now + max(0.0, self._end - now) * part
        return _EVER, lambda: self._stop() or time.monotonic() >= end

    def took(self, work: float) -> None:
        """So many units are used up."""
        self._work = max(0.0, self._work - work)


@dataclass(frozen=True, slots=True)
class _Best:
    """The best checked packing so far."""

    places: Places
    fates: tuple[Fate, ...]
    account: Account


class _Search:
    """One run: what it watches, what it found, what it proved."""

    def __init__(self, problem: PackingProblem, watcher: PackingWatcher, pace: _Pace) -> None:
        self.problem = problem
        self.tables = tables_of(problem)
        self.watcher = watcher
        self.pace = pace
        self.best: _Best | None = None
        self.bounds: dict[Aim, int] = {}
        self.random = Random(1)
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
            load = packed_by_sense(some, self.pace.over)
            if load.keeps_limits():
                self._found(*load.result())
                return

    def _aims(self) -> bool:
        """Take the aims in order; True when it is proved that no packing is possible."""
        aims = [aim for aim in _AIMS if aim is not Aim.SPREAD or self.problem.spread]
        for number, aim in enumerate(aims):
            if self._aim(aim, aims[:number], len(aims) - number):
                return True
            if self.best is None or self.pace.over():
                return False
            value = self._values().get(aim)
            if value is None:
                return False  # no limit of mass bears on what is taken: no margin to be wider
            self.watcher.aim_done(Reached(aim, value, self.bounds.get(aim)))
        return False

    def _aim(self, aim: Aim, before: Sequence[Aim], left: int) -> bool:
        """Seek one aim, unless it cannot be better than it is; True when nothing is possible."""
        if self.best is not None:
            value = self._values().get(aim)
            if value is None:
                return False
            if value == 0 and aim is not Aim.MARGIN:
                self.bounds[aim] = 0
                return False
        if aim is Aim.MOVES:
            self._by_sense()
        if aim is Aim.MONEY and self._money_by_sums():
            return False
        model = PackingModel(self.tables, stay=staying(self.tables, aim))
        goal = model.goal(aim)
        if goal is None:
            return False
        if self.best is not None:
            for held in before:
                model.hold(model.goal(held), self._values()[held])
        return self._solve(model, aim, goal, left)

    def _money_by_sums(self) -> bool:
        """A bound on the money from masses alone; True when it is met already."""
        model = PackingModel(by_the_gram(self.tables))
        goal = model.goal(Aim.MONEY)
        solved = model.solve(goal, work=_SUMS_WORK, stop=self.pace.over)
        self.pace.took(solved.work)
        if solved.bound is not None:
            self.bounds[Aim.MONEY] = max(0, solved.bound)
        return self._proved(Aim.MONEY)

    def _solve(self, model: PackingModel, aim: Aim, goal: object, left: int) -> bool:
        """Outright; if that proves nothing by changing few bags at a time; outright again."""
        share, stop = self.pace.share(left)
        if self._outright(model, aim, goal, share * _FIRST, stop):
            return True
        if self.best is None:
            return self._outright(model, aim, goal, share * (1 - _FIRST), stop)
        if not self._proved(aim):
            self._nearby(model, goal, share * _NEARBY, stop)
        if not self._proved(aim) and not stop():
            self._outright(model, aim, goal, share * (1 - _FIRST - _NEARBY), stop)
        return False

    def _proved(self, aim: Aim) -> bool:
        return self.best is not None and self._values().get(aim) == self.bounds.get(aim)

    def _outright(
        self, model: PackingModel, aim: Aim, goal: object, work: float, stop: Callable[[], bool]
    ) -> bool:
        """Solve for an aim; True when it is proved that nothing is possible."""
        if self.best is not None:
            model.hint(self.best.places, self.best.fates)
        solved = model.solve(goal, work=work, stop=stop)
        self.pace.took(solved.work)
        if solved.value is not None:
            self._found(solved.places, solved.fates)
        if solved.bound is not None:
            bound = -solved.bound if aim is Aim.MARGIN else max(0, solved.bound)
            known = self.bounds.get(aim, bound)
            self.bounds[aim] = min(known, bound) if aim is Aim.MARGIN else max(known, bound)
        return solved.impossible

    def _nearby(
        self, model: PackingModel, goal: object, work: float, stop: Callable[[], bool]
    ) -> None:
        """Change two bags at a time, every two in turn, as long as the work lasts."""
        pairs = list(combinations(range(len(self.problem.bags)), 2))
        self.random.shuffle(pairs)
        fruitless = 0
        for pair in islice(cycle(pairs), _ROUNDS):
            if self.best is None or work <= 0 or fruitless == len(pairs) or stop():
                break
            before = self.best
            near = Near(before.places, before.fates, pair)
            solved = model.solve(goal, work=min(work, _ROUND), stop=stop, near=near)
            self.pace.took(solved.work)
            work -= solved.work
            if solved.value is not None:
                self._found(solved.places, solved.fates)
            fruitless = 0 if self.best is not before else fruitless + 1

    def _by_sense(self) -> None:
        """Bring things home again by single changes, within what the aims before allow."""
        if self.best is not None:
            load = loaded(self.tables, self.best.places, self.best.fates)
            load.money, load.lost = self.best.account.cents, self.best.account.lost
            rehomed(load, self.pace.over)
            if load.keeps_limits():
                self._found(*load.result())

    def _values(self) -> dict[Aim, int]:
        assert self.best is not None
        return values_of(self.problem, self.best.account)

    def _found(self, places: Places, fates: tuple[Fate, ...]) -> None:
        """Take a packing if it is better: account for it, check it, tell the watcher."""
        places = _twins_in_order(self.tables, places)
        account = account_of(self.problem, places, fates)
        if self.best is not None and worth_of(self.problem, account) >= worth_of(
            self.problem, self.best.account
        ):
            return
        self.best = _Best(places, fates, account)
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
        return PackingAnswer(outcome, best.places, best.fates, best.account, aims, self.method)


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
