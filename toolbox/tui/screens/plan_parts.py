"""What the place Plan is made of: what moves, the chart of a search, the curve, a question."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from toolbox.desk.figures import seconds
from toolbox.desk.moves import Curve, Evening
from toolbox.desk.plan_words import MoveLine, knee_words, needed_words
from toolbox.desk.solving import Heard
from toolbox.tui.text import plain
from toolbox.tui.widgets.chart import Axes, Chart, Series
from toolbox.tui.widgets.entry import Answer, Entry
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.source import Column, Listed, Row

MOVES = (
    Column("thing", share=3, least=16),
    Column("from", share=2, least=12),
    Column("to", share=2, least=12),
)
BAR = 9  # signs for all that can be saved
EVENINGS = (
    Column("moves", width=9),
    Column("saved a day", width=11, right=True),
    Column("share", width=6, right=True),
    Column("gap at most", width=11, right=True, priority=1),
    Column("", width=BAR, priority=2),
)
SEARCH_AXES = Axes("seconds of search", "s a day", lambda x: f"{x:.0f}", lambda y: f"{y:.1f}")
CURVE_AXES = Axes("things moved", "s saved a day", lambda x: f"{x:.0f}", lambda y: f"{y:.1f}")


class MoveSource:
    """Things that change compartment, a row each, made when it is drawn."""

    def __init__(self, lines: Sequence[MoveLine] = ()) -> None:
        self._lines = lines

    def __len__(self) -> int:
        """How many things move."""
        return len(self._lines)

    def key(self, i: int) -> str:
        """The copy that moves."""
        return self._lines[i].copy

    def cells(self, i: int) -> tuple[Text, ...]:
        """Thing, from where, to where."""
        line = self._lines[i]
        return plain(line.thing), plain(line.origin), plain(line.target)


def charted(heard: Heard, gone: float) -> tuple[Series, Series]:
    """Cost and bound over the seconds of a search, each held until now."""
    return (
        Series("cost", _held(heard.costs, gone)),
        Series("bound", _held(heard.bounds, gone)),
    )


def _held(points: tuple[tuple[float, int], ...], gone: float) -> tuple[tuple[float, float], ...]:
    there = [(at, value / 1e6) for at, value in points]
    return (*there, (max(gone, there[-1][0]), there[-1][1])) if there else ()


class CurvePane(Vertical):
    """What so many moves save: the knee in words, a chart, a row for each limit."""

    DEFAULT_CSS = """
    CurvePane #knee { height: auto; }
    CurvePane Chart { max-height: 22; }
    CurvePane Rows { height: 7; }
    """

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.curve: Curve | None = None

    def compose(self) -> ComposeResult:
        """Words, chart, rows."""
        yield Static("", id="knee", markup=False)
        yield Chart(CURVE_AXES)
        yield Rows(EVENINGS, empty="no curve yet", id="evenings")

    def show(self, curve: Curve) -> None:
        """Show this curve."""
        self.curve = curve
        words = " ".join(filter(None, (knee_words(curve), needed_words(curve))))
        self.query_one("#knee", Static).update(plain(words))
        known = [row for row in curve.rows if row.moves is not None and row.saved is not None]
        points = tuple((float(row.moves or 0), (row.saved or 0) / 1e6) for row in known)
        self.query_one(Chart).show((Series("saved", points),))
        rows = [Row(str(number), _evening(row)) for number, row in enumerate(curve.rows)]
        self.query_one(Rows).refill(Listed(rows))

    def limit(self, key: str) -> int | None:
        """How many moves the row with this key allows, None for any number."""
        return self.curve.rows[int(key)].limit if self.curve is not None else None


def _evening(row: Evening) -> tuple[Text, ...]:
    limit = "all" if row.limit is None else str(row.limit)
    if row.saved is None:
        return tuple(map(plain, (limit, "none found", "", "", "")))
    if row.limit is None:
        limit = f"all ({row.moves})"
    share = "" if row.share is None else f"{100 * row.share:.0f} %"
    gap = "" if row.gap is None else f"{100 * row.gap:.2f} %"
    bar = "━" * round(BAR * max(0.0, min(1.0, row.share or 0.0)))
    return tuple(map(plain, (limit, seconds(row.saved), share, gap, bar)))


class Ask(Horizontal):
    """One line that asks for a number; hidden until something is asked."""

    DEFAULT_CSS = """
    Ask { height: 1; display: none; }
    Ask.-asking { display: block; }
    Ask Static { width: auto; text-style: bold; }
    Ask Entry { width: 1fr; }
    """

    def compose(self) -> ComposeResult:
        """The question and the line for its answer."""
        yield Static("", markup=False)
        yield Answer(restrict=r"[0-9]{0,4}")

    def ask(self, words: str) -> None:
        """Ask this; the line takes the focus."""
        self.query_one(Static).update(plain(f"{words} > "))
        entry = self.query_one(Entry)
        entry.value = ""
        self.add_class("-asking")
        entry.focus()

    def done(self) -> None:
        """Hide the line again."""
        self.remove_class("-asking")
