"""The layout question as plain frozen numbers, and its answer.

Lengths in tenths of a millimetre, masses in grams, costs in whole microseconds
per day (an urgent second already weighted). Items, places and openings are
numbered from 0 in the problem's order; names are for messages only.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from toolbox.kit.box import Inside


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that needs a place: its packed size, its mass, whether it must stay upright.

    An upright item keeps its height upright in a loose bin as well.
    """

    name: str
    length: int
    width: int
    height: int
    mass_g: int
    upright: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """A compartment: inside length, width, depth, load, room, openings before it.

    ``room`` is the volume that may be filled in a loose bin (cubic tenths of a
    millimetre), unused elsewhere.

    LAID: rectangles of (length + clearance) by (width + clearance), quarter turns
    allowed, none overlapping; item height at most the depth.
    ROW: item widths, each plus the clearance, add up to at most the length; item
    length at most the width; item height at most the depth.
    LOOSE: item volumes add up to at most ``room``; the item's sorted sides are at
    most the compartment's sorted sides (an upright item: height at most depth and
    the other two, sorted, at most length and width, sorted).
    """

    name: str
    kind: Inside
    length: int
    width: int
    depth: int
    load_g: int
    room: int
    openings: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Visit:
    """One kind of trip to the box: what each opening costs a day, and who may need it.

    The visit pays ``opening_cost[o]`` once if any of ``items`` lies behind opening o.
    """

    opening_cost: tuple[int, ...]
    items: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LayoutProblem:
    """All that decides a layout.

    ``pick_cost[i][p]`` is what item i costs a day in place p, all that is linear:
    its picks in jobs, and its loose trips with their openings. ``allowed[i]`` holds
    the places the rules leave to item i, in rising order (fit is not considered
    there). ``together`` and ``apart`` are groups of items.
    """

    items: tuple[Item, ...]
    places: tuple[Place, ...]
    openings: tuple[str, ...]
    clearance: int
    pick_cost: tuple[tuple[int, ...], ...]
    visits: tuple[Visit, ...]
    allowed: tuple[tuple[int, ...], ...]
    together: tuple[tuple[int, ...], ...] = ()
    apart: tuple[tuple[int, ...], ...] = ()


class Put(NamedTuple):
    """Where an item lies: place, corner along length and width (0 where unused), turned."""

    place: int
    x: int = 0
    y: int = 0
    turned: bool = False


class Outcome(Enum):
    """How the search ended."""

    OPTIMAL = "optimal"  # bound meets cost
    GOOD = "good"  # a layout with a gap that is said
    IMPOSSIBLE = "impossible"  # proved that no layout keeps all rules
    NONE_FOUND = "none found"  # stopped before any layout was found


@dataclass(frozen=True, slots=True)
class Answer:
    """What the engine found: a put for each item, cost, proven lower bound, how it ended.

    ``puts`` is empty and ``cost`` None when there is no layout; ``bound`` is None
    when none was proved. ``method`` says in words how the layout was found.
    """

    outcome: Outcome
    puts: tuple[Put, ...]
    cost: int | None
    bound: int | None
    method: str

    def gap(self) -> float | None:
        """(cost - bound) / bound; None while either is missing."""
        if self.cost is None or self.bound is None:
            return None
        if self.bound <= 0:
            return 0.0 if self.cost <= self.bound else None
        return (self.cost - self.bound) / self.bound


def cost_of(problem: LayoutProblem, homes: tuple[int, ...]) -> int:
    """Cost per day of a layout given as one place for each item, in microseconds."""
    total = sum(row[home] for row, home in zip(problem.pick_cost, homes, strict=True))
    for visit in problem.visits:
        needed = {o for item in visit.items for o in problem.places[homes[item]].openings}
        total += sum(visit.opening_cost[o] for o in needed)
    return total
