"""A chart of one or two series in plain signs, with its axes and last values in words."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import ClassVar

from rich.segment import Segment
from rich.text import Text
from textual.strip import Strip
from textual.widget import Widget

from toolbox.tui.text import cells, fit, plain, wrapped

SIGNS = ("*", "o")
BOTH = "×"
HELD = "-"
# Below this there is no room for a picture beside its words.
LEAST_WIDTH = 24
LEAST_HEIGHT = 7

Number = Callable[[float], str]


@dataclass(frozen=True)
class Series:
    """A name and points (x, y), finite, in any order. Between points the last y holds."""

    name: str
    points: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if not all(math.isfinite(x) and math.isfinite(y) for x, y in self.points):
            raise ValueError(f"series {self.name!r} has a point that is not a finite number")


def shortly(value: float) -> str:
    """A number in at most four digits that matter."""
    return f"{value:.4g}"


@dataclass(frozen=True)
class Axes:
    """What the axes mean, in words, and how their numbers are written."""

    x: str
    y: str
    x_number: Number = shortly
    y_number: Number = shortly


def last_words(series: Sequence[Series], axes: Axes) -> str:
    """The last values as a sentence, so that the chart need not be seen."""
    said = []
    for one in series:
        if one.points:
            x, y = max(one.points, key=lambda point: point[0])
            said.append(f"{one.name} {axes.y_number(y)} at {axes.x_number(x)}")
    return f"Last: {', '.join(said)} ({axes.y} by {axes.x})." if said else "Nothing to draw yet."


def draw(series: Sequence[Series], axes: Axes, width: int, height: int) -> list[Text]:
    """The chart in at most `height` lines of exactly `width` columns.

    In a place too small for a picture only the last values are said.
    """
    words = wrapped(last_words(series, axes), max(2, width))
    room = height - len(words)
    lines: list[Text] = []
    if any(one.points for one in series) and width >= LEAST_WIDTH and room >= LEAST_HEIGHT - 1:
        lines = _picture(series, axes, width, room)
    return [fit(line, width) for line in (lines + words)[: max(0, height)]]


def _picture(series: Sequence[Series], axes: Axes, width: int, height: int) -> list[Text]:
    points = [point for one in series for point in one.points]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, high = min(y for _, y in points), max(y for _, y in points)
    tall = height - 3
    ticks = {0: axes.y_number(high), tall - 1: axes.y_number(low)}
    margin = min(max(map(cells, ticks.values())), width // 3)
    grid = [[" "] * (width - margin - 1) for _ in range(tall)]
    for sign, one in zip(SIGNS, series, strict=False):
        _plot(grid, sign, [(_part(x, left, right), _part(y, low, high)) for x, y in one.points])
    lines = [_legend(series, axes)]
    for row, signs in enumerate(grid):
        label = fit(ticks.get(row, ""), margin, right=True)
        lines.append(label + Text(("┤" if row in ticks else "│") + "".join(signs)))
    lines.append(Text(" " * margin + "└" + "─" * (width - margin - 1)))
    ends = axes.x_number(left), axes.x_number(right)
    lines.append(_under(axes.x, ends, margin, width))
    return lines


def _legend(series: Sequence[Series], axes: Axes) -> Text:
    named = [f"{sign} {one.name}" for sign, one in zip(SIGNS, series, strict=False)]
    if len(named) > 1:
        named.append(f"{BOTH} both")
    return plain(f"{axes.y}:  {'  '.join(named)}")


def _under(words: str, ends: tuple[str, str], margin: int, width: int) -> Text:
    first, last = plain(ends[0]), plain(ends[1])
    middle = width - margin - 1 - cells(first) - cells(last) - 2
    named = fit(words, max(0, middle))
    blanks = len(named.plain) - len(named.plain.rstrip())
    named = Text(" " * (blanks // 2)) + plain(named.plain.rstrip()) + Text(" " * -(-blanks // 2))
    return Text(" " * (margin + 1)) + first + Text(" ") + named + Text(" ") + last


def _part(value: float, low: float, high: float) -> float:
    # Halved, because the distance of two finite numbers need not be finite.
    whole = high / 2 - low / 2
    return (value / 2 - low / 2) / whole if whole > 0 else 0.5


def _plot(grid: list[list[str]], sign: str, parts: list[tuple[float, float]]) -> None:
    tall, wide = len(grid), len(grid[0])
    spots = [(round(x * (wide - 1)), round((1 - y) * (tall - 1))) for x, y in sorted(parts)]
    for (column, row), (until, _) in pairwise(spots):
        for between in range(column + 1, until):
            if grid[row][between] == " ":
                grid[row][between] = HELD
    for column, row in spots:
        there = grid[row][column]
        grid[row][column] = sign if there in (" ", HELD, sign) else BOTH


class Chart(Widget):
    """One or two series over x. It shows what `show` gave it last."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"chart--signs"}
    DEFAULT_CSS = """
    Chart { height: 1fr; color: $foreground; }
    Chart > .chart--signs { text-style: none; }
    """

    def __init__(
        self,
        axes: Axes,
        series: Sequence[Series] = (),
        *,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.axes = axes
        self._lines: list[Text] = []
        self.show(series)

    def show(self, series: Sequence[Series]) -> None:
        """Draw these series instead; at most two."""
        if len(series) > len(SIGNS):
            raise ValueError(f"a chart shows at most {len(SIGNS)} series, not {len(series)}")
        self.series = tuple(series)
        self._redraw()

    @property
    def words(self) -> str:
        """What the chart says, as a sentence."""
        return last_words(self.series, self.axes)

    def on_resize(self) -> None:
        """Drawn to the new size."""
        self._redraw()

    def _redraw(self) -> None:
        self._lines = draw(self.series, self.axes, self.size.width, self.size.height)
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Line y of the chart."""
        style = self.get_component_rich_style("chart--signs")
        if y >= len(self._lines):
            return Strip.blank(self.size.width, style)
        return Strip([Segment(self._lines[y].plain, style)]).adjust_cell_length(
            self.size.width, style
        )
