"""How a trip's bags stand, as it is looked at: bags leg by leg, what lies in one, what to do.

The packing looked at may be newer than what is written: things are shifted in memory first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import count, grams
from toolbox.desk.flight_bags import KILO, BagCheck, Load, Pool
from toolbox.desk.flight_goods import GoodsFinding, goods_answers
from toolbox.desk.flight_plan import FlightPlan, take_plan
from toolbox.desk.flight_words import (
    bag_words,
    finding_lines,
    load_words,
    pieces_words,
    pool_words,
    weigh_next_words,
)
from toolbox.desk.flights import Check, check_packing, rules_warning, to_weigh
from toolbox.desk.folder import KitFolder
from toolbox.desk.trips import (
    TRIPS,
    Flight,
    Where,
    away_from_home,
    is_over,
    keep_packing,
    label,
    open_flight,
    shifted,
    trips_of,
)
from toolbox.desk.weigh_in import WeighedIn, explanation_words, standing_words
from toolbox.flight.contents import Content, last_weighing, tare_line, weighed_with
from toolbox.flight.goods import Answer
from toolbox.flight.goods_limits import Deed
from toolbox.flight.masses import Verdict
from toolbox.kit.trips import Bag

STRICTEST = -1  # of all legs the one with the least room, for each bag
OUT = "out"
_STATES = {Verdict.FITS: "fits", Verdict.AT_RISK: "AT RISK", Verdict.OVER: "OVER"}
_SHORT = {
    Answer.HOLD: "hold",
    Answer.CABIN: "cabin",
    Answer.NO: "NO",
    Answer.ASK: "ask",
    Answer.SHEET: "sheet",
}
_DEEDS = {
    Deed.NOTHING: "",
    Deed.TAKE_OUT: "TAKE OUT",
    Deed.TO_CABIN: "TO CABIN",
    Deed.TO_HOLD: "TO HOLD",
    Deed.ASK: "ASK",
    Deed.SHEET: "READ SHEET",
}


@dataclass(frozen=True)
class FlightView:
    """A trip with a packing of it and how that stands; ``trips`` are the names of all trips."""

    flight: Flight
    where: Where
    check: Check
    trips: tuple[str, ...] = ()

    @property
    def packed(self) -> Flight:
        """The trip with the packing that is looked at."""
        return replace(self.flight, stowed=self.where)

    @property
    def bags(self) -> tuple[Bag, ...]:
        """The bags of the trip, in its order; their numbers on the screen begin with 1."""
        return self.flight.trip.bags

    def bag_of(self, copy: Content) -> str | None:
        """The id of the bag that a copy lies in, None for none."""
        return self.where.get(copy.id, copy.bag)


@dataclass(frozen=True, slots=True)
class BarLine:
    """A mass against a limit, to be drawn: of one bag on a leg, of bags that count together.

    ``number`` is the key that puts things there, "" where none does. ``bags`` are those
    whose things are meant; none of them for what lies in no bag. ``load`` is None where
    there is no mass to show, and ``told`` stands for it. ``words`` say all of it.
    """

    key: str
    number: str
    name: str
    bags: tuple[str, ...]
    load: Load | None
    state: str
    words: str
    leg: str = ""
    told: str = ""

    @property
    def masses(self) -> str:
        """ "25.99 of 23.00" in kilograms; the mass alone without a limit; how many things."""
        if self.load is None:
            return self.told
        mass = f"{self.load.total.grams / KILO:.2f}"
        return mass if self.load.limit_g is None else f"{mass} of {self.load.limit_g / KILO:.2f}"


@dataclass(frozen=True, slots=True)
class ItemLine:
    """A copy in a bag: grams, how that is known, the goods answer in a word, whether to act."""

    copy: str
    name: str
    grams: int
    known: str
    answer: str
    act: bool
    fixed: bool
    bag: str

    @property
    def key(self) -> str:
        """What its row is known by: no copy lies in two bags."""
        return self.copy


@dataclass(frozen=True, slots=True)
class FindingLine:
    """Something to do before the flight: what, about what, where that lies, all of it in full.

    ``copies`` are the things it is about; none where it is about a bag or the rules.
    """

    key: str
    deed: str
    name: str
    bag: str
    copies: tuple[str, ...]
    words: str


def open_view(folder: KitFolder, name: str | None, today: date) -> FlightView:
    """The trip of that name, or the nearest, as its bags are packed; errors of `open_flight`."""
    flight = open_flight(folder, name, today)
    return view_of(flight, away_from_home(flight, flight.stowed), trips_of(folder))


def view_of(flight: Flight, where: Where, trips: tuple[str, ...] = ()) -> FlightView:
    """How a packing of a trip stands, against what is free of charge."""
    check = check_packing(flight, [where] * len(flight.trip.legs), paying=False)
    return FlightView(flight, where, check, trips)


def moved(view: FlightView, copies: Collection[str], bag: str | None) -> FlightView:
    """The view once copies lie in another bag; DeskError for what is fixed, nothing written."""
    where = shifted(view.flight, view.where, copies, bag)
    return view_of(view.flight, where, view.trips)


def put_where(flight: Flight, places: Where) -> Flight:
    """Write down that these copies lie there now, each in a bag of its own or none."""
    return keep_packing(flight, {**flight.stowed, **places})


def plan_holds(flight: Flight, asked: Flight) -> bool:
    """Whether a plan still answers how the trip stands: nothing changed since it was ``asked``."""
    same = away_from_home(flight, flight.stowed) == away_from_home(asked, asked.stowed)
    return same and flight.trip == asked.trip and flight.kit == asked.kit


def take_shown(flight: Flight, plan: FlightPlan) -> Flight:
    """Take a plan that was shown; DeskError when trip or packing have changed since."""
    if not plan_holds(flight, plan.asked.flight):
        raise DeskError("trip, kit or packing have changed since this plan was made: plan anew")
    return take_plan(flight, plan)


def day_words(flight: Flight) -> str:
    """When the trip begins: "2026-12-04, in 9 days"."""
    days = [leg.day for leg in flight.trip.legs if leg.day is not None]
    if not days:
        return "no day said"
    first, today = min(days), flight.today
    if is_over(flight.trip, today):
        return f"{first}, flown"
    if first <= today:
        return f"{first}, today" if first == today else f"{first}, under way"
    return f"{first}, in {count((first - today).days, 'day')}"


def leg_names(view: FlightView) -> tuple[str, ...]:
    """The legs by name, in their order."""
    return tuple(leg.name for leg in view.flight.trip.legs)


# ---- bags


def bar_lines(view: FlightView, leg: int) -> tuple[BarLine, ...]:
    """Bags, then what counts together, then what lies in no bag.

    ``leg`` is a number of the trip's legs; STRICTEST shows each on the leg with the least
    room; one more than there are legs shows every leg.
    """
    every = leg == len(view.flight.trip.legs)
    lines: list[BarLine] = []
    for number, check in enumerate(view.check.bags, 1):
        lines += (_bag_line(view, check, number, load, every) for load in _loads(check, leg))
    lines += _pool_lines(view, leg)
    outside = sum(view.bag_of(copy) is None for copy in view.flight.contents)
    told = count(outside, "thing") if outside else "nothing"
    words = f"In no bag: {told}."
    lines.append(BarLine(OUT, "0", "In no bag", (), None, "", words, told=told))
    return tuple(lines)


def _loads(check: BagCheck, leg: int) -> list[Load]:
    if leg == STRICTEST:
        return [check.governing]
    legs = sorted({load.leg for load in check.loads})
    wanted = [n for n in legs if n == leg] or legs
    by_leg = ([load for load in check.loads if load.leg == n] for n in wanted)
    return [min(loads, key=lambda load: load.room_g) for loads in by_leg]


def _bag_line(view: FlightView, check: BagCheck, number: int, load: Load, every: bool) -> BarLine:
    bag, leg = check.bag, view.flight.trip.legs[load.leg].name
    words = bag_words(view.flight, check)
    if check.flies:
        words = f"{bag.name}: {load_words(view.flight, load)}"
    return BarLine(
        key=f"{bag.id} {load.leg}" if every else bag.id,
        number=str(number) if number < 10 else "",
        name=bag.name,
        bags=(bag.id,),
        load=load,
        state=state_words(load) if check.flies else "stays",
        words=f"{words}.",
        leg=leg,
    )


def _pool_lines(view: FlightView, leg: int) -> Iterator[BarLine]:
    groups: dict[tuple[object, ...], list[Pool]] = {}
    legs = len(view.flight.trip.legs)
    for pool in view.check.pools:
        if pool.bags and leg in (STRICTEST, legs, pool.load.leg):
            apart = pool.load.leg if leg == legs else None
            groups.setdefault((pool.people, pool.bags, apart), []).append(pool)
    for n, pools in enumerate(groups.values()):
        pool = min(pools, key=lambda one: one.load.room_g)
        who = " + ".join(view.flight.person(p).name for p in pool.people)
        yield BarLine(
            key=f"+{n}",
            number="",
            name=f"{who}, together",
            bags=pool.bags,
            load=pool.load,
            state=state_words(pool.load),
            words=f"{pool_words(view.flight, pool)}.",
            leg=view.flight.trip.legs[pool.load.leg].name,
        )


def state_words(load: Load) -> str:
    """The verdict as it stands behind a bar: what does not fit in capitals."""
    return "no limit" if load.verdict is None else _STATES[load.verdict]


def sum_words(view: FlightView, bag: Bag) -> str:
    """What a bag is made of before the trip, to the gram: things, empty mass, and a reading."""
    flight = view.flight
    inside = flight.inside(bag, view.where)
    things = sum(copy.mass.grams for copy in inside)
    tare = tare_line(bag, flight.kit).grams
    said = f"{count(len(inside), 'thing')} {things} g + empty {tare} g = {things + tare} g"
    last = last_weighing(bag, flight.trip)
    if last is None:
        return said
    then = weighed_with(bag, last, flight.contents)
    came = sum(copy.mass.grams for copy in inside if copy.id not in then)
    gone = sum(copy.mass.grams for copy in flight.contents if copy.id in then) - (things - came)
    counts = f"{said}; its reading of {last.day}: {last.reading_g} g"
    if not (came or gone):
        return f"{counts}, which counts"
    now = flight.total(bag, view.where).grams
    since = " and ".join(f"{g} g {way}" for g, way in ((came, "in"), (gone, "out")) if g)
    return f"{counts}, since then {since}: {now} g, which counts"


# ---- what lies in them


def items_in(view: FlightView, bags: Collection[str]) -> tuple[ItemLine, ...]:
    """What lies in these bags, or with none of them in no bag; the heaviest first."""
    flight = view.flight
    answers = {c: found for found in goods_answers(flight, view.where) for c in found.copies}
    over = {c for found in view.check.findings if found.over for c in found.copies}
    lines = []
    for copy in flight.contents:
        bag = view.bag_of(copy)
        if bag not in (bags or (None,)):
            continue
        over_limit = copy.id in over
        lines.append(
            ItemLine(
                copy=copy.id,
                name=label(copy),
                grams=copy.mass.grams,
                known=copy.mass.known.value,
                answer="NO" if over_limit else _SHORT[answers[copy.id].answer],
                act=over_limit or answers[copy.id].todo is not Deed.NOTHING,
                fixed=copy.fixed,
                bag=flight.bag(bag).name if bag is not None else "in no bag",
            )
        )
    return tuple(sorted(lines, key=lambda line: -line.grams))


def finding_rows(view: FlightView) -> tuple[FindingLine, ...]:
    """What goods rules want done, what else is in the way of bags, what to weigh to be surer."""
    flight = view.flight
    more = [("BAG", words) for words in view.check.matters]
    more += [("WEIGH", weigh_next_words(one)) for one in to_weigh(view.packed, view.check)]
    if warning := rules_warning(flight):
        more.append(("RULES", warning))
    return (
        *(_goods_line(flight, found) for found in view.check.findings),
        *(FindingLine(f"{deed} {said}", deed, said, "", (), said) for deed, said in more),
    )


def _goods_line(flight: Flight, found: GoodsFinding) -> FindingLine:
    return FindingLine(
        key=" ".join((found.todo.name, "over" if found.over else "", *found.copies)),
        deed=_DEEDS[found.todo],
        name=pieces_words(found),
        bag=flight.bag(found.bag).name if found.bag is not None else "in no bag",
        copies=found.copies,
        words=finding_lines(flight, (found,))[0],
    )


def shift_words(view: FlightView, copies: Collection[str], bag: str | None) -> str:
    """That copies were put somewhere, in a sentence: "Power bank (126 g) into Soft bag." """
    named = [copy for copy in view.flight.contents if copy.id in set(copies)]
    what = label(named[0]) if len(named) == 1 else count(len(named), "thing")
    mass = grams(sum(copy.mass.grams for copy in named))
    where = "out of all bags" if bag is None else f"into {view.flight.bag(bag).name}"
    return f"{what} ({mass}) {where}."


def weighed_lines(flight: Flight, found: WeighedIn) -> tuple[str, ...]:
    """What may be behind a reading that is off, the likeliest first; and what it counts for."""
    told = []
    if not found.explained.agrees:
        told.append("What may be behind it, the likeliest first:")
        told += [
            f"- {100 * one.probability:.0f} %: {explanation_words(flight, one)}"
            for one in found.explained.explanations
        ]
    if words := standing_words(found):
        told.append(words)
    return (
        *told,
        f"Stored in {TRIPS}/{flight.name}.toml. From now on the reading counts for the bag. Was "
        "it misread, weigh again: of two readings the later one counts.",
    )


def places_of(view: FlightView, copies: Iterable[str]) -> dict[str, str | None]:
    """Where copies lie now: what puts them back there later."""
    homes = {copy.id: copy.bag for copy in view.flight.contents}
    return {copy: view.where.get(copy, homes[copy]) for copy in copies}
