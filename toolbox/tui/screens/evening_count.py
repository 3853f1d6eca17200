"""The count: places in walking order, the map of the one at hand, the things in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.widgets import Static

from toolbox.desk.count import CountPlace
from toolbox.desk.drawn_box import Filling
from toolbox.desk.evening_view import (
    EveningView,
    ThingLine,
    inside_words,
    place_of,
    place_words,
    thing_lines,
)
from toolbox.kit.counting import Short
from toolbox.tui.text import plain
from toolbox.tui.widgets.box_map import BoxMap
from toolbox.tui.widgets.checklist import BOXES, WRITING
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row

SHORT_BOX = "[!]"
PLACES = (
    Column("", width=3),
    Column("place", least=16),
    Column("", width=20, priority=1),
    Column("", width=9),
)
THINGS = (
    Column("", width=3),
    Column("thing", share=3, least=20),
    Column("there", width=8),
    Column("stands", share=3, least=16, priority=1),
)
MOST_DIGIT = 9


@dataclass
class Mark:
    """Something marked short in a place that is not counted yet: kept until it is."""

    line: ThingLine
    number: int


class CountPane(Container):
    """Places and things; what is marked short stays here until its place is counted."""

    DEFAULT_CSS = """
    CountPane { layout: grid; grid-size: 2 2; grid-columns: 3fr 2fr; grid-rows: 2fr 3fr; }
    CountPane #inside { height: auto; padding: 0 1; text-style: bold; }
    CountPane #drawn { height: 1fr; border-left: solid $primary; }
    CountPane #lying { column-span: 2; height: 1fr; border-top: solid $primary; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.marks: dict[str, dict[str, Mark]] = {}
        # Places on their way into the file, with what was marked short in them; places that
        # are there, with how many looks at the evening have come since.
        self._writing: dict[str, dict[str, Mark]] = {}
        self._written: dict[str, int] = {}
        self._view: EveningView | None = None
        self._box: Filling | None = None
        self._drawn: tuple[Filling, str, str] | None = None  # what the map shows
        self._inside: str | None = None  # the place whose things are shown
        self._lines: dict[str, ThingLine] = {}

    def compose(self) -> ComposeResult:
        """Places, map, things."""
        yield Rows(PLACES, head=False, empty="nothing to count", id="places")
        with Vertical(id="drawn"):
            # The map reckons with all of its own width: its border is another's.
            box_map = BoxMap(id="at-hand")
            box_map.can_focus = False
            yield box_map
        with Vertical(id="lying"):
            yield Static("", id="inside", markup=False)
            yield Rows(THINGS, head=False, empty="nothing", id="things")

    @property
    def places(self) -> Rows:
        """The list of places."""
        return self.query_one("#places", Rows)

    @property
    def things(self) -> Rows:
        """The things of the marked place."""
        return self.query_one("#things", Rows)

    @property
    def place(self) -> CountPlace | None:
        """The marked place."""
        key = self.places.cursor_key
        if self._view is None or key is None:
            return None
        return next((place for place in self._view.seen.places if place.id == key), None)

    @property
    def line(self) -> ThingLine | None:
        """The marked thing, or part of a set."""
        return self._lines.get(self.things.cursor_key or "")

    @property
    def within(self) -> bool:
        """Whether the keys go to the things."""
        return self.things.has_focus

    @property
    def marked(self) -> Mapping[str, Mark]:
        """What is marked short in the marked place and not counted yet."""
        return self.marks.get(self.place.id, {}) if self.place is not None else {}

    # ---- what is shown

    def show(self, view: EveningView, box: Filling | None) -> None:
        """Show the count as it stands; both marks stay where they are."""
        first = self._view is None
        self._view, self._box = view, box
        lines = {line.key: line for place in view.seen.places for line in thing_lines(view, place)}
        # What is gone, or was spoken of meanwhile, cannot be short any more.
        self.marks = {
            place: {
                key: mark
                for key, mark in marks.items()
                if key in lines and mark.number <= lines[key].should
            }
            for place, marks in self.marks.items()
        }
        # A look that was begun before the count was written does not know of it yet.
        counted = {place.id for place in view.seen.places if place.counted is not None}
        self._written = {
            place: looks + 1
            for place, looks in self._written.items()
            if looks < 1 and place not in counted
        }
        self.draw()
        if first:
            self.to_next()

    def draw(self) -> None:
        """Show places and things anew."""
        self._draw_places()
        self._draw_things()

    def _draw_places(self) -> None:
        if self._view is not None:
            rows = [self._place_row(place) for place in self._view.seen.places]
            self.places.refill(Listed(rows))

    def _place_row(self, place: CountPlace) -> Row:
        marks = len(self.marks.get(place.id, {}))
        short = sum(missing.number for missing in place.short)
        box = BOXES["open" if self._is_left(place) else "done"]
        box = WRITING if place.id in self._writing else SHORT_BOX if marks or short else box
        said = f"{marks} marked" if marks else f"{short} short" if short else ""
        return Row(
            place.id, (plain(box), plain(place.name), plain(place_words(place)), plain(said))
        )

    def _draw_things(self) -> None:
        view, place = self._view, self.place
        if view is None or place is None:
            return
        self._inside = place.id
        self.query_one("#inside", Static).update(plain(inside_words(place)))
        lines = thing_lines(view, place)
        self._lines = {line.key: line for line in lines}
        self.things.refill(Listed([self._thing_row(line) for line in lines]))
        self._draw_map()

    def _thing_row(self, line: ThingLine) -> Row:
        mark = self.marked.get(line.key)
        here = line.should - (mark.number if mark else 0)
        there = f"{here} of {line.should}" if mark else str(line.should)
        name = plain(f"   {line.name}") if line.part else plain(line.name)
        box = SHORT_BOX if mark else ""
        stands = "; ".join(filter(None, ("marked short" if mark else "", line.stands)))
        return Row(line.key, (plain(box), name, plain(there if line.part else ""), plain(stands)))

    def _draw_map(self) -> None:
        """The whole box with the marked place lit; among its things, the place itself."""
        place, box, line, shown = self.place, self._box, self.line, self.query_one(BoxMap)
        if place is None or box is None or all(f.compartment.id != place.id for f in box.filled):
            shown.visible = False
            return
        shown.visible = True
        copy = line.copy if self.within and line is not None else ""
        if self._drawn == (box, place.id, copy):
            return  # laying out a map takes longer than all else here
        self._drawn = (box, place.id, copy)
        lit = copy or place.id
        shown.show(box.one(place.id) if copy else box.whole(), frozenset({lit}))
        shown.move_to(lit)

    @on(Rows.Moved, "#places")
    def _other_place(self, event: Rows.Moved) -> None:
        event.stop()
        if self.place is not None and self.place.id != self._inside:
            self._draw_things()
            self.things.action_first()

    @on(Rows.Moved, "#things")
    def _other_thing(self, event: Rows.Moved) -> None:
        event.stop()
        self._draw_map()

    def on_descendant_focus(self) -> None:
        """The keys go elsewhere: the other map is of use."""
        self._draw_map()

    # ---- going about

    def to_next(self) -> bool:
        """Mark the next place to count, from the marked one on; False when all are."""
        if self._view is None:
            return False
        places = self._view.seen.places
        at = next((n for n, place in enumerate(places) if place is self.place), 0)
        for place in (*places[at:], *places[:at]):
            if self._is_left(place):
                self.places.move_to(place.id)
                return True
        return False

    def _is_left(self, place: CountPlace) -> bool:
        known = place.id in self._writing or place.id in self._written
        return place.counted is None and not known

    def to_thing(self, key: str) -> bool:
        """Mark this thing and the place it belongs in; False when it is not to be counted."""
        place = place_of(self._view, key) if self._view is not None else None
        if place is None:
            return False
        self.places.move_to(place.id)
        self._draw_things()
        self.things.focus()
        return self.things.move_to(key)

    # ---- what is marked short

    def mark_short(self, number: int) -> None:
        """So many of the marked line are not there; 0: they are after all."""
        place, line = self.place, self.line
        if place is None or line is None:
            return
        marks = self.marks.setdefault(place.id, {})
        marks.pop(line.key, None)
        if number:
            marks[line.key] = Mark(line, number)
        self.draw()

    def unmark_last(self) -> str:
        """Take the last mark in the marked place away; its name, "" when there is none."""
        marks = self.marks.get(self.place.id, {}) if self.place is not None else {}
        if not marks:
            return ""
        _, mark = marks.popitem()
        self.draw()
        return mark.line.name

    # ---- being counted

    def begin_writing(self) -> tuple[Short, ...]:
        """The marked place is being written as counted; what was marked short goes with it."""
        place = self.place
        assert place is not None, "only a marked place is counted"
        self._writing[place.id] = marks = self.marks.pop(place.id, {})
        self._draw_places()
        return tuple(Short(mark.line.copy, mark.line.part, mark.number) for mark in marks.values())

    def settle(self, place: str, *, written: bool) -> None:
        """The count of this place is in the file; or it was refused, and its marks are back."""
        marks = self._writing.pop(place, {})
        if written:
            self._written[place] = 0
            self._draw_places()
        else:
            self.marks[place] = {**self.marks.get(place, {}), **marks}
            self.draw()

    def taken_back(self, place: str) -> None:
        """The count of this place is being taken back: it is the marked one again."""
        self._written.pop(place, None)
        self._draw_places()
        self.places.move_to(place)

    def text(self) -> str:
        """What is marked, as plain text."""
        rows = self.things if self.within else self.places
        if rows.cursor_key is None:
            return ""
        cells = rows.source.cells(rows.cursor_row)
        return Text("  ").join(cell for cell in cells if cell.plain).plain
