"""A place that says on a line of its own what was done last, or what can be done."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding
from textual.widgets import Static

from toolbox.tui.shell import Place
from toolbox.tui.text import plain

BEING_WRITTEN = " Being written."


class SaidLine(Place):
    """The base of places with a line ``#did``; each says itself what it hints at."""

    BINDINGS: ClassVar[list[Binding]] = []

    def __init__(self) -> None:
        super().__init__()
        self._said = ""

    def say(self, words: str) -> None:
        """What was done last; "" for what can be done where the keys go."""
        self._said = words
        self.query_one("#did", Static).update(plain(words or self._hint()))

    def said_is_written(self) -> None:
        """What was done last is on the disk now."""
        if BEING_WRITTEN in self._said:
            self.say(self._said.replace(BEING_WRITTEN, ""))

    def on_descendant_focus(self) -> None:
        """The keys go elsewhere: other things can be done."""
        self.say("")

    def _hint(self) -> str:
        return ""
