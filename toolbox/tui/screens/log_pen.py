"""Writing into the log from the screen: by who sits here, now, in the session's order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.message import Message

from toolbox.desk.diary import (
    Done,
    Entry,
    When,
    bring_back,
    log_job,
    pick_tools,
    spend_supply,
)
from toolbox.desk.folder import KitFolder
from toolbox.desk.log_cautions import past_dates
from toolbox.tui.screens.log_job import Order
from toolbox.tui.undoing import take_back_now

if TYPE_CHECKING:
    from toolbox.tui.app import ToolboxApp


@dataclass(frozen=True, slots=True)
class Marks:
    """What goes with a pick or a use of a supply."""

    bike: str
    urgent: bool
    note: str


class NotWritten(Message):
    """These steps of a visit did not get into the log."""

    def __init__(self, visit: str, order: Order) -> None:
        super().__init__()
        self.visit = visit
        self.order = order


class Written(Message):
    """This entry is on the disk; ``cautions`` are what must not go unsaid about it."""

    def __init__(self, entry: Entry, cautions: tuple[str, ...]) -> None:
        super().__init__()
        self.entry = entry
        self.cautions = cautions


class Pen:
    """Orders entries; each is posted as `Written` once it is on the disk."""

    def __init__(self, toolbox: ToolboxApp, post: Callable[[Message], object]) -> None:
        self._toolbox = toolbox
        self._post = post

    def log(self, done: Done, order: Order) -> None:
        """Steps of a visit; `NotWritten` is posted if that fails."""

        def write(folder: KitFolder, when: When) -> Entry:
            try:
                return log_job(folder, done, when)
            except Exception:
                self._post(NotWritten(done.visit, order))
                raise

        self._write(write)

    def pick(self, tool: str, marks: Marks) -> None:
        """A tool picked outside any job."""
        self._write(
            lambda folder, when: pick_tools(
                folder, [tool], when, urgent=marks.urgent, bike=marks.bike, note=marks.note
            )
        )

    def spend(self, supply: str, amount: str, marks: Marks) -> None:
        """A supply used outside any job."""
        self._write(
            lambda folder, when: spend_supply(
                folder, supply, amount, when, bike=marks.bike, note=marks.note
            )
        )

    def _write(self, write: Callable[[KitFolder, When], Entry]) -> None:
        when = self._toolbox.when()

        def do(folder: KitFolder) -> None:
            before = folder.live
            entry = write(folder, when)
            past = past_dates(folder.kit, before, entry.facts, entry.at.date())
            self._post(Written(entry, past))

        self._toolbox.write(do, lambda _: "")  # the list of entries says it

    def toggle(self, entry: Entry) -> None:
        """Take an entry back, or bring it back if that was done."""
        when = self._toolbox.when()
        if entry.live:
            take_back_now(self._toolbox, entry.id)
        else:
            self._toolbox.write(lambda folder: bring_back(folder, entry.id, when), _brought_back)


def _brought_back(entry: Entry) -> str:
    return f"Brought back: {entry.words}"
