"""Shifting things between bags from the screen: seen at once, written in order, taken back."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Collection
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import Any

from textual.message import Message

from toolbox.desk.errors import DeskError
from toolbox.desk.flight_plan import FlightPlan
from toolbox.desk.flight_view import (
    FlightView,
    moved,
    places_of,
    put_where,
    shift_words,
    take_shown,
    view_of,
)
from toolbox.desk.folder import KitFolder
from toolbox.desk.trips import Flight, Where, open_flight, stow
from toolbox.desk.weigh_in import UNDECIDED, Decision, WeighedIn, weigh_bag
from toolbox.files.problems import KitFaults
from toolbox.kit.trips import Bag
from toolbox.tui.session import Post

READING_STAYS = (
    "A reading is not taken back: weigh the bag again, the later one counts. "
    "u again: the shift before it."
)

Write = Callable[[Callable[[KitFolder], Any], Callable[[Any], str]], None]
Do = Callable[[Flight], "Flight | tuple[Flight, WeighedIn]"]


class Written(Message):
    """A change is over with: it was written, or ``refused``.

    ``view`` is how the trip stands on the disk then, None where it was refused or more is
    to be written; ``weighed`` is the answer to a reading.
    """

    def __init__(
        self,
        number: int,
        view: FlightView | None = None,
        weighed: tuple[Flight, WeighedIn] | None = None,
        *,
        refused: bool = False,
    ) -> None:
        super().__init__()
        self.number = number
        self.view = view
        self.weighed = weighed
        self.refused = refused


@dataclass(frozen=True, slots=True)
class Shift:
    """Something done to the bags: in words, and where the copies were before.

    What is ``final`` is not taken back.
    """

    number: int
    words: str
    before: Where
    final: bool = False


@dataclass(frozen=True, slots=True)
class Order:
    """Something to be written, by its number: to which trip, and what to do to it."""

    number: int
    trip: str
    do: Do


class Pen:
    """Writes what is done to one trip's bags, in the order of doing it.

    What is seen runs ahead of the disk; ``waits`` tells that something is not written yet.
    The session writes one change after the other; on leaving, `finish` writes what is left.
    """

    def __init__(self, write: Write, post: Post, today: date) -> None:
        self.done: list[Shift] = []
        self._write = write
        self._post = post
        self._today = today
        self._sent = 0
        self._heard = 0
        self._orders: deque[Order] = deque()
        self._writing = threading.Lock()

    @property
    def waits(self) -> bool:
        """Whether the disk is behind."""
        return self._heard < self._sent

    def heard(self, written: Written) -> bool:
        """A change is over with; True when it was the last one that was sent.

        What was refused cannot be taken back.
        """
        self._heard = written.number
        if written.refused:
            self.done = [shift for shift in self.done if shift.number != written.number]
        return not self.waits

    def put(self, view: FlightView, copies: Collection[str], bag: str | None) -> FlightView:
        """Put copies into a bag or out of all; the view with them there. DeskError refuses."""
        after = moved(view, copies, bag)
        self._send(view.flight.name, lambda flight: stow(flight, copies, bag))
        words = shift_words(view, copies, bag)
        self.done.append(Shift(self._sent, words, places_of(view, copies)))
        return after

    def take(self, view: FlightView, plan: FlightPlan) -> None:
        """Take a plan as it was shown."""
        self._send(view.flight.name, lambda flight: take_shown(flight, plan))
        before = places_of(view, [move.copy.id for move in plan.moves])
        self.done.append(Shift(self._sent, "The plan.", before))

    def take_back(self, view: FlightView) -> tuple[FlightView, Shift] | None:
        """The last thing done here taken back, with the view it leaves; None when there is none.

        What is final is only taken off: the next one back is the one before it.
        """
        if not self.done:
            return None
        shift = self.done.pop()
        if shift.final:
            return view, shift
        self._send(view.flight.name, lambda flight: put_where(flight, shift.before))
        where = {**view.where, **shift.before}
        return view_of(view.flight, where, view.trips), shift

    def weigh(
        self,
        view: FlightView,
        bag: Bag,
        reading_g: int,
        scale: str,
        decision: Decision = UNDECIDED,
    ) -> None:
        """Store what a packed bag weighs; the answer comes with `Written`."""
        name = view.flight.name

        def do(flight: Flight) -> tuple[Flight, WeighedIn]:
            found = weigh_bag(flight, bag, reading_g, scale, decision)
            return open_flight(flight.folder, name, self._today), found

        self._send(name, do)
        self.done.append(Shift(self._sent, READING_STAYS, {}, final=True))

    def _send(self, trip: str, do: Do) -> None:
        self._sent += 1
        self._orders.append(Order(self._sent, trip, do))
        self._write(self._write_next, lambda _: "")

    def _write_next(self, folder: KitFolder) -> None:
        with self._writing:
            if self._orders:  # else it was written on leaving
                self._carry_out(self._orders.popleft(), folder)

    def _carry_out(self, order: Order, folder: KitFolder) -> None:
        message = Written(order.number, refused=True)
        try:
            flight, weighed = _done(order.do(open_flight(folder, order.trip, self._today)))
            view = None if self._orders else view_of(flight, flight.stowed)
            message = Written(order.number, view, weighed)
        finally:
            self._post(message)

    def finish(self, folder: KitFolder) -> None:
        """Write all that is left at once: the screens are being left, and nobody is to be told.

        What is refused now is left out, as it would be by the session.
        """
        with self._writing:
            while self._orders:
                order = self._orders.popleft()
                with suppress(DeskError, KitFaults, OSError):
                    order.do(open_flight(folder, order.trip, self._today))


def _done(came: Flight | tuple[Flight, WeighedIn]) -> tuple[Flight, Any]:
    return (came[0], came) if isinstance(came, tuple) else (came, None)
