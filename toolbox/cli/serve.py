"""The command serve: the screens in a browser, for a phone or tablet in the pits."""

from __future__ import annotations

import asyncio
import os
import sys
from dataclasses import dataclass
from importlib.util import find_spec
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING

import click

from toolbox.cli.common import day, kit_option, today_option
from toolbox.cli.screens import THEMES, place_keys
from toolbox.cli.words import clean, paragraph, say
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import find_kit

if TYPE_CHECKING:
    from toolbox.serve.server import Served

PORT = 8317
NEEDED = 'the screens in a browser need textual-serve: install toolbox with its extra "serve"'


@dataclass(frozen=True, slots=True)
class Where:
    """Where to listen, and by which name the address goes."""

    listen: str
    port: int
    known_as: tuple[str, ...]
    look_only: bool


@click.command()
@click.option("--look-only", is_flag=True, help="Show all, write nothing: refuse every change.")
@click.option(
    "--listen",
    metavar="ADDRESS",
    default="127.0.0.1",
    help="One address of this machine. Default: 127.0.0.1, which no other machine reaches.",
)
@click.option(
    "--open-to-network",
    is_flag=True,
    help="Say that --listen at another address is meant: plain http, others can read along.",
)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=PORT,
    help=f"The port; 0 for any that is free. Default: {PORT}.",
)
@click.option(
    "--known-as",
    metavar="NAME",
    multiple=True,
    help="A name that this machine goes by as well, such as pitbox.local.",
)
@click.option(
    "--most", type=click.IntRange(1, 20), default=3, help="Screens open at once. Default: 3."
)
@click.option(
    "--idle",
    type=click.FloatRange(0.01, 1440),
    default=15.0,
    metavar="MINUTES",
    help="Close screens untouched for so long; end after twice that with none. Default: 15.",
)
@click.option("--theme", type=click.Choice(THEMES), help="Colours for this time.")
@today_option
@kit_option
def serve(
    look_only: bool,
    listen: str,
    open_to_network: bool,
    port: int,
    known_as: tuple[str, ...],
    most: int,
    idle: float,
    theme: str | None,
    today: str | None,
    kit_path: Path | None,
) -> None:
    """Show the screens in a browser: on a phone or tablet, by an address that works once."""
    if find_spec("textual_serve") is None:
        raise DeskError(NEEDED)
    from toolbox.serve.gate import Gate
    from toolbox.serve.page import Page
    from toolbox.serve.server import Limits, Served, names_known

    address = _address(listen, port, open_to_network)
    kit = find_kit(kit_path or Path.cwd()).resolve()
    if today is not None:
        day(today)
    served = Served(
        _screens(kit, look_only, theme, today),
        Gate(names_known(address, known_as)),
        Page(f"toolbox: {clean(kit.name)}", place_keys()),
        Limits(most, idle * 60, idle * 120),
        tell=say,
    )
    _listen(served, Where(address, port, known_as, look_only))


def _address(listen: str, port: int, meant: bool) -> str:
    """The address to listen at. DeskError where it is none, every one, or not surely meant."""
    from toolbox.serve.gate import is_loopback
    from toolbox.serve.words import network_warning

    if listen == "localhost":
        return "127.0.0.1"
    try:
        address = ip_address(listen)
    except ValueError as error:
        raise DeskError(
            f'"{clean(listen)}" is no address; write one of this machine like 192.168.8.20. '
            "Names go behind --known-as"
        ) from error
    if address.is_unspecified or address.is_multicast:
        raise DeskError(
            f"{address} means no one network: name the one address that this machine has on yours"
        )
    if not is_loopback(listen) and not meant:
        raise DeskError(
            f"{network_warning(str(address), port)} If you mean it, add --open-to-network"
        )
    return str(address)


def _screens(kit: Path, look_only: bool, theme: str | None, today: str | None) -> tuple[str, ...]:
    """The one command that is ever started: words of ours, never a line for a shell."""
    return (
        *(sys.executable, "-m", "toolbox", "screens", "--kit", str(kit)),
        *(("--look-only",) if look_only else ()),
        *(("--theme", theme) if theme is not None else ()),
        *(("--today", today) if today is not None else ()),
    )


class _Terminal:
    """The terminal that the server runs in: it shows one address after the other."""

    def __init__(self, served: Served, where: Where) -> None:
        self._served, self._where = served, where
        self._port = where.port

    def begin(self, port: int) -> None:
        """It listens: say where, and what to mind."""
        from toolbox.serve.words import about

        self._port = port
        self.show_address()
        for words in about(self._where.listen, port, look_only=self._where.look_only):
            say(paragraph(words))

    def show_address(self) -> None:
        """A new address for one more browser, as a code where the terminal can show one."""
        from toolbox.serve.words import code_lines, first_address

        names = self._where.known_as or (self._where.listen,)
        address = first_address(names[0], self._port, self._served.gate.new_token())
        for line in code_lines(address) if _shows_codes() else ():
            say(line)
        say(address)


def _shows_codes() -> bool:
    """Whether a code would look as it must: dark squares on light ones, whatever the colours."""
    dull = "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
    return sys.stdout.isatty() and not dull and (sys.stdout.encoding or "").lower() == "utf-8"


def _listen(served: Served, where: Where) -> None:
    from toolbox.serve.server import serve as listen

    terminal = _Terminal(served, where)
    try:
        asyncio.run(listen(served, where.listen, where.port, terminal.begin, terminal.show_address))
    except OSError as error:
        raise DeskError(
            f"cannot listen at {where.listen}, port {where.port}: {error.strerror or error}. "
            "Does it run already? --port names another one"
        ) from error
    say("The server has ended.")
