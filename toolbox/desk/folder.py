"""A kit folder opened: the kit as described, and what its journal says happened."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from toolbox.desk.errors import DeskError

if TYPE_CHECKING:
    from toolbox.kit.facts import Fact
    from toolbox.kit.kit import Kit
    from toolbox.usage.counts import Tally

KIT_FILE = "kit.toml"
JOURNAL = "journal.db"


@dataclass(frozen=True)
class KitFolder:
    """A kit folder and the kit in it; the journal is read when first asked for.

    ``known`` are facts read from this journal before; only newer ones are fetched.
    """

    path: Path
    kit: Kit
    known: tuple[Fact, ...] = field(default=(), repr=False, compare=False)
    worked_out: WorkedOut | None = field(default=None, repr=False, compare=False)

    def again(self, kit: Kit) -> KitFolder:
        """The same folder looked at again: what is known of its journal is gone on from."""
        return KitFolder(self.path, kit, self.facts, WorkedOut(self.facts, self.live, self.tally))

    @property
    def journal(self) -> Path:
        """Where the journal is or would be."""
        return self.path / JOURNAL

    @cached_property
    def facts(self) -> tuple[Fact, ...]:
        """Every fact of the journal in the order of writing, undone ones among them."""
        from toolbox.journal.store import read_facts

        return read_facts(self.journal, self.known)

    @cached_property
    def live(self) -> tuple[Fact, ...]:
        """The facts that count: those whose entry has not been undone."""
        from toolbox.journal.live import live_facts
        from toolbox.kit.facts import Undone

        before = self.worked_out
        if before is not None and self.facts[: len(before.facts)] == before.facts:
            newer = self.facts[len(before.facts) :]
            # What is new stands unless it is taken back, which only an undo written since does.
            if not any(isinstance(fact.what, Undone) for fact in newer):
                return before.live + newer
        return live_facts(self.facts)

    @cached_property
    def tally(self) -> Tally:
        """What was logged in whole numbers by day; only what has changed is counted anew."""
        from toolbox.usage.counts import Tally, known_ids

        known = known_ids(self.kit.jobs, self.kit.tools, self.kit.supplies)
        before = self.worked_out
        if before is None or before.tally.known != known:
            return Tally(known).changed(self.live)
        return before.tally.changed(*_changes(before.live, self.live))

    def day(self, now: datetime) -> date:
        """The day it is: that of the clock, or a later one on which something has happened.

        What somebody further east wrote after their midnight is of tomorrow where it is
        still today; it has happened all the same, and must count.
        """
        begun = (day for day, first in self._days.items() if first <= now)
        return max(now.date(), max(begun, default=date.min))

    @cached_property
    def _days(self) -> dict[date, datetime]:
        """Each day on which something happened, with the first moment of it."""
        days: dict[date, datetime] = {}
        for fact in self.live:
            day = fact.at.date()
            if day not in days or fact.at < days[day]:
                days[day] = fact.at
        return days


@dataclass(frozen=True)
class WorkedOut:
    """What was worked out of a journal before: its facts, those that count, their tally."""

    facts: tuple[Fact, ...]
    live: tuple[Fact, ...]
    tally: Tally


def _changes(
    before: tuple[Fact, ...], now: tuple[Fact, ...]
) -> tuple[Sequence[Fact], Sequence[Fact]]:
    """The facts that count now and did not before, and those that count no more."""
    if now[: len(before)] == before:
        return now[len(before) :], ()
    ids, more = {fact.id for fact in before}, {fact.id for fact in now}
    return (
        [fact for fact in now if fact.id not in ids],
        [fact for fact in before if fact.id not in more],
    )


def find_kit(start: Path) -> Path:
    """The kit folder at ``start`` or the nearest one above it.

    Raises DeskError when there is none, saying how to make one.
    """
    for folder in (start, *start.resolve().parents):
        if (folder / KIT_FILE).is_file():
            return folder
    raise DeskError(
        f"no kit in {start} or above it (a kit folder holds {KIT_FILE}). "
        'Make one with "toolbox new DIR --box clamshell", or name one with --kit DIR'
    )


def names_here(start: Path, kind: str) -> tuple[tuple[str, str], ...]:
    """Ids and names of a kind of thing in the kit at ``start`` or above it, nothing checked.

    For a shell that waits; see ``files/quick_names``. DeskError when there is no kit.
    """
    from toolbox.files.quick_names import quick_names

    return quick_names(find_kit(start), kind)


def open_kit(path: Path) -> KitFolder:
    """Read the kit in this folder; KitFaults names every fault of every file at once."""
    # Readers load with the first kit: finding one is done before the screens' first frame.
    from toolbox.files.reading import read_kit

    return KitFolder(path, read_kit(path))


def names_of(kit: Kit) -> dict[str, str]:
    """Id -> name for all tools, supplies, jobs, compartments and openings of the kit."""
    things: Iterable[tuple[str, str]] = (
        (thing.id, thing.name)
        for group in (
            kit.tools,
            kit.supplies,
            kit.jobs,
            kit.box.compartments,
            kit.box.openings,
        )
        for thing in group
    )
    return dict(things)


def name_of_copy(kit: Kit, copy: str) -> str:
    """What people call a copy: the tool's name, with "no. 2" behind a second one."""
    base, _, number = copy.partition("/")
    for group in (kit.tools, kit.supplies):
        for thing in group:
            if thing.id == base:
                return f"{thing.name}, no. {number}" if number else thing.name
    return copy
