"""Starting a kit, saying where a tool lies, laying out the demo."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import JOURNAL, KIT_FILE, KitFolder, find_kit, open_kit
from toolbox.desk.naming import compartment_named, tool_named
from toolbox.desk.plans import save_present
from toolbox.files.forms import demo_folder, forms, new_kit
from toolbox.files.week import read_week
from toolbox.journal.store import open_journal
from toolbox.kit.facts import LineSaid
from toolbox.kit.layouts import Layout, Spot

WEEK = "week.toml"
DEMO = "toolbox-demo"
"""The folder that the demo is copied to where none is named."""


def box_forms() -> tuple[str, ...]:
    """Names of the box forms a kit can start from."""
    return tuple(sorted(forms()))


def start_kit(folder: Path, form: str, name: str) -> KitFolder:
    """Make a new kit folder from a box form; DeskError for a form that does not exist."""
    if form not in forms():
        raise DeskError(f'there is no box form "{form}"; the forms are {", ".join(box_forms())}')
    new_kit(folder, form, name)
    return open_kit(folder)


def place_tools(folder: KitFolder, tools: Sequence[str], compartment: str) -> Layout:
    """Say that these tools (all copies) now lie in this compartment."""
    target = compartment_named(folder.kit, compartment)
    carried = folder.kit.carried()
    copies = [copy for letters in tools for copy in tool_named(folder.kit, letters).copies()]
    at_home = [copy for copy in copies if copy not in carried]
    if at_home:
        raise DeskError(f"{', '.join(at_home)} does not travel in the box (carried = false)")
    before = folder.kit.present.spots if folder.kit.present else ()
    spots = [spot for spot in before if spot.item not in copies]
    spots += [Spot(copy, target.id) for copy in copies]
    return save_present(folder, spots)


def lay_out_demo(folder: Path) -> KitFolder:
    """Copy the demo kit to a new folder, its logged week with it as a journal.

    DeskError when the folder exists and holds something.
    """
    if folder.exists() and any(folder.iterdir()):
        raise DeskError(f"{folder} is not empty; name a folder that does not exist yet")
    source = demo_folder()
    for path in sorted(source.rglob("*.toml")):
        if path.name == WEEK:
            continue
        target = folder / path.relative_to(source)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(path.read_bytes())
    opened = open_kit(folder)
    with open_journal(folder / JOURNAL) as journal, journal.together():
        for entry in read_week(source / WEEK, opened.kit):
            written = journal.add(
                entry.whats, at=entry.at, author=entry.author, written=entry.written
            )
            if entry.undone is not None:
                journal.undo(written, at=entry.undone, author=entry.author, written=entry.undone)
    return open_kit(folder)


def demo_target(named: Path | None, here: Path) -> tuple[Path, str]:
    """The folder for the demo, never inside another kit, and a word where it is elsewhere.

    DeskError for one that was named and lies in a kit.
    """
    if named is not None:
        around = _kit_around(named.resolve().parent)
        if around is not None and not (named / KIT_FILE).is_file():
            raise DeskError(f"{named} lies in the kit {around}: name a folder outside of it")
        return named, ""
    around = outermost = _kit_around(here)
    if around is None or outermost is None:
        return Path(DEMO), ""
    while (further := _kit_around(outermost.parent)) is not None:
        outermost = further
    beside = outermost.parent / DEMO
    if beside == around:
        return beside, ""
    return beside, f"This folder is in the kit {around}: the demo is beside it, in {beside}"


def _kit_around(folder: Path) -> Path | None:
    try:
        return find_kit(folder.resolve())
    except DeskError:
        return None


def demo_at(folder: Path) -> Path:
    """The demo kit in this folder, copied there unless that was done before."""
    return folder if (folder / KIT_FILE).is_file() else lay_out_demo(folder).path


def last_day(folder: KitFolder) -> date | None:
    """The latest day on which something was logged, None for an empty journal."""
    said = (fact for fact in folder.facts if not isinstance(fact.what, LineSaid))
    days: list[datetime] = [fact.at for fact in said]
    return max(days).date() if days else None
