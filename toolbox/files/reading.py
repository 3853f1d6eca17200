"""Reading a kit folder: all of it is read, every fault in it told, or the kit comes out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from toolbox.files.problems import Fault, KitFaults, Problems, nearest
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout

if TYPE_CHECKING:
    from toolbox.files.pages import Pages
    from toolbox.files.sources import Raw

NEEDED = ("kit.toml", "box.toml")
UNFINISHED = ".restoring"
"""What lies in a kit folder while a copy is put back into it; then it is of two times."""
# Files of a kit folder that others read: none of them is a misspelt name of ours.
_OTHERS = ("goods.toml", "labels.toml")


def read_kit(folder: Path) -> Kit:
    """The kit in a folder.

    ``kit.toml`` and ``box.toml`` must be there; every other file may be missing.
    Raises KitFaults with every fault of every file. Changes nothing on disk.
    """
    # pydantic is slow to load and not needed before there is a kit to read
    from toolbox.files.meaning import kit_of

    _check_folder(folder)
    pages, problems = _checked(folder, {})
    _raise_if_any(problems)
    return kit_of(pages)


def faults_with(folder: Path, instead: Mapping[str, Raw]) -> tuple[Fault, ...]:
    """Every fault the kit would have with these tables in place of the files so named.

    Tables are as ``sources.load`` gives them. Changes nothing on disk.
    """
    return _checked(folder, instead)[1].faults


def _checked(folder: Path, instead: Mapping[str, Raw]) -> tuple[Pages, Problems]:
    from toolbox.files.checks import CHECKS
    from toolbox.files.pages import Pages

    problems, pages = Problems(), Pages()
    _read_files(folder, pages, problems, instead)
    for check in CHECKS:
        check(pages, problems)
    return pages, problems


def layout_from_file(path: Path, kit: Kit) -> Layout:
    """A layout of this kit from a file of its own.

    Raises KitFaults when the file is faulty or names what the kit does not have.
    """
    from toolbox.files.meaning import layout_of

    layout = layout_of(layout_pages(path, kit))
    if layout is None:
        raise ValueError(f"{path} was read without a fault and without a layout")
    return layout


def layout_pages(path: Path, kit: Kit) -> Pages:
    """The faultless pages of a layout file of this kit; KitFaults as for the layout itself."""
    from toolbox.files.pages import LAYOUT, SPOT, Pages, read_page
    from toolbox.files.references import spots_name_copies

    problems, pages = Problems(), Pages()
    file = f"{path.parent.name}/{path.name}"
    _put_kit(kit, pages)
    read_page(pages, path, (replace(LAYOUT, file=file), replace(SPOT, file=file)), problems)
    spots_name_copies(pages, problems)
    _raise_if_any(problems)
    return pages


def _put_kit(kit: Kit, pages: Pages) -> None:
    """What a layout may name, as if it had just been read."""
    from toolbox.files import tables
    from toolbox.files.pages import COMPARTMENT, SUPPLY, TOOL, read_entry

    # by way of their tables: a layout then meets the same check whoever asks
    faultless = Problems()
    for tool in kit.tools:
        pages.put(TOOL, read_entry(TOOL, tables.tool_table(tool), 1, faultless))
    for supply in kit.supplies:
        pages.put(SUPPLY, read_entry(SUPPLY, tables.supply_table(supply), 1, faultless))
    for compartment in kit.box.compartments:
        table = tables.compartment_table(compartment)
        pages.put(COMPARTMENT, read_entry(COMPARTMENT, table, 1, faultless))


def _check_folder(folder: Path) -> None:
    """Raise at once where there is nothing to read at all, or a kit of two times."""
    if (folder / UNFINISHED).exists():
        cure = "finish it with: toolbox restore --go-on"
        raise KitFaults([Fault(str(folder), "", "a restore was broken off half-way", cure)])
    if not folder.is_dir():
        wrong = "is not a folder" if folder.exists() else "is not there"
    elif any((folder / file).exists() for file in NEEDED):
        return
    else:
        wrong = f"is not a kit folder: it holds neither {NEEDED[0]} nor {NEEDED[1]}"
    cure = f"make a kit with: toolbox new {folder}"
    raise KitFaults([Fault(str(folder), "", wrong, cure)])


def _read_files(folder: Path, pages: Pages, problems: Problems, instead: Mapping[str, Raw]) -> None:
    from toolbox.files.pages import SORTS, put_tables, read_page
    from toolbox.files.schema import FILES

    for file in FILES:
        sorts = tuple(sort for sort in SORTS if sort.file == file)
        if file in instead:
            put_tables(pages, dict(instead[file]), sorts, problems)
        elif (folder / file).exists():
            read_page(pages, folder / file, sorts, problems)
        # a missing file is an empty one, so a misspelt name would lose the tools in silence
        elif other := _misnamed(folder, file, (*FILES, *_OTHERS)):
            pages.unread.add(file)
            problems.at(other).add("is a file I do not read", f'did you mean "{file}"')
        elif file in NEEDED:
            pages.unread.add(file)
            cure = "a kit folder needs it: copy one from a kit made with toolbox new"
            problems.at(file).add("is not there", cure)


def _misnamed(folder: Path, file: str, known: tuple[str, ...]) -> str | None:
    """A file that was meant to bear this name, which nothing in the folder has."""
    beside = (folder / file).parent
    strangers = {
        str(path.relative_to(folder).as_posix())
        for path in (beside.glob("*.toml") if file.count("/") == 0 else ())
    } - set(known)
    return nearest(file, sorted(strangers))


def _raise_if_any(problems: Problems) -> None:
    """All faults, those of one file together, the files in the order of their first fault."""
    faults = problems.faults
    files = list(dict.fromkeys(fault.file for fault in faults))
    if faults:
        raise KitFaults(sorted(faults, key=lambda fault: files.index(fault.file)))
