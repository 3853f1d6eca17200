"""The server: the gate before everything, one page, its files, a live connection for each."""

from __future__ import annotations

import asyncio
import signal
import sys
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from toolbox.serve.gate import LOOPBACK, Answer, Gate, Knock, is_loopback
from toolbox.serve.page import WEB, Page, policy
from toolbox.serve.session import COLUMNS, LINES, make_service, pass_on, within

if TYPE_CHECKING:
    from aiohttp import web
    from aiohttp.typedefs import Handler, Middleware
    from textual_serve.app_service import AppService

LONGEST_MESSAGE = 64 * 1024
BEAT_SECONDS = 15.0
"""A browser that does not answer for so long is gone."""
FULL = "As many screens are open as may be at once. Close one of them, then try again."
IDLE = "Closed: nothing was touched for a while. All that was confirmed is stored."
NOT_UNDERSTOOD = "Closed: what came was not of this page."
LEAVING = "The server was ended. All that was confirmed is stored."

# Of the library's files only these are handed out, each by its name; there is no listing.
_THEIRS = {
    "textual.js": "js/textual.js",
    "xterm.css": "css/xterm.css",
    "RobotoMono-VariableFont_wght.ttf": "fonts/RobotoMono-VariableFont_wght.ttf",
}
_OURS = ("page.js", "page.css")


@dataclass(frozen=True, slots=True)
class Limits:
    """How many screens at once, and seconds: of a session untouched, of a server with none."""

    most: int = 3
    idle_seconds: float = 15 * 60.0
    alone_seconds: float = 30 * 60.0


@dataclass
class Served:
    """All that a server knows: what it starts, whom it lets in, who is there.

    ``argv`` is the one command it ever starts; ``tell`` says a line to the one at the
    terminal; ``ended`` is set when the server is to end.
    """

    argv: Sequence[str]
    gate: Gate
    page: Page
    limits: Limits
    tell: Callable[[str], None]
    cookie: str = "toolbox"
    ended: asyncio.Event = field(default_factory=asyncio.Event)
    open: set[web.WebSocketResponse] = field(default_factory=set)
    _alone: asyncio.TimerHandle | None = None

    def come(self, socket: web.WebSocketResponse) -> bool:
        """One more session is wanted; False when there are as many as may be."""
        if len(self.open) >= self.limits.most:
            return False
        self.open.add(socket)
        if self._alone is not None:
            self._alone.cancel()
        return True

    def gone(self, socket: web.WebSocketResponse) -> None:
        """A session has ended."""
        self.open.discard(socket)
        if not self.open:
            self.wait_alone()

    def wait_alone(self) -> None:
        """From now on nobody is there; the server ends if nobody comes."""
        if self._alone is not None:
            self._alone.cancel()
        loop = asyncio.get_running_loop()
        self._alone = loop.call_later(self.limits.alone_seconds, self.ended.set)


def file_paths() -> dict[str, Path]:
    """Every file that is handed out, by its name."""
    import textual_serve

    theirs = Path(textual_serve.__file__).parent / "static"
    return {
        **{name: theirs / path for name, path in _THEIRS.items()},
        **{name: WEB / name for name in _OURS},
    }


def make_app(served: Served) -> web.Application:
    """The web application: the gate stands before everything, unknown addresses too."""
    from aiohttp import web

    app = web.Application(middlewares=[_gate_keeper(served)])
    files = file_paths()

    async def index(request: web.Request) -> web.Response:
        page = served.page.html(request.headers["Host"])
        return web.Response(text=page, content_type="text/html")

    async def file(request: web.Request) -> web.StreamResponse:
        path = files.get(request.match_info["name"])
        return web.FileResponse(path) if path is not None else web.Response(status=404)

    async def live(request: web.Request) -> web.WebSocketResponse:
        return await _live(request, served)

    async def leave(_: web.Application) -> None:
        for socket in set(served.open):
            await socket.close(code=1001, message=LEAVING.encode())

    app.router.add_get("/", index)
    app.router.add_get("/files/{name}", file)
    app.router.add_get("/ws", live, allow_head=False)
    app.on_shutdown.append(leave)
    return app


def _gate_keeper(served: Served) -> Middleware:
    from aiohttp import web

    @web.middleware
    async def keeper(request: web.Request, handler: Handler) -> web.StreamResponse:
        answer = served.gate.answer(_knock(request, served.cookie))
        if answer.refused:
            return web.Response(status=403, text=answer.refused + "\n", headers=policy())
        try:
            response = await handler(request)
        except web.HTTPException as other:
            response = web.Response(status=other.status, text=f"{other.reason}\n")
        if not response.prepared:
            response.headers.update(policy(request.headers["Host"]))
            _hand_out(response, answer, served, request.remote)
        return response

    return keeper


