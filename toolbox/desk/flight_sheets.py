"""Print sheets of a trip: one for each bag that flies, and one of goods to show at the desk.

What a sheet says are the figures and rules as they were entered, on the day it was made.
It never says that anything is accepted: the carrier, the state and the screening officer
decide, and every sheet says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from toolbox.desk.figures import count
from toolbox.desk.flight_bags import BagCheck, Load
from toolbox.desk.flight_goods import GoodsFinding, goods_answers, goods_findings
from toolbox.desk.flight_words import cautions, chance_words, pool_words
from toolbox.desk.flights import Check, check_now, rules_warning
from toolbox.desk.printed import Block, Heading, Page, Points, Table, Words, mark_of
from toolbox.desk.trips import Flight
from toolbox.flight.contents import lines_of, tare_line
from toolbox.flight.goods import NO_CLASS_WORD, Answer
from toolbox.flight.goods_figures import energy_uwh
from toolbox.flight.goods_limits import Deed
from toolbox.flight.masses import Line, Verdict
from toolbox.kit.goods import GoodsRule, Per, Say
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Goods, Known, Mass, base_id
from toolbox.kit.trips import Approval, Bag, Carriage

GOODS = "goods"
_KNOWN = {Known.WEIGHED: "weighed", Known.CATALOGUE: "catalogue figure", Known.GUESS: "a guess"}
_NONE = "None that anybody entered. A hand tool without a class was taken for plain metal."
_DECIDES = "Nothing on this sheet says that a bag or a thing will be taken."


@dataclass(frozen=True, slots=True)
class Packed:
    """One row of a bag's list: a thing by its id, its pieces, grams of one and of all.

    ``each_g`` is None where the mass is known of a pack and not of one piece of it.
    """

    item: str
    name: str
    pieces: int
    each_g: int | None
    grams: int
    mass: Mass


@dataclass(frozen=True, slots=True)
class BagList:
    """What lies in a bag, and the empty bag: together its sum, to the gram."""

    bag: Bag
    things: tuple[Packed, ...]
    tare: Line

    @property
    def things_g(self) -> int:
        """All things together."""
        return sum(row.grams for row in self.things)

    @property
    def sum_g(self) -> int:
        """Things and empty bag."""
        return self.things_g + self.tare.grams


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page with the name of its file, without what the kind of file adds; "" no bag's."""

    file: str
    bag: str
    page: Page


def sheets_of(flight: Flight) -> tuple[Sheet, ...]:
    """A sheet for each bag that has anything in it, in the trip's order, then that of goods."""
    check, paid = check_now(flight), check_now(flight, paying=True)
    buyable = {bag.bag.id: bag.verdict for bag in paid.bags}
    found = [
        Sheet(
            f"{flight.name}-bag-{one.bag.id}",
            one.bag.id,
            Page(
                mark_of(flight.name, "bag", one.bag.id),
                f"{one.bag.name} - {flight.trip.name}",
                tuple(_bag_blocks(flight, check, one, buyable[one.bag.id])),
            ),
        )
        for one in check.bags
        if one.flies
    ]
    goods = Page(
        mark_of(flight.name, GOODS),
        f"Dangerous goods - {flight.trip.name}",
        tuple(_goods_blocks(flight)),
    )
    return (*found, Sheet(f"{flight.name}-{GOODS}", "", goods))


def bag_list(flight: Flight, bag: Bag) -> BagList:
    """What lies in a bag now, thing by thing, with the empty bag."""
    inside = flight.inside(bag, flight.now)
    rows = []
    for line in lines_of(inside):
        copies = [c for c in inside if base_id(c.id) == line.id]
        if copies[0].of_pack:
            rows.append(Packed(line.id, line.name, len(copies), None, line.grams, line.mass))
        else:
            each = line.mass.grams
            rows.append(Packed(line.id, line.name, line.pieces, each, line.grams, line.mass))
    return BagList(bag, tuple(rows), tare_line(bag, flight.kit))


# ---- the sheet of a bag


def _bag_blocks(
    flight: Flight, check: Check, one: BagCheck, buyable: Verdict | None
) -> Iterator[Block]:
    bag = one.bag
    where = "Goes into the hold" if bag.carriage is Carriage.HOLD else "Goes into the cabin"
    yield Words(f"{flight.person(bag.answers).name} answers for it. {where}.", strong=True)
    yield from _caution_blocks(flight)
    yield Heading("Legs and limits")
    yield Table(
        ("leg", "day", "carrier", "mass", "between", "limit", "whose limit", "by these figures"),
        tuple(_leg_row(flight, load) for load in one.loads),
        frozenset({3, 4, 5}),
    )
    said = [pool_words(flight, pool) for pool in check.pools if bag.id in pool.bags]
    if one.verdict in (Verdict.OVER, Verdict.AT_RISK) and buyable is Verdict.FITS:
        said.append("Not surely within what is free; within what the trip file says is for sale.")
    said += [f"To be settled on this trip: {matter}" for matter in check.matters]
    if said:
        yield Points(tuple(said))
    yield Heading("What is in it")
    yield from _list_blocks(flight, bag_list(flight, bag))
    yield Heading("Dangerous goods in it")
    yield from _open_blocks(flight, bag.id)
    told = [a for a in goods_answers(flight, flight.now) if a.bag == bag.id and _tells(flight, a)]
    if told:
        heads = ("thing", "pieces", "answer", "to say at the desk, or to do", "source")
        yield Table(heads, tuple(_said_row(flight, a) for a in told), frozenset({1}))
    else:
        yield Words(_NONE)


