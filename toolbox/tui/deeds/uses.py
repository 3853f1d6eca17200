"""The place Uses, and what can be asked for there."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action, PlaceRow

PLACE = PlaceRow(
    "uses",
    "Uses",
    "u",
    ("f4",),
    "uses:Uses",
    "Which tools the work really takes, and how sure that is",
    "uses",
)

ROWS = (
    Action(
        "uses-open",
        ("enter",),
        "History",
        "Show all that is known of the marked tool: its days, its jobs, its place",
        "uses",
        "uses TOOL",
        75,
        "open",
    ),
    Action(
        "uses-sort",
        ("o",),
        "Sort",
        "Sort by the next of: uses, cost, urgent, least settled, longest not used, place, name",
        "uses",
        "uses --by",
        78,
        "sort",
    ),
    Action(
        "uses-filter",
        ("f",),
        "Filter",
        "Show only what goes by a few letters; Esc in the list shows all again",
        "uses",
        "uses",
        76,
        "filter",
    ),
    Action(
        "uses-box",
        ("b",),
        "In the box",
        "Go to Box with the marked tool under the cursor",
        "uses",
        "find",
        40,
        "box",
    ),
)
