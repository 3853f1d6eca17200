"""The linear part of the bound: columns until prices settle, rows while they are broken."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from toolbox.layout.bound_cuts import Filling, Pools, broken_rows
from toolbox.layout.bound_frame import Frame, Row
from toolbox.layout.bound_master import LARGE, ROUGH, Master, Relaxed, cheap_homes, hand_out
from toolbox.layout.bound_prices import Prices, Valued, evaluate

EACH = 8  # columns brought in for a block at a time
CLOSE = 1e-5  # part of the objective by which the exact bound may lie below it
CLOSE_LARGE = 2e-4  # the same while the first-order method solves, which is less precise
ROUGH_ROUNDS = 4  # rounds of columns that need no precise prices yet


class Climb:
    """Rounds of the linear relaxation; ``best`` is the highest exact bound so far.

    ``rows`` are all rows in use, ``valued`` the table of costs that belongs to ``best``,
    ``homes`` where the last solution had most of each block.
    """

    def __init__(
        self,
        frame: Frame,
        base: Sequence[Row],
        first: Valued,
        report: Callable[[int], None],
        enough: Callable[[], bool],
    ) -> None:
        self.frame = frame
        self.valued = first
        self.homes = first.homes
        self.relaxed: Relaxed | None = None
        self._base = base
        self._report = report
        self._enough = enough
        self._pools: Pools = {}
        self._master = Master(frame, base)

    @property
    def best(self) -> int:
        """The highest exact bound so far, microseconds a day."""
        return self.valued.value

    @property
    def _close(self) -> float:
        return CLOSE if len(self._master.columns) < LARGE else CLOSE_LARGE

    @property
    def rows(self) -> list[Row]:
        """All rows of the relaxation as it stands, each true for every layout."""
        return self._master.rows

    def begin(self, homes: Sequence[tuple[int, int]]) -> None:
        """Take in the columns to begin with."""
        self._master.add_columns(homes, self._enough)

    def settle(self) -> bool:
        """Solve and bring in columns until the exact bound meets the objective.

        False when it was stopped on the way or the solver gave up.
        """
        rounds = 0
        while not self._enough():
            rough = ROUGH if rounds < ROUGH_ROUNDS and self.relaxed is None else ROUGH / 10
            relaxed = self._master.solve(self._enough, rough)
            if relaxed is None:
                return False
            rounds += 1
            fresh = self._value(relaxed)
            if self.best >= relaxed.objective * (1 - self._close) or not fresh:
                self.relaxed = relaxed
                self.homes = _mostly(self.frame, relaxed, self.homes)
                return True
        return False

    def _value(self, relaxed: Relaxed) -> int:
        """Take the exact bound of a solution; returns how many columns came in."""
        valued = self._improve(relaxed.prices)
        if valued.value >= relaxed.objective * (1 - self._close):
            return 0
        valued = self._improve(hand_out(self.frame, relaxed, valued))
        cheap = cheap_homes(self.frame, relaxed, valued, EACH)
        return self._master.add_columns(cheap, self._enough)

    def _improve(self, prices: Prices) -> Valued:
        valued = evaluate(self.frame, self.rows, prices)
        if valued.value > self.best:
            self.valued = valued
            self._report(valued.value)
        return valued

    def tighten(self) -> bool:
        """Add rows that the last solution breaks; False when there are none."""
        if self.relaxed is None:
            return False
        fillings: dict[int, dict[tuple[int, bool], float]] = {}
        for (b, p, turned), x in self.relaxed.values.items():
            fillings.setdefault(p, {})[b, turned] = x
        self._master.drop_idle()
        rows = self.broken(fillings)
        self._master.add_rows(rows)
        return bool(rows)

    def broken(self, fillings: Mapping[int, Filling]) -> list[Row]:
        """Rows that fillings of places break."""
        return broken_rows(self.frame, self._base, fillings, self._pools, self._enough)


def _mostly(frame: Frame, relaxed: Relaxed, before: tuple[int, ...]) -> tuple[int, ...]:
    """The place that holds the largest part of each block."""
    most: list[tuple[float, int]] = [(0.0, home) for home in before]
    parts: dict[tuple[int, int], float] = {}
    for (b, p, _), x in relaxed.values.items():
        parts[b, p] = parts.get((b, p), 0.0) + x
    for (b, p), x in parts.items():
        most[b] = max(most[b], (x, p))
    return tuple(home for _, home in most)
