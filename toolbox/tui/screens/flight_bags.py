"""The bags of a trip as bars against their limits, and the things that lie in the marked one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.text import Text

from toolbox.desk.figures import grams
from toolbox.desk.flight_bags import Load
from toolbox.desk.flight_view import BarLine, ItemLine
from toolbox.tui.text import plain
from toolbox.tui.widgets.rows import LEAD, TAIL, Rows
from toolbox.tui.widgets.source import Column, Lined, spread

# As in the ranking: sure, expected, may be. What is or may be over the limit is a cross.
SURELY, ABOUT, PERHAPS, OVER, LIMIT, BEYOND = "━", "┼", "─", "×", "┃", ">"
LEAST_SPAN, MOST_SPAN = 1.25, 2.5
BAR = f"limit {LIMIT}"


def item_columns(bags: int) -> tuple[Column, ...]:
    """The columns of things; where they lie only when they lie in several bags."""
    return (
        Column("thing", share=3, least=18),
        *([Column("in", share=2, least=10, priority=2)] if bags > 1 else []),
        Column("mass", width=8, right=True),
        Column("known", width=9, priority=1),
        Column("goods", width=5),
    )


def gauge(load: Load, width: int, span: float) -> Text:
    """A mass against its limit, in so many cells that stand for ``span`` limits.

    Heavy as far as it surely goes, a cross of lines at what is expected, thin as far as it
    may go; all beyond the limit's own mark is crossed out. Something stands behind the mark
    exactly when the mass may be over, whatever is lost by rounding to cells.
    """
    limit = load.limit_g
    if not limit or width < 3:
        return Text("")
    at_limit = max(1, min(width - 2, round(width / span)))
    behind = width - at_limit - 1

    def at(value: float) -> float:
        if value <= limit:
            return max(0.0, value) / limit * at_limit
        return at_limit + 1 + (value - limit) / ((span - 1) * limit) * behind

    low, high = load.total.interval()
    expected = int(at(load.total.grams))
    expected = min(expected, (at_limit if load.total.grams <= limit else width) - 1)
    signs = []
    for n in range(width):
        if n == at_limit:
            signs.append(LIMIT)
        elif n == expected:
            signs.append(ABOUT)
        elif n < at_limit and n + 1 <= at(low):
            signs.append(SURELY)
        elif n < at(high):
            signs.append(PERHAPS if n < at_limit else OVER)
        else:
            signs.append(" ")
    if at(high) > width:
        signs[-1] = BEYOND
    return Text("".join(signs))


def span_of(lines: Sequence[BarLine]) -> float:
    """How many limits a whole bar stands for, so that the heaviest still shows."""
    loads = [line.load for line in lines if line.load is not None and line.load.limit_g]
    shares = [load.total.interval()[1] / (load.limit_g or 1) for load in loads]
    return min(MOST_SPAN, max([LEAST_SPAN, *(share * 1.05 for share in shares)]))


class BarSource(Lined[BarLine]):
    """Bars as rows; ``width`` says how wide they are when drawn, ``legs`` that each has its leg."""

    def __init__(self, lines: Sequence[BarLine], width: Callable[[], int], legs: bool) -> None:
        super().__init__(lines)
        self._width = width
        self._legs = legs
        self._span = span_of(lines)

    def cells(self, i: int) -> tuple[Text, ...]:
        """Number, bag, leg where it is asked for, bar, masses, verdict."""
        line = self.lines[i]
        bar = Text("") if line.load is None else gauge(line.load, self._width(), self._span)
        return (
            Text(line.number),
            plain(line.name),
            *([plain(line.leg)] if self._legs else []),
            bar,
            plain(line.masses),
            Text(line.state, "bold" if line.state.isupper() else ""),
        )


class Bars(Rows):
    """Every bag against its limit; the limits stand in one column, whatever they are."""

    def __init__(self, *, id: str) -> None:
        super().__init__(_bar_columns("", False, ()), empty="", id=id)
        self.lines: tuple[BarLine, ...] = ()

    @property
    def marked(self) -> BarLine | None:
        """The line under the cursor."""
        return self.lines[self.cursor_row] if self.lines else None

    def show(self, lines: tuple[BarLine, ...], title: str, legs: bool) -> None:
        """Show these lines under a title; with a column of ``legs`` where lines have several."""
        self.lines = lines
        self.columns = _bar_columns(title, legs, lines)
        self.refill(BarSource(lines, self._bar_width, legs))
        self.styles.height = len(lines) + 1

    def mark_number(self, number: str) -> None:
        """Put the cursor on the bag of this number."""
        line = next((line for line in self.lines if line.number == number), None)
        if line is not None:
            self.move_to(line.key)

    def _bar_width(self) -> int:
        widths = spread(self.columns, self.scrollable_content_region.width - LEAD - TAIL)
        return next(w for c, w in zip(self.columns, widths, strict=True) if c.title == BAR)


def _bar_columns(title: str, legs: bool, lines: Sequence[BarLine]) -> tuple[Column, ...]:
    masses = max([14, *(len(line.masses) for line in lines)])
    return (
        Column("", width=1),
        Column(title, share=2, least=12),
        *([Column("leg", share=2, least=8)] if legs else []),
        Column(BAR, share=3, least=9),
        Column("kg", width=masses, right=True),
        Column("", width=8),
    )


class ItemSource(Lined[ItemLine]):
    """Things in so many bags as rows."""

    def __init__(self, lines: Sequence[ItemLine], bags: int) -> None:
        super().__init__(lines)
        self._bags = bags

    def cells(self, i: int) -> tuple[Text, ...]:
        """Thing, bag where there are several, mass, how it is known, goods answer."""
        line = self.lines[i]
        name = plain(line.name) + Text(" (fixed)") if line.fixed else plain(line.name)
        where = [plain(line.bag)] if self._bags > 1 else []
        return (name, *where, Text(grams(line.grams)), Text(line.known), Text(line.answer))

    def mark(self, i: int) -> str:
        """A sign before things about which something is to be done."""
        return "!" if self.lines[i].act else ""
