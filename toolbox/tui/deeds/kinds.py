"""What a row of the table of actions is, and a row of the table of places."""

from __future__ import annotations

from typing import NamedTuple

EVERYWHERE = "everywhere"
SCREENS_ONLY = "(about the screens alone)"


# Named tuples: their classes are made quicker than others, before the first frame.
class PlaceRow(NamedTuple):
    """A place of the screens: its name, what tabs call it, how one goes there.

    ``letter`` follows ``g``; ``keys`` go there at once. ``screen`` is module and class
    below ``toolbox.tui.screens``, loaded when first gone to. ``command`` gives the same
    on the command line.
    """

    name: str
    title: str
    letter: str
    keys: tuple[str, ...]
    screen: str
    help: str
    command: str


class Action(NamedTuple):
    """One thing to do: where it can be asked for, by which keys, and what for.

    ``id`` is what the settings file calls it; ``keys`` are Textual's names of keys;
    ``label`` stands in the line of keys, rows with a higher ``priority`` first.
    ``command`` is the command that does the same, SCREENS_ONLY for what only concerns
    the screens. ``does`` is Textual's action, by default made from the id.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    help: str
    where: str
    command: str
    priority: int = 0
    does: str = ""

    @property
    def run(self) -> str:
        """The Textual action this row stands for."""
        return self.does or self.id.replace("-", "_")
