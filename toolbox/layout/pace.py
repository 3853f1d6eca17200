"""How long a search and its parts last: by the clock, or by counted work."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Protocol

from toolbox.layout.walk import Progress

_AREA_SHARE = 0.2  # of the time, for the walk on areas
_FIRST_WALK = 0.6  # of the time left, for each walk on true fits
_LEAST_WALK = 3.0  # seconds; a shorter rest belongs to the walk before


class Pace(Protocol):
    """How long each part of a search lasts; ``stop`` is the stop signal from outside."""

    stop: Callable[[], bool]

    def over(self) -> bool:
        """True when the search should end."""
        ...

    def walked_enough(self) -> bool:
        """True when no further walk should begin."""
        ...

    def area_walk(self) -> Progress:
        """Progress of a walk on areas that begins now."""
        ...

    def true_walk(self) -> Progress:
        """Progress of a walk on true fits that begins now."""
        ...

    def seconds_left(self) -> float | None:
        """Seconds until the end; None when counted work decides."""
        ...


class ByCount:
    """Counted work: so many walks of so many steps; only ``stop`` can end it before."""

    def __init__(self, stop: Callable[[], bool], walks: int, steps: int) -> None:
        """A pace of ``walks`` walks on true fits."""
        self.stop = stop
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

    def __init__(self, stop: Callable[[], bool], seconds: float) -> None:
        """A pace that ends ``seconds`` from now."""
        self.stop = stop
        self._seconds = seconds
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

    def true_walk(self) -> Progress:
        """A share of the time left, or all of it when the rest would be short."""
        left = self._end - time.monotonic()
        lasts = left * _FIRST_WALK
        return self._lasting(lasts if left - lasts >= _LEAST_WALK else left)

    def _lasting(self, seconds: float) -> Progress:
        began = time.monotonic()

        def gone(steps: int) -> float:
            del steps
            return 1.0 if self.over() else (time.monotonic() - began) / max(seconds, 1e-3)

        return gone

    def seconds_left(self) -> float | None:
        """Seconds until the end, 0 or more."""
        return max(0.0, self._end - time.monotonic())
