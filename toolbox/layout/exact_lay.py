"""Rectangles laid flat, decided: a way, or a proof that there is none, or an honest "not known".

Two methods. ``solver_lay`` asks CP-SAT with one worker, a fixed seed and a
deterministic limit. ``corner_lay`` needs no other package: it places rectangles only
at inner corners of the outline of what lies already (every packing of rectangles can
be built up that way, Martello, Pisinger and Vigo 2000 [from memory]), and so tries
everything for small sets.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import Enum
from math import gcd
from typing import NamedTuple

from toolbox.layout.rectangles import Rectangle, Spot

SOLVER_WORK = 1.0  # deterministic units of the solver, about a second each
CORNER_WORK = 20_000  # corners tried
_FINEST = 200_000  # units along a side, up to which sums of sides are worked out


class Verdict(Enum):
    """What is known about a fit."""

    FITS = "fits"
    REFUSED = "proved too much"
    UNKNOWN = "not known"


class Lay(NamedTuple):
    """A verdict; when it fits also a spot for every rectangle, in their order."""

    verdict: Verdict
    spots: tuple[Spot, ...] = ()


def too_much(length: int, width: int, rectangles: Sequence[Rectangle], turning: bool) -> bool:
    """A plain proof that the rectangles do not fit: one too long, or more area than there is.

    Area is counted in what sums of sides can reach along the length and along the
    width, which is often a little less than the whole.
    """
    for a, b in rectangles:
        straight = a <= length and b <= width
        if not straight and not (turning and b <= length and a <= width):
            return True
    usable = _reached(length, rectangles, turning, 0) * _reached(width, rectangles, turning, 1)
    return sum(a * b for a, b in rectangles) > usable


def _reached(limit: int, rectangles: Sequence[Rectangle], turning: bool, side: int) -> int:
    """The longest sum of sides, one from each rectangle at most, that is at most ``limit``."""
    if limit > _FINEST:
        return limit  # a bit for each unit would take too much memory
    sums = 1  # bit n is set when n can be reached
    full = (1 << (limit + 1)) - 1
    for rectangle in rectangles:
        grown = sums | sums << rectangle[side]
        if turning:
            grown |= sums << rectangle[1 - side]
        sums = grown & full
    return sums.bit_length() - 1


def solver_lay(
    length: int,
    width: int,
    rectangles: Sequence[Rectangle],
    *,
    turning: bool = True,
    work: float = SOLVER_WORK,
    stop: Callable[[], bool] | None = None,
) -> Lay:
    """Decide by CP-SAT within ``work`` deterministic units. Raises ImportError without ortools."""
    from ortools.sat.python import cp_model

    from toolbox.layout.solver import run

    if too_much(length, width, rectangles, turning):
        return Lay(Verdict.REFUSED)
    # one common measure keeps the numbers small, which the proofs like
    step = gcd(*(side for rectangle in rectangles for side in rectangle)) or 1
    across, along = length // step, width // step
    model = cp_model.CpModel()
    corners, along_x, along_y = [], [], []
    for a, b in ((r.length // step, r.width // step) for r in rectangles):
        turned = model.new_bool_var("")
        if not turning or a == b or not (b <= across and a <= along):
            model.add(turned == 0)
        elif not (a <= across and b <= along):
            model.add(turned == 1)
        x, y = model.new_int_var(0, across, ""), model.new_int_var(0, along, "")
        right, back = model.new_int_var(0, across, ""), model.new_int_var(0, along, "")
        along_x.append(model.new_interval_var(x, a + (b - a) * turned, right, ""))
        along_y.append(model.new_interval_var(y, b + (a - b) * turned, back, ""))
        corners.append((x, y, turned))
    model.add_no_overlap_2d(along_x, along_y)
    solver = cp_model.CpSolver()
    status = run(solver, model, work=work, stop=stop)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        value = solver.value
        spots = [Spot(value(x) * step, value(y) * step, bool(value(t))) for x, y, t in corners]
        return Lay(Verdict.FITS, tuple(spots))
    return Lay(Verdict.REFUSED if status == cp_model.INFEASIBLE else Verdict.UNKNOWN)


def corner_lay(
    length: int,
    width: int,
    rectangles: Sequence[Rectangle],
    *,
    turning: bool = True,
    work: int = CORNER_WORK,
) -> Lay:
    """Decide by trying every inner corner of the outline, at most ``work`` of them."""
    if too_much(length, width, rectangles, turning):
        return Lay(Verdict.REFUSED)
    search = _Corners(length, width, rectangles, turning, work)
    if search.place(((0, 0),), 0, (1 << len(rectangles)) - 1):
        return Lay(Verdict.FITS, tuple(spot for spot in search.spots if spot is not None))
    return Lay(Verdict.UNKNOWN if search.work < 0 else Verdict.REFUSED)


_Outline = tuple[tuple[int, int], ...]  # inner corners (x, y): x rises, y falls


class _Corners:
    """Depth-first search over (outline, rectangles still to lay)."""

    def __init__(
        self,
        length: int,
        width: int,
        rectangles: Sequence[Rectangle],
        turning: bool,
        work: int,
    ) -> None:
        self.length, self.width, self.work = length, width, work
        self.slack = length * width - sum(a * b for a, b in rectangles)
        self.spots: list[Spot | None] = [None] * len(rectangles)
        self.ways: list[list[tuple[int, int, bool]]] = []
        for a, b in rectangles:
            ways = [(a, b, False)]
            if turning and a != b:
                ways.append((b, a, True))
            self.ways.append(ways)
        self.order = sorted(
            range(len(rectangles)), key=lambda i: -self.ways[i][0][0] * self.ways[i][0][1]
        )
        self.seen: set[tuple[_Outline, int]] = set()

    def place(self, corners: _Outline, covered: int, left: int) -> bool:
        """Lay the rectangles in ``left`` (bits) outside the outline, True when all lie.

        ``covered`` is the area of what lies; the outline may enclose at most the slack more.
        """
        if not left:
            return True
        if (corners, left) in self.seen:
            return False
        self.seen.add((corners, left))
        for number in self.order:
            if not left >> number & 1:
                continue
            for across, along, turned in self.ways[number]:
                for x, y in corners:
                    if x + across > self.length or y + along > self.width:
                        continue
                    self.work -= 1
                    if self.work < 0:
                        return False
                    grown, enclosed = _grow(corners, x, y, x + across, y + along)
                    area = covered + across * along
                    if enclosed - area > self.slack:
                        continue
                    self.spots[number] = Spot(x, y, turned)
                    if self.place(grown, area, left & ~(1 << number)):
                        return True
        return False


def _grow(corners: _Outline, x: int, y: int, right: int, back: int) -> tuple[_Outline, int]:
    """The outline with everything up to (right, back) enclosed, and the area it encloses."""
    del x, y
    # outer corners: step k reaches along x to the next inner corner, up to its own y
    outer = [(corners[k + 1][0], corners[k][1]) for k in range(len(corners) - 1)]
    steps = sorted([*outer, (right, back)])
    kept: list[tuple[int, int]] = []
    for step in reversed(steps):
        if not kept or step[1] > kept[-1][1]:
            kept.append(step)
    kept.reverse()
    inner, area, before = [], 0, 0
    for reach, height in kept:
        inner.append((before, height))
        area += (reach - before) * height
        before = reach
    inner.append((before, 0))
    return tuple(inner), area
