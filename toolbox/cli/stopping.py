"""Ctrl-C while a search runs: it ends with the best so far; a second one breaks it off."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import contextmanager
from typing import TypeVar

from toolbox.layout.watch import StopSwitch

T = TypeVar("T")

_LOOK = 0.1  # seconds between two looks for a signal


@contextmanager
def stoppable() -> Iterator[StopSwitch]:
    """A stop switch that Ctrl-C throws; a second Ctrl-C raises KeyboardInterrupt."""
    stop = StopSwitch()
    before = signal.signal(signal.SIGINT, lambda *_: _ask_to_stop(stop))
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)


def _ask_to_stop(stop: StopSwitch) -> None:
    if stop():
        raise KeyboardInterrupt
    stop.throw()


def until_stopped(search: Callable[[StopSwitch], T]) -> tuple[T, bool]:
    """What a search comes to, and whether Ctrl-C ended it.

    It runs in a thread of its own: signals reach only the main thread, and not while that
    is inside the solver.
    """
    with stoppable() as stop, ThreadPoolExecutor(1) as threads:
        found = threads.submit(search, stop)
        while not found.done():
            wait((found,), _LOOK)
        return found.result(), stop()
