"""The order of work for rebuilding a box: what to empty on the bench, what goes where.

A compartment can be filled once everything that leaves it has left. Compartments
that wait for each other in a ring need the bench: the one with the fewest things
still to leave is emptied onto it, which breaks the ring.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from enum import Enum


class Handling(Enum):
    """What is done with a thing in one step of the rebuild."""

    BENCH = "to the bench"  # out of its compartment, set aside
    FILL = "into its new place"  # from its old compartment, the bench, or from nowhere


@dataclass(frozen=True, slots=True)
class Batch:
    """Things handled alike: out of ``place`` onto the bench, or into ``place``."""

    handling: Handling
    place: int
    items: tuple[int, ...]


def rebuild_order(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[Batch, ...]:
    """Batches that turn one layout into another, each thing handled at most twice.

    ``before[i]`` and ``after[i]`` are places, -1 in ``before`` for a thing without
    one. Only things that change place occur. Every thing ends with one FILL; it is
    preceded by a BENCH when its old compartment had to be emptied to break a ring.
    """
    leaving: dict[int, set[int]] = defaultdict(set)
    coming: dict[int, set[int]] = defaultdict(set)
    for item, (old, new) in enumerate(zip(before, after, strict=True)):
        if old != new:
            coming[new].add(item)
            if old >= 0:
                leaving[old].add(item)
    batches: list[Batch] = []
    while coming:
        ready = sorted(place for place in coming if not leaving[place])
        if not ready:
            # Every compartment still to fill waits for another: empty the quickest.
            place = min(coming, key=lambda p: (len(leaving[p]), p))
            batches.append(Batch(Handling.BENCH, place, tuple(sorted(leaving.pop(place)))))
            continue
        for place in ready:
            items = tuple(sorted(coming.pop(place)))
            batches.append(Batch(Handling.FILL, place, items))
            for item in items:
                leaving[before[item]].discard(item)
    return tuple(batches)
