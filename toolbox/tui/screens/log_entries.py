"""The last entries of the log, and what the newest changed in the ranking."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from toolbox.desk.diary import Entry
from toolbox.tui.text import plain
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row

SHOWN = 50
COLUMNS = (Column("when", width=5), Column("entry", least=20), Column("state", width=10))
TAKEN_BACK = "taken back"


class LastEntries(Vertical):
    """Newest first; one that was taken back stays there and says so."""

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

    def compose(self) -> ComposeResult:
        """What moved, and the rows."""
        yield Static("", id="shift", markup=False)
        yield Rows(COLUMNS, head=False, empty="nothing logged yet")

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
        state = any(not entry.live for entry in entries)
        self.rows.columns = COLUMNS if state else COLUMNS[:2]
        self.rows.refill(Listed([_row(entry, today, state) for entry in entries]))
        if entries and not self.rows.has_focus:
            self.rows.move_to(entries[0].id)

    def put_first(self, entry: Entry) -> None:
        """Show one that was written just now, before a picture has it."""
        if all(entry.id != shown.id for shown in self._entries):
            self.show((entry, *self._entries), self._today)

    def tell(self, words: str) -> None:
        """Say what the newest entry changed."""
        self.query_one("#shift", Static).update(plain(words))


def _row(entry: Entry, today: date, state: bool) -> Row:
    at = entry.at.strftime("%H:%M" if entry.at.date() == today else "%m-%d")
    cells = (plain(at), plain(entry.words), plain("" if entry.live else TAKEN_BACK))
    return Row(entry.id, cells if state else cells[:2])
