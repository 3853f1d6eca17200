"""The place Plan, and what can be asked for there."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import SCREENS_ONLY, Action, PlaceRow

PLACE = PlaceRow(
    "plan",
    "Plan",
    "p",
    ("f6",),
    "plan:Planning",
    "Plan the box by what the work takes, and see what the plan saves",
    "plan",
)

ROWS = (
    Action(
        "plan-search",
        ("p",),
        "Plan",
        "Search for the best layout with the effort chosen, and save it as the plan",
        "plan",
        "plan",
        88,
        "search",
    ),
    Action(
        "plan-stop",
        ("x",),
        "Stop",
        "End the search now; the best layout found so far becomes the plan",
        "plan",
        "plan",
        87,
        "stop",
    ),
    Action(
        "plan-adopt",
        ("a",),
        "Adopt",
        "Say that the box now lies as planned; asks once, because it replaces today's layout",
        "plan",
        "adopt",
        86,
        "adopt",
    ),
    Action(
        "plan-few",
        ("m",),
        "Few moves",
        "Plan with at most so many things changing compartment",
        "plan",
        "plan --moves 10",
        85,
        "few",
    ),
    Action(
        "plan-curve",
        ("c",),
        "Curve",
        "Work out what 0, 5, 10, 20, 40 and all moves would save; saves no plan",
        "plan",
        "plan --curve",
        84,
        "curve",
    ),
    Action(
        "plan-effort",
        ("e",),
        "Effort",
        "Choose how long to search: quick, normal, thorough, or so many seconds",
        "plan",
        "plan --effort quick",
        83,
        "effort",
    ),
    Action(
        "plan-view",
        ("v",),
        "View",
        "Change between what moves, the chart of the search, and the curve",
        "plan",
        SCREENS_ONLY,
        82,
        "view",
    ),
)
