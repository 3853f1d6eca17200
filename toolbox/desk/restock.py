"""Restocking: what to do at the box in the evening, and what to buy before and after a flight.

The lists are made anew at every look, out of the stocks, the levels and the work to come;
what is done about a line is a fact of its own (``restock_said``), and the line is then gone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum

from toolbox.desk.folder import KitFolder
from toolbox.desk.maps import way_to
from toolbox.desk.plans import rank_tools
from toolbox.desk.stock import WEEK, Holding, holdings
from toolbox.desk.stock_demand import (
    Coming,
    Level,
    coming_work,
    counts_now,
    level_of,
    runs_out,
    under_way,
)
from toolbox.desk.stock_fluids import mixings_logged, mixings_of_kit
from toolbox.desk.stock_words import against_words, left_words, run_out_words
from toolbox.desk.trips import Flight, nearest_trip, open_flight
from toolbox.flight.contents import thing_of
from toolbox.flight.goods import Answer, judge, scope_of
from toolbox.kit.kit import Kit
from toolbox.kit.stocking import Where
from toolbox.kit.things import Measure
from toolbox.stock.levels import Buy, Flies, Packs, Restock, Stocked, restock
from toolbox.usage.engine import Usage


class Deed(Enum):
    """What a line of the evening list asks for; the value is the word shown."""

    THROW = "throw away"
    COUNT = "count"
    REFILL = "refill"


@dataclass(frozen=True, slots=True)
class Task:
    """One line of the evening list.

    ``key`` stays while figures change. ``place`` is the compartment that the supply lies in
    ("" for none), ``way`` what to open on the way there; ``where`` is the box or the reserve
    and ``amount`` whole units: what to throw away there, or to carry there from the other.
    """

    key: str
    deed: Deed
    supply: str
    place: str
    way: tuple[str, ...]
    where: Where
    amount: int
    words: str
    why: str

    @property
    def done_as_told(self) -> bool:
        """True for what can be said to be done without a figure."""
        return self.deed is not Deed.COUNT


@dataclass(frozen=True, slots=True)
class Purchase:
    """Something to buy: whole packs and their units, when, and why."""

    supply: str
    packs: Packs
    when: Buy
    words: str
    why: str


@dataclass(frozen=True, slots=True)
class Restocking:
    """The lists of an evening.

    ``tasks`` stand in the order in which one walks through the box, then what has no place
    in it. ``short`` says of each supply with what chance it runs out by which day, ``mixed``
    where a fluid is drawn that the job must not have. ``flight`` is the trip that is
    restocked for, None for none.
    """

    day: date
    tasks: tuple[Task, ...]
    buys: tuple[Purchase, ...]
    short: tuple[tuple[str, str], ...]
    mixed: tuple[str, ...]
    held: dict[str, Holding]
    flight: Flight | None = None

    def to_buy(self) -> tuple[tuple[str, tuple[Purchase, ...]], ...]:
        """What to buy when, under a heading each; what there is nothing of is left out."""
        here = "To buy before leaving" if self.flight is not None else "To buy"
        heads = {
            Buy.BEFORE: here,
            Buy.ASK: "To buy on arrival, unless the carrier says that it may fly",
            Buy.ARRIVAL: "To buy on arrival",
        }
        found = ((h, tuple(b for b in self.buys if b.when is when)) for when, h in heads.items())
        return tuple((head, buys) for head, buys in found if buys)


def flight_for(folder: KitFolder, today: date, name: str | None = None) -> Flight | None:
    """The trip to restock for: the one named, or the next one when it is near; None for none.

    KitFaults names every fault of its files.
    """
    if name is not None:
        return open_flight(folder, name, today)
    flight = nearest_trip(folder, today)
    return flight if flight is not None and counts_now(flight, today) else None


def restocking(
    folder: KitFolder, today: date, trip: str | None = None, usage: Usage | None = None
) -> Restocking:
    """The lists as of that evening; ``trip`` names the one to restock for, else see
    ``flight_for``. ``usage`` is what the log says, where that was asked already.
    """
    kit, flight = folder.kit, flight_for(folder, today, trip)
    usage = rank_tools(folder, today) if usage is None else usage
    held = holdings(kit, folder.live, today)
    coming = coming_work(kit, usage, folder.live, today, flight)
    tasks: list[Task] = []
    buys: list[Purchase] = []
    short: list[tuple[str, str]] = []
    for one in held.values():
        level = level_of(coming, one)
        plan = restock(_stocked(one, level, Flies.YES))
        tasks += _tasks(kit, one, level, plan)
        buys += _buys(coming, one, level, plan)
        if found := runs_out(coming, one):
            short.append((one.supply.id, run_out_words(*found, today)))
    return Restocking(
        day=today,
        tasks=_in_walking_order(kit, tasks),
        buys=tuple(buys),
        short=tuple(short),
        mixed=_mixed(folder, today),
        held=held,
        flight=flight,
    )


def _mixed(folder: KitFolder, today: date) -> tuple[str, ...]:
    first = today - timedelta(days=WEEK - 1)
    logged = mixings_logged(folder.kit, folder.live, first, today)
    return (
        *mixings_of_kit(folder.kit),
        *(f"logged on {fact.at.date()}: {words}" for fact, words in logged),
    )


def _stocked(held: Holding, level: Level, flies: Flies) -> Stocked:
    supply = held.supply
    box, reserve = held.usable(Where.BOX), held.usable(Where.RESERVE)
    return Stocked(
        supply=supply.id,
        level=level.units,
        box=box,
        reserve=reserve,
        box_level=_box_level(held, level),
        pack=supply.pack or 1,
        flies=flies,
    )


def _box_level(held: Holding, level: Level) -> int:
    """What of a level lies in the box: one pack of what is poured or squeezed, which is what
    has a place there; of pieces all of it."""
    supply = held.supply
    if not supply.carried:
        return 0
    if supply.measure is Measure.PIECES or supply.pack is None:
        return level.units
    return min(level.units, supply.pack)


# ---- the evening list


def _tasks(kit: Kit, held: Holding, level: Level, plan: Restock) -> Iterator[Task]:
    name = held.supply.name
    for where in Where:
        if bad := held.bad(where):
            life = held.life(where)
            why = f"{life.why}, which is past" if life is not None else ""
            words = f"throw away {held.amount(bad)} of {name} from the {where.value}"
            yield _task(kit, held, where, Deed.THROW, bad, words, why)
        if _to_count(held, where, level):
            words = f"count {name} in the {where.value}"
            yield _task(kit, held, where, Deed.COUNT, 0, words, left_words(held))
    if plan.refill:
        words = f"refill {held.amount_and_packs(plan.refill)} of {name}"
        why = f"{held.amount(held.usable(Where.BOX) or 0)} in the box, {level.why}"
        yield _task(kit, held, Where.BOX, Deed.REFILL, plan.refill, words, why)


def _task(
    kit: Kit, held: Holding, where: Where, deed: Deed, amount: int, words: str, why: str
) -> Task:
    supply = held.supply.id
    place, way = _place_of(kit, supply) if where is Where.BOX else ("", ())
    key = f"{deed.name.lower()}:{supply}:{where.value}"
    return Task(key, deed, supply, place, way, where, amount, words, why)


def _to_count(held: Holding, where: Where, level: Level) -> bool:
    """A book that cannot be right; and one that says nothing of what has a level."""
    book = held.account.book(where)
    return book < 0 if book is not None else level.units > 0


def _place_of(kit: Kit, supply: str) -> tuple[str, tuple[str, ...]]:
    places = kit.present.places() if kit.present is not None else {}
    if supply not in places:
        return "", ()
    compartment = kit.compartment(places[supply])
    return compartment.id, way_to(kit, compartment)


def _in_walking_order(kit: Kit, tasks: Sequence[Task]) -> tuple[Task, ...]:
    """By compartment in the box's order, then what has no place; in a place by supply, and
    what is thrown away before what is counted or filled up."""
    order = {c.id: n for n, c in enumerate(kit.box.compartments)}
    supplies = {s.id: n for n, s in enumerate(kit.supplies)}
    deeds = list(Deed)
    return tuple(
        sorted(
            tasks,
            key=lambda t: (order.get(t.place, len(order)), supplies[t.supply], deeds.index(t.deed)),
        )
    )


# ---- what to buy


def _buys(coming: Coming, held: Holding, level: Level, plan: Restock) -> Iterator[Purchase]:
    """What to buy before leaving, and what at the race since it may not fly.

    What may not fly stays here: the mechanic's own level is still kept up at home, and what
    the planned work may take of it is bought there.
    """
    flies, why_not = _flies(coming.flight, held, coming.today)
    if flies is not Flies.YES and level.planned:
        why = f"{why_not}, and the planned work takes up to {held.amount(level.planned)}"
        there = restock(_stocked(held, Level(level.planned, why), flies))
        yield from _purchase(held, there, why)
        level = level_of(coming, held, at_home=True)
        plan = restock(_stocked(held, level, Flies.YES))
    yield from _purchase(held, plan, against_words(held, level.why))


def _purchase(held: Holding, plan: Restock, why: str) -> Iterator[Purchase]:
    if plan.when is not None and plan.packs.number:
        words = f"{held.amount_and_packs(plan.packs.units)} of {held.supply.name}"
        yield Purchase(held.supply.id, plan.packs, plan.when, words, why)


_SETTLED = {Answer.HOLD: Flies.YES, Answer.CABIN: Flies.YES, Answer.NO: Flies.NO}


def _flies(flight: Flight | None, held: Holding, today: date) -> tuple[Flies, str]:
    """Whether a supply may go on the flight that is to come, and why not, in words.

    By the goods rules of the trip; what they do not settle is not taken for allowed. What
    lies in no bag of the packing stays here as well.
    """
    if flight is None or under_way(flight, today):
        return Flies.YES, ""
    supply = held.supply
    judged = judge(
        thing_of(supply, approved=flight.trip.approved()), flight.rules, scope_of(flight.trip)
    )
    flies = _SETTLED.get(judged.answer, Flies.UNKNOWN)
    if flies is Flies.NO:
        return flies, "it may not fly"
    bags = [
        flight.now.get(c.id, c.bag)
        for c in flight.contents
        if c.id == supply.id or c.id.startswith(f"{supply.id}/")
    ]
    if bags and not any(bags):
        return Flies.NO, "the packing of the trip leaves it here"
    return flies, f"whether it may fly is not settled: {judged.answer.value}"
