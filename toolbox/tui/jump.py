"""Jumping: a letter on everything that can be reached on the screen, then go by letter."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, ClassVar, NamedTuple

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key
from textual.geometry import Offset
from textual.screen import ModalScreen, Screen
from textual.widget import Widget
from textual.widgets import OptionList, Static

LETTERS = "asdfghklqwertzuiopyxcvbnm1234567890"


class Spot(NamedTuple):
    """Somewhere to jump to: where it is on the screen, and how to go there."""

    at: Offset
    go: Callable[[], Any]


class Jump(ModalScreen[Spot | None]):
    """The letters over the screen; dismissed with the spot chosen or None."""

    DEFAULT_CSS = """
    Jump { background: $background 0%; }
    Jump Static { position: absolute; width: auto; height: 1; text-style: bold reverse; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back", show=False)]

    def __init__(self, spots: list[Spot]) -> None:
        super().__init__()
        self._spots = dict(zip(LETTERS, spots, strict=False))

    def compose(self) -> ComposeResult:
        """A letter at each spot."""
        for letter, spot in self._spots.items():
            mark = Static(Text(letter), markup=False)
            mark.styles.offset = (spot.at.x, spot.at.y)
            yield mark

    def on_key(self, event: Key) -> None:
        """A letter on a spot chooses it; any other key ends the jump."""
        event.stop()
        self.dismiss(self._spots.get(event.character or ""))


def spots(screen: Screen[Any]) -> list[Spot]:
    """Everything on this screen that can be jumped to, from the top left downwards.

    A widget with ``jump_spots()`` names its own: x and y inside it and what to run,
    a Textual action or a callable. A list gives its visible rows; anything else that
    takes the focus is one spot.
    """
    found = [
        spot
        for widget in screen.query(Widget)
        if widget.visible and widget.region and screen.region.overlaps(widget.region)
        for spot in _of(widget)
    ]
    return sorted(found, key=lambda spot: (spot.at.y, spot.at.x))


def _of(widget: Widget) -> Iterator[Spot]:
    own = getattr(widget, "jump_spots", None)
    if own is not None:
        for x, y, go in own():
            yield Spot(widget.content_region.offset + Offset(x, y), _going(widget, go))
    elif isinstance(widget, OptionList):
        yield from _rows(widget)
    elif widget.focusable:
        yield Spot(widget.content_region.offset, widget.focus)


def _going(widget: Widget, go: str | Callable[[], Any]) -> Callable[[], Any]:
    if callable(go):
        return go
    return lambda: widget.run_worker(widget.app.run_action(go, widget.app))


def _rows(widget: OptionList) -> Iterator[Spot]:
    region = widget.content_region
    seen: set[int] = set()
    for y in range(region.height):
        style = widget.app.screen.get_style_at(region.x, region.y + y)
        number = style.meta.get("option")
        if isinstance(number, int) and number not in seen:
            seen.add(number)
            yield Spot(region.offset + Offset(0, y), _marking(widget, number))


def _marking(widget: OptionList, number: int) -> Callable[[], None]:
    def go() -> None:
        widget.focus()
        widget.highlighted = number

    return go
