"""What is to be done before a flight, beside the bags of its trip: all findings as a list."""

from __future__ import annotations

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from toolbox.desk.flight_view import FindingLine
from toolbox.tui.text import plain
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Lined

FINDINGS = (
    Column("do", width=10),
    Column("what", share=3, least=20),
    Column("in", share=2, least=10, priority=1),
)
NONE_FOUND = "Nothing is in the way, as far as the figures and rules here go."


class FindingSource(Lined[FindingLine]):
    """Findings as rows."""

    def cells(self, i: int) -> tuple[Text, ...]:
        """What to do, about what, where it lies."""
        line = self.lines[i]
        return Text(line.deed), plain(line.name), plain(line.bag)


class FindingsPane(Vertical):
    """What is to be done before the flight, with all that is said of the marked one."""

    DEFAULT_CSS = """
    FindingsPane #listed { height: 1fr; }
    FindingsPane VerticalScroll { height: auto; max-height: 50%; }
    FindingsPane #why { height: auto; padding: 0 1; }
    """

    def compose(self) -> ComposeResult:
        """The list, and the marked one in full."""
        yield Rows(FINDINGS, empty=NONE_FOUND, id="listed")
        with VerticalScroll(can_focus=False):
            yield Static("", id="why", markup=False)

    @property
    def rows(self) -> Rows:
        """The list."""
        return self.query_one("#listed", Rows)

    @property
    def marked(self) -> FindingLine | None:
        """The finding under the cursor."""
        source = self.rows.source
        if not isinstance(source, FindingSource) or not source.lines:
            return None
        return source.lines[self.rows.cursor_row]

    def show(self, lines: tuple[FindingLine, ...]) -> None:
        """Show these; the mark stays on the one it was on."""
        self.rows.refill(FindingSource(lines))
        self._tell()

    @on(Rows.Moved)
    def _moved(self, event: Rows.Moved) -> None:
        event.stop()
        self._tell()

    def _tell(self) -> None:
        marked = self.marked
        self.query_one("#why", Static).update(plain(marked.words if marked is not None else ""))
