"""Prices on rows and links, and the exact lower bound that any prices give.

Every row of the relaxed question gets a price per unit of weight, every block of
every link a share of the link's cost. Whatever they are, this sum is at most the
cost of every layout (Lagrangian duality):

    sum over blocks of (cheapest home, with its prices and shares)
    - sum over rows of price * limit
    + sum over links of min(0, cost - shares)

Prices are cut to whole parts of 1/SCALE microsecond first, so the sum is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from toolbox.layout.bound_frame import Frame, Row

SCALE = 1 << 32


@dataclass(slots=True)
class Prices:
    """A price per unit of weight for each row, a share for each block of each link (µs/day)."""

    rows: list[float]
    shares: list[list[float]]


@dataclass(frozen=True, slots=True)
class Valued:
    """What prices give: the exact bound and what each block costs in each place.

    ``value`` is the bound, whole microseconds. ``table[b][p]`` is what block b costs
    in place p with prices and shares, in its cheaper way, in 1/SCALE microsecond
    (at least NEVER where it has no home); ``homes`` are the cheapest places.
    """

    value: int
    homes: tuple[int, ...]
    table: list[list[int]]


def even_prices(frame: Frame, rows: Sequence[Row]) -> Prices:
    """No price on any row, each link's cost shared out evenly."""
    shares = [[link.cost / len(link.blocks)] * len(link.blocks) for link in frame.links]
    return Prices([0.0] * len(rows), shares)


def evaluate(frame: Frame, rows: Sequence[Row], prices: Prices) -> Valued:
    """The exact bound of these prices.

    The sum is rounded up, not down: every layout costs a whole number of microseconds.
    """
    per_unit = [max(0, int(price * SCALE)) for price in prices.rows]
    shares = [[max(0, int(share * SCALE)) for share in link] for link in prices.shares]
    table = priced_table(frame, rows, per_unit, shares, SCALE)
    lows = [min(line) for line in table]
    total = sum(lows) - sum(q * row.limit for q, row in zip(per_unit, rows, strict=True))
    for link, parts in zip(frame.links, shares, strict=True):
        total += min(0, link.cost * SCALE - sum(parts))
    homes = tuple(line.index(low) for line, low in zip(table, lows, strict=True))
    return Valued(-(-total // SCALE), homes, table)


def priced_table(
    frame: Frame,
    rows: Sequence[Row],
    per_unit: Sequence[float],
    shares: Sequence[Sequence[float]],
    scale: int,
) -> list[list[int]]:
    """What each block costs in each place with prices and shares, ``scale`` times.

    Whole prices and shares give whole costs, floats give floats (typed as whole:
    only the exact sum above keeps them).
    """
    by_opening: list[list[float]] = [[0] * len(frame.problem.openings) for _ in frame.blocks]
    for link, parts in zip(frame.links, shares, strict=True):
        for b, part in zip(link.blocks, parts, strict=True):
            by_opening[b][link.opening] += part
    table = []
    for costs, extra, opened in zip(
        frame.masked, _row_costs(frame, rows, per_unit), by_opening, strict=True
    ):
        reach = [sum([opened[o] for o in openings]) for openings in frame.reaches]
        table.append(
            [c * scale + e + reach[r] for c, e, r in zip(costs, extra, frame.reach_of, strict=True)]
        )
    return table  # type: ignore[return-value]


def _row_costs(
    frame: Frame, rows: Sequence[Row], per_unit: Sequence[float]
) -> list[tuple[float, ...]]:
    """Price of all rows for each block (outer) in each place (inner), in its cheaper way."""
    count, places = len(frame.blocks), len(frame.problem.places)
    plain: list[list[float]] = [[0] * count] * places
    turned = list(plain)
    for price, row in zip(per_unit, rows, strict=True):
        if price:
            p = row.place
            alike = row.plain is row.turned and plain[p] is turned[p]
            plain[p] = [a + price * w for a, w in zip(plain[p], row.plain, strict=True)]
            turned[p] = (
                plain[p]
                if alike
                else [a + price * w for a, w in zip(turned[p], row.turned, strict=True)]
            )
    merged = []
    for p in range(places):
        if plain[p] is turned[p]:
            merged.append(plain[p])
        else:
            ways = (turns[p] for turns in frame.turns)
            merged.append([_cheaper(*z) for z in zip(plain[p], turned[p], ways, strict=True)])
    return list(zip(*merged, strict=True))


def _cheaper(plain: float, turned: float, way: tuple[bool, bool]) -> float:
    if way[0] and way[1]:
        return min(plain, turned)
    return turned if way[1] else plain
