"""Templates of checklists, lists/NAME.toml in a kit folder: read, or begun from an example."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toolbox.files.problems import Fault, KitFaults, Problems, WriteRefused, listed, nearest, quoted
from toolbox.kit.checklists import ListLine, ListTemplate
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write

if TYPE_CHECKING:
    from toolbox.files.pages import Entry, Pages
    from toolbox.files.template_tables import LineTable

FOLDER = "lists"
_EXAMPLES = Path(__file__).parent / "checklists"
_WITH_WORDS = ("why", "source", "torque", "tool", "bike")


def template_names(folder: Path) -> tuple[str, ...]:
    """The names of the lists in a kit folder, in the order of the alphabet."""
    return tuple(sorted(path.stem for path in (folder / FOLDER).glob("*.toml")))


def example_names() -> tuple[str, ...]:
    """The names of the examples that come with the program."""
    return tuple(sorted(path.stem for path in _EXAMPLES.glob("*.toml")))


def read_template(folder: Path, name: str, kit: Kit) -> ListTemplate:
    """A list of this kit; KitFaults with every fault of the file, or when it is not there."""
    if name not in template_names(folder):
        close = nearest(name, template_names(folder))
        cure = (
            f'did you mean "{close}"' if close else f"begin one with: toolbox lists --copy {name}"
        )
        raise KitFaults([Fault(f"{FOLDER}/{name}.toml", "", "is not there", cure)])
    return _read(folder / FOLDER / f"{name}.toml", kit)


def read_example(name: str, kit: Kit) -> ListTemplate:
    """An example, as it would be in this kit. KitFaults when there is none of that name."""
    return _read(_example(name), kit)


def _read(path: Path, kit: Kit) -> ListTemplate:
    # pydantic is slow to load and not needed before there is a list to read
    from toolbox.files.pages import Pages, read_page
    from toolbox.files.template_tables import SORTS

    problems, pages = Problems(), Pages()
    file = f"{path.parent.name}/{path.name}"
    read_page(pages, path, tuple(replace(sort, file=file) for sort in SORTS), problems)
    if file not in pages.unread:
        _check(pages, kit, problems.at(file))
    if problems.faults:
        raise KitFaults(problems.faults)
    return _meaning(path.stem, pages)


def copy_example(folder: Path, name: str) -> Path:
    """Put an example into a kit folder, to be changed; its path.

    KitFaults for a name that no example has, WriteRefused when such a list is there.
    """
    from toolbox.files.atomic import put_in_place

    source = _example(name)
    path = folder / FOLDER / source.name
    if path.exists():
        cure = "rename it or change it as it is"
        raise WriteRefused(Fault(f"{FOLDER}/{path.name}", "", "is there already", cure))
    path.parent.mkdir(exist_ok=True)
    put_in_place(path, source.read_bytes(), None)
    return path


def _example(name: str) -> Path:
    if name not in example_names():
        close = nearest(name, example_names())
        cure = f'did you mean "{close}"' if close else f"there are {listed(example_names())}"
        raise KitFaults([Fault(FOLDER, "", f"there is no example {quoted(name)}", cure)])
    return _EXAMPLES / f"{name}.toml"


def _check(pages: Pages, kit: Kit, problems: Problems) -> None:
    from toolbox.files.named import once_each
    from toolbox.files.template_tables import LINE

    entries = pages.all(LINE)
    once_each(entries, problems)
    if not entries:
        problems.add("has no lines", "write at least one [[line]]")
    seen: dict[str, str] = {}
    for entry in entries:
        at = problems.at(entry.file, entry.label)
        _check_line(entry, at)
        _check_tool(entry, kit, at)
        words = entry.raw.get("words", entry.raw.get("made"))
        if not entry.id and isinstance(words, str):
            if words in seen:
                at.add(f"says the same as {seen[words]}", "give both an id, or take one out")
            seen.setdefault(words, entry.label)


def _check_line(entry: Entry[Any], at: Problems) -> None:
    """A line has words of its own, or says what the program puts there; not both."""
    raw = entry.raw
    if ("words" in raw) == ("made" in raw):
        wrong = "has words and made" if "words" in raw else "says nothing"
        at.add(wrong, 'write words = "..." or made = "instruments"')
    for key in _WITH_WORDS:
        if key in raw and "made" in raw:
            at.add(f"has {key} beside made", "take it out: the program says that itself", key)


def _check_tool(entry: Entry[Any], kit: Kit, at: Problems) -> None:
    """The tool beside a bolt is one of the kit, and its range holds the torque."""
    name = entry.raw.get("tool")
    if not isinstance(name, str) or not name:
        return
    tool = next((tool for tool in kit.tools if tool.id == name), None)
    if tool is None:
        close = nearest(name, [tool.id for tool in kit.tools])
        cure = f'did you mean "{close}"' if close else "write the id of a tool"
        at.add(f"tool names {quoted(name)}, which is no tool", cure, "tool")
        return
    dial = tool.instrument.dial if tool.instrument is not None else None
    torque = entry.table.torque if entry.table is not None else None
    if dial is None or dial.kind is not Kind.TORQUE or torque is None:
        return
    if not (dial.lowest or 0) <= torque <= dial.highest:
        reach = f"{write(dial.lowest or 0, Kind.TORQUE)} to {write(dial.highest, Kind.TORQUE)}"
        wrong = f"asks {write(torque, Kind.TORQUE)} of {quoted(tool.name)}, which goes from {reach}"
        at.add(wrong, "name another tool or set the torque right", "torque")


def _meaning(name: str, pages: Pages) -> ListTemplate:
    from toolbox.files.template_tables import LINE, TEMPLATE

    (head,) = pages.tables(TEMPLATE)
    lines = tuple(_line(table) for table in pages.tables(LINE))
    return ListTemplate(
        name, head.title, head.when, lines, head.discipline, tuple(dict.fromkeys(head.bikes))
    )


def _line(table: LineTable) -> ListLine:
    return ListLine(
        key=table.id or _key(table.made.value if table.made else table.words or ""),
        words=table.words or "",
        why=table.why,
        source=table.source,
        torque_mnm=table.torque,
        tool=table.tool,
        bike=table.bike,
        made=table.made,
    )


def _key(words: str) -> str:
    """The key of a line without an id: other words are another line."""
    return sha256(words.encode("utf-8")).hexdigest()[:8]