def _knock(request: web.Request, cookie: str) -> Knock:
    # Only looking at the first page uses an address up: whoever asks for its head only does not.
    first = request.path == "/" and request.method == "GET"
    headers = request.headers
    hosts, origins = headers.getall("Host", []), headers.getall("Origin", [])
    return Knock(
        host=hosts[0] if len(hosts) == 1 else None,
        origin=" ".join(origins) if origins else None,
        cookie=request.cookies.get(cookie),
        token=request.query.get("token") if first else None,
        live=request.path == "/ws",
    )


def _hand_out(
    response: web.StreamResponse, answer: Answer, served: Served, remote: str | None
) -> None:
    if answer.cookie is None:
        return
    response.set_cookie(served.cookie, answer.cookie, httponly=True, samesite="Strict", path="/")
    served.tell(f"Let in: a browser at {remote}. The address is used up; Enter shows a new one.")


async def _live(request: web.Request, served: Served) -> web.WebSocketResponse:
    from aiohttp import web

    socket = web.WebSocketResponse(heartbeat=BEAT_SECONDS, max_msg_size=LONGEST_MESSAGE)
    await socket.prepare(request)
    if not served.come(socket):
        # 1013: "Try Again Later" in IANA's registry of close codes for WebSocket.
        await socket.close(code=1013, message=FULL.encode())
        return socket
    try:
        await _talk(request, socket, served)
    finally:
        served.gone(socket)
    return socket


async def _talk(request: web.Request, socket: web.WebSocketResponse, served: Served) -> None:
    async def send(data: bytes) -> None:
        with suppress(ConnectionError):
            await socket.send_bytes(data)

    async def close() -> None:
        await socket.close()

    service = make_service(served.argv, send, close)
    width = within(request.query.get("width"), COLUMNS, 80)
    await service.start(width, within(request.query.get("height"), LINES, 24))
    try:
        code, words = await _listen(socket, service, served.limits.idle_seconds)
        await socket.close(code=code, message=words.encode())
    finally:
        await service.stop()


async def _listen(
    socket: web.WebSocketResponse, service: AppService, idle_seconds: float
) -> tuple[int, str]:
    """Pass on what the browser says until it goes, or is to go: with which code and words."""
    from aiohttp import WSMsgType

    while True:
        try:
            message = await socket.receive(timeout=idle_seconds)
        except TimeoutError:
            return 1000, IDLE
        if message.type in (WSMsgType.CLOSE, WSMsgType.CLOSING, WSMsgType.CLOSED, WSMsgType.ERROR):
            return 1000, ""
        try:
            if message.type is not WSMsgType.TEXT:
                raise ValueError("only texts are sent")
            back = await pass_on(message.data, service)
        except ValueError:
            return 1008, NOT_UNDERSTOOD  # 1008: policy violation, RFC 6455, 7.4.1
        if back is not None:
            await socket.send_str(back)


async def serve(
    served: Served, host: str, port: int, ready: Callable[[int], None], again: Callable[[], None]
) -> None:
    """Listen until the server is to end; ``ready`` gets the port once it listens.

    ``again`` is called for each Enter at the terminal. OSError when it cannot listen there.
    """
    from aiohttp import web

    runner = web.AppRunner(make_app(served), access_log=None, shutdown_timeout=6.0)
    await runner.setup()
    try:
        site = web.TCPSite(runner, host, port)
        await site.start()
        bound = runner.addresses[0][1]
        # Browsers tell no ports apart: two servers here must not take each other's.
        served.cookie = f"toolbox-{bound}"
        ready(bound)
        served.wait_alone()
        _listen_to_terminal(served, again)
        await served.ended.wait()
    finally:
        await runner.cleanup()


def _listen_to_terminal(served: Served, again: Callable[[], None]) -> None:
    loop = asyncio.get_running_loop()

    def heard() -> None:
        if sys.stdin.readline():
            again()
        else:
            loop.remove_reader(sys.stdin.fileno())  # nobody will type there any more

    # Where signals or the keyboard cannot be waited for (Windows), Ctrl-C ends all the same.
    with suppress(NotImplementedError):
        for number in (signal.SIGINT, signal.SIGTERM):
            loop.add_signal_handler(number, served.ended.set)
        if sys.stdin.isatty():
            loop.add_reader(sys.stdin.fileno(), heard)


def names_known(listen: str, more: Iterable[str]) -> tuple[str, ...]:
    """The names by which this machine may be asked when it listens at an address."""
    own = LOOPBACK if is_loopback(listen) else (listen, *LOOPBACK)
    return (*own, *more)
