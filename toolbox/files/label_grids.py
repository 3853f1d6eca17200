"""Grids of labels of the mechanic's own: labels.toml in a kit folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from toolbox.files.problems import KitFaults, Problems
from toolbox.kit.paper import Grid, grid_faults

if TYPE_CHECKING:
    from toolbox.files.label_tables import GridTable

FILE = "labels.toml"


def own_grids(folder: Path) -> tuple[Grid, ...]:
    """The grids of a kit folder, () without the file; KitFaults with every fault of it."""
    path = folder / FILE
    if not path.exists():
        return ()
    # pydantic is slow to load and not needed before there is a file to read
    from toolbox.files.label_tables import GRID, SORTS
    from toolbox.files.named import once_each
    from toolbox.files.pages import Pages, read_page

    problems, pages = Problems(), Pages()
    read_page(pages, path, SORTS, problems)
    once_each(pages.all(GRID), problems)
    for entry in pages.all(GRID):
        if entry.table is not None:
            for fault in grid_faults(_grid(entry.table)):
                problems.at(entry.file, entry.label).add(fault, "measure the sheet once more")
    if problems.faults:
        raise KitFaults(problems.faults)
    return tuple(_grid(table) for table in pages.tables(GRID))


def _grid(table: GridTable) -> Grid:
    return Grid(
        name=table.id,
        paper=table.paper,
        columns=table.columns,
        rows=table.rows,
        left=table.left,
        top=table.top,
        across=table.across or table.width,
        down=table.down or table.height,
        width=table.width,
        height=table.height,
    )
