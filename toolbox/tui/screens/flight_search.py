"""A search for a packing under way: what was asked, how it goes, and the thread it runs in."""

from __future__ import annotations

import threading
from time import monotonic

from textual.message import Message

from toolbox.desk.errors import DeskError
from toolbox.desk.flight_plan import FlightPlan, NoPacking
from toolbox.desk.flight_seek import PackHearing, WhatIf, heard_words, none_words, seek_packing
from toolbox.desk.trips import Flight
from toolbox.layout.watch import StopSwitch
from toolbox.tui.session import Broke, Post


class Sought(Message):
    """A search has ended."""

    def __init__(self, search: Seeking) -> None:
        super().__init__()
        self.search = search


class Seeking:
    """A search in a thread of its own; ``post`` hands a message to the screens.

    ``plan`` is what it found; without one ``reasons`` say why there is none.
    """

    def __init__(self, flight: Flight, wish: WhatIf, post: Post) -> None:
        self.flight = flight
        self.wish = wish
        self.stop = StopSwitch()
        self.plan: FlightPlan | None = None
        self.reasons: tuple[str, ...] = ()
        self.running = True
        self._post = post
        self._hearing = PackHearing(monotonic)
        # No daemon: a thread inside a solver must not be torn away when the program ends.
        self.thread = threading.Thread(target=self._run, name="packing")

    @property
    def words(self) -> str:
        """How it goes."""
        said = heard_words(self.flight, self._hearing.heard, self._hearing.gone())
        return f"{'Stopping' if self.stop() else 'Searching'}, {said}"

    def _run(self) -> None:
        try:
            found = seek_packing(self.flight, self.wish, watcher=self._hearing, stop=self.stop)
        except DeskError as error:
            self.reasons = (str(error),)
        except Exception as error:
            self._post(Broke(error))
        else:
            if isinstance(found, NoPacking):
                self.reasons = none_words(found)
            else:
                self.plan = found
        self.running = False
        self._post(Sought(self))
