"""Bikes that a missing thing could be in or on, and whether they may go out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from toolbox.desk.count_book import Book, Missing, alike
from toolbox.desk.names import fold
from toolbox.kit.counting import BikeReleased, Counted, Outcome
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed
from toolbox.kit.things import base_id


@dataclass(frozen=True, slots=True)
class UseOf:
    """One time a tool was taken up: the fact, and job and step ("" and 0 outside any job)."""

    fact: Fact
    job: str
    step: int
    bike: str

    @property
    def at(self) -> datetime:
        """When it was."""
        return self.fact.at


@dataclass(frozen=True, slots=True)
class Could:
    """A bike a missing thing could be in: when the thing was last used on it, if it was.

    ``released`` is the decision that it may go out all the same.
    """

    bike: str
    last: UseOf | None
    released: Fact | None


@dataclass(frozen=True, slots=True)
class Held:
    """A bike and what could be in it; ``released`` when there is a decision for all of it."""

    bike: str
    missing: tuple[Missing, ...]
    released: bool


@dataclass(frozen=True, slots=True)
class Work:
    """The logged work by when it was done: all facts with their bike, and the uses by tool."""

    bikes: tuple[tuple[datetime, str], ...]
    uses: Mapping[str, tuple[UseOf, ...]]

    def of(self, tool: str) -> tuple[UseOf, ...]:
        """Every use of a tool (all its copies), oldest first."""
        return self.uses.get(tool, ())


def work_in(live: Iterable[Fact]) -> Work:
    """The work among these facts, late entries at their own time."""
    bikes: list[tuple[datetime, str]] = []
    uses: dict[str, list[UseOf]] = {}
    for fact in sorted(live, key=lambda fact: fact.at):
        what = fact.what
        if not isinstance(what, StepDone | LoosePick | SupplyUsed):
            continue
        bikes.append((fact.at, what.bike))
        if isinstance(what, StepDone):
            for tool in dict.fromkeys(base_id(p.tool) for p in what.picks if p.times):
                uses.setdefault(tool, []).append(UseOf(fact, what.job, what.step, what.bike))
        elif isinstance(what, LoosePick):
            uses.setdefault(base_id(what.tool), []).append(UseOf(fact, "", 0, what.bike))
    return Work(tuple(bikes), {tool: tuple(found) for tool, found in uses.items()})


def unsure(missing: Missing) -> bool:
    """Whether nobody knows where it is: short without an outcome, or lost."""
    return missing.outcome is None or missing.outcome.outcome is Outcome.LOST


def could_be_in(work: Work, book: Book, missing: Missing) -> tuple[Could, ...]:
    """The bikes a missing thing could be in, the one it was last used on first.

    Those on which it was used since the last complete count before it was short, to the end
    of that day; if it was logged on none, every bike that was worked on. None for what is
    lent, left or broken: somebody knows where that is.
    """
    if not unsure(missing):
        return ()
    within = _time(book, missing)
    used = [use for use in work.of(base_id(missing.copy)) if within(use.at) and use.bike]
    found: list[tuple[str, UseOf | None]] = [(use.bike, use) for use in used]
    if not found:
        found = [(bike, None) for at, bike in work.bikes if bike and within(at)]
    last: dict[str, tuple[str, UseOf | None]] = {}
    for bike, use in found:
        last.pop(fold(bike), None)
        last[fold(bike)] = (bike, use)
    return tuple(
        Could(bike, use, _release(book, missing, key))
        for key, (bike, use) in reversed(last.items())
    )


def unnamed_uses(work: Work, book: Book, missing: Missing) -> int:
    """How often it was used in that time with no bike named."""
    within = _time(book, missing)
    return sum(within(use.at) and not use.bike for use in work.of(base_id(missing.copy)))


def held_bikes(work: Work, book: Book) -> tuple[Held, ...]:
    """Every bike that something missing could be in, with all of that; also those released."""
    held: dict[str, Held] = {}
    for missing in alike(book.out):
        for could in could_be_in(work, book, missing):
            before = held.setdefault(fold(could.bike), Held(could.bike, (), True))
            if could.released is None:
                things = (*before.missing, missing)
                held[fold(could.bike)] = replace(before, missing=things, released=False)
    return tuple(held.values())


def _release(book: Book, missing: Missing, bike: str) -> Fact | None:
    """A decision counts for what was short when it was made, not for what is short since."""
    for fact in reversed(book.releases):
        what = fact.what
        assert isinstance(what, BikeReleased), "only releases are kept here"
        made_since = fact.clock > missing.newest.clock
        if made_since and fold(what.bike) == bike and missing.copy in what.copies:
            return fact
    return None


def _time(book: Book, missing: Missing) -> Callable[[datetime], bool]:
    """Whether a moment lies between the last complete count and the day the thing was short."""
    begun, newest = missing.since, missing.newest
    complete = [c.fact for c in book.closings.values() if c.complete and c.fact.clock < begun.clock]
    since = max((fact.at for fact in complete if fact.at <= begun.at), default=None)
    last = newest.what.day if isinstance(newest.what, Counted) else newest.at.date()

    def within(at: datetime) -> bool:
        if since is not None and at <= since:
            return False
        # What is logged after the count of the same evening was done before it as often as not.
        return at <= newest.at or at.date() <= last

    return within
