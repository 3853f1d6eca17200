"""A list of any length: only the rows in view are asked for and drawn.

The cursor belongs to a row's key, not to its number: after the list was filled
anew, sorted, filtered or made narrower it is on the same row, and in view.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.cache import LRUCache
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from toolbox.tui.text import cells, fit, plain
from toolbox.tui.widgets.bars import LineBar
from toolbox.tui.widgets.source import GAP, Column, Listed, Source, spread

# Before the cells of each row: the cursor's sign, the row's mark, a blank.
LEAD = 3
# Behind them: a blank, so that figures do not touch the scroll bar.
TAIL = 1
CURSOR = ">"


class Rows(ScrollView, can_focus=True, inherit_bindings=False):
    """A list with a cursor, drawn row by row from a `Source`.

    Posts `Moved` when the cursor comes to another row, `Chosen` on Enter or on a
    second click on the same row.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "rows--head",
        "rows--cursor",
        "rows--marked",
        "rows--empty",
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Row above", show=False, id="rows.up"),
        Binding("down", "move(1)", "Row below", show=False, id="rows.down"),
        Binding("pageup", "page(-1)", "Page above", show=False, id="rows.page_up"),
        Binding("pagedown", "page(1)", "Page below", show=False, id="rows.page_down"),
        Binding("home", "first", "First row", show=False, id="rows.first"),
        Binding("end", "last", "Last row", show=False, id="rows.last"),
        Binding("enter", "choose", "Choose this row", show=False, id="rows.choose"),
    ]
    DEFAULT_CSS = """
    Rows {
        height: 1fr;
        color: $foreground;
        overflow-x: hidden;
        overflow-y: auto;
        scrollbar-size-vertical: 1;
        scrollbar-color: $foreground;
        scrollbar-color-hover: $foreground;
        scrollbar-color-active: $foreground;
        scrollbar-background: $background;
        scrollbar-background-hover: $background;
        scrollbar-background-active: $background;
    }
    Rows > .rows--head { text-style: bold underline; }
    Rows > .rows--cursor { text-style: bold underline; }
    Rows > .rows--marked { text-style: bold; }
    Rows > .rows--empty { text-style: italic; }
    Rows:focus > .rows--cursor {
        background: $block-cursor-background;
        color: $block-cursor-foreground;
        text-style: $block-cursor-text-style;
    }
    Rows:focus:nocolor > .rows--cursor { text-style: reverse; }
    """

    class Moved(Message):
        """The cursor is on another row: its key, or None when the list is empty."""

        def __init__(self, rows: Rows, key: str | None) -> None:
            super().__init__()
            self.rows = rows
            self.key = key

        @property
        def control(self) -> Rows:
            """The list whose cursor moved."""
            return self.rows

        def can_replace(self, message: Message) -> bool:
            """Only the last of many moves is worth telling."""
            return isinstance(message, Rows.Moved) and message.rows is self.rows

    class Chosen(Message):
        """A row was chosen, by Enter or by a second click."""

        def __init__(self, rows: Rows, key: str) -> None:
            super().__init__()
            self.rows = rows
            self.key = key

        @property
        def control(self) -> Rows:
            """The list a row of which was chosen."""
            return self.rows

    def __init__(
        self,
        columns: Sequence[Column],
        source: Source | None = None,
        *,
        head: bool = True,
        empty: str | Text = "nothing here",
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.columns = tuple(columns)
        self.source: Source = Listed() if source is None else source
        self.head = head
        self.empty = plain(empty)
        self._at = 0
        self._wanted = self.source.key(0) if len(self.source) else None
        self._clicked: str | None = None
        self._hovered = -1
        self._strips: LRUCache[tuple[int, bool], Strip] = LRUCache(512)

    # What is in the list

    @property
    def cursor_key(self) -> str | None:
        """The key of the row under the cursor, or None when the list is empty."""
        return self.source.key(self._at) if len(self.source) else None

    @property
    def cursor_row(self) -> int:
        """The number of the row under the cursor, from 0."""
        return self._at

    def refill(self, source: Source, *, empty: str | Text | None = None) -> None:
        """Show other rows. The cursor stays on its key, and comes back to it.

        When its row is missing (filtered out, say) the cursor stands on the
        nearest row, but is on the old key again as soon as a later filling has it,
        unless the user moved in between.
        """
        before = self.cursor_key
        self.source = source
        if empty is not None:
            self.empty = plain(empty)
        found = self._find(self._wanted)
        self._at = max(0, min(self._at, len(source) - 1)) if found is None else found
        if self._wanted is None:
            self._wanted = self.cursor_key
        self._new_look()
        if self.cursor_key != before:
            self.post_message(self.Moved(self, self.cursor_key))

    def _find(self, key: str | None) -> int | None:
        count = len(self.source)
        if key is None or not count:
            return None
        if self._at < count and self.source.key(self._at) == key:
            return self._at
        return next((i for i in range(count) if self.source.key(i) == key), None)

    def move_to(self, key: str) -> bool:
        """Put the cursor on the row with this key; False if there is none."""
        found = self._find(key)
        if found is None:
            return False
        self._put(found)
        return True

    def whole(self, i: int) -> Text:
        """Everything row i says, nothing cut, one line for each column that says anything."""
        lines = [
            plain(f"{column.title}: " if column.title else "") + plain(cell)
            for column, cell in zip(self.columns, self.source.cells(i), strict=True)
            if cell.plain
        ]
        return Text("\n").join(lines)

    # Drawing

    def on_mount(self) -> None:
        """Lines for the scroll bar, and the first look."""
        self.vertical_scrollbar.renderer = LineBar  # type: ignore[misc]
        self._new_look()

    def on_resize(self) -> None:
        """Other widths for the columns; the cursor stays in view."""
        self._new_look()

    def notify_style_update(self) -> None:
        """Other colours: nothing drawn before holds any more."""
        super().notify_style_update()
        self._strips.clear()

    def _new_look(self) -> None:
        self._strips.clear()
        self._hovered = -1
        self.tooltip = None
        width = self.scrollable_content_region.width
        # An empty list has a line too: the one that says so.
        self.virtual_size = Size(width, max(1, len(self.source)) + self.head)
        self._bring_into_view()
        self.refresh()

    def _bring_into_view(self) -> None:
        room = self.scrollable_content_region.height - self.head
        if room <= 0:
            return
        top = self.scroll_offset.y
        wanted = min(max(top, self._at - room + 1), self._at)
        if wanted != top:
            self.scroll_to(y=wanted, animate=False, force=True)

    def render_line(self, y: int) -> Strip:
        """Line y of what is in view."""
        width = self.scrollable_content_region.width
        if self.head and y == 0:
            return self._head_strip(width)
        i = self.scroll_offset.y + y - self.head
        if i < len(self.source):
            return self._row_strip(i, width)
        if not len(self.source) and y == self.head:
            style = self.get_component_rich_style("rows--empty")
            return self._strip(fit(Text(" " * LEAD) + self.empty, width), style, width)
        return Strip.blank(width, self.rich_style)

    def _head_strip(self, width: int) -> Strip:
        titles = [Text(column.title) for column in self.columns]
        line = self._line(Text(" " * LEAD), titles, width)
        return self._strip(line, self.get_component_rich_style("rows--head"), width)

    def _row_strip(self, i: int, width: int) -> Strip:
        here = i == self._at
        known = self._strips.get((i, here))
        if known is not None:
            return known
        mark = self._mark(i)
        lead = plain(f"{CURSOR if here else ' '}{mark} ")
        line = self._line(lead, list(self.source.cells(i)), width)
        look = "rows--cursor" if here else "rows--marked" if mark.strip() else None
        style = self.rich_style if look is None else self.get_component_rich_style(look)
        strip = self._strip(line, style, width, coloured=not here)
        self._strips[(i, here)] = strip
        return strip

    def _mark(self, i: int) -> str:
        mark = getattr(self.source, "mark", None)
        return fit(mark(i) if mark is not None else "", 1).plain

    def _line(self, lead: Text, texts: list[Text], width: int) -> Text:
        line = lead
        first = True
        for column, text, cell in zip(
            self.columns, texts, spread(self.columns, width - LEAD - TAIL), strict=True
        ):
            if cell:
                line = line + Text("" if first else " " * GAP) + fit(text, cell, right=column.right)
                first = False
        return fit(line, width)

    def _strip(self, line: Text, style: Style, width: int, *, coloured: bool = True) -> Strip:
        segments = []
        for text, own, _ in line.render(self.app.console, end=""):
            # Colours of cells are chosen for the list's ground, not the cursor's.
            look = own if own is None or coloured else own.without_color
            segments.append(Segment(text, style + look))
        return Strip(segments, width)

    # Moving

    def _put(self, i: int) -> None:
        if not len(self.source):
            return
        before, self._at = self._at, max(0, min(i, len(self.source) - 1))
        self._wanted = self.cursor_key
        self._clicked = None
        if self._at != before:
            self.refresh_lines(before + self.head)
            self.refresh_lines(self._at + self.head)
            self.post_message(self.Moved(self, self.cursor_key))
        self._bring_into_view()

    def action_move(self, rows: int) -> None:
        """So many rows down, or up if negative."""
        self._put(self._at + rows)

    def action_page(self, pages: int) -> None:
        """So many pages down, or up if negative."""
        self._put(self._at + pages * max(1, self.scrollable_content_region.height - self.head - 1))

    def action_first(self) -> None:
        """To the first row."""
        self._put(0)

    def action_last(self) -> None:
        """To the last row."""
        self._put(len(self.source) - 1)

    def action_choose(self) -> None:
        """Choose the row under the cursor."""
        key = self.cursor_key
        if key is not None:
            self.post_message(self.Chosen(self, key))

    def _row_at(self, event: events.MouseEvent) -> int | None:
        place = event.get_content_offset(self)
        if place is None or place.y < self.head:
            return None
        i = place.y - self.head + self.scroll_offset.y
        return i if i < len(self.source) else None

    def on_click(self, event: events.Click) -> None:
        """The first click brings the cursor, the second on the same row chooses it."""
        i = self._row_at(event)
        if i is None:
            return
        key = self.source.key(i)
        again = key == self._clicked and i == self._at
        self._put(i)
        self._clicked = key
        if again:
            self.action_choose()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Over a row in which something was cut, its whole text is shown beside it."""
        i = self._row_at(event)
        if i == self._hovered:
            return
        self._hovered = -1 if i is None else i
        self.tooltip = self.whole(i) if i is not None and self._is_cut(i) else None

    def _is_cut(self, i: int) -> bool:
        widths = spread(self.columns, self.scrollable_content_region.width - LEAD - TAIL)
        texts = self.source.cells(i)
        return any(cells(plain(t)) > w for t, w in zip(texts, widths, strict=True))
