"""Planning with few moves: the best plan for one evening, and what each evening would bring."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from toolbox.desk.conflicts import why_none
from toolbox.desk.errors import DeskError, NoLayout
from toolbox.desk.folder import KitFolder
from toolbox.desk.plans import (
    Found,
    Plan,
    Study,
    current_plan,
    has_plan,
    keep_plan,
    present_homes,
    study_packed,
)
from toolbox.layout.moves import Point, knee, moves_curve, solve_few_moves
from toolbox.layout.problem import Outcome, Put, cost_of
from toolbox.layout.solve import Effort
from toolbox.layout.watch import Stop, Watcher

LIMITS = (0, 5, 10, 20, 40)
"""Moves allowed at the points of the curve, before the point without a limit."""


@dataclass(frozen=True, slots=True)
class Evening:
    """One row of the curve, in microseconds a day.

    ``limit`` is None where any number of things may move; ``saved`` is what the best
    layout found saves against today, ``share`` its part of what all moves save, ``gap``
    how far above the best possible within the limit it can be at most. All are None
    where no layout was found, ``share`` where nothing can be saved.
    """

    limit: int | None
    moves: int | None
    cost: int | None
    bound: int
    saved: int | None
    share: float | None
    gap: float | None


@dataclass(frozen=True, slots=True)
class Curve:
    """Seconds saved against moves. ``today`` is what saving is counted from: today's cost,
    or, while things have no place yet, the cost of the first layout found.

    ``knee`` is the row after which more moves bring little, None where nothing bends.
    """

    today: int | None
    rows: tuple[Evening, ...]
    knee: Evening | None


def plan_few_moves(
    folder: KitFolder,
    today: date,
    most: int,
    *,
    effort: Effort = Effort.NORMAL,
    seconds: float | None = None,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
) -> Plan:
    """Find the best layout with at most ``most`` things changing compartment, and save it.

    Raises DeskError when nobody has said how the box lies today, NoLayout when no
    layout can exist or none with so few moves was found.
    """
    found = find_few_moves(
        folder, today, most, effort=effort, seconds=seconds, watcher=watcher, stop=stop
    )
    return keep_plan(folder, found)


def find_few_moves(
    folder: KitFolder,
    today: date,
    most: int,
    *,
    effort: Effort = Effort.NORMAL,
    seconds: float | None = None,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
) -> Found:
    """The same without saving it. Raises as ``plan_few_moves`` does."""
    at = study_packed(folder, today)
    answer = solve_few_moves(
        at.question.problem,
        _homes(at),
        most,
        effort=effort,
        seconds=seconds,
        watcher=watcher,
        stop=stop,
        corners=_corners(at),
    )
    if answer.outcome is Outcome.IMPOSSIBLE:
        raise _none_at_all(at, stop)
    if answer.outcome is Outcome.NONE_FOUND:
        raise NoLayout((answer.method,))
    # However early it was stopped: a plan with more moves is not what was asked for.
    return Found(at, answer)


def savings_curve(
    folder: KitFolder,
    today: date,
    *,
    effort: Effort = Effort.NORMAL,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
) -> Curve:
    """What 0, 5, 10, 20, 40 and any number of moves can save; nothing is stored.

    The saved plan is taken into account. Raises as ``plan_few_moves`` does.
    """
    at = study_packed(folder, today)
    homes = _homes(at)
    everything = len(homes)
    points = moves_curve(
        at.question.problem,
        homes,
        (*(limit for limit in LIMITS if limit < everything), everything),
        effort=effort,
        watcher=watcher,
        stop=stop,
        corners=_corners(at),
        known=_planned(folder, at),
    )
    if not points:
        raise _none_at_all(at, stop)
    return _curve(at, homes, points)


def _curve(at: Study, homes: tuple[int, ...], points: tuple[Point, ...]) -> Curve:
    costs = [point.cost for point in points if point.cost is not None]
    if -1 not in homes:
        base: int | None = cost_of(at.question.problem, homes)
    else:
        base = costs[0] if costs else None
    full = base - costs[-1] if base is not None and costs else 0
    rows = tuple(_evening(point, base, full, len(homes)) for point in points)
    bend = knee(points)
    return Curve(base, rows, None if bend is None else rows[points.index(bend)])


def _evening(point: Point, base: int | None, full: int, everything: int) -> Evening:
    limit = None if point.moves == everything else point.moves
    if point.cost is None or base is None:
        return Evening(limit, None, None, point.bound, None, None, None)
    saved = base - point.cost
    return Evening(
        limit,
        point.made,
        point.cost,
        point.bound,
        saved,
        saved / full if full > 0 else None,
        (point.cost - point.bound) / point.bound if point.bound > 0 else None,
    )


def _homes(at: Study) -> tuple[int, ...]:
    homes = present_homes(at)
    if homes is None or all(home < 0 for home in homes):
        raise DeskError(
            "nobody has said how the box lies today, so no move can be counted; say it with "
            '"toolbox place TOOL --in COMPARTMENT" or plan without a limit'
        )
    return homes


def _corners(at: Study) -> tuple[Put | None, ...]:
    """Where each copy lies today; what the engine finds to contradict itself it leaves out."""
    assert at.kit.present is not None, "asked only where today's layout is known"
    spots = {spot.item: spot for spot in at.kit.present.spots}
    homes = at.question.homes(at.kit.present.places())
    return tuple(
        Put(home, spots[copy].x or 0, spots[copy].y or 0, spots[copy].turned) if home >= 0 else None
        for copy, home in zip(at.question.copies, homes, strict=True)
    )


def _planned(folder: KitFolder, at: Study) -> tuple[tuple[int, ...], ...]:
    if not has_plan(folder):
        return ()
    homes = at.question.homes(current_plan(folder).layout.places())
    return () if -1 in homes else (homes,)


def _none_at_all(at: Study, stop: Stop | None) -> NoLayout:
    reasons = why_none(at.kit, at.question, at.times, proved=True, stop=stop)
    return NoLayout(("no layout can keep everything", *reasons))
