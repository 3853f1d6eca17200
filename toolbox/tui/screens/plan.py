"""Plan: search for the best layout with live progress, and see what it saves."""

from __future__ import annotations

import threading
from dataclasses import replace
from typing import Literal

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Static

from toolbox.desk.picture import Picture
from toolbox.desk.plan_words import adopted_words, move_lines
from toolbox.desk.plans import adopt_plan
from toolbox.desk.rebuild import Rebuild, left_words
from toolbox.layout.solve import Effort
from toolbox.tui.actions import bindings, key_words
from toolbox.tui.menu import Menu
from toolbox.tui.screens.plan_parts import (
    MOVES,
    SEARCH_AXES,
    Ask,
    CurvePane,
    MoveSource,
    charted,
)
from toolbox.tui.screens.plan_said import Judged, run_words, seen
from toolbox.tui.screens.plan_search import Ended, Phase, Search, Solving, Wish
from toolbox.tui.shell import Place
from toolbox.tui.text import plain
from toolbox.tui.widgets.chart import Chart
from toolbox.tui.widgets.entry import Entry
from toolbox.tui.widgets.rows import Rows

# The chart is sent whole, so it follows in every third look: over a slow line less than
# 2 kB a second are sent.
LOOK_SECONDS = 1.0
LOOKS_A_CHART = 3
VIEWS = ("moves", "search", "curve", "reasons")
MOST_SECONDS = 3600
SECONDS = "seconds"
EFFORTS = (
    ("q", Effort.QUICK.value, "quick: some seconds for most boxes"),
    ("n", Effort.NORMAL.value, "normal: under a minute for most boxes"),
    ("t", Effort.THOROUGH.value, "thorough: many minutes"),
    ("s", SECONDS, "so many seconds by the clock"),
)


