"""Watching a long search for a packing from outside."""

from __future__ import annotations

from toolbox.flight.packing_problem import PackingAnswer, Reached


class PackingWatcher:
    """Hears how the search goes. This base does nothing; override what you need.

    Calls come from the thread that solves, one at a time.
    """

    def started(self) -> None:
        """The search has begun."""

    def better_packing(self, answer: PackingAnswer) -> None:
        """A checked packing that is better than any before, in the order of the aims."""

    def aim_done(self, reached: Reached) -> None:
        """The search goes on to the next aim; how far this one was reached."""

    def finished(self, answer: PackingAnswer) -> None:
        """The search has ended with this answer."""
