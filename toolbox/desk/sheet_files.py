"""Print sheets as files: written whole, and never over a file that is not the same sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.flight_sheets import Sheet, sheets_of
from toolbox.desk.printed import as_html, as_markdown, mark_in, mark_of
from toolbox.desk.trips import Flight
from toolbox.files.atomic import put_in_place
from toolbox.files.problems import WriteRefused

_BEGINNING = 2000  # bytes of a file that are looked at for its mark
_KINDS = {".md": as_markdown, ".html": as_html}


class How(Enum):
    """What became of a file; the value is the word shown."""

    NEW = "new"
    REPLACED = "replaced"  # an older sheet of the same trip and bag
    SAME = "unchanged"


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

    The folder is made when it is not there. A file that is not the same sheet of the same
    trip stays, and then nothing is written at all. DeskError says which and what to do;
    what an earlier sheet said is kept as ``.NAME.previous``.
    """
    sheets = sheets_of(flight)
    wanted = [
        (sheet, folder / f"{sheet.file}{kind}", text(sheet.page).encode("utf-8"))
        for sheet in sheets
        for kind, text in _KINDS.items()
    ]
    try:
        faults = list(_in_the_way(folder, [(sheet, path) for sheet, path, _ in wanted]))
        if faults:
            raise DeskError(f"no sheet was written: {'; '.join(faults)}")
        folder.mkdir(parents=True, exist_ok=True)
        files = tuple(_put(sheet, path, data) for sheet, path, data in wanted)
        return SheetFiles(files, tuple(_stale(flight, folder, {file.path for file in files})))
    except (OSError, WriteRefused) as error:
        raise DeskError(f"the sheets could not all be written into {folder}: {error}") from error


def _in_the_way(folder: Path, wanted: list[tuple[Sheet, Path]]) -> Iterator[str]:
    if folder.exists() and not folder.is_dir():
        yield f"{folder} is no folder: name another"
        return
    for sheet, path in wanted:
        if path.exists() and _mark(path) != sheet.page.mark:
            whose = "for this bag" if sheet.bag else "of this trip's goods"
            yield f"{path.name} is there and is no sheet {whose}; move it or name another folder"


def _mark(path: Path) -> str:
    """The mark of the sheet in a file, "" for none or for what is no file."""
    if not path.is_file():
        return ""
    with path.open("rb") as file:
        return mark_in(file.read(_BEGINNING).decode("utf-8", "replace").replace("\r\n", "\n"))


def _put(sheet: Sheet, path: Path, data: bytes) -> SheetFile:
    was = path.read_bytes() if path.exists() else None
    if was == data:
        return SheetFile(path, sheet.bag, How.SAME)
    put_in_place(path, data, was)
    return SheetFile(path, sheet.bag, How.NEW if was is None else How.REPLACED)


def _stale(flight: Flight, folder: Path, written: set[Path]) -> Iterator[Path]:
    """Sheets of this trip from before, of bags that have nothing in them now."""
    beginning = mark_of(flight.name, "bag", "")
    for path in sorted(folder.iterdir()):
        ours = path.suffix in _KINDS and path.name[0] != "." and path not in written
        if ours and _mark(path).startswith(beginning):
            yield path
