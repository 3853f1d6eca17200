"""What the doctor looks at in a kit folder: files, journal, copies, leave to write, room, clock."""

from __future__ import annotations

import os
import re
import shutil
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from toolbox.desk.backup import Copy, copies_in, faults_of
from toolbox.desk.backup_daily import beside_copy, changed_since
from toolbox.desk.backup_home import copies_of, state_folder
from toolbox.desk.doctor import Check, State
from toolbox.desk.folder import JOURNAL
from toolbox.desk.trips import read_everything
from toolbox.files.archive import kit_files
from toolbox.files.problems import KitFaults
from toolbox.files.reading import UNFINISHED
from toolbox.files.schema import FILES
from toolbox.journal.copies import BESIDE, held, mode_of
from toolbox.journal.errors import JournalError
from toolbox.journal.salvage import newer, readable
from toolbox.journal.store import read_facts

ROOM = 100 * 1024 * 1024
"""Bytes that should be free: some years of a journal, and its copies."""

_AHEAD = timedelta(minutes=5)  # how far two clocks may differ
_OLD = timedelta(days=8)
# Files and folders by which programs know a folder that they keep in step with other machines.
_SYNCED = (".stfolder", ".stignore", ".dropbox", ".owncloudsync.log", ".sync")
_SYNCED_LIKE = ("._sync_*.db", ".sync_*.db", ".csync_journal.db")
_CONFLICT = re.compile(r"conflict|\(\d+\)\.(?:toml|db)$| \d\.(?:toml|db)$", re.IGNORECASE)


def kit_checks(kit: Path, now: datetime) -> Iterator[Check]:
    """Everything looked at in this kit folder; no name that somebody gave is in it."""
    if (kit / UNFINISHED).exists():
        cure = "finish it with: toolbox restore --go-on"
        yield Check("kit", State.MEND, "a restore was broken off half-way", cure)
        return
    copies = copies_in(copies_of(kit))
    good = [copy for copy in copies if not faults_of(copy)]
    newest = good[0] if good else None
    yield _files(kit, newest)
    yield from _journal(kit, newest, now)
    yield _copies(len(copies), good, now)
    yield from _leave(kit)
    yield from _room(kit)
    yield _synced(kit)


def _files(kit: Path, newest: Copy | None) -> Check:
    try:
        read_everything(kit)
    except KitFaults as faulty:
        many = Counter(_known(fault.file) for fault in faulty.faults)
        words = ", ".join(f"{count} in {file}" for file, count in many.items())
        cure = "each is named with what to do by: toolbox check"
        if newest is not None:
            cure += f"; the files as they were: toolbox restore {newest.name}"
        return Check("files", State.MEND, f"faults: {words}", cure)
    except (OSError, JournalError) as error:
        return Check("files", State.MEND, f"cannot be read ({type(error).__name__})", _READ)
    return Check("files", State.WELL, f"{len(kit_files(kit))} files without a fault")


_READ = "let the kit's folder and its files be read and written"


def _known(file: str) -> str:
    """A file by its name where that is ours, else by what sort of file it is."""
    if file in FILES or file in ("goods.toml", "labels.toml"):
        return file
    home, stroke, _ = file.partition("/")
    return f"a file in {home}" if stroke and home.isalpha() and home.islower() else "the folder"


def _journal(kit: Path, newest: Copy | None, now: datetime) -> Iterator[Check]:
    path = kit / JOURNAL
    if not path.exists():
        if newest is not None and newest.facts:
            words = f"it is gone; the copy of {newest.made:%Y-%m-%d} has {newest.facts} facts"
            cure = f"toolbox restore {newest.name} --only {JOURNAL}"
            yield Check("journal", State.MEND, words, cure)
        else:
            yield Check("journal", State.WELL, "nothing was logged yet")
        return
    try:
        has, mode, facts = held(path), mode_of(path), read_facts(path)
        found = beside_copy(kit, newest)
    except JournalError as error:
        yield _damaged(path, error, newest)
        return
    if newest is not None and (changed := changed_since(newest, found)):
        yield Check("journal", State.MEND, changed, _put_back(newest))
    else:
        yield Check("journal", State.WELL, f"whole, {has.facts} facts, mode {mode}")
    if found.missing:
        words = f"{len(found.missing)} facts of the newest copy are not in it"
        cure = "nothing, if an older copy was put back on purpose; else: toolbox restore newest"
        yield Check("journal beside copy", State.LOOK, words, cure)
    if mode != "delete":
        words = f"its mode is {mode}: on a stick or a shared disk it can break"
        cure = "close every program that has it open, then run any command of toolbox"
        yield Check("journal mode", State.LOOK, words, cure)
    yield _clock(max((fact.at for fact in facts), default=None), now)


