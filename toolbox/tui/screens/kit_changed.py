"""Somebody else changed the entry that is open: both sides in words, and which one to keep."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from toolbox.desk.edit import Difference
from toolbox.tui.text import plain
from toolbox.tui.widgets.options import Options

MINE, THEIRS = "mine", "theirs"
NOTHING = "(nothing)"


class Changed(ModalScreen[str | None]):
    """Line by line what was there, what I typed, what is there now; MINE, THEIRS or None."""

    DEFAULT_CSS = """
    Changed { align: center middle; background: $background 0%; }
    Changed > Vertical {
        width: 90%; max-width: 90; height: auto; max-height: 90%;
        border: solid $primary; background: $surface; padding: 0 1;
    }
    Changed VerticalScroll { height: auto; max-height: 14; background: $surface; }
    Changed OptionList { height: auto; border: none; padding: 0; background: $surface; }
    Changed .title { text-style: bold; height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Later", show=False),
    ]

    def __init__(self, name: str, sides: tuple[Difference, ...], gone: bool) -> None:
        super().__init__()
        self._name = name
        self._sides = sides
        self._gone = gone

    def compose(self) -> ComposeResult:
        """What happened, the lines side by side, the two ways."""
        did = "took out" if self._gone else "changed"
        theirs = "Let it go" if self._gone else "Take theirs; what I typed is dropped"
        mine = "Keep mine: add it again" if self._gone else "Keep mine: my lines go over theirs"
        with Vertical():
            yield Static(
                plain(f"Somebody else {did} {self._name} meanwhile."),
                classes="title",
                markup=False,
            )
            with VerticalScroll():
                yield Static(self._text(), markup=False)
            yield Options(
                Option(_way("m", mine), id=MINE),
                Option(_way("t", theirs), id=THEIRS),
            )
            yield Static("Esc decides later; nothing is written before", markup=False)

    def on_mount(self) -> None:
        """Keys go to the two ways."""
        self.query_one(OptionList).focus()

    def _text(self) -> Text:
        text = Text()
        for side in self._sides:
            text.append(f"{side.label}\n", "bold")
            for word, said in (
                ("as opened", side.was),
                ("mine", side.mine),
                ("theirs", side.theirs),
            ):
                text.append(f"  {word:<10} ").append_text(plain(said or NOTHING)).append("\n")
        return text

    @on(OptionList.OptionSelected)
    def choose(self, event: OptionList.OptionSelected) -> None:
        """Enter or a click on one of the ways."""
        self.dismiss(event.option_id)

    def on_key(self, event: Key) -> None:
        """A letter chooses at once."""
        chosen = {"m": MINE, "t": THEIRS}.get(event.character or "")
        if chosen is not None:
            event.stop()
            self.dismiss(chosen)


def _way(key: str, words: str) -> Text:
    return Text(f"{key}  ", "bold").append(words, "not bold")
