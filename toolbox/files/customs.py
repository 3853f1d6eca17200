"""Issued lists for customs, customs/TRIP-N.toml in a kit folder: written once, read back.

Each bears a sum of what it says, so that a change of the file, by whatever hand, is told.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toolbox.files.problems import KitFaults, Problems
from toolbox.kit.customs import CustomsChoices, CustomsLine, IssuedList
from toolbox.kit.quantities import Kind, write

if TYPE_CHECKING:
    from toolbox.files.customs_tables import CustomsLineTable
    from toolbox.files.pages import Pages

FOLDER = "customs"
_NOTE = "A list for customs as it was issued. Written by toolbox and never to be changed."


def issued_path(folder: Path, trip: str, issue: int) -> Path:
    """Where that issue of a trip's list stands, or would."""
    return folder / FOLDER / f"{trip}-{issue}.toml"


def issued_numbers(folder: Path, trip: str) -> tuple[int, ...]:
    """Which issues of a trip's list are there, the first one first."""
    names = (path.name for path in (folder / FOLDER).glob("*.toml"))
    found = (re.fullmatch(rf"{re.escape(trip)}-([1-9]\d*)\.toml", name) for name in names)
    return tuple(sorted(int(match[1]) for match in found if match is not None))


def issued_files(folder: Path) -> tuple[Path, ...]:
    """Every issued list of a kit folder."""
    return tuple(sorted((folder / FOLDER).glob("*.toml")))


def read_issued(path: Path) -> IssuedList:
    """The list in a file; KitFaults with every fault, or when it is not as it was issued."""
    # pydantic is slow to load and most kits have no such list
    from toolbox.files.customs_tables import SORTS
    from toolbox.files.pages import Pages, read_page

    problems, pages = Problems(), Pages()
    file = f"{path.parent.name}/{path.name}"
    read_page(pages, path, tuple(replace(sort, file=file) for sort in SORTS), problems)
    if not problems.faults:
        issued, seal = _meaning(pages)
        at = problems.at(file)
        if seal != _seal(issued):
            at.add("is not as it was issued", "put it back as it was; a new list is a new issue")
        if path.name != issued_path(Path(), issued.trip, issued.issue).name:
            at.add(
                f"is issue {issued.issue} of {issued.trip} by what it says",
                "give it back its name",
            )
    if problems.faults:
        raise KitFaults(problems.faults)
    return issued


def save_issued(folder: Path, issued: IssuedList) -> Path:
    """Write a list that was issued; its path. WriteRefused when that issue is there already.

    ValueError for a line without mass or value: such a list cannot be issued.
    """
    from toolbox.files.writing import write_new

    path = issued_path(folder, issued.trip, issued.issue)
    tables = _tables(issued)
    path.parent.mkdir(exist_ok=True)
    write_new(path, {**tables, "seal": _seal(issued), "line": tables["line"]}, _NOTE)
    return path


def _tables(issued: IssuedList) -> dict[str, Any]:
    choices = issued.choices
    return {
        "trip": issued.trip,
        "issue": issued.issue,
        "day": issued.day,
        "bags": list(issued.bags),
        "country": choices.country,
        "currency": choices.currency,
        "mass_unit": choices.unit.value,
        "sets": choices.sets.value,
        "left_out": list(issued.left_out),
        "kept_off": list(issued.kept_off),
        "line": [dict(_line_table(line)) for line in issued.lines],
    }


def _line_table(line: CustomsLine) -> Iterator[tuple[str, Any]]:
    if line.grams is None or line.hundredths is None:
        raise ValueError(f"line {line.number} has no mass or no value")
    found = {
        "number": line.number,
        "thing": line.thing,
        "part": line.part,
        "words": line.words,
        "pieces": line.pieces,
        "mass": write(line.grams, Kind.MASS),
        "hundredths": line.hundredths,
        "origin": line.origin,
        "serial": line.serial,
    }
    yield from ((key, value) for key, value in found.items() if value != "")


def _seal(issued: IssuedList) -> str:
    """A sum over everything that the list says, whatever the file looks like."""
    text = json.dumps(_tables(issued), sort_keys=True, default=str, ensure_ascii=True)
    return sha256(text.encode("ascii")).hexdigest()[:32]


def _meaning(pages: Pages) -> tuple[IssuedList, str]:
    from toolbox.files.customs_tables import ISSUED, LINE

    (head,) = pages.tables(ISSUED)
    issued = IssuedList(
        trip=head.trip,
        issue=head.issue,
        day=head.day,
        bags=tuple(head.bags),
        choices=CustomsChoices(head.country, head.currency, head.mass_unit, head.sets),
        lines=tuple(_line(table) for table in pages.tables(LINE)),
        left_out=tuple(head.left_out),
        kept_off=tuple(head.kept_off),
    )
    return issued, head.seal


def _line(table: CustomsLineTable) -> CustomsLine:
    return CustomsLine(
        table.number,
        table.thing,
        table.part,
        table.words,
        table.pieces,
        table.mass,
        table.hundredths,
        table.origin,
        table.serial,
    )
