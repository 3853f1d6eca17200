"""Which compartments lie above which others when the box is shut."""

from __future__ import annotations

from collections.abc import Set

from toolbox.carry.riding import riding_on
from toolbox.kit.box import Box, Compartment, Way


def over_any(box: Box, below: Set[str]) -> frozenset[str]:
    """The compartments that lie above at least one of these (ids)."""
    carriers = riding_on(box)
    ways = {opening.id: opening.way for opening in box.openings}
    swung = {c: ways[o] for c, o in carriers.items() if ways[o] in (Way.LID, Way.FLAP)}
    return frozenset(
        upper.id
        for upper in box.compartments
        for lower in box.compartments
        if lower.id in below and upper is not lower and _above(upper, lower, swung)
    )


def _above(upper: Compartment, lower: Compartment, swung: dict[str, Way]) -> bool:
    """True when the one lies above the other, or may: by how they stand, at the least.

    A lid shuts over everything that does not hang in a lid too. Where a flap brings what
    hangs in it is not told by the open box, so that counts as above and as beneath.
    """
    hanging = swung.get(upper.id), swung.get(lower.id)
    if Way.FLAP in hanging:
        return True
    if hanging == (Way.LID, Way.LID):
        # a lid that hangs open lies upside down when shut, one described shut does not
        return _stands_above(lower, upper) or _stands_above(upper, lower)
    if Way.LID in hanging:
        return hanging[0] is Way.LID
    return _stands_above(upper, lower)


def _stands_above(upper: Compartment, lower: Compartment) -> bool:
    """True when the one lies wholly above the other and over a part of it."""
    if upper.position.z < lower.position.z + lower.inside.height:
        return False
    return all(
        a < b + b_size and b < a + a_size
        for a, a_size, b, b_size in (
            (upper.position.x, upper.inside.length, lower.position.x, lower.inside.length),
            (upper.position.y, upper.inside.width, lower.position.y, lower.inside.width),
        )
    )
