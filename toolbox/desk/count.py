"""Counting in: the box gone through in the evening, compartment by compartment.

What should be there follows from the kit and today's layout, less what the book of counts has
out. A day is complete when every compartment with tools was counted on it and nothing is
short without an outcome, lost, or left somewhere. Facts are written at once: a count that was
broken off goes on, and two people may count different compartments at the same time.

That a short count stops what follows until somebody decides is taken from an investigation by
the Australian Transport Safety Bureau: a tool was counted as missing, nobody followed it up,
and it flew 34 times in an engine.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from toolbox.desk.count_book import Book, Closing, Key, Missing, Piece, alike, keep_book
from toolbox.desk.count_words import missing_words
from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.figures import count
from toolbox.desk.folder import KitFolder, name_of_copy
from toolbox.desk.maps import way_to
from toolbox.journal.store import open_journal
from toolbox.kit.box import Compartment
from toolbox.kit.counting import Counted, DayClosed, SaidOfCount, Short
from toolbox.kit.facts import Fact
from toolbox.kit.kit import Kit
from toolbox.kit.things import Part, base_id

NIGHT_ENDS = 4
"""Before this hour it is still the evening before (common practice, no source)."""

NO_PLACE = ""
"""What the place of things is called that travel and have none."""


@dataclass(frozen=True, slots=True)
class Expected:
    """A copy at its place: its name, its parts, and what of it is out by the book."""

    copy: str
    name: str
    parts: tuple[Part, ...]
    out: tuple[Piece, ...]

    @property
    def there(self) -> bool:
        """Whether the copy itself should be there."""
        return all(piece.part for piece in self.out)

    @property
    def pieces(self) -> int:
        """How many pieces should be counted of it: its parts, or itself if it has none."""
        if not self.there:
            return 0
        return sum(part.count for part in self.parts) - len(self.out) if self.parts else 1


@dataclass(frozen=True, slots=True)
class CountPlace:
    """A compartment with tools in it, or what has no place; ``counted`` is its last count."""

    id: str
    name: str
    way: tuple[str, ...]
    things: tuple[Expected, ...]
    counted: Fact | None

    @property
    def pieces(self) -> int:
        """How many pieces should be there."""
        return sum(thing.pieces for thing in self.things)

    @property
    def short(self) -> tuple[Missing, ...]:
        """What is missing here without an outcome."""
        return alike(p for thing in self.things for p in thing.out if p.outcome is None)

    @property
    def away(self) -> tuple[Missing, ...]:
        """What is not here and of which somebody has said what became of it."""
        return alike(p for thing in self.things for p in thing.out if p.outcome is not None)


@dataclass(frozen=True, slots=True)
class Evening:
    """The count of one day as it stands: places in walking order, the book, how it was closed.

    ``hindrances`` say in words why it cannot be closed as complete now.
    """

    day: date
    places: tuple[CountPlace, ...]
    book: Book
    closing: Closing | None
    hindrances: tuple[str, ...]

    @property
    def left(self) -> tuple[CountPlace, ...]:
        """The places that were not counted on this day."""
        return tuple(place for place in self.places if place.counted is None)

    @property
    def next(self) -> CountPlace | None:
        """The place to count next; None when all are counted."""
        return next(iter(self.left), None)

    @property
    def short(self) -> tuple[Missing, ...]:
        """Everything that is short without an outcome, wherever it belongs."""
        return alike(self.book.unexplained)

    @property
    def away(self) -> tuple[Missing, ...]:
        """Everything else that is out."""
        return alike(piece for piece in self.book.out if piece.outcome is not None)

    @property
    def complete(self) -> bool:
        """True when it was closed as complete and nothing speaks against it now."""
        return self.closing is not None and self.closing.complete and not self.hindrances

    def place(self, place: str) -> CountPlace:
        """The place of that id; DeskError when there is nothing to count in it."""
        found = next((one for one in self.places if one.id == place), None)
        if found is None:
            where = f"in {place}" if place else "of what has no place"
            raise DeskError(f"there is no tool to count {where}; nothing was written")
        return found


def evening_of(moment: datetime) -> date:
    """The day whose evening it is: after midnight still the day before."""
    return moment.date() - timedelta(days=moment.hour < NIGHT_ENDS)


def evening(folder: KitFolder, day: date) -> Evening:
    """The count of a day as kit, today's layout and journal have it."""
    return evening_in(folder.kit, keep_book(folder.kit, folder.live, folder.facts), day)


