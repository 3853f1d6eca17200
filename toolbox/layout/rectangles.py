"""Rectangles laid flat: the pure values of the fit, and quick ways to lay them.

Lengths in any one whole unit. A rectangle to lay is a pair of sides; a spot says
where its corner nearest the origin comes to lie and whether its sides are swapped.

``quick_lay`` builds steps: the lowest free stretch of the outline takes whatever
matches it best, by several rules and along both sides of the place; after that the
largest free rectangles are tried. It can only say "here is a way", never "there is
none". Lost area is counted while laying and a try ends as soon as the rest cannot
fit any more, so most hopeless tries end early.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple


class Rectangle(NamedTuple):
    """Two sides: along the place's length and along its width while not turned."""

    length: int
    width: int


class Spot(NamedTuple):
    """Corner nearest the origin along length and width; turned swaps the sides."""

    x: int
    y: int
    turned: bool


class _Piece(NamedTuple):
    """A rectangle on its way into a place: its number, its sides along x and y, its side up."""

    number: int
    across: int
    along: int
    turned: bool


_Laid = list[tuple[int, int, int, bool]]  # number, x, y, turned
_Score = Callable[[int, int, int], tuple[int, int]]  # side across, side along, free stretch

_RULES: tuple[_Score, ...] = (
    lambda a, b, free: (a, b),  # fills the stretch best, then the tallest
    lambda a, b, free: ((1 << 30) if a == free else b, a),  # an exact fit, else the tallest
    lambda a, b, free: (a * b, a),  # the largest
    lambda a, b, free: ((1 << 30) if a == free else a + 2 * b, b),  # the longest way round
)


def quick_lay(
    length: int, width: int, rectangles: Sequence[Rectangle], *, turning: bool = True
) -> tuple[Spot, ...] | None:
    """Spots for all rectangles inside length × width, or None when no quick way was found."""
    slack = length * width - sum(a * b for a, b in rectangles)
    if slack < 0:
        return None
    for rule in _RULES:
        for flipped in (False, True):
            laid = _by_steps(length, width, rectangles, slack, rule, turning, flipped)
            if laid is not None:
                return _in_order(laid, flipped)
    return None


def _in_order(laid: _Laid, flipped: bool) -> tuple[Spot, ...]:
    spots = sorted(laid)
    if flipped:
        return tuple(Spot(y, x, turned) for _, x, y, turned in spots)
    return tuple(Spot(x, y, turned) for _, x, y, turned in spots)


def _pieces(
    rectangles: Sequence[Rectangle], reach: int, depth: int, turning: bool, flipped: bool
) -> list[_Piece]:
    """Each rectangle in each way it can lie within reach × depth."""
    pieces = []
    for number, (a, b) in enumerate(rectangles):
        across, along = (b, a) if flipped else (a, b)
        if across <= reach and along <= depth:
            pieces.append(_Piece(number, across, along, False))
        if turning and a != b and along <= reach and across <= depth:
            pieces.append(_Piece(number, along, across, True))
    return pieces


def _by_steps(
    length: int,
    width: int,
    rectangles: Sequence[Rectangle],
    slack: int,
    rule: _Score,
    turning: bool,
    flipped: bool,
) -> _Laid | None:
    """Lay along an outline of steps, always at the lowest stretch, counting what is lost."""
    reach, depth = (width, length) if flipped else (length, width)
    left = _pieces(rectangles, reach, depth, turning, flipped)
    missing = len(rectangles)
    laid: _Laid = []
    starts, spans, levels = [0], [reach], [0]
    while missing:
        level = min(levels)
        k = levels.index(level)
        free, room = spans[k], depth - level
        best, best_score = None, (-1, -1)
        for piece in left:
            if piece[1] <= free and piece[2] <= room:
                score = rule(piece[1], piece[2], free)
                if score > best_score:
                    best, best_score = piece, score
        if best is None:
            # nothing fits on this stretch: it is lost up to the lower of its neighbours
            before = levels[k - 1] if k else depth
            after = levels[k + 1] if k + 1 < len(levels) else depth
            higher = min(before, after)
            slack -= free * (higher - level)
            if slack < 0:
                return None
            levels[k] = higher
            _merge(starts, spans, levels, k)
            continue
        number, across, along, turned = best
        left = [piece for piece in left if piece[0] != number]
        missing -= 1
        # beside the higher neighbour the outline stays smoother
        at_end = k > 0 and k + 1 < len(levels) and levels[k + 1] > levels[k - 1]
        x = starts[k] + free - across if at_end else starts[k]
        laid.append((number, x, level, turned))
        top = level + along
        if across == free:
            levels[k] = top
            _merge(starts, spans, levels, k)
        elif at_end:
            spans[k] = free - across
            starts.insert(k + 1, x)
            spans.insert(k + 1, across)
            levels.insert(k + 1, top)
            _merge(starts, spans, levels, k + 1)
        else:
            starts[k] += across
            spans[k] = free - across
            starts.insert(k, x)
            spans.insert(k, across)
            levels.insert(k, top)
            _merge(starts, spans, levels, k)
    return laid


def _merge(starts: list[int], spans: list[int], levels: list[int], k: int) -> None:
    """Join stretch k with neighbours of the same level."""
    if k + 1 < len(levels) and levels[k + 1] == levels[k]:
        spans[k] += spans[k + 1]
        del starts[k + 1], spans[k + 1], levels[k + 1]
    if k and levels[k - 1] == levels[k]:
        spans[k - 1] += spans[k]
        del starts[k], spans[k], levels[k]
