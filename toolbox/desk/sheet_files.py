"""The print sheets of a trip as files, and which older ones no longer hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.flight_sheets import sheets_of
from toolbox.desk.own_files import PAGE_KINDS, How, mark_of_file, page_files, put_all
from toolbox.desk.printed import mark_of
from toolbox.desk.trips import Flight


@dataclass(frozen=True, slots=True)
class SheetFile:
    """A file with a sheet in it; ``bag`` is "" for the sheet of goods."""

    path: Path
    bag: str
    how: How


@dataclass(frozen=True, slots=True)
class SheetFiles:
    """All files of a trip's sheets; ``stale`` are older ones of bags that no longer fly."""

    files: tuple[SheetFile, ...]
    stale: tuple[Path, ...]


def save_sheets(flight: Flight, folder: Path) -> SheetFiles:
    """Write every sheet of a trip into a folder, as Markdown and as HTML.

    Nothing is written while a file is in the way that is not the same sheet of the same
    trip; see ``own_files.put_all``.
    """
    wanted = [
        (file, sheet.bag)
        for sheet in sheets_of(flight)
        for file in page_files(
            folder,
            sheet.file,
            sheet.page,
            "for this bag" if sheet.bag else "of this trip's goods",
        )
    ]
    written = put_all(folder, [file for file, _ in wanted])
    files = tuple(
        SheetFile(one.path, bag, one.how) for one, (_, bag) in zip(written, wanted, strict=True)
    )
    try:
        return SheetFiles(files, tuple(_stale(flight, folder, {file.path for file in files})))
    except OSError as error:
        raise DeskError(f"{folder} could not be looked through: {error}") from error


def _stale(flight: Flight, folder: Path, written: set[Path]) -> Iterator[Path]:
    """Sheets of this trip from before, of bags that have nothing in them now."""
    beginning = mark_of(flight.name, "bag", "")
    for path in sorted(folder.iterdir()):
        ours = path.suffix in PAGE_KINDS and path.name[0] != "." and path not in written
        if ours and mark_of_file(path).startswith(beginning):
            yield path
