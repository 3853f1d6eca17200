"""A kit put back as a copy has it: looked at first, what is there kept aside, all or nothing.

What is to come into place is made ready beside it and gets its name in one step; from then
on it is only moved. Broken off before, nothing has happened; broken off behind it, the kit
is not opened before the moving was gone on with (``go_on``).
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from pathlib import Path

from toolbox.desk.backup import KIT, Copy, copies_in, faults_of, newest_good, read_copy
from toolbox.desk.backup_home import copies_of
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import JOURNAL
from toolbox.files.archive import kit_files
from toolbox.files.atomic import sync_folder, write_durably
from toolbox.files.new_folder import new_folder
from toolbox.files.reading import UNFINISHED
from toolbox.journal.archive import Row
from toolbox.journal.copies import BESIDE, held, nobody_writes
from toolbox.journal.errors import JournalError
from toolbox.journal.salvage import append_rows, newer, readable

ABOUT = "restore.json"


class Becomes(Enum):
    """What a restore does to a file; the value is the word shown."""

    NEW = "comes back"
    OTHER = "changes"
    SAME = "stays"
    GONE = "is taken out"


@dataclass(frozen=True, slots=True)
class Restoring:
    """What a restore would do: to each file, and to what was logged.

    ``damaged`` says what is wrong with the journal that is there, "" for nothing;
    ``unreadable`` counts rows of it that are no facts any more, ``since`` are facts in it
    that the copy does not have, ``keepable`` those of them whose entry is whole.
    """

    copy: Copy
    files: tuple[tuple[str, Becomes], ...]
    damaged: str
    unreadable: int
    since: tuple[Row, ...]
    keepable: tuple[Row, ...]


def copy_named(kit: Path, name: str, folder: Path | None) -> Copy:
    """The copy called so: a folder, or a name in ``folder`` or among the automatic ones.

    "newest" is the newest good one. DeskError for none, or for one that is not good.
    """
    if name == "newest":
        copy = newest_good(copies_in(folder or copies_of(kit)))
        if copy is None:
            raise DeskError("there is no good copy of this kit here; name the folder of one")
        return copy
    places = (Path(name), (folder or copies_of(kit)) / name)
    path = next((place for place in places if place.is_dir()), None)
    if path is None:
        raise DeskError(f'there is no copy "{name}"; "toolbox restore" lists those there are')
    copy = read_copy(path)
    if faults := faults_of(copy):
        raise DeskError(f"this copy is not good: {'; '.join(faults)}. Take another one")
    return copy


def look_ahead(kit: Path, copy: Copy, only: Sequence[str] = ()) -> Restoring:
    """What restoring a copy into this folder would do; nothing is changed.

    ``only`` names the files that are restored, all by default; DeskError for a name that
    neither has.
    """
    names = sorted({*copy.sums, *_present(kit)})
    if strange := [name for name in only if name not in names]:
        raise DeskError(f'there is no file "{strange[0]}" in the kit or in the copy')
    chosen = [name for name in names if not only or name in only]
    files = tuple((name, _becomes(kit, copy, name)) for name in chosen)
    if JOURNAL not in chosen:
        return Restoring(copy, files, "", 0, (), ())
    here = readable(kit / JOURNAL)
    known = readable(copy.kit / JOURNAL).rows
    ids = {row["id"] for row in known}
    since = tuple(row for row in here.rows if row["id"] not in ids)
    return Restoring(copy, files, _damage(kit), here.unreadable, since, newer(here.rows, known))


def _present(kit: Path) -> Iterator[str]:
    if kit.is_dir():
        yield from (path.relative_to(kit).as_posix() for path in kit_files(kit))
        if (kit / JOURNAL).exists():
            yield JOURNAL


def _becomes(kit: Path, copy: Copy, name: str) -> Becomes:
    if name not in copy.sums:
        return Becomes.GONE
    if not (kit / name).exists():
        return Becomes.NEW
    same = (kit / name).read_bytes() == (copy.kit / name).read_bytes()
    return Becomes.SAME if same else Becomes.OTHER


def _damage(kit: Path) -> str:
    if not (kit / JOURNAL).exists():
        return ""
    try:
        held(kit / JOURNAL)
    except JournalError as error:
        return error.wrong
    return ""


def restore(kit: Path, ahead: Restoring, now: datetime, *, keep_newer: bool = False) -> Path:
    """Do what was looked at, and return the folder in which all that was there is kept.

    With ``keep_newer`` whole entries that the copy does not have are put behind its own.
    JournalError while another program writes; OSError, WriteRefused where there is no room.
    """
    kit.mkdir(parents=True, exist_ok=True)
    refuse_unfinished(kit)
    names = [name for name, becomes in ahead.files if becomes is not Becomes.SAME]
    aside = kit / f".aside-{now:%Y-%m-%d-%H%M%S}"
    with nobody_writes(kit / JOURNAL):
        if look_ahead(kit, ahead.copy, [name for name, _ in ahead.files]) != ahead:
            raise DeskError("the kit was changed since it was looked at; look again")
        with new_folder(aside, "what is kept aside", last=JOURNAL) as made:
            for name in _with_beside(names):
                if (kit / name).exists():
                    _copy(kit / name, made / name)
        with new_folder(kit / UNFINISHED, "a restore", last=ABOUT) as made:
            _prepare(made, ahead, names, keep_newer=keep_newer)
        go_on(kit)
    return aside


def _with_beside(names: Sequence[str]) -> Iterator[str]:
    for name in names:
        yield name
        if name == JOURNAL:
            yield from (JOURNAL + end for end in BESIDE)


def _copy(source: Path, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    write_durably(target, source.read_bytes())


def _prepare(made: Path, ahead: Restoring, names: Sequence[str], *, keep_newer: bool) -> None:
    (made / KIT).mkdir()
    for name in names:
        if name in ahead.copy.sums:
            _copy(ahead.copy.kit / name, made / KIT / name)
    if keep_newer and JOURNAL in (name for name, _ in ahead.files):
        if JOURNAL not in ahead.copy.sums:
            raise DeskError("the copy has no journal to put newer entries behind")
        append_rows(made / KIT / JOURNAL, ahead.keepable)
    gone = [name for name, becomes in ahead.files if becomes is Becomes.GONE]
    write_durably(made / ABOUT, json.dumps({"take_out": gone}).encode("ascii"))


def refuse_unfinished(kit: Path) -> None:
    """DeskError where a restore was broken off half-way."""
    if (kit / UNFINISHED).exists():
        raise DeskError(
            "a restore was broken off half-way; finish it first with: toolbox restore --go-on"
        )


def go_on(kit: Path) -> bool:
    """Finish a restore that was made ready; True when there was one. OSError."""
    ready = kit / UNFINISHED
    if not ready.exists():
        return False
    about = ready / ABOUT
    if about.exists():
        for path in sorted((ready / KIT).rglob("*")):
            if path.is_file():
                _move(path, kit / path.relative_to(ready / KIT))
        for name in json.loads(about.read_bytes())["take_out"]:
            _clear_beside(kit / name)
            (kit / name).unlink(missing_ok=True)
        sync_folder(kit)
        # without it there is nothing left to go on with
        about.unlink()
    shutil.rmtree(ready)
    return True


def _move(source: Path, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    _clear_beside(target)
    os.replace(source, target)
    sync_folder(target.parent)


def _clear_beside(path: Path) -> None:
    """What stands beside the old journal must not be taken for part of the new one."""
    if path.name == JOURNAL:
        for end in BESIDE:
            path.with_name(path.name + end).unlink(missing_ok=True)
