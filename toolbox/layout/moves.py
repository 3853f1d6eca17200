"""The best layout with at most so many things changing place, and what more moves would save."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

from toolbox.layout.moves_base import Corners
from toolbox.layout.moves_search import Search
from toolbox.layout.problem import Answer, LayoutProblem
from toolbox.layout.solve import Effort
from toolbox.layout.watch import Stop, Watcher

_EACH = {
    Effort.QUICK: Effort.QUICK,
    Effort.NORMAL: Effort.QUICK,
    Effort.THOROUGH: Effort.NORMAL,
}  # effort for each point of a curve


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the curve: at most ``moves`` things move, ``made`` of them do.

    ``cost`` (µs/day) and ``made`` are None where no layout was found; nothing within
    the limit costs less than ``bound``.
    """

    moves: int
    made: int | None
    cost: int | None
    bound: int


def solve_few_moves(
    problem: LayoutProblem,
    present: tuple[int, ...],
    most: int,
    *,
    effort: Effort = Effort.NORMAL,
    seconds: float | None = None,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
    corners: Corners | None = None,
) -> Answer:
    """Find a layout in which at most ``most`` things lie in another place than today.

    ``present`` gives today's place of each item, -1 where it has none: such things need
    a place and do not count. ``corners`` says where things lie in their places today
    (None: not known); what stays keeps its corner where it can. With ``seconds`` the
    search lasts about that long; ``stop`` ends it with the best so far. Where no layout
    within the limit was found, the method says how many moves one takes.
    """
    watcher = watcher or Watcher()
    watcher.started()
    ends = None if seconds is None else time.monotonic() + seconds
    asked = stop or _never

    def enough() -> bool:
        return asked() or (ends is not None and time.monotonic() >= ends)

    search = Search(problem, present, corners, watcher, enough)
    answer = search.impossible()
    if answer is None:
        search.within(most, effort, keep_on=ends is not None)
        answer = search.answer(most)
    watcher.finished(answer)
    return answer


def moves_curve(
    problem: LayoutProblem,
    present: tuple[int, ...],
    steps: Sequence[int],
    *,
    effort: Effort = Effort.NORMAL,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
    corners: Corners | None = None,
    known: Sequence[tuple[int, ...]] = (),
) -> tuple[Point, ...]:
    """What is possible with at most so many moves, for each of ``steps`` in rising order.

    A step of as many moves as there are items is no limit. ``known`` are layouts found
    before, as one place for each item; those that hold are taken into account. More
    moves never cost more: a layout within one limit is within the next. Each step gets
    less work than a search for its limit alone. () when no layout can exist at all.
    """
    search = Search(problem, present, corners, watcher or Watcher(), stop or _never)
    if search.impossible() is not None:
        return ()
    for places in known:
        search.take_places(places)
    for most in sorted(set(steps)):
        search.within(most, _EACH[effort])
    return tuple(_point(search, most) for most in sorted(set(steps)))


def knee(points: Sequence[Point]) -> Point | None:
    """The point after which more moves bring little: it lies farthest above the straight line.

    The line goes from the first to the last point with a layout, both axes counted in
    shares of the whole way. None where nothing is saved, or there are under three points.
    """
    known = [(p.made, p.cost, p) for p in points if p.made is not None and p.cost is not None]
    if len(known) < 3:
        return None
    (first, dear, _), (last, cheap, _) = known[0], known[-1]
    if last <= first or dear <= cheap:
        return None
    # multiplied out, so that whole numbers decide
    above = [
        ((dear - cost) * (last - first) - (made - first) * (dear - cheap), -made)
        for made, cost, _ in known
    ]
    return known[above.index(max(above))][2]


def _point(search: Search, most: int) -> Point:
    best, bound = search.best(most), search.bound(most)
    if best is None:
        return Point(most, None, None, bound)
    return Point(most, best.moves, best.cost, bound)


def _never() -> bool:
    return False
