"""A place that one gets to out of another one, and goes back from into it."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding

from toolbox.tui.shell import Place


class Inner(Place):
    """The base of such places: pushed over the place it belongs to, whose tab stays marked.

    Escape goes a step back inside it (``step_inside``), at last out of it; asking for the
    place below goes there at once.
    """

    BINDINGS: ClassVar[list[Binding]] = []

    def step_inside(self) -> bool:
        """One step back inside; False where there is none."""
        return False

    def one_back(self) -> bool:
        """A step inside, else back into the place below."""
        if not self.step_inside():
            self.leave()
        return True

    def begin_again(self) -> None:
        """The place below was asked for."""
        self.leave()

    def leave(self) -> None:
        """Back into the place below, unless something lies over this one."""
        if self.is_current:
            self.app.pop_screen()
