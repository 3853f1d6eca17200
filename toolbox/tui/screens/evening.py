"""Evening: the box counted in place by place, and what became of what is not there."""

from __future__ import annotations

from textual import events, on

from toolbox.desk.count import CountPlace
from toolbox.desk.evening_lists import copy_first
from toolbox.desk.evening_said import count_place
from toolbox.desk.evening_stock import StockView
from toolbox.desk.evening_view import ThingLine, number_short, short_name
from toolbox.desk.list_made import leads_to
from toolbox.kit.counting import Short
from toolbox.tui.screens.evening_asking import EveningAsking
from toolbox.tui.screens.evening_count import MOST_DIGIT
from toolbox.tui.screens.evening_pen import Mark, Written
from toolbox.tui.screens.evening_shown import BIKES, CLOSE, COUNT, LISTS, MISSING, RESTOCK
from toolbox.tui.screens.evening_ticked import TickPane
from toolbox.tui.undoing import take_back_now
from toolbox.tui.widgets.checklist import State
from toolbox.tui.widgets.rows import Rows


class EveningPlace(EveningAsking):
    """What can be done in the evening."""

    HELP = (
        "The last half hour of the day. Count: the places of the box in the order in which one "
        "gets to them. Space says that all that should be in the marked place is there, and goes "
        "on to the next. What is not there is marked first: Enter goes to the things of the "
        "place, x marks one as short, a digit says how many parts of a set are; f finds a thing "
        "by a few letters. Space then counts the place without them and asks of each what became "
        "of it. [ ] is not counted, [x] is, [!] is or will be short of something, [.] is being "
        "written. What is lent is no shortage; Enter on it says that it is back.\n\n"
        "Missing shows how a missing thing looks and where it was last; the bikes it could be in "
        "may not go out until somebody decides so, with a reason. The day closes as complete only "
        "when every place is counted and everything is accounted for. You can stop at any time "
        "and go on later; somebody else can count other places meanwhile."
    )

    def __init__(self) -> None:
        super().__init__()
        self._digit = ""
        self._seen = False  # whether the first place to count was on the screen yet
        self._to_take_back = 0
        self._states: dict[Mark, State | None] = {}  # of lines that are being written

    # ---- going about in it

    def _begin(self) -> None:
        super()._begin()
        self.call_after_refresh(self._is_seen)

    def _is_seen(self) -> None:
        self._seen = True

    def begin_again(self) -> None:
        """To the next place to count."""
        self.action_count()

    def action_count(self) -> None:
        """To the next place to count."""
        self.counting.to_next()
        self.see(COUNT)

    def action_missing(self) -> None:
        """To what is not in the box."""
        self.see(MISSING)

    def action_bikes(self) -> None:
        """To the bikes that are held."""
        self.see(BIKES)

    def action_restock(self) -> None:
        """To what is to be restocked; from there to what is to be bought, and back."""
        if self.chosen == RESTOCK and self.stock.list.has_focus_within:
            self.stock.buys.focus()
        else:
            self.see(RESTOCK)

    def action_came_in(self) -> None:
        """Say what was bought."""
        if view := self._stocked_view():
            self.ask_came_in(view)

    def action_opened(self) -> None:
        """Say of what a fresh pack was opened."""
        if view := self._stocked_view():
            self.ask_opened(view)

    def _stocked_view(self) -> StockView | None:
        """The supplies, shown; None while they are worked out or cannot be."""
        if self.chosen != RESTOCK:
            self.see(RESTOCK)
        return self.stocks.view if self.stocks is not None else None

    def action_lists(self) -> None:
        """To the evening's list; from there to the next one."""
        if self.chosen == LISTS and self.listed.to_next():
            self.draw()
        self.see(LISTS)

    def one_back(self) -> bool:
        """From the things to the places, from another part to the count."""
        if self.chosen == COUNT and self.counting.within:
            self.counting.places.focus()
            return True
        if self.chosen != COUNT:
            self.see(COUNT)
            return True
        return False

    def action_find(self) -> None:
        """Put the mark on a thing by a few letters."""
        if self.view is not None:
            self.ask_thing(self.view)

    def action_open(self) -> None:
        """Into the marked place; what became of the marked thing; why a bike may go out."""
        if self.view is None:
            return
        if self.chosen == COUNT and not self.counting.within:
            self.counting.things.focus()
        elif self.chosen == COUNT and self.counting.line is not None:
            self._ask_about(self.counting.line)
        elif self.chosen == MISSING and self.missing.sheet is not None:
            self.ask_outcomes([self.missing.sheet.missing.short])
        elif self.chosen == BIKES and self.bikes.bike is not None:
            if self.bikes.bike.released:
                self.toolbox.tell("It may go out already, by a decision with a reason.")
            else:
                self.ask_release(self.bikes.bike)
        elif self.chosen == LISTS and self.listed.opened is None:
            self.toolbox.write(copy_first, str)

    @on(TickPane.Leads)
    def line_leads(self, event: TickPane.Leads) -> None:
        """From a line of the program to where it is done."""
        event.stop()
        lead = leads_to(event.key)
        assert lead is not None, "only such lines lead anywhere"
        part, about = lead
        if part in (COUNT, CLOSE, RESTOCK):
            self.see(part)
            if part == COUNT:
                self.counting.places.move_to(about)
            elif part == RESTOCK:
                self.stock.mark_supply(about)
        else:
            self.toolbox.wanted = about or None
            self.toolbox.action_go(part)

    def _ask_about(self, line: ThingLine) -> None:
        """What became of a line: of the pieces that are out, else of one that is there."""
        assert self.view is not None
        out = self.view.seen.book.of(line.copy, line.part)
        some = [piece for piece in out if piece.outcome is None] or out
        self.ask_outcomes([Short(line.copy, line.part, max(1, len(some)))])

    # ---- counting

    def action_there(self) -> None:
        """The marked place is counted: all is there but what is marked short."""
        place = self.counting.place
        if self.view is None or place is None:
            return
        if self.chosen in (RESTOCK, LISTS):
            self._ticking().list.action_tick()
        elif self.chosen != COUNT:
            self.action_count()
        elif place.counted is not None and not self.counting.within and not self.counting.marked:
            by = f"{place.name} is counted, by {place.counted.author}"
            self.say(f"{by}. Enter, then Space counts it once more.")
            self.counting.to_next()
        elif not self._seen:
            # a key that came before the picture did says nothing about what lies there
            self.say("Look at the first place, then Space counts it.")
        else:
            self._count(place)

    def _count(self, place: CountPlace) -> None:
        assert self.view is not None
        short = self.counting.begin_writing()
        day, when = self.view.seen.day, self.toolbox.when()
        words = f"{place.name}: {f'{len(short)} short' if short else 'all there'}."
        if self.counting.within:
            self.set_focus(self.counting.places)
        self.counting.to_next()
        self.send(
            lambda folder: count_place(folder, day, place.id, short, when), words, (COUNT, place.id)
        )
        self.ask_outcomes(short)

    def action_short(self) -> None:
        """The marked thing is not there; or it is after all."""
        line = self.counting.line
        if self.chosen in (RESTOCK, LISTS):
            self._ticking().list.action_carry_over()
        if self.chosen != COUNT or line is None:
            return
        if not self.counting.within:
            self.say("Which of its things? Mark it, then x.")
            self.counting.things.focus()
        elif line.key in self.counting.marked:
            self._mark_short(line, 0)
        else:
            self._mark_short(line, 1)

    def _mark_short(self, line: ThingLine, number: int) -> None:
        if number > line.should:
            # In the line above: a notice would lie over the line that is answered next.
            words = f"{line.name}: {line.should} should be there, {number} cannot be short."
            self.say(f"{words} {line.stands}")
            return
        self.counting.mark_short(number)
        place = self.counting.place
        assert place is not None
        if number:
            self.say(f"{line.name}: {number} short. Space: all else in {place.name} is there.")
        else:
            self.say(f"{line.name}: there after all.")

    def on_key(self, event: events.Key) -> None:
        """Which digit it was: the action that follows asks."""
        self._digit = event.character or ""

    def action_number(self) -> None:
        """So many parts of the marked set are short; in Missing, one speaks of so many."""
        if not self._digit.isdigit() or self.view is None:
            return
        number = int(self._digit)
        line, sheet = self.counting.line, self.missing.sheet
        if self.chosen == MISSING and sheet is not None:
            if 0 < number <= sheet.missing.number:
                self.ask_outcomes([sheet.missing.short._replace(missing=number)])
            else:
                self.say(f"{sheet.missing.number} of it are out.")
        elif self.chosen == COUNT and self.counting.within and line is not None:
            if line.should > MOST_DIGIT and number:
                self._ask_number(line, self._digit)
            else:
                self._mark_short(line, number)

    def _ask_number(self, line: ThingLine, digit: str) -> None:
        def given(typed: str) -> None:
            self._mark_short(line, number_short(typed, line))

        self.ask(f"{line.name}: how many short, of {line.should}", given, digit)

    # ---- supplies and lists

    def _ticking(self) -> TickPane:
        return self.stock if self.chosen == RESTOCK else self.listed

    def action_note(self) -> None:
        """A note to the marked line of a list."""
        if self.chosen == LISTS:
            self.listed.list.action_note()

    @on(TickPane.Said)
    def said_of_line(self, event: TickPane.Said) -> None:
        """Something is said of a line: write it."""
        event.stop()
        part = RESTOCK if event.pane is self.stock else LISTS
        saying = event.saying
        self._states[part, saying.key] = saying.state
        self.send(saying.at(self.toolbox.when()), saying.words, (part, saying.key))

    @on(TickPane.Asked)
    def line_asked(self, event: TickPane.Asked) -> None:
        """A line needs a figure."""
        event.stop()
        if self.stocks is not None and self.stocks.view is not None:
            self.ask_amount(self.stocks.view, event.key)

    @on(TickPane.TakeBack)
    def line_taken_back(self, event: TickPane.TakeBack) -> None:
        """Something that was done is not done after all."""
        event.stop()
        if self.pen is not None:
            self.pen.entries = [one for one in self.pen.entries if one[0] != event.entry]
        take_back_now(self.toolbox, event.entry)

    # ---- closing, taking back

    def action_close_day(self) -> None:
        """Close the day; what is in the way is shown first, then asked to be reasoned."""
        view = self.view
        if view is None:
            return
        if not view.seen.hindrances:
            self.close(view)
        elif self.chosen == CLOSE:
            self.ask_close(view)
        else:
            self.see(CLOSE)

    def take_back(self) -> bool:
        """The last mark in this place, else the last thing written from here."""
        name = self.counting.unmark_last() if self.chosen == COUNT else ""
        if name:
            self.say(f"Taken back: {name} is not marked short.")
            return True
        if self.pen is None or not (self.pen.waits or self.pen.entries):
            return False
        self._to_take_back += 1
        self._take_back()
        return True

    def _take_back(self) -> None:
        """Take back what was asked for, once it is on the disk."""
        while self.pen is not None and self._to_take_back and not self.pen.waits:
            self._to_take_back -= 1
            if self.pen.entries:
                entry, mark = self.pen.entries.pop()
                take_back_now(self.toolbox, entry)
                if mark is not None and mark[0] == COUNT:
                    self.counting.taken_back(mark[1])
                self.say("")

    @on(Written)
    def written(self, event: Written) -> None:
        """Something is on the disk, or was refused."""
        event.stop()
        if self.pen is None:
            return
        self.pen.heard(event)
        if event.mark is not None:
            self._settle_mark(event.mark, written=bool(event.entry))
        if not self.pen.waits:
            self.said_is_written()
        self._take_back()

    def _settle_mark(self, mark: Mark, *, written: bool) -> None:
        part, key = mark
        if part == COUNT:
            self.counting.settle(key, written=written)
        else:
            pane = self.stock if part == RESTOCK else self.listed
            state = self._states.pop(mark, None)
            pane.list.settle(key, state if written else None)

    # ---- what the lists say

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        event.stop()
        self.action_open()

    def marked_text(self) -> str:
        """The marked line."""
        if self.chosen == COUNT:
            return self.counting.text()
        if self.chosen in (RESTOCK, LISTS):
            line = self._ticking().list.line
            return line.words if line is not None else ""
        sheet, bike = self.missing.sheet, self.bikes.bike
        if self.chosen == MISSING and self.view is not None and sheet is not None:
            return short_name(self.view, sheet.missing.short)
        return bike.bike if self.chosen == BIKES and bike is not None else ""
