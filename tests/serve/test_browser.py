"""A real Chromium of a telephone's size: three tasks by tapping alone, and who is kept out.

Skipped where Chromium is absent. Targets of touch: 44 CSS pixels, WCAG 2.2, 2.5.5 [memory].
"""

from __future__ import annotations

import asyncio
import os
import shutil
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from phone import ABSENT, CHROMIUM, Phone, phone

from toolbox.desk.folder import open_kit
from toolbox.kit.facts import LineSaid, StepDone

pytestmark = [pytest.mark.skipif(CHROMIUM is None, reason=ABSENT)]


@dataclass
class Server:
    """A server in a process of its own, as a mechanic starts it."""

    address: str
    output: asyncio.StreamReader

    @property
    def port(self) -> str:
        """Its port."""
        return self.address.split("/")[2].rpartition(":")[2]


@asynccontextmanager
async def served(kit: Path, *options: str) -> AsyncIterator[Server]:
    """``toolbox serve`` on a kit; ended as by Ctrl-C."""
    pytest.importorskip("textual_serve", reason="the extra serve is not installed")
    process = await asyncio.create_subprocess_exec(
        *(sys.executable, "-u", "-m", "toolbox", "serve", "--kit", str(kit), "--port", "0"),
        *("--today", "2026-11-20", *options),
        stdout=asyncio.subprocess.PIPE,
        cwd=kit.parent,
        env={**os.environ, "TOOLBOX_AUTHOR": "Pit phone"},
    )
    assert process.stdout is not None
    try:
        line = await asyncio.wait_for(process.stdout.readline(), 60)
        yield Server(line.decode().strip(), process.stdout)
    finally:
        process.terminate()
        assert await asyncio.wait_for(process.wait(), 30) == 0


async def test_three_tasks_by_tapping(demo_once: Path, tmp_path: Path) -> None:
    """A job logged, a line of a list ticked, a tool found; then strangers are turned away."""
    kit = Path(shutil.copytree(demo_once, tmp_path / "demo"))
    before = len(open_kit(kit).live)
    async with served(kit) as server, phone(tmp_path) as page:
        assert await page.go(server.address) == 200
        await page.shows("NOT READY:")
        assert page.columns >= 60
        assert page.rows >= 20
        await _log_a_job(page)
        await _find_a_tool(page)
        await _tick_a_line(page)
        assert all(one.startswith(server.address.split("?")[0]) for one in page.asked)
        await _kept_out(page, server)
    new = open_kit(kit).live[before:]
    assert {fact.author for fact in new} == {"Pit phone"}
    assert [type(fact.what) for fact in new] == [StepDone, LineSaid]


async def _log_a_job(page: Phone) -> None:
    await page.tap_button("Places")
    await page.tap_button("Log")
    await page.tap("2  job")
    await page.shows(">  2  job")
    await page.tap("2  job")
    await page.shows("0 of 3 done")
    await page.tap("Space As usual")  # in the line of keys
    await page.shows("1 of 3 done")


async def _find_a_tool(page: Phone) -> None:
    await page.tap_button("Back")
    await page.tap_button("Places")
    await page.tap_button("Find")
    await page.shows("Find >")
    await page.tap_button("Tap here to type")
    assert await page.script("document.activeElement.id") == "letters"
    await page.do("Input.insertText", text="torque")
    await page.shows("Torque")


async def _tick_a_line(page: Phone) -> None:
    await page.tap_button("Places")
    await page.tap_button("Evening")
    await page.tap("l Lists")  # in the line of keys
    await page.tap("[ ]  Wet tools wiped")
    await page.shows(">  [ ]  Wet tools wiped")
    await page.tap("[ ]  Wet tools wiped")
    await page.shows("[x]  Wet tools wiped")


async def _kept_out(page: Phone, server: Server) -> None:
    spent = server.address
    live = f"ws://localhost:{server.port}/ws"
    opened = await page.script(
        "new Promise((told) => {"
        f"const one = new WebSocket({live!r});"
        "one.onopen = () => told('open'); one.onerror = () => told('no'); })"
    )
    assert opened == "no"  # another site: the page is 127.0.0.1's, and there no cookie is sent
    assert await page.go(f"http://localhost:{server.port}/") == 403
    assert await page.go(spent.replace("127.0.0.1", "localhost")) == 403
