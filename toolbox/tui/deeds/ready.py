"""The place Ready, and what can be asked for there."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action, PlaceRow

PLACE = PlaceRow(
    "ready",
    "Ready",
    "r",
    ("f2",),
    "ready:Ready",
    "Is the box ready to travel, and what must be mended",
    "ready",
)

ROWS = (
    Action(
        "ready-mend",
        ("enter",),
        "Mend it",
        "Go to the place where the marked finding is mended",
        "ready",
        "ready",
        70,
        "mend",
    ),
)
