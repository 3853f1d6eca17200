"""How long the search for a packing and its parts last: by counted work, or by the clock."""

from __future__ import annotations

import time
from collections.abc import Callable

from toolbox.layout.watch import Stop

_EVER = 10**6  # units where the clock decides


class Pace:
    """How much work or time is left, and parts of it for parts of the search."""

    def __init__(
        self,
        stop: Stop,
        work: float,
        seconds: float | None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """So many deterministic units, or with ``seconds`` so long by a clock from now on."""
        self._stop = stop
        self._clock = clock
        self._end = None if seconds is None else clock() + seconds
        self._work = work

    def over(self) -> bool:
        """True when the search should end."""
        return self._stop() or (self._end is not None and self._clock() >= self._end)

    def stopped(self) -> bool:
        """True when somebody asked for the end, whatever is left."""
        return self._stop()

    def part(self, share: float, most: float = _EVER) -> tuple[float, Callable[[], bool]]:
        """Units and stop signal for a share of what is left, ``most`` units at most."""
        if self._end is None:
            return min(most, self._work * share), self._stop
        now = self._clock()
        end = now + max(0.0, self._end - now) * share
        return _EVER, lambda: self._stop() or self._clock() >= end

    def took(self, work: float) -> None:
        """So many units are used up."""
        self._work = max(0.0, self._work - work)
