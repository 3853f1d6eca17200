"""Looking at screens in tests: as text, once something has happened, beside a kept picture."""

from __future__ import annotations

import asyncio
import difflib
import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from toolbox.tui.snapshot import screen_text

__all__ = ["same_picture", "screen_text", "until"]

PICTURES = Path(__file__).parent / "pictures"
NEW = "TOOLBOX_NEW_PICTURES"


async def until(
    pilot: Pilot[Any], condition: Callable[[], object], what: str, timeout: float = 20.0
) -> None:
    """Wait until the condition holds; fail in words if it never does within `timeout` seconds."""
    end = time.monotonic() + timeout
    while not condition():
        if time.monotonic() > end:
            raise AssertionError(f"never: {what}")
        await pilot._wait_for_screen()
        await asyncio.sleep(0.005)  # the only sleep allowed in tests


def same_picture(name: str, text: str) -> None:
    """The text equals the kept picture `pictures/NAME.txt`, or the difference is told.

    With TOOLBOX_NEW_PICTURES=1 the text is kept as the new picture instead.
    """
    kept = PICTURES / f"{name}.txt"
    if os.environ.get(NEW) == "1":
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_text(text, encoding="utf-8", newline="\n")
        return
    assert kept.is_file(), f"no picture {kept.name}: keep one with {NEW}=1\n{text}"
    before = kept.read_text(encoding="utf-8")
    lines = difflib.unified_diff(
        before.splitlines(), text.splitlines(), "kept", "now", lineterm="", n=1
    )
    assert text == before, f"{kept.name} looks different:\n" + "\n".join(lines)
