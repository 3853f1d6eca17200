"""Does a set of things fit a place: quickly, exactly, and remembered.

``lay`` answers for any place and items, with positions. ``Fits`` answers for sets of
blocks in a search: what was found out about a set is kept for every place of the
same length and width, a part of a set that fits fits too, and a set that holds a
refused one is refused.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import accumulate

from toolbox.kit.box import Inside
from toolbox.layout.exact_lay import SOLVER_WORK, Lay, Verdict, corner_lay, solver_lay
from toolbox.layout.problem import Item, Place
from toolbox.layout.rectangles import Rectangle, Spot, patient_lay, quick_lay
from toolbox.layout.solver import solver_there
from toolbox.layout.tables import Tables, bits, goes_in, room_of, takes

_KEPT = 400  # sets remembered for comparing with parts and larger sets


def lay(
    place: Place,
    items: Sequence[Item],
    clearance: int,
    *,
    work: float = SOLVER_WORK,
    stop: Callable[[], bool] | None = None,
) -> Lay:
    """Decide whether items fit a place together; when they do, where each one lies.

    ``work`` limits the exact method in deterministic units of about a second. Items in
    a row stand in the order given; in a loose bin every spot is (0, 0).
    """
    if not all(goes_in(item, place, clearance) for item in items):
        return Lay(Verdict.REFUSED)
    if sum(item.mass_g for item in items) > place.load_g:
        return Lay(Verdict.REFUSED)
    if sum(takes(item, place.kind, clearance) for item in items) > room_of(place):
        return Lay(Verdict.REFUSED)
    if place.kind is Inside.LAID:
        sides = [Rectangle(item.length + clearance, item.width + clearance) for item in items]
        return lay_rectangles(place.length, place.width, sides, work=work, stop=stop)
    if place.kind is Inside.ROW:
        starts = accumulate((item.width + clearance for item in items), initial=0)
        return Lay(
            Verdict.FITS, tuple(Spot(x, 0, False) for x, _ in zip(starts, items, strict=False))
        )
    return Lay(Verdict.FITS, tuple(Spot(0, 0, False) for _ in items))


def lay_rectangles(
    length: int,
    width: int,
    rectangles: Sequence[Rectangle],
    *,
    turning: bool = True,
    work: float = SOLVER_WORK,
    stop: Callable[[], bool] | None = None,
) -> Lay:
    """Decide whether rectangles fit length × width: quick ways first, then an exact method.

    Without the solver package the exact method is a search of our own, which says
    "not known" sooner.
    """
    for method in (quick_lay, patient_lay):
        spots = method(length, width, rectangles, turning=turning)
        if spots is not None:
            return Lay(Verdict.FITS, spots)
    own = corner_lay(length, width, rectangles, turning=turning, work=int(2000 * work))
    if own.verdict is not Verdict.UNKNOWN or not solver_there():
        return own
    return solver_lay(length, width, rectangles, turning=turning, work=work, stop=stop)


@dataclass
class _Known:
    """What is known of sets in places of one length and width."""

    quick: dict[int, bool] = field(default_factory=dict)
    patient: set[int] = field(default_factory=set)
    spots: dict[int, tuple[Spot, ...]] = field(default_factory=dict)
    fitting: list[int] = field(default_factory=list)
    refused: list[int] = field(default_factory=list)
    unknown: dict[int, float] = field(default_factory=dict)


class Fits:
    """The memory of fits for one search; it answers for laid places only by geometry.

    Rows, bins and loads are sums that the search keeps itself.
    """

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        shapes: dict[tuple[int, int], _Known] = {}
        self._known = [
            shapes.setdefault((place.length, place.width), _Known())
            for place in tables.problem.places
        ]
        self.tries = 0

    def quickly(self, place: int, blocks: int) -> bool:
        """True when a quick way to lay the blocks was found, now or before."""
        known = self._known[place].quick
        found = known.get(blocks)
        if found is None:
            self.tries += 1
            shape = self._tables.problem.places[place]
            found = quick_lay(shape.length, shape.width, self._sides(blocks)) is not None
            known[blocks] = found
        return found

    def patiently(self, place: int, blocks: int) -> bool:
        """True when a way to lay the blocks is known or a patient look finds one."""
        if self.quickly(place, blocks):
            return True
        known = self._known[place]
        if blocks in known.patient:
            return False
        known.patient.add(blocks)
        self.tries += 1
        shape = self._tables.problem.places[place]
        spots = patient_lay(shape.length, shape.width, self._sides(blocks))
        if spots is None:
            return False
        known.quick[blocks] = True
        known.spots[blocks] = spots
        return True

    def decide(
        self, place: int, blocks: int, *, work: float, stop: Callable[[], bool] | None = None
    ) -> Verdict:
        """The exact verdict within ``work`` units, remembered."""
        known = self._known[place]
        if known.quick.get(blocks) or any(blocks & set_ == blocks for set_ in known.fitting):
            return Verdict.FITS
        if any(blocks & set_ == set_ for set_ in known.refused):
            return Verdict.REFUSED
        if known.unknown.get(blocks, -1.0) >= work:
            return Verdict.UNKNOWN
        shape = self._tables.problem.places[place]
        found = lay_rectangles(shape.length, shape.width, self._sides(blocks), work=work, stop=stop)
        if found.verdict is Verdict.FITS:
            known.quick[blocks] = True
            known.spots[blocks] = found.spots
            known.fitting = [*known.fitting[-_KEPT:], blocks]
        elif found.verdict is Verdict.REFUSED:
            known.quick[blocks] = False
            known.refused = [*known.refused[-_KEPT:], blocks]
        else:
            known.unknown[blocks] = work
        return found.verdict

    def spots(self, place: int, blocks: int) -> dict[int, Spot]:
        """Item -> spot for a set that was found to fit. Raises KeyError for another set."""
        known = self._known[place]
        found = known.spots.get(blocks)
        if found is None:
            shape = self._tables.problem.places[place]
            found = quick_lay(shape.length, shape.width, self._sides(blocks))
        if found is None:
            return self._part_of(known, blocks)
        items = (item for b in bits(blocks) for item in self._tables.blocks[b])
        return dict(zip(items, found, strict=True))

    def _part_of(self, known: _Known, blocks: int) -> dict[int, Spot]:
        whole = next((s for s in known.fitting if blocks & s == blocks), None)
        if whole is None:
            raise KeyError("this set was never found to fit")
        items = [item for b in bits(whole) for item in self._tables.blocks[b]]
        wanted = {item for b in bits(blocks) for item in self._tables.blocks[b]}
        spots = zip(items, known.spots[whole], strict=True)
        return {item: spot for item, spot in spots if item in wanted}

    def _sides(self, blocks: int) -> list[Rectangle]:
        return [side for b in bits(blocks) for side in self._tables.rectangles[b]]
