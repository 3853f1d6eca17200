"""The ranking as a list: bars that show how sure they are, figures, places, costs."""

from __future__ import annotations

from rich.text import Text

from toolbox.desk.ranked import Ranked
from toolbox.tui.text import plain
from toolbox.tui.widgets.source import Column

SURELY, ABOUT, PERHAPS = "━", "┼", "─"
OPEN = "?"
BAR = 8

COLUMNS = (
    Column("no.", width=4, right=True, priority=4),
    Column("tool", share=3, least=22),
    Column("uses", width=BAR, priority=1),
    Column("a day", width=5, right=True),
    Column("90 %", width=9, right=True, priority=5),
    Column("class", width=5, priority=1),
    Column("share", width=5, right=True, priority=3),
    Column("urgent", width=6, right=True, priority=2),
    Column("lives in", share=2, least=12),
    Column("s/day", width=5, right=True),
)


class Ranking:
    """Ranked tools as rows, each written out when it comes into view.

    ``most`` is what a full bar stands for: the highest upper limit of all tools, shown
    or not.
    """

    def __init__(self, rows: tuple[Ranked, ...], most: float) -> None:
        self.rows = rows
        self.most = most

    def __len__(self) -> int:
        """How many tools there are."""
        return len(self.rows)

    def key(self, i: int) -> str:
        """The id of the tool in row i."""
        return self.rows[i].item

    def cells(self, i: int) -> tuple[Text, ...]:
        """Row i, a text for each of ``COLUMNS``."""
        row = self.rows[i]
        use = row.use
        return (
            Text(str(row.rank)),
            plain(row.name),
            bar(use.low, use.per_day, use.high, self.most),
            Text(f"{use.per_day:.2f}"),
            Text(f"{use.low:.1f}-{use.high:.1f}"),
            Text(use.grade),
            Text(percent(row.share)),
            Text(percent(use.urgent_share)),
            plain(home_words(row)),
            Text("" if row.cost is None else f"{row.cost / 1e6:.1f}"),
        )

    def mark(self, i: int) -> str:
        """A sign before tools that are not settled yet."""
        return OPEN if self.rows[i].settled is False else ""


def bar(low: float, mean: float, high: float, most: float, width: int = BAR) -> Text:
    """Heavy as far as it surely goes, a cross at what is expected, thin as far as it may go."""
    if most <= 0:
        return Text("")
    ends = [min(width, round(width * value / most)) for value in (low, mean, high)]
    sure, about = ends[0], max(ends[1] - 1, 0)
    may = max(ends[2], about + 1)
    signs = [SURELY if n < sure else PERHAPS for n in range(may)]
    signs[about] = ABOUT
    return Text("".join(signs))


def percent(share: float) -> str:
    """A share in whole hundredths; nothing where it is as good as none."""
    return f"{100 * share:.0f} %" if share >= 0.005 else ""


def home_words(row: Ranked) -> str:
    """Where it lives today, or why nowhere."""
    if not row.carried:
        return "not in the box"
    return row.home.name if row.home is not None else "no place yet"
