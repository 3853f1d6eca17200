"""Why nothing can be packed: limits that cannot all be kept, and the smallest changes that help.

The limits are found by giving up as many as possible while it is still proved that there
is no packing; the small set left is proved once more in a second way. Every change that
is proposed was carried out and a packing found with it, which passed the checker.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import NamedTuple

from toolbox.flight.packing_account import account_of, values_of
from toolbox.flight.packing_check import packing_faults
from toolbox.flight.packing_limits import MASSES, Limit, limits_of, raised
from toolbox.flight.packing_model import PackingModel, Solved
from toolbox.flight.packing_problem import (
    Aim,
    Fate,
    Outcome,
    PackingAnswer,
    PackingProblem,
    Reached,
)
from toolbox.flight.packing_question import PackingError, question_faults
from toolbox.flight.packing_tables import Tables, staying, tables_of
from toolbox.layout.solver import solver_there
from toolbox.layout.watch import Stop

_WORK = 0.3  # deterministic units for each question
_TRIES = 60  # questions asked to make the set of limits small


class Raise(NamedTuple):
    """One limit higher by so many grams, bags, units of goods, or volume."""

    limit: Limit
    by: int


@dataclass(frozen=True, slots=True)
class Change:
    """A change that makes a packing possible: limits raised, or things left at home.

    ``grams`` is the mass of what is left at home, each thing the heaviest it ever is.
    ``least``: proved that no smaller change of its kind helps.
    """

    raises: tuple[Raise, ...] = ()
    leave: tuple[int, ...] = ()
    grams: int = 0
    least: bool = False


@dataclass(frozen=True, slots=True)
class Against:
    """Why there is no packing.

    ``nowhere`` are items that may lie in no bag and may not stay away; ``barred`` bags that
    have to fly and may not. ``limits`` cannot all be kept; ``needed[n]`` is true when
    giving up the n-th alone was proved to help, ``confirmed`` when a second method proved
    the contradiction as well. ``changes`` each help by themselves.
    """

    nowhere: tuple[int, ...]
    barred: tuple[int, ...]
    limits: tuple[Limit, ...]
    needed: tuple[bool, ...]
    confirmed: bool
    changes: tuple[Change, ...]


def why_impossible(
    problem: PackingProblem, *, work: float = _WORK, tries: int = _TRIES, stop: Stop | None = None
) -> Against | None:
    """The reasons against any packing; None when it is not proved that there is none.

    ``work`` limits each question in the solver's own units, ``tries`` how many are asked.
    Without the solver package nothing is proved. PackingError for a question with faults.
    """
    faults = question_faults(problem)
    if faults:
        raise PackingError(faults)
    if not solver_there():
        return None
    return _Reasons(problem, work, tries, stop or _never).find()


def _never() -> bool:
    return False


class _Reasons:
    """One search for reasons: its question, and what may still be asked."""

    def __init__(
        self, problem: PackingProblem, work: float, tries: int, stop: Callable[[], bool]
    ) -> None:
        self.problem = problem
        self.tables = tables_of(problem)
        self.work, self.tries, self.stop = work, tries, stop
        self.every = limits_of(self.tables)

    def find(self) -> Against | None:
        """Reasons in order: what no limit can help, then limits, then what would help."""
        nowhere, barred = _nowhere(self.tables), _barred(self.problem)
        if nowhere or barred:
            changes = () if barred else self._leaving()
            return Against(nowhere, barred, (), (), True, changes)
        if not self._impossible(self.every):
            return None
        kept, needed = self._small_set()
        model = PackingModel(
            self.tables, loose=set(self.every) - set(kept), stay=staying(self.tables, Aim.MONEY)
        )
        again = model.solve(None, work=self.work, stop=self.stop, plain=True)
        changes = (*self._raising(kept), *self._leaving())
        return Against((), (), tuple(kept), tuple(needed), again.impossible, changes)

    def _solved(self, limits: Collection[Limit]) -> Solved:
        """Any packing that keeps these limits."""
        model = PackingModel(
            self.tables, loose=set(self.every) - set(limits), stay=staying(self.tables, Aim.MONEY)
        )
        return model.solve(None, work=self.work, stop=self.stop)

    def _impossible(self, limits: Collection[Limit]) -> bool:
        self.tries -= 1
        return self._solved(limits).impossible

    def _small_set(self) -> tuple[list[Limit], list[bool]]:
        """Give up limits, many at once and then one by one, while the rest cannot be kept."""
        kept = list(self.every)
        size = max(1, len(kept) // 2)
        while size and self.tries > 0 and not self.stop():
            for start in range(0, len(kept), size):
                rest = [limit for limit in kept if limit not in kept[start : start + size]]
                if len(rest) < len(kept) and self.tries > 0 and self._impossible(rest):
                    kept = rest
                    break
            else:
                size //= 2
        needed = []
        for limit in kept:
            solved = self._solved([other for other in kept if other != limit])
            needed.append(solved.value is not None)
        return kept, needed

    def _raising(self, kept: Sequence[Limit]) -> tuple[Change, ...]:
        """The least by which one limit, or else limits of one measure together, must be raised."""
        single = [change for limit in kept if (change := self._raised_by([limit]))]
        if single:
            return tuple(single)
        measured = groupby(sorted(self.every, key=_measure), key=_measure)
        families = [list(limits) for _, limits in measured]
        return tuple(change for family in families if (change := self._raised_by(family)))

    def _raised_by(self, limits: Sequence[Limit]) -> Change | None:
        model = PackingModel(self.tables, elastic=limits, stay=staying(self.tables, Aim.MONEY))
        solved = model.solve(model.over(), work=self.work, stop=self.stop)
        raises = tuple(Raise(limit, by) for limit, by in solved.over.items() if by)
        if not raises:
            return None
        changed = self.problem
        for limit, by in raises:
            changed = raised(changed, limit, by)
        return Change(raises, least=solved.proved) if self._helps(changed) else None

    def _leaving(self) -> tuple[Change, ...]:
        """The least mass that must stay at home although it should not."""
        model = PackingModel(self.tables, may_leave_all=True, stay=staying(self.tables, Aim.MONEY))
        solved = model.solve(model.left_grams(), work=self.work, stop=self.stop)
        items = self.problem.items
        leave = tuple(
            i for i, fate in enumerate(solved.fates) if fate is Fate.LEFT and not items[i].may_leave
        )
        changed = replace(
            self.problem,
            items=tuple(
                replace(item, may_leave=True) if i in leave else item
                for i, item in enumerate(items)
            ),
        )
        if not leave or not self._helps(changed):
            return ()
        grams = sum(max(g or 0 for g in items[i].grams) for i in leave)
        return (Change(leave=leave, grams=grams, least=solved.proved),)

    def _helps(self, changed: PackingProblem) -> bool:
        """True when a packing of the changed question is found and passes the checker."""
        tables = tables_of(changed)
        model = PackingModel(tables, stay=staying(tables, Aim.MONEY))
        solved = model.solve(None, work=self.work, stop=self.stop)
        if solved.value is None:
            return False
        account = account_of(changed, solved.places, solved.fates)
        aims = tuple(Reached(aim, v, None) for aim, v in values_of(changed, account).items())
        answer = PackingAnswer(Outcome.GOOD, solved.places, solved.fates, account, aims, "any")
        return not packing_faults(changed, answer)


def _measure(limit: Limit) -> str:
    """Limits of equal measure can be added up."""
    return "mass" if limit.kind in MASSES else limit.kind.value


def _nowhere(tables: Tables) -> tuple[int, ...]:
    """Items that may lie in no bag on some leg, or in none on all, and have to be carried."""
    return tuple(
        i
        for kind in tables.kinds
        if kind.away_cents is None and not kind.may_leave
        for i in kind.members
        if any(
            grams is not None and not bags
            for grams, bags in zip(tables.problem.items[i].grams, kind.bags, strict=True)
        )
    )


def _barred(problem: PackingProblem) -> tuple[int, ...]:
    """Bags that always fly and that some leg does not take, for a rule or for their size."""
    return tuple(
        b
        for b, bag in enumerate(problem.bags)
        if bag.always
        and any(
            b in leg.no_bags
            or any(
                not bag.cabin
                and bag.person in allowance.people
                and allowance.sides
                and bag.sides > allowance.sides[-1].most
                for allowance in leg.allowances
            )
            for leg in problem.legs
        )
    )
