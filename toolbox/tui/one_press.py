"""One press does one thing: an Enter that is held down is told from one pressed again."""

from __future__ import annotations

from collections.abc import Hashable

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
