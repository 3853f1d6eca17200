"""A proven lower bound on the cost of every layout."""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Callable
from dataclasses import dataclass

from toolbox.layout.bound_ascent import ascend
from toolbox.layout.bound_frame import Frame, Row, base_rows, frame_of
from toolbox.layout.bound_prices import Valued, evaluate, even_prices
from toolbox.layout.bound_rounds import Climb
from toolbox.layout.bound_start import rough_homes
from toolbox.layout.problem import LayoutProblem
from toolbox.layout.watch import Stop

ALL_COLUMNS = 4000  # below this many homes of all blocks, all are columns from the start
FEW = 4  # else so many of the cheapest for each block
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
    """The best bound found within ``seconds``; within ``work`` rounds when None.

    ``report`` hears every better value; ``stop`` is asked often.
    """
    ends = None if seconds is None else time.monotonic() + seconds

    def enough() -> bool:
        return stop() or (ends is not None and time.monotonic() > ends)

    frame = frame_of(problem)
    if frame.impossible:
        return Bound(0, None, proved_impossible=True)
    rows = base_rows(frame)
    first = evaluate(frame, rows, even_prices(frame, rows))
    report(first.value)
    solver = importlib.util.find_spec("ortools") is not None
    size = sum(map(len, frame.homes))
    steps = max(5, min(50, WALK // max(size, 1))) if solver else 2 * work
    walked = evaluate(frame, rows, ascend(frame, rows, steps, enough))
    if walked.value > first.value:
        first = walked
        report(first.value)
    if not solver:
        return _bound(frame, first, first.homes)
    climb = Climb(frame, rows, first, report, enough)
    climb.begin(_first_columns(frame, rows, first))
    rounds = 0
    while climb.settle() and rounds < work and not enough():
        rounds += 1
        if not climb.tighten():
            break
    return _bound(frame, climb.valued, climb.homes)


def _first_columns(frame: Frame, rows: tuple[Row, ...], valued: Valued) -> list[tuple[int, int]]:
    if sum(map(len, frame.homes)) <= ALL_COLUMNS:
        return [(b, p) for b, homes in enumerate(frame.homes) for p in homes]
    cheap = [
        (b, p)
        for b, line in enumerate(valued.table)
        for p in sorted(frame.homes[b], key=line.__getitem__)[:FEW]
    ]
    return rough_homes(frame, rows) + cheap


def _bound(frame: Frame, valued: Valued, homes: tuple[int, ...]) -> Bound:
    return Bound(valued.value, frame.spread(homes), valued.value > frame.dearest)
