"""One line to type into, that takes only signs which can be shown."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.events import Key
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input

from toolbox.tui.text import clean


class Entry(Input):
    """A line without a frame. What is pasted or scanned loses its control signs.

    Escape leaves it for the list it stands beside (the first thing that is not a line
    to type into), and posts `Left`.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave the field", show=False, id="entry.leave"),
    ]

    DEFAULT_CSS = """
    Entry, Entry:focus {
        border: none;
        height: 1;
        padding: 0;
        background: $surface;
        color: $foreground;
    }
    Entry > .input--placeholder { color: $foreground; text-style: italic; }
    Entry:nocolor > .input--cursor { text-style: reverse; }
    Entry:nocolor > .input--selection { text-style: underline; }
    """

    class Left(Message):
        """The line was left without taking what stands in it."""

        def __init__(self, entry: Entry) -> None:
            super().__init__()
            self.entry = entry

        @property
        def control(self) -> Entry:
            """The line that was left."""
            return self.entry

    def validate_value(self, value: str) -> str:
        """What may stand in the line: one line without control signs."""
        return clean(value)

    async def _on_key(self, event: Key) -> None:
        """Keys that edit act in their turn: as bindings they would come after all that waits.

        Over a slow line many keys arrive together, and a key that takes letters away must
        not take those that were typed after it.
        """
        for binding in self._bindings.key_to_bindings.get(event.key, ()):
            event.stop()
            event.prevent_default()
            await self.run_action(binding.action)
            return
        await super()._on_key(event)

    def action_leave(self) -> None:
        """One step back out of the line."""
        leave_line(self.screen)
        self.post_message(self.Left(self))


class Answer(Entry):
    """A line that opens to ask one thing: Enter gives the answer, Escape gives none.

    No other key of the place it is in is heard meanwhile.
    """

    answers: ClassVar[bool] = True


def leave_line(screen: Screen[Any]) -> None:
    """Give the focus to the first thing on the screen that is not a line to type into."""
    others = [widget for widget in screen.focus_chain if not isinstance(widget, Input)]
    screen.set_focus(others[0] if others else None)
