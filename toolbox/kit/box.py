"""The box: openings to get past, compartments with an inside and a place in the box.

Lengths in tenths of a millimetre, masses in grams. The origin of positions is
the front left bottom corner of the box as it stands open before the mechanic:
x to the right, y to the back, z up.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from toolbox.kit.things import Known, Mass, Size


class Inside(Enum):
    """How things lie in a compartment."""

    LAID = "laid"
    ROW = "row"
    LOOSE = "loose"


class Way(Enum):
    """What an opening is, and so which motions it takes."""

    LID = "lid"
    TRAY = "tray"
    DRAWER = "drawer"
    FLAP = "flap"


class Position(NamedTuple):
    """Corner of a compartment nearest the box's origin, in tenths of a millimetre."""

    x: int
    y: int
    z: int


@dataclass(frozen=True, slots=True)
class Opening:
    """Something to open (and close again) on the way to a compartment.

    ``travel`` is how far the hand moves it (for a tray: how far it is lifted
    and set aside); ``mass_g`` is what the hand moves; ``latches`` are undone
    first and done up again.
    """

    id: str
    name: str
    way: Way
    travel: int
    mass_g: int = 0
    latches: int = 0


@dataclass(frozen=True, slots=True)
class Compartment:
    """A place for tools. ``inside`` is length (left-right), width (front-back), depth.

    ``openings`` lie before it, outermost first. ``load_g`` is the most it may
    carry, None for no limit of its own. In a row, widths add up along the length.
    """

    id: str
    name: str
    kind: Inside
    inside: Size
    position: Position
    openings: tuple[str, ...] = ()
    load_g: int | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """The whole box: outer size, empty mass, how high its bottom stands above the floor.

    ``limit_g`` is the mechanic's own limit for the packed box, None where there is none.
    How the empty mass is known, the scale's step and its largest error: as for a ``Mass``.
    """

    name: str
    size: Size
    tare_g: int
    stands_at: int
    openings: tuple[Opening, ...]
    compartments: tuple[Compartment, ...]
    limit_g: int | None = None
    tare_known: Known = Known.GUESS
    tare_step_mg: int | None = None
    tare_error_mg: int | None = None

    def tare(self) -> Mass:
        """The empty mass with how it is known."""
        return Mass(self.tare_g, self.tare_known, self.tare_step_mg, self.tare_error_mg)
