"""Looking at the evening beside the screen: the count, and the box as it is drawn."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from datetime import date

from textual.message import Message

from toolbox.desk.drawn_box import Filling, filling
from toolbox.desk.evening_view import EveningView, evening_view
from toolbox.desk.picture import Picture
from toolbox.tui.session import Broke, Post

WAITING = "Working out what should be where."
FAULTS = "The kit has faults: mend them first. Ready (F2) names each one."
NOTHING = (
    "There is nothing to count: no tool that travels is in this kit yet. Kit (F9) takes them up."
)


@dataclass(frozen=True, slots=True)
class Drawn:
    """The box drawn as it lies today, with the picture it was drawn from."""

    of: Picture
    box: Filling | None


class Looked(Message):
    """The evening as it stands in a picture of the kit; in words where there is none to see."""

    def __init__(
        self, picture: Picture, view: EveningView | None, drawn: Drawn | None, words: str = ""
    ) -> None:
        super().__init__()
        self.picture = picture
        self.view = view
        self.drawn = drawn
        self.words = words


def look_beside(picture: Picture, day: date, drawn: Drawn | None, post: Post) -> None:
    """Work out the evening of a day in a thread; ``post`` hears `Looked`.

    ``drawn`` is the box as it was drawn last, taken over where nothing has changed in it.
    """

    def look() -> None:
        try:
            post(_looked(picture, day, drawn))
        except Exception as error:
            post(Broke(error))

    # A daemon: it only reads, and may be left at any moment.
    threading.Thread(target=look, name="evening", daemon=True).start()


def _looked(picture: Picture, day: date, drawn: Drawn | None) -> Looked:
    if picture.folder is None:
        return Looked(picture, None, None, FAULTS)
    view = evening_view(picture.folder, picture.today, day)
    if not view.seen.places:
        return Looked(picture, None, None, NOTHING)
    return Looked(picture, view, _drawn(picture, drawn))


def _drawn(picture: Picture, before: Drawn | None) -> Drawn:
    folder, present = picture.folder, picture.present
    if folder is None or present is None:
        return Drawn(picture, None)
    if before is not None and before.of.folder is not None and before.of.folder.kit is folder.kit:
        return Drawn(picture, before.box)
    usage = picture.study.usage if picture.study is not None else None
    return Drawn(picture, filling(folder.kit, present, None, usage))