def _damaged(path: Path, error: JournalError, newest: Copy | None) -> Check:
    """A damaged journal, and what of it is lost beside the newest copy and what is not."""
    found = readable(path)
    words = f"it cannot be used ({_kind(error)}); {len(found.rows)} of its facts can be read"
    if newest is None:
        cure = "there is no copy of it; keep the file, and begin a new one in its place"
        return Check("journal", State.MEND, words, cure)
    known = readable(newest.kit / JOURNAL).rows
    extra = len(newer(found.rows, known))
    words += f"; the copy of {newest.made:%Y-%m-%d} has {newest.facts}, {extra} more can be kept"
    return Check("journal", State.MEND, words, _put_back(newest))


def _kind(error: JournalError) -> str:
    """What is wrong without what stands in the file."""
    for word in ("damaged", "no journal", "newer program", "another program", "only be read"):
        if word in error.wrong:
            return word
    return "a fact cannot be read"


def _put_back(newest: Copy) -> str:
    return f"toolbox restore {newest.name} --only {JOURNAL} --keep-newer"


def _clock(latest: datetime | None, now: datetime) -> Check:
    if latest is None or latest <= now + _AHEAD:
        return Check("clock", State.WELL, "not earlier than what was logged")
    ahead = latest - now
    words = f"it is {ahead.days} d {ahead.seconds // 3600} h earlier than what was logged"
    cure = "set the clock and its time zone; if the entry's time is wrong, undo it, log it anew"
    return Check("clock", State.LOOK, words, cure)


def _copies(many: int, good: list[Copy], now: datetime) -> Check:
    """So many copies there are, and these of them, the newest first, are as they were made."""
    if not good:
        words = f"none is good of {many}" if many else "there is none yet"
        cure = "one is made when the kit is next opened, unless that cannot be; toolbox backup DIR"
        return Check("copies", State.LOOK, words, cure)
    words = f"{many}, the newest good one of {good[0].made:%Y-%m-%d}"
    if bad := many - len(good):
        cure = "look at them with: toolbox restore; take another disk for: toolbox backup DIR"
        return Check("copies", State.LOOK, f"{words}; {bad} not as they were made", cure)
    if now - good[0].made > _OLD:
        cure = "see that the folder it is kept in can be written to; toolbox backup DIR"
        return Check("copies", State.LOOK, f"{words}, which is long ago", cure)
    return Check("copies", State.WELL, words)


def _leave(kit: Path) -> Iterator[Check]:
    places = [kit, *(path for path in kit_files(kit))]
    places += [kit / JOURNAL] if (kit / JOURNAL).exists() else []
    barred = [path for path in places if not os.access(path, os.W_OK)]
    homes = {path.parent for path in places if not os.access(path.parent, os.W_OK)}
    if barred or homes:
        words = f"{len(barred)} files and {len(homes)} folders may only be read"
        yield Check("leave to write", State.MEND, words, _READ)
        return
    yield Check("leave to write", State.WELL, f"{len(places)} files and folders")
    there = _state_there()
    if not os.access(there, os.W_OK):
        cure = "let it be written to, or name another with TOOLBOX_STATE"
        words = "the folder of copies and of what is remembered may only be read"
        yield Check("leave to write", State.LOOK, words, cure)


def _state_there() -> Path:
    """The state folder, or what there is of the way to it."""
    state = state_folder()
    return next((path for path in (state, *state.parents) if path.exists()), state)


def _room(kit: Path) -> Iterator[Check]:
    free = []
    for place in (kit, _state_there()):
        with suppress(OSError):
            free.append(shutil.disk_usage(place).free)
    least = min(free, default=0)
    words = f"{least // (1024 * 1024)} MB free"
    if least < ROOM:
        yield Check("room", State.LOOK, words, "make room on the disk of the kit and its copies")
    else:
        yield Check("room", State.WELL, words)


def _synced(kit: Path) -> Check:
    """Whether other programs keep the folder in step with other machines, and made doubles."""
    places = (kit, *(path for path in kit.iterdir() if path.is_dir()))
    doubles = sum(1 for home in places for path in home.iterdir() if _is_double(path))
    beside = sum(1 for end in BESIDE if (kit / (JOURNAL + end)).exists())
    synced = any(_is_synced(folder) for folder in (kit.resolve(), *kit.resolve().parents))
    if doubles:
        words = f"{doubles} files look like doubles made by a program that syncs folders"
        cure = "compare them with the files they are doubles of, then move them out of the kit"
        return Check("sync", State.LOOK, words, cure)
    if synced:
        words = "a program keeps this folder in step with other machines"
        cure = "close toolbox on one machine and let it finish before you open it on another"
        if beside:
            words += ", and the journal is open or was not closed"
        return Check("sync", State.LOOK, words, cure)
    return Check("sync", State.WELL, "no doubles, and no sign of a program that syncs it")


def _is_double(path: Path) -> bool:
    return path.suffix in (".toml", ".db") and _CONFLICT.search(path.name) is not None


def _is_synced(folder: Path) -> bool:
    with suppress(OSError):
        if any((folder / name).exists() for name in _SYNCED):
            return True
        return any(True for like in _SYNCED_LIKE for _ in folder.glob(like))
    return False
