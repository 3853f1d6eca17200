"""A line of letters above a list that it narrows, with words of the place behind it."""

from __future__ import annotations

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from toolbox.tui.widgets.entry import Entry, leave_line


class FilterLine(Horizontal):
    """The entry `#filter`; its title shows whether letters go into it. Enter leaves it.

    The place listens to ``Entry.Changed`` of `#filter`, and fills the `Static` behind it,
    whose id is ``behind``.
    """

    DEFAULT_CSS = """
    FilterLine { height: 1; padding: 0 1; }
    FilterLine Static { width: auto; }
    FilterLine Entry { width: 1fr; }
    """

    def __init__(self, behind: str) -> None:
        super().__init__()
        self._behind = behind

    def compose(self) -> ComposeResult:
        """Title, entry, the words behind it."""
        yield Static(self._titled(False), classes="filter--title", markup=False)
        yield Entry(id="filter", select_on_focus=False)
        yield Static("", id=self._behind, markup=False)

    @staticmethod
    def _titled(held: bool) -> Text:
        return Text(f"Filter {'>' if held else ':'} ")

    def on_descendant_focus(self) -> None:
        """Letters go into the line now."""
        self.query_one(".filter--title", Static).update(self._titled(True))

    def on_descendant_blur(self) -> None:
        """Letters go elsewhere."""
        self.query_one(".filter--title", Static).update(self._titled(False))

    @on(Entry.Submitted)
    def _enough(self, event: Entry.Submitted) -> None:
        event.stop()
        leave_line(self.screen)
