"""Copies of a kit: all its files and its journal in a folder, with a sum of each, checked.

A copy is a folder with ``copy.json`` and, in ``kit``, the kit as it was; that is a kit folder
like any other. A copy is never changed once it is made.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import JOURNAL
from toolbox.files.archive import kit_files
from toolbox.files.atomic import write_durably
from toolbox.files.new_folder import new_folder
from toolbox.journal.copies import copy_journal

ABOUT = "copy.json"
KIT = "kit"
_FORM, _VERSION = "toolbox copy", 1
_TRIES = 3


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy of a kit: where it is, when it was made, of what, and the sum of each file.

    ``last`` is the id of the fact written last, "" for none.
    """

    path: Path
    made: datetime
    of: Path
    facts: int
    last: str
    sums: Mapping[str, str]

    @property
    def kit(self) -> Path:
        """The kit folder in it."""
        return self.path / KIT

    @property
    def name(self) -> str:
        """What it is called in lists."""
        return self.path.name


def make_copy(kit: Path, target: Path, now: datetime) -> Copy:
    """Copy a kit's files and its journal into the new folder ``target``, whole or not at all.

    The files are those of one moment. JournalError for a damaged journal, for then there is
    no good copy; DeskError while somebody goes on changing the files; WriteRefused, OSError.
    """
    with new_folder(target, "a copy", last=ABOUT) as made:
        (made / KIT).mkdir()
        for _ in range(_TRIES):
            texts, before = _texts(kit), _looks(kit)
            facts, last = _put_journal(kit, made / KIT)
            if before == _looks(kit) and texts == _texts(kit):
                break
        else:
            raise DeskError("the kit's files are being changed all the time; try again")
        for name, data in texts.items():
            (made / KIT / name).parent.mkdir(exist_ok=True)
            write_durably(made / KIT / name, data)
        sums = dict(_sums(made / KIT))
        about = {
            "format": _FORM,
            "version": _VERSION,
            "made": now.isoformat(),
            "of": str(kit.resolve()),
            "facts": facts,
            "last": last,
            "files": sums,
        }
        write_durably(made / ABOUT, (json.dumps(about, indent=2) + "\n").encode("ascii"))
    return Copy(target, now, kit.resolve(), facts, last, sums)


def _texts(kit: Path) -> dict[str, bytes]:
    return {path.relative_to(kit).as_posix(): path.read_bytes() for path in kit_files(kit)}


def _looks(kit: Path) -> tuple[tuple[int, int, int], ...]:
    """What changes whenever one of the files does."""
    stats = [path.stat() for path in kit_files(kit)]
    return tuple((at.st_ino, at.st_mtime_ns, at.st_size) for at in stats)


def _put_journal(kit: Path, made: Path) -> tuple[int, str]:
    (made / JOURNAL).unlink(missing_ok=True)
    if not (kit / JOURNAL).exists():
        return 0, ""
    held = copy_journal(kit / JOURNAL, made / JOURNAL)
    # SQLite itself did not wait for the disk
    with (made / JOURNAL).open("rb+") as file:
        os.fsync(file.fileno())
    return held.facts, held.last


def _sums(kit: Path) -> Iterator[tuple[str, str]]:
    for path in sorted(kit.rglob("*")):
        if path.is_file():
            name = path.relative_to(kit).as_posix()
            yield name, hashlib.sha256(path.read_bytes()).hexdigest()


def read_copy(path: Path) -> Copy:
    """What a folder says that is a copy; DeskError for one that is none, or of a newer program."""
    try:
        said: Any = json.loads((path / ABOUT).read_bytes())
        if said["format"] != _FORM:
            raise ValueError
        if said["version"] > _VERSION:
            raise DeskError(f"{path} was made by a newer toolbox: update it to read this copy")
        made, of = datetime.fromisoformat(said["made"]), Path(said["of"])
        sums = {str(name): str(total) for name, total in said["files"].items()}
        if made.utcoffset() is None or any(_leads_out(name) for name in sums):
            raise ValueError
        return Copy(path, made, of, int(said["facts"]), str(said["last"]), sums)
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise DeskError(f"{path} is no copy of a kit: it holds no {ABOUT} that says so") from error


def _leads_out(name: str) -> bool:
    return Path(name).is_absolute() or ".." in Path(name).parts or name.count("/") > 1


def faults_of(copy: Copy) -> tuple[str, ...]:
    """What is wrong with a copy, file by file; none for a good one."""
    try:
        there = dict(_sums(copy.kit))
    except OSError as error:
        return (f"cannot be read ({error.strerror})",)
    names = sorted(copy.sums.keys() | there.keys())
    return tuple(
        f"{name} is {'missing' if name not in there else 'not as it was copied'}"
        for name in names
        if copy.sums.get(name) != there.get(name)
    )


def copies_in(folder: Path) -> tuple[Copy, ...]:
    """The copies that lie in a folder, the newest first."""
    found = []
    for path in folder.iterdir() if folder.is_dir() else ():
        try:
            found.append(read_copy(path))
        except DeskError:
            continue
    return tuple(sorted(found, key=lambda copy: (copy.made, copy.name), reverse=True))


def newest_good(copies: tuple[Copy, ...]) -> Copy | None:
    """The newest copy that is as it was made, None when there is none."""
    return next((copy for copy in copies if not faults_of(copy)), None)


def back_up(kit: Path, folder: Path, now: datetime) -> Copy:
    """Copy a kit into a new folder of its own in ``folder``, and read it back.

    Errors as of ``make_copy``; DeskError when what was read back is not what was written.
    """
    copy = make_copy(kit, folder / f"{kit.resolve().name}-{now:%Y-%m-%d-%H%M%S}", now)
    if faults := faults_of(read_copy(copy.path)):
        raise DeskError(f"{copy.path} is not good: {'; '.join(faults)}. Copy to another disk")
    return copy
