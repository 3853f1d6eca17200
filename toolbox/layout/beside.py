"""Work beside the walks: the guide, and the lower bound.

By the clock both run in a thread of their own, the guide first (the solvers let other
threads run while they work); the walks begin anew when the guide is there. By counted
work they run in turn, so that nothing depends on which thread is faster.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from queue import Empty, SimpleQueue
from types import TracebackType

from toolbox.layout.pace import Pace

_PATIENCE = 0.1  # seconds to wait for the thread at the end; it may be deep in a solver

Guide = Callable[[Callable[[], bool]], tuple[int, ...] | None]
Prove = Callable[[Callable[[], bool], Callable[[int], None]], None]


class Beside:
    """Guide and bound under way; a context that ends them."""

    def __init__(self, guide: Guide | None, prove: Prove, pace: Pace) -> None:
        """Nothing runs before the context is entered."""
        self._guide, self._prove, self._pace = guide, prove, pace
        self._done = threading.Event()
        self._guided = threading.Event()
        self._found: tuple[int, ...] | None = None
        self._bounds: SimpleQueue[int] = SimpleQueue()
        self._trouble: BaseException | None = None
        self._thread: threading.Thread | None = None

    def __enter__(self) -> Beside:
        if self._pace.seconds_left() is not None:
            # Not a daemon: a thread inside a solver must not be torn away when the
            # program ends. It is told to stop, and the program waits for it.
            self._thread = threading.Thread(target=self._run)
            self._thread.start()
        elif self._guide is not None:
            self._found = self._guide(self._stopped)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._thread is None:
            if error is None and not self._pace.stop():
                self._prove(self._stopped, self._bounds.put)
            return
        self._done.set()
        self._thread.join(_PATIENCE)
        if self._trouble is not None and error is None:
            raise self._trouble

    def _run(self) -> None:
        try:
            if self._guide is not None:
                self._found = self._guide(self._stopped)
            self._guided.set()
            self._prove(self._stopped, self._bounds.put)
        except BaseException as trouble:
            # raised where the walks run, when they are done
            self._trouble = trouble
        finally:
            self._guided.set()

    def _stopped(self) -> bool:
        return self._done.is_set() or self._pace.over()

    def guide_is_there(self) -> bool:
        """True when nobody needs to wait for the guide any more."""
        return self._thread is None or self._guided.is_set()

    def guided(self) -> tuple[int, ...] | None:
        """The guide's homes; None when there are none (yet)."""
        return self._found

    def bounds(self) -> Iterator[int]:
        """Bounds proved since the last call."""
        while True:
            try:
                yield self._bounds.get_nowait()
            except Empty:
                return
