"""The whole of a kit exported as plain text, and a kit folder made of such an export.

An export is a folder: ``kit.jsonl`` with all that the kit's files say, ``journal.jsonl`` with
all that was ever logged, undone entries too, and ``files/`` with the files as they stand, for
their comments. It holds no day of its own: the same kit gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import JOURNAL, KIT_FILE, KitFolder
from toolbox.desk.trips import read_everything
from toolbox.files.archive import KIT_LINES, KitPages, archived, read_archived, written
from toolbox.files.archive_lines import Line, lines_text, read_lines
from toolbox.files.new_folder import new_folder
from toolbox.files.problems import Fault, KitFaults
from toolbox.journal.archive import Row, fill, row_faults, rows_of

JOURNAL_LINES = "journal.jsonl"
TEXTS = "files"
_FORM = "toolbox journal"
_VERSION = 1


@dataclass(frozen=True, slots=True)
class Exported:
    """What an export holds: the files of the kit, how many facts; and what it leaves out.

    ``left_out`` are names in the kit folder, a folder's with a stroke at its end; ``hidden``
    counts the hidden files, which hold the versions before the last change.
    """

    files: tuple[str, ...]
    facts: int
    left_out: tuple[str, ...]
    hidden: int


def export_kit(path: Path, out: Path) -> Exported:
    """Write the whole of the kit in a folder into another, which is new or empty.

    KitFaults when the kit has faults, for then nobody knows what it says; WriteRefused when
    ``out`` holds something; JournalError. Nothing is half-written.
    """
    read_everything(path)
    kit = archived(path)
    rows = rows_of(path / JOURNAL)
    with new_folder(out, "an export", last=KIT_LINES) as made:
        for file, text in kit.texts.items():
            target = made / TEXTS / file
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(text)
        (made / JOURNAL_LINES).write_bytes(lines_text(_FORM, _VERSION, rows))
        (made / KIT_LINES).write_bytes(kit.lines)
    left = tuple(_left_out(path, set(kit.texts)))
    hidden = [name for name in left if name.rpartition("/")[2].startswith(".")]
    shown = tuple(name for name in left if name not in hidden)
    return Exported(tuple(kit.texts), len(rows), shown, len(hidden))


def _left_out(folder: Path, files: set[str]) -> Iterator[str]:
    """What lies in a kit folder and is not among these files, nor the journal."""
    homes = {file.rpartition("/")[0] for file in files}
    for path in sorted(folder.iterdir()):
        if path.is_dir() and path.name not in homes:
            yield f"{path.name}/"
        elif path.is_dir():
            below = sorted(path.iterdir())
            named = [f"{path.name}/{p.name}{'/' if p.is_dir() else ''}" for p in below]
            yield from (name for name in named if name not in files)
        elif path.name not in files and path.name != JOURNAL:
            yield path.name


def kit_from(folder: Path, source: Path) -> KitFolder:
    """Make a kit folder of an export, all of it or nothing.

    KitFaults names every line of the export that cannot be, and when all of them can, every
    fault of the kit they describe; DeskError when ``source`` is no export, WriteRefused when
    ``folder`` holds something.
    """
    pages, rows, texts = _read(source)
    with new_folder(folder, "a kit", last=KIT_FILE) as made:
        for file, text in texts.items():
            target = made / file
            target.parent.mkdir(exist_ok=True)
            target.write_bytes(text)
        try:
            kit = read_everything(made).kit
        except KitFaults as faulty:
            raise KitFaults(map(pages.at_line, faulty.faults)) from None
        fill(made / JOURNAL, rows)
    return KitFolder(folder, kit)


def is_export(source: Path) -> bool:
    """Whether a folder holds an export."""
    return (source / KIT_LINES).is_file()


def read_export(source: Path) -> tuple[dict[str, bytes], list[Row]]:
    """The files that an export holds, and its facts in the order of writing.

    KitFaults names every line of it that cannot be. Whether the kit has faults is not asked.
    """
    _, rows, texts = _read(source)
    return texts, rows


def _read(source: Path) -> tuple[KitPages, list[Row], dict[str, bytes]]:
    """What both files of an export say, every fault of both at once; and the kit's own files."""
    if not is_export(source):
        raise DeskError(
            f"{source} is no export: it holds no {KIT_LINES}. Name the folder that does"
        )
    faults: list[Fault] = []
    pages = None
    lines: tuple[Line, ...] = ()
    try:
        pages = read_archived((source / KIT_LINES).read_bytes())
    except KitFaults as faulty:
        faults += faulty.faults
    try:
        lines = _journal_lines(source / JOURNAL_LINES)
    except KitFaults as faulty:
        faults += faulty.faults
    rows = [line.says for line in lines]
    faults += (
        Fault(JOURNAL_LINES, f"line {lines[fault.row].number}", fault.wrong, fault.cure)
        for fault in row_faults(rows)
    )
    if pages is None or faults:
        raise KitFaults(faults)
    return pages, rows, written(pages, _texts(source / TEXTS), TEXTS)


def _journal_lines(path: Path) -> tuple[Line, ...]:
    if not path.is_file():
        raise KitFaults([Fault(JOURNAL_LINES, "", "is not there", "take a whole export")])
    return read_lines(JOURNAL_LINES, path.read_bytes(), _FORM, _VERSION)


def _texts(folder: Path) -> dict[str, bytes]:
    """The texts that came along, by the names of their files; hidden ones are none of ours."""
    found = (path for path in sorted(folder.rglob("*")) if path.is_file())
    named = {path.relative_to(folder).as_posix(): path for path in found}
    return {name: path.read_bytes() for name, path in named.items() if "/." not in f"/{name}"}
