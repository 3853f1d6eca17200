"""What the tests of Plan and Rebuild share: a planned demo, waiting for words, pictures."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from look import same_picture, screen_text, until
from textual.pilot import Pilot

from toolbox.desk.folder import open_kit
from toolbox.desk.plans import plan_path
from toolbox.files.layouts import SavedPlan, save_plan
from toolbox.kit.layouts import Layout, Spot

SIZES = [(60, 20), (80, 24), (120, 40), (200, 60)]
LONG = 30.0  # seconds to wait on a busy machine before a test gives up


def text(pilot: Pilot[Any]) -> str:
    """What the terminal shows, with all blanks and line ends as one blank."""
    return " ".join(screen_text(pilot.app).split())


async def shows(pilot: Pilot[Any], words: str) -> None:
    """Wait until these words stand on the screen, wherever they are parted."""
    await until(pilot, lambda: words in text(pilot), words, LONG)


async def told(pilot: Pilot[Any], words: str) -> None:
    """Wait for a notice; on the screen it may be parted by what stands beside it."""
    await until(
        pilot, lambda: any(words in n.message for n in pilot.app._notifications), words, LONG
    )


def planned(kit: Path) -> Path:
    """The demo with a plan that moves every third thing to the next compartment of its kind."""
    folder = open_kit(kit)
    present = folder.kit.present
    assert present is not None
    kinds = {c.id: c.kind for c in folder.kit.box.compartments}
    names = list(kinds)
    spots = []
    for n, spot in enumerate(present.spots):
        home = spot.compartment
        if n % 3 == 0:
            later = names[names.index(home) + 1 :] + names
            home = next(c for c in later if kinds[c] is kinds[spot.compartment])
        spots.append(Spot(spot.item, home, spot.x, spot.y, spot.turned))
    made = SavedPlan(Layout("plan", tuple(spots)), 9, None, "by hand", "of another kit")
    save_plan(kit / "layouts" / "plan.toml", made)
    return kit


def ring(kit: Path) -> Path:
    """The small kit with a plan of four steps, worked out by hand.

    K5 into the loops (1), CT out of the tray onto the bench (2), K4 into the tray (3),
    CT into the well (4).
    """
    spots = (Spot("CT", "well"), Spot("K4", "tray", 0, 0), Spot("K5", "loops", 0))
    save_plan(plan_path(open_kit(kit)), SavedPlan(Layout("plan", spots), 9, None, "", "x"))
    return kit


async def each_size(pilot: Pilot[Any], name: str) -> None:
    """Keep or compare a picture at every size, once it does not change any more."""
    for width, height in SIZES:
        await pilot.resize_terminal(width, height)
        drawn: list[str] = []

        def settled(size: tuple[int, int] = (width, height), drawn: list[str] = drawn) -> bool:
            drawn.append(screen_text(pilot.app))
            return pilot.app.size == size and drawn[-3:-1] == drawn[-2:]

        await until(pilot, settled, f"{name} at {width}x{height}", LONG)
        same_picture(f"{name}-{width}x{height}", drawn[-1])
