"""Automatic copies of a kit: one a day, the old ones thinned out by days, weeks and months."""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path

from toolbox.desk.backup import Copy, copies_in, make_copy, newest_good
from toolbox.desk.backup_home import copies_of, copy_due, daily_copy
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import JOURNAL
from toolbox.files.problems import KitFaults
from toolbox.journal.copies import Against, against
from toolbox.journal.errors import JournalError

DAYS, WEEKS, MONTHS = 7, 4, 12


def keep_daily(kit: Path, now: datetime) -> str:
    """Make the copy of this day unless it is there; words when the kit is damaged, else "".

    That no copy can be made, for want of room or leave, is no reason to stop the work and is
    told by the doctor.
    """
    if not copy_due(kit, now):
        return ""
    try:
        newest = newest_good(copies_in(copies_of(kit)))
        if changed := changed_since(newest, beside_copy(kit, newest)):
            return f"{changed}. No copy was made today; see what to do with: toolbox doctor"
        made = make_copy(kit, daily_copy(kit, now), now)
        thin_out(made.path.parent)
    except JournalError as error:
        return str(error)
    except (OSError, DeskError, KitFaults):
        # another window may have made it at the same time, too
        return ""
    return ""


def beside_copy(kit: Path, newest: Copy | None) -> Against:
    """The kit's journal held against its newest good copy, None for none; JournalError.

    Facts of the copy are missing where an older one was put back on purpose, too.
    """
    if newest is None or not newest.facts or not (kit / JOURNAL).exists():
        return Against((), ())
    return against(kit / JOURNAL, newest.kit / JOURNAL)


def changed_since(newest: Copy | None, found: Against) -> str:
    """What in the journal is no longer as the newest good copy has it; "" when all is.

    Facts never change, so whatever changed did so by damage.
    """
    many = len(found.changed)
    if newest is None or not many:
        return ""
    said = f"{many} fact{'s say' if many > 1 else ' says'}"
    return f"{said} something else than in the copy of {newest.made:%Y-%m-%d}"


def thin_out(home: Path) -> None:
    """Take out the automatic copies that are no longer kept."""
    days = {}
    for path in home.iterdir():
        with suppress(ValueError):
            days[date.fromisoformat(path.name)] = path
    for day in days.keys() - set(kept(days)):
        shutil.rmtree(days[day], ignore_errors=True)


def kept(days: Iterable[date]) -> tuple[date, ...]:
    """Of the days with a copy those whose copy is kept, the newest first.

    The last 7 days, the last day of each of the last 4 weeks, that of the last 12 months;
    counted by the copies there are, so that a clock set wrong takes none away by itself.
    """
    ordered = sorted(set(days), reverse=True)
    weeks: dict[tuple[int, int], date] = {}
    months: dict[tuple[int, int], date] = {}
    for day in ordered:
        weeks.setdefault(day.isocalendar()[:2], day)
        months.setdefault((day.year, day.month), day)
    chosen = {*ordered[:DAYS], *list(weeks.values())[:WEEKS], *list(months.values())[:MONTHS]}
    return tuple(day for day in ordered if day in chosen)
