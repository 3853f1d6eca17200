"""Watching and stopping a long search from outside."""

from __future__ import annotations

import threading
from typing import Protocol

from toolbox.layout.problem import Answer


class Watcher:
    """Hears how the search goes. This base does nothing; override what you need.

    Calls come from the thread that solves, one at a time.
    """

    def started(self) -> None:
        """The search has begun."""

    def better_layout(self, answer: Answer) -> None:
        """A verified layout with a lower cost than any before."""

    def better_bound(self, bound: int) -> None:
        """A higher proven lower bound (microseconds a day)."""

    def finished(self, answer: Answer) -> None:
        """The search has ended with this answer."""


class Stop(Protocol):
    """Anything that can say "enough"."""

    def __call__(self) -> bool:
        """True when the search should end now."""
        ...


class StopSwitch:
    """A stop signal that any thread can throw; it stays thrown."""

    def __init__(self) -> None:
        self._thrown = threading.Event()

    def throw(self) -> None:
        """Ask the search to end."""
        self._thrown.set()

    def __call__(self) -> bool:
        """True once the switch was thrown."""
        return self._thrown.is_set()
