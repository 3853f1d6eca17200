"""Where a thing is: the way there step by step, and its compartment lit up on the map."""

from __future__ import annotations

from dataclasses import dataclass

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.events import Resize
from textual.widgets import Static

from toolbox.desk.drawn_box import Filling
from toolbox.desk.maps import Found
from toolbox.tui.text import plain, wrapped
from toolbox.tui.widgets.box_map import BoxMap


@dataclass(frozen=True, slots=True)
class Pointed:
    """What to point at: a thing, and other copies lit up because its job needs them too.

    ``box`` is the layout looked at; ``remark`` stands where no thing is pointed at.
    """

    box: Filling | None = None
    found: Found | None = None
    lit: frozenset[str] = frozenset()
    remark: str = ""
    large: bool = False


class There(Container):
    """One thing's place: words, and the map beside or below them."""

    DEFAULT_CSS = """
    There { height: 1fr; width: 1fr; layout: horizontal; }
    There #way { width: 2fr; height: 1fr; padding: 0 1; }
    There #way Static { height: auto; }
    There BoxMap { width: 3fr; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._words = Static("", markup=False)
        self._map = BoxMap()
        self._map.can_focus = False
        self._of = Pointed()

    def compose(self) -> ComposeResult:
        """Words and map."""
        with VerticalScroll(id="way", can_focus=False):
            yield self._words
        yield self._map

    @property
    def way(self) -> VerticalScroll:
        """The words, which can be scrolled when they are large."""
        return self.query_one("#way", VerticalScroll)

    def show(self, of: Pointed) -> None:
        """Show where this is."""
        self._of = of
        self._write()
        self.way.scroll_home(animate=False)
        home = of.found.compartment if of.found is not None else None
        lit = of.lit | ({of.found.copy} if of.found is not None and home is not None else set())
        self._map.set_class(of.box is None or not lit, "-none")
        if of.box is not None and lit:
            self._map.show(of.box.whole(), lit)
            if home is not None:
                self._map.move_to(home.id)

    def on_resize(self, event: Resize) -> None:
        """Other lines for the new width."""
        self.call_after_refresh(self._write)

    @property
    def words_alone(self) -> str:
        """What it says without the map."""
        found = self._of.found
        if found is None:
            return self._of.remark
        return f"{found.name}: {found.where}{_hand(found)}"

    def _write(self) -> None:
        way = self.way
        # A column stays free for the scroll bar, whether it is there or not.
        bar = 0 if way.show_vertical_scrollbar else 1
        width = way.scrollable_content_region.width - bar
        if width > 0:
            self._words.update(pointed_text(self._of, width))


def pointed_text(of: Pointed, width: int) -> Text:
    """What is pointed at, in words."""
    if of.found is None:
        return _lines(plain(of.remark), width)
    return way_text(of.found, width, large=of.large)


def way_text(found: Found, width: int, *, large: bool) -> Text:
    """The thing, then the way there a step a line; ``large`` with more room between."""
    name = _lines(plain(found.name), width)
    name.stylize("bold")
    parts = [name]
    if found.compartment is None:
        parts.append(_lines(plain(found.remark), width))
    else:
        steps = [*found.way, f"in {found.compartment.name}"]
        for number, step in enumerate(steps, 1):
            line = Text(f"{number}  ").append_text(_lines(plain(step), width - 3, "\n   "))
            if number == len(steps):
                line.stylize("bold reverse", 3)
            parts.append(line)
        parts.append(_lines(Text(_hand(found).strip(" ()")), width))
    return Text("\n\n" if large else "\n", end="").join(parts)


def _lines(words: Text, width: int, join: str = "\n") -> Text:
    return Text(join, end="").join(wrapped(words, width))


def _hand(found: Found) -> str:
    if found.milliseconds is None:
        return ""
    return f" ({found.milliseconds / 1000:.1f} s to the hand)"
