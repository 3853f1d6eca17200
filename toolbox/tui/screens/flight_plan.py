"""The pane with the plan of a trip: the search for it, what it moves, or why there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual import on

from toolbox.desk.flight_plan import FlightPlan
from toolbox.desk.flight_seek import WhatIf, plan_head, plan_words
from toolbox.desk.flight_view import FlightView, plan_holds
from toolbox.desk.flight_words import cautions
from toolbox.tui.actions import key_words
from toolbox.tui.screens.flight_search import Seeking, Sought
from toolbox.tui.widgets.words import WordsPane

if TYPE_CHECKING:
    from toolbox.tui.app import ToolboxApp

LOOK_SECONDS = 1.0


class PlanPane(WordsPane):
    """A search as it goes, then the plan it found."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.search: Seeking | None = None
        self.taken = False
        self._view: FlightView | None = None

    @property
    def _toolbox(self) -> ToolboxApp:
        return cast("ToolboxApp", self.app)

    @property
    def running(self) -> bool:
        """Whether it is sought now."""
        return self.search is not None and self.search.running

    @property
    def plan(self) -> FlightPlan | None:
        """The plan that is shown."""
        return self.search.plan if self.search is not None and not self.running else None

    @property
    def sought(self) -> bool:
        """Whether anything was sought, be it found or not."""
        return self.search is not None

    def on_mount(self) -> None:
        """Look at a search under way now and then."""
        self._clock = self.set_interval(LOOK_SECONDS, self.tell, pause=True)
        self.tell()

    # ---- the search

    def begin(self, view: FlightView, wish: WhatIf) -> None:
        """Search for the best packing of this trip, things lying as the view has them."""
        self._view = view
        self.taken = False
        self.search = Seeking(view.packed, wish, self.post_message)
        self._toolbox.works.append((self.search.stop, self.search.thread))
        self.search.thread.start()
        self._clock.resume()
        self.more(())
        self.tell()

    def stop(self) -> bool:
        """End the search with what it has; False when there is none."""
        if self.search is None or not self.running:
            return False
        self.search.stop.throw()
        self.tell()
        return True

    def forget(self) -> None:
        """Another trip is looked at: a search for the one before ends unseen."""
        self.stop()
        self.search, self.taken = None, False
        self.more(())
        self.tell()

    @on(Sought)
    def _sought(self, event: Sought) -> None:
        event.stop()
        search = event.search
        self._toolbox.works.remove((search.stop, search.thread))
        if search is not self.search:
            return
        self._clock.pause()
        self.more(plan_words(search.plan) if search.plan is not None else search.reasons)
        self.tell()
        if search.plan is None:
            self._toolbox.tell("No packing: the reasons are in Flight.", refused=True)
        elif not self.screen.is_current:
            self._toolbox.tell("The plan of the trip is there: see it in Flight.")

    # ---- what is said of it

    def look(self, view: FlightView) -> None:
        """The trip stands so now: say whether the plan still answers that."""
        self._view = view
        self.tell()

    def tell(self) -> None:
        """Say how the search or the plan stands."""
        self.head(self._head())
        if self.search is None:
            self.more(cautions())

    def _head(self) -> str:
        search = self.search
        if search is None:
            return f"No plan yet: {self._key('flight-plan')} seeks one."
        supposed = search.wish.words(search.flight)
        if search.running:
            stop = f"{self._key('flight-stop')} stops it with what it has."
            return " ".join(filter(None, (supposed and f"{supposed}.", search.words, stop)))
        if search.plan is None:
            return f"{supposed}:" if supposed else "The trip as it is:"
        return " ".join(
            filter(None, (supposed and f"{supposed}:", plan_head(search.plan), self._use(search)))
        )

    def _use(self, search: Seeking) -> str:
        anew = self._key("flight-plan")
        if self.taken:
            return "TAKEN: it is written down as packed so. Move these things now."
        if search.wish.supposes:
            return "A what-if: change the trip's file to have it so."
        if self._view is not None and not plan_holds(self._view.packed, search.flight):
            return f"OLD: things have changed since; {anew} plans anew."
        if search.plan is not None and not search.plan.moves:
            return "Nothing has to be moved."
        return f"{self._key('flight-take')} says that it is packed so."

    def _key(self, action: str) -> str:
        return key_words(self._toolbox.keys[action][:1])
