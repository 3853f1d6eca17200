"""What a list would change in a kit: new entries, changes key by key, the same, the missing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any, NamedTuple

from toolbox.intake.reading import ListKind, Question, Refusal
from toolbox.kit.things import Supply, Tool
from toolbox.kit.work import Job

Thing = Tool | Supply | Job


class State(Enum):
    """How an entry of a list stands beside the kit."""

    NEW = "new"
    CHANGED = "changed"
    SAME = "same"


class Change(NamedTuple):
    """One key of an entry that list and kit say differently, both in words ("" for nothing)."""

    key: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a difference: ``thing`` as the list would have it, ``known`` as the kit has it.

    ``line`` is where it begins in the list.
    """

    line: int
    thing: Thing
    known: Thing | None = None
    changes: tuple[Change, ...] = ()

    @property
    def id(self) -> str:
        """The id of the entry."""
        return self.thing.id

    @property
    def state(self) -> State:
        """New, changed or the same."""
        if self.known is None:
            return State.NEW
        return State.CHANGED if self.changes else State.SAME

    def only(self, keys: Iterable[str]) -> Entry:
        """The same entry with no other keys changed than these; a new one stays whole."""
        if self.known is None:
            return self
        wanted = set(keys)
        taken = tuple(change for change in self.changes if change.key in wanted)
        fields: dict[str, Any] = {c.key: getattr(self.thing, c.key) for c in taken}
        thing: Thing = replace(self.known, **fields)
        return Entry(self.line, thing, self.known, taken)


@dataclass(frozen=True, slots=True)
class Difference:
    """A reading held against a kit. Lines that wait for an answer are not among the entries.

    ``missing`` are ids of the kit that the list does not name: they stay as they are.
    ``refusals`` and ``questions`` are those of the reading and those that the kit brings up.
    """

    kind: ListKind
    entries: tuple[Entry, ...] = ()
    missing: tuple[str, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    questions: tuple[Question, ...] = ()
    notes: tuple[str, ...] = ()

    def of(self, state: State) -> tuple[Entry, ...]:
        """The entries that stand so."""
        return tuple(entry for entry in self.entries if entry.state is state)

    @property
    def tools(self) -> tuple[Tool, ...]:
        """The new tools."""
        return tuple(e.thing for e in self.of(State.NEW) if isinstance(e.thing, Tool))

    @property
    def supplies(self) -> tuple[Supply, ...]:
        """The new supplies."""
        return tuple(e.thing for e in self.of(State.NEW) if isinstance(e.thing, Supply))

    @property
    def jobs(self) -> tuple[Job, ...]:
        """The new jobs."""
        return tuple(e.thing for e in self.of(State.NEW) if isinstance(e.thing, Job))
