"""The box or one compartment drawn to scale, with a cursor: only lines in view are drawn.

The cursor belongs to a key: after another drawing, size or scale it is on the same thing.
"""

from __future__ import annotations

from collections.abc import Callable, Set
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.cache import LRUCache
from textual.geometry import Offset, Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from toolbox.tui.widgets.bars import LineBar
from toolbox.tui.widgets.box_map_board import Board, Placed, fitting, into_view, laid_out, nearest
from toolbox.tui.widgets.box_map_outline import LIT, SHADES, Look, line_of, outline
from toolbox.tui.widgets.box_map_paint import Ink, Paper

if TYPE_CHECKING:
    from toolbox.desk.drawn_box import Drawing, Shape

FINEST = 10  # tenths of a millimetre a column: nothing is gained by drawing larger
BUCKET = 4  # lines
EMPTY = Board(1, 1, (), (), (), {})


class BoxMap(ScrollView, can_focus=True, inherit_bindings=False):
    """A drawing of `desk/drawn_box` on as many cells as there are, or larger and moved about.

    Posts `Moved` when the cursor comes to another thing, `Chosen` on Enter or on a second
    click on the same thing. Without `can_focus` it is only looked at.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "box-map--title",
        "box-map--cursor",
        "box-map--lit",
        "box-map--moved",
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1,0)", "Left", show=False, id="map.left"),
        Binding("right", "step(1,0)", "Right", show=False, id="map.right"),
        Binding("up", "step(0,-1)", "Up", show=False, id="map.up"),
        Binding("down", "step(0,1)", "Down", show=False, id="map.down"),
        Binding("tab", "next(1)", "Next", show=False, id="map.next"),
        Binding("shift+tab", "next(-1)", "The one before", show=False, id="map.before"),
        Binding("home", "end(0)", "First", show=False, id="map.first"),
        Binding("end", "end(-1)", "Last", show=False, id="map.last"),
        Binding("pageup", "page(-1)", "Page above", show=False, id="map.page_up"),
        Binding("pagedown", "page(1)", "Page below", show=False, id="map.page_down"),
        Binding("enter", "choose", "Choose this", show=False, id="map.choose"),
    ]
    DEFAULT_CSS = """
    BoxMap {
        width: 1fr;
        height: 1fr;
        color: $foreground;
        overflow: auto auto;
        scrollbar-gutter: stable;
        scrollbar-size: 1 1;
        scrollbar-color: $foreground;
        scrollbar-color-hover: $foreground;
        scrollbar-color-active: $foreground;
        scrollbar-background: $background;
        scrollbar-background-hover: $background;
        scrollbar-background-active: $background;
    }
    BoxMap > .box-map--title { text-style: bold; }
    BoxMap > .box-map--moved { text-style: bold; }
    BoxMap > .box-map--lit { text-style: bold reverse; }
    BoxMap > .box-map--cursor { text-style: bold underline; }
    BoxMap:focus > .box-map--cursor {
        background: $block-cursor-background;
        color: $block-cursor-foreground;
        text-style: $block-cursor-text-style;
    }
    BoxMap:focus:nocolor > .box-map--cursor { text-style: reverse; }
    """

    class Said(Message):
        """Something about one thing of the map; the base of the two below."""

        def __init__(self, box_map: BoxMap, key: str) -> None:
            super().__init__()
            self.box_map = box_map
            self.key = key

        @property
        def control(self) -> BoxMap:
            """The map it is about."""
            return self.box_map

    class Moved(Said):
        """The cursor is on the thing of this key now."""

        def can_replace(self, message: Message) -> bool:
            """Only the last of many moves is worth telling."""
            return isinstance(message, BoxMap.Moved) and message.box_map is self.box_map

    class Chosen(Said):
        """The thing of this key was chosen, by Enter or by a second click."""

    def __init__(
        self,
        drawing: Drawing | None = None,
        *,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.drawing = drawing
        self.lit: Set[str] = frozenset()
        self.board = EMPTY
        self.level = 0
        self._held: int | None = None
        self._built_for = (0, 0)
        self._cursor: str | None = None
        self._clicked: str | None = None
        self._buckets: dict[int, list[int]] = {}
        self._art: dict[tuple[int, Look], list[str]] = {}
        self._strips: LRUCache[tuple[int, int, int], Strip] = LRUCache(512)

    # ---- what is drawn

    def show(self, drawing: Drawing, lit: Set[str] = frozenset()) -> None:
        """Draw this. ``lit`` are keys of things or compartments that are lit up.

        The cursor stays on its key; where that is not drawn, it goes to the first that
        is lit, else to the first of all. Another place is seen whole at first.
        """
        if self.drawing is None or drawing.key != self.drawing.key:
            self.level = 0
        fresh = lit != self.lit
        self.drawing, self.lit = drawing, lit
        before = self._cursor
        shapes = list(drawing.shapes())
        here = any(shape.key == before for shape in shapes)
        if not here or (fresh and lit and before not in lit):
            found = next((shape.key for shape in shapes if self._is_lit(shape)), None)
            self._cursor = found or (before if here else None)
        self._rebuild()
        if self._cursor != before and self._cursor is not None:
            self.post_message(self.Moved(self, self._cursor))

    @property
    def cursor_key(self) -> str | None:
        """The key of the thing under the cursor, None when nothing is drawn."""
        return self._cursor

    def move_to(self, key: str) -> bool:
        """Put the cursor on the thing of this key; False when it is not drawn."""
        if self.drawing is None or all(s.key != key for s in self.drawing.shapes()):
            return False
        self._put(key)
        return True

    def zoom(self, steps: int) -> bool:
        """Draw larger (steps above 0) or smaller, down to all of it; False if it is at an end."""
        level = max(0, self.level + steps)
        if level > self.level and self._unit(self.level) <= FINEST:
            return False
        changed, self.level = level != self.level, level
        if changed:
            self._rebuild()
        return changed

    def whole(self) -> None:
        """See all of it."""
        self.zoom(-self.level)

    def hold(self, held: bool) -> None:
        """Keep the scale as it is while the window changes, or fit it to the window again."""
        self._held = self._unit(self.level) if held else None
        self._rebuild()

    # ---- where everything stands

    def _room(self) -> tuple[int, int]:
        # A column is kept for the scroll bar, whether it is there or not.
        return max(1, self.outer_size.width - 1), max(1, self.outer_size.height)

    def _unit(self, level: int) -> int:
        if self._held is not None:
            return self._held
        columns, lines = self._room()
        fit = fitting(self.drawing, columns, lines) if self.drawing is not None else 1
        return min(fit, max(FINEST, int(fit * (2 / 3) ** level)))

    def _rebuild(self) -> None:
        if self.drawing is None or not self.outer_size:
            return
        self._built_for = columns, lines = self._room()
        seen = None if self.can_focus else lines
        self.board = laid_out(self.drawing, self._unit(self.level), columns, seen)
        if self._cursor is None and self.board.placed:
            self._cursor = self.board.placed[0].shape.key
            self.post_message(self.Moved(self, self._cursor))
        self._buckets = {}
        for number, placed in enumerate(self.board.placed):
            last = placed.box.line + placed.box.lines - 1
            for bucket in range(placed.box.line // BUCKET, last // BUCKET + 1):
                self._buckets.setdefault(bucket, []).append(number)
        self._art.clear()
        self._strips.clear()
        self.virtual_size = Size(self.board.columns, self.board.lines)
        self._bring_into_view()
        self.refresh()

    def on_mount(self) -> None:
        """Lines for the scroll bars."""
        self.vertical_scrollbar.renderer = LineBar  # type: ignore[misc]
        self.horizontal_scrollbar.renderer = LineBar  # type: ignore[misc]

    def on_resize(self) -> None:
        """Another scale for the new size; the cursor stays in view."""
        if self._room() != self._built_for:
            self._rebuild()

    def notify_style_update(self) -> None:
        """Other colours: nothing drawn before holds any more."""
        super().notify_style_update()
        self._strips.clear()

    # ---- drawing a line

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines in view."""
        if self._room() != self._built_for:
            # Not every change of the size is told when several come at once.
            self.call_later(self.on_resize)
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        """Line y of what is in view."""
        left, top = self.scroll_offset
        width = self.scrollable_content_region.width
        key = (top + y, left, width)
        known = self._strips.get(key)
        if known is None:
            known = self._strips[key] = self._strip(*key)
        return known

    def _strip(self, line: int, left: int, width: int) -> Strip:
        paper = Paper(left, width)
        for rim in self.board.rims:
            paper.rim(rim, line)
        for label in self.board.labels:
            if label.line == line:
                here = label.key != "" and label.key == self._cursor
                ink = Ink.CURSOR if here else Ink.BOLD if label.bold else Ink.PLAIN
                paper.write(label.column, label.text, ink)
        # Where two share a cell, the one under the cursor is seen.
        at = self._number()
        for number in sorted(self._buckets.get(line // BUCKET, ()), key=lambda n: n == at):
            self._paint(paper, number, line)
        styles = [self._style(ink) for ink in Ink]
        return Strip([Segment(text, styles[ink]) for text, ink in paper.runs()], width)

    def _style(self, ink: Ink) -> Style:
        names = {
            Ink.BOLD: "box-map--title",
            Ink.MOVED: "box-map--moved",
            Ink.LIT: "box-map--lit",
            Ink.CURSOR: "box-map--cursor",
        }
        return self.get_component_rich_style(names[ink]) if ink in names else self.rich_style

    def _paint(self, paper: Paper, number: int, line: int) -> None:
        placed = self.board.placed[number]
        row = line - placed.box.line
        if not 0 <= row < placed.box.lines:
            return
        shape = placed.shape
        look = Look(shape.key == self._cursor, self._is_lit(shape), placed.letter)
        ink = Ink.MOVED if shape.moved else Ink.PLAIN
        # A compartment is lit up whole only where what lies in it is not drawn.
        lit = look.lit and (shape.key in self.lit or not placed.inner)
        ink = Ink.CURSOR if look.here else Ink.LIT if lit else ink
        paper.write(placed.box.column, self._drawn(number, placed, look)[row], ink)
        for thing, box in placed.inner:
            if box.line <= row < box.line + box.lines:
                lit = thing.key in self.lit
                sign = LIT if lit else SHADES[thing.shade]
                at = placed.box.column + box.column
                paper.write(at, sign * box.columns, Ink.LIT if lit else ink)

    def _is_lit(self, shape: Shape) -> bool:
        return shape.key in self.lit or any(one.key in self.lit for one in shape.inside or ())

    def _drawn(self, number: int, placed: Placed, look: Look) -> list[str]:
        known = self._art.get((number, look))
        if known is None:
            draw = line_of if placed.listed else outline
            known = draw(placed.shape, placed.box.columns, placed.box.lines, look)
            self._art[(number, look)] = known
        return known

    # ---- the cursor

    def _put(self, key: str) -> None:
        before, self._cursor = self._cursor, key
        self._clicked = None
        if key != before:
            for one in (before, key):
                self._redraw(one)
            self.post_message(self.Moved(self, key))
        self._bring_into_view()

    def _redraw(self, key: str | None) -> None:
        """Draw again the lines on which a thing or its entry of the key list stands."""
        number = self.board.find(key) if key is not None else None
        if number is None:
            return
        box = self.board.placed[number].box
        lines = {*range(box.line, box.line + box.lines)}
        lines |= {label.line for label in self.board.labels if label.key == key}
        for known in [k for k in self._strips.keys() if k[0] in lines]:  # noqa: SIM118
            self._strips.discard(known)
        top, height = self.scroll_offset.y, self.size.height
        for line in sorted(lines):
            if top <= line < top + height:
                self.refresh_line(line)

    def _bring_into_view(self) -> None:
        number = self._number()
        if number is None:
            return
        box = self.board.placed[number].box
        left, top = self.scroll_offset
        columns, lines = self._room()
        x = into_view(left, columns, box.column, box.columns)
        y = into_view(top, lines, box.line, box.lines)
        if (x, y) != (left, top):
            self.scroll_to(x, y, animate=False, force=True)

    def _number(self) -> int | None:
        return self.board.find(self._cursor) if self._cursor is not None else None

    def action_step(self, right: int, down: int) -> None:
        """To the nearest thing in this direction."""
        number = self._number()
        if number is not None:
            self._put(self.board.placed[nearest(self.board, number, right, down)].shape.key)

    def action_next(self, steps: int) -> None:
        """To the next thing as one reads, after the last one to the first."""
        number = self._number()
        if number is not None:
            placed = self.board.placed
            self._put(placed[(number + steps) % len(placed)].shape.key)

    def action_end(self, number: int) -> None:
        """To the first thing (0) or the last (-1)."""
        if self.board.placed:
            self._put(self.board.placed[number].shape.key)

    def action_page(self, pages: int) -> None:
        """Move the picture up or down by nearly a window, the cursor staying where it is."""
        self.scroll_relative(y=pages * max(1, self.size.height - 1), animate=False, force=True)

    def action_choose(self) -> None:
        """Choose the thing under the cursor."""
        if self._cursor is not None and self._number() is not None:
            self.post_message(self.Chosen(self, self._cursor))

    def on_click(self, event: events.Click) -> None:
        """The first click brings the cursor, the second on the same thing chooses it."""
        at = event.get_content_offset(self)
        key = self.board.at(*(at + self.scroll_offset)) if at is not None else None
        if key is None:
            return
        again = key == self._clicked and key == self._cursor
        self._put(key)
        self._clicked = key
        if again:
            self.action_choose()

    def jump_spots(self) -> list[tuple[int, int, Callable[[], None]]]:
        """Where the things in view are, and how to go to each: for jumping."""
        offset, size = self.scroll_offset, self.size
        found = []
        for placed in self.board.placed:
            at = Offset(placed.box.column, placed.box.line) - offset
            if 0 <= at.x < size.width and 0 <= at.y < size.height:
                found.append((at.x, at.y, self._going(placed.shape.key)))
        return found

    def _going(self, key: str) -> Callable[[], None]:
        def go() -> None:
            self.focus()
            self._put(key)

        return go
