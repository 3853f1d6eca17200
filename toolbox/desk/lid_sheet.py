"""The lid sheet: what a stranger needs to repack the box, on one page or as a document."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from toolbox.carry.findings import Severity
from toolbox.desk.carrying import balance
from toolbox.desk.count import walking_order
from toolbox.desk.draw_box import how_it_lies
from toolbox.desk.drawn_files import Sheet, nothing_drawn
from toolbox.desk.figures import capital, count, grams
from toolbox.desk.folder import name_of_copy
from toolbox.desk.maps import Filled, box_map, not_placed
from toolbox.desk.own_files import Wanted, page_files
from toolbox.desk.printed import Block, Heading, Page, Points, Words, mark_of
from toolbox.drawings.lid import LidSheet, Listed, lid_page
from toolbox.drawings.page import DrawingError
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.kit.paper import Paper
from toolbox.kit.things import base_id

FILE = "lid"
_WHOSE = "for the lid of this box"
LIFT = (
    "A packed box is heavy: lift it with two, or empty it first, and follow your local rules "
    "for manual handling."
)
ORDER = (
    "Compartments stand in the order in which one gets to them. To pack, begin with the last "
    "one; count what goes in against the figure behind its name."
)
_LINE = "_" * 30


@dataclass(frozen=True, slots=True)
class LidPlace:
    """A compartment of the sheet: its number in order, name, code, way, things by name."""

    number: int
    name: str
    code: str
    way: str
    things: int
    grams: int
    names: tuple[str, ...]

    @property
    def head(self) -> str:
        """The compartment with its count, in one line."""
        many = f"{count(self.things, 'thing')}, {grams(self.grams)}" if self.things else "empty"
        return f"{self.number}  {self.name} [{self.code}], {self.way}: {many}"


@dataclass(frozen=True, slots=True)
class Lid:
    """All that the sheet says. ``total_g`` is the packed box, to the gram by the masses given."""

    title: str
    mark: str
    things: int
    total_g: int
    strong: tuple[str, ...]
    notes: tuple[str, ...]
    places: tuple[LidPlace, ...]


def lid_of(kit: Kit, layout: Layout, ask: str, today: date) -> Lid:
    """What the lid sheet of a box says. ``ask`` is whom to ask, "" for a line to write on.

    DeskError when the box cannot be weighed.
    """
    loads = balance(kit, layout).loads
    total = loads.total_g
    order = {c.id: number for number, c in enumerate(walking_order(kit), 1)}
    filled = sorted(box_map(kit, layout), key=lambda one: order[one.compartment.id])
    places = tuple(_place(kit, one, order[one.compartment.id]) for one in filled)
    things = sum(place.things for place in places)
    strong = (
        f"{grams(total)} packed: {count(things, 'thing')} in "
        f"{count(sum(1 for p in places if p.things), 'compartment')}.",
        f"Who to ask: {ask or _LINE}",
        LIFT,
        *(f"{capital(f.words)}." for f in loads.findings if f.severity is Severity.OVER),
    )
    notes = (ORDER, *_left_out(kit, layout), f"{capital(how_it_lies(kit, layout))}, of {today}.")
    title = f"{kit.box.name}: what lies where"
    return Lid(title, mark_of(kit.name, FILE), things, total, strong, notes, places)


def lid_sheet(lid: Lid, paper: Paper) -> Sheet:
    """The sheet on one page of this paper; DeskError when not all of it fits."""
    listed = tuple(Listed(p.head, p.names) for p in lid.places)
    try:
        page = lid_page(LidSheet(lid.title, lid.mark, lid.strong, lid.notes, listed), paper)
    except DrawingError as error:
        raise nothing_drawn(error.reasons) from error
    return Sheet(FILE, _WHOSE, (page,))


def lid_texts(lid: Lid, folder: Path) -> tuple[Wanted, ...]:
    """The sheet as Markdown and as one HTML file."""
    page = Page(lid.mark, lid.title, tuple(_blocks(lid)))
    return page_files(folder, FILE, page, _WHOSE)


def _blocks(lid: Lid) -> Iterator[Block]:
    for text in lid.strong:
        yield Words(text, strong=True)
    yield Points(lid.notes)
    for place in lid.places:
        yield Heading(place.head)
        if place.names:
            yield Points(place.names)


def _place(kit: Kit, filled: Filled, number: int) -> LidPlace:
    c = filled.compartment
    return LidPlace(
        number,
        c.name,
        c.id,
        ", ".join(filled.way) or "open at once",
        len(filled.things),
        filled.grams,
        tuple(_names(kit, filled)),
    )


def _names(kit: Kit, filled: Filled) -> Iterator[str]:
    """Names of things, copies of the same together, sets with their parts."""
    many = Counter(base_id(thing.copy) for thing in filled.things)
    parts = {tool.id: sum(part.count for part in tool.parts) for tool in kit.tools}
    for item, pieces in many.items():
        name = name_of_copy(kit, item)
        name += f" (set of {parts[item]})" if parts.get(item) else ""
        yield f"{name} x {pieces}" if pieces > 1 else name


def _left_out(kit: Kit, layout: Layout) -> Iterator[str]:
    names = [name_of_copy(kit, copy) for copy in not_placed(kit, layout)]
    if names:
        yield f"Travels in the box too, but nobody has said where: {'; '.join(names)}."
