"""The list of the night before a flight, worked through on the screen: ticks, counts, notes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, cast

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message

from toolbox.desk.checklist import (
    Checklist,
    Line,
    carried_over,
    counted,
    noted,
    ticked,
    unticked,
    write_said,
)
from toolbox.desk.diary import When
from toolbox.desk.figures import capital
from toolbox.desk.folder import KitFolder
from toolbox.desk.preflight import preflight
from toolbox.desk.trips import open_flight
from toolbox.kit.facts import LineSaid, LineState
from toolbox.tui.screens.flight_pen import Write
from toolbox.tui.session import Post
from toolbox.tui.undoing import take_back_now
from toolbox.tui.widgets.checklist import CheckLine, CheckList, State

if TYPE_CHECKING:
    from toolbox.tui.app import ToolboxApp

STATES: dict[LineState, State] = {
    LineState.OPEN: "open",
    LineState.DONE: "done",
    LineState.CARRIED: "skipped",
}
Say = Callable[[Checklist, str], LineSaid]
SAY: dict[State, Say] = {
    "open": unticked,
    "done": ticked,
    "skipped": carried_over,
}
WEIGH = "weigh:"  # how the keys of lines begin that a reading makes done


class Said(Message):
    """Something said of a line is on the disk: the entry, and its state then; None: refused."""

    def __init__(self, key: str, entry: str, state: State | None) -> None:
        super().__init__()
        self.key = key
        self.entry = entry
        self.state = state


def check_line(line: Line) -> CheckLine:
    """A line of the desk's list as the widget shows it."""
    pieces = line.pieces or 0
    detail = f"{line.why} [{line.source}]"
    return CheckLine(
        line.key,
        capital(line.words),
        f"{detail}. {line.by_itself}" if line.by_itself else detail,
        STATES[line.state],
        (line.counted, pieces) if pieces > 1 else None,
        line.note,
    )


class ChecksPane(Vertical):
    """The list of one trip. Posts `ToWeigh` for a line that only a reading makes done."""

    class ToWeigh(Message):
        """This bag is to be weighed."""

        def __init__(self, bag: str) -> None:
            super().__init__()
            self.bag = bag

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.entries: list[str] = []
        self._trip = ""
        self._today = date.min
        self._lines: dict[str, Line] = {}
        self._write: Write | None = None
        self._when: Callable[[], When] | None = None

    def compose(self) -> ComposeResult:
        """The list."""
        yield CheckList(empty="nothing is left to do", details=False)

    @property
    def list(self) -> CheckList:
        """The list."""
        return self.query_one(CheckList)

    def begin(self, write: Write, when: Callable[[], When], today: date) -> None:
        """What is said of lines is written by ``write``, as of ``when``."""
        self._write, self._when, self._today = write, when, today

    def show(self, listed: Checklist) -> None:
        """Show this list as it stands in the journal."""
        if listed.about != self._trip:
            self._trip = listed.about
            self.entries.clear()
        self._lines = {line.key: line for line in listed.lines}
        self.list.show([check_line(line) for line in listed.lines])

    def take_back(self) -> bool:
        """The last thing said of a line from here is taken back; False when there is none."""
        if self.entries:
            take_back_now(cast("ToolboxApp", self.app), self.entries.pop())
            return True
        return False

    # ---- what is said of lines

    @on(CheckList.Ticked)
    def _ticked(self, event: CheckList.Ticked) -> None:
        event.stop()
        line = self._lines.get(event.key)
        if line is not None and line.by_itself and event.state == "done":
            self.list.settle(event.key)
            if event.key.startswith(WEIGH):
                self.post_message(self.ToWeigh(event.key.removeprefix(WEIGH)))
            return
        self._say(event.key, event.state, SAY[event.state])

    @on(CheckList.WasDone)
    def _was_done(self, event: CheckList.WasDone) -> None:
        event.stop()

    @on(CheckList.Counted)
    def _counted(self, event: CheckList.Counted) -> None:
        event.stop()
        self._say(event.key, None, lambda listed, key: counted(listed, key, event.count))

    @on(CheckList.Noted)
    def _noted(self, event: CheckList.Noted) -> None:
        event.stop()
        self._say(event.key, None, lambda listed, key: noted(listed, key, event.note))

    def _say(
        self, key: str, state: State | None, say: Callable[[Checklist, str], LineSaid]
    ) -> None:
        if self._write is None or self._when is None:
            return
        saying = Saying(self._trip, self._today, key, state, say, self._when(), self.post_message)
        self._write(saying, lambda _: "")

    @on(Said)
    def _said(self, event: Said) -> None:
        event.stop()
        if event.entry:
            self.entries.append(event.entry)
        self.list.settle(event.key, event.state)


class Saying:
    """Something said of a line, as a change of the kit; `Said` is posted once it is over."""

    def __init__(
        self,
        trip: str,
        today: date,
        key: str,
        state: State | None,
        say: Say,
        when: When,
        post: Post,
    ) -> None:
        self._trip, self._today, self._key = trip, today, key
        self._state, self._say, self._when, self._post = state, say, when, post

    def __call__(self, folder: KitFolder) -> None:
        """Write it into this kit's journal."""
        message = Said(self._key, "", None)
        try:
            listed = preflight(open_flight(folder, self._trip, self._today))
            entry = write_said(folder, [self._say(listed, self._key)], self._when)
            message = Said(self._key, entry, self._state)
        finally:
            self._post(message)
