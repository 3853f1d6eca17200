"""Where the mass of the packed box is: exact moments of every thing and of the empty box.

The model, kept as simple as the figures allow:

- A thing in a laid compartment whose corner is known lies on the floor of the
  compartment with its middle over the middle of its rectangle. In a row its
  place along the row counts, otherwise it is taken to be in the middle.
- Any other thing counts at the middle of its compartment.
- The empty box, openings included, counts at the middle of its outer size.
- Compartments are described as the box stands open. One whose middle lies
  beyond an edge of the box (in a lid that lies level behind it, in a flap that
  lies beside it) is folded back over that edge when the box is shut; what lies
  lowest there comes to lie against the top of the box.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from toolbox.carry.findings import CarryError
from toolbox.kit.box import Box, Compartment, Inside
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Supply, Tool

Thing = Tool | Supply


class Side(Enum):
    """An edge of the box's base, as seen by the mechanic before it."""

    FRONT = "front"
    REAR = "rear"
    LEFT = "left"
    RIGHT = "right"


class Body(NamedTuple):
    """Grams and twice their moments along x, y and z, in grams times tenths of a millimetre.

    Twice, because middles of odd sizes lie between tenths: so every sum stays whole.
    """

    grams: int
    x2: int
    y2: int
    z2: int

    def centre(self) -> tuple[Fraction, Fraction, Fraction]:
        """The exact centre of gravity, in tenths of a millimetre; ValueError without mass."""
        if not self.grams:
            raise ValueError("what weighs nothing has no centre of gravity")
        twice = 2 * self.grams
        return Fraction(self.x2, twice), Fraction(self.y2, twice), Fraction(self.z2, twice)

    def moved(self, x: int = 0, y: int = 0, z: int = 0) -> Body:
        """The same mass, shifted by whole tenths of a millimetre."""
        twice = 2 * self.grams
        return Body(self.grams, self.x2 + twice * x, self.y2 + twice * y, self.z2 + twice * z)

    def less(self, other: Body) -> Body:
        """What is left when ``other`` is taken away."""
        return Body(*(mine - theirs for mine, theirs in zip(self, other, strict=True)))


def together(bodies: Iterable[Body]) -> Body:
    """All bodies as one."""
    total = Body(0, 0, 0, 0)
    for body in bodies:
        total = Body(*(a + b for a, b in zip(total, body, strict=True)))
    return total


def empty_box(box: Box) -> Body:
    """The empty box: its tare at the middle of its outer size."""
    return Body(box.tare_g, *(box.tare_g * side for side in box.size))


def place_of(compartment: Compartment, grams: int) -> Body:
    """A mass at the middle of a compartment, where the compartment is described to be."""
    middle = (2 * p + s for p, s in zip(compartment.position, compartment.inside, strict=True))
    return Body(grams, *(grams * m for m in middle))


def thing_at(thing: Thing, spot: Spot, compartment: Compartment) -> Body:
    """A thing where it lies, as this module's model has it."""
    grams = grams_of(thing)
    body = place_of(compartment, grams)
    if thing.size is None or spot.x is None:
        return body
    x, y, z = compartment.position
    if compartment.kind is Inside.ROW:
        return body._replace(x2=grams * (2 * (x + spot.x) + thing.size.width))
    if compartment.kind is Inside.LAID and spot.y is not None:
        length, width, height = thing.size
        if spot.turned:
            length, width = width, length
        middle = (2 * (x + spot.x) + length, 2 * (y + spot.y) + width, 2 * z + height)
        return Body(grams, *(grams * m for m in middle))
    return body


def grams_of(thing: Thing) -> int:
    """Mass of one copy or pack; 0 where nobody has said (``contents`` refuses that)."""
    return thing.mass.grams if thing.mass else 0


def contents(box: Box, layout: Layout, things: Mapping[str, Thing]) -> dict[str, Body]:
    """What lies in each compartment (id -> one body), the box closed.

    ``things`` holds what travels, by the names layouts use. CarryError names
    everything that cannot be weighed: unknown things or compartments, things
    without a mass, things placed twice.
    """
    compartments = {c.id: c for c in box.compartments}
    faults = _unweighable(layout, things, compartments)
    if faults:
        raise CarryError(faults)
    found = {c.id: together(()) for c in box.compartments}
    for spot in layout.spots:
        compartment = compartments[spot.compartment]
        body = thing_at(things[spot.item], spot, compartment)
        side = beyond(box, compartment)
        if side is not None:
            body = folded(box, body, side)
        found[compartment.id] = together((found[compartment.id], body))
    return found


def beyond(box: Box, compartment: Compartment) -> Side | None:
    """The edge beyond which the compartment's middle lies as the box stands open, if any."""
    middle = place_of(compartment, 1)
    if middle.y2 > 2 * box.size.width:
        return Side.REAR
    if middle.y2 < 0:
        return Side.FRONT
    if middle.x2 > 2 * box.size.length:
        return Side.RIGHT
    return Side.LEFT if middle.x2 < 0 else None


def folded(box: Box, body: Body, side: Side) -> Body:
    """The body folded over an edge of the box: from open to shut, and the same way back."""
    lows = [c.position.z for c in box.compartments if beyond(box, c) is side]
    turn = 2 * body.grams
    z2 = turn * (box.size.height + min(lows, default=box.size.height)) - body.z2
    match side:
        case Side.REAR:
            return body._replace(y2=2 * turn * box.size.width - body.y2, z2=z2)
        case Side.RIGHT:
            return body._replace(x2=2 * turn * box.size.length - body.x2, z2=z2)
        case Side.FRONT:
            return body._replace(y2=-body.y2, z2=z2)
        case Side.LEFT:
            return body._replace(x2=-body.x2, z2=z2)


def _unweighable(
    layout: Layout, things: Mapping[str, Thing], compartments: Mapping[str, Compartment]
) -> list[str]:
    faults, seen = [], set()
    for spot in layout.spots:
        thing = things.get(spot.item)
        if thing is None:
            faults.append(f"{layout.name} has a place for {spot.item}, which does not travel")
            continue
        if spot.item in seen:
            faults.append(f"{layout.name} places {thing.name} ({spot.item}) twice")
        seen.add(spot.item)
        if spot.compartment not in compartments:
            faults.append(f"{layout.name} puts {thing.name} into {spot.compartment}: no such place")
        if thing.mass is None:
            faults.append(f"{thing.name} has no mass: weigh it")
    return faults
