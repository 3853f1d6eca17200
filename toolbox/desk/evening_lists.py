"""The mechanic's own lists as a screen of the evening shows them, the evening's one first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from toolbox.desk.checklist import HABIT, Line
from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.list_made import RESTOCK
from toolbox.desk.lists import (
    Bolt,
    Item,
    OpenList,
    carry,
    count_pieces,
    examples,
    initials,
    lists_of,
    note,
    open_list,
    take_example,
    tick,
    untick,
    write_of_lists,
)
from toolbox.desk.restock import Task
from toolbox.files.problems import KitFaults
from toolbox.kit.checklists import Occasion
from toolbox.kit.facts import LineState
from toolbox.kit.quantities import Kind, write

FIRST = (Occasion.EVENING, Occasion.OWN)


@dataclass(frozen=True, slots=True)
class ListsView:
    """The lists of a kit opened for a day, or in words why there is none to see."""

    day: date
    opened: tuple[OpenList, ...] = ()
    words: tuple[str, ...] = ()

    def named(self, name: str) -> OpenList | None:
        """The list of that name, else the first one; None when there is none."""
        first = self.opened[0] if self.opened else None
        return next((one for one in self.opened if one.template.name == name), first)


def lists_view(folder: KitFolder, day: date, tasks: Sequence[Task] | None = None) -> ListsView:
    """Every list of the kit as it stands on a day: those of the evening, own ones, the rest.

    ``tasks`` are those of restocking on that day, where they were worked out already.
    """
    try:
        listed = lists_of(folder)
        opened = [open_list(folder, template, day, tasks=tasks) for template in listed]
    except KitFaults as faults:
        head = "A list cannot be read. Mend its file; Ready (F2) names the faults as well:"
        told = (f"- {fault.sentence()}" for fault in faults.faults)
        return ListsView(day, words=(head, *told))
    order = {when: n for n, when in enumerate(FIRST)}
    opened.sort(key=lambda one: order.get(one.template.when, len(order)))
    words = () if opened else (_NONE,)
    return ListsView(day, tuple(opened), words)


_NONE = (
    "There is no list of your own in this kit yet. Enter copies the example for the evening "
    "into it, to be changed there: common practice, no source."
)


def list_words(opened: OpenList | None) -> str:
    """How far a list is: "Lists 2 of 11"."""
    if opened is None:
        return "Lists 0"
    listed = opened.checklist
    return f"Lists {listed.count(LineState.DONE)} of {len(listed.lines)}"


def title_words(view: ListsView, opened: OpenList) -> str:
    """A list by its title, which of how many it is, and for which day."""
    number = view.opened.index(opened) + 1
    of = f" (list {number} of {len(view.opened)})" if len(view.opened) > 1 else ""
    return f"{opened.template.title}, {opened.about}{of}"


def list_lines(opened: OpenList) -> tuple[Line, ...]:
    """The lines of a list, with torque and tool beside a bolt and initials beside a tick."""
    return tuple(_line(item) for item in opened.items)


def _line(item: Item) -> Line:
    line, bolt = item.line, item.bolt
    beside = f" | {_beside(bolt)}" if bolt is not None else ""
    signed = f" ({initials(line.author)} {line.at:%H:%M})" if line.at and line.author else ""
    why = [f"OUT: {bolt.name}: {bolt.out}"] if bolt is not None and bolt.out else []
    why += [f"left since {item.since}"] if item.since else []
    why += [line.why] if line.why else []
    return replace(
        line,
        key=item.key,
        words=f"{line.words}{beside}{signed}",
        why="; ".join(why),
        source=line.source if line.source != HABIT or line.why else "",
        by_itself="" if item.ticked_here else line.by_itself,
    )


def _beside(bolt: Bolt) -> str:
    torque = "" if bolt.torque_mnm is None else write(bolt.torque_mnm, Kind.TORQUE)
    return " | ".join(part for part in (torque, bolt.name) if part)


# ---- what is said of a line


def say_state(
    folder: KitFolder, name: str, day: date, key: str, state: LineState, when: When
) -> str:
    """Write how a line of a list stands now; the id of the entry. DeskError refuses."""
    opened = _open(folder, name, day, key)
    say = {LineState.DONE: tick, LineState.OPEN: untick, LineState.CARRIED: carry}[state]
    return write_of_lists(folder, [say(opened, key)], when)


def say_count(folder: KitFolder, name: str, day: date, key: str, number: int, when: When) -> str:
    """Write how many pieces of a line are done; the id of the entry. DeskError refuses."""
    said = count_pieces(_open(folder, name, day, key), key, number)
    return write_of_lists(folder, [said], when)


def say_note(folder: KitFolder, name: str, day: date, key: str, words: str, when: When) -> str:
    """Write a note to a line; the id of the entry. DeskError refuses."""
    return write_of_lists(folder, [note(_open(folder, name, day, key), key, words)], when)


def copy_first(folder: KitFolder) -> str:
    """Copy the example of the evening into the kit; what was copied, in words."""
    first = next((one for one in examples(folder) if one.when is FIRST[0]), None)
    if first is None:
        raise DeskError("there is no example for the evening")
    take_example(folder, first.name)
    return f"Copied: {first.title}. Change it in the kit's folder to what you do."


def _open(folder: KitFolder, name: str, day: date, key: str) -> OpenList:
    """The list as it is now; supplies are looked at only where the line is about them."""
    template = next((one for one in lists_of(folder) if one.name == name), None)
    if template is None:
        raise DeskError(f"there is no list {name} in this kit any more: look at it again")
    return open_list(folder, template, day, tasks=None if key.startswith(RESTOCK) else ())
