"""The lower bound in a process of its own, so that it does not slow down a search beside it.

Two threads of one Python process take turns; the bound, which goes in and out of the
solvers thousands of times, would get next to no turns beside a search in Python. The
child process is given the question, tells every better bound, and is ended by ``stop``.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import BinaryIO

from toolbox.layout.bound import Bound, lower_bound
from toolbox.layout.problem import LayoutProblem
from toolbox.layout.solver import LOOK
from toolbox.layout.watch import Stop


def lower_bound_apart(
    problem: LayoutProblem, *, stop: Stop, report: Callable[[int], None], seconds: float
) -> Bound:
    """Like ``lower_bound`` with ``seconds``, worked out by a child process.

    ``report`` is called in the calling thread. Thrown ``stop`` ends the child at once;
    the answer then has the best value so far and no homes. Where no child process can
    be started the bound is worked out here.
    """
    try:
        child = _start()
    except OSError:
        return lower_bound(problem, stop=stop, report=report, seconds=seconds)
    told: SimpleQueue[int | Bound | None] = SimpleQueue()
    with child:
        assert child.stdin is not None
        assert child.stdout is not None
        talk = threading.Thread(
            target=_talk, args=(child.stdin, child.stdout, (problem, seconds), told.put)
        )
        talk.start()
        try:
            return _listen(told, stop, report)
        finally:
            child.kill()
            talk.join()


def _listen(
    told: SimpleQueue[int | Bound | None], stop: Stop, report: Callable[[int], None]
) -> Bound:
    """Hear the child until it has ended or is to be ended."""
    best = 0
    while not stop():
        try:
            news = told.get(timeout=LOOK)
        except Empty:
            continue
        if isinstance(news, Bound):
            return news
        if news is None:
            break
        best = news
        report(best)
    return Bound(best, None)


def _start() -> subprocess.Popen[bytes]:
    """A child that imports the package from where this process did, not from where it stands."""
    paths = [path for path in sys.path if path]
    return subprocess.Popen(
        [sys.executable, "-P", "-m", __name__],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
    )


def _talk(
    to: BinaryIO,
    back: BinaryIO,
    question: tuple[LayoutProblem, float],
    tell: Callable[[int | Bound | None], None],
) -> None:
    """Give the child its question and pass on what it says; None when it says no more."""
    try:
        pickle.dump(question, to)
        to.flush()
        while True:
            tell(pickle.load(back))
    except (EOFError, OSError, pickle.UnpicklingError):
        tell(None)


def _answer(source: BinaryIO, sink: BinaryIO) -> None:
    """The child's part: read the question, tell every better bound, then the answer."""

    def say(news: int | Bound) -> None:
        pickle.dump(news, sink)
        sink.flush()

    problem, seconds = pickle.load(source)
    say(lower_bound(problem, stop=lambda: False, report=say, seconds=seconds))


if __name__ == "__main__":
    # What a solver prints must not mix with the answers: they get a way out of their own.
    with os.fdopen(os.dup(1), "wb") as answers:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        _answer(sys.stdin.buffer, answers)
