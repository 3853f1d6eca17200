"""Flight: every bag of a trip against its limits, what may not fly so, and the plan to mend it."""

from __future__ import annotations

from textual import events, on

from toolbox.desk.errors import DeskError
from toolbox.desk.flight_seek import WhatIf
from toolbox.desk.flight_view import FlightView, weighed_lines
from toolbox.desk.flight_words import cautions, weighed_words
from toolbox.tui.menu import Menu
from toolbox.tui.screens.flight_asking import FlightAsking
from toolbox.tui.screens.flight_checks import ChecksPane
from toolbox.tui.screens.flight_panes import FindingsPane
from toolbox.tui.screens.flight_papers import Sheeted, SheetWriter
from toolbox.tui.screens.flight_pen import Written
from toolbox.tui.screens.said_line import BEING_WRITTEN
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.words import WordsPane

OUT = "-"  # what the menu of bags gives for none
LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Flying(FlightAsking):
    """What can be done with the bags of a trip."""

    HELP = (
        "Every bag of the trip against its limit. In a bar the heavy line is the mass that is "
        "sure, the cross of lines what is expected, the thin line what may be; ┃ is the limit, "
        "and × all that is or may be over it. Each bar is drawn to its own limit, so that the "
        "limits stand in one column. It fits when it is within the limit with the error of the "
        "mass counted in; AT RISK is only within it without that error. Enter goes into the "
        "marked bag; there a digit puts the marked thing into the bag of that number, 0 takes "
        "it out of all; u takes that back. ! before a thing: the findings say something about "
        "it. A plan is taken only after it was shown. " + " ".join(cautions())
    )

    # ---- going about in it

    def begin_again(self) -> None:
        """To the bags."""
        self.see("bags")

    def action_bags(self) -> None:
        """To the bags."""
        self.see("bags")

    def action_findings(self) -> None:
        """To what is to be done."""
        self.see("findings")

    def action_check(self) -> None:
        """To the list of the night before."""
        self.see("check")

    def action_tick(self) -> None:
        """The marked line of the list is done."""
        if self.chosen == "check":
            self.checks.list.action_tick()
        else:
            self.see("check")

    def action_note(self) -> None:
        """A note to the marked line of the list."""
        if self.chosen == "check":
            self.checks.list.action_note()

    @on(ChecksPane.ToWeigh)
    def to_weigh(self, event: ChecksPane.ToWeigh) -> None:
        """A line that only a reading makes done."""
        event.stop()
        if self.view is not None and any(bag.id == event.bag for bag in self.view.bags):
            self.ask_reading(self.view.flight.bag(event.bag))

    def action_leg(self) -> None:
        """Bars of the next leg, then of every leg, then of the strictest."""
        if self.view is None:
            return
        legs = len(self.view.flight.trip.legs)
        if legs < 2:
            self.toolbox.tell("The trip has one leg.")
            return
        self.leg = self.leg + 1 if self.leg < legs else -1
        self.draw()

    def action_trip(self) -> None:
        """To the next of several trips."""
        view = self.view
        if view is None or self._picture is None:
            return
        if len(view.trips) < 2:
            self.toolbox.tell("There is one trip in this kit.")
            return
        if self.pen is not None and self.pen.waits:
            self.toolbox.tell("Just a moment: what was shifted is being written.")
            return
        at = view.trips.index(view.flight.name)
        self.trip = view.trips[(at + 1) % len(view.trips)]
        self.pen, self.leg = None, -1
        self.plan.forget()
        self.say("")
        self.show(self._picture)

    def one_back(self) -> bool:
        """From things or another pane to the bags."""
        if self.chosen == "bags" and self.focused is not self.items:
            return False
        self.see("bags")
        return True

    def marked_text(self) -> str:
        """The marked thing, bag or finding in words."""
        pane = self.query_one(FindingsPane)
        if self.focused is pane.rows and pane.marked is not None:
            return pane.marked.words
        if self.focused is self.items and len(self.items.source):
            return self.items.whole(self.items.cursor_row).plain
        return self.bars.marked.words if self.bars.marked is not None else ""

    # ---- things in and out

    def action_open(self) -> None:
        """Into the marked bag; with a thing marked, ask for the bag it goes into."""
        if self.focused is self.bars:
            self.items.focus()
            return
        view, copies = self.view, self.marked_copies()
        if view is None or not copies:
            self.mark_first()
            return
        rows = [
            (str(n) if n < 10 else LETTERS[n - 10], bag.id, bag.name)
            for n, bag in enumerate(view.bags, 1)
        ]
        rows.append(("0", OUT, "out of all bags"))
        self.app.push_screen(Menu("Into which bag", rows), lambda bag: self._into(copies, bag))

    def _into(self, copies: tuple[str, ...], bag: str | None) -> None:
        if bag is not None:
            self._put(copies, None if bag == OUT else bag)

    def on_key(self, event: events.Key) -> None:
        """A digit acts in its turn: as an action it would no longer know which one it was."""
        digit = event.character or ""
        if digit and digit in "123456789" and event.key in self.toolbox.keys["flight-put"]:
            event.stop()
            self._to_number(digit)

    def action_put(self) -> None:
        """Put what is marked into a bag, asked for without a digit."""
        self.action_open()

    def _to_number(self, digit: str) -> None:
        view = self.view
        if view is None or self.chosen == "check":
            return  # there a digit is a count, of lines that have one
        if self.focused is self.bars:
            self.bars.mark_number(digit)
        elif int(digit) > len(view.bags):
            self.toolbox.tell(f"There is no bag {digit} on this trip.", refused=True)
        else:
            self._put(self.marked_copies(), view.bags[int(digit) - 1].id)

    def action_out(self) -> None:
        """Take what is marked out of all bags."""
        if self.focused is self.bars:
            self.bars.mark_number("0")
        elif self.chosen != "check":
            self._put(self.marked_copies(), None)

    def _put(self, copies: tuple[str, ...], bag: str | None) -> None:
        if self.view is None or self.pen is None:
            return
        if not copies:
            self.mark_first()
            return
        try:
            self.view = self.pen.put(self.view, copies, bag)
        except DeskError as error:
            self.toolbox.tell(str(error), refused=True)
            return
        self.say(f"{self.pen.done[-1].words} u takes it back.{BEING_WRITTEN}")
        self.draw()

    def take_back(self) -> bool:
        """Undo is for bags and the list here, never for the log, of which nothing is seen here."""
        if self.chosen == "check":
            if not self.checks.take_back():
                self.toolbox.tell("Nothing was said of a line here that could be taken back.")
            return True
        back = None
        if self.pen is not None and self.view is not None:
            back = self.pen.take_back(self.view)
        if back is None:
            self.toolbox.tell("Nothing was shifted here that could be taken back.", refused=True)
            return True
        self.view, shift = back
        if shift.final:
            self.toolbox.tell(shift.words)
            return True
        self.plan.taken = False
        self.say(f"Taken back: {shift.words}{BEING_WRITTEN}")
        self.draw()
        return True

    @on(Written)
    def written(self, event: Written) -> None:
        """A change is on the disk, or was refused: the last one decides what is seen."""
        event.stop()
        if self.pen is None or not self.pen.heard(event):
            return
        if event.view is None:
            self.plan.taken = False
            self.say("")
            if self._picture is not None:
                self.show(self._picture)
            return
        trips = self.view.trips if self.view is not None else ()
        self.view = FlightView(event.view.flight, event.view.where, event.view.check, trips)
        self.said_is_written()
        self.draw()
        if event.weighed is not None:
            flight, found = event.weighed
            pane = self.query_one("#told", WordsPane)
            pane.head(weighed_words(found))
            pane.more(weighed_lines(flight, found))
            self.see("told")

    # ---- the plan

    def action_plan(self) -> None:
        """To the plan; it is sought when there is none, or when one is there already."""
        there = self.chosen == "plan"
        self.see("plan")
        if there or not self.plan.sought:
            self.seek(WhatIf())

    def action_stop(self) -> None:
        """End the search with what it has; in the list: the marked line cannot be done."""
        if self.chosen == "check":
            self.checks.list.action_carry_over()
        elif not self.plan.stop():
            self.toolbox.tell("Nothing is being searched.")

    def action_take(self) -> None:
        """Say that the bags are packed as the plan on the screen has it."""
        search, plan = self.plan.search, self.plan.plan
        if search is None or plan is None or self.view is None or self.pen is None:
            self.toolbox.tell("There is no plan to take yet.", refused=True)
        elif search.wish.supposes:
            self.toolbox.tell("A what-if cannot be taken: change the trip's file.", refused=True)
        elif self.chosen != "plan":
            self.see("plan")
            self.toolbox.tell("Look at what it moves first; then a takes it.")
        else:
            self.plan.taken = True
            self.pen.take(self.view, plan)

    # ---- sheets

    def action_sheets(self) -> None:
        """Write the print sheets into the folder that the screens were started from."""
        if self.view is not None and self._picture is not None:
            today = self._picture.today
            writer = SheetWriter(self.view.flight.name, today, self.post_message)
            self.toolbox.write(writer, lambda _: "")

    @on(Sheeted)
    def sheeted(self, event: Sheeted) -> None:
        """The sheets are there: which, and where."""
        event.stop()
        pane = self.query_one("#told", WordsPane)
        pane.head(event.head)
        pane.more(event.lines)
        self.see("told")

    # ---- what the lists say

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        event.stop()
        self.action_open()
