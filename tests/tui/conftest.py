"""The demo laid out once and copied for each test; the app opened on a kit of its own."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from clikit import write_kit_files
from look import until
from textual.pilot import Pilot

from toolbox.tui.app import ToolboxApp

NOW = datetime(2026, 11, 21, 9, 0, tzinfo=UTC)
DAY = date(2026, 11, 20)  # the demo's last day

Opened = Callable[..., AbstractAsyncContextManager[Pilot[Any]]]


@pytest.fixture(scope="session")
def demo_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo kit, laid out once; nobody writes to it."""
    from toolbox.desk.setup import lay_out_demo

    return lay_out_demo(tmp_path_factory.mktemp("demo") / "demo").path


@pytest.fixture
def demo(demo_once: Path, tmp_path: Path) -> Path:
    """A demo kit of the test's own."""
    return Path(shutil.copytree(demo_once, tmp_path / "demo"))


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """The small kit of the command tests."""
    return write_kit_files(tmp_path / "small")


@pytest.fixture
def opened() -> Opened:
    """Open the app on a kit folder (None: none) and wait until the kit was seen."""

    @asynccontextmanager
    async def open_app(
        kit: Path | None, size: tuple[int, int] = (80, 24), **more: Any
    ) -> AsyncIterator[Pilot[Any]]:
        app = ToolboxApp(kit, now=lambda: NOW, author="Tester", today=DAY, **more)
        async with app.run_test(size=size, notifications=True) as pilot:
            if kit is not None:
                await until(pilot, lambda: app.picture is not None, "a picture of the kit", 30)
            yield pilot

    return open_app
