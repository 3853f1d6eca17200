"""What the goods rules say of a packing: what to take out, to move, to ask, and limits passed.

Nothing here is ever allowed for want of a rule: what is not settled stays open until the
sheet was read, the carrier has said yes, or the thing stays at home.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from toolbox.desk.trips import Flight, Where
from toolbox.flight.contents import Content
from toolbox.flight.goods import Answer, Judged, Reason
from toolbox.flight.goods_limits import Deed, OverLimit, Placed, deed, over_limits
from toolbox.kit.goods import Per
from toolbox.kit.things import base_id


@dataclass(frozen=True, slots=True)
class GoodsFinding:
    """Pieces of one thing in one bag, or in none, and what is said of them.

    ``todo`` is what to do about them; ``over`` is the limit that makes them too many.
    """

    item: str
    name: str
    copies: tuple[str, ...]
    bag: str | None
    answer: Answer
    reasons: tuple[Reason, ...]
    todo: Deed
    over: OverLimit | None = None

    @property
    def is_open(self) -> bool:
        """True when it has to be asked or looked up before it may fly."""
        return self.todo in (Deed.ASK, Deed.SHEET)


def goods_findings(flight: Flight, where: Where) -> tuple[GoodsFinding, ...]:
    """Everything that cannot fly as it is packed, in the order of what there is to do."""
    order = list(Deed)
    found = [f for f in goods_answers(flight, where) if f.todo is not Deed.NOTHING]
    found += limit_findings(flight, where)
    return tuple(sorted(found, key=lambda f: (f.over is None, order.index(f.todo))))


def goods_answers(flight: Flight, where: Where) -> tuple[GoodsFinding, ...]:
    """The answer for every thing in the bags; pieces with the same one are told together."""
    groups: dict[tuple[str, str | None, Answer, Deed], list[Content]] = {}
    for copy in flight.contents:
        bag = where.get(copy.id, copy.bag)
        judged = flight.judged[copy.id]
        key = (base_id(copy.id), bag, judged.answer, _todo(flight, judged, bag))
        groups.setdefault(key, []).append(copy)
    return tuple(
        GoodsFinding(
            item,
            copies[0].name,
            tuple(c.id for c in copies),
            bag,
            answer,
            flight.judged[copies[0].id].reasons,
            todo,
        )
        for (item, bag, answer, todo), copies in groups.items()
    )


def _todo(flight: Flight, judged: Judged, bag: str | None) -> Deed:
    # what stays at home need not be asked about
    return Deed.NOTHING if bag is None else deed(judged, flight.bag(bag).carriage)


def limit_findings(flight: Flight, where: Where) -> Iterator[GoodsFinding]:
    """The pieces by which a limit is passed: the last ones under it, as many as must come out."""
    for over in limits_passed(flight, where):
        units = dict(next(row.units for row in flight.limits if row.limit is over.limit))
        out: list[Content] = []
        for copy in reversed(flight.contents):
            if copy.id in over.things and sum(units[c.id] for c in out) < over.excess:
                out.append(copy)
        reason = Reason(limit_words(flight, over), over.limit.source)
        for item in dict.fromkeys(base_id(copy.id) for copy in reversed(out)):
            copies = tuple(c.id for c in reversed(out) if base_id(c.id) == item)
            first = next(c for c in out if c.id == copies[0])
            bag = where.get(first.id, first.bag)
            yield GoodsFinding(
                item, first.name, copies, bag, Answer.NO, (reason,), Deed.TAKE_OUT, over
            )


def limits_passed(flight: Flight, where: Where) -> tuple[OverLimit, ...]:
    """Every limit that adds up and that this packing passes."""
    placed = [
        Placed(copy.id, 1, bag, flight.bag(bag).answers)
        for copy in flight.contents
        if (bag := where.get(copy.id, copy.bag)) is not None
    ]
    return over_limits(flight.limits, placed)


def limit_words(flight: Flight, over: OverLimit) -> str:
    """A limit that is passed, in a sentence without its end."""
    limit = over.limit
    whose = flight.person(over.whose) if limit.per is Per.PERSON else flight.bag(over.whose)
    unit = "" if limit.unit.value == "pc" else f" {limit.unit.value}"
    return (
        f"too many: {limit.name}, at most {limit.most}{unit} a {limit.per.value}, "
        f"{whose.name} has {over.found}{unit}"
    )
