"""The field of Find: letters, what they may mean with where it is, and what is marked."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text
from textual import on
from textual.events import DescendantFocus
from textual.message import Message

from toolbox.desk.maps import Found
from toolbox.desk.names import Named
from toolbox.tui.text import plain
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.letters import LettersField, Matches
from toolbox.tui.widgets.rows import Rows


class FindField(LettersField):
    """A letters field whose list can be gone into, and which tells what is marked there.

    ``typed`` are the letters by which the last thing was taken.
    """

    DEFAULT_CSS = """
    FindField { height: 1fr; }
    FindField Rows { height: 1fr; max-height: 100%; }
    """

    class Marked(Message):
        """Another match is marked: its id, None when nothing goes by the letters."""

        def __init__(self, id: str | None) -> None:
            super().__init__()
            self.id = id

    class LeftEmpty(Message):
        """The line was left with nothing in it."""

    def __init__(self, matches: Matches, id: str) -> None:
        super().__init__("Find", matches, id=id)
        self.typed = ""

    def on_mount(self) -> None:
        """Escape goes from the line to the list."""
        self.listed.can_focus = True

    def afresh(self, letters: str = "", marked: str | None = None) -> None:
        """These letters in the line, this match marked, and the keys go there."""
        self.line.value = letters
        self.ask()
        if marked is not None:
            self.listed.move_to(marked)
        self.focus()

    def nothing_found(self, words: Text) -> None:
        """What to say when the letters mean nothing."""
        self.listed.empty = words

    @on(DescendantFocus)
    def _only_the_line(self, event: DescendantFocus) -> None:
        # With the focus in the list, letters are keys again: the title is not to say else.
        if event.widget is not self.line:
            event.prevent_default()

    def _take(self, id: str, *, at_once: bool = False) -> None:
        self.typed = self._asked or ""
        super()._take(id, at_once=at_once)

    @on(Rows.Moved)
    def _tell_marked(self, event: Rows.Moved) -> None:
        self.post_message(self.Marked(event.key))

    @on(Entry.Left)
    def _tell_left(self) -> None:
        if not self.line.value:
            self.post_message(self.LeftEmpty())


def match_line(found: Found) -> Text:
    """A match with where it is, the place in words behind it."""
    where = found.compartment.name if found.compartment is not None else found.remark
    return plain(found.name) + Text(":  ") + plain(where)


def nothing_words(near: Sequence[Named]) -> Text:
    """What stands where nothing goes by the letters."""
    if not near:
        return Text("nothing goes by these letters")
    return plain("nothing goes by these letters; near: " + "; ".join(one.name for one in near))
