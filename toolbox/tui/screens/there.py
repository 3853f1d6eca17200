"""From a thing named in one place to where it lies on the map of the box."""

from __future__ import annotations

from typing import TYPE_CHECKING

from toolbox.tui.actions import PLACES

if TYPE_CHECKING:
    from toolbox.tui.app import ToolboxApp

BOX = "box"


def show_in_box(app: ToolboxApp, copy: str) -> None:
    """Go to the place Box with this copy under the cursor."""
    if any(place.name == BOX for place in PLACES):
        app.wanted = copy
        app.action_go(BOX)
    else:
        app.tell("See it on the map with: toolbox map")
