"""A server of the tests' own, and a small program in the place of the screens."""

from __future__ import annotations

import sys
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

# The packets of Textual's driver for browsers: a kind, four bytes of length, the content.
# It draws back what it is told, and leaves when it is asked to.
ECHO = """
import json, os, sys
def draw(kind, data):
    os.write(1, kind + len(data).to_bytes(4, "big") + data)
os.write(1, b"__GANGLION__\\n")
draw(b"D", ("began " + " ".join(sys.argv[1:]) + " " + os.environ["COLUMNS"]).encode())
while head := sys.stdin.buffer.read(5):
    data = sys.stdin.buffer.read(int.from_bytes(head[1:], "big"))
    if head[:1] == b"D" and data == b"die":
        os._exit(1)
    if head[:1] == b"M":
        said = json.loads(data)
        if said["type"] == "quit":
            draw(b"M", json.dumps({"type": "exit"}).encode())
            break
        if said["type"] == "focus":
            continue
        data = b"told " + json.dumps(said, sort_keys=True).encode()
    draw(b"D", data)
"""
ARGV = (sys.executable, "-c", ECHO, "$(touch", "owned)", "; exit")


@dataclass
class At:
    """A server that listens: a client that keeps no cookies by itself, and what it may say."""

    client: Any
    served: Any
    told: list[str]

    @property
    def host(self) -> str:
        """What a browser calls it."""
        return f"127.0.0.1:{self.client.port}"

    async def get(self, path: str = "/", **headers: str) -> Any:
        """An answer to a request with these headers; "_" stands for "-" in their names."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return await self.client.get(path, headers=named, allow_redirects=False)

    async def let_in(self) -> dict[str, str]:
        """The headers of a browser that was let in."""
        token = self.served.gate.new_token()
        answer = await self.get(f"/?token={token}")
        assert answer.status == 200
        cookie = answer.cookies[self.served.cookie]
        return {"Cookie": f"{self.served.cookie}={cookie.value}"}

    async def live(self, **headers: str) -> Any:
        """A live connection."""
        return await self.client.ws_connect("/ws?width=77&height=30", headers=headers)


Serving = Callable[..., AbstractAsyncContextManager[At]]


@pytest.fixture
def serving() -> Serving:
    """Serve with these limits."""
    pytest.importorskip("textual_serve", reason="the extra serve is not installed")

    @asynccontextmanager
    async def listening(argv: tuple[str, ...] = ARGV, **limits: Any) -> AsyncIterator[At]:
        from aiohttp import DummyCookieJar
        from aiohttp.test_utils import TestClient, TestServer

        from toolbox.serve.gate import Gate
        from toolbox.serve.page import Page
        from toolbox.serve.server import Limits, Served, make_app, names_known

        told: list[str] = []
        gate = Gate(names_known("127.0.0.1", ["pitbox.local"]))
        page = Page('<b>"A" & B</b>', (("Ready", "f2"), ("Log", "f3"), ("Odd", "no_such_key")))
        served = Served(argv, gate, page, Limits(**limits), told.append)
        server = TestServer(make_app(served), host="127.0.0.1")
        async with TestClient(server, cookie_jar=DummyCookieJar()) as client:
            yield At(client, served, told)

    return listening


@pytest.fixture(scope="session")
def demo_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo kit, laid out once; nobody writes to it."""
    from toolbox.desk.setup import lay_out_demo

    return lay_out_demo(tmp_path_factory.mktemp("demo") / "demo").path
