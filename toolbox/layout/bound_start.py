"""Columns to begin with: a rough spread of the blocks that keeps all rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from toolbox.layout.bound_frame import Frame, Row


def rough_homes(
    frame: Frame, rows: Sequence[Row], enough: Callable[[], bool]
) -> list[tuple[int, int]]:
    """(block, place) for each block that found room, dearest to misplace first, until ``enough``.

    Each takes the place that adds least to the cost and still has room in every row.
    """
    room: list[list[list[int]]] = [[] for _ in frame.problem.places]
    weights = [[row.plain for row in rows if row.place == p] for p in range(len(room))]
    for row in rows:
        room[row.place].append([row.limit])
    paid: set[int] = set()
    found = []
    for b in sorted(range(len(frame.blocks)), key=lambda b: (-_stake(frame, b), b)):
        if enough():
            break
        fresh = dict.fromkeys(frame.reaches, 0)
        for k, _ in frame.links_of[b]:
            link = frame.links[k]
            if k not in paid:
                for reach in fresh:
                    fresh[reach] += link.cost if link.opening in reach else 0
        open_places = [
            (frame.cost[b][p] + fresh[frame.problem.places[p].openings], p)
            for p in frame.homes[b]
            if all(left[0] >= w[b] for left, w in zip(room[p], weights[p], strict=True))
        ]
        if open_places:
            _, p = min(open_places)
            found.append((b, p))
            for left, w in zip(room[p], weights[p], strict=True):
                left[0] -= w[b]
            behind = frame.problem.places[p].openings
            paid |= {k for k, _ in frame.links_of[b] if frame.links[k].opening in behind}
    return found


def _stake(frame: Frame, b: int) -> int:
    costs = [frame.cost[b][p] for p in frame.homes[b]]
    return max(costs) - min(costs)
