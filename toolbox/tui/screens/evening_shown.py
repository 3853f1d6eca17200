"""What Evening shows and where its keys go: count, what is missing, bikes, supplies, lists."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import ScreenResume
from textual.widget import Widget
from textual.widgets import Static

from toolbox.desk.evening_lists import ListsView, list_words
from toolbox.desk.evening_stock import stock_words
from toolbox.desk.evening_view import (
    EveningView,
    closed_words,
    count_words,
    evening_looked_at,
    to_do_words,
)
from toolbox.desk.picture import Picture
from toolbox.tui.actions import bindings
from toolbox.tui.screens.evening_count import CountPane
from toolbox.tui.screens.evening_look import (
    WAITING,
    Drawn,
    Looked,
    Stocked,
    Stocks,
    Work,
    look_beside,
    stock_beside,
)
from toolbox.tui.screens.evening_missing import BikesPane, MissingPane
from toolbox.tui.screens.evening_pen import EveningPen
from toolbox.tui.screens.evening_ticked import ListsPane, StockPane
from toolbox.tui.screens.said_line import SaidLine
from toolbox.tui.text import plain
from toolbox.tui.widgets.ask_line import AskLine
from toolbox.tui.widgets.words import WordsPane

COUNT, MISSING, BIKES, CLOSE = "count", "missing", "bikes", "close"
RESTOCK, LISTS = "restock", "lists"
VIEWS = (COUNT, MISSING, BIKES, CLOSE, RESTOCK, LISTS)
HINTS = {
    COUNT: "Space: all there. Enter: its things (x: short). u: undo.",
    MISSING: "Enter: what became of it (1-9: of so many). Esc: back.",
    BIKES: "Enter: it may go out, with a reason. Esc: back.",
    CLOSE: "d: close it as not complete, with a reason. Esc: back.",
    RESTOCK: "Space: done. r: what to buy. a: came in. Esc: back.",
    LISTS: "Space: done. x: not now. n: note. l: next list. Esc: back.",
}
THEN = " d: close. r: restock."
NOT_COMPLETE = "The day cannot be closed as complete:"
WITHIN = "x: short (1-9: so many). Space: all else there. Esc: back."


class EveningShown(SaidLine):
    """How far one is above; one part of the evening below it at a time."""

    PLACE = "evening"
    BINDINGS = bindings("evening")
    DEFAULT_CSS = f"""
    EveningShown #far, EveningShown #did {{ height: auto; padding: 0 1; }}
    EveningShown #did {{ text-style: italic; }}
    EveningShown #parts {{ height: 1fr; }}
    EveningShown #parts.-none {{ display: none; }}
    EveningShown #parts > * {{ display: none; height: 1fr; }}
    {"".join(f"EveningShown.-view-{v} #part-{v} {{ display: block; }}" for v in VIEWS)}
    EveningShown.-wide CountPane {{
        grid-size: 3 1; grid-columns: 5fr 5fr 6fr; grid-rows: 1fr;
    }}
    EveningShown.-wide #lying {{
        column-span: 1; border-top: none; border-left: solid $primary;
    }}
    EveningShown.-wide MissingPane {{ layout: horizontal; }}
    EveningShown.-wide #out {{ width: 2fr; height: 1fr; }}
    EveningShown.-wide #sheet {{
        width: 3fr; height: 1fr; border-top: none; border-left: solid $primary;
    }}
    EveningShown.-wide StockPane {{ layout: horizontal; }}
    EveningShown.-wide StockPane CheckList {{ width: 3fr; height: 1fr; }}
    EveningShown.-wide #buys {{
        width: 2fr; height: 1fr; border-top: none; border-left: solid $primary;
    }}
    EveningShown AskLine {{ padding: 0 1; }}
    """

    def __init__(self) -> None:
        super().__init__()
        self.view: EveningView | None = None
        self.chosen = COUNT
        self.pen: EveningPen | None = None
        self._picture: Picture | None = None
        self.lists: ListsView | None = None
        self.stocks: Stocks | None = None
        self._stocking = False
        self._drawn: Drawn | None = None

    def body(self) -> ComposeResult:
        """How far one is, what was done last, the parts of the evening, a line to answer in."""
        yield Static(WAITING, id="far", markup=False)
        yield Static("", id="did", markup=False)
        with Vertical(id="parts", classes="-none"):
            yield CountPane(id="part-count")
            yield MissingPane(id="part-missing")
            yield BikesPane(id="part-bikes")
            yield WordsPane(id="part-close")
            yield StockPane(id="part-restock")
            yield ListsPane(id="part-lists")
        yield AskLine()

    def on_mount(self) -> None:
        """The count first."""
        super().on_mount()
        self.see(COUNT, focus=False)

    @property
    def counting(self) -> CountPane:
        """The count."""
        return self.query_one(CountPane)

    @property
    def missing(self) -> MissingPane:
        """What is not in the box."""
        return self.query_one(MissingPane)

    @property
    def bikes(self) -> BikesPane:
        """The bikes it could be in."""
        return self.query_one(BikesPane)

    @property
    def stock(self) -> StockPane:
        """What to restock and to buy."""
        return self.query_one(StockPane)

    @property
    def listed(self) -> ListsPane:
        """The mechanic's own lists."""
        return self.query_one(ListsPane)

    def stage(self) -> Hashable:
        """Enter does something else in another part, among other rows, while something is asked."""
        return (self.chosen, self.focused and self.focused.id)

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """Work the evening out anew beside the screen."""
        self._picture = picture
        day = self._day(picture)
        self._works(look_beside(picture, day, self._drawn, self.stocks, self.post_message))

    def _day(self, picture: Picture) -> date:
        return evening_looked_at(picture.today, self.toolbox.now())

    def _works(self, work: Work) -> None:
        works = self.toolbox.works
        works[:] = [(stop, thread) for stop, thread in works if thread.is_alive()]
        works.append(work)

    @on(Looked)
    def looked(self, event: Looked) -> None:
        """The evening is there, unless a newer one is being worked out."""
        event.stop()
        if event.picture is not self._picture:
            return
        first, self.view, self._drawn = self.view is None, event.view, event.drawn
        self.lists = event.lists
        self.query_one("#parts").set_class(event.view is None, "-none")
        if event.view is None:
            self.query_one("#far", Static).update(plain(event.words))
            self.say("")
            return
        self._look_at_stock(event.picture)
        if self.pen is None:
            self.pen = EveningPen(self.toolbox.write, self.post_message)
        self.draw()
        if first:
            self.call_after_refresh(self._begin)

    def _look_at_stock(self, picture: Picture) -> None:
        # One look at a time: it is the longest of all.
        if not self._stocking:
            self._stocking = True
            day = self._day(picture)
            self._works(stock_beside(picture, day, self.stocks, self.post_message))

    @on(Stocked)
    def stocked(self, event: Stocked) -> None:
        """The supplies are there; and looked at once more if the kit has changed meanwhile."""
        event.stop()
        self._stocking = False
        if event.stocks is not None and event.stocks is not self.stocks:
            self.stocks = event.stocks
            self.draw()
            self.call_after_refresh(self._go_to_wanted)
        if self._picture is not None and event.picture is not self._picture:
            self._look_at_stock(self._picture)

    def _begin(self) -> None:
        # What one was sent here for may have been gone to already.
        self.see(self.chosen)
        self._go_to_wanted()

    def draw(self) -> None:
        """Show the evening as it stands."""
        if self.view is None:
            return
        self.counting.show(self.view, self._drawn.box if self._drawn is not None else None)
        self.missing.show(self.view)
        self.bikes.show(self.view)
        if self.stocks is not None:
            self.stock.show(self.stocks.view, self.stocks.words)
        if self.lists is not None:
            self.listed.show(self.lists)
        in_the_way = self.query_one("#part-close", WordsPane)
        hindrances = self.view.seen.hindrances
        in_the_way.head(NOT_COMPLETE if hindrances else to_do_words(self.view))
        in_the_way.more([f"- {words}" for words in hindrances])
        self.query_one("#far", Static).update(self._far(self.view))

    def _far(self, view: EveningView) -> Text:
        """The evening, how far each of its parts is, and how its day is closed."""
        stock = self.stocks.view if self.stocks is not None else None
        parts = {
            COUNT: count_words(view),
            RESTOCK: stock_words(stock) if stock is not None else "Restock ?",
            LISTS: list_words(self.listed.opened),
        }
        here = self.chosen if self.chosen in parts else COUNT
        far = Text(f"{view.seen.day:%m-%d}")
        for part, words in parts.items():
            far.append(" ")
            far.append(f"[{words}]" if part == here else f" {words} ", _style(part == here))
        return Text("\n").join((far, plain(closed_words(view))))

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Another place may have sent one here to see something."""
        super().on_screen_resume(event)
        self.call_after_refresh(self._go_to_wanted)

    def _go_to_wanted(self) -> None:
        wanted = self.toolbox.wanted
        if wanted is None or self.view is None or not self.is_current:
            return
        if self.missing.mark_tool(wanted):
            self.see(MISSING)
        elif self.stock.mark_supply(wanted):
            self.see(RESTOCK)
        elif self.stocks is None:
            return  # what is to be restocked is still being worked out
        self.toolbox.wanted = None

    # ---- where the keys go

    def see(self, part: str, *, focus: bool = True) -> None:
        """Show this part of the evening; the keys go to it."""
        self.chosen = part
        if self.view is not None:
            self.query_one("#far", Static).update(self._far(self.view))
        for each in VIEWS:
            self.set_class(each == part, f"-view-{each}")
        if focus:
            first: dict[str, Widget | None] = {
                COUNT: self.counting.places,
                MISSING: self.missing.rows,
                BIKES: self.bikes.rows,
                CLOSE: self.query_one("#part-close"),
                RESTOCK: self.stock.list.rows,
                LISTS: self.listed.list.rows if self.listed.opened is not None else None,
            }
            self.call_after_refresh(self.set_focus, first[part])
            self.say("")

    def _hint(self) -> str:
        if self.view is None:
            return ""
        if self.chosen == COUNT:
            words = to_do_words(self.view)
            return WITHIN if self.counting.within else f"{words}{THEN}" if words else HINTS[COUNT]
        return HINTS[self.chosen]


def _style(here: bool) -> str:
    return "bold reverse" if here else ""