def _leg_row(flight: Flight, load: Load) -> tuple[str, ...]:
    leg = flight.trip.legs[load.leg]
    low, high = load.total.interval()
    limit = "nobody said" if load.limit_g is None else f"{load.limit_g} g"
    verdict = "not known" if load.verdict is None else load.verdict.value
    if load.verdict is Verdict.AT_RISK:
        verdict += f", {chance_words(load)} over"
    between = f"{max(0, low)} to {high} g"
    day = leg.day.isoformat() if leg.day is not None else ""
    mass = f"{load.total.grams} g"
    return (leg.name, day, leg.carrier, mass, between, limit, load.limit, verdict)


def _list_blocks(flight: Flight, listed: BagList) -> Iterator[Block]:
    bag = listed.bag
    rows = [
        (
            row.item,
            row.name,
            str(row.pieces),
            "" if row.each_g is None else f"{row.each_g} g",
            f"{row.grams} g",
            _known_words(row.mass),
        )
        for row in listed.things
    ]
    pieces = str(sum(row.pieces for row in listed.things))
    rows += [
        ("", "All things", pieces, "", f"{listed.things_g} g", ""),
        ("", listed.tare.name, "", "", f"{listed.tare.grams} g", _known_words(listed.tare.mass)),
        ("", "Sum of things and empty bag", "", "", f"{listed.sum_g} g", ""),
    ]
    heads = ("code", "thing", "pieces", "one", "all", "how the mass is known")
    yield Table(heads, tuple(rows), frozenset({2, 3, 4}), sums=3)
    readings = [w for w in flight.trip.weighings if w.bag == bag.id]
    if readings:
        last = max(reversed(readings), key=lambda w: w.day)
        scale = next(s.name for s in flight.trip.scales if s.id == last.scale)
        now = flight.total(bag, flight.now).grams
        yield Words(
            f"{last.reading_g} g on {scale}, {last.day}. With what came in and went out since it "
            f"counts as {now} g, which is {now - listed.sum_g:+} g from the sum above, and goes "
            "before it."
        )


def _known_words(mass: Mass) -> str:
    said = _KNOWN[mass.known]
    if mass.step_mg is not None:
        said += f", scale step {write(mass.step_mg, Kind.STEP)}"
    if mass.error_mg is not None:
        said += f", off by at most {write(mass.error_mg, Kind.STEP)}"
    return said


def _said_row(flight: Flight, found: GoodsFinding) -> tuple[str, ...]:
    said, source = _said(flight, found)
    return (found.name, str(len(found.copies)), _answer_here(flight, found), said, source)


# ---- the sheet of goods


def _goods_blocks(flight: Flight) -> Iterator[Block]:
    names = ", ".join(person.name for person in flight.trip.people)
    yield Words(f"For {names}, to be shown at the desk.", strong=True)
    yield from _caution_blocks(flight)
    told = [
        answer
        for answer in goods_answers(flight, flight.now)
        if answer.bag is not None and _tells(flight, answer)
    ]
    yield from _open_blocks(flight, None)
    yield Heading("What flies, and what the rules say of it")
    if told:
        heads = ("thing", "pieces", "each", "lies in", "answer", "why", "source")
        yield Table(heads, tuple(_goods_row(flight, a) for a in told), frozenset({1}))
    else:
        yield Words(_NONE)
    limits = tuple(_limit_words(flight))
    if limits:
        yield Heading("Limits that add up")
        yield Points(limits)
    if flight.trip.approvals:
        yield Heading("What a carrier said yes to, as it was noted")
        yield Points(tuple(_approval_words(flight, one) for one in flight.trip.approvals))


def _goods_row(flight: Flight, found: GoodsFinding) -> tuple[str, ...]:
    bag = flight.bag(found.bag or "")
    copy = next(c for c in flight.contents if c.id == found.copies[0])
    figures = _figures(copy.thing.goods)
    un = _un_numbers(flight, found)
    each = "; ".join(part for part in (figures, un) if part) or "no figure entered"
    said, source = _said(flight, found)
    lies = f"{bag.name} ({bag.carriage.value})"
    return (
        found.name,
        str(len(found.copies)),
        each,
        lies,
        _answer_here(flight, found),
        said,
        f"{source}; table of {flight.rules.dated}",
    )


