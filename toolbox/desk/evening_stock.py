"""Restocking as a screen shows it: what is left to do in walking order, what is done, to buy."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from toolbox.desk.checklist import Checklist, Line
from toolbox.desk.count import evening_of
from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_words import said_words
from toolbox.desk.figures import capital, count
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.restock import Deed, Purchase, Restocking, Task, restocking
from toolbox.desk.restock_said import bought, counted, done, opened, write_stock
from toolbox.desk.restock_wishes import NAME as WISHED
from toolbox.desk.restock_wishes import wishes
from toolbox.kit.checking import SaidOfInstrument
from toolbox.kit.counting import SaidOfCount
from toolbox.kit.facts import Fact, LineSaid, LineState
from toolbox.kit.kit import Kit
from toolbox.kit.stocking import Bought, Opened, Refilled, SaidOfStock, StockCounted, Wasted, Where
from toolbox.kit.things import Supply
from toolbox.usage.engine import Usage

DONE = "done:"  # how the keys of lines begin that were done on the evening
NO_PLACE = "without a place in the box"
_DEEDS = {Deed.THROW: Wasted, Deed.COUNT: StockCounted, Deed.REFILL: Refilled}


@dataclass(frozen=True)
class StockView:
    """The lists of an evening, what is wished for, and what was done on that evening already.

    ``said`` is how often each deed was done in each place to each supply, ever: so that what
    somebody else has done meanwhile is not done twice.
    """

    kit: Kit
    listed: Restocking
    wished: Checklist
    done: tuple[Fact, ...]
    said: Mapping[tuple[type, str, Where], int]

    def task(self, key: str) -> Task | None:
        """The line of that key, None when it is done."""
        return next((task for task in self.listed.tasks if task.key == key), None)


def stock_seen(folder: KitFolder, today: date) -> Hashable:
    """What the lists depend on: while this stays equal, so do they.

    Counts of tools change nothing, and ticks of checklists only what is wished for.
    """
    facts = [f for f in folder.live if _matters(f)]
    return (id(folder.kit), today, len(facts), facts[-1].id if facts else "")


def _matters(fact: Fact) -> bool:
    what = fact.what
    if isinstance(what, LineSaid):
        return what.checklist == WISHED
    return not isinstance(what, SaidOfCount | SaidOfInstrument)


def stock_view(folder: KitFolder, today: date, day: date, usage: Usage | None) -> StockView:
    """The lists as of ``today``, with what was done on the evening of ``day``.

    KitFaults names every fault of the trip that is restocked for.
    """
    evening = [
        f for f in folder.live if isinstance(f.what, SaidOfStock) and evening_of(f.at) == day
    ]
    return StockView(
        folder.kit,
        restocking(folder, today, usage=usage),
        wishes(folder.live),
        tuple(fact for fact in evening if not isinstance(fact.what, Bought | Opened)),
        _said(folder),
    )


def _said(folder: KitFolder) -> dict[tuple[type, str, Where], int]:
    said: dict[tuple[type, str, Where], int] = {}
    for fact in folder.live:
        what = fact.what
        if isinstance(what, StockCounted | Refilled | Wasted):
            key = (type(what), what.supply, what.where)
            said[key] = said.get(key, 0) + 1
    return said


# ---- in lines


def stock_lines(view: StockView) -> tuple[Line, ...]:
    """What is left to do, in walking order, then what was done on the evening."""
    return (*(_open_line(view, task) for task in view.listed.tasks), *_done_lines(view))


def _open_line(view: StockView, task: Task) -> Line:
    places = {c.id: c.name for c in view.kit.box.compartments}
    # What is thrown away or counted in the reserve says so itself.
    head = places.get(task.place, NO_PLACE) if task.where is Where.BOX else ""
    words = f"{head}: {task.words}" if head else task.words
    why = "; ".join(filter(None, (", ".join(task.way), task.why)))
    return Line(task.key, words, why, source="")


def _done_lines(view: StockView) -> Iterator[Line]:
    names = names_of(view.kit)
    for fact in view.done:
        assert isinstance(fact.what, SaidOfStock), "only those are kept"
        words = said_words(view.kit, names, fact.what)
        why = f"{fact.at:%H:%M}, {fact.author}"
        yield Line(f"{DONE}{fact.entry}:{fact.id}", words, why, source="", state=LineState.DONE)


def stock_words(view: StockView) -> str:
    """How far it is: "Restock 2 of 7"."""
    return f"Restock {len(view.done)} of {len(view.done) + len(view.listed.tasks)}"


def buy_lines(view: StockView) -> tuple[str, ...]:
    """What to buy and when, what is wished for, what is mixed up: a line each."""
    lines = [f"! {words}" for words in view.listed.mixed]
    for head, buys in view.listed.to_buy():
        lines += [f"{capital(head)}:", *map(_purchase, buys)]
    wanted = [line for line in view.wished.left if line.state is not LineState.DONE]
    if wanted:
        lines += ["Wished for:", *(f"- {line.words} ({line.why})" for line in wanted)]
    return tuple(lines) or ("Nothing to buy.",)


def _purchase(buy: Purchase) -> str:
    return f"- {buy.words}: {buy.why}"


# ---- what is said of a line


def do_task(folder: KitFolder, view: StockView, key: str, when: When) -> str:
    """Write that a line was done as it stands on the screen; the id of the entry.

    DeskError when it is there no more, or somebody else has done it meanwhile.
    """
    task = _still_open(folder, view, key)
    return write_stock(folder, done([task]), when)


def count_task(folder: KitFolder, view: StockView, key: str, amount: str, when: When) -> str:
    """Write how much was counted for a line, as typed; the id of the entry. DeskError refuses."""
    task = _still_open(folder, view, key)
    return write_stock(folder, [amount_counted(view, task, amount)], when)


def amount_counted(view: StockView, task: Task, amount: str) -> SaidOfStock:
    """What a count of a line says, from an amount as typed; DeskError for what is none."""
    return counted(view.listed.held[task.supply], amount, task.where)


# ---- what came in, what was opened


def wanted_in(view: StockView, supply: str) -> str:
    """How much of a supply is to be bought, as it is typed; "" for none."""
    buy = next((one for one in view.listed.buys if one.supply == supply), None)
    if buy is None:
        return ""
    whole = view.listed.held[supply].supply.pack is not None
    return count(buy.packs.number, "pack") if whole else str(buy.packs.units)


def came_in(view: StockView, supply: str, amount: str) -> Bought:
    """That so much of a supply came in, as typed, into the reserve; DeskError for no amount."""
    return bought(view.listed.held[supply], amount)


def write_came_in(folder: KitFolder, view: StockView, supply: str, amount: str, when: When) -> str:
    """Write that it came in; the id of the entry. DeskError refuses."""
    return write_stock(folder, [came_in(view, supply, amount)], when)


def ageing(view: StockView) -> tuple[Supply, ...]:
    """The supplies whose life ends some time after a pack is opened."""
    held = (one.supply for one in view.listed.held.values())
    return tuple(supply for supply in held if supply.shelf.opened_life_months is not None)


def write_opened(folder: KitFolder, view: StockView, supply: str, when: When) -> str:
    """Write that a fresh pack was opened on the day that is looked at; the id of the entry."""
    day = view.listed.day
    return write_stock(folder, [opened(view.listed.held[supply], day, day)], when)


def _still_open(folder: KitFolder, view: StockView, key: str) -> Task:
    task = view.task(key)
    if task is None:
        raise DeskError("this line is not on the list any more: look at it again")
    deed = (_DEEDS[task.deed], task.supply, task.where)
    if _said(folder).get(deed, 0) != view.said.get(deed, 0):
        raise DeskError(f'"{task.words}" was done meanwhile; nothing was written')
    return task
