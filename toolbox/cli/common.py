"""What commands share: finding the kit, the day, asking which of several is meant."""

from __future__ import annotations

import getpass
import os
import sys
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

import click

from toolbox.cli.words import clean, remark
from toolbox.desk.backup_home import copy_due
from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.folder import KitFolder, find_kit, open_kit

if TYPE_CHECKING:
    from toolbox.kit.kit import Kit

Command = TypeVar("Command", bound=Callable[..., Any])

LAST_YEAR = 9899
"""The last year that may be named: days are counted on from it, and the calendar ends in 9999."""

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
    """Open the kit that was named, or the one here or above.

    The first time of a day it is copied; what that finds damaged is said beside the answer.
    """
    folder = open_kit(find_kit(kit_path or Path.cwd()))
    if copy_due(folder.path, now()):
        from toolbox.desk.backup_daily import keep_daily

        if wrong := keep_daily(folder.path, now()):
            remark(f"toolbox: {clean(wrong)}")
    return folder


def day(text: str | None) -> date:
    """The day named, or the real one; DeskError when it is no date."""
    if text is None:
        return now().date()
    try:
        found = date.fromisoformat(text)
    except ValueError as error:
        raise DeskError(f'"{text}" is no date; write it like 2026-11-20') from error
    if found.year > LAST_YEAR:
        raise DeskError(f"{text} is beyond all that can be reckoned; the last year is {LAST_YEAR}")
    return found


def looked_at(folder: KitFolder, text: str | None) -> date:
    """The day on which a kit is looked at: the one named, or the one it is for the kit."""
    return folder.day(now()) if text is None else day(text)


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
            return _earlier_today(int(hour), int(minute))
        at = datetime.fromisoformat(text)
    except ValueError as error:
        raise DeskError(
            f'"{text}" is no time; write it like "2026-11-20 14:30", or "14:30" for today'
        ) from error
    at = at if at.tzinfo else at.astimezone()
    if at > now():
        raise DeskError(f"{text} is still to come; what is written down has happened")
    return at


def _earlier_today(hour: int, minute: int) -> datetime:
    """That time of today on the clock here, the later one where it was there twice.

    DeskError when it is still to come: after midnight the evening before is not today.
    """
    this = now()
    wall = this.replace(tzinfo=None, hour=hour, minute=minute, second=0, microsecond=0)
    # An offset of its own for each: the clock may have been put on or back since.
    passed = [at for fold in (1, 0) if (at := wall.replace(fold=fold).astimezone()) <= this]
    if not passed:
        day_before = wall - timedelta(days=1)
        raise DeskError(
            f"{wall:%H:%M} is still to come today; if it was the day before, "
            f'write "{day_before:%Y-%m-%d %H:%M}"'
        )
    return passed[0]


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
