"""What became of an instrument from check to check: its offset as a series, and what to set.

A series begins anew with each repair. Its trend says how fast the error grows and when it
leaves its limits; with it the correction of the last check is brought up to today.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from toolbox.desk.errors import DeskError
from toolbox.desk.instruments import Stand, dial_of, limits_of
from toolbox.instruments.check import Check, Point, Result, judge
from toolbox.instruments.correction import CorrectionError, Setting, setting
from toolbox.instruments.due import Why
from toolbox.instruments.limits import NEAR, MadeLimits
from toolbox.instruments.trend import LEAST_VALUES, Leaving, Measured, Trend, leaves, trend
from toolbox.instruments.verdicts import Allowed
from toolbox.kit.checking import EventKind, InstrumentChecked, InstrumentEvent, WoundDown
from toolbox.kit.facts import Fact
from toolbox.kit.kit import Kit
from toolbox.kit.things import Tool


@dataclass(frozen=True, slots=True)
class Past:
    """A check of the journal; ``result`` is judged anew by the limits that the kit says now.

    None for a check that was made elsewhere, and where the kit says no limits any more.
    """

    fact: Fact
    said: InstrumentChecked
    result: Result | None

    @property
    def day(self) -> date:
        """The day it was made on."""
        return self.fact.at.date()


class Offset(NamedTuple):
    """What one check found at the point of a series: a day, a value, its U.

    ``anew`` is the standard uncertainty of what is drawn anew at each check: not that of
    the reference, which is off by the same each time.
    """

    day: date
    value: Fraction
    expanded: Fraction
    anew: float


@dataclass(frozen=True, slots=True)
class Series:
    """A value from check to check, in whole units: the error at one point, or a dimension.

    ``at`` is the point (None for a shop-made gauge, whose measured dimension it then is),
    ``low`` and ``high`` what it must lie between. ``line`` is None with fewer than three
    values since the last repair; ``leaving`` says when it goes out.
    """

    at: int | None
    values: tuple[Offset, ...]
    low: Fraction
    high: Fraction
    line: Trend | None
    leaving: Leaving | None


def pasts(kit: Kit, tool: Tool, facts: Iterable[Fact], today: date) -> tuple[Past, ...]:
    """Every check of an instrument up to a day, the oldest first."""
    found = [
        Past(fact, fact.what, _again(tool, fact.what))
        for fact in _of(tool, facts, today)
        if isinstance(fact.what, InstrumentChecked)
    ]
    return tuple(found)


def story(tool: Tool, facts: Iterable[Fact], today: date) -> tuple[Fact, ...]:
    """Checks, events and winding down of an instrument up to a day, the oldest first."""
    return tuple(_of(tool, facts, today))


def _of(tool: Tool, facts: Iterable[Fact], today: date) -> list[Fact]:
    found = [
        fact
        for fact in facts
        if isinstance(fact.what, InstrumentChecked | InstrumentEvent | WoundDown)
        and fact.what.tool == tool.id
        and fact.at.date() <= today
    ]
    return sorted(found, key=lambda fact: (fact.at, fact.clock))


def _again(tool: Tool, said: InstrumentChecked) -> Result | None:
    limits = limits_of(tool)
    if limits is None or not said.readings:
        return None
    dial = dial_of(tool)
    step = dial.step if dial is not None and dial.step is not None else 0
    result = judge(Check(limits, said.readings, said.beside, step, said.celsius))
    return result if result.points else None


def series(tool: Tool, facts: Iterable[Fact], today: date) -> Series | None:
    """The series of an instrument, None while no check with readings is there.

    At the point that most checks have, of several the one where the last check was worst.
    """
    known = _of(tool, facts, today)
    repairs = [
        fact.at
        for fact in known
        if isinstance(fact.what, InstrumentEvent) and fact.what.kind is EventKind.REPAIR
    ]
    since = [fact for fact in known if not repairs or fact.at > max(repairs)]
    checks = [
        (fact.at.date(), result)
        for fact in since
        if isinstance(fact.what, InstrumentChecked)
        and (result := _again(tool, fact.what)) is not None
    ]
    if not checks:
        return None
    return _series(tool, checks)


def _series(tool: Tool, checks: Sequence[tuple[date, Result]]) -> Series | None:
    last = checks[-1][1]
    made = isinstance(last.check.limits, MadeLimits)
    judged = [point for point in last.points if point.decision is not None]
    if not judged:
        return None
    near = _nearness(tool)
    best = max(judged, key=lambda point: (_met(checks, point.at, near), _used(point)))
    values = []
    for day, result in checks:
        point = _nearest(result.points, best.at, near)
        if point is not None:
            value = point.mean_reference if made else point.mean_error
            anew = _anew(point, result.check.reference.name)
            values.append(Offset(day, value, point.uncertainty.expanded, anew))
    low, high = _limits(tool, best)
    line = _line(values)
    leaving = None if line is None else leaves(line, low, high)
    return Series(None if made else best.at, tuple(values), low, high, line, leaving)


def _nearness(tool: Tool) -> Fraction:
    """Points of different checks that lie no further apart than this are one and the same."""
    dial = dial_of(tool)
    return Fraction(0) if dial is None else NEAR * dial.highest


def _met(checks: Sequence[tuple[date, Result]], at: int, near: Fraction) -> int:
    return sum(_nearest(result.points, at, near) is not None for _, result in checks)


def _nearest(points: Sequence[Point], at: int, near: Fraction) -> Point | None:
    found = min(points, key=lambda point: abs(point.at - at), default=None)
    return found if found is not None and abs(found.at - at) <= near else None


def _used(point: Point) -> Fraction:
    assert point.decision is not None
    return point.decision.allowed.share(point.decision.value)


def _limits(tool: Tool, point: Point) -> tuple[Fraction, Fraction]:
    if tool.gauge is not None and isinstance(limits_of(tool), MadeLimits):
        return Fraction(tool.gauge.lowest_um), Fraction(tool.gauge.highest_um)
    assert point.decision is not None
    allowed: Allowed = point.decision.allowed
    return allowed.low, allowed.high


def _line(values: Sequence[Offset]) -> Trend | None:
    if len(values) < LEAST_VALUES or len({value.day for value in values}) < 2:
        return None
    least = max(value.anew for value in values)
    return trend([Measured(value.day, value.value) for value in values], least)


def _anew(point: Point, reference: str) -> float:
    return math.hypot(*(part.u for part in point.uncertainty.parts if part.name != reference))


def corrected(stand: Stand, facts: Sequence[Fact], wanted: int, today: date) -> Setting:
    """What the instrument must be set to or show today for a true value, by its last check.

    A sure trend since then is added. DeskError when there is nothing to go by, when it
    failed, or when something happened to it that asks for a check first.
    """
    tool = stand.tool
    barred = [
        words
        for reason, words in zip(stand.standing.reasons, stand.reasons, strict=True)
        if reason.why in (Why.EVENT, Why.FAILED)
    ]
    if barred:
        raise DeskError(f"{tool.name}: {'; '.join(barred)}")
    known = [
        (fact.at.date(), result)
        for fact in _of(tool, facts, today)
        if isinstance(fact.what, InstrumentChecked)
        and (result := _again(tool, fact.what)) is not None
        and result.verdict is not None
    ]
    if not known or isinstance(known[-1][1].check.limits, MadeLimits):
        raise DeskError(f"{tool.name} has no check with readings to correct by")
    day, result = known[-1]
    moved, u = Fraction(0), 0.0
    found = series(tool, facts, today)
    if found is not None and found.line is not None and found.line.significant:
        days = (today - day).days
        moved, u = found.line.per_day * days, found.line.u_per_day * days
    try:
        return setting(result, wanted, moved=moved, moved_u=u)
    except CorrectionError as error:
        raise DeskError(f"{tool.name}: {error}") from error
