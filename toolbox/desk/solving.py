"""How a search goes: what was found and proved so far, and when, for the one who waits for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from toolbox.desk.figures import seconds
from toolbox.desk.plan_words import gap_words
from toolbox.layout.problem import Answer
from toolbox.layout.watch import Watcher

Point = tuple[float, int]


@dataclass(frozen=True, slots=True)
class Heard:
    """Costs and bounds in the order they were heard.

    Each is a pair of seconds since the search began and microseconds a day.
    """

    costs: tuple[Point, ...] = ()
    bounds: tuple[Point, ...] = ()

    @property
    def cost(self) -> int | None:
        """The cost of the best layout so far, None before there is one."""
        return self.costs[-1][1] if self.costs else None

    @property
    def bound(self) -> int | None:
        """What none can cost less than, as far as it is proved."""
        return self.bounds[-1][1] if self.bounds else None

    @property
    def words(self) -> str:
        """The best so far and how good it is, as a sentence without its full stop."""
        if self.cost is None:
            return "no layout yet"
        return f"{seconds(self.cost)} a day, {gap_words(self.cost, self.bound)}"


class Hearing(Watcher):
    """Keeps what a search tells; ``heard`` may be read from any thread at any time.

    ``clock`` gives seconds; ``told`` is called with each new state, in the thread that
    searches.
    """

    def __init__(
        self, clock: Callable[[], float], told: Callable[[Heard], None] | None = None
    ) -> None:
        self.heard = Heard()
        self._clock = clock
        self._began = clock()
        self._told = told

    def gone(self) -> float:
        """Seconds since the search began."""
        return self._clock() - self._began

    def better_layout(self, answer: Answer) -> None:
        """A layout with a lower cost."""
        if answer.cost is not None:
            costs = (*self.heard.costs, (self.gone(), answer.cost))
            self._tell(replace(self.heard, costs=costs))

    def better_bound(self, bound: int) -> None:
        """A higher bound."""
        bounds = (*self.heard.bounds, (self.gone(), bound))
        self._tell(replace(self.heard, bounds=bounds))

    def _tell(self, heard: Heard) -> None:
        self.heard = heard
        if self._told is not None:
            self._told(heard)
