"""What Evening asks for: what became of something, to whom, until when, and reasons."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from datetime import date

from textual import on

from toolbox.desk.count_bikes import Held
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_said import close_day, release_bike, settle_short, settled_as
from toolbox.desk.evening_stock import (
    StockView,
    ageing,
    amount_counted,
    came_in,
    count_task,
    wanted_in,
    write_came_in,
    write_opened,
)
from toolbox.desk.evening_view import EveningView, day_typed, short_name, thing_meant
from toolbox.desk.figures import capital
from toolbox.desk.folder import KitFolder
from toolbox.desk.naming import supply_named
from toolbox.kit.counting import Outcome, Short
from toolbox.tui.menu import Menu
from toolbox.tui.screens.evening_pen import Do, Mark
from toolbox.tui.screens.evening_shown import COUNT, RESTOCK, EveningShown
from toolbox.tui.screens.said_line import BEING_WRITTEN
from toolbox.tui.widgets.ask_line import AskLine

LETTERS = "123456789abcdefghijklmnopqrstuvwxyz"
BECAME = (
    ("f", Outcome.FOUND.name, "found, brought back or replaced: it is in its place"),
    ("l", Outcome.LENT.name, "lent: to whom, and until which day"),
    ("a", Outcome.LEFT.name, "left somewhere: where"),
    ("b", Outcome.BROKEN.name, "broken"),
    ("x", Outcome.LOST.name, "lost"),
    ("n", "", "not known yet"),
)


class EveningAsking(EveningShown):
    """Outcomes by a menu, words and days in one line, one question after the other."""

    def __init__(self) -> None:
        super().__init__()
        self._questions: deque[Short] = deque()

    def half_filled(self) -> bool:
        """What was typed, and marks in a place that is not counted, are not stored yet."""
        line = self.query_one(AskLine)
        return (line.asking and bool(line.typed)) or any(self.counting.marks.values())

    # ---- what became of it

    def ask_outcomes(self, shorts: Iterable[Short]) -> None:
        """Ask of each of these what became of it."""
        self._questions.extend(shorts)
        self._ask_next()

    def _ask_next(self) -> None:
        if self._questions and self.view is not None:
            short = self._questions.popleft()
            title = f"What became of it? {short_name(self.view, short)}"
            self.app.push_screen(Menu(title, BECAME), lambda name: self._became(short, name))

    def _became(self, short: Short, name: str | None) -> None:
        view = self.view
        if not name or view is None:
            self._ask_next()
            return
        what = short_name(view, short)
        outcome = Outcome[name]
        if outcome is Outcome.LENT:
            self.ask(f"{what} lent to", lambda who: self._until(view, short, who))
        elif outcome is Outcome.LEFT:
            self.ask(f"{what} left at", lambda where: self._settle(short, outcome, where))
        elif outcome is Outcome.FOUND:
            asked = "Found where (Enter: not said)"
            self.ask(asked, lambda where: self._settle(short, outcome, where), nothing=True)
        else:
            asked = f"{outcome.value.capitalize()}: a note (Enter: none)"
            self.ask(asked, lambda note: self._settle(short, outcome, note=note), nothing=True)

    def _until(self, view: EveningView, short: Short, who: str) -> None:
        def given(typed: str) -> None:
            day, lent = day_typed(view, typed), Outcome.LENT
            # Said here too, so that what is wrong stands at the line.
            settled_as(view.kit, view.seen.book, short, lent, view.today, who, day)
            self._settle(short, lent, who, day)

        self.ask("To be back on (like 2026-12-01)", given)

    def _settle(
        self,
        short: Short,
        outcome: Outcome,
        where: str = "",
        until: date | None = None,
        note: str = "",
    ) -> None:
        view, when = self.view, self.toolbox.when()
        if view is not None:
            today = view.today
            self.send(
                lambda folder: settle_short(
                    folder, short, outcome, today, when, where, until, note
                ),
                f"{short_name(view, short)}: {outcome.value}.",
            )
        self._ask_next()

    # ---- decisions

    def ask_release(self, bike: Held) -> None:
        """Ask why a bike may go out all the same."""

        def given(reason: str) -> None:
            when = self.toolbox.when()
            words = f"Bike {bike.bike} may go out."
            self.send(lambda folder: release_bike(folder, bike.bike, reason, when), words)

        self.ask(f"Why may bike {bike.bike} go out", given)

    def ask_close(self, view: EveningView) -> None:
        """Ask why the day is closed as not complete."""
        self.ask("Why is the day not complete", lambda reason: self.close(view, reason))

    def close(self, view: EveningView, reason: str = "") -> None:
        """Close the day, as complete if it is."""
        when, day = self.toolbox.when(), view.seen.day
        how = "not complete" if reason else "complete"
        words = f"The day is closed as {how}."
        self.send(lambda folder: close_day(folder, day, reason, when), words)

    # ---- supplies

    def ask_amount(self, view: StockView, key: str) -> None:
        """Ask how much of a supply is there."""
        task = view.task(key)
        if task is None:
            return

        def given(typed: str) -> None:
            # Said here too, so that what is wrong stands at the line.
            amount_counted(view, task, typed)
            when = self.toolbox.when()
            words = f"{task.words}: {typed}."
            self.send(
                lambda folder: count_task(folder, view, key, typed, when), words, (RESTOCK, key)
            )

        self.ask(capital(task.words), given)

    def ask_came_in(self, view: StockView) -> None:
        """Ask what of the things to buy came in, or what else, and how much of it."""
        buys = [buy for _, some in view.listed.to_buy() for buy in some][: len(LETTERS) - 1]
        rows = [(x, buy.supply, buy.words) for x, buy in zip(LETTERS, buys, strict=False)]
        rows.append(("z", "", "something else"))

        def chosen(supply: str | None) -> None:
            if supply:
                self._ask_amount_in(view, supply)
            elif supply is not None:
                self.ask("A few letters of the supply", lettered)

        def lettered(letters: str) -> None:
            self._ask_amount_in(view, supply_named(view.kit, letters).id)

        self.app.push_screen(Menu("What came in", rows), chosen)

    def _ask_amount_in(self, view: StockView, supply: str) -> None:
        name = view.listed.held[supply].supply.name

        def given(typed: str) -> None:
            # Said here too, so that what is wrong stands at the line.
            came_in(view, supply, typed)
            when = self.toolbox.when()
            words = f"{name}: {typed} came in, into the reserve."
            self.send(lambda folder: write_came_in(folder, view, supply, typed, when), words)

        self.ask(f"{name}: how much came in", given, wanted_in(view, supply))

    def ask_opened(self, view: StockView) -> None:
        """Ask of which supply a fresh pack was opened."""
        supplies = ageing(view)[: len(LETTERS)]
        if not supplies:
            self.toolbox.tell("Of no supply the kit says how long it is good once opened.")
            return
        rows = [(x, one.id, one.name) for x, one in zip(LETTERS, supplies, strict=False)]

        def chosen(supply: str | None) -> None:
            if supply is not None:
                when = self.toolbox.when()
                words = f"{view.listed.held[supply].supply.name}: a fresh pack is open."

                def do(folder: KitFolder) -> str:
                    return write_opened(folder, view, supply, when)

                # once the focus is back from the menu, which says what can be done here
                self.call_after_refresh(self.send, do, words)

        self.app.push_screen(Menu("Of what was a fresh pack opened", rows), chosen)

    # ---- which thing

    def ask_thing(self, view: EveningView) -> None:
        """Ask for a thing by a few letters; the mark goes to it."""

        def given(letters: str) -> None:
            found = thing_meant(view, letters)
            if found.only is not None:
                self.mark_thing(found.only.id)
            elif found.found:
                some = found.found[: len(LETTERS)]
                rows = [
                    (letter, one.id, one.name) for letter, one in zip(LETTERS, some, strict=False)
                ]
                menu = Menu(f'What goes by "{letters}"', rows)
                self.app.push_screen(menu, self._thing_chosen)
            else:
                near = "; ".join(one.name for one in found.near)
                raise DeskError(
                    f'nothing goes by "{letters}"{f"; near it: {near}" if near else ""}'
                )

        self.ask("A few letters of the thing", given)

    def _thing_chosen(self, key: str | None) -> None:
        if key is not None:
            self.mark_thing(key)

    def mark_thing(self, key: str) -> None:
        """Put the mark on this thing, in its place."""
        self.see(COUNT, focus=False)
        self.query_one(AskLine).let_go()
        self.counting.to_thing(key)

    # ---- writing

    def send(self, do: Do, words: str, mark: Mark | None = None) -> None:
        """Have this written; ``words`` say what was done, ``mark`` what it is about."""
        if self.pen is not None:
            self.pen.send(do, mark)
            self.say(f"{words} u takes it back.{BEING_WRITTEN}")

    # ---- a line to answer in

    def ask(
        self, words: str, then: Callable[[str], None], value: str = "", *, nothing: bool = False
    ) -> None:
        """Ask this in the line below; ``then`` hears the answer, and refuses by DeskError.

        With ``nothing`` an empty line is an answer.
        """
        self.query_one(AskLine).ask(
            words, lambda typed: then(typed.strip()), value, nothing=nothing
        )

    @on(AskLine.Left)
    def left(self, event: AskLine.Left) -> None:
        """The line was left without an answer; what was not asked yet is asked next."""
        event.stop()
        self._ask_next()
