"""The gate and the server behind it: who is let in, what is started, when it ends.

Close codes: RFC 6455, section 7.4, and IANA's registry of WebSocket close codes [memory].
Cookie attributes: RFC 6265 and its successor's SameSite [memory]. Sequences of keys are held
against Textual's own table, the QR symbol against a reader of another library.
"""

from __future__ import annotations

import asyncio
import json
import sys
from pathlib import Path

import pytest

from toolbox.serve.gate import FOREIGN, NO_SUCH_NAME, NOT_KNOWN, Gate, Knock, host_name
from toolbox.serve.keys import _NAMED, sequence
from toolbox.serve.words import code_lines

PATHS = (
    "/",
    "/?token=",
    "/?token=guessed",
    "/ws",
    "/files/textual.js",
    "/files/",
    "/static/",
    "/x",
)


async def test_nothing_is_given_without_leave(serving) -> None:
    """Without a token or with a wrong one every address is 403, unknown ones and files too."""
    async with serving() as at:
        at.served.gate.new_token()
        for path in PATHS:
            answer = await at.get(path, Origin=f"http://{at.host}")
            assert (answer.status, await answer.text()) == (403, NOT_KNOWN + "\n"), path
            assert "Set-Cookie" not in answer.headers
        wrong = await at.get(Cookie=f"{at.served.cookie}=guessed")
        assert wrong.status == 403
        # the token counts for the first page alone
        token = at.served.gate.new_token()
        assert (await at.get(f"/ws?token={token}", Origin=f"http://{at.host}")).status == 403
        assert not at.told


async def test_an_address_works_once(serving) -> None:
    """The right token gives the page and a cookie that no script and no other site gets."""
    async with serving() as at:
        void, token = at.served.gate.new_token(), at.served.gate.new_token()
        assert (await at.get(f"/?token={void}")).status == 403
        # asking for the head of an address, as some readers of codes do, does not use it up
        head = await at.client.head(f"/?token={token}")
        assert head.status == 403
        answer = await at.get(f"/?token={token}")
        assert answer.status == 200
        cookie = answer.cookies[at.served.cookie]
        assert cookie["httponly"]
        assert (cookie["samesite"], cookie["path"]) == ("Strict", "/")
        assert cookie["max-age"] == cookie["expires"] == cookie["domain"] == ""
        assert token not in cookie.value
        assert (await at.get(f"/?token={token}")).status == 403
        known = {"Cookie": f"{at.served.cookie}={cookie.value}"}
        assert (await at.get("/", **known)).status == 200
        assert (await at.get("/files/textual.js", **known)).status == 200
        assert len(at.told) == 1


async def test_no_foreign_name_and_no_foreign_site(serving) -> None:
    """Even with the cookie: a name that is not this machine's, or another site, is 403."""
    async with serving() as at:
        known = await at.let_in()
        for host in (
            "evil.example",
            f"evil.example:{at.client.port}",
            "127.0.0.1.evil.example",
            "localhost@evil.example",
            "[evil]:80",
            "localhost:80:80",
            "192.168.8.20",
        ):
            answer = await at.get("/", Host=host, **known)
            assert (answer.status, await answer.text()) == (403, NO_SUCH_NAME + "\n"), host
        for origin in (
            "http://evil.example",
            "null",
            f"https://{at.host}",
            "http://127.0.0.1",
            "http://localhost:1",
            f"http://{at.host}.evil.example",
        ):
            for path in ("/", "/ws"):
                answer = await at.get(path, Origin=origin, **known)
                assert (answer.status, await answer.text()) == (403, FOREIGN + "\n"), origin
        # what does not say who opens a live connection gets none
        assert (await at.get("/ws", **known)).status == 403
        for host in (f"localhost:{at.client.port}", "localhost:9000", "PITBOX.local", "[::1]:80"):
            assert (await at.get("/", Host=host, **known)).status == 200, host


