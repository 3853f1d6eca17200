"""What can be asked for where there is no kit yet."""

from __future__ import annotations

from toolbox.tui.deeds.kinds import Action

ROWS = (
    Action(
        "welcome-demo",
        ("d",),
        "Try the demo",
        "Copy the demo kit into a folder of its own and open it",
        "welcome",
        "demo",
        86,
        "demo",
    ),
    Action(
        "welcome-new",
        ("n",),
        "New box",
        "Make a kit of your own from one of the box forms",
        "welcome",
        "new",
        85,
        "new",
    ),
)
