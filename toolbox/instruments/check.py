"""A check: an instrument read beside a reference, judged point by point.

Torque tools and pressure gauges are judged by every single reading, as their standards do;
what has a plain tolerance by the mean of its readings. The uncertainty of the comparison
goes into a guard band. Without the points that are asked for, or with a reference that is
no better than the instrument, there is no verdict but the reasons why not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from toolbox.instruments.limits import TORQUE_CELSIUS, GaugeLimits, Limits, Status, TorqueLimits
from toolbox.instruments.readings import error_of, parts_of, says_how_good
from toolbox.instruments.uncertainty import (
    Combined,
    Part,
    combine,
    limited,
    repeated,
    rounded,
    spread,
)
from toolbox.instruments.verdicts import (
    CAUTION,
    Allowed,
    Decision,
    decide,
    has_failed,
    severity,
)
from toolbox.kit.checking import Beside, Reading, Verdict, Way

# T/U below the first warns, at or below the second there is no verdict: the guard band has
# then eaten the whole tolerance. Common practice, no source; an ISO 6789 tester of ±1 % beside
# a tool of ±4 % comes to 3.5.
GOOD_RATIO, LEAST_RATIO = 3, 1


@dataclass(frozen=True, slots=True)
class Check:
    """Readings of an instrument beside a reference.

    ``step`` is the smallest step to which the instrument is set or read (0 for one that
    shows nothing); ``celsius`` the temperature, None where nobody looked.
    """

    limits: Limits
    readings: tuple[Reading, ...]
    reference: Beside
    step: int = 0
    celsius: int | None = None


@dataclass(frozen=True, slots=True)
class Point:
    """One point of a check. Errors are shown less true, in whole units.

    ``percent`` is the mean deviation in per cent (of the true torque, of a gauge's span),
    None for plain tolerances; ``spread`` the standard deviation of the readings, None for
    one; ``hysteresis`` rising less falling, None when read one way. ``decision`` is that of
    the worst reading or of the mean, None where no limit holds or nothing may be judged.
    """

    at: int
    readings: int
    mean_reference: Fraction
    mean_error: Fraction
    worst_error: Fraction
    percent: Fraction | None
    spread: float | None
    hysteresis: Fraction | None
    uncertainty: Combined
    decision: Decision | None


@dataclass(frozen=True, slots=True)
class Result:
    """What a check found.

    ``verdict`` is the worst of all points and of the hysteresis, None when ``refused`` says
    why nothing can be judged. ``notes`` say what weakens the check.
    """

    check: Check
    points: tuple[Point, ...]
    verdict: Verdict | None
    refused: tuple[str, ...]
    notes: tuple[str, ...]
    hysteresis: Decision | None = None

    @property
    def accepted(self) -> bool | None:
        """Simple acceptance: inside everywhere as read. None without a verdict."""
        return None if self.verdict is None else not has_failed(self.verdict)

    @property
    def worst(self) -> Point | None:
        """The point that uses up most of its limits; None when none was judged."""
        judged = [(p.decision, p) for p in self.points if p.decision is not None]
        return max(judged, key=lambda pair: _rank(pair[0]))[1] if judged else None

    @property
    def ratio(self) -> Fraction | None:
        """The smallest T/U of all points; None when none was judged or nothing is uncertain."""
        return _least_ratio(self.points)

    @property
    def caution(self) -> str:
        """The sentence that goes with every verdict."""
        return CAUTION


def judge(check: Check) -> Result:
    """The verdict on a check, or the reasons why there is none, all of them."""
    refused = tuple(_faults(check))
    if refused:
        return Result(check, (), None, refused, ())
    points = tuple(_point(check, at) for at in sorted({r.at for r in check.readings}))
    poor = _poor_reference(check, points)
    if poor:
        bare = tuple(replace(point, decision=None) for point in points)
        return Result(check, bare, None, (poor,), ())
    hysteresis = _hysteresis(check, points)
    decisions = [point.decision for point in points if point.decision is not None]
    if hysteresis is not None:
        decisions.append(hysteresis)
    verdict = max(decisions, key=_rank).verdict
    return Result(check, points, verdict, (), tuple(_notes(check, points)), hysteresis)


def _rank(decision: Decision) -> tuple[int, Fraction]:
    return severity(decision.verdict), decision.allowed.share(decision.value)


def _faults(check: Check) -> Iterator[str]:
    """Everything that keeps a check from being judged at all."""
    limits, readings = check.limits, check.readings
    if not says_how_good(check.reference):
        yield (
            f"nothing says how far off {check.reference.name} may be: "
            "enter its certificate's uncertainty or its maker's limits"
        )
    if isinstance(limits, TorqueLimits) and any(min(r.shown, r.reference) <= 0 for r in readings):
        yield "a torque of nothing or less among the readings: enter what both show under load"
    for point in limits.required():
        if not any(limits.serves(reading.at, point) for reading in readings):
            yield f"no reading at {limits.where(point)}"
    judged = {reading.at for reading in readings if limits.allowed(reading) is not None}
    if isinstance(limits, GaugeLimits):
        if len(judged) < limits.accuracy.points:
            yield (
                f"read at {len(judged)} points where the class holds: its class asks for at "
                f"least {limits.accuracy.points}; or check it against a tolerance of your own"
            )
    elif not judged and not limits.required():
        yield "no reading where a limit holds"


def _poor_reference(check: Check, points: Sequence[Point]) -> str:
    judged = [(p.decision.ratio, p) for p in points if p.decision and p.decision.ratio is not None]
    if not judged:
        return ""
    ratio, point = min(judged, key=lambda pair: pair[0])
    if ratio > LEAST_RATIO:
        return ""
    largest = max(point.uncertainty.parts, key=lambda part: part.u)
    return (
        f"{check.reference.name} is not good enough for this: the uncertainty of the comparison "
        f"reaches what the instrument may be off (limit to uncertainty {float(ratio):.2f}, "
        f"{GOOD_RATIO} or more is usual); most of it comes from: {largest.name}"
    )


def _point(check: Check, at: int) -> Point:
    readings = [reading for reading in check.readings if reading.at == at]
    errors = [error_of(reading) for reading in readings]
    mean = _mean(errors)
    uncertainty = combine(_parts(check, readings, errors))
    percents = [check.limits.in_percent(reading) for reading in readings]
    known = [percent for percent in percents if percent is not None]
    decisions = [
        decide(value, allowed, uncertainty.expanded)
        for value, allowed in _judged(check.limits, readings, mean)
    ]
    rising = [error_of(r) for r in readings if r.way is Way.RISING]
    falling = [error_of(r) for r in readings if r.way is Way.FALLING]
    return Point(
        at=at,
        readings=len(readings),
        mean_reference=_mean([Fraction(reading.reference) for reading in readings]),
        mean_error=mean,
        worst_error=max(errors, key=abs),
        percent=_mean(known) if known else None,
        spread=spread(errors),
        hysteresis=_mean(rising) - _mean(falling) if rising and falling else None,
        uncertainty=uncertainty,
        decision=max(decisions, key=_rank) if decisions else None,
    )


def _judged(
    limits: Limits, readings: Sequence[Reading], mean: Fraction
) -> Iterator[tuple[Fraction, Allowed]]:
    """What is held against limits at a point: each reading, or their mean."""
    for reading in readings:
        allowed = limits.allowed(reading)
        if allowed is not None:
            yield (error_of(reading) if limits.every_reading else mean), allowed


def _parts(check: Check, readings: Sequence[Reading], errors: Sequence[Fraction]) -> list[Part]:
    """The parts of the uncertainty of what is judged at a point."""
    parts = [
        *parts_of(check.reference, _mean([Fraction(r.reference) for r in readings])),
        Part("the instrument's own step", rounded(check.step)),
    ]
    limits = check.limits
    if isinstance(limits, GaugeLimits) and check.celsius is not None:
        parts.append(Part("temperature", limited(limits.moved_pa(check.celsius))))
    # a single reading has no mean: how it repeats is judged by judging each of them
    again = None if limits.every_reading else repeated(errors)
    return [*parts, again] if again is not None else parts


def _hysteresis(check: Check, points: Sequence[Point]) -> Decision | None:
    """The largest difference of a gauge read up and down, against its permissible error.

    EN 837-1, 6.3 (from memory). The reference's own error is in both readings and falls out;
    the last digits do not.
    """
    if not isinstance(check.limits, GaugeLimits):
        return None
    found = [p.hysteresis for p in points if p.hysteresis is not None and p.decision]
    if not found:
        return None
    digits = [rounded(check.step), rounded(check.reference.step)] * 2
    expanded = combine(Part("a last digit", u) for u in digits).expanded
    half = check.limits.half_pa
    return decide(max(found, key=abs), Allowed(-half, half), expanded)


def _notes(check: Check, points: Sequence[Point]) -> Iterator[str]:
    """What weakens a check without standing in the way of its verdict."""
    limits = check.limits
    worst = _least_ratio(points)
    if worst is not None and worst < GOOD_RATIO:
        yield (
            f"the limits are only {float(worst):.1f} times the uncertainty of the comparison: "
            f"{GOOD_RATIO} times or more is usual"
        )
    for point in points:
        where = _where(limits, point.at)
        if point.decision is None:
            yield f"no limit holds at {where}: shown, not judged"
        elif point.readings < limits.readings:
            yield f"{point.readings} of {limits.readings} readings at {where}"
        elif point.readings == 1 and not limits.every_reading:
            yield f"one reading at {where} says nothing of how well it repeats"
    if limits.two_ways and all(point.hysteresis is None for point in points):
        yield "read one way only: read it rising and falling to see its hysteresis"
    if limits.status is Status.MEMORY:
        yield f"the limits of its class are {limits.status.value}"
    low, high = TORQUE_CELSIUS
    outside = check.celsius is not None and not low <= check.celsius <= high
    if isinstance(limits, TorqueLimits) and outside:
        yield f"at {check.celsius} °C: torque tools are checked between {low} and {high} °C"


def _least_ratio(points: Sequence[Point]) -> Fraction | None:
    ratios = [point.decision.ratio for point in points if point.decision is not None]
    return min((ratio for ratio in ratios if ratio is not None), default=None)


def _where(limits: Limits, at: int) -> str:
    if isinstance(limits, TorqueLimits | GaugeLimits):
        return limits.where(Fraction(at))
    served = [point for point in limits.required() if limits.serves(at, point)]
    return limits.where(served[0]) if served else "a point of its own"


def _mean(values: Sequence[Fraction]) -> Fraction:
    return sum(values, Fraction(0)) / len(values)
