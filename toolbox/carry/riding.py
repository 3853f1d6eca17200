"""Which compartment moves with which opening, read from the box's description.

A box says what has to be opened on the way to a compartment, not what moves
along. Position settles it: what lies beyond the edges of the open box was
swung out there, and what cannot lie in the way of something deeper must move
out of the way together with what is opened.
"""

from __future__ import annotations

from toolbox.carry.bodies import beyond
from toolbox.kit.box import Box, Compartment, Way


def riding_on(box: Box) -> dict[str, str]:
    """Compartment id -> opening id, for every compartment that moves with an opening.

    In a drawer: all that is reached through it. Beyond an edge of the box: with
    the outermost lid or flap before it. In a lid as well: what lies above a
    compartment that is reached through that lid and nothing else but what leads
    here too. On a tray: what is reached without lifting it and lies above something
    that is reached by lifting it out.
    """
    found: dict[str, str] = {}
    for compartment in box.compartments:
        opening = _carrier(box, compartment)
        if opening:
            found[compartment.id] = opening
    for opening in (o.id for o in box.openings if o.way is Way.TRAY):
        for compartment in _on_tray(box, opening):
            found.setdefault(compartment.id, opening)
    return found


def _carrier(box: Box, compartment: Compartment) -> str | None:
    """The drawer, lid or flap that the compartment moves with."""
    ways = {opening.id: opening.way for opening in box.openings}
    drawers = [o for o in compartment.openings if ways.get(o) is Way.DRAWER]
    swung = [o for o in compartment.openings if ways.get(o) in (Way.LID, Way.FLAP)]
    if drawers:
        return drawers[0]
    if swung and beyond(box, compartment):
        return swung[0]
    lids = [o for o in swung if ways[o] is Way.LID]
    return lids[0] if lids and _in_lid(box, compartment, lids[0]) else None


def _in_lid(box: Box, compartment: Compartment, lid: str) -> bool:
    way = set(compartment.openings)
    return any(
        lid in below.openings and way.issuperset(below.openings) and _above(compartment, below)
        for below in box.compartments
    )


def _on_tray(box: Box, tray: str) -> list[Compartment]:
    """Compartments over one that is reached through the tray, reached before the tray is."""
    found = []
    for beneath in box.compartments:
        if tray in beneath.openings:
            before = beneath.openings[: beneath.openings.index(tray)]
            found += [c for c in box.compartments if c.openings == before and _above(c, beneath)]
    return found


def _above(upper: Compartment, lower: Compartment) -> bool:
    """True when the one lies wholly above the other and over a part of it."""
    if upper.position.z < lower.position.z + lower.inside.height:
        return False
    return _overlap(
        upper.position.x, upper.inside.length, lower.position.x, lower.inside.length
    ) and _overlap(upper.position.y, upper.inside.width, lower.position.y, lower.inside.width)


def _overlap(start: int, size: int, other: int, other_size: int) -> bool:
    return start < other + other_size and other < start + size
