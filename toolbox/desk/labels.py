"""Labels for tools, supplies and compartments: which, on which grid, with which code."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import Enum
from pathlib import Path
from typing import NamedTuple

from toolbox.desk.drawn_files import Sheet, nothing_drawn
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import name_of_copy
from toolbox.desk.naming import compartment_named, supply_named, tool_named
from toolbox.desk.printed import mark_of
from toolbox.drawings.labels import Label, label_pages
from toolbox.drawings.page import DrawingError
from toolbox.drawings.qr import can_make
from toolbox.files.label_grids import FILE, own_grids
from toolbox.kit.codes import code_of_compartment, code_of_copy
from toolbox.kit.kit import Kit
from toolbox.kit.paper import EVEN_GRIDS, Grid, Paper


class Of(Enum):
    """What labels are for; the value is the word typed."""

    TOOLS = "tools"
    SUPPLIES = "supplies"
    COMPARTMENTS = "compartments"


class How(NamedTuple):
    """How labels are made: from which one on, with QR symbols, with their edges drawn."""

    first: int = 1
    codes: bool = False
    edges: bool = False


def grid_named(folder: Path, name: str, paper: Paper) -> Grid:
    """The grid of that name: one of labels.toml, else an even one of this paper.

    DeskError when there is none, KitFaults with every fault of labels.toml.
    """
    grids = (*own_grids(folder), *(grid for grid in EVEN_GRIDS if grid.paper is paper))
    wanted = name.casefold().replace(" ", "")
    for grid in grids:
        if grid.name.casefold() == wanted:
            return grid
    known = ", ".join(dict.fromkeys(grid.name for grid in grids))
    raise DeskError(
        f'there is no grid "{name}"; there are {known} (columns x rows). '
        f"Measure your sheet and write it into {FILE} as a [[grid]]"
    )


def labels_of(kit: Kit, of: Of, names: Sequence[str], line: str = "") -> tuple[Label, ...]:
    """A label for each copy of these tools, each of these supplies or compartments, or of all.

    UnclearName or UnknownName for letters that do not mean one.
    """
    if of is Of.COMPARTMENTS:
        ids = _meant(names, lambda letters: compartment_named(kit, letters).id)
        return tuple(
            Label(c.name, c.id, line, code_of_compartment(kit, c.id))
            for c in kit.box.compartments
            if not names or c.id in ids
        )
    if of is Of.TOOLS:
        ids = _meant(names, lambda letters: tool_named(kit, letters).id)
        copies = [c for t in kit.tools if not names or t.id in ids for c in t.copies()]
    else:
        ids = _meant(names, lambda letters: supply_named(kit, letters).id)
        copies = [s.id for s in kit.supplies if not names or s.id in ids]
    return tuple(Label(name_of_copy(kit, c), c, line, code_of_copy(kit, c)) for c in copies)


def label_sheet(kit: Kit, of: Of, labels: Sequence[Label], grid: Grid, how: How) -> Sheet:
    """The labels on sheets of this grid. DeskError with every name that does not fit."""
    if how.codes and not can_make():
        raise DeskError('QR symbols need the library segno: install toolbox with its extra "print"')
    if not labels:
        raise DeskError(f"this kit has no {of.value}")
    file = f"labels-{of.value}"
    try:
        pages = label_pages(
            labels,
            grid,
            f"Labels for {of.value}, {kit.name}",
            mark_of(kit.name, file),
            first=how.first,
            codes=how.codes,
            edges=how.edges,
        )
    except DrawingError as error:
        raise nothing_drawn(error.reasons) from error
    return Sheet(file, "of labels for this kit", pages)


def _meant(names: Sequence[str], find: Callable[[str], str]) -> frozenset[str]:
    return frozenset(find(letters) for letters in names)
