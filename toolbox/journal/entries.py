"""Entries: what was acknowledged in one go, told in short."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from toolbox.journal.live import live_entries
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone
from toolbox.kit.work import Draw, Pick


@dataclass(frozen=True, slots=True)
class Stored:
    """A fact as it lies in the file: ``written`` is when the entry was typed in."""

    fact: Fact
    written: datetime


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry in short, enough for one line of a list.

    ``jobs`` are the jobs worked on, each once, in order; ``steps`` counts steps
    done; ``picks`` counts tools taken up in those steps; ``loose`` and ``used`` are
    the picks and draws outside any job; ``takes_back`` is the entry this one
    undoes, None for ordinary entries. ``live`` is False once it was undone.
    """

    id: str
    clock: int
    at: datetime
    written: datetime
    author: str
    live: bool
    jobs: tuple[str, ...]
    steps: int
    picks: int
    loose: tuple[Pick, ...]
    used: tuple[Draw, ...]
    takes_back: str | None


def entries_of(stored: Iterable[Stored]) -> tuple[Entry, ...]:
    """The entries behind stored facts, newest first (by order of writing)."""
    in_order = sorted(stored, key=lambda one: one.fact.clock)
    standing = live_entries(one.fact for one in in_order)
    grouped = groupby(in_order, key=lambda one: one.fact.entry)
    entries = [_entry(tuple(group), entry in standing) for entry, group in grouped]
    return tuple(reversed(entries))


def _entry(stored: tuple[Stored, ...], live: bool) -> Entry:
    first = stored[0].fact
    whats = [one.fact.what for one in stored]
    steps = [what for what in whats if isinstance(what, StepDone)]
    undone = [what.entry for what in whats if isinstance(what, Undone)]
    return Entry(
        id=first.entry,
        clock=first.clock,
        at=first.at,
        written=stored[0].written,
        author=first.author,
        live=live,
        jobs=tuple(dict.fromkeys(step.job for step in steps)),
        steps=len(steps),
        picks=sum(pick.times for step in steps for pick in step.picks),
        loose=tuple(Pick(what.tool, what.times) for what in whats if isinstance(what, LoosePick)),
        used=tuple(
            Draw(what.supply, what.amount) for what in whats if isinstance(what, SupplyUsed)
        ),
        takes_back=undone[0] if undone else None,
    )
