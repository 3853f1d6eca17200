"""How long a search and its parts last: by the clock, or by counted work."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Protocol

from toolbox.layout.walk import Progress

_AREA_SHARE = 0.2  # of the time, for the walk on areas
_GUIDE_WORK = 0.06  # units for the guide, for each second
_MOST_GUIDE_WORK = 2.0
_WAITING_SHARE = 0.5  # of the time, after which nobody waits for the guide
_TRIES = 5  # short walks from the guide
_TRY = 500  # steps of each, for each block
_WALK = 3000  # steps of the first walk after them, for each block
_LONGER = 1.3  # how much longer each next walk is
_FRUITLESS_SHARE = 0.5  # of the time, after which walks that found no layout end


class Pace(Protocol):
    """How long each part of a search lasts; ``stop`` is the stop signal from outside.

    ``guide_work`` is what the guide may take, in deterministic units of about two seconds.
    """

    stop: Callable[[], bool]
    guide_work: float

    def over(self) -> bool:
        """True when the search should end."""
        ...

    def walked_enough(self, found: bool) -> bool:
        """True when no further walk should begin; ``found`` tells if there is a layout."""
        ...

    def trying(self) -> bool:
        """True while the next walk is a short one that should begin at the guide."""
        ...

    def try_nothing(self) -> None:
        """Without a guide: no short walks, long ones from now on."""
        ...

    def area_walk(self) -> Progress:
        """Progress of a walk on areas that begins now."""
        ...

    def waiting(self) -> bool:
        """True while it is worth waiting for the guide."""
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

    def walked_enough(self, found: bool) -> bool:
        """True when all walks were made."""
        del found
        return self._walks == 0

    def trying(self) -> bool:
        """By count each walk goes on from the best."""
        return False

    def try_nothing(self) -> None:
        """By count there are no short walks."""

    def area_walk(self) -> Progress:
        """So many steps."""
        return self._counted

    def waiting(self) -> bool:
        """By count nobody waits for anybody."""
        return False

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
        self._tries = _TRIES
        self._try, self._walk = float(_TRY * blocks), float(_WALK * blocks)
        self._end = time.monotonic() + seconds

    def over(self) -> bool:
        """True when the time is up or it was stopped."""
        return self.stop() or time.monotonic() >= self._end

    def walked_enough(self, found: bool) -> bool:
        """Time decides; without a layout some of it is left for closing in on the box."""
        left = 0.0 if found else self._seconds * (1.0 - _FRUITLESS_SHARE)
        return self.over() or time.monotonic() >= self._end - left

    def trying(self) -> bool:
        """True while there are short walks to be made."""
        return self._tries > 0

    def try_nothing(self) -> None:
        """No short walks any more."""
        self._tries = 0

    def area_walk(self) -> Progress:
        """A share of the whole time."""
        return self._lasting(self._seconds * _AREA_SHARE)

    def waiting(self) -> bool:
        """True until a good share of the time is gone."""
        left = self._seconds * (1.0 - _WAITING_SHARE)
        return not self.over() and time.monotonic() < self._end - left

    def true_walk(self) -> Progress:
        """So many steps, cut short to end in time: some short walks, then ever longer ones.

        Steps and not seconds, so that a busy machine does not cool a walk too fast.
        """
        if self._tries:
            planned, self._tries = self._try, self._tries - 1
        else:
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
