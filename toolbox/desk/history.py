"""What the log says of each tool: on which days and for which jobs it was taken up."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date

from toolbox.desk.folder import names_of
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed
from toolbox.kit.kit import Kit
from toolbox.kit.work import Draw, Pick
from toolbox.usage.counts import Known, known_ids, taken_up
from toolbox.usage.settled import Stopped

OUTSIDE = "outside any job"
_LOOK = 1000  # facts between two looks at the stop signal


@dataclass(frozen=True, slots=True)
class Taken:
    """A job (by name) or OUTSIDE, and how often the item was taken up for it."""

    work: str
    times: int


@dataclass(frozen=True, slots=True)
class History:
    """How often an item was taken up: in all, against the clock, by day, by job.

    ``days`` stand newest first, ``works`` most first. All counts are plain: no day
    weighs more than another.
    """

    times: int = 0
    urgent: int = 0
    days: tuple[tuple[date, int], ...] = ()
    works: tuple[Taken, ...] = ()

    @property
    def last_used(self) -> date | None:
        """The last day it was taken up; None when it never was."""
        return self.days[0][0] if self.days else None


NEVER = History()


def logged_words(history: History, days: int) -> str:
    """How often, on how many of the logged days, and when last, in words."""
    if history.last_used is None:
        return "never taken up"
    urgent = f", {history.urgent} urgent" if history.urgent else ""
    return (
        f"taken up {history.times} times on {len(history.days)} of {days} days"
        f"{urgent}; last {history.last_used}"
    )


@dataclass(slots=True)
class _Tally:
    urgent: int = 0
    days: Counter[date] = field(default_factory=Counter)
    works: Counter[str] = field(default_factory=Counter)

    def history(self) -> History:
        works = sorted(self.works.items(), key=lambda pair: (-pair[1], pair[0]))
        return History(
            times=self.days.total(),
            urgent=self.urgent,
            days=tuple(sorted(self.days.items(), reverse=True)),
            works=tuple(Taken(work, times) for work, times in works),
        )


def histories(
    kit: Kit, facts: Iterable[Fact], today: date, stop: Callable[[], bool] = lambda: False
) -> dict[str, History]:
    """Item (tool or carried supply) -> what was logged of it up to and with ``today``.

    ``facts`` are those that count (nothing undone), in any order. An item that was never
    taken up is left out: ``NEVER`` is its history. Raises Stopped soon after ``stop`` says so.
    """
    known = known_ids(kit.jobs, kit.tools, kit.supplies)
    names = names_of(kit)
    tallies: defaultdict[str, _Tally] = defaultdict(_Tally)
    for number, fact in enumerate(facts):
        if number % _LOOK == 0 and stop():
            raise Stopped
        day = fact.at.date()
        if day > today:
            continue
        for item, times, work, urgent in _uses(fact, known):
            tally = tallies[item]
            tally.days[day] += times
            tally.works[names.get(work, work)] += times
            tally.urgent += times * urgent
    return {item: tally.history() for item, tally in tallies.items()}


def _uses(fact: Fact, known: Known) -> Iterator[tuple[str, int, str, bool]]:
    """What a fact took up: item, times, job, urgent; counted as the usage engine counts."""
    what = fact.what
    work, urgent = OUTSIDE, False
    picks: tuple[Pick, ...] = ()
    draws: tuple[Draw, ...] = ()
    if isinstance(what, StepDone):
        picks, draws, work, urgent = what.picks, what.draws, what.job, what.urgent
    elif isinstance(what, LoosePick):
        picks, urgent = (Pick(what.tool, what.times),), what.urgent
    elif isinstance(what, SupplyUsed):
        draws = (Draw(what.supply, what.amount),)
    for item, times in taken_up(picks, draws, known).items():
        yield item, times, work, urgent
