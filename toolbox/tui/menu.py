"""A small menu over the screen: one letter or a move and Enter, Escape for none."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from toolbox.tui.text import plain, wrapped
from toolbox.tui.widgets.options import Options


class Menu(ModalScreen[str | None]):
    """Choices of (letter, id, words); dismissed with the id chosen or None."""

    DEFAULT_CSS = """
    Menu { align: center middle; background: $background 0%; }
    Menu > Vertical {
        width: auto; min-width: 30; max-width: 90%; height: auto; max-height: 90%;
        border: solid $primary; background: $surface; padding: 0 1;
    }
    Menu OptionList {
        width: auto; min-width: 28; height: auto; border: none; padding: 0; background: $surface;
    }
    Menu .title { text-style: bold; width: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "choose_none", "Back", show=False)]

    def __init__(self, title: str, choices: Sequence[tuple[str, str, str]]) -> None:
        super().__init__()
        self._title = title
        self._choices = tuple(choices)
        self._answered = False

    def compose(self) -> ComposeResult:
        """Title, then a line for each choice."""
        with Vertical():
            title = Text("\n").join(wrapped(plain(self._title), self._room))
            yield Static(title, classes="title", markup=False)
            yield Options(
                *(Option(self._line(letter, words), id=i) for letter, i, words in self._choices)
            )

    @property
    def _room(self) -> int:
        """Columns inside the frame at its widest."""
        return max(20, self.app.size.width * 9 // 10 - 4)

    def _line(self, letter: str, words: str) -> Text:
        lead = f"{letter}  "
        lines = wrapped(plain(words), self._room - len(lead))
        return Text(lead, "bold").append_text(Text("\n" + " " * len(lead)).join(lines))

    @on(OptionList.OptionSelected)
    def choose(self, event: OptionList.OptionSelected) -> None:
        """Enter or a click on a line."""
        self._answer(event.option_id)

    def action_choose_none(self) -> None:
        """Back, with nothing chosen."""
        self._answer(None)

    def _answer(self, name: str | None) -> None:
        # A second key can arrive before the menu is gone; the first one counts.
        if not self._answered:
            self._answered = True
            self.dismiss(name)

    def on_key(self, event: Key) -> None:
        """A letter chooses at once."""
        for letter, name, _ in self._choices:
            if event.character == letter:
                event.stop()
                self._answer(name)
                return
