"""What is not in the box, as one looks for it; and the bikes that it could be in."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.widgets import Static

from toolbox.desk.count_bikes import Held
from toolbox.desk.count_missing import Sheet
from toolbox.desk.evening_view import (
    EveningView,
    held_words,
    sheet_lines,
    sheet_words,
    short_name,
)
from toolbox.kit.things import base_id
from toolbox.tui.text import plain
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row
from toolbox.tui.widgets.words import WordsPane

OUT = (Column("", width=8), Column("thing", least=20))
BIKES = (Column("", width=8), Column("bike", least=8), Column("holds", share=3, priority=1))
ALL_IN = "Nothing is missing: everything is in the box, as far as it was counted."
NONE_HELD = "No bike is held: nothing is missing that could be in one."


class MissingPane(Container):
    """Everything that is out, what nobody explained first, and all that is known of one."""

    DEFAULT_CSS = """
    MissingPane { layout: vertical; }
    MissingPane #out { height: 1fr; }
    MissingPane #sheet { height: 2fr; border-top: solid $primary; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._view: EveningView | None = None
        self._sheets: dict[str, Sheet] = {}

    def compose(self) -> ComposeResult:
        """The list, and the marked one in full."""
        yield Rows(OUT, head=False, empty=ALL_IN, id="out")
        yield WordsPane(id="sheet")

    @property
    def rows(self) -> Rows:
        """The list."""
        return self.query_one("#out", Rows)

    @property
    def sheet(self) -> Sheet | None:
        """What is marked."""
        return self._sheets.get(self.rows.cursor_key or "")

    def show(self, view: EveningView) -> None:
        """Show what is out now; the mark stays on the one it was on."""
        self._view = view
        self._sheets = {_key(sheet): sheet for sheet in view.sheets}
        self.rows.refill(
            Listed(
                [
                    Row(key, (plain(_word(sheet)), plain(short_name(view, sheet.missing.short))))
                    for key, sheet in self._sheets.items()
                ]
            )
        )
        self._tell()

    def mark_tool(self, tool: str) -> bool:
        """Mark this tool, or a copy or part of it; False when all of it is there."""
        key = next((k for k, s in self._sheets.items() if base_id(s.missing.copy) == tool), None)
        return key is not None and self.rows.move_to(key)

    @on(Rows.Moved)
    def _moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._tell()

    def _tell(self) -> None:
        pane, view, sheet = self.query_one(WordsPane), self._view, self.sheet
        pane.display = sheet is not None
        if view is not None and sheet is not None:
            pane.head(sheet_words(view, sheet.missing))
            pane.more(sheet_lines(view, sheet))


def _key(sheet: Sheet) -> str:
    missing = sheet.missing
    said = missing.said.id if missing.said is not None else ""
    return f"{missing.copy}\n{missing.part}\n{said}"


def _word(sheet: Sheet) -> str:
    outcome = sheet.missing.outcome
    return "short" if outcome is None else outcome.outcome.value


class BikesPane(Vertical):
    """Bikes that something missing could be in or on, and whether they may go out."""

    DEFAULT_CSS = """
    BikesPane #held { height: 1fr; }
    BikesPane #holds { height: auto; max-height: 50%; padding: 0 1; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._view: EveningView | None = None

    def compose(self) -> ComposeResult:
        """The list, and all that the marked one could hold."""
        yield Rows(BIKES, head=False, empty=NONE_HELD, id="held")
        yield Static("", id="holds", markup=False)

    @property
    def rows(self) -> Rows:
        """The list."""
        return self.query_one("#held", Rows)

    @property
    def bike(self) -> Held | None:
        """What is marked."""
        key = self.rows.cursor_key
        held = self._view.held if self._view is not None else ()
        return next((one for one in held if one.bike == key), None)

    def show(self, view: EveningView) -> None:
        """Show which bikes are held now."""
        self._view = view
        rows = []
        for held in sorted(view.held, key=lambda one: one.released):
            word = "released" if held.released else "HELD"
            rows.append(
                Row(held.bike, (plain(word), plain(held.bike), plain(held_words(view, held))))
            )
        self.rows.refill(Listed(rows))
        self._tell()

    @on(Rows.Moved)
    def _moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._tell()

    def _tell(self) -> None:
        view, bike = self._view, self.bike
        words = ""
        if view is not None and bike is not None:
            words = f"Bike {bike.bike}: released"
            if not bike.released:
                words = f"Bike {bike.bike} may not go out: {held_words(view, bike)} could be in it"
        self.query_one("#holds", Static).update(plain(words))
