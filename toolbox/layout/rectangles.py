"""Rectangles laid flat: the pure values of the fit, and quick ways to lay them.

Lengths in any one whole unit. A rectangle to lay is a pair of sides; a spot says
where its corner nearest the origin comes to lie and whether its sides are swapped.

``quick_lay`` builds steps: the lowest free stretch of the outline takes whatever
comes first in an order (several orders are tried, along both sides of the place).
``patient_lay`` also tries every rectangle as the first one laid. Both can only say
"here is a way", never "there is none". Lost area is counted while laying and a try
ends as soon as the rest cannot fit any more, so most hopeless tries end early.
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
    """A rectangle on its way into a place: its number, sides across and along, turned or not."""

    number: int
    across: int
    along: int
    turned: bool


class _Order(NamedTuple):
    """Which piece a stretch takes: the first that fits, or before it one that fills it exactly."""

    key: Callable[[_Piece], tuple[int, int]]
    exact_first: bool


_ORDERS = (
    _Order(lambda piece: (-piece.across, -piece.along), False),  # fills the stretch best
    _Order(lambda piece: (-piece.along, -piece.across), True),  # the tallest
    _Order(lambda piece: (-piece.across * piece.along, -piece.across), False),  # the largest
    _Order(lambda piece: (-piece.across - 2 * piece.along, -piece.along), True),  # the longest
)


def quick_lay(
    length: int, width: int, rectangles: Sequence[Rectangle], *, turning: bool = True
) -> tuple[Spot, ...] | None:
    """Spots for all rectangles inside length × width, or None when no quick way was found."""
    slack = length * width - sum(a * b for a, b in rectangles)
    if slack < 0:
        return None
    for order in _ORDERS:
        for flipped in (False, True):
            reach, depth = (width, length) if flipped else (length, width)
            pieces = _pieces(rectangles, reach, depth, turning, flipped)
            pieces.sort(key=order.key)
            spots = _Steps(reach, depth, slack).lay(pieces, len(rectangles), order.exact_first)
            if spots is not None:
                return _in_order(spots, flipped)
    return None


def patient_lay(
    length: int, width: int, rectangles: Sequence[Rectangle], *, turning: bool = True
) -> tuple[Spot, ...] | None:
    """As ``quick_lay``, with every rectangle tried in the first corner; some ten times the work."""
    slack = length * width - sum(a * b for a, b in rectangles)
    if slack < 0:
        return None
    order = _ORDERS[0]
    for flipped in (False, True):
        reach, depth = (width, length) if flipped else (length, width)
        pieces = _pieces(rectangles, reach, depth, turning, flipped)
        pieces.sort(key=order.key)
        for first in pieces:
            steps = _Steps(reach, depth, slack)
            steps.put(0, first)
            left = [piece for piece in pieces if piece[0] != first[0]]
            spots = steps.lay(left, len(rectangles) - 1, order.exact_first)
            if spots is not None:
                return _in_order(spots, flipped)
    return None


def _in_order(laid: list[tuple[int, int, int, bool]], flipped: bool) -> tuple[Spot, ...]:
    laid.sort()
    if flipped:
        return tuple(Spot(y, x, turned) for _, x, y, turned in laid)
    return tuple(Spot(x, y, turned) for _, x, y, turned in laid)


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


class _Steps:
    """The outline of what lies: stretches with a start, a span and a level, left to right."""

    def __init__(self, reach: int, depth: int, slack: int) -> None:
        self.depth = depth
        self.slack = slack
        self.starts, self.spans, self.levels = [0], [reach], [0]
        self.laid: list[tuple[int, int, int, bool]] = []

    def lay(
        self, left: list[_Piece], missing: int, exact_first: bool
    ) -> list[tuple[int, int, int, bool]] | None:
        """Lay ``missing`` more rectangles from the pieces in their order; None when lost."""
        levels, spans = self.levels, self.spans
        while missing:
            level = min(levels)
            k = levels.index(level)
            free, room = spans[k], self.depth - level
            best = None
            for piece in left:
                if piece[1] <= free and piece[2] <= room:
                    if not exact_first or piece[1] == free:
                        best = piece
                        break
                    if best is None:
                        best = piece
            if best is None:
                self._lose(k)
                if self.slack < 0:
                    return None
                continue
            number = best[0]
            left = [piece for piece in left if piece[0] != number]
            missing -= 1
            self.put(k, best)
        return self.laid

    def _lose(self, k: int) -> None:
        """Nothing fits on stretch k: it is lost up to the lower of its neighbours."""
        levels = self.levels
        before = levels[k - 1] if k else self.depth
        after = levels[k + 1] if k + 1 < len(levels) else self.depth
        higher = min(before, after)
        self.slack -= self.spans[k] * (higher - levels[k])
        levels[k] = higher
        self._merge(k)

    def put(self, k: int, piece: _Piece) -> None:
        """Lay a piece at one end of stretch k, beside the higher neighbour."""
        starts, spans, levels = self.starts, self.spans, self.levels
        number, across, along, turned = piece
        level, free = levels[k], spans[k]
        at_end = 0 < k < len(levels) - 1 and levels[k + 1] > levels[k - 1]
        x = starts[k] + free - across if at_end else starts[k]
        self.laid.append((number, x, level, turned))
        if across == free:
            levels[k] = level + along
        else:
            spans[k] = free - across
            if at_end:
                k += 1
            else:
                starts[k] += across
            starts.insert(k, x)
            spans.insert(k, across)
            levels.insert(k, level + along)
        self._merge(k)

    def _merge(self, k: int) -> None:
        """Join stretch k with neighbours of the same level."""
        starts, spans, levels = self.starts, self.spans, self.levels
        if k + 1 < len(levels) and levels[k + 1] == levels[k]:
            spans[k] += spans[k + 1]
            del starts[k + 1], spans[k + 1], levels[k + 1]
        if k and levels[k - 1] == levels[k]:
            spans[k - 1] += spans[k]
            del starts[k], spans[k], levels[k]
