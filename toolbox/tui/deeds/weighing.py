"""What can be asked for where things are weighed one by one; one comes there from Kit."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action

WHERE = "weighing"

ROWS = (
    Action(
        "weighing-open",
        ("enter",),
        "Reading",
        "Type what the scale shows for the marked thing; or a thing and its reading",
        WHERE,
        "weighing",
        89,
        "open",
    ),
    Action(
        "weighing-tare",
        ("e",),
        "Tare",
        "Take the mass of a tray off each reading from now on; an empty line takes off nothing",
        WHERE,
        "weighing --tare READING",
        88,
        "tare",
    ),
    Action(
        "weighing-unit",
        ("n",),
        "Unit",
        "The unit of numbers without one: g, kg, oz or lb",
        WHERE,
        "weighing --unit UNIT",
        86,
        "unit",
    ),
    Action(
        "weighing-step",
        ("d",),
        "Step",
        "The smallest step that the scale shows; it is kept with each mass",
        WHERE,
        "weighing --step MASS",
        85,
        "step",
    ),
)
