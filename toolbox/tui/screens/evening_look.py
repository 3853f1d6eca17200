"""Looking at the evening beside the screen: the count, the lists, the box, the supplies."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from datetime import date

from textual.message import Message

from toolbox.desk.drawn_box import Filling, filling
from toolbox.desk.evening_lists import ListsView, lists_view
from toolbox.desk.evening_stock import StockView, stock_seen, stock_view
from toolbox.desk.evening_view import EveningView, evening_view
from toolbox.desk.picture import Picture
from toolbox.files.problems import KitFaults
from toolbox.layout.watch import StopSwitch
from toolbox.tui.screens.flight_look import FAULTS, TRIP_FAULTS
from toolbox.tui.session import Broke, Post

WAITING = "Working out what should be where."
NOTHING = (
    "There is nothing to count: no tool that travels is in this kit yet. Kit (F9) takes them up."
)


@dataclass(frozen=True, slots=True)
class Drawn:
    """The box drawn as it lies today, with the picture it was drawn from."""

    of: Picture
    box: Filling | None


class Looked(Message):
    """The count and the lists as they stand in a picture of the kit; in words where none are."""

    def __init__(
        self,
        picture: Picture,
        view: EveningView | None,
        lists: ListsView | None,
        drawn: Drawn | None,
        words: str = "",
    ) -> None:
        super().__init__()
        self.picture = picture
        self.view = view
        self.lists = lists
        self.drawn = drawn
        self.words = words


@dataclass(frozen=True, slots=True)
class Stocks:
    """What is to be restocked, what it was made from; in words where it cannot be said."""

    of: Hashable
    view: StockView | None
    words: tuple[str, ...] = ()


class Stocked(Message):
    """The supplies as they stand in a picture of the kit."""

    def __init__(self, picture: Picture, stocks: Stocks | None) -> None:
        super().__init__()
        self.picture = picture
        self.stocks = stocks


Work = tuple[StopSwitch, threading.Thread]


def look_beside(
    picture: Picture, day: date, drawn: Drawn | None, stocks: Stocks | None, post: Post
) -> Work:
    """Work out the evening of a day in a thread; ``post`` hears `Looked`.

    ``drawn`` is the box as it was drawn last, ``stocks`` what was to be restocked last: taken
    over where nothing has changed in them.
    """
    return _beside(lambda: _looked(picture, day, drawn, stocks), post)


def stock_beside(picture: Picture, day: date, before: Stocks | None, post: Post) -> Work:
    """Work out what to restock in a thread, which takes longer; ``post`` hears `Stocked`.

    ``before`` is taken over where nothing has changed that it depends on.
    """
    return _beside(lambda: _stocked(picture, day, before), post)


def _beside(look: Callable[[], Message], post: Post) -> Work:
    stop = StopSwitch()

    def work() -> None:
        try:
            message: Message = look()
        except Exception as error:
            message = Broke(error)
        if not stop():
            post(message)

    # A daemon: it only reads, and may be left at any moment.
    thread = threading.Thread(target=work, name="evening", daemon=True)
    thread.start()
    return stop, thread


def _looked(picture: Picture, day: date, drawn: Drawn | None, stocks: Stocks | None) -> Looked:
    if picture.folder is None:
        return Looked(picture, None, None, None, FAULTS)
    view = evening_view(picture.folder, picture.today, day)
    if not view.seen.places:
        return Looked(picture, None, None, None, NOTHING)
    known = stocks is not None and stocks.of == _stock_seen(picture, day)
    tasks = stocks.view.listed.tasks if known and stocks is not None and stocks.view else None
    return Looked(picture, view, lists_view(picture.folder, day, tasks), _drawn(picture, drawn))


def _stocked(picture: Picture, day: date, before: Stocks | None) -> Stocked:
    if picture.folder is None:
        return Stocked(picture, None)
    seen = _stock_seen(picture, day)
    if before is not None and before.of == seen:
        return Stocked(picture, before)
    usage = picture.study.usage if picture.study is not None else None
    try:
        view = stock_view(picture.folder, picture.today, day, usage)
    except KitFaults as faults:
        told = (f"- {fault.sentence()}" for fault in faults.faults)
        return Stocked(picture, Stocks(seen, None, (TRIP_FAULTS, *told)))
    return Stocked(picture, Stocks(seen, view))


def _stock_seen(picture: Picture, day: date) -> Hashable:
    assert picture.folder is not None, "asked only where a kit is there"
    return (day, stock_seen(picture.folder, picture.today))


def _drawn(picture: Picture, before: Drawn | None) -> Drawn:
    folder, present = picture.folder, picture.present
    if folder is None or present is None:
        return Drawn(picture, None)
    if before is not None and before.of.folder is not None and before.of.folder.kit is folder.kit:
        return Drawn(picture, before.box)
    usage = picture.study.usage if picture.study is not None else None
    return Drawn(picture, filling(folder.kit, present, None, usage))
