"""A line that asks for one thing, with what is wrong with the answer below it."""

from __future__ import annotations

from collections.abc import Callable

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from toolbox.desk.errors import DeskError
from toolbox.tui.text import plain
from toolbox.tui.widgets.entry import Answer, Entry


class AskLine(Vertical):
    """One line that asks for something, with what is wrong below it; hidden until it asks.

    What was typed goes to the function given with the question, which refuses by DeskError.
    The focus comes back to where it was. Posts `Left` when it is left without an answer.
    """

    DEFAULT_CSS = """
    AskLine { height: auto; display: none; }
    AskLine.-asking { display: block; }
    AskLine Horizontal { height: 1; }
    AskLine .ask--asked { width: auto; max-width: 75%; text-style: bold; }
    AskLine Entry { width: 1fr; }
    AskLine .ask--wrong { height: auto; color: $error; text-style: bold; display: none; }
    AskLine.-wrong .ask--wrong { display: block; }
    """

    class Left(Message):
        """The line was left without an answer."""

    def __init__(self) -> None:
        super().__init__()
        self._nothing = False
        self._then: Callable[[str], None] | None = None
        self._held: Widget | None = None

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

    def ask(
        self, words: str, then: Callable[[str], None], value: str = "", *, nothing: bool = False
    ) -> None:
        """Ask this; the line takes the focus, ``then`` hears the answer and may ask again.

        With ``nothing`` an empty line is an answer.
        """
        if not self.asking:
            self._held = self.screen.focused
        self._nothing, self._then = nothing, then
        self.query_one(".ask--asked", Static).update(plain(f"{words} > "))
        entry = self.query_one(Entry)
        entry.value = value
        entry.cursor_position = len(value)
        self.remove_class("-wrong")
        self.add_class("-asking")
        entry.focus()

    def let_go(self) -> None:
        """The focus does not come back: the answer put it somewhere else."""
        self._held = None

    def _over(self) -> None:
        self.remove_class("-asking", "-wrong")
        if self._held is not None:
            self._held.focus()
            self._held = None

    @property
    def typed(self) -> str:
        """What stands in the line."""
        return self.query_one(Entry).value

    @on(Entry.Submitted)
    def _given(self, event: Entry.Submitted) -> None:
        event.stop()
        if self._then is None or not (event.value.strip() or self._nothing):
            return
        then, self._then = self._then, None
        try:
            then(event.value)
        except DeskError as error:
            # What is wrong stands below; what was typed stays there to be mended.
            self._then = then
            self.query_one(".ask--wrong", Static).update(plain(str(error)))
            self.add_class("-wrong")
            return
        if self._then is None:
            self._over()

    @on(Entry.Changed)
    def _changed(self, event: Entry.Changed) -> None:
        event.stop()
        self.remove_class("-wrong")

    @on(Entry.Left)
    def _left(self, event: Entry.Left) -> None:
        event.stop()
        self._then = None
        self._over()
        self.post_message(self.Left())
