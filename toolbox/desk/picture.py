"""A picture of a kit at one moment: everything that screens show, taken at once.

Taking it again with the picture before only reads what has changed since: the kit's
files when one of them did, and the facts that are newer than the last known one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import JOURNAL, KIT_FILE, KitFolder, open_kit
from toolbox.desk.plans import LAYOUTS, Study, current_plan, has_plan, same_things, study
from toolbox.desk.readiness import (
    Finding,
    Seriousness,
    Sight,
    is_ready,
    kit_faults,
    readiness,
    to_mend,
)
from toolbox.desk.rebuild import Rebuild, rebuild_list
from toolbox.desk.trips import PACKINGS, TRIPS
from toolbox.files.layouts import SavedPlan
from toolbox.files.problems import KitFaults
from toolbox.files.templates import FOLDER as LISTS
from toolbox.journal.errors import JournalError
from toolbox.kit.layouts import Layout

Seen = tuple[tuple[str, int, int, int], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A kit as it was found on the disk, seen from one day.

    ``folder``, ``study``, ``plan`` and ``rebuild``, the steps to it, are None when the
    files have faults or the journal cannot be read; ``findings`` then say what is wrong.
    ``seen`` tells this state of the files from any other.
    """

    path: Path
    today: date
    seen: Seen
    folder: KitFolder | None
    study: Study | None
    plan: SavedPlan | None
    findings: tuple[Finding, ...]
    rebuild: Rebuild | None = None

    @property
    def ready(self) -> bool:
        """True when nothing has to be mended."""
        return is_ready(self.findings)

    @property
    def verdict(self) -> str:
        """READY or NOT READY, the word shown everywhere."""
        return "READY" if self.ready else "NOT READY"

    @property
    def to_mend(self) -> int:
        """How many findings have to be mended."""
        return to_mend(self.findings)

    @property
    def present(self) -> Layout | None:
        """How the box lies today; None when nobody has said."""
        return self.folder.kit.present if self.folder is not None else None

    @property
    def name(self) -> str:
        """What the kit is called; its folder's name while the kit cannot be read."""
        return self.folder.kit.name if self.folder is not None else self.path.name


def files_seen(path: Path) -> Seen:
    """Name, number on the disk, time and size of every file that a picture depends on."""
    folders = (path / LAYOUTS, path / TRIPS, path / PACKINGS, path / LISTS)
    files = [*path.glob("*.toml"), *(f for d in folders for f in d.glob("*.toml")), path / JOURNAL]
    found = []
    for file in sorted(files):
        try:
            at = file.stat()
        except OSError:
            continue
        found.append((file.relative_to(path).as_posix(), at.st_ino, at.st_mtime_ns, at.st_size))
    return tuple(found)


def take_picture(path: Path, today: date, before: Picture | None = None) -> Picture:
    """Look at the kit in this folder; faults of its files become findings, never errors."""
    seen = files_seen(path)
    if before is not None and (before.path, before.today, before.seen) == (path, today, seen):
        return before
    if not (path / KIT_FILE).is_file():
        words = f"there is no {KIT_FILE} in this folder any more"
        return _broken(path, today, seen, (_stop(words, "toolbox new DIR --box FORM"),))
    try:
        folder = _opened(path, seen, before)
        return _whole(folder, today, seen, before)
    except KitFaults as faults:
        return _broken(path, today, seen, kit_faults(faults))
    except (JournalError, DeskError, OSError) as error:
        return _broken(path, today, seen, (_stop(str(error), "toolbox check"),))


def picture_now(path: Path, now: datetime, before: Picture | None = None) -> Picture:
    """The picture of the day it is at this moment, see ``KitFolder.day``."""
    known = before.folder if before is not None and before.path == path else None
    picture = take_picture(path, known.day(now) if known else now.date(), before)
    if picture.folder is None or picture.folder.day(now) == picture.today:
        return picture
    return take_picture(path, picture.folder.day(now), picture)


def _opened(path: Path, seen: Seen, before: Picture | None) -> KitFolder:
    if before is None or before.folder is None or before.path != path:
        return open_kit(path)
    same = _described(seen) == _described(before.seen)
    kit = before.folder.kit if same else open_kit(path).kit
    return before.folder.again(kit)


def _described(seen: Seen) -> Seen:
    return tuple(file for file in seen if file[0] != JOURNAL)


def _whole(folder: KitFolder, today: date, seen: Seen, before: Picture | None) -> Picture:
    at = _studied(folder, today, before)
    plan, rebuild, fault = None, None, ""
    if before is not None and before.plan and _described(seen) == _described(before.seen):
        plan, rebuild = before.plan, before.rebuild
    elif has_plan(folder):
        try:
            plan = current_plan(folder)
        except KitFaults as faults:
            fault = f"the saved plan cannot be used: {faults.faults[0].sentence()}"
        else:
            rebuild = rebuild_list(folder, plan)
    found = readiness(Sight(folder, today, at, plan, fault, rebuild))
    return Picture(folder.path, today, seen, folder, at, plan, found, rebuild)


def _studied(folder: KitFolder, today: date, before: Picture | None) -> Study:
    if before is None or before.folder is None or before.study is None:
        return study(folder, today)
    # Only where things lie may have changed, as after a step of a rebuild.
    alike = (before.today, before.folder.facts) == (today, folder.facts)
    if alike and same_things(before.folder.kit, folder.kit):
        return replace(before.study, kit=folder.kit)
    return study(folder, today, before.study)


def _broken(path: Path, today: date, seen: Seen, findings: tuple[Finding, ...]) -> Picture:
    return Picture(path, today, seen, None, None, None, findings)


def _stop(words: str, command: str) -> Finding:
    return Finding(Seriousness.STOP, words, "kit", command)
