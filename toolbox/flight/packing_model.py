"""The packing question as a model for CP-SAT: whole numbers only, solved for one goal at a time."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from itertools import pairwise
from math import ceil
from typing import Any, NamedTuple

from toolbox.flight.packing_counts import Counts
from toolbox.flight.packing_limits import Limit, Top
from toolbox.flight.packing_problem import Aim, Fate, Places
from toolbox.flight.packing_rows import LimitRows
from toolbox.flight.packing_tables import Tables, most_moves
from toolbox.layout.solver import run

_ROUNDING = 1e-6  # the solver tells whole bounds as floats
_ENDLESS = 1e15  # what no goal reaches


class Solved(NamedTuple):
    """How one solve ended: with a packing or none, its goal's value, the goal's lower bound.

    ``value`` None: no packing. ``impossible`` is a proof that there is none. ``over``
    tells by how much each elastic limit is exceeded; ``work`` is what it
    took, in deterministic units; ``bought`` the extra bags, bands and kilograms paid for,
    ``tops`` the limits of mass that come of it, ``taken`` the bags that fly.
    """

    places: Places
    fates: tuple[Fate, ...]
    value: int | None
    bound: int | None
    impossible: bool
    over: Mapping[Limit, int]
    work: float
    bought: tuple[int, ...] = ()
    tops: tuple[Top, ...] = ()
    taken: tuple[int, ...] = ()

    @property
    def proved(self) -> bool:
        """True when the packing is the best for its goal, or none is possible."""
        return self.impossible or (self.value is not None and self.value == self.bound)


Settled = Sequence[tuple[Any, int]]  # variables that are to have these values


def _whole(bound: float) -> int | None:
    """A bound as the solver tells it, in whole numbers; None where it has none yet."""
    return ceil(bound - _ROUNDING) if abs(bound) < _ENDLESS else None


class PackingModel:
    """One model of one question; goals are set, solved and held one after another.

    ``loose`` and ``elastic`` limits as for the rows; ``may_leave_all`` lets every item
    stay at home, and kinds in ``stay`` do so without being asked. With ``cut`` things are
    cut up by the gram: what is found is no packing, but nothing is better than its bound.
    With ``even`` only those that weigh the same on all legs.
    """

    def __init__(
        self,
        tables: Tables,
        *,
        loose: Collection[Limit] = (),
        elastic: Collection[Limit] = (),
        may_leave_all: bool = False,
        stay: Collection[int] = (),
        cut: bool = False,
        even: bool = False,
    ) -> None:
        """Build the model; ImportError without the solver package."""
        self._counts = Counts(tables, may_leave_all=may_leave_all, stay=stay, cut=cut, even=even)
        self._cut = cut
        self._problem = tables.problem
        self.most_moves = most_moves(tables.problem)
        self._tables = tables
        self._rows = LimitRows(self._counts, loose, elastic)
        self._lost = [self._counts.yes() for _ in self._problem.jobs]
        self._worst: Any | None = None
        self._jobs()
        if self._problem.spread:
            self._spread()
        self._twins()

    def _jobs(self) -> None:
        for lost, job in zip(self._lost, self._problem.jobs, strict=True):
            for need in job.needs:
                self._counts.model.add(self._counts.served(need) + lost >= 1)

    def _work(self, undone: Sequence[Any]) -> Any:
        return self._counts.sum(undone, [job.worth for job in self._problem.jobs])

    def _spread(self) -> None:
        """The work lost with the worst hold bag."""
        self._worst = self._counts.whole(sum(job.worth for job in self._problem.jobs))
        self._counts.model.add(self._worst >= self._work(self._lost))
        for number, bag in enumerate(self._problem.bags):
            if not bag.cabin:
                undone = [self._without(number, j) for j in range(len(self._problem.jobs))]
                self._counts.model.add(self._worst >= self._work(undone))

    def _without(self, bag: int, number: int) -> Any:
        """Whether a job cannot be done when a bag is lost on the way out."""
        undone = None
        for need in self._problem.jobs[number].needs:
            for gone in self._gone(bag, need):
                if undone is None:
                    undone = self._counts.yes()
                    self._counts.model.add_implication(self._lost[number], undone)
                self._counts.model.add(self._counts.served(need) - gone + undone >= 1)
        return self._lost[number] if undone is None else undone

    def _gone(self, bag: int, need: Sequence[int]) -> list[Any]:
        """How much of what serves a need lies in a bag, for each leg before the work."""
        kinds = sorted({self._tables.kind_of[item] for item in need})
        found = []
        for packing, flights in enumerate(self._tables.packings):
            for leg in (f[0] for f in flights if f[0] < self._problem.legs_out):
                flying = [k for k in kinds if self._counts.flies(k, leg)]
                inside = self._counts.in_bag(packing, bag, flying)
                if inside:
                    found.append(sum(inside.values()))
        return found

    def _twins(self) -> None:
        """Of bags that nothing tells apart the earlier is taken first, and is the heavier."""
        leg = self._tables.packings[0][0][0]
        for group in self._tables.twins:
            for one, other in pairwise(group):
                heavier, lighter = (self._counts.mass(0, leg, b) for b in (one, other))
                self._counts.model.add(heavier >= lighter)
                if not self._problem.bags[one].always:
                    taken = self._counts.taken
                    self._counts.model.add_implication(taken[other], taken[one])

    def goal(self, aim: Aim) -> Any | None:
        """What an aim adds up, to be made small (the margin: its negative); None: no such aim."""
        if aim is Aim.MONEY:
            return sum(self._rows.money)
        if aim is Aim.LOST_WORK:
            return self._work(self._lost)
        if aim is Aim.SPREAD:
            return self._worst
        if aim is Aim.MARGIN:
            return None if self._rows.margin is None else -self._rows.margin
        return self._moves()

    def _moves(self) -> Any:
        """Things out of their home, once for each time the bags are packed."""
        terms: list[Any] = []
        for row, flights in zip(self._counts.inside, self._tables.packings, strict=True):
            times = sum(map(len, flights)) if self._problem.may_change else 1
            for k, kind in enumerate(self._tables.kinds):
                if not any(self._counts.flies(k, flight[0]) for flight in flights):
                    continue
                if kind.home is None:
                    terms.append(times * (self._counts.left[k] + self._counts.away[k]))
                else:
                    terms.append(times * (len(kind.members) - row[k].get(kind.home, 0)))
        return sum(terms)

    def left_grams(self) -> Any:
        """Grams of what stays at home though it should not: each the heaviest it ever is."""
        terms = [
            left * max(1, *(grams or 0 for grams in (0, *self._problem.items[kind.first].grams)))
            for kind, left in zip(self._tables.kinds, self._counts.left, strict=True)
            if not kind.may_leave
        ]
        return sum(terms)

    def over(self) -> Any:
        """By how much all elastic limits together are exceeded."""
        return sum(self._rows.over.values())

    def hold(self, goal: Any, most: int) -> None:
        """From now on a goal is at most this."""
        self._counts.model.add(goal <= most)

    def bounded(self, goal: Any, least: int) -> None:
        """It is proved that a goal cannot be less than this."""
        self._counts.model.add(goal >= least)

    def hint(self, places: Places, fates: Sequence[Fate]) -> None:
        """Begin the next solve at this packing."""
        self._counts.hint(places, fates)

    def nearby(self, places: Places, fates: Sequence[Fate], free: Sequence[int]) -> Settled:
        """A packing that may be changed in a few bags only."""
        return self._counts.settled(places, fates, free)

    def paid(self, fates: Sequence[Fate] | None, bought: Sequence[int]) -> Settled:
        """What is paid for: the same things sent (None: any), the same kilograms on flights."""
        sent = [] if fates is None else self._counts.sent(fates)
        return [*sent, *zip(self._rows.bought, bought, strict=True)]

    def decided(self, places: Places, fates: Sequence[Fate], *, homes: bool) -> Settled:
        """What a cut-up packing decides: what stays and is sent; with ``homes`` who is at home."""
        return self._counts.decided(places, fates, homes=homes)

    def solve(
        self,
        goal: Any,
        *,
        work: float,
        stop: Callable[[], bool] | None = None,
        settled: Settled | None = None,
        below: int | None = None,
        hinted: bool = False,
        plain: bool = False,
        gap: float = 0.0,
    ) -> Solved:
        """Make a goal as small as can be within so many deterministic units.

        Without a goal (None) any packing will do. ``plain`` solves the model as it stands,
        without reworking it first: slower, a second way to the same proof. What is
        ``settled`` is not asked: then nothing is proved, neither by a bound nor by finding
        no packing. Then ``below`` asks for less than that, and only if ``hinted`` the
        search begins at the hint. A value within ``gap`` of the bound, as a share, will do.
        Places of what was cut up are None in the result.
        """
        from ortools.sat.python import cp_model

        model = self._counts.model
        if goal is None:
            model.clear_objective()
        else:
            model.minimize(goal)
        if settled is not None:
            model = model.clone()
            if not hinted:
                model.clear_hints()  # another packing as a hint would only hold it back
            for variable, count in settled:
                model.add(variable == count)
            if below is not None:
                model.add(goal < below)
        solver = cp_model.CpSolver()
        # Sums of many small weights: the linear relaxation decides, probing takes most of
        # the time and finds nothing. People are alike only where things are cut up.
        solver.parameters.linearization_level = 2
        solver.parameters.symmetry_level = 2 if self._cut else 0
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.cp_model_presolve = not plain
        solver.parameters.relative_gap_limit = gap
        status = run(solver, model, work=work, stop=stop)
        return self._solved(
            solver, status, asked=goal is not None, whole=settled is None, near=gap > 0
        )

    def _solved(self, solver: Any, status: Any, *, asked: bool, whole: bool, near: bool) -> Solved:
        """What a solve found; ``asked`` for a goal, of the ``whole`` question or of a part.

        Where ``near`` the bound was enough, ended is not proved.
        """
        from ortools.sat.python import cp_model

        took = solver.deterministic_time
        bound = _whole(solver.best_objective_bound) if whole and asked else None
        if status == cp_model.UNKNOWN and bound == 0:
            bound = None  # the solver says 0 too where it was stopped before it had any
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            impossible = whole and status == cp_model.INFEASIBLE
            return Solved((), (), None, bound, impossible, {}, took)
        value = round(solver.objective_value)
        if status == cp_model.OPTIMAL and whole:
            bound = value if bound is None or not near else min(bound, value)
        elif bound is not None and bound >= value:
            bound = None  # not proved, whatever it says
        if self._cut:
            self._counts.hint_all(solver)
        places, fates = self._counts.read(solver)
        over = {limit: int(solver.value(amount)) for limit, amount in self._rows.over.items()}
        bought = tuple(int(solver.value(variable)) for variable in self._rows.bought)
        tops = tuple(Top(bags, leg, solver.value(most)) for bags, leg, most in self._rows.tops)
        taken = tuple(b for b, yes in enumerate(self._counts.taken) if solver.value(yes))
        return Solved(places, fates, value, bound, False, over, took, bought, tops, taken)
