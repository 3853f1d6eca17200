"""Running CP-SAT: one worker, a fixed seed, a deterministic limit, stopped from outside."""

from __future__ import annotations

import importlib.util
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

LOOK = 0.02  # seconds between two looks at the stop signal


def solver_there() -> bool:
    """True when the solver package can be imported."""
    return importlib.util.find_spec("ortools") is not None


def run(
    solver: cp_model.CpSolver,
    model: cp_model.CpModel,
    *,
    work: float,
    seed: int = 1,
    stop: Callable[[], bool] | None = None,
) -> cp_model.CpSolverStatus:
    """Solve within ``work`` deterministic units and return the status.

    The same model, work and seed give the same answer. A thrown ``stop`` ends the
    solve at once; what was found until then stays readable.
    """
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = work
    solver.parameters.catch_sigint_signal = False  # the caller decides what Ctrl-C means
    if stop is None:
        return solver.solve(model)
    ended = threading.Event()

    def look() -> None:
        while not ended.wait(LOOK):
            if stop():
                solver.stop_search()

    looker = threading.Thread(target=look, daemon=True)
    looker.start()
    try:
        return solver.solve(model)
    finally:
        ended.set()
        looker.join()
