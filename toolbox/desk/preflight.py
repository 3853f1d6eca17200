"""The pre-flight list: what is left to do the night before, made from the check of a trip.

Goods and masses as they are packed now, the packing that was taken, and a few habits. A
line that is ticked says that somebody has done it, never that a thing may fly: that is for
the carrier, the state and the screening officer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from hashlib import sha256

from toolbox.desk.checklist import Checklist, Line, standing
from toolbox.desk.figures import count, grams
from toolbox.desk.flight_bags import BagCheck, Pool, interval_words
from toolbox.desk.flight_goods import GoodsFinding, goods_findings
from toolbox.desk.flight_words import load_words, pool_words
from toolbox.desk.flights import Check, check_now, rules_warning
from toolbox.desk.trips import PACKINGS, Flight, some_of
from toolbox.desk.weigh_in import held
from toolbox.files.tables import money_text
from toolbox.flight.contents import Content
from toolbox.flight.goods import NO_CLASS_WORD, Answer, Reason
from toolbox.flight.goods_limits import Deed
from toolbox.flight.masses import Verdict
from toolbox.kit.facts import LineState
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import base_id
from toolbox.kit.trips import Bag, Other, Trip

NAME = "pre-flight"
NEAR_DAYS = 2
"""A trip so many days away has its open lines among the findings (common practice, no source)."""

_FIGURES = "your trip file; the limits are the carrier's to set"
_SPARES = ("li-ion-spare-9", "power-bank-9", "lithium-metal-9")
# Key, what to do to one thing or to several, why, and to which class words it is done.
_TOGETHER = (
    ("off", "switch off {} and guard against starting", ("li-ion-in-device-9", "power-tool")),
    ("cover", "cover the edges of {}", ("sharp-hold-only",)),
)


@dataclass(frozen=True)
class _Sight:
    """What lines are made from: the trip, its check by what is free and by what is paid for."""

    flight: Flight
    check: Check

    @cached_property
    def paid(self) -> Check:
        return check_now(self.flight, paying=True)

    @cached_property
    def bags(self) -> tuple[BagCheck, ...]:
        """The bags that fly."""
        return tuple(bag for bag in self.check.bags if bag.flies)

    @cached_property
    def flying(self) -> tuple[Content, ...]:
        """Everything that lies in a bag now and is not to be taken out."""
        out = {c for f in self.check.findings if f.todo is Deed.TAKE_OUT for c in f.copies}
        now = self.flight.now
        return tuple(c for c in self.flight.contents if now.get(c.id, c.bag) and c.id not in out)

    def what(self, item: str, copies: Sequence[str]) -> str:
        """A thing by name, with how many of all its pieces are meant."""
        return some_of(self.flight, item, len(copies))


def preflight(flight: Flight, check: Check | None = None) -> Checklist:
    """The list for a trip as it is packed now, with what the journal says of its lines.

    ``check`` is that of now against what is free, where it was made already.
    """
    sight = _Sight(flight, check if check is not None else check_now(flight))
    lines = tuple(line for make in _MAKERS for line in make(sight))
    return standing(Checklist(NAME, flight.name, lines), flight.folder.live)


def days_left(trip: Trip, today: date) -> int | None:
    """Days to the next leg that has a day, 0 on that day; None when none is to come."""
    return min(
        ((leg.day - today).days for leg in trip.legs if leg.day and leg.day >= today), default=None
    )


def is_near(trip: Trip, today: date) -> bool:
    """True when the next leg is so near that open lines matter."""
    days = days_left(trip, today)
    return days is not None and days <= NEAR_DAYS


# ---- goods: ask, read, take out, move


def _old_rules(sight: _Sight) -> Iterator[Line]:
    if warning := rules_warning(sight.flight):
        yield Line("rules", "look up the goods rules of today", warning, sight.flight.rules.name)


def _to_ask(sight: _Sight) -> Iterator[Line]:
    """One line for each thing, whatever bags it lies in: the carrier answers for all of it."""
    what = {
        Deed.ASK: ("ask", "ask the carrier about {}", "; a yes goes into the trip as [[approval]]"),
        Deed.SHEET: ("sheet", "read the safety sheet of {}", ""),
    }
    for deed, (key, words, then) in what.items():
        for item, found in _by_item(f for f in sight.check.findings if f.todo is deed).items():
            copies = [copy for one in found for copy in one.copies]
            why, source = _because(one.reasons[0] for one in found)
            said = words.format(sight.what(item, copies))
            yield Line(f"{key}:{item}", said, why + then, source)


def _by_item(findings: Iterable[GoodsFinding]) -> dict[str, list[GoodsFinding]]:
    found: dict[str, list[GoodsFinding]] = {}
    for one in findings:
        found.setdefault(one.item, []).append(one)
    return found


def _because(reasons: Iterable[Reason]) -> tuple[str, str]:
    """Reasons and their sources, each once."""
    found = tuple(dict.fromkeys(reasons))
    sources = dict.fromkeys(reason.source for reason in found)
    return "; ".join(reason.text for reason in found), "; ".join(sources)


@dataclass(frozen=True, slots=True)
class _Handled:
    """A copy that comes out of a bag: the way (out, cabin, hold, move) with its aim, and why."""

    way: str
    origin: str
    aim: str
    copy: str
    reason: Reason

    @property
    def key(self) -> str:
        """The line it belongs to: the thing, the bag it comes out of, the way it goes."""
        parts = [self.way, self.origin, base_id(self.copy), self.aim]
        return ":".join(part for part in parts if part)


_WAYS = {Deed.TAKE_OUT: "out", Deed.TO_CABIN: "cabin", Deed.TO_HOLD: "hold"}


def _to_handle(sight: _Sight) -> Iterator[Line]:
    """What comes out of its bag, by the goods rules or by the packing that was taken.

    A thing that was taken out in the packing keeps the line that the rules gave it.
    """
    groups: dict[str, list[_Handled]] = {}
    order = ["out", "cabin", "hold", "move"]
    for one in sorted(
        (*_by_rules(sight), *_by_packing(sight)), key=lambda one: order.index(one.way)
    ):
        groups.setdefault(one.key, []).append(one)
    for key, some in groups.items():
        copies = tuple(dict.fromkeys(one.copy for one in some))
        why, source = _because(one.reason for one in some)
        words = _handled_words(sight, some[0], sight.what(base_id(copies[0]), copies))
        yield Line(key, words, why, source, pieces=len(copies))


def _by_rules(sight: _Sight) -> Iterator[_Handled]:
    for found in sight.check.findings:
        if found.todo in _WAYS and found.bag is not None:
            for copy in found.copies:
                yield _Handled(_WAYS[found.todo], found.bag, "", copy, found.reasons[0])


def _by_packing(sight: _Sight) -> Iterator[_Handled]:
    """Copies that are to lie elsewhere than at home; by a rule where one is behind it."""
    flight = sight.flight
    plain = Reason("the packing of this trip says so", f"{PACKINGS}/{flight.name}.toml")
    ruled = {c: f.reasons[0] for f in goods_findings(flight, {}) for c in f.copies}
    for copy in flight.contents:
        bag = flight.now.get(copy.id, copy.bag)
        if bag != copy.bag:
            way = "out" if bag is None else "move"
            reason = ruled.get(copy.id, plain)
            yield _Handled(way, copy.bag, bag or "", copy.id, reason)


def _handled_words(sight: _Sight, one: _Handled, what: str) -> str:
    origin = sight.flight.bag(one.origin).name
    match one.way:
        case "out":
            return f"take {what} out of {origin}"
        case "move":
            return f"move {what} from {origin} to {sight.flight.bag(one.aim).name}"
        case _:
            return f"move {what} from {origin} to a {one.way} bag"


def _to_care_for(sight: _Sight) -> Iterator[Line]:
    """What has to be done to goods that fly: terminals, switches, edges."""
    for item, copies in _of_class(sight, _SPARES).items():
        what = sight.what(item, [c.id for c in copies])
        words = f"protect the terminals of {what}, one by one"
        why = "a short circuit sets fire to it"
        source = _rule_source(sight.flight, copies[0])
        yield Line(f"protect:{item}", words, why, source, pieces=len(copies))
    for key, words, kinds in _TOGETHER:
        found = _of_class(sight, kinds)
        if not found:
            continue
        names = [sight.what(item, [c.id for c in some]) for item, some in found.items()]
        what = names[0] if len(names) == 1 else f"{len(names)} things"
        sources = dict.fromkeys(_rule_source(sight.flight, some[0]) for some in found.values())
        # other things make another line: the tick was for those that were there
        key = f"{key}:{_short(' '.join(sorted(found)))}"
        pieces = sum(map(len, found.values()))
        yield Line(key, words.format(what), ", ".join(names), "; ".join(sources), pieces)


def _of_class(sight: _Sight, kinds: Sequence[str]) -> dict[str, list[Content]]:
    """What flies of these classes, by thing; nothing that may fly in no bag."""
    found: dict[str, list[Content]] = {}
    for copy in sight.flying:
        goods, answer = copy.thing.goods, sight.flight.judged[copy.id].answer
        if goods is not None and goods.kind in kinds and answer is not Answer.NO:
            found.setdefault(base_id(copy.id), []).append(copy)
    return found


def _short(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:8]


def _rule_source(flight: Flight, copy: Content) -> str:
    ids = flight.judged[copy.id].rules
    kind = copy.thing.goods.kind if copy.thing.goods is not None else ""
    rows = [row for row in flight.rules.rules if row.id in ids and kind in row.words]
    return rows[0].source if rows else "no rule of the table covers it: ask the carrier"


# ---- bags: masses and other matters


def _too_heavy(sight: _Sight) -> Iterator[Line]:
    """Bags, and bags together, that are not surely within what is free."""
    unsure = (Verdict.OVER, Verdict.AT_RISK)
    paid = {bag.bag.id: bag for bag in sight.paid.bags}
    for bag in sight.bags:
        if bag.verdict in unsure:
            words = f"make {bag.bag.name} lighter by {grams(math.ceil(-bag.governing.room_g))}"
            if paid[bag.bag.id].verdict is Verdict.FITS:
                words += ", or pay for it"
            why = load_words(sight.flight, bag.governing)
            yield Line(f"lighter:{bag.bag.id}", words, why, _FIGURES)
    worst: dict[str, Pool] = {}
    for pool in sight.check.pools:
        key = f"lighter:{'+'.join(pool.bags)}:{'+'.join(pool.people)}"
        before = worst.get(key)
        if before is None or pool.load.room_g < before.load.room_g:
            worst[key] = pool
    for key, pool in worst.items():
        if pool.load.verdict in unsure:
            names = " and ".join(sight.flight.bag(b).name for b in pool.bags)
            words = f"make {names} lighter by {grams(math.ceil(-pool.load.room_g))} together"
            yield Line(key, words, pool_words(sight.flight, pool), _FIGURES)


def _matters(sight: _Sight) -> Iterator[Line]:
    for text in sight.check.matters:
        yield Line(
            f"matter:{_short(text)}", f"settle: {text}", "it keeps the trip from fitting", _FIGURES
        )


def _to_weigh(sight: _Sight) -> Iterator[Line]:
    """Done by itself once a reading is there of the bag as it is packed now."""
    flight = sight.flight
    for check in sight.bags:
        bag = check.bag
        by = f'enter what it weighs with "toolbox weigh {bag.id} READING"'
        why = f"by its list it is {interval_words(flight.total(bag, flight.now))}"
        readings = [w for w in flight.trip.weighings if w.bag == bag.id]
        state = LineState.OPEN
        if readings:
            last = max(reversed(readings), key=lambda w: w.day)
            why = f"{write(last.reading_g, Kind.MASS)} on {last.day}"
            if _same_things(flight, bag, last.items):
                state = LineState.DONE
            else:
                why += ", and its things have changed since"
        yield Line(f"weigh:{bag.id}", f"weigh {bag.name}, packed", why, by_itself=by, state=state)


def _same_things(flight: Flight, bag: Bag, items: Sequence[str]) -> bool:
    return set(held(flight, bag)) == set(items)


# ---- what is not in the bags, and habits


def _to_get(sight: _Sight) -> Iterator[Line]:
    """What does not fly and is wanted there: sent ahead, or bought on arrival."""
    flight = sight.flight
    flies = {c.id for c in sight.flying}
    drawn = _drawn(flight)
    out: dict[str, list[str]] = {}
    for copy in flight.contents:
        if copy.id not in flies:
            out.setdefault(base_id(copy.id), []).append(copy.id)
    for item, copies in out.items():
        ways = [way for way in flight.trip.ways if way.item == item]
        what = sight.what(item, copies)
        buys = [way for way in ways if way.other is Other.BUY]
        if any(way.other is Other.SHIP for way in ways):
            yield Line(f"send:{item}", f"send {what} ahead", "the trip says it can be", _FIGURES)
        elif buys or (not ways and item in drawn):
            price = money_text(buys[0].price) if buys and buys[0].price is not None else ""
            why = "the trip says it can be" if buys else "the planned work uses it"
            words = f"put {what} on the list of what to buy on arrival"
            source = f"{why}, {price}" if price else why
            yield Line(f"buy:{item}", words, "it does not fly", source)


def _drawn(flight: Flight) -> set[str]:
    jobs = {job.id: job for job in flight.kit.jobs}
    steps = (step for work in flight.trip.work for step in jobs[work.job].steps)
    return {draw.supply for step in steps for draw in step.draws}


def _habits(sight: _Sight) -> Iterator[Line]:
    """What a mechanic does before every flight: common practice, no source."""
    if any(_is_torque_tool(sight.flight, copy) for copy in sight.flying):
        words = "wind adjustable torque tools back to their lowest setting"
        yield Line("torque", words, "a spring left under load drifts")
    if any(copy.thing.fluid for copy in sight.flying):
        words = "screw bottles tight, keep them upright and bag them"
        yield Line("bottles", words, "what leaks spoils pads, rotors and clothes")


def _is_torque_tool(flight: Flight, copy: Content) -> bool:
    tool = next((t for t in flight.kit.tools if t.id == base_id(copy.id)), None)
    return tool is not None and "torque" in f"{tool.category} {tool.name}".casefold()


def _to_close(sight: _Sight) -> Iterator[Line]:
    bags = len(sight.bags)
    if not bags:
        return
    how = f'"toolbox sheets {sight.flight.name} --out DIR" writes them'
    words = f"print the sheets of {count(bags, 'bag')} and put each into its own"
    yield Line("sheets", words, f"whoever opens a bag can pack it again; {how}", pieces=bags)
    if any(c.thing.goods and c.thing.goods.kind != NO_CLASS_WORD for c in sight.flying):
        words = "keep the goods sheet and the safety sheets at hand, not in a hold bag"
        yield Line("goods-sheet", words, f"the desk asks for them; {how}")
    words = f"close {count(bags, 'bag')}, strap or lock, a name and a number inside and outside"
    yield Line("labels", words, "torn-off tags are how cases get lost", pieces=bags)


_MAKERS: tuple[Callable[[_Sight], Iterable[Line]], ...] = (
    _old_rules,
    _to_ask,
    _matters,
    _to_handle,
    _to_care_for,
    _to_get,
    _habits,
    _too_heavy,
    _to_weigh,
    _to_close,
)
