"""Work beside the walks: the guide, and the lower bound.

By the clock each runs in a thread of its own from the beginning: the guide inside the
solver, the bound in a process of its own. The walks begin at the guide when it is
there. By counted work they run in turn, so that nothing depends on which is faster.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from queue import Empty, SimpleQueue
from types import TracebackType

from toolbox.layout.pace import Pace

_PATIENCE = 0.1  # seconds to wait for the threads at the end; one may be deep in a solver

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
        self._threads: list[threading.Thread] = []

    def __enter__(self) -> Beside:
        if self._pace.seconds_left() is not None:
            # Not daemons: a thread inside a solver must not be torn away when the
            # program ends. They are told to stop, and the program waits for them.
            self._threads = [
                threading.Thread(target=work) for work in (self._run_guide, self._run_proof)
            ]
            for thread in self._threads:
                thread.start()
        elif self._guide is not None:
            self._found = self._guide(self._stopped)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if not self._threads:
            if error is None and not self._pace.stop():
                self._prove(self._stopped, self._bounds.put)
            return
        self._done.set()
        for thread in self._threads:
            thread.join(_PATIENCE / len(self._threads))
        if self._trouble is not None and error is None:
            raise self._trouble

    def _run_guide(self) -> None:
        try:
            if self._guide is not None:
                self._found = self._guide(self._stopped)
        except BaseException as trouble:
            # raised where the walks run, when they are done
            self._trouble = trouble
        finally:
            self._guided.set()

    def _run_proof(self) -> None:
        try:
            self._prove(self._stopped, self._bounds.put)
        except BaseException as trouble:
            self._trouble = trouble

    def _stopped(self) -> bool:
        return self._done.is_set() or self._pace.over()

    def awaited(self, meanwhile: Callable[[], None]) -> tuple[int, ...] | None:
        """The guide's homes when they are there; None when there are none, or not in time.

        ``meanwhile`` is called now and then: a walk instead would only hold the guide up.
        """
        while self._threads and not self._guided.is_set() and self._pace.waiting():
            self._guided.wait(_PATIENCE / 2)
            meanwhile()
        return self._found

    def bounds(self) -> Iterator[int]:
        """Bounds proved since the last call."""
        while True:
            try:
                yield self._bounds.get_nowait()
            except Empty:
                return
