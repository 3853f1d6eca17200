"""The pictures in README, made by the program itself from the demo.

``python tests/bench/pictures.py`` writes them anew into ``demo/pictures``. The day and
the author are fixed, and planning counts its work, so that the same program makes the
same pictures.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from toolbox.desk.folder import open_kit
from toolbox.desk.plans import make_plan
from toolbox.desk.setup import last_day, lay_out_demo
from toolbox.tui.app import ToolboxApp
from toolbox.tui.snapshot import screen_svg

FOLDER = Path(__file__).resolve().parents[2] / "demo" / "pictures"
NOW = datetime(2026, 11, 21, 9, 0, tzinfo=UTC)
SIZE = (80, 24)
# A picture's name, and the keys that lead there from the first place.
WANTED: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("ready", ()),
    ("log", ("f3",)),
    ("box", ("f5",)),
    ("plan", ("f6",)),
)


async def take(kit: Path, keys: tuple[str, ...]) -> str:
    """The screen that the keys lead to, as SVG."""
    app = ToolboxApp(
        kit, now=lambda: NOW, author="mechanic", today=last_day(open_kit(kit)), theme="light"
    )
    async with app.run_test(size=SIZE) as pilot:
        await _until(pilot, lambda: app.picture is not None)
        for key in keys:
            await pilot.press(key)
            await pilot.pause()
        await pilot.pause()
        return screen_svg(app)


async def _until(pilot: Pilot[Any], holds: Callable[[], bool]) -> None:
    waiting: Callable[[], Awaitable[None]] = pilot.pause
    while not holds():
        await waiting()


def main() -> None:
    """Write every picture."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        kit = lay_out_demo(Path(folder) / "demo")
        day = last_day(kit)
        assert day is not None, "the demo has a logged week"
        make_plan(kit, day)
        for name, keys in WANTED:
            picture = asyncio.run(take(kit.path, keys))
            path = FOLDER / f"{name}.svg"
            path.write_text(picture, encoding="utf-8", newline="\n")
            sys.stdout.write(f"{path.name}: {len(picture) // 1000} kB\n")


if __name__ == "__main__":
    main()
