"""Where the program keeps what it remembers by itself, and the automatic copies of a kit."""

from __future__ import annotations

import hashlib
import os
import re
from datetime import datetime
from pathlib import Path

STATE = "TOOLBOX_STATE"
"""The variable that names another folder for it."""

OFF = "TOOLBOX_COPIES"
"""The variable that turns automatic copies off with the value "no"."""


def state_folder() -> Path:
    """The folder of what the program keeps by itself: copies, the last kit, crash reports."""
    if named := os.environ.get(STATE):
        return Path(named)
    from platformdirs import user_state_path

    return user_state_path("toolbox", appauthor=False)


def copies_of(kit: Path) -> Path:
    """Where the automatic copies of the kit in this folder are; by where the kit lies."""
    where = kit.resolve()
    plain = re.sub(r"[^a-z0-9]+", "-", where.name.lower()).strip("-")[:30] or "kit"
    mark = hashlib.sha256(os.fsencode(where)).hexdigest()[:10]
    return state_folder() / "copies" / f"{plain}-{mark}"


def copy_due(kit: Path, now: datetime) -> bool:
    """Whether the kit's automatic copy of this day is still to be made: one look at the disk."""
    return os.environ.get(OFF) != "no" and not daily_copy(kit, now).exists()


def daily_copy(kit: Path, now: datetime) -> Path:
    """Where the automatic copy of this day is or would be."""
    return copies_of(kit) / now.date().isoformat()
