"""What Flight shows and where its focus is: bags, things, findings, plan, an answer."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Static

from toolbox.desk.flight_view import (
    STRICTEST,
    FlightView,
    bar_lines,
    finding_rows,
    items_in,
)
from toolbox.desk.flight_words import cautions
from toolbox.desk.picture import Picture
from toolbox.tui.actions import bindings, key_words
from toolbox.tui.screens.flight_bags import Bars, ItemSource, item_columns
from toolbox.tui.screens.flight_checks import ChecksPane
from toolbox.tui.screens.flight_look import (
    WAITING,
    Looked,
    head_text,
    inside_words,
    leg_title,
    look_beside,
)
from toolbox.tui.screens.flight_panes import FindingsPane
from toolbox.tui.screens.flight_pen import Pen
from toolbox.tui.screens.flight_plan import PlanPane
from toolbox.tui.screens.said_line import SaidLine
from toolbox.tui.shell import Place
from toolbox.tui.text import plain
from toolbox.tui.widgets.ask_line import AskLine
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.words import WordsPane, lines_text

VIEWS = ("bags", "findings", "plan", "check", "told")


class FlightShown(SaidLine):
    """Bars and things in one pane; findings, plan or an answer beside it or in its place."""

    PLACE = "flight"
    BINDINGS = bindings("flight")
    VERTICAL_BREAKPOINTS = [*(Place.VERTICAL_BREAKPOINTS or ()), (24, "-tall")]  # noqa: RUF012
    DEFAULT_CSS = """
    FlightShown #head, FlightShown #cautions { height: auto; padding: 0 1; }
    FlightShown #did { height: 1; padding: 0 1; text-style: italic; }
    FlightShown #sides { height: 1fr; }
    FlightShown #sides.-none { display: none; }
    FlightShown #left, FlightShown #right { width: 1fr; height: 1fr; display: none; }
    FlightShown.-view-bags #left, FlightShown.-wide #left { display: block; }
    FlightShown.-wide #right { display: block; }
    FlightShown.-view-findings #right, FlightShown.-view-plan #right { display: block; }
    FlightShown.-view-told #right, FlightShown.-view-check #right { display: block; }
    FlightShown.-wide #left { width: 5fr; }
    FlightShown.-wide #right { width: 4fr; border-left: solid $primary; }
    FlightShown #bars { max-height: 55%; }
    FlightShown #marked, FlightShown #inside { height: auto; max-height: 3; padding: 0 1; }
    FlightShown #inside { text-style: bold; }
    FlightShown #findings, FlightShown #plan { height: 1fr; display: none; }
    FlightShown #told, FlightShown #check { height: 1fr; display: none; }
    FlightShown.-pane-findings #findings, FlightShown.-pane-plan #plan { display: block; }
    FlightShown.-pane-told #told, FlightShown.-pane-check #check { display: block; }
    FlightShown #marked { display: none; }
    FlightShown.-tall #marked { display: block; }
    FlightShown AskLine { padding: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.view: FlightView | None = None
        self.leg = STRICTEST
        self.chosen = "bags"
        self._picture: Picture | None = None
        self.trip: str | None = None
        self.pen: Pen | None = None

    def body(self) -> ComposeResult:
        """Trip and verdict, who decides; bags and things; findings, plan, answer."""
        yield Static(WAITING, id="head", markup=False)
        yield Static(lines_text([" ".join(cautions())]), id="cautions", markup=False)
        yield Static("", id="did", markup=False)
        with Horizontal(id="sides", classes="-none"):
            with Vertical(id="left"):
                yield Bars(id="bars")
                yield Static("", id="marked", markup=False)
                yield Static("", id="inside", markup=False)
                yield Rows(item_columns(1), head=False, empty="nothing", id="items")
            with Vertical(id="right"):
                yield FindingsPane(id="findings")
                yield PlanPane(id="plan")
                yield ChecksPane(id="check")
                yield WordsPane(id="told")
        yield AskLine()

    def on_mount(self) -> None:
        """The bags first."""
        super().on_mount()
        self.add_class("-pane-findings")
        self.see("bags", focus=False)

    def on_unmount(self) -> None:
        """The screens are being left: what is not on the disk yet is written now."""
        folder = self.toolbox.folder
        if self.pen is not None and folder is not None:
            self.pen.finish(self.toolbox.to_write(folder))

    @property
    def bars(self) -> Bars:
        """The bags."""
        return self.query_one(Bars)

    @property
    def items(self) -> Rows:
        """The things in the marked bag."""
        return self.query_one("#items", Rows)

    @property
    def plan(self) -> PlanPane:
        """The plan, and the search for it."""
        return self.query_one(PlanPane)

    @property
    def checks(self) -> ChecksPane:
        """The list of the night before."""
        return self.query_one(ChecksPane)

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """Open the trip anew beside the screen; what is shifted meanwhile is not lost."""
        self._picture = picture
        if picture.folder is None:
            self.pen = None
        look_beside(picture, self.trip, self.post_message)

    @on(Looked)
    def looked(self, event: Looked) -> None:
        """The trip is there, unless something newer is on its way to the disk."""
        event.stop()
        if event.picture is not self._picture or (self.pen is not None and self.pen.waits):
            return
        first = self.view is None
        self.view = event.view
        self.query_one("#sides").set_class(event.view is None, "-none")
        if event.view is None:
            self.query_one("#head", Static).update(lines_text(event.words))
            return
        if self.pen is None:
            write, today = self.toolbox.write, event.picture.today
            self.pen = Pen(write, self.post_message, today)
            self.checks.begin(write, self.toolbox.when, today)
        if event.listed is not None:
            self.checks.show(event.listed)
        self.draw()
        if first:
            self.call_after_refresh(self.see, self.chosen)

    def draw(self) -> None:
        """Show the trip as its bags are packed now."""
        view = self.view
        if view is None:
            return
        key = key_words(self.toolbox.keys["flight-trip"][:1])
        self.query_one("#head", Static).update(head_text(view, key))
        legs = len(view.flight.trip.legs)
        every = self.leg == legs and legs > 1
        self.bars.show(bar_lines(view, self.leg), leg_title(view, self.leg), every)
        self._draw_items()
        self.query_one(FindingsPane).show(finding_rows(view))
        self.plan.look(view)

    def _draw_items(self) -> None:
        view, line = self.view, self.bars.marked
        if view is None or line is None:
            return
        self.query_one("#marked", Static).update(plain(line.words))
        self.query_one("#inside", Static).update(plain(inside_words(view, line)))
        bags = len(line.bags)
        self.items.columns = item_columns(bags)
        self.items.refill(ItemSource(items_in(view, line.bags), bags))

    @on(Rows.Moved, "#bars")
    def _other_bag(self) -> None:
        self._draw_items()

    def see(self, view: str, *, focus: bool = True) -> None:
        """Show this view; the keys go to it."""
        self.chosen = view
        for each in VIEWS:
            self.set_class(each == view, f"-view-{each}")
            if view != "bags":
                self.set_class(each == view, f"-pane-{each}")
        if focus:
            first: dict[str, Widget] = {
                "bags": self.bars,
                "findings": self.query_one(FindingsPane).rows,
                "plan": self.plan,
                "check": self.checks.list.rows,
                "told": self.query_one("#told"),
            }
            self.call_after_refresh(self._focus, first[view])

    def _focus(self, widget: Widget) -> None:
        widget.focus()
        self.say("")

    def _hint(self) -> str:
        if self.view is None or self.focused is None:
            return ""
        if self.focused is self.bars:
            return "Enter: what lies in it. w: weigh it. l: leg by leg."
        if self.focused in (self.items, self.query_one(FindingsPane).rows):
            most = min(9, len(self.view.bags))
            return f"1 to {most}: into that bag. 0: out of all bags. Esc: back."
        if self.focused is self.checks.list.rows:
            return "Space: done. n: note. x: not now, or not done. Esc: back."
        return "Esc: back to the bags."
