"""The kit behind the screens: pictures of it, changes to it, both in one thread in order.

The thread looks at the files' times now and then, so that another window's entries and
another editor's changes are seen; nothing is sent to the terminal while nothing changes.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from textual.message import Message

if TYPE_CHECKING:
    from toolbox.desk.folder import KitFolder
    from toolbox.desk.picture import Picture

LOOK_SECONDS = 0.25

Post = Callable[[Message], object]


class PictureTaken(Message):
    """The kit as it is now."""

    def __init__(self, picture: Picture) -> None:
        super().__init__()
        self.picture = picture


class Told(Message):
    """Something to tell the mechanic: what was done, or why it was not."""

    def __init__(self, words: str, *, refused: bool = False) -> None:
        super().__init__()
        self.words = words
        self.refused = refused


class Broke(Message):
    """An error nobody foresaw, out of the session's thread."""

    def __init__(self, error: Exception) -> None:
        super().__init__()
        self.error = error


class _Change(NamedTuple):
    """What to do to the kit, and how to say what came of it."""

    do: Callable[[KitFolder], Any]
    said: Callable[[Any], str]


class Session:
    """One kit folder, looked at and changed in a thread of its own until it is closed.

    ``post`` hands a message to the screens from any thread; ``now`` is the clock;
    ``today`` fixes the day that pictures are taken of.
    """

    def __init__(
        self,
        path: Path,
        post: Post,
        now: Callable[[], datetime],
        today: date | None = None,
        look_seconds: float = LOOK_SECONDS,
    ) -> None:
        self.path = path
        self._post = post
        self._now = now
        self._today = today
        self._look_seconds = look_seconds
        self._orders: queue.SimpleQueue[_Change | None] = queue.SimpleQueue()
        self._picture: Picture | None = None
        self._copied: date | None = None
        self._closing = threading.Event()
        # A daemon: reading a slow disk must not keep a program that was left alive.
        self._thread = threading.Thread(target=self._run, name="kit", daemon=True)

    def begin(self) -> None:
        """Take the first picture, and go on looking."""
        self._thread.start()

    def write(self, do: Callable[[KitFolder], Any], said: Callable[[Any], str]) -> None:
        """Have the kit or its journal changed by a function of the desk, after all before it.

        ``said`` turns what it gives into words for the mechanic ("" for none). Its
        errors become words too; then a new picture is taken.
        """
        self._orders.put(_Change(do, said))

    def close(self, seconds: float = 1.0) -> None:
        """Finish the orders given so far, waiting at most so long; no more pictures are taken."""
        self._closing.set()
        self._orders.put(None)
        if self._thread.is_alive():
            self._thread.join(seconds)

    @property
    def busy(self) -> bool:
        """Whether its thread still does something."""
        return self._thread.is_alive()

    def _run(self) -> None:
        try:
            self._look()
            while True:
                try:
                    order = self._orders.get(timeout=self._look_seconds)
                except queue.Empty:
                    self._look()
                    continue
                if order is None:
                    return
                # What another window has written since is what this change goes on from.
                self._look()
                self._change(order)
                self._look()
        except Exception as error:
            self._post(Broke(error))

    def _look(self) -> None:
        from toolbox.desk.picture import picture_now, take_picture

        if self._closing.is_set():
            return
        if self._today is not None:
            picture = take_picture(self.path, self._today, self._picture)
        else:
            picture = picture_now(self.path, self._now(), self._picture)
        if picture is not self._picture:
            self._picture = picture
            self._post(PictureTaken(picture))
        if picture.folder is not None:
            self._keep_copy()

    def _keep_copy(self) -> None:
        """The automatic copy of the day, asked for once: behind the first picture of it."""
        from toolbox.desk.backup_home import copy_due

        now = self._now()
        if now.date() == self._copied:
            return
        self._copied = now.date()
        if copy_due(self.path, now):
            from toolbox.desk.backup_daily import keep_daily

            if wrong := keep_daily(self.path, now):
                self._post(Told(wrong, refused=True))

    def _change(self, order: _Change) -> None:
        from toolbox.desk.errors import DeskError
        from toolbox.files.problems import KitFaults
        from toolbox.journal.errors import JournalError

        folder = self._picture.folder if self._picture is not None else None
        if folder is None:
            words = "The kit has faults: mend them first. Nothing was written."
            self._post(Told(words, refused=True))
            return
        try:
            words = order.said(order.do(folder))
        except (DeskError, KitFaults, JournalError, OSError) as error:
            self._post(Told(str(error), refused=True))
            return
        if words:
            self._post(Told(words))
