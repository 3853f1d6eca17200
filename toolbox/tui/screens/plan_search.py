"""A search under way: what was asked for, how it stands, and the thread it runs in.

The search runs on when another place is gone to. What it found is handed to the kit's
session, so that changes of the kit stay in one order; only on leaving it saves it itself.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from enum import Enum
from time import monotonic
from typing import Any

from textual.message import Message

from toolbox.desk.errors import DeskError, NoLayout
from toolbox.desk.figures import count
from toolbox.desk.folder import KitFolder
from toolbox.desk.moves import Curve, find_few_moves, savings_curve
from toolbox.desk.plan_words import kept_words
from toolbox.desk.plans import find_plan, keep_plan
from toolbox.desk.solving import Heard, Hearing
from toolbox.layout.solve import Effort
from toolbox.layout.watch import StopSwitch
from toolbox.tui.session import Broke, Post

Write = Callable[[Callable[[KitFolder], Any], Callable[[Any], str]], None]


class Phase(Enum):
    """How a search stands."""

    SEARCHING = "searching"
    STOPPING = "stopping"
    FOUND = "found"
    NONE = "no layout"


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be searched: by counted work, or so many ``seconds`` by the clock.

    ``most`` limits how many things may move; ``curve`` asks for the savings curve instead.
    """

    effort: Effort = Effort.NORMAL
    seconds: float | None = None
    most: int | None = None
    curve: bool = False

    @property
    def effort_words(self) -> str:
        """How long it searches, in words."""
        if self.seconds is not None:
            return f"{self.seconds:g} s by the clock"
        return f"{self.effort.value} effort"

    @property
    def words(self) -> str:
        """All that is asked, in words."""
        if self.curve:
            return f"the savings curve, {self.effort.value} effort"
        limit = "" if self.most is None else f", at most {count(self.most, 'move')}"
        return f"{self.effort_words}{limit}"


@dataclass(frozen=True, slots=True)
class Solving:
    """How a search stands: what it was asked, what was heard of it, seconds since it began.

    ``reasons`` say why there is no layout; ``curve`` is the savings curve once it is there.
    """

    wish: Wish
    phase: Phase = Phase.SEARCHING
    heard: Heard = field(default_factory=Heard)
    gone: float = 0.0
    reasons: tuple[str, ...] = ()
    curve: Curve | None = None

    @property
    def running(self) -> bool:
        """Whether it still runs."""
        return self.phase in (Phase.SEARCHING, Phase.STOPPING)


class Ended(Message):
    """A search has ended."""

    def __init__(self, search: Search) -> None:
        super().__init__()
        self.search = search


class Search:
    """A search in a thread of its own.

    ``post`` hands a message to the screens, ``write`` a change to the kit's session;
    ``leaving`` tells whether the screens are being left.
    """

    def __init__(
        self,
        wish: Wish,
        folder: KitFolder,
        today: date,
        post: Post,
        write: Write,
        leaving: Callable[[], bool],
    ) -> None:
        self.stop = StopSwitch()
        self._folder, self._today = folder, today
        self._post, self._write, self._leaving = post, write, leaving
        self._hearing = Hearing(monotonic)
        self._solving = Solving(wish)
        # No daemon: a thread inside a solver must not be torn away when the program ends.
        self.thread = threading.Thread(target=self._run, name="search")

    @property
    def solving(self) -> Solving:
        """How it stands at this moment."""
        if not self._solving.running:
            return self._solving
        phase = Phase.STOPPING if self.stop() else Phase.SEARCHING
        heard, gone = self._hearing.heard, self._hearing.gone()
        return replace(self._solving, phase=phase, heard=heard, gone=gone)

    def _run(self) -> None:
        try:
            curve = self._search()
        except NoLayout as none:
            self._end(Phase.NONE, reasons=none.reasons)
        except DeskError as error:
            self._end(Phase.NONE, reasons=(str(error),))
        except Exception as error:
            self._post(Broke(error))
        else:
            self._end(Phase.FOUND, curve=curve)

    def _search(self) -> Curve | None:
        wish, watcher, stop = self._solving.wish, self._hearing, self.stop
        folder, today, effort = self._folder, self._today, wish.effort
        if wish.curve:
            return savings_curve(folder, today, effort=effort, watcher=watcher, stop=stop)
        most, seconds = wish.most, wish.seconds
        if most is None:
            found = find_plan(
                folder, today, effort=effort, seconds=seconds, watcher=watcher, stop=stop
            )
        else:
            found = find_few_moves(
                folder, today, most, effort=effort, seconds=seconds, watcher=watcher, stop=stop
            )
        if self._leaving():
            # Nobody is there to be told, and the session may end at any moment.
            keep_plan(folder, found)
        else:
            self._write(lambda kit: keep_plan(kit, found), lambda made: kept_words(found, made))
        return None

    def _end(self, phase: Phase, **more: Any) -> None:
        self._solving = replace(self.solving, phase=phase, **more)
        self._post(Ended(self))