class Planning(Place):
    """The plan in words, what moves, and the search as it goes."""

    PLACE = "plan"
    HELP = (
        "Here the box is planned: the search gives every thing the compartment that makes a "
        "day's reaching shortest, and proves how far from the best it can be at most. It goes "
        "on while you are in other places; what it found is saved as the plan, and nothing in "
        "the box changes by that. Rebuild lists the steps from today's box to the plan. Adopt "
        "only when the box already lies as planned. With few moves only so many things change "
        "their place; the curve shows how many are worth it, and Enter on a row of it plans "
        "with so many."
    )
    BINDINGS = bindings("plan")
    DEFAULT_CSS = """
    Planning #said { height: auto; padding: 0 1; }
    Planning #run { height: auto; padding: 0 1; text-style: bold; }
    Planning #panes { height: 1fr; padding: 0 1; }
    Planning #moves, Planning #search, Planning #curve, Planning #reasons { display: none; }
    Planning.-view-moves #moves, Planning.-view-search #search { display: block; }
    Planning.-view-curve #curve, Planning.-view-reasons #reasons { display: block; }
    Planning.-view-search #said, Planning.-view-curve #said { display: none; }
    Planning.-wide #said, Planning.-wide #moves { display: block; }
    Planning #search { max-height: 22; max-width: 100; }
    Planning #moves, Planning #search, Planning #curve, Planning #reasons { width: 1fr; }
    Planning.-wide #search, Planning.-wide #curve, Planning.-wide #reasons { margin-left: 2; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.wish = Wish()
        self.search: Search | None = None
        self.view = "moves"
        self._picture: Picture | None = None
        self._words: tuple[str, ...] = ()
        self._charted: Solving | None = None
        self._looks = 0
        self._asked: Literal["few", "seconds"] = "few"

    def body(self) -> ComposeResult:
        """The plan in words, the search in words, and below them one of the views."""
        yield Static("Working out what the plan saves.", id="said", markup=False)
        yield Static("", id="run", markup=False)
        with Horizontal(id="panes"):
            yield Rows(MOVES, MoveSource(), id="moves")
            yield Chart(SEARCH_AXES, id="search")
            yield CurvePane(id="curve")
            with VerticalScroll(id="reasons"):
                yield Static("", markup=False)
        yield Ask()

    def on_mount(self) -> None:
        """Look at a search under way now and then."""
        super().on_mount()
        self._clock = self.set_interval(LOOK_SECONDS, self._tell, pause=True)
        self._see("moves")

    # ---- what is shown

    def show(self, picture: Picture) -> None:
        """Have it worked out again what the plan saves; that takes a moment in a large kit."""
        self._picture = picture
        # A daemon: it only looks at values, and may be left at any moment.
        threading.Thread(target=self._look_at, args=(picture,), name="judge", daemon=True).start()
        self._tell()

    def _look_at(self, picture: Picture) -> None:
        self.post_message(Judged(picture, *seen(picture)))

    @on(Judged)
    def judged(self, event: Judged) -> None:
        """What was worked out of the last picture is shown."""
        event.stop()
        if event.picture is not self._picture:
            return
        self._words = event.words
        self.query_one("#said", Static).update(Text("\n").join(map(plain, event.words)))
        made, folder, moves = event.made, event.picture.folder, self.query_one("#moves", Rows)
        if made is None or made.comparison is None or folder is None:
            moves.refill(MoveSource(), empty="Nothing can be compared yet.")
            return
        lines = move_lines(folder.kit, made.comparison)
        moves.refill(MoveSource(lines), empty="Nothing moves: the box lies as planned.")

    def _tell(self) -> None:
        """Say how the search stands; the chart is drawn again only when there is news."""
        solving = self.search.solving if self.search is not None else None
        if not self.is_current:
            return
        self.query_one("#run", Static).update(self._run_words(solving))
        if solving is None or solving.wish.curve or solving == self._charted:
            return
        self._looks += 1
        if not solving.running or self._looks % LOOKS_A_CHART == 1:
            self._charted = solving
            self.query_one("#search", Chart).show(charted(solving.heard, solving.gone))

    def _run_words(self, solving: Solving | None) -> Text:
        return plain(run_words(solving, self.wish, self._key))

    def _key(self, action: str) -> str:
        return key_words(self.toolbox.keys[action][:1])

    def _views(self) -> list[str]:
        """The views that have something to show."""
        solving = self.search.solving if self.search is not None else None
        there = {
            "moves": True,
            "search": self._charted is not None and bool(self._charted.heard.costs),
            "curve": self.query_one(CurvePane).curve is not None,
            "reasons": solving is not None and bool(solving.reasons),
        }
        return [view for view in VIEWS if there[view]]

    def _see(self, view: str) -> None:
        self.view = view
        for each in VIEWS:
            self.set_class(each == view, f"-view-{each}")
        first = {"curve": "#evenings", "reasons": "#reasons"}.get(view, "#moves")
        self.call_after_refresh(self.query_one(first).focus)

    # ---- what can be done

    def action_search(self) -> None:
        """Search for a plan with the effort chosen."""
        self._ask_first(self.wish)

    def action_few(self) -> None:
        """Ask how many things may move, then search."""
        self._ask("few", "At most how many things may move")

    def action_curve(self) -> None:
        """Work out the savings curve."""
        self._begin(replace(self.wish, curve=True))

    def action_stop(self) -> None:
        """End the search with what it has."""
        if self.search is None or not self.search.solving.running:
            self.toolbox.tell("Nothing is being searched.")
            return
        self.search.stop.throw()
        self._tell()

    def action_effort(self) -> None:
        """Ask how long to search."""
        title = f"How long to search (now: {self.wish.effort_words})"
        self.app.push_screen(Menu(title, EFFORTS), self._effort_chosen)

    def action_view(self) -> None:
        """To the next view that has something to show."""
        views = self._views()
        at = views.index(self.view) if self.view in views else -1
        if views == ["moves"]:
            self.toolbox.tell("There is only what moves yet: no search, no curve.")
        self._see(views[(at + 1) % len(views)])

    def action_adopt(self) -> None:
        """Ask whether the box lies as planned, then say so."""
        if self._picture is None or self._picture.plan is None:
            self.toolbox.tell("There is no plan to adopt yet.", refused=True)
            return
        rows = [
            ("y", "yes", "Yes; the plan replaces what is known of today"),
            ("n", "no", "No; leave today's layout as it is"),
        ]
        stands = f"{left_words(listed)[0]}. " if (listed := self._half_done()) else ""
        self.app.push_screen(Menu(f"{stands}Does the box lie as planned now?", rows), self._adopt)

    def _adopt(self, answer: str | None) -> None:
        if answer == "yes":
            self.toolbox.write(adopt_plan, adopted_words)

    def _effort_chosen(self, answer: str | None) -> None:
        if answer == SECONDS:
            self._ask("seconds", f"Search how many seconds (1 to {MOST_SECONDS})")
        elif answer is not None:
            self.wish = Wish(Effort(answer))
            self._tell()

    def _half_done(self) -> Rebuild | None:
        listed = self._picture.rebuild if self._picture is not None else None
        return listed if listed is not None and listed.half_done else None

    def _ask_first(self, wish: Wish) -> None:
        """Search for another plan; while a rebuild is half done, only on a yes."""
        listed = self._half_done()
        if listed is None:
            self._begin(wish)
            return
        stands, means = left_words(listed)
        rows = [
            ("n", "no", f"No; finish the rebuild first ({self._key('go-rebuild')})"),
            ("y", "yes", f"Yes; {means}"),
        ]

        def answered(answer: str | None) -> None:
            if answer == "yes":
                self._begin(wish)

        self.app.push_screen(Menu(f"{stands}. Search for another plan?", rows), answered)

    def _begin(self, wish: Wish) -> None:
        picture, app = self._picture, self.toolbox
        if picture is None or picture.folder is None:
            self.toolbox.tell(
                "The kit has faults: mend them first, Ready names them.", refused=True
            )
            return
        if self.search is not None and self.search.solving.running:
            stop = self._key("plan-stop")
            self.toolbox.tell(f"A search is under way; {stop} stops it.", refused=True)
            return
        search = Search(
            wish,
            picture.folder,
            picture.today,
            self.post_message,
            app.write,
            # What nobody may write is not kept on leaving either.
            leaving=lambda: app.return_value is not None and not app.look_only,
        )
        self.search, self._charted, self._looks = search, None, 0
        self.toolbox.works.append((search.stop, search.thread))
        search.thread.start()
        self._clock.resume()
        self._see("moves" if wish.curve else "search")
        self._tell()

    @on(Ended)
    def ended(self, event: Ended) -> None:
        """A search has ended: show what came of it, and tell it to one who is elsewhere."""
        event.stop()
        search, solving = event.search, event.search.solving
        self._clock.pause()
        self.toolbox.works.remove((search.stop, search.thread))
        if solving.curve is not None:
            self.query_one(CurvePane).show(solving.curve)
            self._see("curve")
            self.toolbox.tell("The savings curve is there: see it in Plan.")
        elif solving.phase is Phase.NONE:
            reasons = [plain(f"- {reason}") for reason in solving.reasons]
            self.query_one("#reasons Static", Static).update(Text("\n").join(reasons))
            self._see("reasons")
            self.toolbox.tell("No plan: the reasons are in Plan.", refused=True)
        elif not self.has_class("-wide"):
            self._see("moves")
        self._tell()

    # ---- asking for numbers, rows, steps back

    def _ask(self, what: Literal["few", "seconds"], words: str) -> None:
        self._asked = what
        self.query_one(Ask).ask(words)

    @on(Entry.Submitted)
    def answered(self, event: Entry.Submitted) -> None:
        """A number was given."""
        event.stop()
        if not event.value:
            return
        number = int(event.value)
        if self._asked == "seconds" and not 1 <= number <= MOST_SECONDS:
            self.toolbox.tell(f"Give 1 to {MOST_SECONDS} seconds.", refused=True)
            return
        self._asked_enough()
        if self._asked == "few":
            self._ask_first(replace(self.wish, most=number))
        else:
            self.wish = Wish(seconds=float(number))
            self._tell()

    @on(Entry.Left)
    def left(self, event: Entry.Left) -> None:
        """The line was left without an answer."""
        event.stop()
        self._asked_enough()

    def _asked_enough(self) -> None:
        self.query_one(Ask).done()
        self._see(self.view)

    @on(Rows.Chosen, "#evenings")
    def evening_chosen(self, event: Rows.Chosen) -> None:
        """Plan with as many moves as the row allows."""
        event.stop()
        most = self.query_one(CurvePane).limit(event.key)
        self._ask_first(replace(self.wish, most=most))

    def one_back(self) -> bool:
        """From the curve or the reasons back to what moves."""
        if self.view not in ("curve", "reasons"):
            return False
        self._see("moves")
        return True

    def marked_text(self) -> str:
        """The marked move, or the plan in words."""
        moves = self.query_one("#moves", Rows)
        if self.focused is moves and len(moves.source):
            return moves.whole(moves.cursor_row).plain
        return "\n".join(self._words)
