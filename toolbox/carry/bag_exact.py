"""The best pit bag with a constraint solver, aim after aim, each with its proof.

One worker, a fixed seed and a limit in the solver's own steps instead of
seconds: the same question gets the same answer on a slow machine as well.
"""

from __future__ import annotations

from typing import Any

from toolbox.carry.bag_problem import BagProblem, Choice

# Tie-breaking gives each tool twice the weight of the next; so many weights still add up exactly.
_BITS = 40


class _Model:
    """The solver's model of one problem, its last solution and how far that is proved."""

    def __init__(self, problem: BagProblem, effort: float) -> None:
        from ortools.sat.python import cp_model

        self._cp = cp_model
        self._effort = effort
        self.model = cp_model.CpModel()
        self.tools = [self.model.new_bool_var("") for _ in problem.grams]
        self.jobs = [self.model.new_bool_var("") for _ in problem.jobs]
        self.solution: tuple[int, ...] | None = None
        self.impossible = False
        for done, needs, must in zip(self.jobs, problem.jobs, problem.must, strict=True):
            for need in needs:
                self.model.add_bool_or([done.Not(), *(self.tools[t] for t in need)])
            if must:
                self.model.add(done == 1)
        if problem.limit_g is not None:
            self.model.add(self._sum(problem.grams, self.tools) <= problem.limit_g)
        if problem.room is not None:
            self.model.add(self._sum(problem.volumes, self.tools) <= problem.room)

    def _sum(self, weights: tuple[int, ...], variables: list[Any]) -> Any:
        return self._cp.LinearExpr.weighted_sum(variables, list(weights))

    def least(self, weights: tuple[int, ...], variables: list[Any]) -> bool:
        """Make the weighted sum as small as can be and hold it there; True when proved."""
        goal = self._sum(weights, variables)
        self.model.minimize(goal)
        solver = self._cp.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = self._effort
        status = solver.solve(self.model)
        if status == self._cp.INFEASIBLE:
            self.impossible = True
            return True
        if status not in (self._cp.OPTIMAL, self._cp.FEASIBLE):
            return False
        values = [solver.value(v) for v in (*self.tools, *self.jobs)]
        self.solution = tuple(i for i, value in enumerate(values[: len(self.tools)]) if value)
        self.model.add(goal <= round(solver.objective_value))
        self.model.clear_hints()
        for variable, value in zip((*self.tools, *self.jobs), values, strict=True):
            self.model.add_hint(variable, value)
        return bool(status == self._cp.OPTIMAL)


def exact_bag(problem: BagProblem, effort: float) -> Choice:
    """The best bag, or the proof that there is none; ``effort`` limits each aim's search.

    Aims in order: urgent work, other work, mass, number of tools, and the
    tools that stand first in the kit. ImportError where the solver is not installed.
    """
    model = _Model(problem, effort)
    proved = True
    for weights in (problem.urgent, problem.other):
        proved &= model.least(tuple(-w for w in weights), model.jobs)
    proved &= model.least(problem.grams, model.tools)
    if model.impossible or model.solution is None:
        return Choice(None, model.impossible)
    model.least((1,) * len(model.tools), model.tools)
    for start in range(0, len(model.tools), _BITS):
        some = model.tools[start : start + _BITS]
        model.least(tuple(-(1 << (len(some) - 1 - i)) for i in range(len(some))), some)
    return Choice(model.solution, proved)