def _figures(goods: Goods | None) -> str:
    """The figures that are entered of one piece: energy, contents, flash point, lithium, blade."""
    if goods is None:
        return ""
    found = []
    energy = energy_uwh(goods)
    if energy is not None:
        found.append(f"{float(Fraction(energy, 1_000_000)):g} Wh")
    if goods.millivolts is not None and goods.milliampere_hours is not None:
        volts, charge = goods.millivolts / 1000, goods.milliampere_hours / 1000
        found.append(f"{volts:g} V x {charge:g} Ah")
    if goods.net_ml is not None:
        found.append(f"{goods.net_ml} ml")
    if goods.flash_c is not None:
        found.append(f"flash point {goods.flash_c} °C")
    if goods.lithium_mg is not None:
        found.append(f"{goods.lithium_mg / 1000:g} g of lithium")
    if goods.blade is not None:
        found.append(f"blade or shaft {write(goods.blade, Kind.LENGTH)}")
    return ", ".join(found)


def _un_numbers(flight: Flight, found: GoodsFinding) -> str:
    """The numbers that the table has for it, from the rows of its own class."""
    rows = [row for row in _own_rows(flight, found) if row.un]
    numbers = dict.fromkeys(number for row in rows for number in row.un.split(", "))
    return f"{', '.join(numbers)} by the table" if numbers else ""


def _limit_words(flight: Flight) -> Iterator[str]:
    """Each limit that adds up with what there is under it, of everybody or in each bag."""
    for row in flight.limits:
        each, limit = dict(row.units), row.limit
        sums: dict[str, int] = {}
        for copy in flight.contents:
            bag = flight.now.get(copy.id, copy.bag)
            if copy.id in each and bag is not None:
                home = flight.bag(bag)
                whose = flight.person(home.answers).name if limit.per is Per.PERSON else home.name
                sums[whose] = sums.get(whose, 0) + each[copy.id]
        unit = "" if limit.unit.value == "pc" else f" {limit.unit.value}"
        for whose, found in sums.items():
            over = "TOO MANY. " if found > limit.most else ""
            yield (
                f"{over}{limit.name}: {whose} has {found}{unit}, at most {limit.most}{unit} a "
                f"{limit.per.value} [{limit.source}]"
            )


# ---- what both sheets share


def _caution_blocks(flight: Flight) -> Iterator[Block]:
    made = f"Made on {flight.today} by {flight.rules.name} of {flight.rules.dated}."
    warning = rules_warning(flight)
    yield Words(" ".join([made, *cautions(), _DECIDES]))
    if warning:
        yield Words(f"{warning}.", strong=True)


def _tells(flight: Flight, found: GoodsFinding) -> bool:
    """Whether the desk may want to hear of it: it has a class, or is not plainly in its place."""
    copy = next(c for c in flight.contents if c.id == found.copies[0])
    goods = copy.thing.goods
    classed = goods is not None and goods.kind != NO_CLASS_WORD
    return classed or found.todo is not Deed.NOTHING


def _own_rows(flight: Flight, found: GoodsFinding) -> list[GoodsRule]:
    """The rows of the table for its class, that hold or may hold."""
    copy = next(c for c in flight.contents if c.id == found.copies[0])
    kind = copy.thing.goods.kind if copy.thing.goods is not None else ""
    ids = flight.judged[copy.id].rules
    return [row for row in flight.rules.rules if row.id in ids and kind in row.words]


def _said(flight: Flight, found: GoodsFinding) -> tuple[str, str]:
    """What is said of a thing, and on whose word: what to do, or what its own rows ask for."""
    rows = _own_rows(flight, found) if found.todo is Deed.NOTHING else []
    texts = [f"{row.name}: {row.text}" if row.text else row.name for row in rows]
    said = "; ".join(texts) or found.reasons[0].text
    source = "; ".join(dict.fromkeys(row.source for row in rows)) or found.reasons[0].source
    if found.todo is not Deed.NOTHING:
        said = f"{found.todo.value}: {said}"
    return "; ".join((said, *_approved(flight, found))), source


def _open_blocks(flight: Flight, bag: str | None) -> Iterator[Block]:
    """That a sheet is not to be shown yet, as long as anything of it is to be done."""
    found = [
        f for f in goods_findings(flight, flight.now) if f.bag is not None and bag in (None, f.bag)
    ]
    if found:
        things = count(len({f.item for f in found}), "thing")
        yield Words(
            f"NOT SETTLED: {things} still to be taken out, moved, asked about or looked up.",
            strong=True,
        )


def _answer_here(flight: Flight, found: GoodsFinding) -> str:
    """The answer; the place where it lies when the rules have that, though another comes first."""
    if found.bag is None or found.answer not in (Answer.HOLD, Answer.CABIN):
        return found.answer.value
    here = flight.bag(found.bag).carriage
    says = flight.judged[found.copies[0]].says(here)
    return here.value if says is Say.YES else found.answer.value


def _approved(flight: Flight, found: GoodsFinding) -> Iterator[str]:
    for one in flight.trip.approvals:
        if found.item in one.items:
            yield f"{one.by} said yes on {one.day}, as noted"


def _approval_words(flight: Flight, one: Approval) -> str:
    names = {base_id(c.id): c.name for c in flight.contents}
    things = ", ".join(names.get(item, item) for item in one.items)
    note = f": {one.note}" if one.note else ""
    return f"{one.by}, {one.day}, {count(len(one.items), 'thing')}: {things}{note}"
