"""Beside the map of the box: a title above each picture, and lines about what is marked."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from datetime import date

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.why import Reason, explain_place
from toolbox.desk.why_words import place_line, why_sentences
from toolbox.layout.watch import StopSwitch
from toolbox.tui.text import cells, cut, fit, plain, wrapped
from toolbox.tui.widgets.box_map import BoxMap

LEGEND = "Use: . hardly  : seldom  = now and then  # most    * to move  > cursor"
STEPS = "use . : = # more"
OTHERS = 4  # other places named of those that would cost more


class Title(Widget):
    """What a picture shows; at the right what its signs mean, where there is room."""

    DEFAULT_CSS = """
    Title { height: 1; text-style: bold; padding: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.words = ""

    def show(self, words: str) -> None:
        """Say what the picture shows."""
        self.words = words
        self.refresh()

    def render(self) -> Text:
        """One line as wide as the widget."""
        width = self.size.width
        room = width - len(STEPS)
        title = plain(self.words)
        return fit(title, room) + Text(STEPS) if cells(title) + 2 <= room else cut(title, width)


class Pane(Vertical):
    """One layout: its title over its map."""

    DEFAULT_CSS = """
    Pane { width: 1fr; height: 1fr; display: none; }
    Pane.-active { display: block; }
    Pane.-active > Title { text-style: bold underline; }
    """

    def __init__(self, name: str) -> None:
        super().__init__(id=name)
        self.title = Title()
        self.map = BoxMap()

    def compose(self) -> ComposeResult:
        """Title and map."""
        yield self.title
        yield self.map


class About(VerticalScroll, can_focus=False):
    """A few lines about what is under the cursor; more of them when asked why."""

    DEFAULT_CSS = """
    About { height: 5; padding: 0 1; border-top: solid $primary; scrollbar-gutter: stable; }
    About.-why { height: 13; max-height: 65%; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._lines: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """One text."""
        yield Static("", id="about", markup=False)

    def show(self, lines: Sequence[str]) -> None:
        """Show these lines, the first one bold; below them what the signs mean, if it fits."""
        self._lines = tuple(line for line in lines if line)
        self.on_resize()
        self.scroll_home(animate=False)

    def on_resize(self) -> None:
        """Parted anew for another width."""
        width, height = self.scrollable_content_region.size
        width = max(2, width)
        parts = [wrapped(line, width) for line in self._lines]
        shown = [line for part in parts for line in part]
        for line in parts[0] if parts else ():
            line.stylize("bold")
        legend = wrapped(LEGEND, width)
        if len(shown) + len(legend) <= height:
            shown += legend
        self.query_one("#about", Static).update(Text("\n").join(shown))

    @property
    def words(self) -> str:
        """What is shown, as plain text."""
        return "\n".join(plain(line).plain for line in self._lines)


class WhyCame(Message):
    """Why a copy lies where it lies, in lines; ``number`` tells which question it answers."""

    def __init__(self, number: int, lines: tuple[str, ...]) -> None:
        super().__init__()
        self.number = number
        self.lines = lines


def ask_why(
    folder: KitFolder,
    today: date,
    copy: str,
    present: bool,
    number: int,
    post: Callable[[Message], object],
) -> tuple[StopSwitch, threading.Thread]:
    """Work out in a thread of its own why a copy lies where it lies; ``post`` gets `WhyCame`."""
    stop = StopSwitch()

    def work() -> None:
        try:
            reason = explain_place(folder, today, copy, present=present)
            lines = why_lines(folder, reason, present)
        except DeskError as error:
            lines = (str(error),)
        if not stop():
            post(WhyCame(number, lines))

    thread = threading.Thread(target=work, name="why", daemon=True)
    thread.start()
    return stop, thread


def why_lines(folder: KitFolder, reason: Reason, present: bool) -> tuple[str, ...]:
    """The reason as short lines: sentences, then other places, cheapest first."""
    shown = reason.others[: len(reason.better) + OTHERS]
    places = [place_line(other) for other in shown]
    sentences = why_sentences(folder.kit, reason, present)
    return (*sentences, "Elsewhere, cheapest first:", *places)
