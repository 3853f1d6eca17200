"""The tables of labels.toml as the file writes them: keys, what each may hold, defaults."""

from __future__ import annotations

from typing import Annotated

from toolbox.files.fields import Id, Length, Place, one_of, whole
from toolbox.files.pages import Sort
from toolbox.files.schema import Table
from toolbox.kit.paper import Paper

PaperWord = Annotated[Paper, one_of(Paper)]


class GridTable(Table):
    """One [[grid]]: where the labels of a sheet lie. Without a pitch they touch."""

    id: Id
    paper: PaperWord = Paper.A4
    columns: Annotated[int, whole(1, 50)]
    rows: Annotated[int, whole(1, 100)]
    left: Place = 0
    top: Place = 0
    across: Length | None = None
    down: Length | None = None
    width: Length
    height: Length


GRID = Sort("labels.toml", "grid", GridTable)
SORTS = (GRID,)
