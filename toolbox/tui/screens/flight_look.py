"""Opening a trip for the screen beside it, and the words above its bags."""

from __future__ import annotations

import threading

from rich.text import Text
from textual.message import Message

from toolbox.desk.checklist import Checklist
from toolbox.desk.errors import DeskError
from toolbox.desk.flight_view import (
    OUT,
    STRICTEST,
    BarLine,
    FlightView,
    day_words,
    leg_names,
    open_view,
    sum_words,
)
from toolbox.desk.flight_words import fits_words
from toolbox.desk.picture import Picture
from toolbox.desk.preflight import preflight
from toolbox.desk.trips import TRIPS, trips_of
from toolbox.files.problems import KitFaults
from toolbox.tui.session import Broke, Post
from toolbox.tui.text import plain

WAITING = "Working out how the bags stand."
FAULTS = "The kit has faults: mend them first. Ready (F2) names each one."
NO_TRIP = (
    'There is no trip in this kit yet. Begin one in a terminal with "toolbox trip NAME": that '
    f"writes an example into {TRIPS}/, to be filled in with people, bags and the figures of "
    "your tickets. It shows here as soon as it is there."
)
TRIP_FAULTS = "A trip cannot be read. Mend its file; Ready (F2) names the faults as well:"


class Looked(Message):
    """A trip as it is on the disk with its list to tick, or in words why there is none to see."""

    def __init__(
        self,
        picture: Picture,
        view: FlightView | None,
        listed: Checklist | None,
        words: tuple[str, ...],
    ) -> None:
        super().__init__()
        self.picture = picture
        self.view = view
        self.listed = listed
        self.words = words


def look_beside(picture: Picture, name: str | None, post: Post) -> None:
    """Open the trip of that name, or the nearest one, in a thread; ``post`` hears `Looked`."""

    def look() -> None:
        try:
            post(_looked(picture, name))
        except Exception as error:
            post(Broke(error))

    # A daemon: it only reads, and may be left at any moment.
    threading.Thread(target=look, name="trip", daemon=True).start()


def _looked(picture: Picture, name: str | None) -> Looked:
    folder = picture.folder
    if folder is None:
        return Looked(picture, None, None, (FAULTS,))
    names = trips_of(folder)
    if not names:
        return Looked(picture, None, None, (NO_TRIP,))
    try:
        view = open_view(folder, name if name in names else None, picture.today)
        return Looked(picture, view, preflight(view.flight, view.check), ())
    except KitFaults as faults:
        told = (f"- {fault.sentence()}" for fault in faults.faults)
        return Looked(picture, None, None, (TRIP_FAULTS, *told))
    except (DeskError, OSError) as error:
        return Looked(picture, None, None, (str(error),))


def head_text(view: FlightView, next_key: str) -> Text:
    """Name and day of the trip, which of how many it is, and whether everything fits."""
    flight = view.flight
    name = Text(", ").join((plain(flight.trip.name), Text(day_words(flight))))
    if len(view.trips) > 1:
        at = view.trips.index(flight.name) + 1
        name.append(f"  (trip {at} of {len(view.trips)}, {next_key}: next)")
    return Text("\n").join((name, Text(fits_words(view.check), "bold")))


def leg_title(view: FlightView, leg: int) -> str:
    """Above the bags: which leg the bars are of."""
    names = leg_names(view)
    if leg == STRICTEST and len(names) > 1:
        return "strictest leg"
    return names[max(leg, 0)] if leg < len(names) else "bag"


def inside_words(view: FlightView, line: BarLine) -> str:
    """Above the things: where they lie, and what that bag adds up to."""
    if line.key == OUT:
        return "In no bag, so it does not fly:"
    if len(line.bags) > 1:
        return f"In the bags of {line.name}:"
    bag = view.flight.bag(line.bags[0])
    return f"{bag.name}: {sum_words(view, bag)}"