async def test_files_are_those_of_the_page_and_nothing_is_listed(serving) -> None:
    """No listing, no other file, no way out of the folder; the page asks for nothing elsewhere."""
    async with serving() as at:
        known = await at.let_in()
        for path in (
            "/files/",
            "/files",
            "/static/",
            "/static/js/textual.js",
            "/download/x",
            "/files/..%2Fserver.py",
            "/files/page.py",
            "/files/%2e%2e/page.py",
        ):
            assert (await at.get(path, **known)).status == 404, path
        answer = await at.get("/", **known)
        page = await answer.text()
        assert "&lt;b&gt;&quot;A&quot; &amp; B&lt;/b&gt;" in page
        assert "Odd" not in page  # no terminal sends that key
        assert page.count("//") == 1  # of the address of the live connection
        assert f"ws://{at.host}/ws" in page
        for name in ("page.js", "page.css"):
            ours = await (await at.get(f"/files/{name}", **known)).text()
            assert ours
            assert "http:" not in ours
            assert "https:" not in ours
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
        assert answer.headers["X-Frame-Options"] == "DENY"
        assert answer.headers["Referrer-Policy"] == "no-referrer"


async def test_the_browser_has_no_word_in_what_is_started(serving, tmp_path, monkeypatch) -> None:
    """The command is started as its words, no shell reads them; sizes are bounded."""
    monkeypatch.chdir(tmp_path)
    async with serving() as at:
        known = await at.let_in()
        socket = await at.client.ws_connect(
            "/ws?width=99999999999&height=x&command=id",
            headers={"Origin": f"http://{at.host}", **known},
        )
        assert await socket.receive_bytes() == b"began $(touch owned) ; exit 400"
        await socket.send_str(json.dumps(["resize", {"width": -5, "height": 10**9}]))
        said = json.loads((await socket.receive_bytes()).removeprefix(b"told "))
        assert said == {"type": "resize", "width": 20, "height": 200}
        await socket.send_str(json.dumps(["stdin", "\x1b[A"]))
        assert await socket.receive_bytes() == b"\x1b[A"
        await socket.send_str(json.dumps(["command", "id"]))
        await socket.send_str(json.dumps(["ping", "1"]))
        assert await socket.receive_str() == '["pong", "1"]'
        await socket.close()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("said", ["", "{", "[]", "7", '["resize", 3]', '["resize"]', "[" * 5000])
async def test_what_is_no_message_of_the_page_ends_the_session(serving, said: str) -> None:
    """It is closed by code 1008, policy violation; the server goes on."""
    async with serving() as at:
        headers = {"Origin": f"http://{at.host}", **await at.let_in()}
        socket = await at.live(**headers)
        await socket.receive_bytes()
        await socket.send_str(said)
        closed = await socket.receive()
        assert (closed.data, "not of this page" in closed.extra) == (1008, True)
        await (await at.live(**headers)).close()


async def test_no_more_sessions_than_may_be(serving) -> None:
    """One more is told so by code 1013; when one is closed another may come."""
    async with serving(most=1) as at:
        headers = {"Origin": f"http://{at.host}", **await at.let_in()}
        first = await at.live(**headers)
        await first.receive_bytes()
        more = await at.live(**headers)
        closed = await more.receive()
        assert closed.data == 1013
        assert "Close one" in closed.extra
        await first.close()

        async def come_again() -> bytes:
            while True:  # the one before takes a moment to be gone
                said = await (await at.live(**headers)).receive()
                if isinstance(said.data, bytes):
                    return said.data

        assert (await asyncio.wait_for(come_again(), 20)).startswith(b"began")


async def test_it_ends_when_nothing_comes(serving) -> None:
    """A session that says nothing is closed in words; the server ends when it is alone."""
    async with serving(idle_seconds=0.3, alone_seconds=0.01) as at:
        socket = await at.live(Origin=f"http://{at.host}", **await at.let_in())
        await socket.receive_bytes()
        assert not at.served.ended.is_set()
        closed = await socket.receive()
        assert closed.data == 1000
        assert "nothing was touched" in closed.extra
        await asyncio.wait_for(at.served.ended.wait(), 20)


