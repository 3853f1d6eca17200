"""The ranking as it is looked at: each tool's uses, place and cost together, sorted, filtered."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Any

from toolbox.desk.errors import UnclearName, UnknownName
from toolbox.desk.folder import names_of
from toolbox.desk.names import Named, match
from toolbox.desk.plans import Study, present_homes
from toolbox.desk.present import restrict
from toolbox.kit.box import Compartment
from toolbox.kit.kit import Kit
from toolbox.layout.why import caused
from toolbox.usage.engine import ToolUse, Usage
from toolbox.usage.settled import SURE, Settled


@dataclass(frozen=True, slots=True)
class Ranked:
    """A tool or carried supply in the ranking; ``rank`` counts from 1, most used first.

    ``share`` is its part of all uses. ``home`` is where its first copy lies today, None
    where nobody has said or it stays at home (then ``carried`` is False). ``cost`` is what
    it causes a day there in microseconds, an urgent second counted as the settings say:
    its fetches, and openings that no other tool of the same job needs. ``settled`` is None
    as long as nobody has worked out how sure the ranking is, and so is ``chance``, the
    probability that it belongs among the easily reached.
    """

    rank: int
    use: ToolUse
    name: str
    share: float
    carried: bool
    home: Compartment | None
    cost: int | None
    chance: float | None = None
    settled: bool | None = None

    @property
    def item(self) -> str:
        """The id of the tool or supply."""
        return self.use.item


class Order(Enum):
    """What the ranking can be sorted by; the values are what the command calls them."""

    USES = "uses"
    COST = "cost"
    URGENT = "urgent"
    OPEN = "open"
    IDLE = "idle"
    PLACE = "place"
    NAME = "name"

    @property
    def words(self) -> str:
        """What comes first, in words."""
        return _WORDS[self]

    def next(self) -> Order:
        """The one after this, and after the last the first."""
        orders = list(Order)
        return orders[(orders.index(self) + 1) % len(orders)]


_WORDS = {
    Order.USES: "most used first",
    Order.COST: "dearest to reach first",
    Order.URGENT: "most urgent first",
    Order.OPEN: "least settled first",
    Order.IDLE: "longest not used first",
    Order.PLACE: "by where it lives",
    Order.NAME: "by name",
}


def ranking(at: Study, sure: Settled | None = None) -> tuple[Ranked, ...]:
    """Every tool and carried supply, most used first, with its place today and its cost."""
    kit = at.kit
    names = names_of(kit)
    carried = kit.carried()
    places = kit.present.places() if kit.present is not None else {}
    compartments = {c.id: c for c in kit.box.compartments}
    costs = costs_today(at)
    chances = dict(sure.chances) if sure is not None else {}
    unsettled = {one.item for one in sure.open} if sure is not None else set()
    total = sum(use.per_day for use in at.usage.tools)
    return tuple(
        Ranked(
            rank=rank,
            use=use,
            name=names.get(use.item, use.item),
            share=use.per_day / total,
            carried=use.item in carried,
            home=compartments.get(places.get(use.item, "")) if use.item in carried else None,
            cost=costs.get(use.item),
            chance=chances.get(use.item),
            settled=use.item not in unsettled if use.item in chances else None,
        )
        for rank, use in enumerate(at.usage.tools, 1)
    )


def costs_today(at: Study) -> dict[str, int]:
    """Copy -> what it causes a day where it lies today, in microseconds; placed copies only."""
    homes = present_homes(at)
    if homes is None:
        return {}
    kept = [n for n, home in enumerate(homes) if home >= 0]
    problem = restrict(at.question.problem, kept)
    inside = [homes[n] for n in kept]
    return {
        at.question.copies[n]: caused(problem, inside, (number,), inside[number])
        for number, n in enumerate(kept)
    }


def in_order(rows: Iterable[Ranked], order: Order) -> tuple[Ranked, ...]:
    """The rows sorted; among equals the more used one comes first."""
    kept = tuple(rows)
    keys: dict[Order, Callable[[Ranked], Any]] = {
        Order.USES: lambda row: 0,
        Order.COST: lambda row: -row.cost if row.cost is not None else 1,
        Order.URGENT: lambda row: -row.use.urgent_share,
        Order.OPEN: lambda row: 1.0 if row.chance is None else abs(row.chance - 0.5),
        Order.IDLE: lambda row: row.use.last_used or date.min,
        Order.PLACE: lambda row: (row.home is None, row.home.name if row.home else ""),
        Order.NAME: lambda row: row.name.casefold(),
    }
    key = keys[order]
    return tuple(sorted(kept, key=lambda row: (key(row), row.rank)))


def filtered(rows: Iterable[Ranked], letters: str) -> tuple[Ranked, ...]:
    """Those that the letters could mean, in the order given; all of them without letters."""
    kept = tuple(rows)
    if not letters.strip():
        return kept
    found = match(letters, (Named(row.item, row.name) for row in kept)).found
    meant = {thing.id for thing in found}
    return tuple(row for row in kept if row.item in meant)


def ranked_named(rows: Iterable[Ranked], letters: str) -> Named:
    """The one that the letters mean; UnclearName or UnknownName when that is not clear."""
    found = match(letters, (Named(row.item, row.name) for row in rows))
    if found.only is not None:
        return found.only
    if found.found:
        raise UnclearName("tool", letters, found.found)
    raise UnknownName("tool", letters, found.near)


def basis_words(usage: Usage) -> str:
    """What the ranking rests on, in a sentence."""
    if not usage.days:
        return "Nothing logged yet: the ranking rests on how often you said each job comes."
    days = "1 logged working day" if usage.days == 1 else f"{usage.days} logged working days"
    return f"From {days}, recent ones weighing more."


def settled_words(kit: Kit, sure: Settled, item: str) -> str:
    """Whether it is sure that a tool belongs among the easily reached, and what would tell."""
    chance = sure.chance(item)
    among = f"among the {sure.places} easily reached"
    one = next((one for one in sure.open if one.item == item), None)
    if one is None:
        return f"yes, {'' if chance >= SURE else 'not '}{among}"
    names = names_of(kit)
    jobs = " or ".join(names.get(job, job) for job in one.log_next[:2]) or "its loose picks"
    return f"not yet: {100 * chance:.0f} % {among}; to tell, log {jobs}"
