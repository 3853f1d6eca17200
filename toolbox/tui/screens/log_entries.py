"""The last entries of the log, and what the newest changed in the ranking."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from toolbox.desk.diary import Entry
from toolbox.tui.text import cells, plain
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row

SHOWN = 50
TAKEN_BACK = "taken back"
BIKE_WIDE = 12  # columns for the name of a bike at the most


class LastEntries(Vertical):
    """Newest first; one that was taken back stays there and says so.

    Above them what the newest changed; while one goes through them, all of the marked one.
    """

    DEFAULT_CSS = """
    LastEntries #shift {
        height: auto; min-height: 2; max-height: 3; padding: 0 1; text-style: bold;
    }
    LastEntries Rows { height: 1fr; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._entries: tuple[Entry, ...] = ()
        self._today = date.min
        self._shift = ""

    def compose(self) -> ComposeResult:
        """What moved, and the rows."""
        yield Static("", id="shift", markup=False)
        yield Rows(_columns(()), head=False, empty="nothing logged yet")

    @property
    def rows(self) -> Rows:
        """The list of entries."""
        return self.query_one(Rows)

    @property
    def marked(self) -> Entry | None:
        """The entry under the cursor."""
        key = self.rows.cursor_key
        return next((entry for entry in self._entries if entry.id == key), None)

    def show(self, entries: Sequence[Entry], today: date) -> None:
        """Show these; the cursor is on the newest unless one is about in the list."""
        self._entries, self._today = tuple(entries), today
        self.rows.columns = _columns(entries)
        self.rows.refill(Listed([_row(entry, today) for entry in entries]))
        if entries and not self.rows.has_focus:
            self.rows.move_to(entries[0].id)
        self._tell()

    def put_first(self, entry: Entry) -> None:
        """Show one that was written just now, before a picture has it."""
        if all(entry.id != shown.id for shown in self._entries):
            self.show((entry, *self._entries), self._today)

    def tell(self, words: str) -> None:
        """Say what the newest entry changed."""
        self._shift = words
        self._tell()

    def _tell(self) -> None:
        marked = self.marked if self.rows.has_focus else None
        words = self._shift
        if marked is not None:
            words = marked.words if marked.live else f"{TAKEN_BACK}: {marked.words}"
        self.query_one("#shift", Static).update(plain(words))

    @on(Rows.Moved)
    def _moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._tell()

    def on_descendant_focus(self) -> None:
        """One goes through the entries: the marked one is told whole."""
        self._tell()

    def on_descendant_blur(self) -> None:
        """What changed in the ranking stands there again."""
        self.call_after_refresh(self._tell)


def _columns(entries: Sequence[Entry]) -> tuple[Column, ...]:
    """When, the bike, what was done, whether it was taken back; none that stays empty."""
    bike = max((min(BIKE_WIDE, cells(entry.bike)) for entry in entries), default=0)
    state = any(not entry.live for entry in entries)
    return (
        Column("when", width=5),
        Column("bike", width=bike),
        Column("entry", least=20),
        Column("state", width=len(TAKEN_BACK) if state else 0),
    )


def _row(entry: Entry, today: date) -> Row:
    at = entry.at.strftime("%H:%M" if entry.at.date() == today else "%m-%d")
    state = "" if entry.live else TAKEN_BACK
    return Row(entry.id, tuple(map(plain, (at, entry.bike, entry.work or entry.words, state))))
