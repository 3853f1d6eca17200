"""Bikes that a missing thing could be in or on, and whether they may go out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

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


def uses_of(live: Iterable[Fact], tool: str) -> tuple[UseOf, ...]:
    """Every logged use of a tool (all its copies), oldest first by when it was."""
    found = [use for fact in live if (use := _use(fact, tool)) is not None]
    return tuple(sorted(found, key=lambda use: use.at))


def unsure(missing: Missing) -> bool:
    """Whether nobody knows where it is: short without an outcome, or lost."""
    return missing.outcome is None or missing.outcome.outcome is Outcome.LOST


def could_be_in(live: Sequence[Fact], book: Book, missing: Missing) -> tuple[Could, ...]:
    """The bikes a missing thing could be in, the one it was last used on first.

    Those on which it was used since the last complete count before it was short, to the end
    of that day; if it was logged on none, every bike that was worked on. None for what is
    lent, left or broken: somebody knows where that is.
    """
    if not unsure(missing):
        return ()
    wanted = _between(live, book, missing)
    used = [(use.bike, use) for use in _uses(wanted, base_id(missing.copy)) if use.bike]
    if not used:
        worked = [(_bike(fact), None) for fact in wanted if _bike(fact)]
        return _bikes(book, missing, worked)
    return _bikes(book, missing, used)


def unnamed_uses(live: Sequence[Fact], book: Book, missing: Missing) -> int:
    """How often it was used in that time with no bike named."""
    wanted = _between(live, book, missing)
    return sum(not use.bike for use in _uses(wanted, base_id(missing.copy)))


def held_bikes(live: Sequence[Fact], book: Book) -> tuple[Held, ...]:
    """Every bike that something missing could be in, with all of that; also those released."""
    held: dict[str, Held] = {}
    for missing in alike(book.out):
        for could in could_be_in(live, book, missing):
            key, free = fold(could.bike), could.released is not None
            before = held.get(key, Held(could.bike, (), True))
            if free:
                held.setdefault(key, before)
                continue
            held[key] = replace(before, missing=(*before.missing, missing), released=False)
    return tuple(held.values())


def _bikes(
    book: Book, missing: Missing, found: Iterable[tuple[str, UseOf | None]]
) -> tuple[Could, ...]:
    last: dict[str, tuple[str, UseOf | None]] = {}
    for bike, use in found:
        last.pop(fold(bike), None)
        last[fold(bike)] = (bike, use)
    return tuple(
        Could(bike, use, _release(book, missing, key))
        for key, (bike, use) in reversed(last.items())
    )


def _release(book: Book, missing: Missing, bike: str) -> Fact | None:
    """A decision counts for what was short when it was made, not for what is short since."""
    for fact in reversed(book.releases):
        what = fact.what
        assert isinstance(what, BikeReleased), "only releases are kept here"
        made_since = fact.clock > missing.newest.clock
        if made_since and fold(what.bike) == bike and missing.copy in what.copies:
            return fact
    return None


def _between(live: Sequence[Fact], book: Book, missing: Missing) -> list[Fact]:
    """The work from the last complete count to the day the thing was short, by when it was."""
    begun, newest = missing.since, missing.newest
    complete = [c.fact for c in book.closings.values() if c.complete and c.fact.clock < begun.clock]
    since = max((fact.at for fact in complete if fact.at <= begun.at), default=None)
    last = _day(newest)
    work = [
        fact
        for fact in live
        if isinstance(fact.what, StepDone | LoosePick | SupplyUsed)
        and (since is None or fact.at > since)
        # What is logged after the count of the same evening was done before it as often as not.
        and (fact.at <= newest.at or fact.at.date() <= last)
    ]
    return sorted(work, key=lambda fact: fact.at)


def _day(fact: Fact) -> date:
    return fact.what.day if isinstance(fact.what, Counted) else fact.at.date()


def _uses(work: Iterable[Fact], tool: str) -> Iterator[UseOf]:
    return (use for fact in work if (use := _use(fact, tool)) is not None)


def _use(fact: Fact, tool: str) -> UseOf | None:
    what = fact.what
    if isinstance(what, StepDone) and any(base_id(p.tool) == tool and p.times for p in what.picks):
        return UseOf(fact, what.job, what.step, what.bike)
    if isinstance(what, LoosePick) and base_id(what.tool) == tool:
        return UseOf(fact, "", 0, what.bike)
    return None


def _bike(fact: Fact) -> str:
    what = fact.what
    return what.bike if isinstance(what, StepDone | LoosePick | SupplyUsed) else ""
