"""What to set or to pump up to today, so that the true value is the one wanted.

Between two points of a check the instrument's error is taken to change in a straight line.
Nothing is told outside the points that were read. Whole units of what is checked.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from toolbox.instruments.check import Point, Result
from toolbox.instruments.limits import TorqueLimits
from toolbox.instruments.uncertainty import Combined, Part, combine
from toolbox.instruments.verdicts import CAUTION, has_failed
from toolbox.kit.checking import Verdict


class CorrectionError(ValueError):
    """There is nothing to be told to set; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What the instrument must show for a wanted true value.

    ``exact`` is by the check; ``shown`` the nearest mark (whole units where there is no
    step), ``true`` what that comes to. The true value lies within ± ``expanded`` (k by the
    number of readings) of ``true``. ``note`` says when the instrument is out of its limits.
    """

    wanted: int
    exact: Fraction
    shown: int
    true: Fraction
    uncertainty: Combined
    note: str = ""

    @property
    def expanded(self) -> Fraction:
        """U of the true value in one use of the instrument."""
        return self.uncertainty.expanded

    @property
    def caution(self) -> str:
        """The sentence that goes with every verdict."""
        return CAUTION


def setting(
    result: Result, wanted: int, *, moved: Fraction = Fraction(0), moved_u: float = 0.0
) -> Setting:
    """What to set so that the truth is ``wanted``, by the last check.

    ``moved`` is by how much the error has grown since that check, as its trend says, with
    its standard uncertainty. CorrectionError without a verdict, for a torque tool that
    failed, and outside the points of the check.
    """
    if result.verdict is None:
        raise CorrectionError("the check has no verdict: make good what it says first")
    failed = has_failed(result.verdict)
    if failed and isinstance(result.check.limits, TorqueLimits):
        raise CorrectionError("the tool failed its check: have it set right, do not correct it")
    low, high = _around(result.points, wanted)
    error = _between(low, high, Fraction(wanted)) + moved
    exact = wanted + error
    step = result.check.step or 1
    shown = step * math.floor(exact / step + Fraction(1, 2))
    spread = max((low, high), key=lambda point: point.uncertainty.u)
    parts = [*spread.uncertainty.parts, *_one_use(low, high)]
    if moved_u:
        parts.append(Part("moved since the check", moved_u))
    note = ""
    if failed:
        note = "outside its limits: mend or replace it, the correction is for today alone"
    elif result.verdict is Verdict.CONDITIONAL_PASS:
        note = "near its limits: check it again soon"
    return Setting(wanted, exact, shown, wanted + (shown - exact), combine(parts), note)


def _around(points: Sequence[Point], wanted: int) -> tuple[Point, Point]:
    ordered = sorted(points, key=lambda point: point.mean_reference)
    for point in ordered:
        if point.mean_reference == wanted:
            return point, point
    for low, high in pairwise(ordered):
        if low.mean_reference < wanted < high.mean_reference:
            return low, high
    raise CorrectionError("outside the points of its check: read it there too")


def _between(low: Point, high: Point, true: Fraction) -> Fraction:
    if low is high:
        return low.mean_error
    share = (true - low.mean_reference) / (high.mean_reference - low.mean_reference)
    return low.mean_error + share * (high.mean_error - low.mean_error)


def _one_use(low: Point, high: Point) -> list[Part]:
    """How far a single use strays from the mean, by the point where it strays more."""
    points = [point for point in (low, high) if point.spread]
    if not points:
        return []
    worse = max(points, key=lambda point: point.spread or 0.0)
    return [Part("one use beside the mean", worse.spread or 0.0, worse.readings - 1)]
