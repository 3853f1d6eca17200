"""Better and better prices without a solver: a subgradient walk with memory.

Each step raises the price of rows that the cheapest homes overfill and the shares of
blocks that lie behind an opening nobody has paid for. The direction is an average
over past steps, which damps the zigzag of plain subgradients (the volume algorithm
of Barahona and Anbil, from memory). Floats throughout: only ``evaluate`` makes a bound.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from toolbox.layout.bound_frame import Frame, Row
from toolbox.layout.bound_prices import Prices, even_prices, priced_table

ROW_PACE = 3.0  # a row's price moves this much faster than a link's shares (tried: 1 to 30)
MEMORY = 0.15  # part of the newest subgradient in the direction (tried: 0.1 to 0.3)
AIM = 1.05  # steps aim at this much above the best sum so far
PATIENCE = 5  # steps without gain before they get shorter


@dataclass(slots=True)
class _Slope:
    """A subgradient: overfill of each row as a part of its limit, and of each link's blocks."""

    rows: list[float]
    shares: list[list[float]]

    def blend(self, newer: _Slope) -> _Slope:
        """Average with a newer one."""
        return _Slope(
            _blend(self.rows, newer.rows),
            [_blend(old, new) for old, new in zip(self.shares, newer.shares, strict=True)],
        )


def _blend(old: list[float], new: list[float]) -> list[float]:
    return [MEMORY * n + (1 - MEMORY) * o for o, n in zip(old, new, strict=True)]


def ascend(frame: Frame, rows: Sequence[Row], steps: int, enough: Callable[[], bool]) -> Prices:
    """The best prices found in so many steps, or before ``enough`` says to end."""
    centre = trial = even_prices(frame, rows)
    best, pace, dull = float("-inf"), 0.5, 0
    slope: _Slope | None = None
    for _ in range(steps):
        if enough():
            break
        total, newest = _sum_and_slope(frame, rows, trial)
        slope = newest if slope is None else slope.blend(newest)
        if total > best:
            best, centre, dull, pace = total, trial, 0, min(2.0, pace * 1.1)
        else:
            dull += 1
            if dull == PATIENCE:
                dull, pace = 0, pace * 0.7
        trial = _step(rows, centre, slope, pace * (best * AIM - total))
    return centre


def _sum_and_slope(frame: Frame, rows: Sequence[Row], prices: Prices) -> tuple[float, _Slope]:
    table = priced_table(frame, rows, prices.rows, prices.shares, 1)
    lows = [min(line) for line in table]
    homes = [line.index(low) for line, low in zip(table, lows, strict=True)]
    inside: dict[int, list[int]] = {}
    for b, home in enumerate(homes):
        inside.setdefault(home, []).append(b)
    total: float = sum(lows)
    row_slope = []
    for row, price in zip(rows, prices.rows, strict=True):
        over = sum([row.plain[b] for b in inside.get(row.place, ())]) - row.limit
        row_slope.append(over / max(row.limit, 1))
        total -= price * row.limit
    openings = [frozenset(place.openings) for place in frame.problem.places]
    share_slope = []
    for link, parts in zip(frame.links, prices.shares, strict=True):
        rest = link.cost - sum(parts)
        paid = 1.0 if rest < 0 else 0.0
        total += min(0.0, rest)
        share_slope.append([(link.opening in openings[homes[b]]) - paid for b in link.blocks])
    return total, _Slope(row_slope, share_slope)


def _step(rows: Sequence[Row], centre: Prices, slope: _Slope, length: float) -> Prices:
    """Prices moved from ``centre`` along the slope; none falls below 0."""
    norm = sum(
        (ROW_PACE * s) ** 2 for s, p in zip(slope.rows, centre.rows, strict=True) if s > 0 or p > 0
    )
    for slopes, parts in zip(slope.shares, centre.shares, strict=True):
        norm += sum([s * s for s, part in zip(slopes, parts, strict=True) if s > 0 or part > 0])
    step = length / max(norm, 1e-9)
    pace = step * ROW_PACE * ROW_PACE
    return Prices(
        [
            max(0.0, price + pace * s / max(row.limit, 1))
            for price, s, row in zip(centre.rows, slope.rows, rows, strict=True)
        ],
        [
            [max(0.0, part + step * s) for part, s in zip(parts, slopes, strict=True)]
            for parts, slopes in zip(centre.shares, slope.shares, strict=True)
        ],
    )
