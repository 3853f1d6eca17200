"""What is said of stocks, as facts: counted, bought, carried over, thrown away, opened."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date

from toolbox.desk.diary import When, read_amount
from toolbox.desk.errors import DeskError, UnclearName, UnknownName
from toolbox.desk.folder import KitFolder
from toolbox.desk.names import Named, match
from toolbox.desk.restock import Deed, Restocking, Task
from toolbox.desk.stock import Holding
from toolbox.journal.store import open_journal
from toolbox.kit.stocking import Bought, Opened, Refilled, SaidOfStock, StockCounted, Wasted, Where
from toolbox.kit.things import Supply


def amount_of(supply: Supply, text: str, *, nothing: bool = False) -> int:
    """An amount as typed: with its unit, a bare number in the supply's own measure, or packs
    ("2 packs"). DeskError for what is no amount, and for nothing unless that is allowed.
    """
    bare = text.strip()
    packs = re.fullmatch(r"([0-9]{1,4}) ?packs?", bare)
    if packs is not None:
        if supply.pack is None:
            raise DeskError(f"{supply.name}: nobody has said what a pack holds; write an amount")
        units = int(packs[1]) * supply.pack
    else:
        units = read_amount(
            supply, f"{bare} {supply.measure.value}" if bare[-1:].isdigit() else bare
        )
    if not units and not nothing:
        raise DeskError(f'{supply.name}: "{text}" is nothing; nothing was written')
    return units


def counted(held: Holding, text: str, where: Where | None = None) -> StockCounted:
    """That so much of a supply is in a place, whatever the book says (None: where it is used)."""
    units = amount_of(held.supply, text, nothing=True)
    return StockCounted(held.supply.id, _place(held, where or held.home), units)


def bought(
    held: Holding,
    text: str,
    where: Where | None = None,
    *,
    lot: str = "",
    best_before: date | None = None,
) -> Bought:
    """That so much came in (None: into the reserve), with what is printed on it."""
    place = _place(held, where or Where.RESERVE)
    return Bought(held.supply.id, amount_of(held.supply, text), place, lot, best_before)


def wasted(held: Holding, text: str | None, where: Where | None = None, note: str = "") -> Wasted:
    """That so much was spilt or thrown away; without an amount what is out of date there.

    DeskError where nothing is out of date and no amount was said.
    """
    place = _place(held, where or held.home)
    units = held.bad(place) if text is None else amount_of(held.supply, text)
    if not units:
        raise DeskError(
            f"nothing of {held.supply.name} in the {place.value} is out of date: say how much "
            "was thrown away"
        )
    return Wasted(held.supply.id, units, place, note)


def opened(
    held: Holding, day: date, today: date, *, lot: str = "", best_before: date | None = None
) -> Opened:
    """That a fresh pack was opened on that day. DeskError for a day that is to come."""
    if day > today:
        raise DeskError(f"{day} is still to come: say on which day it was opened")
    return Opened(held.supply.id, day, lot, best_before)


def done(tasks: Iterable[Task]) -> tuple[SaidOfStock, ...]:
    """That lines of the evening list are done: refilled, or thrown away.

    DeskError for a line that asks for a count, since that needs a figure.
    """
    said: list[SaidOfStock] = []
    for task in tasks:
        if not task.done_as_told:
            raise DeskError(
                f'"{task.words}" needs a figure: toolbox recount {task.supply} AMOUNT '
                f"--in {task.where.value}"
            )
        if task.deed is Deed.REFILL:
            said.append(Refilled(task.supply, task.amount, task.where))
        else:
            said.append(Wasted(task.supply, task.amount, task.where))
    return tuple(said)


def task_named(listed: Restocking, letters: str) -> Named:
    """The line meant by its number in the evening list, its key, or letters of its words.

    UnclearName or UnknownName when that is not one line.
    """
    if letters.isdecimal() and 1 <= int(letters) <= len(listed.tasks):
        task = listed.tasks[int(letters) - 1]
        return Named(task.key, task.words)
    found = match(letters, (Named(task.key, task.words) for task in listed.tasks))
    if found.only is not None:
        return found.only
    if found.found:
        raise UnclearName("line", letters, found.found)
    raise UnknownName("line of the restock list", letters, found.near)


def write_stock(folder: KitFolder, said: Sequence[SaidOfStock], when: When) -> str:
    """Write what was said of stocks as one entry; the id to take it back by."""
    with open_journal(folder.journal) as journal:
        return journal.add(said, at=when.at, author=when.author, written=when.written)


def _place(held: Holding, where: Where) -> Where:
    if where is Where.BOX and not held.supply.carried:
        raise DeskError(
            f"{held.supply.name} does not travel in the box: it lies in the reserve, all of it"
        )
    return where
