"""Lists for customs: what goes on one out of a trip's bags, issued once, beside the kit since.

A list promises that the same goods come back: supplies, which are used up, stay off it and
are named. Nothing here says that an office agrees.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import count
from toolbox.desk.trips import Flight, bag_named, copies_named
from toolbox.files.customs import issued_numbers, issued_path, read_issued, save_issued
from toolbox.flight.contents import Content, tare_line
from toolbox.kit.customs import CustomsChoices, IssuedList
from toolbox.kit.things import Supply, Tool, base_id
from toolbox.kit.trips import Bag, Item
from toolbox.papers.customs import Draft, Entry, Totals, general_list, totals
from toolbox.papers.customs_changes import Difference, differences


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What lies in the bags and stays off the list, and why."""

    thing: str
    name: str
    pieces: int
    grams: int
    why: str

    def with_more(self, pieces: int, grams: int) -> LeftOut:
        """The same with so many pieces and grams more."""
        return replace(self, pieces=self.pieces + pieces, grams=self.grams + grams)


@dataclass(frozen=True)
class CustomsList:
    """The list of some bags as the kit is today, beside the last one that was issued.

    ``kept_off`` are copies that stay off it by choice.
    ``changes`` are the differences of that issue to its own bags today. Lines and what is
    left out add up to the bags, to the gram, where each line has its mass.
    """

    flight: Flight
    bags: tuple[Bag, ...]
    choices: CustomsChoices
    draft: Draft
    left_out: tuple[LeftOut, ...]
    kept_off: tuple[str, ...]
    issued: tuple[IssuedList, ...]
    changes: tuple[Difference, ...]

    @property
    def sums(self) -> Totals:
        """The totals of its columns."""
        return totals(self.draft.lines)

    @property
    def last(self) -> IssuedList | None:
        """The list that was issued last, None while none was."""
        return self.issued[-1] if self.issued else None

    def since(self, shown: IssuedList) -> tuple[Difference, ...]:
        """What changed since that issue; only the last one is held against the kit."""
        return self.changes if shown == self.last else ()

    @property
    def number(self) -> int:
        """The number that the next issue would bear."""
        return self.issued[-1].issue + 1 if self.issued else 1


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a list is to hold: letters of bags (none: those that fly) and of what stays off."""

    bags: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


def customs_list(flight: Flight, wanted: Wanted, choices: CustomsChoices) -> CustomsList:
    """The list of these bags, numbered on from every earlier issue of the trip's list.

    UnclearName or UnknownName for letters that mean no bag or thing; KitFaults when an issued
    list is not as it was issued.
    """
    bags = _bags(flight, wanted.bags)
    off = {copy for letters in wanted.without for copy in copies_named(flight, letters)}
    issued = issued_lists(flight.folder.path, flight.name)
    before = [line for one in issued for line in one.lines]
    entries, left_out = _entries(flight, bags, off)
    changes = _changes(flight, issued[-1]) if issued else ()
    draft = general_list(entries, choices, before)
    kept_off = tuple(sorted(off))
    return CustomsList(flight, bags, choices, draft, left_out, kept_off, issued, changes)


def issued_lists(folder: Path, trip: str) -> tuple[IssuedList, ...]:
    """Every list that was issued for a trip, the first one first."""
    numbers = issued_numbers(folder, trip)
    return tuple(read_issued(issued_path(folder, trip, number)) for number in numbers)


def issue_list(made: CustomsList, today: date) -> IssuedList:
    """Store a list as issued on a day; it can never be changed or written over.

    DeskError with every reason while anything stands against it; WriteRefused when somebody
    else issued one meanwhile.
    """
    if made.draft.refusals:
        number = len({refusal.thing for refusal in made.draft.refusals if refusal.thing})
        raise DeskError(
            f"the list was not issued: {count(len(made.draft.refusals), 'reason')} against it"
            + (f", of {count(number, 'thing')}" if number else "")
        )
    issued = IssuedList(
        trip=made.flight.name,
        issue=made.number,
        day=today,
        bags=tuple(bag.id for bag in made.bags),
        choices=made.choices,
        lines=made.draft.lines,
        left_out=tuple(left_words(one) for one in made.left_out),
        kept_off=made.kept_off,
    )
    save_issued(made.flight.folder.path, issued)
    return issued


def left_words(one: LeftOut) -> str:
    """What stays off the list, in words."""
    return f"{one.name}, {count(one.pieces, 'piece')}, {one.grams} g: {one.why}"


def refusal_words(made: Draft) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What stands against a list: each fault and its cure with the names of all that have it."""
    found: dict[tuple[str, str], list[str]] = {}
    for one in made.refusals:
        found.setdefault((one.wrong, one.cure), []).append(one.name)
    for (wrong, cure), names in found.items():
        yield f"{wrong}: {cure}", tuple(dict.fromkeys(name for name in names if name))


def change_words(change: Difference) -> str:
    """A difference between an issued list and the things of today, in words."""
    head = f"no. {change.number}, " if change.number is not None else ""
    said = f"{head}{change.words}: {change.change.value}"
    return f"{said}, {change.what} was {change.was}, now {change.now}" if change.what else said


def _bags(flight: Flight, letters: Sequence[str]) -> tuple[Bag, ...]:
    if letters:
        found = [bag_named(flight, one) for one in letters]
    else:
        found = [bag for bag in flight.trip.bags if flight.inside(bag, flight.now)]
    return tuple(dict.fromkeys(found))


def _changes(flight: Flight, last: IssuedList) -> tuple[Difference, ...]:
    """An issued list beside what lies in its bags today, by its own choices."""
    bags = tuple(bag for bag in flight.trip.bags if bag.id in last.bags)
    # what was kept off the list on purpose is no difference
    entries, _ = _entries(flight, bags, last.kept_off)
    return differences(last.lines, general_list(entries, last.choices, last.lines).lines)


def _entries(
    flight: Flight, bags: Collection[Bag], off: Collection[str]
) -> tuple[tuple[Entry, ...], tuple[LeftOut, ...]]:
    """Every copy in the bags, and each bag itself, as an entry or left out."""
    tools = {tool.id: tool for tool in flight.kit.tools}
    items = {item.id: item for item in flight.trip.items}
    entries: list[Entry] = []
    left: dict[tuple[str, str], LeftOut] = {}
    for bag in bags:
        entries.append(Entry(f"bag {bag.id}", bag.name, bag.papers, _tare(flight, bag)))
        for copy in flight.inside(bag, flight.now):
            thing = tools.get(base_id(copy.id)) or items.get(base_id(copy.id))
            why = _why_left(copy, thing, off)
            if why or thing is None:
                key = (base_id(copy.id), why)
                before = left.get(key, LeftOut(key[0], copy.name, 0, 0, why))
                pieces, grams = copy.thing.pieces, copy.mass.grams
                left[key] = before.with_more(pieces, grams)
            else:
                parts = thing.parts if isinstance(thing, Tool) else ()
                grams = copy.mass.grams
                entries.append(Entry(copy.id, copy.name, thing.papers, grams, parts, thing.count))
    return tuple(entries), tuple(left.values())


def _why_left(copy: Content, thing: Tool | Item | Supply | None, off: Collection[str]) -> str:
    if thing is None or isinstance(thing, Supply):
        return "used up on the way, so it does not come back"
    if copy.id in off:
        return "left out by choice"
    if isinstance(thing, Item) and thing.off_list:
        return "kept off lists in the trip file"
    return ""


def _tare(flight: Flight, bag: Bag) -> int:
    return tare_line(bag, flight.kit).mass.grams
