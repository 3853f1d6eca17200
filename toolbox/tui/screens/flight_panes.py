"""What stands beside the bags of a trip: findings, the plan, an answer; and a line for a mass."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Static

from toolbox.desk.flight_view import FindingLine
from toolbox.tui.text import plain, wrapped
from toolbox.tui.widgets.entry import Answer, Entry
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column

FINDINGS = (
    Column("do", width=10),
    Column("what", share=3, least=20),
    Column("in", share=2, least=10, priority=1),
)
LEAST = 10  # cells below which no words are laid out
NONE_FOUND = "Nothing is in the way, as far as the figures and rules here go."


def lines_text(lines: Iterable[str]) -> Text:
    """Lines of words one below the other, as they were typed."""
    return Text("\n").join(map(plain, lines))


def hanging(line: str, width: int) -> list[Text]:
    """A line wrapped to a width; what follows "- " stands below what it begins with."""
    lead = "- " if line.startswith("- ") else ""
    pieces = wrapped(line.removeprefix(lead), max(2, width - len(lead)))
    return [
        Text(" " * len(lead) if number else lead) + piece for number, piece in enumerate(pieces)
    ]


class FindingSource:
    """Findings as rows."""

    def __init__(self, lines: Sequence[FindingLine] = ()) -> None:
        self.lines = lines

    def __len__(self) -> int:
        """How many findings there are."""
        return len(self.lines)

    def key(self, i: int) -> str:
        """What finding i is known by."""
        return self.lines[i].key

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


class WordsPane(VerticalScroll, can_focus=True):
    """Words that may be longer than the screen: a line that stays, and more below it."""

    DEFAULT_CSS = """
    WordsPane { padding: 0 1; }
    WordsPane .words--head { height: auto; text-style: bold; }
    WordsPane .words--more { height: auto; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._lines: tuple[str, ...] = ()
        self._laid: tuple[int, tuple[str, ...]] = (0, ())

    def compose(self) -> ComposeResult:
        """The head, and the words."""
        yield Static("", classes="words--head", markup=False)
        yield Static("", classes="words--more", markup=False)

    def head(self, words: str) -> None:
        """What stands first."""
        self.query_one(".words--head", Static).update(plain(words))

    def more(self, lines: Sequence[str]) -> None:
        """All the rest, from its beginning."""
        if tuple(lines) != self._lines:
            self._lines = tuple(lines)
            self._lay()
            self.scroll_home(animate=False)

    def on_resize(self) -> None:
        """Lay the lines out for the new width."""
        self._lay()

    def _lay(self) -> None:
        # A column stays free for the scroll bar, whether it is there or not.
        bar = 0 if self.show_vertical_scrollbar else 1
        width = self.scrollable_content_region.width - bar
        if width < LEAST or (width, self._lines) == self._laid:
            return  # not seen, so the resize that is coming lays it out; or laid out already
        self._laid = (width, self._lines)
        laid = [hung for line in self._lines for hung in hanging(line, width)]
        self.query_one(".words--more", Static).update(Text("\n").join(laid))


class MassLine(Vertical):
    """One line that asks for a mass, with what is wrong below it; hidden until it asks.

    Posts `Given` with what was typed; its owner says `wrong` or `done`.
    """

    DEFAULT_CSS = """
    MassLine { height: auto; display: none; }
    MassLine.-asking { display: block; }
    MassLine Horizontal { height: 1; }
    MassLine .mass--asked { width: auto; max-width: 75%; text-style: bold; }
    MassLine Entry { width: 1fr; }
    MassLine .mass--wrong { height: auto; color: $error; text-style: bold; display: none; }
    MassLine.-wrong .mass--wrong { display: block; }
    """

    class Given(Message):
        """A mass was typed."""

        def __init__(self, typed: str) -> None:
            super().__init__()
            self.typed = typed

    class Left(Message):
        """The line was left without a mass."""

    def compose(self) -> ComposeResult:
        """The question, the line for its answer, what is wrong with it."""
        with Horizontal():
            yield Static("", classes="mass--asked", markup=False)
            yield Answer(select_on_focus=False)
        yield Static("", classes="mass--wrong", markup=False)

    @property
    def asking(self) -> bool:
        """Whether it asks for something now."""
        return self.has_class("-asking")

    def ask(self, words: str, value: str = "") -> None:
        """Ask this; the line takes the focus."""
        self.query_one(".mass--asked", Static).update(plain(f"{words} > "))
        entry = self.query_one(Entry)
        entry.value = value
        entry.cursor_position = len(value)
        self.remove_class("-wrong")
        self.add_class("-asking")
        entry.focus()

    def wrong(self, words: str) -> None:
        """What is wrong with what was typed; it stays there to be mended."""
        self.query_one(".mass--wrong", Static).update(plain(words))
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
        if event.value.strip():
            self.post_message(self.Given(event.value))

    @on(Entry.Changed)
    def _changed(self, event: Entry.Changed) -> None:
        event.stop()
        self.remove_class("-wrong")

    @on(Entry.Left)
    def _left(self, event: Entry.Left) -> None:
        event.stop()
        self.post_message(self.Left())
