"""Names out of a kit's files, read without checking anything: for a shell that waits."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

# What is asked for -> the files and headings that hold it.
_WHERE = {
    "tool": (("tools.toml", "tool"),),
    "supply": (("supplies.toml", "supply"),),
    "thing": (("tools.toml", "tool"), ("supplies.toml", "supply")),
    "job": (("jobs.toml", "job"),),
    "compartment": (("box.toml", "compartment"),),
}
# What is a file of its own -> its folder.
_FOLDERS = {"trip": "trips", "list": "lists"}


def quick_names(folder: Path, kind: str) -> tuple[tuple[str, str], ...]:
    """Ids and names of a kind: tool, supply, thing, job, compartment, bag, trip or list.

    What cannot be read is left out: whoever is asked for names has no place for faults.
    """
    if kind in _FOLDERS:
        paths = sorted((folder / _FOLDERS[kind]).glob("*.toml"))
        return tuple((path.stem, path.stem) for path in paths)
    if kind == "bag":
        found = [
            entry
            for path in sorted((folder / "trips").glob("*.toml"))
            for entry in _entries(path, "bag")
        ]
        return tuple(dict.fromkeys(found))
    return tuple(
        entry for file, heading in _WHERE[kind] for entry in _entries(folder / file, heading)
    )


def _entries(path: Path, heading: str) -> Iterator[tuple[str, str]]:
    try:
        with path.open("rb") as file:
            entries = tomllib.load(file).get(heading, [])
    except (OSError, ValueError):  # not there, no TOML, no UTF-8
        return
    for entry in entries if isinstance(entries, list) else []:
        if isinstance(entry, dict):
            own, name = entry.get("id"), entry.get("name")
            if isinstance(own, str) and isinstance(name, str):
                yield own, name
