"""Paper to print on, and grids of labels on it; lengths in tenths of a millimetre."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import product
from types import MappingProxyType
from typing import NamedTuple

from toolbox.kit.quantities import Kind, write


class Paper(Enum):
    """Sizes of paper: A4 by ISO 216, Letter 8 1/2 by 11 inches."""

    A4 = "a4"
    LETTER = "letter"


class Sides(NamedTuple):
    """Width and height of a sheet that stands upright."""

    width: int
    height: int


SIDES = MappingProxyType({Paper.A4: Sides(2100, 2970), Paper.LETTER: Sides(2159, 2794)})


@dataclass(frozen=True, slots=True)
class Grid:
    """Where labels lie on a sheet.

    ``left`` and ``top`` are the first label's corner, ``across`` and ``down`` go from one
    label to the next (the pitch), ``width`` and ``height`` are those of one label.
    """

    name: str
    paper: Paper
    columns: int
    rows: int
    left: int
    top: int
    across: int
    down: int
    width: int
    height: int

    @property
    def many(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows


_EVEN = ((2, 4), (2, 7), (3, 7), (3, 8), (4, 10), (5, 13))


def _even(columns: int, rows: int, paper: Paper) -> Grid:
    sides = SIDES[paper]
    width, height = sides.width // columns, sides.height // rows
    left, top = (sides.width - columns * width) // 2, (sides.height - rows * height) // 2
    name = f"{columns}x{rows}"
    return Grid(name, paper, columns, rows, left, top, width, height, width, height)


EVEN_GRIDS = tuple(_even(*grid, paper) for paper, grid in product(Paper, _EVEN))
"""Grids that divide a whole sheet into equal labels, edge to edge, named by their grid."""


def grid_faults(grid: Grid) -> tuple[str, ...]:
    """What is wrong with a grid, in words; () for one whose labels lie apart on the paper."""
    faults = []
    sides = SIDES[grid.paper]
    for where, last, size, room in (
        ("right", grid.left + (grid.columns - 1) * grid.across, grid.width, sides.width),
        ("lower", grid.top + (grid.rows - 1) * grid.down, grid.height, sides.height),
    ):
        if last + size > room:
            over = write(last + size - room, Kind.LENGTH)
            faults.append(f"its last label goes {over} over the {where} edge of the paper")
    if grid.columns > 1 and grid.across < grid.width:
        faults.append("has labels that overlap side by side: across is less than width")
    if grid.rows > 1 and grid.down < grid.height:
        faults.append("has labels that overlap one below the other: down is less than height")
    return tuple(faults)
