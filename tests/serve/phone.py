"""A real Chromium as a telephone: driven by its own protocol, its screens read from the wire.

Chrome DevTools Protocol, https://chromedevtools.github.io/devtools-protocol/ [memory]. What the
terminal shows is kept by a small terminal of our own, fed with the bytes that the browser got.
"""

from __future__ import annotations

import asyncio
import base64
import json
import os
import re
import shutil
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from rich.cells import cell_len

WIDTH, HEIGHT = 390, 844  # CSS pixels of a usual telephone, upright
FINE = 2  # its dots for each of them
LONG = 30.0

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
ABSENT = "no Chromium here (on Debian: apt-get install chromium)"

_CODE = re.compile(
    r"\x1b\[([?<>=]?[0-9;:]*[ $]?)([@-~])|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[=>78]"
)


class Cells:
    """A terminal as far as the screens use one: moving to a cell, and writing there."""

    def __init__(self) -> None:
        self.lines: dict[int, dict[int, str]] = {}
        self._row = self._column = 0
        self._rest = ""

    def feed(self, text: str) -> None:
        """Write what was sent."""
        text, self._rest = self._rest + text, ""
        at = 0
        while at < len(text):
            code = _CODE.match(text, at)
            if code is not None:
                self._obey(code[1] or "", code[2] or "")
                at = code.end()
            elif text[at] == "\x1b":
                self._rest = text[at:]  # the code goes on in the next message
                return
            else:
                self._write(text[at])
                at += 1

    def _obey(self, numbers: str, what: str) -> None:
        if what == "H":
            row, _, column = numbers.partition(";")
            self._row, self._column = int(row or 1) - 1, int(column or 1) - 1
        elif what == "J":
            self.lines.clear()

    def _write(self, sign: str) -> None:
        if sign == "\n":
            self._row, self._column = self._row + 1, 0
        elif sign == "\r":
            self._column = 0
        elif sign >= " ":
            self.lines.setdefault(self._row, {})[self._column] = sign
            self._column += max(1, cell_len(sign))

    def line(self, row: int) -> str:
        """One line as text."""
        cells = self.lines.get(row, {})
        return "".join(cells.get(n, " ") for n in range(max(cells, default=-1) + 1))

    @property
    def text(self) -> str:
        """All lines."""
        return "\n".join(self.line(row) for row in range(max(self.lines, default=-1) + 1))

    def find(self, words: str) -> tuple[int, int] | None:
        """Row and column where these words begin, the topmost; None when they are not shown."""
        for row in sorted(self.lines):
            at = self.line(row).find(words)
            if at >= 0:
                return row, at
        return None


