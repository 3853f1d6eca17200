"""What Checks shows: the due list as rows, all of one instrument, a verdict with its picture."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.text import Text
from textual.containers import VerticalScroll
from textual.widgets import Static

from toolbox.desk.instrument_picture import bars_of
from toolbox.desk.instrument_sheet import Filled
from toolbox.desk.instrument_view import About, Drawn, DueLine, picture, point_lines, verdict_words
from toolbox.desk.instrument_words import UNITS
from toolbox.desk.instruments import kind_of
from toolbox.kit.things import Tool
from toolbox.tui.text import plain, wrapped
from toolbox.tui.widgets.source import Column, Lined
from toolbox.tui.widgets.words import hanging

LEAST = 32  # columns below which nothing is laid out
LEAD = 12  # columns for the word before each part

COLUMNS = (
    Column("state", width=8),
    Column("instrument", least=28),
    Column("why", width=13, priority=1),
    Column("out since", width=10, priority=2),
    Column("uses left", width=9, right=True, priority=3),
)

Write = Callable[[int], Text]


class DueSource(Lined[DueLine]):
    """The due list as rows."""

    def cells(self, i: int) -> tuple[Text, ...]:
        """Row i, a text for each of ``COLUMNS``."""
        line = self.lines[i]
        return (
            Text(line.state.value),
            plain(line.name),
            plain(line.short),
            Text(line.since),
            Text(line.left),
        )


class LaidPane(VerticalScroll, can_focus=True):
    """A text that is written anew for each width: words wrapped, pictures as wide as fits."""

    DEFAULT_CSS = """
    LaidPane { padding: 0 1; height: 1fr; }
    LaidPane Static { height: auto; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._write: Write = lambda _: Text("")
        self._laid = (0, Text(""))

    def compose(self) -> list[Static]:
        """One text."""
        return [Static("", id="laid", markup=False)]

    def show(self, write: Write, *, home: bool = True) -> None:
        """Show what ``write`` gives for the width of the pane."""
        self._write = write
        self._lay()
        if home:
            self.scroll_home(animate=False)

    def on_resize(self) -> None:
        """Another width."""
        self._lay()

    def _lay(self) -> None:
        # A column stays free for the scroll bar, whether it is there or not.
        bar = 0 if self.show_vertical_scrollbar else 1
        width = self.scrollable_content_region.width - bar
        if width < LEAST:
            return  # not seen, so the resize that is coming lays it out
        laid = width, self._write(width)
        if laid != self._laid:
            self._laid = laid
            self.query_one("#laid", Static).update(laid[1])

    @property
    def whole_text(self) -> str:
        """All of it, for copying."""
        return self._write(100).plain.strip()


def about_text(found: About, width: int) -> Text:
    """All that is known of an instrument."""
    title = f"{found.line.name}  [{found.line.key}]"
    lines = [_bold(line) for line in wrapped(title, width)]
    for head, words in found.facts:
        pieces = wrapped(words, max(2, width - LEAD))
        for number, piece in enumerate(pieces):
            lines.append(Text(f"{'' if number else head:<{LEAD}}", "bold") + _thin(piece))
    if found.last:
        lines += _pictured(found.last_words, found.last, width)
    if found.course:
        lines += _pictured(found.course_words[0], found.course, width)
        lines += wrapped(found.course_words[1], width)
    return Text("\n").join(lines)


def _bold(line: Text) -> Text:
    line.stylize("bold")
    return line


def _thin(line: Text) -> Text:
    line.stylize("not bold")
    return line


def _pictured(head: str, drawn: tuple[Drawn, ...], width: int) -> list[Text]:
    return [Text(""), *map(_bold, wrapped(head, width)), *map(Text, picture(drawn, width))]


def verdict_text(tool: Tool, filled: Filled, hint: str, width: int) -> Text:
    """The verdict on a sheet with its picture, or what is still in the way of one."""
    kind = kind_of(tool)
    asked = [Text(""), *map(_bold, wrapped(hint, width))]
    if filled.result is None or kind is None:
        lines = [_bold(line) for line in wrapped(f"{tool.name}: no verdict yet", width)]
        lines += [piece for why in filled.refused for piece in hanging(f"- {why}", width)]
        return Text("\n").join([*lines, *asked])
    first, *more = verdict_words(tool, filled.result)
    lines = [_bold(line) for line in wrapped(first, width)]
    said = [piece for one in more for piece in hanging(one, width)]
    lines += [*asked, *said] if filled.has_verdict else [*said, *asked]
    if filled.result.points:
        drawn = point_lines(bars_of(filled.result), kind)
        head = f"Error against the limits, point by point, in {UNITS[kind].word}"
        lines += _pictured(head, drawn, width)
    return Text("\n").join(lines)


def words_text(words: Sequence[str], width: int) -> Text:
    """Sentences one below the other, the first one bold."""
    laid = [piece for one in words for piece in hanging(one, width)]
    first = len(hanging(words[0], width)) if words else 0
    return Text("\n").join([*map(_bold, laid[:first]), *laid[first:]])
