"""Words one below the other: as a text, wrapped with hanging lines, or longer than the screen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from toolbox.tui.text import plain, wrapped

LEAST = 10  # cells below which no words are laid out


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
