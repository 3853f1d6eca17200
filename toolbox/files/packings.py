"""Packing files, packings/NAME.toml in a kit folder: where things of a trip lie instead of home."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from toolbox.files.problems import KitFaults, Problems
from toolbox.kit.trips import Trip

FOLDER = "packings"
_NOTE = "How the bags of a trip are packed, where that is not as the trip says. Written by toolbox."


def packing_path(folder: Path, name: str) -> Path:
    """Where the packing of the trip of that name stands, or would."""
    return folder / FOLDER / f"{name}.toml"


def read_packing(path: Path, trip: Trip) -> dict[str, str | None]:
    """The bag of each copy that does not lie at home, None for none; empty without a file.

    KitFaults with every fault of the file, among them bags that the trip does not have. A
    thing that is no more is nobody's matter: it lies in no bag by any file.
    """
    if not path.exists():
        return {}
    # pydantic is slow to load and most kits have no trip
    from toolbox.files.named import all_known, once_each
    from toolbox.files.packing_tables import PACKED, SORTS
    from toolbox.files.pages import Pages, read_page

    problems, pages = Problems(), Pages()
    file = f"{path.parent.name}/{path.name}"
    read_page(pages, path, tuple(replace(sort, file=file) for sort in SORTS), problems)
    entries = pages.all(PACKED)
    once_each(entries, problems)
    bags = {bag.id for bag in trip.bags}
    for entry in entries:
        if entry.table is not None and entry.table.bag:
            at = problems.at(entry.file, entry.label)
            all_known("bag", (entry.table.bag,), bags, "bag of this trip", at)
    if problems.faults:
        raise KitFaults(problems.faults)
    return {table.item: table.bag or None for table in pages.tables(PACKED)}


def save_packing(path: Path, name: str, where: Mapping[str, str | None]) -> None:
    """Write a packing, or write it anew; WriteRefused, the file untouched, when it cannot be."""
    from toolbox.files.writing import replace_own

    packed = [{"item": item, "bag": bag or ""} for item, bag in where.items()]
    page = {"trip": name, "packed": packed} if packed else {"trip": name}
    replace_own(path, page, _NOTE)
