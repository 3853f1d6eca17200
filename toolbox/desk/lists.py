"""Checklists of the mechanic's own: templates opened for a day, with the program's lines mixed in.

Ticks, notes and what is carried over are facts under the list's name and its day; a line
that the program makes keeps the list it belongs to, so that a tick there counts there. What
was left or carried over on an earlier day says so until it is done.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path

from toolbox.desk.checklist import (
    HABIT,
    Checklist,
    Line,
    carried_over,
    counted,
    line_named,
    noted,
    standing,
    ticked,
    unticked,
)
from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError, UnclearName, UnknownName
from toolbox.desk.folder import KitFolder
from toolbox.desk.instruments import Stand, stands
from toolbox.desk.list_leftovers import Left, last_begun, leftovers
from toolbox.desk.list_made import Deed, leads_to, made_lines
from toolbox.desk.names import Named, match
from toolbox.desk.restock import Task
from toolbox.files.problems import Fault, KitFaults
from toolbox.files.templates import (
    FOLDER,
    copy_example,
    example_names,
    read_example,
    read_template,
    template_names,
)
from toolbox.journal.store import open_journal
from toolbox.kit.checklists import ListLine, ListTemplate
from toolbox.kit.facts import LineSaid, StepDone

LISTS = FOLDER  # where list files stand in a kit folder
BIKE_DAYS = 7
"""Bikes that were worked on in so many days get lines of their own where nobody names any."""


@dataclass(frozen=True, slots=True)
class Bolt:
    """What stands beside a line: the torque, the tool with its name, why that tool is out."""

    torque_mnm: int | None
    tool: str
    name: str
    out: str


@dataclass(frozen=True, slots=True)
class Item:
    """A line of an opened list: its key here, where it belongs, how it stands.

    ``key`` tells it from all others of this list; ``home`` is the checklist that its facts
    go to. ``bolt`` is None where no torque or tool stands beside it; ``since`` is the day on
    which it was left or carried over, "" for none; ``deed`` what a tick writes in place of one.
    """

    key: str
    home: Checklist
    line: Line
    bolt: Bolt | None = None
    bike: str = ""
    since: str = ""
    deed: Deed | None = None

    @property
    def ticked_here(self) -> bool:
        """True for a line that a tick makes done; else ``line.by_itself`` says what does."""
        return not self.line.by_itself or self.deed is not None


@dataclass(frozen=True, slots=True)
class OpenList:
    """A template opened for a day (and ``run``, which time that day), with how its lines stand."""

    template: ListTemplate
    about: str
    items: tuple[Item, ...]

    @property
    def checklist(self) -> Checklist:
        """All lines as one list, for those who only show it."""
        lines = tuple(replace(item.line, key=item.key) for item in self.items)
        return Checklist(self.template.title, self.about, lines)

    def leads(self, key: str) -> bool:
        """True for a line that no tick makes done and that is done in a place of its own."""
        return not self.item(key).ticked_here and leads_to(key) is not None

    def item(self, key: str) -> Item:
        """The line of that key; DeskError when the list has it no more."""
        found = next((item for item in self.items if item.key == key), None)
        if found is None:
            raise DeskError(f"the list {self.template.title} has no line {key} any more")
        return found


def lists_of(folder: KitFolder) -> tuple[ListTemplate, ...]:
    """Every list of a kit; KitFaults with the faults of all of them."""
    faults = list_faults(folder)
    if faults is not None:
        raise faults
    return tuple(read_template(folder.path, n, folder.kit) for n in template_names(folder.path))


def list_faults(folder: KitFolder) -> KitFaults | None:
    """The faults of all list files of a kit, None when there are none."""
    found: list[Fault] = []
    for name in template_names(folder.path):
        try:
            read_template(folder.path, name, folder.kit)
        except KitFaults as faults:
            found += faults.faults
    return KitFaults(found) if found else None


def examples(folder: KitFolder) -> tuple[ListTemplate, ...]:
    """The lists that come with the program, to be copied into a kit and changed there."""
    return tuple(read_example(name, folder.kit) for name in example_names())


def take_example(folder: KitFolder, name: str) -> Path:
    """Copy an example into the kit; WriteRefused when a list of that name is there."""
    return copy_example(folder.path, name)


def list_named(folder: KitFolder, letters: str) -> ListTemplate:
    """The list meant, by its file's name or a few letters of its title."""
    names = template_names(folder.path)
    if letters in names:
        return read_template(folder.path, letters, folder.kit)
    found = match(letters, (Named(t.name, t.title) for t in lists_of(folder)))
    if found.only is not None:
        return read_template(folder.path, found.only.id, folder.kit)
    if found.found:
        raise UnclearName("list", letters, found.found)
    raise UnknownName("list", letters, found.near)


def name_in_journal(template: ListTemplate) -> str:
    """The name under which the journal keeps what is said of a list."""
    return f"lists/{template.name}"


def about_of(on: date, run: int = 1) -> str:
    """What a list is about: the day, and which time that day from the second on."""
    return on.isoformat() if run == 1 else f"{on.isoformat()}, run {run}"


