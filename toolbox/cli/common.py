"""What commands share: finding the kit, the day, asking which of several is meant."""

from __future__ import annotations

import getpass
import os
import sys
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

import click

from toolbox.cli.words import clean
from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.folder import KitFolder, find_kit, open_kit

if TYPE_CHECKING:
    from toolbox.kit.kit import Kit

Command = TypeVar("Command", bound=Callable[..., Any])

kit_option = click.option(
    "--kit",
    "kit_path",
    type=click.Path(path_type=Path),
    envvar="TOOLBOX_KIT",
    help="The kit folder. Default: TOOLBOX_KIT, else here or the nearest folder above.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON for programs.")
today_option = click.option(
    "--today",
    metavar="DATE",
    help="Look at the journal as of this day (2026-11-20). Default: the real day.",
)


def kit_folder(kit_path: Path | None) -> KitFolder:
    """Open the kit that was named, or the one here or above."""
    return open_kit(find_kit(kit_path or Path.cwd()))


def day(text: str | None) -> date:
    """The day named, or the real one; DeskError when it is no date."""
    if text is None:
        return now().date()
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise DeskError(f'"{text}" is no date; write it like 2026-11-20') from error


def now() -> datetime:
    """This moment in the machine's own zone: the one place where the clock is read."""
    return datetime.now().astimezone()


def moment(text: str | None) -> datetime:
    """The moment named ("2026-11-20 14:30", "14:30" for today), or now."""
    if text is None:
        return now()
    try:
        if len(text) <= 5 and ":" in text:
            hour, minute = text.split(":")
            return now().replace(hour=int(hour), minute=int(minute), second=0, microsecond=0)
        at = datetime.fromisoformat(text)
    except ValueError as error:
        raise DeskError(
            f'"{text}" is no time; write it like "2026-11-20 14:30", or "14:30" for today'
        ) from error
    return at if at.tzinfo else at.astimezone()


def author(text: str | None) -> str:
    """Who writes: the name given, TOOLBOX_AUTHOR, or the login name."""
    if text or os.environ.get("TOOLBOX_AUTHOR"):
        return clean(text or os.environ["TOOLBOX_AUTHOR"])
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # no login name: a container, a bare pit laptop
        return "unknown"


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


def meant(find: Callable[[Kit, str], _HasId], kit: Kit, letters: str) -> str:
    """The id of what is meant, asking at the terminal when letters mean several things."""
    try:
        return find(kit, letters).id
    except UnclearName as unclear:
        if not (sys.stdin.isatty() and sys.stderr.isatty()):
            raise
        click.echo(f'"{letters}" could be any of these {unclear.kind}s:', err=True)
        for number, choice in enumerate(unclear.choices, 1):
            click.echo(f"  {number}  {clean(choice.name)} ({choice.id})", err=True)
        wanted = click.prompt("Which one", type=click.IntRange(1, len(unclear.choices)), err=True)
        return unclear.choices[wanted - 1].id
