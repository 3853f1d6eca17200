"""A proven lower bound on the cost of every layout."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from toolbox.layout.bound_ascent import ascend
from toolbox.layout.bound_frame import base_rows, frame_of
from toolbox.layout.bound_prices import evaluate, even_prices
from toolbox.layout.problem import LayoutProblem
from toolbox.layout.watch import Stop


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
    """The best bound found within ``seconds``, or within ``work`` rounds when None.

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
    last = evaluate(frame, rows, ascend(frame, rows, 2 * work, enough))
    best = max(first, last, key=lambda valued: valued.value)
    if best.value > first.value:
        report(best.value)
    return Bound(best.value, frame.spread(best.homes), best.value > frame.dearest)
