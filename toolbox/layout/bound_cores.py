"""Rows from laid sets that the exact fit refuses: not all of these, nor as many larger ones."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from toolbox.kit.box import Inside
from toolbox.layout.bound_frame import Frame, Row
from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import lay_rectangles
from toolbox.layout.rectangles import Rectangle

WHOLE_WORK = 1.0  # solver units for deciding a whole set
PART_WORK = 0.25  # for each smaller set tried


def refused_rows(frame: Frame, homes: Sequence[int], enough: Callable[[], bool]) -> list[Row]:
    """Rows that the spread breaks, each for every like place; none when nothing is refused."""
    rows: list[Row] = []
    for p, place in enumerate(frame.problem.places):
        members = [b for b, home in enumerate(homes) if home == p]
        if place.kind is not Inside.LAID or not members:
            continue
        if _verdict(frame, p, members, WHOLE_WORK, enough) is Verdict.REFUSED:
            rows += _rows(frame, p, _core(frame, p, members, enough))
    return rows


def _verdict(
    frame: Frame, p: int, members: Sequence[int], work: float, enough: Callable[[], bool]
) -> Verdict:
    if enough():
        return Verdict.UNKNOWN
    place = frame.problem.places[p]
    sides = [Rectangle(*side) for b in members for side in _sides(frame, b)]
    return lay_rectangles(place.length, place.width, sides, work=work, stop=enough).verdict


def _core(frame: Frame, p: int, members: list[int], enough: Callable[[], bool]) -> list[int]:
    """Members without those, smallest first, whose absence leaves the set refused."""
    core = sorted(members, key=lambda b: (sum(x * y for x, y in _sides(frame, b)), b))
    for b in list(core):
        rest = [c for c in core if c != b]
        if _verdict(frame, p, rest, PART_WORK, enough) is Verdict.REFUSED:
            core = rest
    return core


def _sides(frame: Frame, b: int) -> list[tuple[int, int]]:
    """Longer and shorter side of each item of a block, with the clearance."""
    gap = frame.problem.clearance
    pairs = [
        (frame.problem.items[i].length + gap, frame.problem.items[i].width + gap)
        for i in frame.blocks[b]
    ]
    return [(max(pair), min(pair)) for pair in pairs]


def _rows(frame: Frame, p: int, core: list[int]) -> list[Row]:
    """At most one less than the core's members, counting larger blocks with them.

    A block with an item at least as long and as wide as every item of the core can stand
    for any member that is a single item, so as many blocks out of both as the core has
    do not fit either. A core with a group of items counts its own members only.
    """
    ours = [side for b in core for side in _sides(frame, b)]
    long, wide = max(side[0] for side in ours), max(side[1] for side in ours)
    counted = set(core)
    if all(len(frame.blocks[b]) == 1 for b in core):
        counted |= {
            b
            for b in range(len(frame.blocks))
            if any(side[0] >= long and side[1] >= wide for side in _sides(frame, b))
        }
    weights = tuple(int(b in counted) for b in range(len(frame.blocks)))
    shape = frame.problem.places[p]
    return [
        Row(q, weights, weights, len(core) - 1)
        for q, place in enumerate(frame.problem.places)
        if place.kind is Inside.LAID and (place.length, place.width) == (shape.length, shape.width)
    ]
