"""The place Box, and what can be asked for there."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import SCREENS_ONLY, Action, PlaceRow

PLACE = PlaceRow(
    "box",
    "Box",
    "b",
    ("f5",),
    "box:BoxPlace",
    "The box drawn to scale, layer by layer: what lies where, today and in the plan",
    "map --draw",
)

ROWS = (
    Action(
        "box-open",
        ("enter",),
        "Open",
        "Go into the marked compartment; on a tool, say why it lies there",
        "box",
        "map COMPARTMENT",
        79,
        "open",
    ),
    Action(
        "box-swap",
        ("p",),
        "Today/plan",
        "Change between the box as it lies today and the plan",
        "box",
        "map --plan",
        78,
        "swap",
    ),
    Action(
        "box-why",
        ("w",),
        "Why here",
        "Say why the marked tool lies there, and what other places would cost",
        "box",
        "why THING",
        77,
        "why",
    ),
    Action(
        "box-larger",
        ("plus", "equals_sign"),
        "Larger",
        "Draw larger; the arrows, Page keys and the wheel move what is in view",
        "box",
        SCREENS_ONLY,
        76,
        "larger",
    ),
    Action(
        "box-smaller",
        ("minus",),
        "Smaller",
        "Draw smaller, until all of it is in view",
        "box",
        SCREENS_ONLY,
        9,
        "smaller",
    ),
    Action(
        "box-whole",
        ("0",),
        "All of it",
        "Draw all of it in the window",
        "box",
        SCREENS_ONLY,
        8,
        "whole",
    ),
    Action(
        "box-follow",
        ("f",),
        "Follow",
        "Go to where the other layout has the marked tool",
        "box",
        "map --plan",
        12,
        "follow",
    ),
    Action(
        "box-plan",
        ("m",),
        "Make plan",
        "Go to Plan: search for a better layout, or look at what the saved one saves",
        "box",
        "plan",
        14,
        "make_plan",
    ),
)