def open_list(
    folder: KitFolder,
    template: ListTemplate,
    on: date,
    *,
    run: int = 1,
    bikes: Sequence[str] = (),
    tasks: Sequence[Task] | None = None,
) -> OpenList:
    """A list as it stands on a day; ``bikes`` get lines of their own beside those it names.

    ``tasks`` are those of restocking on that day, where they were worked out already.
    """
    about, name = about_of(on, run), name_in_journal(template)
    found = stands(folder.kit, folder.live, on)
    said = {
        what.line
        for fact in folder.live
        if isinstance(what := fact.what, LineSaid) and (what.checklist, what.about) == (name, about)
    }
    wanted = _bikes(folder, template, on, bikes, said)
    own = [_line(line, bike) for line, bike in _in_order(template, wanted) if line.made is None]
    left = leftovers(folder.live, name, about)
    before = last_begun(folder.live, name, about)
    if before is not None:
        unsaid = (line for line in own if line.key not in left and before.left_out(line.key))
        left |= {line.key: Left(before.about, line.words, "", False) for line in unsaid}
    # what was carried over is shown although its line or its bike is not there today
    gone = [key for key, one in left.items() if one.carried and key not in {k.key for k in own}]
    listed = Checklist(name, about, (*own, *(_gone(key, left[key]) for key in gone)))
    stood = {line.key: line for line in standing(listed, folder.live).lines}
    items: list[Item] = []
    for line, bike in _in_order(template, wanted):
        if line.made is not None:
            made = made_lines(folder, line.made, on, found, tasks)
            items += (Item(one.key, one.home, one.line, deed=one.deed) for one in made)
            continue
        key, bolt = _key(line, bike), _bolt(folder, line, found)
        items.append(_item(listed, stood[key], left.get(key), bolt, bike))
    items += [_item(listed, stood[key], left[key], None, key.partition("@")[2]) for key in gone]
    return OpenList(template, about, tuple(items))


def _bikes(
    folder: KitFolder, template: ListTemplate, on: date, more: Sequence[str], said: Iterable[str]
) -> tuple[str, ...]:
    """The bikes of a list: its own, else those worked on of late; those ticked, those asked for."""
    named = list(template.bikes)
    if not named:
        late = sorted(
            fact.what.bike
            for fact in folder.live
            if isinstance(fact.what, StepDone)
            and on - timedelta(days=BIKE_DAYS) < fact.at.date() <= on
        )
        named = list(dict.fromkeys(bike for bike in late if bike))
    ticked_ones = sorted(bike for key in said if (bike := key.partition("@")[2]))
    return tuple(dict.fromkeys((*named, *ticked_ones, *more)))


def _in_order(template: ListTemplate, bikes: tuple[str, ...]) -> Iterator[tuple[ListLine, str]]:
    """Every line with its bike, "" for none: lines of bikes that stand together go bike by bike."""
    for of_bikes, some in groupby(template.lines, key=lambda line: line.bike):
        lines = tuple(some)
        for bike in (bikes or ("",)) if of_bikes else ("",):
            yield from ((line, bike) for line in lines)


def _key(line: ListLine, bike: str) -> str:
    return f"{line.key}@{bike}" if bike else line.key


def _line(line: ListLine, bike: str) -> Line:
    words = f"{bike}: {line.words}" if bike else line.words
    return Line(_key(line, bike), words, line.why, line.source or HABIT)


def _gone(key: str, left: Left) -> Line:
    return Line(key, left.words, "carried over", "an earlier day's list")


def _item(home: Checklist, line: Line, left: Left | None, bolt: Bolt | None, bike: str) -> Item:
    since = "" if left is None or line.done else left.since
    if left is not None and not line.note and not line.done:
        line = replace(line, note=left.note)
    return Item(line.key, home, line, bolt, bike, since)


def _bolt(folder: KitFolder, line: ListLine, found: dict[str, Stand]) -> Bolt | None:
    if line.torque_mnm is None and not line.tool:
        return None
    name = folder.kit.tool(line.tool).name if line.tool else ""
    one = found.get(line.tool)
    return Bolt(line.torque_mnm, line.tool, name, one.words if one is not None and one.out else "")


# ---- what is said of lines


def item_named(opened: OpenList, letters: str) -> Item:
    """The line meant by its number, its key or a few letters; DeskError when it is not one."""
    return opened.item(line_named(opened.checklist, letters).key)


Said = LineSaid | Deed


def tick(opened: OpenList, key: str) -> Said:
    """That a line is done, or the deed that it asks for. DeskError when it is done already."""
    item = opened.item(key)
    if item.deed is not None and not item.line.done:
        return item.deed
    return ticked(_with(item), item.line.key)


def untick(opened: OpenList, key: str) -> LineSaid:
    """That a line is open after all."""
    item = opened.item(key)
    return unticked(_with(item), item.line.key)


def carry(opened: OpenList, key: str) -> LineSaid:
    """That a line cannot be done yet: it is there again the next time."""
    item = opened.item(key)
    return carried_over(_with(item), item.line.key)


def count_pieces(opened: OpenList, key: str, number: int) -> LineSaid:
    """That so many of a line's pieces are done."""
    item = opened.item(key)
    return counted(_with(item), item.line.key, number)


def note(opened: OpenList, key: str, words: str) -> LineSaid:
    """That this note belongs to a line; "" takes the one before away."""
    item = opened.item(key)
    return noted(_with(item), item.line.key, words)


def _with(item: Item) -> Checklist:
    """The home of a line with the line as it stands now."""
    lines = (item.line, *(line for line in item.home.lines if line.key != item.line.key))
    return replace(item.home, lines=lines)


def initials(author: str) -> str:
    """Up to three letters for a name: "Tess Wood" is TW, "mika" is MI."""
    words = author.split()
    if len(words) == 1:
        return words[0][:2].upper()
    return "".join(word[0] for word in words[:3]).upper()


def write_of_lists(folder: KitFolder, said: Sequence[Said], when: When) -> str:
    """Write what was said of lines as one entry; the id to take it back by."""
    with open_journal(folder.journal) as journal:
        return journal.add(said, at=when.at, author=when.author, written=when.written)
