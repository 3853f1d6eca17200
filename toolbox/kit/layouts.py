"""Where things are: a layout of the box, present or planned."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one copy lies: compartment, corner (tenths of a millimetre), turned or not.

    ``x`` and ``y`` run along the compartment's length and width; in a row only
    ``x`` counts; in a loose bin, or where nobody has said, both are None.
    """

    item: str
    compartment: str
    x: int | None = None
    y: int | None = None
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Layout:
    """A named layout: one spot for each copy that has a place."""

    name: str
    spots: tuple[Spot, ...]

    def places(self) -> dict[str, str]:
        """Item copy -> compartment id."""
        return {spot.item: spot.compartment for spot in self.spots}
