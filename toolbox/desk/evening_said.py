"""What is said at the screen in the evening, written into the journal as one entry each."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from toolbox.desk.count import closed, counted, evening, write_count
from toolbox.desk.count_bikes import held_bikes, work_in
from toolbox.desk.count_book import Book, keep_book
from toolbox.desk.count_settle import PARTED, released, settled
from toolbox.desk.diary import When
from toolbox.desk.folder import KitFolder
from toolbox.kit.counting import Outcome, Settled, Short
from toolbox.kit.kit import Kit


def count_place(
    folder: KitFolder, day: date, place: str, short: Iterable[Short], when: When
) -> str:
    """Write that a place was counted on that evening; the id of the entry. DeskError refuses."""
    return write_count(folder, counted(evening(folder, day), [place], short), when)


def settled_as(
    kit: Kit,
    book: Book,
    short: Short,
    outcome: Outcome,
    today: date,
    where: str = "",
    until: date | None = None,
    note: str = "",
) -> Settled:
    """What became of these pieces; DeskError says what is not told or cannot be."""
    part = f"{PARTED}{short.part}{PARTED}{short.missing}" if short.part else ""
    return settled(
        kit, book, short.copy + part, outcome, today, where=where, until=until, note=note
    )


def settle_short(
    folder: KitFolder,
    short: Short,
    outcome: Outcome,
    today: date,
    when: When,
    where: str = "",
    until: date | None = None,
    note: str = "",
) -> str:
    """Write what became of these pieces; the id of the entry. DeskError refuses."""
    book = keep_book(folder.kit, folder.live, folder.facts)
    said = settled_as(folder.kit, book, short, outcome, today, where, until, note)
    return write_count(folder, [said], when)


def release_bike(folder: KitFolder, bike: str, reason: str, when: When) -> str:
    """Write the decision that a bike may go out; the id of the entry. DeskError refuses."""
    book = keep_book(folder.kit, folder.live, folder.facts)
    said = released(held_bikes(work_in(folder.live), book), bike, reason)
    return write_count(folder, [said], when)


def close_day(folder: KitFolder, day: date, reason: str, when: When) -> str:
    """Write that the day is closed; the id of the entry. DeskError refuses."""
    return write_count(folder, [closed(evening(folder, day), reason)], when)
