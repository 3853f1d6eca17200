"""A closer look beside the screens: every tool's history, and how sure the ranking is."""

from __future__ import annotations

import threading
from collections.abc import Callable

from textual.message import Message

from toolbox.desk.folder import KitFolder
from toolbox.desk.history import History, histories
from toolbox.desk.picture import Picture
from toolbox.desk.plans import Study
from toolbox.layout.watch import StopSwitch
from toolbox.usage.settled import Settled, Stopped, settle


class Counted(Message):
    """The histories of all tools, by item."""

    def __init__(self, at: Study, histories: dict[str, History]) -> None:
        super().__init__()
        self.at = at
        self.histories = histories


class Judged(Message):
    """How sure the ranking is; None when the work was stopped. The last that is heard of it."""

    def __init__(self, at: Study, sure: Settled | None) -> None:
        super().__init__()
        self.at = at
        self.sure = sure


class Closer:
    """One closer look in a thread of its own, begun when made; ``post`` hears what it finds."""

    def __init__(self, picture: Picture, post: Callable[[Message], object]) -> None:
        assert picture.folder is not None, "asked for kits that can be read"
        assert picture.study is not None, "asked for kits that can be read"
        self.stop = StopSwitch()
        self._today = picture.today
        self._post = post
        self.thread = threading.Thread(
            target=self._run, args=(picture.folder, picture.study), name="uses", daemon=True
        )
        self.thread.start()

    def _run(self, folder: KitFolder, at: Study) -> None:
        sure = None
        try:
            found = histories(folder.kit, folder.live, self._today, self.stop)
            self._post(Counted(at, found))
            sure = settle(at.usage, stop=self.stop)
        except Stopped:
            pass
        self._post(Judged(at, sure))
