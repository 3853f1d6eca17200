"""How long a search and its parts last: by the clock, or by counted work."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Protocol

from toolbox.layout.walk import Progress

_AREA_SHARE = 0.2  # of the time, for the walk on areas
_GUIDE_WORK = 0.04  # units for the guide, for each second
_MOST_GUIDE_WORK = 2.0
_COOLING_SHARE = 0.1  # of the time, until the walk that waits for the guide is cool
_WAITING_SHARE = 0.5  # of the time, after which nobody waits for the guide
_WALK = 3000  # steps of the first walk on true fits, for each block
_LONGER = 1.3  # how much longer each next walk is


class Pace(Protocol):
    """How long each part of a search lasts; ``stop`` is the stop signal from outside.

    ``guide_work`` is what the guide may take, in deterministic units of about two seconds.
    """

    stop: Callable[[], bool]
    guide_work: float

    def over(self) -> bool:
        """True when the search should end."""
        ...

    def walked_enough(self) -> bool:
        """True when no further walk should begin."""
        ...

    def area_walk(self) -> Progress:
        """Progress of a walk on areas that begins now."""
        ...

    def wait(self, there: Callable[[], bool]) -> Progress:
        """Progress of a walk until something is there, which may take too long."""
        ...

    def true_walk(self) -> Progress:
        """Progress of a walk on true fits that begins now."""
        ...

    def seconds_left(self) -> float | None:
        """Seconds until the end; None when counted work decides."""
        ...


class ByCount:
    """Counted work: so many walks of so many steps; only ``stop`` can end it before."""

    def __init__(self, stop: Callable[[], bool], guide_work: float, walks: int, steps: int) -> None:
        """A pace of ``walks`` walks on true fits."""
        self.stop = stop
        self.guide_work = guide_work
        self._walks = walks
        self._steps = steps

    def over(self) -> bool:
        """True when stopped."""
        return self.stop()

    def walked_enough(self) -> bool:
        """True when all walks were made."""
        return self._walks == 0

    def area_walk(self) -> Progress:
        """So many steps."""
        return self._counted

    def wait(self, there: Callable[[], bool]) -> Progress:
        """By count nobody waits for anybody."""
        del there
        return lambda made: 1.0

    def true_walk(self) -> Progress:
        """So many steps; one walk less is left."""
        self._walks -= 1
        return self._counted

    def _counted(self, steps: int) -> float:
        return 1.0 if self.stop() else steps / self._steps

    def seconds_left(self) -> float | None:
        """No clock."""
        return None


class ByClock:
    """Wall-clock time from the moment it is made."""

    def __init__(self, stop: Callable[[], bool], seconds: float, blocks: int) -> None:
        """A pace that ends ``seconds`` from now, for a box with so many blocks."""
        self.stop = stop
        self.guide_work = min(_GUIDE_WORK * seconds, _MOST_GUIDE_WORK)
        self._seconds = seconds
        self._walk = float(_WALK * blocks)
        self._end = time.monotonic() + seconds

    def over(self) -> bool:
        """True when the time is up or it was stopped."""
        return self.stop() or time.monotonic() >= self._end

    def walked_enough(self) -> bool:
        """Time decides."""
        return self.over()

    def area_walk(self) -> Progress:
        """A share of the whole time."""
        return self._lasting(self._seconds * _AREA_SHARE)

    def wait(self, there: Callable[[], bool]) -> Progress:
        """Soon cool, then as long as need be, at most a good share of the time."""
        cooling = self._lasting(self._seconds * _COOLING_SHARE)
        waiting = self._lasting(self._seconds * _WAITING_SHARE)

        def gone(made: int) -> float:
            return 1.0 if there() or waiting(made) >= 1.0 else min(cooling(made), 0.99)

        return gone

    def true_walk(self) -> Progress:
        """So many steps, each walk longer than the last, cut short to end in time.

        Steps and not seconds, so that a busy machine does not cool a walk too fast.
        """
        planned, self._walk = self._walk, self._walk * _LONGER
        timed = self._lasting(self._end - time.monotonic())
        return lambda made: max(made / planned, timed(made))

    def _lasting(self, seconds: float) -> Progress:
        began = time.monotonic()

        def gone(steps: int) -> float:
            del steps
            return 1.0 if self.over() else (time.monotonic() - began) / max(seconds, 1e-3)

        return gone

    def seconds_left(self) -> float | None:
        """Seconds until the end, 0 or more."""
        return max(0.0, self._end - time.monotonic())