async def test_screens_that_break_off_close_their_session(serving) -> None:
    """The process is gone without a goodbye: the browser is not left waiting."""
    async with serving() as at:
        socket = await at.live(Origin=f"http://{at.host}", **await at.let_in())
        await socket.receive_bytes()
        await socket.send_str('["stdin", "die"]')
        assert (await socket.receive()).data == 1000


def test_what_the_gate_keeps_lets_nobody_in() -> None:
    """It keeps digests: neither token nor cookie stands anywhere in it."""
    made = iter(("token-one", "cookie-one"))
    gate = Gate(["localhost"], lambda: next(made))
    assert gate.new_token() == "token-one"
    assert gate.answer(Knock("localhost", token="token-one")).cookie == "cookie-one"
    kept = repr(vars(gate))
    assert "token-one" not in kept
    assert "cookie-one" not in kept
    assert not gate.answer(Knock("localhost", cookie="cookie-one")).refused
    assert gate.answer(Knock("localhost", token="token-one")).refused == NOT_KNOWN
    assert gate.answer(Knock(None, cookie="cookie-one")).refused == NO_SUCH_NAME


@pytest.mark.parametrize(
    ("header", "name"),
    [
        ("Pit.local", "pit.local"),
        ("a:80", "a"),
        ("[::1]", "::1"),
        ("[::1]:80", "::1"),
        ("::1", ""),
        ("[a]", ""),
        ("a:b", ""),
        ("", ""),
        (":80", ""),
    ],
)
def test_names_in_host_headers(header: str, name: str) -> None:
    """As RFC 9112 writes them, 3.2: a name or an address in brackets, perhaps a port [memory]."""
    assert host_name(header) == name


def test_keys_are_those_that_the_screens_understand() -> None:
    """Each sequence means that key in Textual's table of what terminals send."""
    from textual._ansi_sequences import ANSI_SEQUENCES_KEYS

    for name, sent in _NAMED.items():
        if name not in ("escape", "space"):
            meant = {str(key.value) for key in ANSI_SEQUENCES_KEYS[sent]}
            assert name in meant, name
    assert (sequence("ctrl+p"), sequence("x"), sequence("no_such")) == ("\x10", "x", None)


def test_the_code_in_the_terminal_is_read_by_a_reader() -> None:
    """zxing-cpp reads the address from the half blocks as they are drawn, dark on light."""
    zxingcpp = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    numpy = pytest.importorskip("numpy", reason="numpy is not installed")
    address = "http://192.168.8.20:8317/?token=" + "aB3_" * 11
    rows: list[list[int]] = []
    for line in code_lines(address):
        signs = line.removeprefix("\x1b[30;107m").removesuffix("\x1b[0m")
        rows.append([0 if sign in "\u2580\u2588" else 255 for sign in signs])
        rows.append([0 if sign in "\u2584\u2588" else 255 for sign in signs])
    image = numpy.kron(numpy.array(rows, dtype=numpy.uint8), numpy.ones((4, 4), numpy.uint8))
    assert [code.text for code in zxingcpp.read_barcodes(image)] == [address]
    assert max(len(line) for line in code_lines(address)) <= 80


def test_the_process_is_started_without_a_shell() -> None:
    """No module of the package names a way to start one, and the words are a tuple of ours."""
    from toolbox.cli.serve import _screens

    argv = _screens(Path("/a b; $(id)"), True, "sun", "2026-11-20")
    assert argv[:6] == (sys.executable, "-m", "toolbox", "screens", "--kit", "/a b; $(id)")
    for path in Path(__file__).parents[2].joinpath("toolbox", "serve").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert "subprocess_shell" not in text
        assert "shell=True" not in text
