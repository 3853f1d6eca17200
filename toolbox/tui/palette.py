"""The command palette, fed by the table of actions."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, cast

from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.content import Content

from toolbox.tui.actions import for_place, key_words
from toolbox.tui.deeds.kinds import EVERYWHERE, Action

if TYPE_CHECKING:
    from toolbox.tui.app import ToolboxApp


class Actions(Provider):
    """Everything that can be done in the place one is in."""

    async def discover(self) -> Hits:
        """All of it, before a letter is typed."""
        for action in self._rows():
            yield DiscoveryHit(Content(self._words(action)), partial(self._run, action))

    async def search(self, query: str) -> Hits:
        """Actions with every word typed in their label or help, labels first."""
        typed = query.casefold().split()
        for action in self._rows():
            words = self._words(action)
            if all(word in words.casefold() for word in typed):
                score = 2.0 if action.label.casefold().startswith(tuple(typed)) else 1.0
                yield Hit(score, Content(words), partial(self._run, action), text=words)

    def _rows(self) -> Iterator[Action]:
        place = getattr(self.screen, "PLACE", "")
        for action in (*for_place(place), *for_place(EVERYWHERE)):
            if action.id != "palette":
                yield action

    def _words(self, action: Action) -> str:
        keys = cast("ToolboxApp", self.app).keys[action.id]
        return f"{action.label} ({key_words(keys)}): {action.help}"

    async def _run(self, action: Action) -> None:
        name = action.run
        await self.app.run_action(name, self.app if name.startswith("app.") else self.screen)
