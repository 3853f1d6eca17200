"""The tables of a packing file as the program writes them."""

from __future__ import annotations

from toolbox.files.fields import Name
from toolbox.files.pages import HEAD, Sort
from toolbox.files.schema import Table


class PackingTable(Table):
    """The head of a packing file: the trip that it is for."""

    trip: Name


class PackedTable(Table):
    """One [[packed]]: a copy that does not lie where its files say; no ``bag``: in none."""

    item: str
    bag: str = ""


FILE = "packings/NAME.toml"
PACKING = Sort(FILE, HEAD, PackingTable, many=False)
PACKED = Sort(FILE, "packed", PackedTable, names="item")
SORTS = (PACKING, PACKED)
