"""Choosing a list: its path typed with the files there below, or the list itself pasted in."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Paste
from textual.message import Message
from textual.widgets import Static

from toolbox.desk.intake_view import paths_like
from toolbox.tui.text import plain
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row

ASKED = "List > "
HOW = (
    "The path of a file (CSV, text, or a spreadsheet), or the list itself: copy its cells and "
    "paste them here. Nothing is written before you say so."
)
NO_FILE = "no list and no folder begins so"


class PathEntry(Entry):
    """A line for a path; what is pasted with more than one line is a list and no path."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "to_files", "To the files", show=False, id="path.down"),
    ]

    class Pasted(Message):
        """A list was pasted."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def action_to_files(self) -> None:
        """The keys go to the files below."""
        self.screen.query_one("#files", Rows).focus()

    def _on_paste(self, event: Paste) -> None:
        lines = [line for line in event.text.splitlines() if line.strip()]
        if len(lines) > 1:
            event.prevent_default()
            event.stop()
            self.post_message(self.Pasted(event.text))
        else:
            super()._on_paste(event)


class ListChooser(Vertical):
    """A path with the files that begin so. Posts `Chosen` with a path, `PathEntry.Pasted`."""

    DEFAULT_CSS = """
    ListChooser { height: 1fr; }
    ListChooser Horizontal { height: 1; padding: 0 1; }
    ListChooser .chooser--asked { width: auto; text-style: bold; }
    ListChooser .chooser--how, ListChooser .chooser--wrong { height: auto; padding: 0 1; }
    ListChooser .chooser--wrong { color: $error; text-style: bold; display: none; }
    ListChooser.-wrong .chooser--wrong { display: block; }
    ListChooser Entry { width: 1fr; }
    """

    class Chosen(Message):
        """A file is to be read."""

        def __init__(self, path: str) -> None:
            super().__init__()
            self.path = path

    def __init__(self, start: Path) -> None:
        super().__init__()
        self._start = start

    def compose(self) -> ComposeResult:
        """The line, what may stand in it, what is wrong with it, the files."""
        with Horizontal():
            yield Static(ASKED, classes="chooser--asked", markup=False)
            yield PathEntry(select_on_focus=False, id="path")
        yield Static(HOW, classes="chooser--how", markup=False)
        yield Static("", classes="chooser--wrong", markup=False)
        yield Rows((Column("here", share=1),), empty=NO_FILE, id="files", head=False)

    @property
    def line(self) -> Entry:
        """The line for the path."""
        return self.query_one(PathEntry)

    def begin(self) -> None:
        """The keys go to the line; the files are looked for anew."""
        self._fill()
        self.line.focus()

    def wrong(self, words: str) -> None:
        """What is wrong with the list that was named."""
        self.query_one(".chooser--wrong", Static).update(plain(words))
        self.add_class("-wrong")

    def _fill(self) -> None:
        found = paths_like(self.line.value, self._start)
        # of a long path only the end tells one file from another
        rows = [Row(path, (plain(_own_name(path)),)) for path in found]
        self.query_one(Rows).refill(Listed(rows))

    @on(Entry.Changed)
    def _typed(self, event: Entry.Changed) -> None:
        event.stop()
        self.remove_class("-wrong")
        self._fill()

    @on(Entry.Submitted)
    def _given(self, event: Entry.Submitted) -> None:
        event.stop()
        if event.value.strip():
            self.post_message(self.Chosen(event.value))

    @on(Rows.Chosen)
    def _file(self, event: Rows.Chosen) -> None:
        event.stop()
        self.line.value = event.key
        self.line.cursor_position = len(event.key)
        if event.key.endswith("/"):
            self.line.focus()
        else:
            self.post_message(self.Chosen(event.key))


def _own_name(path: str) -> str:
    head, slash, _ = path.removesuffix("/").rpartition("/")
    return path[len(head + slash) :]
