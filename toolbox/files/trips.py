"""Trip files, trips/NAME.toml in a kit folder: read, begun from an example, added to."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from toolbox.files.problems import Fault, KitFaults, Problems, WriteRefused, nearest, quoted
from toolbox.kit.kit import Kit
from toolbox.kit.trips import Trip, Weighing

FOLDER = "trips"
_EXAMPLE = Path(__file__).parent / "blank" / FOLDER / "example.toml"


def trip_names(folder: Path) -> tuple[str, ...]:
    """The names of the trips in a kit folder, in the order of the alphabet."""
    return tuple(sorted(path.stem for path in (folder / FOLDER).glob("*.toml")))


def trip_path(folder: Path, name: str) -> Path:
    """Where the trip of that name stands; KitFaults naming the nearest when there is none."""
    names = trip_names(folder)
    if name in names:
        return folder / FOLDER / f"{name}.toml"
    close = nearest(name, names)
    cure = f'did you mean "{close}"' if close else f"write one into {FOLDER}/ or begin an example"
    raise KitFaults([Fault(f"{FOLDER}/{name}.toml", "", "is not there", cure)])


def read_trip(path: Path, kit: Kit) -> Trip:
    """A trip of this kit; KitFaults with every fault of the file. Changes nothing on disk."""
    # pydantic is slow to load and not needed before there is a trip to read
    from toolbox.files.pages import Pages, read_page
    from toolbox.files.trip_checks import CHECKS
    from toolbox.files.trip_meaning import trip_of
    from toolbox.files.trip_tables import SORTS

    problems, pages = Problems(), Pages()
    file = f"{path.parent.name}/{path.name}"
    read_page(pages, path, tuple(replace(sort, file=file) for sort in SORTS), problems)
    if file not in pages.unread:
        for check in CHECKS:
            check(pages, kit, problems.at(file))
    if problems.faults:
        raise KitFaults(problems.faults)
    return trip_of(pages)


def write_trip(path: Path, trip: Trip) -> None:
    """Write a trip into a new file; WriteRefused when it is there already."""
    from toolbox.files.atomic import put_in_place
    from toolbox.files.render import document_text
    from toolbox.files.trip_meaning import trip_tables

    path.parent.mkdir(exist_ok=True)
    put_in_place(path, document_text(trip_tables(trip)).encode("utf-8"), None)


def begin_trip(folder: Path, name: str) -> Path:
    """Put the example trip into a kit folder under that name, to be filled in; its path.

    Its allowances are generic examples and no carrier's. WriteRefused when it is there.
    """
    from toolbox.files.atomic import put_in_place
    from toolbox.files.fields import is_id

    path = folder / FOLDER / f"{name}.toml"
    if not is_id(name):
        cure = "use letters, digits, - _ and ."
        fault = Fault(FOLDER, "", f"{quoted(name)} cannot be the name of a trip", cure)
        raise WriteRefused(fault)
    path.parent.mkdir(exist_ok=True)
    put_in_place(path, _EXAMPLE.read_bytes(), None)
    return path


def append_weighing(path: Path, weighing: Weighing) -> None:
    """Add a bag's reading at the end of a trip file; all else stays byte for byte.

    WriteRefused, the file untouched, when it would not come out as meant.
    """
    from toolbox.files.trip_meaning import weighing_table
    from toolbox.files.writing import append_entries

    append_entries(path, "weighing", [weighing_table(weighing)])
