"""Help: what the place one is in is for, and every key that works in it."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from toolbox.tui.actions import Keys, for_place, key_words
from toolbox.tui.deeds.kinds import EVERYWHERE, Action
from toolbox.tui.text import plain

KEYS = 12  # columns for the keys of a row


class Help(ModalScreen[None]):
    """Text and keys of a place; any of Escape, ? and q closes it."""

    DEFAULT_CSS = """
    Help { align: center middle; background: $background 0%; }
    Help > Vertical {
        width: 90%; max-width: 96; height: 90%; background: $surface;
        border: solid $primary; padding: 0 1;
    }
    Help VerticalScroll { height: 1fr; background: $surface; }
    Help .foot { height: 1; text-style: bold; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,question_mark,f1,q", "dismiss(None)", "Close", show=False)
    ]

    def __init__(self, title: str, place: str, words: str, keys: Keys) -> None:
        super().__init__()
        self._title = title
        self._place = place
        self._words = words
        self._keys = keys

    def compose(self) -> ComposeResult:
        """What the place is for, its keys, the keys that work everywhere."""
        with Vertical():
            with VerticalScroll():
                yield Static(plain(self._title), classes="foot", markup=False)
                yield Static(Text(self._words + "\n"), markup=False)
                here = for_place(self._place)
                if here:
                    yield Static(Text("Keys here", "bold"), markup=False)
                    yield Static(self._table(here), markup=False)
                yield Static(Text("Keys everywhere", "bold"), markup=False)
                yield Static(self._table(for_place(EVERYWHERE)), markup=False)
            yield Static("Esc closes, the arrows scroll", classes="foot", markup=False)

    def _table(self, rows: tuple[Action, ...]) -> Text:
        text = Text()
        for row in rows:
            text.append(f"{key_words(self._keys[row.id]):<{KEYS}} ", "bold")
            text.append(f"{row.help}\n")
        return text
