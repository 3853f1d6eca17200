"""Errors of an instrument against its limits, as plain figures and as one line of signs.

Pure arithmetic that a command and a screen draw alike: the limits stand at the same columns
on every line, whatever they come to at that point.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import NamedTuple

from toolbox.instruments.check import Result
from toolbox.kit.checking import Verdict

HALF = 2  # a line reaches from twice the lower limit to twice the upper one
LEAST_WIDTH = 13
LEGEND = "[ ] limits   o mean error   x worst reading   - uncertainty"


class Bar(NamedTuple):
    """One point of a check against its limits; all values in whole units, errors shown less true.

    ``expanded`` is U of the comparison; ``low`` and ``high`` are None where no limit holds,
    and so is ``verdict``.
    """

    at: int
    mean: Fraction
    worst: Fraction
    expanded: Fraction
    low: Fraction | None
    high: Fraction | None
    percent: Fraction | None
    verdict: Verdict | None


def bars_of(result: Result) -> tuple[Bar, ...]:
    """Every point of a check, from the lowest up."""
    found = []
    for point in result.points:
        decision = point.decision
        found.append(
            Bar(
                point.at,
                point.mean_error,
                point.worst_error,
                point.uncertainty.expanded,
                None if decision is None else decision.allowed.low,
                None if decision is None else decision.allowed.high,
                point.percent,
                None if decision is None else decision.verdict,
            )
        )
    return tuple(found)


def drawn(bar: Bar, width: int) -> str:
    """The line of signs for a point, as wide as asked (an odd number is best); "" without limits.

    What lies beyond the line is put at its end as ``<`` or ``>``. ValueError for a width
    below 13.
    """
    if width < LEAST_WIDTH:
        raise ValueError(f"no picture is {width} columns wide")
    if bar.low is None or bar.high is None or bar.low == bar.high:
        return ""
    line = [" "] * width
    first, last = (column(bar, bar.mean + u, width) for u in (-bar.expanded, bar.expanded))
    for n in range(max(0, first), min(width - 1, last) + 1):
        line[n] = "-"
    for value, sign in ((Fraction(bar.low), "["), (Fraction(bar.high), "]")):
        line[column(bar, value, width)] = sign
    for value, sign in ((bar.worst, "x"), (bar.mean, "o")):
        n = column(bar, value, width)
        line[min(max(n, 0), width - 1)] = sign if 0 <= n < width else "<" if n < 0 else ">"
    return "".join(line)


def column(bar: Bar, value: Fraction, width: int) -> int:
    """The column of a value, from 0; outside 0 to width - 1 for what lies beyond the line."""
    assert bar.low is not None
    assert bar.high is not None
    share = (2 * value - bar.low - bar.high) / (bar.high - bar.low)  # -1 and 1 at the limits
    return math.floor((share + HALF) * (width - 1) / (2 * HALF) + Fraction(1, 2))
