"""What Evening shows and where its keys go: the count, what is missing, bikes, an answer."""

from __future__ import annotations

from collections.abc import Hashable

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import ScreenResume
from textual.widget import Widget
from textual.widgets import Static

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
from toolbox.tui.screens.evening_look import WAITING, Drawn, Looked, look_beside
from toolbox.tui.screens.evening_missing import BikesPane, MissingPane
from toolbox.tui.screens.evening_pen import EveningPen
from toolbox.tui.screens.flight_panes import MassLine, WordsPane
from toolbox.tui.shell import Place
from toolbox.tui.text import plain

BEING_WRITTEN = " Being written."
COUNT, MISSING, BIKES, CLOSE = "count", "missing", "bikes", "close"
VIEWS = (COUNT, MISSING, BIKES, CLOSE)
HINTS = {
    COUNT: "Space: all there. Enter: its things (x: short). u: undo.",
    MISSING: "Enter: what became of it (1-9: of so many). Esc: back.",
    BIKES: "Enter: it may go out, with a reason. Esc: back.",
    CLOSE: "d: close it as not complete, with a reason. Esc: back.",
}
NOT_COMPLETE = "The day cannot be closed as complete:"
WITHIN = "x: short (1-9: so many). Space: all else there. Esc: back."


class EveningShown(Place):
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
    EveningShown MassLine {{ padding: 0 1; }}
    """

    def __init__(self) -> None:
        super().__init__()
        self.view: EveningView | None = None
        self.chosen = COUNT
        self.pen: EveningPen | None = None
        self._picture: Picture | None = None
        self._said = ""
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
        yield MassLine()

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

    def stage(self) -> Hashable:
        """Enter does something else in another part, among other rows, while something is asked."""
        return (self.chosen, self.focused and self.focused.id)

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """Work the evening out anew beside the screen."""
        self._picture = picture
        day = evening_looked_at(picture.today, self.toolbox.now())
        look_beside(picture, day, self._drawn, self.post_message)

    @on(Looked)
    def looked(self, event: Looked) -> None:
        """The evening is there, unless a newer one is being worked out."""
        event.stop()
        if event.picture is not self._picture:
            return
        first, self.view, self._drawn = self.view is None, event.view, event.drawn
        self.query_one("#parts").set_class(event.view is None, "-none")
        if event.view is None:
            self.query_one("#far", Static).update(plain(event.words))
            self.say("")
            return
        if self.pen is None:
            self.pen = EveningPen(self.toolbox.write, self.post_message)
        self.draw()
        if first:
            self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        # What one was sent here for may have been gone to already.
        self.see(self.chosen)
        self._go_to_wanted()

    def draw(self) -> None:
        """Show the evening as it stands."""
        if self.view is None:
            return
        self.query_one("#far", Static).update(self._far(self.view))
        self.counting.show(self.view, self._drawn.box if self._drawn is not None else None)
        self.missing.show(self.view)
        self.bikes.show(self.view)
        in_the_way = self.query_one("#part-close", WordsPane)
        hindrances = self.view.seen.hindrances
        in_the_way.head(NOT_COMPLETE if hindrances else to_do_words(self.view))
        in_the_way.more([f"- {words}" for words in hindrances])

    def _far(self, view: EveningView) -> Text:
        """The evening, how far each of its parts is, and how its day is closed."""
        far = Text(f"{view.seen.day}  ").append(f"[{count_words(view)}]", "bold reverse")
        return Text("\n").join((far, plain(closed_words(view))))

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Another place may have sent one here to see something."""
        super().on_screen_resume(event)
        self.call_after_refresh(self._go_to_wanted)

    def _go_to_wanted(self) -> None:
        tool = self.toolbox.wanted
        if tool is None or self.view is None or not self.is_current:
            return
        self.toolbox.wanted = None
        if self.missing.mark_tool(tool):
            self.see(MISSING)

    # ---- where the keys go

    def see(self, part: str, *, focus: bool = True) -> None:
        """Show this part of the evening; the keys go to it."""
        self.chosen = part
        for each in VIEWS:
            self.set_class(each == part, f"-view-{each}")
        if focus:
            first: dict[str, Widget] = {
                COUNT: self.counting.places,
                MISSING: self.missing.rows,
                BIKES: self.bikes.rows,
                CLOSE: self.query_one("#part-close"),
            }
            self.call_after_refresh(first[part].focus)
            self.say("")

    def say(self, words: str) -> None:
        """What was done last; "" for what can be done where the keys go."""
        self._said = words
        self.query_one("#did", Static).update(plain(words or self._hint()))

    def said_is_written(self) -> None:
        """What was done last is on the disk now."""
        if BEING_WRITTEN in self._said:
            self.say(self._said.replace(BEING_WRITTEN, ""))

    def _hint(self) -> str:
        if self.view is None:
            return ""
        if self.chosen == COUNT:
            return WITHIN if self.counting.within else to_do_words(self.view) or HINTS[COUNT]
        return HINTS[self.chosen]

    def on_descendant_focus(self) -> None:
        """The keys go elsewhere: other things can be done."""
        self.say("")
