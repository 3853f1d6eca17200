"""Readiness of the count: what is short, bikes that may not go out, days not closed, loans."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from toolbox.desk.count import evening_in, evening_of
from toolbox.desk.count_bikes import held_bikes, work_in
from toolbox.desk.count_book import Book, Missing, alike, keep_book
from toolbox.desk.count_losses import loans, overdue
from toolbox.desk.count_words import missing_words
from toolbox.desk.evening_words import outcome_words, short_words
from toolbox.desk.figures import count
from toolbox.desk.folder import name_of_copy, names_of
from toolbox.desk.ready_sight import Finding, Seriousness, Sight, told, until
from toolbox.kit.counting import Counted, DayClosed, Outcome
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed
from toolbox.kit.kit import Kit
from toolbox.kit.things import base_id

PLACE = "evening"


def count_findings(sight: Sight) -> Iterator[Finding]:
    """Everything that the evening's counts leave to be done, as of the day that is looked at."""
    live = tuple(until(sight.facts, sight.today))
    book = keep_book(sight.kit, live, until(sight.folder.facts, sight.today))
    yield from _short(sight.kit, book)
    yield from _held(sight.kit, live, book)
    yield from _not_closed(sight, live, book)
    yield from _away(sight, book)


def _short(kit: Kit, book: Book) -> Iterator[Finding]:
    """A short thing stops everything until somebody says what became of it."""
    for missing in alike(book.unexplained):
        tool = base_id(missing.copy)
        words, command = missing_words(kit, missing), f"toolbox missing {tool}"
        name = name_of_copy(kit, missing.copy)
        part = f"{missing.number} {missing.part} short of " if missing.part else ""
        brief = f"{part}{name}" if part else f"{name} short"
        yield Finding(Seriousness.STOP, words, PLACE, command, tool, brief)


def _held(kit: Kit, live: tuple[Fact, ...], book: Book) -> Iterator[Finding]:
    """Bikes that something missing could be in: they need a decision with a reason."""
    names = names_of(kit)
    could: dict[str, list[str]] = {}
    for held in held_bikes(work_in(live), book):
        if not held.released:
            things = told([short_words(names, missing.short) for missing in held.missing])
            could.setdefault(things, []).append(held.bike)
    for things, bikes in could.items():
        which = f"bike {bikes[0]}" if len(bikes) == 1 else f"bikes {told(sorted(bikes))}"
        words = f"{which} may not be released: {things} could be in or on {_it(bikes)}"
        command = f'toolbox release "{bikes[0]}" --reason'
        yield Finding(Seriousness.STOP, words, PLACE, command, brief=f"{which} held")


def _it(bikes: list[str]) -> str:
    return "it" if len(bikes) == 1 else "one of them"


def _not_closed(sight: Sight, live: tuple[Fact, ...], book: Book) -> Iterator[Finding]:
    """The last day of work whose count was not closed, and a count of today that was begun.

    From the first count on: whoever never counts is not asked to.
    """
    begun = [fact.what.day for fact in live if isinstance(fact.what, Counted | DayClosed)]
    if not begun:
        return
    worked = {
        evening_of(f.at) for f in live if isinstance(f.what, StepDone | LoosePick | SupplyUsed)
    }
    before = [day for day in worked.union(begun) if min(begun) <= day < sight.today]
    today = [sight.today] if sight.today in begun else []
    for day in (*sorted(before)[-1:], *today):
        closing = book.closings.get(day)
        if closing is None:
            words = f"the count of {day} is not closed: {_how_far(sight, book, day)}"
        elif closing.against:
            words = f"the count of {day} was closed as complete, but {closing.against}"
        else:
            continue
        command, brief = f"toolbox count --day {day}", f"count of {day:%m-%d} open"
        yield Finding(Seriousness.MEND, words, PLACE, command, brief=brief)


def _how_far(sight: Sight, book: Book, day: date) -> str:
    seen = evening_in(sight.kit, book, day)
    done = len(seen.places) - len(seen.left)
    return f"{done} of {count(len(seen.places), 'place')} counted"


def _away(sight: Sight, book: Book) -> Iterator[Finding]:
    """What is explained and still not in the box: overdue, to be replaced, or just lent."""
    for loan in loans(book):
        if loan.ended is None:
            late = overdue(loan, sight.today)
            words = f"{loan.words(sight.kit)} is {outcome_words(loan.what)}"
            words += ", and overdue" if late else ""
            seriousness = Seriousness.MEND if late else Seriousness.NOTE
            yield Finding(seriousness, words, PLACE, "toolbox lent", base_id(loan.copy))
    for missing in alike(book.out):
        if _to_replace(book, missing):
            words = missing_words(sight.kit, missing)
            words += ": get it back, replace it or list it no more"
            tool = base_id(missing.copy)
            yield Finding(Seriousness.MEND, words, PLACE, f"toolbox missing {tool}", tool)


def _to_replace(book: Book, missing: Missing) -> bool:
    said = missing.outcome
    gone = (Outcome.LOST, Outcome.LEFT, Outcome.BROKEN)
    owned = (missing.copy, missing.part) in book.owned
    return said is not None and said.outcome in gone and owned
