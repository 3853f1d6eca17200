"""What Flight asks for: what to suppose of a trip, and what a bag weighs on a scale."""

from __future__ import annotations

from collections.abc import Callable

from toolbox.desk.diary import read_typed
from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.flight_seek import WhatIf
from toolbox.desk.weigh_in import Decision, scale_meant, unexplained_readings
from toolbox.kit.quantities import Kind, write
from toolbox.kit.trips import Bag, Weighing
from toolbox.tui.menu import Menu
from toolbox.tui.screens.flight_panes import FindingsPane
from toolbox.tui.screens.flight_shown import FlightShown
from toolbox.tui.widgets.ask_line import AskLine

SUPPOSE = (
    ("h", "home", "the marked thing stayed at home"),
    ("m", "more", "there were one more bag"),
    ("k", "mass", "each hold bag might weigh more"),
    ("l", "lost", "one bag were lost: critical tools over two bags"),
)


class FlightAsking(FlightShown):
    """Suppositions and readings, asked for by menus and one line for a mass."""

    def half_filled(self) -> bool:
        """A mass that is typed is not stored yet."""
        line = self.query_one(AskLine)
        return line.asking and bool(line.typed)

    def marked_copies(self) -> tuple[str, ...]:
        """The copies that are meant: the thing that is marked, or those of the marked finding."""
        pane = self.query_one(FindingsPane)
        if self.focused is pane.rows:
            return pane.marked.copies if pane.marked is not None else ()
        key = self.items.cursor_key if self.focused is self.items else None
        return (key,) if key is not None else ()

    def mark_first(self) -> None:
        """Say that a thing has to be marked."""
        self.toolbox.tell("Mark a thing first: Enter on a bag goes to what lies in it.")

    # ---- what to suppose

    def seek(self, wish: WhatIf) -> None:
        """Search for a packing, unless one is being searched."""
        if self.view is None:
            self.toolbox.tell("There is no trip to plan.", refused=True)
        elif self.plan.running:
            self.toolbox.tell("A search is under way; x stops it.", refused=True)
        else:
            self.see("plan")
            self.plan.begin(self.view, wish)

    def action_suppose(self) -> None:
        """Ask what to suppose, then plan with it."""
        copies = self.marked_copies()
        self.app.push_screen(Menu("What if", SUPPOSE), lambda what: self._supposed(copies, what))

    def _supposed(self, copies: tuple[str, ...], what: str | None) -> None:
        if what == "home":
            if copies:
                self.seek(WhatIf(leave=copies))
            else:
                self.mark_first()
        elif what == "lost":
            self.seek(WhatIf(spread=True))
        elif what == "more":
            self._ask_mass("Mass of the empty bag", lambda g: self.seek(WhatIf(more_bag_g=g)))
        elif what == "mass":
            words = "What one hold bag might weigh"
            self._ask_mass(words, lambda g: self.seek(WhatIf(piece_g=g)), "32 kg")

    # ---- weighing

    def action_weigh(self) -> None:
        """Ask what the marked bag weighs."""
        line = self.bars.marked
        if self.view is None or line is None:
            return
        if len(line.bags) != 1:
            self.toolbox.tell("Mark one bag first: b, then the arrows.")
            return
        self.ask_reading(self.view.flight.bag(line.bags[0]))

    def ask_reading(self, bag: Bag) -> None:
        """Ask what this bag weighs, or what is to become of a reading that nothing explains."""
        if self.view is None:
            return
        loose = [w for w in unexplained_readings(self.view.packed) if w.bag == bag.id]
        if not loose:
            self._ask_reading(bag)
            return
        reading = write(loose[0].reading_g, Kind.MASS)
        rows = (
            ("w", "again", "it is weighed again"),
            ("c", "counts", f"{reading} counts: say why"),
        )
        self.app.push_screen(
            Menu(f"Nothing explains what {bag.name} weighs", rows),
            lambda what: self._decided(bag, loose[0], what),
        )

    def _ask_reading(self, bag: Bag) -> None:
        words = f"{bag.name} on the scale (like 22.95 kg)"
        self._ask_mass(words, lambda g: self._weigh(bag, g))

    def _decided(self, bag: Bag, reading: Weighing, what: str | None) -> None:
        if what == "again":
            self._ask_reading(bag)
        elif what == "counts":
            why = f"Why {write(reading.reading_g, Kind.MASS)} counts"
            self._ask(why, lambda words: self._accept(bag, reading, words))

    def _accept(self, bag: Bag, reading: Weighing, words: str) -> None:
        if self.view is not None and self.pen is not None:
            decision = Decision(words.strip(), self.toolbox.author)
            self.pen.weigh(self.view, bag, reading.reading_g, reading.scale, decision)

    def _weigh(self, bag: Bag, reading_g: int) -> None:
        if self.view is None:
            return
        try:
            self._on_scale(bag, reading_g, scale_meant(self.view.flight, reading_g, None).id)
        except UnclearName as unclear:
            rows = [(str(n), one.id, one.name) for n, one in enumerate(unclear.choices, 1)]
            menu = Menu("On which scale", rows)
            self.app.push_screen(menu, lambda scale: self._on_scale(bag, reading_g, scale))

    def _on_scale(self, bag: Bag, reading_g: int, scale: str | None) -> None:
        if self.view is not None and self.pen is not None and scale is not None:
            self.pen.weigh(self.view, bag, reading_g, scale)

    # ---- a line for an answer

    def _ask_mass(self, words: str, then: Callable[[int], None], value: str = "") -> None:
        """Ask for a mass, which is read strictly."""
        self._ask(words, lambda typed: then(_mass(typed)), value)

    def _ask(self, words: str, then: Callable[[str], None], value: str = "") -> None:
        self.query_one(AskLine).ask(words, then, value)


def _mass(typed: str) -> int:
    """Grams, read strictly; DeskError says what is wrong."""
    grams = read_typed(typed, Kind.MASS)
    if not grams:
        raise DeskError("that is no mass at all")
    return grams
