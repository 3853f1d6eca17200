"""One press does one thing: an Enter held down counts once, a letter typed ahead is not lost."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any
from weakref import WeakKeyDictionary

from textual.app import App
from textual.events import Event, Key
from textual.screen import Screen

# Terminals tell no release of a key: held down, it comes again after a while, then many
# times a second. Both are longer than what keyboards are set to as they come.
FIRST_SECONDS = 0.7
AGAIN_SECONDS = 0.15


class OnePress:
    """Hears all keys; an Enter that would now do something else may be the one before, held."""

    def __init__(self) -> None:
        self._where: Hashable = None
        self._at: float | None = None
        self._held = False

    def held(self, key: str, at: float, where: Hashable) -> bool:
        """Whether this key, come at this time (seconds), is a held Enter that is to do nothing.

        ``where`` tells what Enter does now: while that stays the same, every Enter counts.
        """
        if key != "enter":
            self._at = None
            return False
        most = AGAIN_SECONDS if self._held else FIRST_SECONDS
        elsewhere = self._at is not None and where != self._where
        self._held = elsewhere and at - (self._at or 0.0) < most
        self._at = at
        if not self._held:
            self._where = where
        return self._held


class TypedAhead:
    """Letters typed right after the key that opens a menu, before the menu is there.

    Such a letter is on its way to the place below when the menu comes up, and comes back
    to the app unheard: it was meant for the menu and is sent there once more.
    """

    def __init__(self) -> None:
        self._aimed: WeakKeyDictionary[Event, Screen[Any]] = WeakKeyDictionary()

    def meant(self, event: Event, app: App[Any]) -> Event:
        """The event; for a letter that a menu has come up over, a new one that goes to it."""
        if not isinstance(event, Key):
            return event
        if not event.is_forwarded:
            self._aimed[event] = app.screen
            return event
        late = self._aimed.get(event, app.screen) is not app.screen
        if late and app.screen.is_modal and event.is_printable:
            return Key(event.key, event.character)
        return event
