"""The place Find, and what can be asked for there."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action, PlaceRow

PLACE = PlaceRow(
    "find",
    "Find",
    "f",
    ("f8", "slash"),
    "find:Find",
    "Where a thing is, or all that a job takes, by a few letters",
    "find",
)

ROWS = (
    Action(
        "find-take",
        ("enter",),
        "Show it",
        "Show the marked thing large with the way there, or all that the marked job takes",
        "find",
        "find",
        78,
        "take",
    ),
    Action(
        "find-box",
        ("b",),
        "In the box",
        "Go to Box with this tool under the cursor (from the list, or when shown large)",
        "find",
        "map",
        76,
        "box",
    ),
    Action(
        "find-plan",
        ("p",),
        "Plan or today",
        "Look things up in the saved plan, or again in the box as it lies today",
        "find",
        "find --plan",
        74,
        "plan",
    ),
)
