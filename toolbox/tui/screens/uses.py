"""Uses: the ranking of the tools, how sure it is, and the history of the marked one."""

from __future__ import annotations

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from toolbox.desk.history import NEVER, History
from toolbox.desk.picture import Picture
from toolbox.desk.plans import Study
from toolbox.desk.ranked import Order, Ranked, basis_words, filtered, in_order, ranking
from toolbox.tui.actions import bindings
from toolbox.tui.screens.there import show_in_box
from toolbox.tui.screens.uses_closer import Closer, Counted, Judged
from toolbox.tui.screens.uses_detail import Detail
from toolbox.tui.screens.uses_list import COLUMNS, OPEN, Ranking
from toolbox.tui.shell import READING, Place
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.filter_line import FilterLine
from toolbox.tui.widgets.rows import Rows
from toolbox.usage.settled import Settled

FAULTS = "The kit has faults: see Ready (F2) for what is wrong."
EMPTY = "No tools yet: take in your list with toolbox import FILE.csv"
NO_MATCH = "No tool goes by these letters; Esc shows all"


class Uses(Place):
    """The list with its filter above, the marked tool beside or below it."""

    PLACE = "uses"
    HELP = (
        "How often a working day takes up each tool. In the bar the heavy line is what is sure, "
        "the cross what is expected, the thin line what may be; 90 % are the same limits in "
        "figures. Class A are the tools that make up most of all uses, B come next, C are the "
        "rest. ? before a tool: it is not settled yet whether it belongs among the easily "
        "reached. s/day is what reaching for it costs a day where it lies today, urgent seconds "
        "counted as your settings say. Enter shows all that is known of the marked tool."
    )
    BINDINGS = bindings("uses")
    # Below 24 lines the list needs them all: the marked tool is opened with Enter.
    VERTICAL_BREAKPOINTS = [*(Place.VERTICAL_BREAKPOINTS or ()), (24, "-tall")]  # noqa: RUF012
    DEFAULT_CSS = """
    Uses #basis { height: auto; padding: 0 1; }
    Uses #sorted { padding: 0 0 0 2; }
    Uses #sides { height: 1fr; layout: vertical; }
    Uses.-wide #sides { layout: horizontal; }
    Uses Detail.-none { display: none; }
    Uses #left { height: 1fr; width: 1fr; }
    Uses.-wide Detail {
        height: 1fr; width: 36%; min-width: 40; border-top: none; border-left: solid $primary;
    }
    Uses.-high Detail { display: none; }
    Uses.-opened Detail { display: block; height: 1fr; border-top: none; }
    Uses.-opened #left { display: none; }
    Uses.-wide Detail, Uses.-wide.-opened #left { display: block; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._picture: Picture | None = None
        self._rows: dict[str, Ranked] = {}
        self._order = Order.USES
        self._histories: dict[str, History] | None = None
        self._sure: Settled | None = None
        self._closer: Closer | None = None

    def body(self) -> ComposeResult:
        """What the ranking rests on; filter and order; the list and the marked tool."""
        yield Static(READING, id="basis", markup=False)
        yield FilterLine("sorted")
        with Vertical(id="sides"):
            with Vertical(id="left"):
                yield Rows(COLUMNS, empty=READING, id="ranking")
            yield Detail()

    @property
    def _list(self) -> Rows:
        return self.query_one("#ranking", Rows)

    @property
    def _study(self) -> Study | None:
        return self._picture.study if self._picture is not None else None

    @property
    def _marked(self) -> Ranked | None:
        key = self._list.cursor_key
        return self._rows.get(key) if key is not None else None

    def on_mount(self) -> None:
        """Keys go to the list."""
        super().on_mount()
        self._list.focus()

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """Rank anew; marks of what is settled stay until they are worked out anew."""
        self._picture = picture
        self._fill()
        # The list stands there before the long counting begins.
        self.call_after_refresh(self._look_closer)

    def _fill(self) -> None:
        at = self._study
        ranked = ranking(at, self._sure) if at is not None else ()
        self._rows = {row.item: row for row in ranked}
        self._narrow()

    def _narrow(self) -> None:
        letters = self.query_one("#filter", Entry).value
        ranked = self._rows.values()
        most = max((row.use.high for row in ranked), default=0.0)
        shown = in_order(filtered(ranked, letters), self._order)
        empty = NO_MATCH if self._rows else EMPTY if self._study is not None else FAULTS
        self._list.refill(Ranking(shown, most), empty=empty)
        self.query_one("#basis", Static).update(Text(self._basis()))
        many = f"{len(shown)} of {len(self._rows)}, " if letters.strip() else ""
        self.query_one("#sorted", Static).update(Text(f"{many}{self._order.words}"))
        self._detail()

    def _basis(self) -> str:
        at = self._study
        if at is None:
            return FAULTS
        if self._sure is None:
            return basis_words(at.usage)
        still = len(self._sure.open)
        return (
            f"{basis_words(at.usage)} {f'{OPEN} {still} not settled.' if still else 'All settled.'}"
        )

    def _detail(self) -> None:
        at, row = self._study, self._marked
        detail = self.query_one(Detail)
        detail.set_class(at is None, "-none")
        if at is None:
            return
        history = None
        if self._histories is not None and row is not None:
            history = self._histories.get(row.item, NEVER)
        sure = self._sure if row is not None and row.chance is not None else None
        detail.show(at, row, history, sure)

    # ---- the closer look

    def _look_closer(self) -> None:
        if self._closer is not None:
            self._closer.stop.throw()  # its last word has the next one begun
        elif self._picture is not None and self._picture.study is not None:
            self._closer = Closer(self._picture, self.post_message)
            self.toolbox.works.append((self._closer.stop, self._closer.thread))

    @on(Counted)
    def _counted(self, event: Counted) -> None:
        if event.at is self._study:
            self._histories = event.histories
            self._detail()

    @on(Judged)
    def _judged(self, event: Judged) -> None:
        if self._closer is not None:
            self.toolbox.works.remove((self._closer.stop, self._closer.thread))
            self._closer = None
        if event.at is not self._study:
            self._look_closer()
        elif event.sure is not None:
            self._sure = event.sure
            self._fill()

    # ---- what can be asked for

    def action_sort(self) -> None:
        """Sort by the next order."""
        self._order = self._order.next()
        self._narrow()

    def action_filter(self) -> None:
        """Letters go to the filter."""
        self.query_one("#filter", Entry).focus()

    def action_open(self) -> None:
        """The marked tool alone, and the keys to its pane."""
        if self._marked is not None:
            self.add_class("-opened")
            detail = self.query_one(Detail)
            detail.can_focus = True
            detail.focus()

    def action_box(self) -> None:
        """To the map, the marked tool under its cursor."""
        row = self._marked
        if row is not None:
            show_in_box(self.toolbox, row.item)

    def one_back(self) -> bool:
        """From the opened tool to the list; in the list the filter goes."""
        line = self.query_one("#filter", Entry)
        if self.has_class("-opened"):
            self.remove_class("-opened")
            self._list.focus()
            self.query_one(Detail).can_focus = False
            return True
        if line.value:
            line.value = ""
            return True
        return False

    def marked_text(self) -> str:
        """The marked tool in words."""
        return self.query_one(Detail).whole_text

    # ---- what the widgets say

    @on(Entry.Changed, "#filter")
    def _letters(self) -> None:
        self._narrow()

    @on(Rows.Moved)
    def _moved(self) -> None:
        self._detail()

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_open()
