"""A proven lower bound on the cost of every layout."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from toolbox.layout.bound_ascent import ascend
from toolbox.layout.bound_cores import refused_rows
from toolbox.layout.bound_frame import Frame, Row, base_rows, frame_of
from toolbox.layout.bound_prices import Valued, evaluate, even_prices
from toolbox.layout.bound_rounds import Climb
from toolbox.layout.bound_start import rough_homes
from toolbox.layout.bound_whole import whole_bound
from toolbox.layout.problem import LayoutProblem
from toolbox.layout.solver import solver_there
from toolbox.layout.watch import Stop

ALL_COLUMNS = 4000  # below this many homes of all blocks, all are columns from the start
FEW = 4  # else so many of the cheapest for each block
DULL, DULL_GAIN = 6, 1e-4  # rounds end when so many of them gain less than this part
WHOLE_WORK = 0.1  # solver units for a whole spread, for each round of work
WHOLE_PART = 4  # one whole spread for so many rounds of work
ENDLESS = 10_000  # rounds that no clock outlasts
WALK = 400_000  # homes looked at in the first walk of prices


@dataclass(frozen=True, slots=True)
class Bound:
    """No layout costs less than ``value`` (µs/day).

    ``homes`` is one place for each item where the relaxed question put it, for
    guidance: it may not fit. ``proved_impossible`` says that no layout keeps all rules.
    """

    value: int
    homes: tuple[int, ...] | None
    proved_impossible: bool = False


def lower_bound(
    problem: LayoutProblem,
    *,
    stop: Stop,
    report: Callable[[int], None],
    work: int = 100,
    seconds: float | None = None,
) -> Bound:
    """The best bound found within ``seconds``; within ``work`` rounds alone when None.

    ``report`` hears every better value, from whichever thread finds it, one at a time;
    ``stop`` is asked every few hundredths of a second. Without seconds the same problem
    and work give the same bound. Without the solver package the bound is lower.
    """
    ends = None if seconds is None else time.monotonic() + seconds
    work = work if seconds is None else ENDLESS

    def enough() -> bool:
        return stop() or (ends is not None and time.monotonic() > ends)

    frame = frame_of(problem)
    if frame.impossible:
        return Bound(0, None, proved_impossible=True)
    rows = base_rows(frame)
    first = evaluate(frame, rows, even_prices(frame, rows))
    report(first.value)
    solver = solver_there()
    size = sum(map(len, frame.homes))
    steps = max(5, min(50, WALK // max(size, 1))) if solver else 2 * work
    walked = evaluate(frame, rows, ascend(frame, rows, steps, enough))
    if walked.value > first.value:
        first = walked
        report(first.value)
    if enough() or not solver:
        return _bound(frame, first.value, first.homes)
    climb = Climb(frame, rows, first, report, enough)
    climb.begin(_first_columns(frame, rows, first, enough))
    if not _climb(climb, work, enough):
        return _bound(frame, climb.best, climb.homes)
    return _in_whole(climb, work, report, enough)


def _climb(climb: Climb, work: int, enough: Callable[[], bool]) -> bool:
    """Rounds of rows; True when they ended because they had too little left to give."""
    before: list[int] = []
    for _ in range(work):
        if not climb.settle():
            return False
        before.append(climb.best)
        if len(before) > DULL and before[-1] - before[-1 - DULL] < before[-1] * DULL_GAIN:
            return True
        if not climb.tighten():
            return not enough()
    return False


def _in_whole(
    climb: Climb, work: int, report: Callable[[int], None], enough: Callable[[], bool]
) -> Bound:
    """Whole spreads, and rows against those whose laid sets the exact fit refuses."""
    rows, best, homes = list(climb.rows), climb.best, climb.homes

    def higher(value: int) -> None:
        nonlocal best
        if value > best:
            best = value
            report(value)

    for _ in range(max(1, work // WHOLE_PART)):
        whole = whole_bound(
            climb.frame, rows, climb.valued, higher, work=work * WHOLE_WORK, enough=enough
        )
        if whole.spread is None:
            break
        homes = tuple(p for p, _ in whole.spread)
        if not whole.settled or enough():
            break
        fillings: dict[int, dict[tuple[int, bool], float]] = {}
        for b, (p, turned) in enumerate(whole.spread):
            fillings.setdefault(p, {})[b, turned] = 1.0
        fresh = climb.broken(fillings) or refused_rows(climb.frame, homes, enough)
        if not fresh:
            break
        rows += fresh
    return _bound(climb.frame, best, homes)


def _first_columns(
    frame: Frame, rows: tuple[Row, ...], valued: Valued, enough: Callable[[], bool]
) -> list[tuple[int, int]]:
    if sum(map(len, frame.homes)) <= ALL_COLUMNS:
        return [(b, p) for b, homes in enumerate(frame.homes) for p in homes]
    cheap = [
        (b, p)
        for b, line in enumerate(valued.table)
        for p in sorted(frame.homes[b], key=line.__getitem__)[:FEW]
    ]
    return rough_homes(frame, rows, enough) + cheap


def _bound(frame: Frame, value: int, homes: tuple[int, ...]) -> Bound:
    return Bound(value, frame.spread(homes), proved_impossible=value > frame.dearest)
