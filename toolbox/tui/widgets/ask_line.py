"""A line that asks for one thing, with what is wrong with the answer below it."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Static

from toolbox.tui.text import plain
from toolbox.tui.widgets.entry import Answer, Entry


class AskLine(Vertical):
    """One line that asks for something, with what is wrong below it; hidden until it asks.

    Posts `Given` with what was typed; its owner says `wrong` or `done`.
    """

    _nothing = False

    DEFAULT_CSS = """
    AskLine { height: auto; display: none; }
    AskLine.-asking { display: block; }
    AskLine Horizontal { height: 1; }
    AskLine .ask--asked { width: auto; max-width: 75%; text-style: bold; }
    AskLine Entry { width: 1fr; }
    AskLine .ask--wrong { height: auto; color: $error; text-style: bold; display: none; }
    AskLine.-wrong .ask--wrong { display: block; }
    """

    class Given(Message):
        """Something was typed."""

        def __init__(self, typed: str) -> None:
            super().__init__()
            self.typed = typed

    class Left(Message):
        """The line was left without an answer."""

    def compose(self) -> ComposeResult:
        """The question, the line for its answer, what is wrong with it."""
        with Horizontal():
            yield Static("", classes="ask--asked", markup=False)
            yield Answer(select_on_focus=False)
        yield Static("", classes="ask--wrong", markup=False)

    @property
    def asking(self) -> bool:
        """Whether it asks for something now."""
        return self.has_class("-asking")

    def ask(self, words: str, value: str = "", *, nothing: bool = False) -> None:
        """Ask this; the line takes the focus. With ``nothing`` an empty line is an answer."""
        self._nothing = nothing
        self.query_one(".ask--asked", Static).update(plain(f"{words} > "))
        entry = self.query_one(Entry)
        entry.value = value
        entry.cursor_position = len(value)
        self.remove_class("-wrong")
        self.add_class("-asking")
        entry.focus()

    def wrong(self, words: str) -> None:
        """What is wrong with what was typed; it stays there to be mended."""
        self.query_one(".ask--wrong", Static).update(plain(words))
        self.add_class("-wrong")

    def done(self) -> None:
        """Hide the line again."""
        self.remove_class("-asking", "-wrong")

    @property
    def typed(self) -> str:
        """What stands in the line."""
        return self.query_one(Entry).value

    @on(Entry.Submitted)
    def _given(self, event: Entry.Submitted) -> None:
        event.stop()
        if event.value.strip() or self._nothing:
            self.post_message(self.Given(event.value))

    @on(Entry.Changed)
    def _changed(self, event: Entry.Changed) -> None:
        event.stop()
        self.remove_class("-wrong")

    @on(Entry.Left)
    def _left(self, event: Entry.Left) -> None:
        event.stop()
        self.post_message(self.Left())
