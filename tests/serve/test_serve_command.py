"""The command serve: what it refuses to listen at, and the real screens behind a real socket."""

from __future__ import annotations

import asyncio
import os
import socket
import sys
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from clikit import write_kit_files

from toolbox.cli.serve import serve
from toolbox.desk.errors import DeskError
from toolbox.serve.server import names_known
from toolbox.serve.words import about, first_address
from toolbox.tui.app import ToolboxApp
from toolbox.tui.menu import Menu
from toolbox.tui.screens.help import Help
from toolbox.tui.snapshot import screen_text


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    """The small kit of the command tests."""
    pytest.importorskip("textual_serve", reason="the extra serve is not installed")
    return write_kit_files(tmp_path / "kit")


def asked(kit: Path, *words: str) -> Result:
    """The command with these words, in this process."""
    return CliRunner().invoke(serve, [*words, "--kit", str(kit)])


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--listen", "192.0.2.7"), "plain http"),
        (("--listen", "192.0.2.7"), "ssh -L 8317:127.0.0.1:8317"),
        (("--listen", "192.0.2.7"), "--open-to-network"),
        (("--listen", "0.0.0.0", "--open-to-network"), "name the one address"),
        (("--listen", "::", "--open-to-network"), "name the one address"),
        (("--listen", "pitbox.local", "--open-to-network"), "is no address"),
        (("--today", "soon"), "is no date"),
        # 192.0.2.0/24 is set apart for documents (RFC 5737): no machine has it.
        (("--listen", "192.0.2.7", "--open-to-network"), "cannot listen at 192.0.2.7"),
    ],
)
def test_what_it_does_not_listen_at(kit: Path, words: tuple[str, ...], why: str) -> None:
    """Refused with the reason and what to do, before anything is started."""
    done = asked(kit, *words)
    assert isinstance(done.exception, DeskError)
    assert why in str(done.exception)
    assert done.output == ""


def test_a_port_that_is_taken_is_told(kit: Path) -> None:
    """With the option that names another."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        done = asked(kit, "--port", str(taken.getsockname()[1]))
    assert isinstance(done.exception, DeskError)
    assert "--port names another one" in str(done.exception)


def test_on_a_network_it_warns_and_knows_no_other_name() -> None:
    """The warning stands below the address; on this machine alone the tunnel does."""
    near, far = (
        " ".join(about("127.0.0.1", 8317, look_only=True)),
        about("192.0.2.7", 1, look_only=0),
    )
    assert "WARNING" not in near
    assert "only look" in near
    assert "ssh -L 8317:127.0.0.1:8317" in near
    assert far[-1].startswith("WARNING. At 192.0.2.7 everybody")
    assert "192.0.2.7" not in names_known("127.0.0.1", [])
    assert {"192.0.2.7", "a.local"} < set(names_known("192.0.2.7", ["a.local"]))
    assert first_address("2001:db8::1", 80, "t") == "http://[2001:db8::1]:80/?token=t"


async def test_the_real_screens_come_through(kit: Path) -> None:
    """From the command to the first frame and back: let in, drawn, left by q, ended."""
    import aiohttp

    process = await asyncio.create_subprocess_exec(
        *(sys.executable, "-u", "-m", "toolbox", "serve", "--kit", str(kit), "--port", "0"),
        stdout=asyncio.subprocess.PIPE,
        env={**os.environ, "TERM": "dumb"},  # of the server's terminal; the screens have a browser
    )
    assert process.stdout is not None
    try:
        address = (await asyncio.wait_for(process.stdout.readline(), 60)).decode().strip()
        base = address.partition("/?")[0]
        # a jar that keeps cookies of addresses in digits, as browsers do
        jar = aiohttp.CookieJar(unsafe=True)
        async with aiohttp.ClientSession(cookie_jar=jar) as client:
            assert (await client.get(base)).status == 403
            assert (await client.get(address)).status == 200
            async with client.ws_connect(f"{base}/ws", headers={"Origin": base}) as live:
                drawn = ""
                while "NOT READY" not in drawn:
                    drawn += (await live.receive_bytes(timeout=60)).decode()
                await live.send_str('["stdin", "q"]')
                async for _ in live:
                    pass
                assert live.close_code == 1000
    finally:
        process.terminate()
        assert await asyncio.wait_for(process.wait(), 30) == 0
    assert b"The server has ended." in await process.stdout.read()


async def test_the_line_of_keys_can_be_touched(kit: Path) -> None:
    """A click on a key does what the key does, on its label as well."""
    now = datetime(2026, 11, 21, 9, 0, tzinfo=UTC)
    app = ToolboxApp(kit, now=lambda: now, author="Tester", today=date(2026, 11, 20))
    async with app.run_test(size=(60, 20)) as pilot:
        line = screen_text(app).splitlines()[-1]
        await pilot.click("KeyLine", offset=(line.index("Help") + 2, 0))
        assert isinstance(app.screen, Help)
        await pilot.press("escape")
        await pilot.click("KeyLine", offset=(line.index("g Go to"), 0))
        assert isinstance(app.screen, Menu)
