"""Sharing blocks out among places by sums: the assignment under the layout, without geometry.

Each block goes to one place; areas, stretches, volumes and loads add up; pairs that
cannot lie side by side stay apart; each visit pays the openings it needs. Sets that
were proved not to fit a place can be forbidden, which closes in on the true layout.
With the whole area allowed its optimum is a lower bound for every layout.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

from toolbox.layout.solver import run
from toolbox.layout.tables import Tables, bits


class Shared(Enum):
    """How sharing out ended."""

    BEST = "proved best"
    SOME = "found, not proved best"
    NONE = "proved that there is no way"
    OPEN = "not known"


@dataclass(frozen=True, slots=True)
class Share:
    """A way to share out: how it ended, homes of blocks (None: none), cost, proved bound."""

    ended: Shared
    homes: tuple[int, ...] | None
    cost: int
    bound: int | None


class Sharing:
    """The assignment model of a layout question, for CP-SAT.

    ``fill`` is the share of the area of laid places that may be used. Raises
    ImportError without the solver package.
    """

    def __init__(self, tables: Tables, fill: float = 1.0) -> None:
        from ortools.sat.python import cp_model

        self._tables = tables
        self._cp = cp_model
        self._model = cp_model.CpModel()
        self._lies = [
            {place: self._model.new_bool_var("") for place in options} for options in tables.options
        ]
        self._add_homes()
        self._add_sums(fill)
        self._add_rivals()
        self._model.minimize(self._picks() + self._openings())

    def _add_homes(self) -> None:
        """Every block has one home."""
        for lies in self._lies:
            self._model.add_exactly_one(lies.values())

    def _add_sums(self, fill: float) -> None:
        """What lies in a place keeps its room and its load."""
        tables = self._tables
        for place, room in enumerate(tables.room):
            limit = int(room * fill) if tables.laid[place] else room
            here = [(b, lies[place]) for b, lies in enumerate(self._lies) if place in lies]
            if here:
                self._model.add(sum(tables.use[b][place] * x for b, x in here) <= limit)
                self._model.add(sum(tables.mass[b] * x for b, x in here) <= tables.load[place])

    def _add_rivals(self) -> None:
        """Rivals do not share a place."""
        for place, rivals in enumerate(self._tables.rivals):
            for block, mine in enumerate(rivals):
                for other in bits(mine >> block << block):
                    if place in self._lies[block] and place in self._lies[other]:
                        self._model.add_at_most_one(
                            self._lies[block][place], self._lies[other][place]
                        )

    def _picks(self) -> Any:
        """Cost of all that is linear."""
        costs = self._tables.cost
        return sum(costs[b][p] * x for b, lies in enumerate(self._lies) for p, x in lies.items())

    def _openings(self) -> Any:
        """Cost of the openings each visit needs."""
        places = self._tables.problem.places
        members: list[list[int]] = [[] for _ in self._tables.problem.visits]
        for block, visits in enumerate(self._tables.visits_of):
            for visit in visits:
                members[visit].append(block)
        terms = []
        for paid, blocks in zip(self._tables.problem.visits, members, strict=True):
            for opening, cost in enumerate(paid.opening_cost):
                behind = [
                    [x for p, x in self._lies[b].items() if opening in places[p].openings]
                    for b in blocks
                ]
                if cost and any(behind):
                    opened = self._model.new_bool_var("")
                    for choices in filter(None, behind):
                        self._model.add(sum(choices) <= opened)
                    terms.append(cost * opened)
        return sum(terms)

    def forbid(self, places: Sequence[int], blocks: int) -> None:
        """From now on these blocks do not all lie in any one of the places."""
        members = list(bits(blocks))
        for place in places:
            here = [self._lies[b][place] for b in members if place in self._lies[b]]
            if len(here) == len(members):
                self._model.add(sum(here) <= len(members) - 1)

    def hint(self, homes: Sequence[int]) -> None:
        """Begin the next solve near these homes."""
        self._model.clear_hints()
        for lies, home in zip(self._lies, homes, strict=True):
            for place, x in lies.items():
                self._model.add_hint(x, place == home)

    def solve(self, *, work: float, stop: Callable[[], bool] | None = None, seed: int = 1) -> Share:
        """The cheapest way found within ``work`` deterministic units, and the proved bound."""
        cp = self._cp
        solver = cp.CpSolver()
        # full linear relaxations make these knapsack-like models far easier
        solver.parameters.linearization_level = 2
        status = run(solver, self._model, work=work, seed=seed, stop=stop)
        if status == cp.INFEASIBLE:
            return Share(Shared.NONE, None, 0, None)
        bound = _whole(solver.best_objective_bound)
        if status not in (cp.OPTIMAL, cp.FEASIBLE):
            return Share(Shared.OPEN, None, 0, bound)
        homes = tuple(
            next(place for place, x in lies.items() if solver.value(x)) for lies in self._lies
        )
        ended = Shared.BEST if status == cp.OPTIMAL else Shared.SOME
        cost = round(solver.objective_value)
        return Share(ended, homes, cost, cost if ended is Shared.BEST else bound)


def _whole(bound: float) -> int | None:
    """The bound as a whole number that is certainly not above it; None when there is none."""
    if abs(bound) > 1e17:
        return None
    # the solver keeps its bound in whole numbers; a double is exact for them up to 2**53
    return int(bound // 1) - (1 if abs(bound) > 2**53 else 0)
