"""The place Evening, and what can be asked for there."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action, PlaceRow

PLACE = PlaceRow(
    "evening",
    "Evening",
    "e",
    ("f11",),
    "evening:EveningPlace",
    "Count the box in, place by place, and say what became of what is not there",
    "count",
)

ROWS = (
    Action(
        "evening-there",
        ("space",),
        "All there",
        "All that should be in the marked place is there, but for what is marked short; on to "
        "the next",
        "evening",
        "count COMPARTMENT",
        88,
        "there",
    ),
    Action(
        "evening-open",
        ("enter",),
        "Open",
        "On a place: the things in it; on a thing, or on what is missing: what became of it",
        "evening",
        "settle THING OUTCOME",
        86,
        "open",
    ),
    Action(
        "evening-short",
        ("x",),
        "Short",
        "The marked thing is not there, or is after all; it counts with the place it belongs in",
        "evening",
        "count COMPARTMENT --short THING",
        87,
        "short",
    ),
    Action(
        "evening-number",
        tuple("0123456789"),
        "How many",
        "On a part of a set, how many of it are short; in Missing, of how many one speaks",
        "evening",
        "count COMPARTMENT --short THING:PART:N",
        70,
        "number",
    ),
    Action(
        "evening-find",
        ("f",),
        "Find it",
        "Put the mark on a thing by a few letters, wherever it belongs",
        "evening",
        "count COMPARTMENT --short THING",
        79,
        "find",
    ),
    Action(
        "evening-count",
        ("c",),
        "Count",
        "The places in walking order, the next one to count marked",
        "evening",
        "count",
        78,
        "count",
    ),
    Action(
        "evening-missing",
        ("m",),
        "Missing",
        "What is not in the box: how it looks, where it was last, the bikes it could be in",
        "evening",
        "missing",
        85,
        "missing",
    ),
    Action(
        "evening-bikes",
        ("b",),
        "Bikes",
        "Bikes that may not go out; Enter on one decides that it may, with a reason",
        "evening",
        "release BIKE --reason TEXT",
        82,
        "bikes",
    ),
    Action(
        "evening-close",
        ("d",),
        "Close day",
        "Close the day as complete; tells what is in the way, once more closes it with a reason",
        "evening",
        "count --close",
        84,
        "close_day",
    ),
)