class Phone:
    """One page in the browser, touched as a finger would."""

    def __init__(self, socket: Any, session: str) -> None:
        self._socket = socket
        self._session = session
        self._number = 0
        self._answers: dict[int, asyncio.Future[dict[str, Any]]] = {}
        self._changed = asyncio.Event()
        self.cells = Cells()
        self.status = 0
        self.asked: list[str] = []
        self.sent: list[str] = []
        self.columns = self.rows = 0

    async def listen(self) -> None:
        """Hear what the browser says until it is gone."""
        async for message in self._socket:
            said = json.loads(message.data)
            waiting = self._answers.pop(said.get("id", 0), None)
            if waiting is not None and not waiting.done():
                waiting.set_result(said)
            self._heard(said.get("method", ""), said.get("params", {}))
            self._changed.set()

    def _heard(self, method: str, said: dict[str, Any]) -> None:
        if method == "Network.webSocketFrameReceived" and said["response"]["opcode"] == 2:
            data = base64.b64decode(said["response"]["payloadData"])
            self.cells.feed(data.decode("utf-8", "replace"))
        elif method == "Network.webSocketFrameSent":
            self.sent.append(said["response"]["payloadData"])
            kind, *more = json.loads(said["response"]["payloadData"])
            if kind == "resize":
                self.columns, self.rows = more[0]["width"], more[0]["height"]
        elif method == "Network.requestWillBeSent":
            self.asked.append(said["request"]["url"])
        elif method == "Network.responseReceived" and said["type"] == "Document":
            self.status = said["response"]["status"]

    async def do(self, method: str, **params: Any) -> dict[str, Any]:
        """One command of the protocol, and what came of it."""
        self._number += 1
        number = self._number
        self._answers[number] = asyncio.get_running_loop().create_future()
        order = {"id": number, "method": method, "params": params, "sessionId": self._session}
        await self._socket.send_str(json.dumps(order))
        said = await asyncio.wait_for(self._answers[number], LONG)
        assert "error" not in said, f"{method}: {said['error']}"
        return dict(said["result"])

    async def script(self, words: str) -> Any:
        """The value of an expression on the page."""
        done = await self.do(
            "Runtime.evaluate", expression=words, returnByValue=True, awaitPromise=True
        )
        assert "exceptionDetails" not in done, done["exceptionDetails"]
        return done["result"].get("value")

    async def until(self, seen: Callable[[], bool], what: str) -> None:
        """Wait until something is so."""

        async def wait() -> None:
            while not seen():
                self._changed.clear()
                await self._changed.wait()

        try:
            await asyncio.wait_for(wait(), LONG)
        except TimeoutError:
            raise AssertionError(f"never: {what}\n{self.cells.text}") from None

    async def shows(self, words: str) -> None:
        """Wait until the screens show these words."""
        await self.until(lambda: self.cells.find(words) is not None, words)

    async def go(self, address: str) -> int:
        """Open an address; the status of the answer."""
        self.status = 0
        self.cells = Cells()
        await self.do("Page.navigate", url=address)
        await self.until(lambda: self.status != 0, f"an answer from {address}")
        return self.status

    async def tap_at(self, x: float, y: float) -> None:
        """A finger down and up again."""
        await self.do("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])
        await self.do("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    async def tap(self, words: str) -> None:
        """Tap on words that the screens show."""
        await self.shows(words)
        row, column = self.cells.find(words) or (0, 0)
        box = await self.script(
            "(({x, y, width, height}) => [x, y, width, height])"
            "(document.querySelector('.xterm-screen').getBoundingClientRect())"
        )
        wide, high = box[2] / self.columns, box[3] / self.rows
        middle = column + cell_len(words) / 2
        await self.tap_at(box[0] + middle * wide, box[1] + (row + 0.5) * high)

    async def tap_button(self, name: str) -> None:
        """Tap on one of the buttons below the screens, by what is on it."""
        at = await self.script(
            f"(() => {{ const one = [...document.querySelectorAll('button, input')].find(b => "
            f"(b.textContent.trim() || b.placeholder) === {json.dumps(name)} && b.offsetHeight);"
            "const r = one.getBoundingClientRect();"
            "return [r.x + r.width / 2, r.y + r.height / 2, r.width, r.height]; })()"
        )
        assert at[3] >= 44, f"{name} is only {at[3]} px high"
        await self.tap_at(at[0], at[1])

    async def picture(self, path: Path) -> None:
        """What the browser shows, as a PNG."""
        shot = await self.do("Page.captureScreenshot", format="png")
        path.write_bytes(base64.b64decode(shot["data"]))


@asynccontextmanager
async def phone(folder: Path) -> AsyncIterator[Phone]:
    """A browser of its own with one page of a phone's size; nothing of it is left behind."""
    from aiohttp import ClientSession

    assert CHROMIUM is not None
    process = await asyncio.create_subprocess_exec(
        CHROMIUM,
        "--headless=new",
        "--remote-debugging-port=0",
        f"--user-data-dir={folder / 'browser'}",
        "--no-first-run",
        "--disable-gpu",
        f"--force-device-scale-factor={FINE}",
        "--disable-background-networking",
        "--disable-component-update",
        *(("--no-sandbox",) if os.geteuid() == 0 else ()),
        "about:blank",
        stdout=asyncio.subprocess.DEVNULL,
        stderr=asyncio.subprocess.PIPE,
    )
    try:
        async with ClientSession() as client:
            address = await asyncio.wait_for(_address(process), LONG)
            async with client.ws_connect(address, max_msg_size=0) as socket, _page(socket) as page:
                yield page
    finally:
        if process.returncode is None:
            process.kill()
        await process.wait()


async def _address(process: asyncio.subprocess.Process) -> str:
    assert process.stderr is not None
    async for line in process.stderr:
        _, found, address = line.decode("utf-8", "replace").partition("DevTools listening on ")
        if found:
            return address.strip()
    raise AssertionError("the browser did not start")


@asynccontextmanager
async def _page(socket: Any) -> AsyncIterator[Phone]:
    await socket.send_str(json.dumps({"id": 1, "method": "Target.getTargets"}))
    targets = (await _answer(socket, 1))["targetInfos"]
    target = next(one["targetId"] for one in targets if one["type"] == "page")
    order = {"targetId": target, "flatten": True}
    await socket.send_str(json.dumps({"id": 2, "method": "Target.attachToTarget", "params": order}))
    page = Phone(socket, (await _answer(socket, 2))["sessionId"])
    page._number = 2
    listening = asyncio.create_task(page.listen())
    try:
        await page.do("Page.enable")
        await page.do("Network.enable")
        await page.do("Runtime.enable")
        await page.do(
            "Emulation.setDeviceMetricsOverride",
            width=WIDTH,
            height=HEIGHT,
            deviceScaleFactor=0,  # as it was started: the page must see one and the same
            mobile=True,
        )
        await page.do("Emulation.setTouchEmulationEnabled", enabled=True, maxTouchPoints=5)
        yield page
    finally:
        listening.cancel()


async def _answer(socket: Any, number: int) -> dict[str, Any]:
    while True:
        said = await socket.receive_json(timeout=LONG)
        if said.get("id") == number:
            return dict(said["result"])