def evening_in(kit: Kit, book: Book, day: date) -> Evening:
    """The same with a book that was kept already."""
    lying = _lying(kit)
    out: dict[str, list[Piece]] = {}
    for piece in book.out:
        out.setdefault(piece.copy, []).append(piece)
    parts = {tool.id: tool.parts for tool in kit.tools}

    def place(id: str, name: str, way: tuple[str, ...]) -> CountPlace:
        things = tuple(
            Expected(copy, name_of_copy(kit, copy), parts[base_id(copy)], tuple(out.get(copy, ())))
            for copy in lying[id]
        )
        return CountPlace(id, name, way, things, book.counts.get((day, id)))

    places = [place(c.id, c.name, way_to(kit, c)) for c in walking_order(kit) if c.id in lying]
    if NO_PLACE in lying:
        places.append(place(NO_PLACE, "what has no place", ()))
    hindrances = (*_uncounted(places), *_open(kit, book))
    return Evening(day, tuple(places), book, book.closings.get(day), hindrances)


def walking_order(kit: Kit) -> tuple[Compartment, ...]:
    """Compartments as one gets to them: behind fewer and earlier openings first."""
    order = {opening.id: number for number, opening in enumerate(kit.box.openings)}
    return tuple(
        sorted(kit.box.compartments, key=lambda one: tuple(order[o] for o in one.openings))
    )


def counted(seen: Evening, places: Sequence[str], short: Iterable[Short]) -> tuple[Counted, ...]:
    """That these places were counted, with what was short besides what is known to be out.

    DeskError for a place without tools, and for something short that does not belong in one
    of them or of which fewer should be there.
    """
    things = {
        thing.copy: (place, thing)
        for p in places
        for place in [seen.place(p)]
        for thing in place.things
    }
    wanted: Counter[Key] = Counter()
    for one in short:
        wanted[one.copy, one.part] += one.missing
    found: dict[str, list[Short]] = {place: [] for place in places}
    for (copy, part), number in wanted.items():
        if copy not in things:
            raise DeskError(_elsewhere(seen, copy))
        place, thing = things[copy]
        found[place.id].append(_short(seen.book, thing, part, number))
    return tuple(Counted(seen.day, place, tuple(found[place])) for place in dict.fromkeys(places))


def _short(book: Book, thing: Expected, part: str, number: int) -> Short:
    """What was short, with those that are known to be out: a fact names all that is missing."""
    known = [piece for piece in book.of(thing.copy, part) if piece.outcome is not None]
    there = (book.owned[thing.copy, part] - len(known)) if thing.there or not part else 0
    if not 1 <= number <= there:
        what = f"{thing.name}, {part}" if part else thing.name
        raise DeskError(f"{what}: {there} should be there, {number} cannot be short")
    return Short(thing.copy, part, len(known) + number)


def closed(seen: Evening, reason: str) -> DayClosed:
    """That the day is closed: as complete if it is, else as not complete for this reason.

    DeskError when it is closed as complete already, or is not complete and has no reason.
    """
    if seen.complete:
        raise DeskError(f"the count of {seen.day} is closed as complete; nothing was written")
    if not seen.hindrances:
        return DayClosed(seen.day, True, reason)
    if not reason:
        why = "; ".join(seen.hindrances)
        raise DeskError(
            f"the count of {seen.day} cannot be closed as complete: {why}. "
            "To close it as not complete, give a reason"
        )
    return DayClosed(seen.day, False, reason)


def write_count(folder: KitFolder, said: Sequence[SaidOfCount], when: When) -> str:
    """Write what was said as one entry; the id to take it back by."""
    with open_journal(folder.journal) as journal:
        return journal.add(said, at=when.at, author=when.author, written=when.written)


def _lying(kit: Kit) -> dict[str, list[str]]:
    """The copies of tools that travel, by the compartment they lie in."""
    spots = kit.present.places() if kit.present is not None else {}
    known = {compartment.id for compartment in kit.box.compartments}
    lying: dict[str, list[str]] = {}
    for tool in kit.tools:
        for copy in tool.copies() if tool.carried else ():
            place = spots.get(copy, NO_PLACE)
            lying.setdefault(place if place in known else NO_PLACE, []).append(copy)
    return lying


def _uncounted(places: Iterable[CountPlace]) -> tuple[str, ...]:
    left = [place.name for place in places if place.counted is None]
    if not left:
        return ()
    return (f"{count(len(left), 'place')} not counted: {'; '.join(left)}",)


def _open(kit: Kit, book: Book) -> tuple[str, ...]:
    return tuple(missing_words(kit, missing) for missing in alike(book.in_the_way))


def _elsewhere(seen: Evening, copy: str) -> str:
    for place in seen.places:
        for thing in place.things:
            if thing.copy == copy:
                return f"{thing.name} belongs elsewhere: {place.name}; nothing was written"
    return f"{copy} does not travel in the box; nothing was written"
