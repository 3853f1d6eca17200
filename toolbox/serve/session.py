"""One browser's screens: a process of our own making, and what may be said to it."""

from __future__ import annotations

import asyncio
import json
import os
from collections.abc import Awaitable, Callable, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asyncio.subprocess import Process

    from textual_serve.app_service import AppService

COLUMNS, LINES = (20, 400), (5, 200)
"""Least and most of a terminal; what a browser says of itself is not trusted beyond it."""
LEAVE_SECONDS = 5.0
"""How long the screens may take to be left before their process is ended."""
FIRST_WORDS = 5

SendBytes = Callable[[bytes], Awaitable[None]]


def within(value: object, limits: tuple[int, int], otherwise: int) -> int:
    """A whole number as near to ``value`` as the limits allow; ``otherwise`` for no number."""
    try:
        number = int(str(value)[:9])
    except ValueError:
        return otherwise
    return max(limits[0], min(limits[1], number))


def started_with(environ: Mapping[str, str], columns: int, lines: int) -> dict[str, str]:
    """The environment of the screens' process: ours, and what its driver for browsers reads."""
    return {
        **environ,
        "TEXTUAL_DRIVER": "textual.drivers.web_driver:WebDriver",
        "TEXTUAL_COLOR_SYSTEM": "truecolor",
        "TEXTUAL_FPS": "15",
        "COLUMNS": str(columns),
        "ROWS": str(lines),
    }


@cache
def _kind() -> type[AppService]:
    """The library's way of talking to screens, without its way of starting them.

    It starts a command line through a shell, and trusts what it started to say goodbye.
    """
    from textual_serve.app_service import AppService

    class Screens(AppService):
        """Screens in a process of their own."""

        argv: Sequence[str] = ()
        _heard = 0

        async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
            pipe = asyncio.subprocess.PIPE
            environ = started_with(os.environ, width, height)
            self._process = await asyncio.create_subprocess_exec(
                *self.argv, stdin=pipe, stdout=pipe, stderr=pipe, env=environ
            )
            self._stdin = self._process.stdin
            return self._process

        async def on_data(self, payload: bytes) -> None:
            """Pass on what is drawn. At their start the screens believe that nobody looks."""
            if self._heard < FIRST_WORDS:
                self._heard += 1
                await self.focus()
            await super().on_data(payload)

        async def on_meta(self, data: bytes) -> None:
            """Only the goodbye is heeded: our screens hand out no files and open no pages."""
            if json.loads(data).get("type") == "exit":
                await super().on_meta(data)

        async def on_packed(self, payload: bytes) -> None:
            """Parts of files, of which there are none."""

        async def run(self) -> None:
            """As in the library; a process that broke off is gone as well."""
            await super().run()
            assert self._process is not None, "it was started"
            await self._process.wait()
            await self.remote_close()

        async def stop(self) -> None:
            """Ask the screens to be left, then end their process if it is still there."""
            if self._task is None:
                return
            task, process, self._task = self._task, self._process, None
            await self.send_meta({"type": "quit"})
            done, _ = await asyncio.wait([task], timeout=LEAVE_SECONDS)
            if not done and process is not None and process.returncode is None:
                process.kill()
                await asyncio.wait([task], timeout=LEAVE_SECONDS)

    return Screens


def make_service(
    argv: Sequence[str],
    send: SendBytes,
    close: Callable[[], Awaitable[None]],
) -> AppService:
    """Screens to be started as ``argv``, without a shell; what they draw goes to ``send``.

    ``close`` is called when they have ended, however that was.
    """
    from textual_serve.download_manager import DownloadManager

    async def no_words(_: str) -> None:
        return None

    service = _kind()(
        "",  # a command line for a shell: there is none
        write_bytes=send,
        write_str=no_words,
        close=close,
        download_manager=DownloadManager(),
    )
    service.argv = tuple(argv)  # type: ignore[attr-defined]
    return service


async def pass_on(said: str, service: AppService) -> str | None:
    """Hand what a browser said to the screens; what is to be answered, None for nothing.

    Keys, the size of the window and a sign of life are heeded, all else is ignored. Raises
    ValueError when it is none of the browser's doing.
    """
    try:
        kind, *more = json.loads(said)
        value = more[0] if more else None
        if kind == "stdin":
            await service.send_bytes(str(value).encode("utf-8", "replace"))
        elif kind == "resize":
            columns = within(value["width"], COLUMNS, 80)  # type: ignore[index]
            await service.set_terminal_size(columns, within(value["height"], LINES, 24))  # type: ignore[index]
        elif kind == "focus":
            await service.focus()
        elif kind == "ping":
            return json.dumps(["pong", str(value)[:20]])
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise ValueError("no message of the page") from error
    return None
