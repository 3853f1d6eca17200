"""The place Rebuild, and what can be asked for there."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action, PlaceRow

PLACE = PlaceRow(
    "rebuild",
    "Rebuild",
    "c",
    ("f7",),
    "rebuild:Rebuilding",
    "Rebuild the box step by step, from how it lies today to the plan",
    "rebuild",
)

ROWS = (
    Action(
        "rebuild-tick",
        ("space", "enter"),
        "Done, next",
        "The marked step is done; today's layout follows, and the next step is marked",
        "rebuild",
        "rebuild --tick",
        88,
        "tick",
    ),
    Action(
        "rebuild-back",
        ("x",),
        "Take back",
        "The marked step is not done after all; only the last one that was done can be taken back",
        "rebuild",
        "rebuild --undo",
        86,
        "back",
    ),
)
