"""What two kits had in common when they last met, kept in the state folder between two merges.

One file for each pair of places, since what one copy of a kit has seen says nothing of what
another has.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from toolbox.files.merge import Had, Key, Place
from toolbox.journal.archive import Row

FOLDER = "met"
_FORM = {"format": "toolbox met", "version": 1}
_NEWEST = 20  # facts by which the other kit is known again


@dataclass(frozen=True, slots=True)
class Meeting:
    """What is known of the last meeting: what both had, or None and why that is not known."""

    had: Had | None
    why: str = ""


def meeting_file(state: Path, kit: Path, other: Path) -> Path:
    """Where it is kept what this kit and the one at ``other`` had in common."""
    pair = b"\0".join(os.fsencode(path.resolve()) for path in (kit, other))
    return state / FOLDER / f"{hashlib.sha256(pair).hexdigest()[:20]}.json"


def last_meeting(file: Path, there: Collection[str]) -> Meeting:
    """What both had when they last met; ``there`` are the ids of the other kit's facts now.

    A log only grows: where facts are missing that the other kit had then, another copy lies
    in its place, of which nothing is known.
    """
    if not file.is_file():
        return Meeting(None, "They meet for the first time")
    try:
        said = json.loads(file.read_bytes())
        if {key: said.get(key) for key in _FORM} != _FORM:
            raise ValueError("another format")
        newest, had = set(said["newest"]), _read(said)
    except (OSError, AttributeError, KeyError, TypeError, ValueError):
        return Meeting(None, f"What both had when they last met cannot be read ({file})")
    if not newest <= set(there):
        return Meeting(None, "Another copy of the kit lay there when they last met")
    return Meeting(had)


def keep_meeting(file: Path, had: Had, rows: Sequence[Row], kit: Path, other: Path) -> None:
    """Keep what both have now, the other kit's facts being these rows; OSError where it cannot."""
    said = {
        **_FORM,
        "kit": str(kit.resolve()),
        "other": str(other.resolve()),
        "newest": [row["id"] for row in rows[-_NEWEST:]],
        **_written(had),
    }
    file.parent.mkdir(parents=True, exist_ok=True)
    part = file.with_suffix(".part")
    part.write_text(json.dumps(said), encoding="ascii")
    os.replace(part, file)


def _written(had: Had) -> dict[str, Any]:
    return {
        "entries": [[_listed(p), [[k, v] for k, v in vs.items()]] for p, vs in had.entries.items()],
        "open_entries": [_listed(place) for place in sorted(had.open_entries)],
        "open_keys": [[_listed(p), sorted(keys)] for p, keys in sorted(had.open_keys.items())],
    }


def _listed(place: Place) -> list[str]:
    return [place.file, place.table, place.name]


def _read(said: dict[str, Any]) -> Had:
    return Had(
        {_place(p): {_key(key): value for key, value in values} for p, values in said["entries"]},
        frozenset(_place(place) for place in said["open_entries"]),
        {_place(p): frozenset(_key(key) for key in keys) for p, keys in said["open_keys"]},
    )


def _place(said: Any) -> Place:
    file, table, name = said
    return Place(str(file), str(table), str(name))


def _key(said: Any) -> Key:
    return tuple(str(part) for part in said)
