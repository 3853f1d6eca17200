"""The scroll bar drawn with lines, so that it is seen without colour and in every terminal."""

from __future__ import annotations

from math import ceil

from rich.color import Color
from rich.segment import Segment, Segments
from rich.style import Style
from textual.scrollbar import ScrollBarRender

DEFAULT = Color.default()
TRACK = {True: "│", False: "─"}
THUMB = {True: "┃", False: "━"}


class LineBar(ScrollBarRender):
    """A thin line as the track and a heavy one for the part in view.

    Textual's own draws with half blocks that some terminals show two columns
    wide, and with nothing at all once colours are off.
    """

    @classmethod
    def render_bar(
        cls,
        size: int = 25,
        virtual_size: float = 50,
        window_size: float = 20,
        position: float = 0,
        thickness: int = 1,
        vertical: bool = True,
        back_color: Color = DEFAULT,
        bar_color: Color = DEFAULT,
    ) -> Segments:
        """The bar as segments; sizes in lines or columns, `position` of the first in view."""
        start, end = thumb(size, virtual_size, window_size, position)
        across = thickness if vertical else 1
        segments = []
        for place in range(int(size)):
            held = start <= place < end
            sign = (THUMB if held else TRACK)[vertical] * across
            press = "grab" if held else ("scroll_up" if place < start else "scroll_down")
            # The actions by which Textual's scroll bar knows what was pressed.
            colours = Style.from_color(bar_color, back_color)
            segments.append(Segment(sign, colours + Style(meta={"@mouse.down": press})))
        if vertical:
            return Segments(segments, new_lines=True)
        return Segments([*segments, Segment.line()] * thickness, new_lines=False)


def thumb(size: int, whole: float, window: float, position: float) -> tuple[int, int]:
    """First place of the heavy part and the one after its last, out of `size` places.

    It stands at an end of the track only if the view does.
    """
    if not (size and window) or whole <= window:
        return 0, 0
    long = max(1, min(size, ceil(size * window / whole)))
    room = size - long
    far = whole - window
    start = round(room * min(max(position, 0), far) / far)
    if room > 1:
        start = min(max(start, 0 if position <= 0 else 1), room if position >= far else room - 1)
    return start, start + long
