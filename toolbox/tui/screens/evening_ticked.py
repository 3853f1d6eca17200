"""What is ticked off in the evening: restocking with what to buy, and the mechanic's own lists."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual import on
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.message import Message
from textual.widgets import Static

from toolbox.desk.checklist import Line
from toolbox.desk.diary import When
from toolbox.desk.evening_lists import (
    ListsView,
    list_lines,
    say_count,
    say_note,
    say_state,
    title_words,
)
from toolbox.desk.evening_stock import DONE, StockView, buy_lines, do_task, stock_lines
from toolbox.desk.figures import capital
from toolbox.desk.folder import KitFolder
from toolbox.desk.lists import OpenList
from toolbox.kit.facts import LineState
from toolbox.tui.screens.evening_pen import Do
from toolbox.tui.screens.flight_checks import STATES
from toolbox.tui.text import plain
from toolbox.tui.widgets.checklist import CheckLine, CheckList, State
from toolbox.tui.widgets.words import WordsPane, lines_text

LINE_STATES: dict[State, LineState] = {state: line for line, state in STATES.items()}
WAS_DONE = "That line is done already; x on it opens it again."
STAYS = "It stays on the list until it is done."
Say = Callable[[KitFolder, When], str]


@dataclass(frozen=True, slots=True)
class Saying:
    """Something to be written of a line: how, the state it then has, and in words."""

    key: str
    do: Say
    words: str
    state: State | None = None

    def at(self, when: When) -> Do:
        """The same at that time, to be carried out on a kit."""
        return lambda folder: self.do(folder, when)


class TickPane(Container):
    """A checklist whose ticks are written by the screen it stands on."""

    class Said(Message):
        """This is to be written."""

        def __init__(self, pane: TickPane, saying: Saying) -> None:
            super().__init__()
            self.pane = pane
            self.saying = saying

    class Asked(Message):
        """This line needs a figure before it is done."""

        def __init__(self, key: str) -> None:
            super().__init__()
            self.key = key

    class Leads(Message):
        """This line is done elsewhere."""

        def __init__(self, key: str) -> None:
            super().__init__()
            self.key = key

    class TakeBack(Message):
        """This entry is to be taken back."""

        def __init__(self, entry: str) -> None:
            super().__init__()
            self.entry = entry

    @property
    def list(self) -> CheckList:
        """The list."""
        return self.query_one(CheckList)

    def say(self, saying: Saying) -> None:
        """Have it written."""
        self.post_message(self.Said(self, saying))

    def show_lines(self, lines: tuple[Line, ...]) -> None:
        """Show these lines as they stand."""
        self.list.show([check_line(line) for line in lines])

    def to_open(self) -> None:
        """Mark the first line that is open."""
        line = next((line for line in self.list.lines if line.state == "open"), None)
        if line is not None:
            self.list.rows.move_to(line.key)

    @on(CheckList.WasDone)
    def _was_done(self, event: CheckList.WasDone) -> None:
        """A key pressed once too often: on to what is left."""
        event.stop()
        self.notify(WAS_DONE, markup=False)
        self.to_open()


def check_line(line: Line) -> CheckLine:
    """A line of the desk's as the widget shows it: one without a source stands for itself."""
    pieces = line.pieces or 0
    source = f"[{line.source}]" if line.source else ""
    detail = " ".join(part for part in (line.why, source) if part)
    return CheckLine(
        line.key,
        capital(line.words),
        ". ".join(part for part in (detail, line.by_itself) if part),
        STATES[line.state],
        (line.counted, pieces) if pieces > 1 else None,
        line.note,
    )


class Tasks(CheckList):
    """The checklist without notes: stocks keep none."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What cannot be kept is not offered."""
        return False if action == "note" else super().check_action(action, parameters)


