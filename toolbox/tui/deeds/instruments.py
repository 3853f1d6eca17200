"""The place Checks, where instruments are, and what can be asked for there."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action, PlaceRow

PLACE = PlaceRow(
    "instruments",
    "Checks",
    "i",
    ("k",),
    "instruments:Instruments",
    "See which torque tools, gauges and scales are due for a check, and check them",
    "instruments",
)

ROWS = (
    Action(
        "instruments-open",
        ("enter",),
        "Open, write",
        "All that is known of the marked instrument; where a verdict is shown: write it down",
        "instruments",
        "instruments TOOL",
        88,
        "open",
    ),
    Action(
        "instruments-check",
        ("c",),
        "Check it",
        "Hold the marked instrument against a reference, point by point, for a verdict",
        "instruments",
        "test TOOL SHOWN=REFERENCE",
        89,
        "check",
    ),
    Action(
        "instruments-happened",
        ("h",),
        "Happened",
        "The marked instrument was dropped, overloaded or repaired: it needs a check now",
        "instruments",
        "happened TOOL WHAT",
        87,
        "happened",
    ),
    Action(
        "instruments-wound",
        ("w",),
        "Wound down",
        "The marked torque tool is wound down to its lowest mark",
        "instruments",
        "wound TOOL",
        86,
        "wound",
    ),
    Action(
        "instruments-set",
        ("v",),
        "Set to",
        "What the marked instrument must show today so that the value wanted is the true one",
        "instruments",
        "instruments TOOL --set VALUE",
        85,
        "set_to",
    ),
    Action(
        "instruments-elsewhere",
        ("e",),
        "Elsewhere",
        "A check of the marked instrument that somebody else made, with what they found",
        "instruments",
        "test TOOL --elsewhere WHO --verdict pass",
        83,
        "elsewhere",
    ),
    Action(
        "instruments-compare",
        ("m",),
        "Compare",
        "Compare gauges two by two at one pressure, to see which one is off",
        "instruments",
        "gauges A=1.82:B=1.80",
        84,
        "compare",
    ),
)