class StockPane(TickPane):
    """What to refill, to throw away and to count, in walking order; beside it what to buy."""

    DEFAULT_CSS = """
    StockPane { layout: vertical; }
    StockPane CheckList { height: 3fr; padding: 0 1; }
    StockPane #buys { height: 2fr; border-top: solid $primary; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._view: StockView | None = None

    def compose(self) -> ComposeResult:
        """The list, and what to buy."""
        yield Tasks(empty="nothing to refill, to count or to throw away", details=False)
        yield WordsPane(id="buys")

    @property
    def buys(self) -> WordsPane:
        """What to buy."""
        return self.query_one(WordsPane)

    def mark_supply(self, supply: str) -> bool:
        """Mark the first line about this supply; False when there is none."""
        tasks = self._view.listed.tasks if self._view is not None else ()
        key = next((task.key for task in tasks if task.supply == supply), None)
        return key is not None and self.list.rows.move_to(key)

    def show(self, view: StockView | None, words: tuple[str, ...]) -> None:
        """Show the lists; or in words why there are none to see."""
        if view is not None and view is self._view:
            return
        self._view = view
        self.list.display = view is not None
        if view is None:
            self.buys.head("")
            self.buys.more(words)
            return
        self.show_lines(stock_lines(view))
        trip = view.listed.flight
        self.buys.head(f"For {trip.trip.name}" if trip is not None else "")
        self.buys.more(buy_lines(view))

    @on(CheckList.Ticked)
    def _ticked(self, event: CheckList.Ticked) -> None:
        event.stop()
        view, key = self._view, event.key
        task = view.task(key) if view is not None else None
        if view is not None and task is not None and event.state == "done" and task.done_as_told:

            def do(folder: KitFolder, when: When) -> str:
                return do_task(folder, view, key, when)

            self.say(Saying(key, do, f"{task.words}: done.", "done"))
            return
        self.list.settle(key)
        if task is not None and event.state == "done":
            self.list.rows.move_to(key)
            self.post_message(self.Asked(key))
        elif key.startswith(DONE):
            self.post_message(self.TakeBack(key.removeprefix(DONE).partition(":")[0]))
        else:
            self.list.rows.move_to(key)
            self.notify(STAYS, markup=False)


class ListsPane(TickPane):
    """One of the mechanic's own lists: its title, its lines."""

    DEFAULT_CSS = """
    ListsPane { layout: vertical; }
    ListsPane #title { height: auto; padding: 0 1; text-style: bold; }
    ListsPane CheckList { padding: 0 1; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.name_shown = ""
        self._view: ListsView | None = None

    def compose(self) -> ComposeResult:
        """Title and lines."""
        with Vertical():
            yield Static("", id="title", markup=False)
            yield CheckList(empty="nothing on this list", details=False)

    @property
    def opened(self) -> OpenList | None:
        """The list that is shown."""
        return self._view.named(self.name_shown) if self._view is not None else None

    def show(self, view: ListsView) -> None:
        """Show the list as it stands; or in words why there is none to see."""
        self._view = view
        opened, first = self.opened, not self.name_shown
        self.list.display = opened is not None
        if opened is None:
            self.query_one("#title", Static).update(lines_text(view.words))
            return
        self.name_shown = opened.template.name
        self.query_one("#title", Static).update(plain(title_words(view, opened)))
        self.show_lines(list_lines(opened))
        if first:
            self.to_open()

    def to_next(self) -> bool:
        """Show the next list; False when there is one or none."""
        view, opened = self._view, self.opened
        if view is None or opened is None or len(view.opened) < 2:
            return False
        at = view.opened.index(opened) + 1
        self.name_shown = view.opened[at % len(view.opened)].template.name
        self.show(view)
        self.list.rows.action_first()
        self.to_open()
        return True

    def _words(self, key: str) -> str:
        opened = self.opened
        return opened.item(key).line.words if opened is not None else key

    def _say(
        self, key: str, how: str, do: Callable[..., str], more: object, state: State | None
    ) -> None:
        view, opened = self._view, self.opened
        if view is not None and opened is not None:
            name, day = opened.template.name, view.day

            def carry_out(folder: KitFolder, when: When) -> str:
                return do(folder, name, day, key, more, when)

            self.say(Saying(key, carry_out, f"{self._words(key)}: {how}.", state))

    @on(CheckList.Ticked)
    def _ticked(self, event: CheckList.Ticked) -> None:
        event.stop()
        state, opened = LINE_STATES[event.state], self.opened
        if state is LineState.DONE and opened is not None and opened.leads(event.key):
            self.list.settle(event.key)
            self.list.rows.move_to(event.key)
            self.post_message(self.Leads(event.key))
            return
        self._say(event.key, state.value, say_state, state, event.state)

    @on(CheckList.Counted)
    def _counted(self, event: CheckList.Counted) -> None:
        event.stop()
        self._say(event.key, f"{event.count} done", say_count, event.count, None)

    @on(CheckList.Noted)
    def _noted(self, event: CheckList.Noted) -> None:
        event.stop()
        self._say(event.key, "noted", say_note, event.note, None)
