"""A trip by air opened: the kit's trip file, the goods rules, what lies in the bags, by whom.

Things lie at home, where kit and trip say, unless they were stowed elsewhere. Sums and
readings come from ``flight/contents``, to the gram.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property, lru_cache
from pathlib import Path
from types import MappingProxyType

from toolbox.desk.errors import DeskError, UnclearName, UnknownName
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.names import Named, match
from toolbox.files.customs import issued_files, read_issued
from toolbox.files.goods_rules import OWN, goods_rules
from toolbox.files.label_grids import own_grids
from toolbox.files.packings import FOLDER as PACKINGS_FOLDER
from toolbox.files.packings import packing_path, read_packing, save_packing
from toolbox.files.problems import Fault, KitFaults
from toolbox.files.templates import read_template, template_names
from toolbox.files.trips import FOLDER, begin_trip, read_trip, trip_names, trip_path
from toolbox.flight.contents import Content, after_work, bag_total, contents_of, used_up
from toolbox.flight.goods import Judged, judge_all, scope_of
from toolbox.flight.goods_limits import LimitRow, limit_rows
from toolbox.flight.masses import Total
from toolbox.kit.goods import GoodsRules
from toolbox.kit.kit import Kit
from toolbox.kit.things import base_id
from toolbox.kit.trips import Bag, Leg, Person, Trip

TRIPS, PACKINGS = FOLDER, PACKINGS_FOLDER  # where such files stand in a kit folder
# Copy -> the id of the bag it lies in, None for no bag; what is not named lies at home.
Where = Mapping[str, str | None]


@dataclass(frozen=True)
class Flight:
    """A trip and all that is known about it on a day.

    ``stowed`` are the copies that do not lie at home; ``left`` those that stay behind
    whatever the files say: a what-if.
    """

    folder: KitFolder
    name: str
    trip: Trip
    rules: GoodsRules
    today: date
    stowed: Where = field(default_factory=dict, hash=False)
    left: frozenset[str] = field(default=frozenset())

    @property
    def kit(self) -> Kit:
        """The kit that flies."""
        return self.folder.kit

    @cached_property
    def contents(self) -> tuple[Content, ...]:
        """Every copy that lies in a bag of the trip."""
        return contents_of(self.kit, self.trip)

    @cached_property
    def judged(self) -> dict[str, Judged]:
        """The answer of the goods rules for each copy."""
        found = judge_all([c.thing for c in self.contents], self.rules, scope_of(self.trip))
        return {judged.thing.id: judged for judged in found}

    @cached_property
    def limits(self) -> tuple[LimitRow, ...]:
        """The limits of goods that add up, and what counts under each."""
        return limit_rows(tuple(self.judged.values()), self.rules, scope_of(self.trip))

    @cached_property
    def after(self) -> dict[str, Content]:
        """The copies as they fly home, lighter by what the work used up; those used up are gone."""
        used = used_up(self.kit, self.trip)
        return {c.id: c for c in after_work(self.contents, used)}

    @cached_property
    def now(self) -> Where:
        """The packing as it is today."""
        return MappingProxyType({**self.stowed, **dict.fromkeys(self.left)})

    def grams(self, copy: Content, leg: Leg) -> int | None:
        """What a copy weighs on a leg; None when it is used up before."""
        if not leg.back:
            return copy.mass.grams
        left = self.after.get(copy.id)
        return None if left is None else left.mass.grams

    def inside(self, bag: Bag, where: Where) -> list[Content]:
        """What lies in a bag."""
        return [c for c in self.contents if where.get(c.id, c.bag) == bag.id]

    def total(self, bag: Bag, where: Where, leg: Leg | None = None) -> Total:
        """The mass of a bag packed so, on a leg or (None) before the trip."""
        used: Counter[str] = Counter()
        if leg is not None and leg.back:
            for copy in self.inside(bag, where):
                gone = copy.mass.grams - (self.grams(copy, leg) or 0)
                if gone:
                    used[base_id(copy.id)] += gone
        return bag_total(bag, self.kit, self.trip, self.contents, where, used)

    def bag(self, bag_id: str) -> Bag:
        """The bag of that id; KeyError when the trip has none."""
        return next(b for b in self.trip.bags if b.id == bag_id)

    def person(self, person_id: str) -> Person:
        """The person of that id."""
        return next(p for p in self.trip.people if p.id == person_id)


def trips_of(folder: KitFolder) -> tuple[str, ...]:
    """The names of the kit's trips."""
    return trip_names(folder.path)


def open_flight(folder: KitFolder, name: str | None, today: date) -> Flight:
    """The trip of that name, or the nearest one; KitFaults names every fault of its files.

    DeskError when the kit has no trip.
    """
    if name is None:
        found = nearest_trip(folder, today)
        if found is None:
            raise DeskError(
                f'no trip in this kit yet; begin one with "toolbox trip NAME", it is a file in '
                f"{TRIPS}/"
            )
        return found
    return _opened(folder, name, rules_of(folder.path), today)


def _opened(folder: KitFolder, name: str, rules: GoodsRules, today: date) -> Flight:
    trip = read_trip(trip_path(folder.path, name), folder.kit)
    stowed = read_packing(packing_path(folder.path, name), trip)
    return Flight(folder, name, trip, rules, today, MappingProxyType(stowed))


def nearest_trip(folder: KitFolder, today: date) -> Flight | None:
    """The trip that comes next; one without days before one that is over; None without any."""
    names = trips_of(folder)
    if not names:
        return None
    rules = rules_of(folder.path)
    flights = [_opened(folder, name, rules, today) for name in names]
    return min(flights, key=lambda flight: _distance(flight.trip, today))


def _distance(trip: Trip, today: date) -> tuple[int, int]:
    """How near a trip is: under way or to come by its first leg, undated, then those gone by."""
    days = [leg.day for leg in trip.legs if leg.day is not None]
    if not days:
        return 1, 0
    if max(days) < today:
        return 2, (today - max(days)).days
    return 0, (min(day for day in days if day >= today) - today).days


def is_over(trip: Trip, today: date) -> bool:
    """True when the last leg of a trip was flown before that day."""
    return _distance(trip, today)[0] == 2


def rules_of(folder: Path) -> GoodsRules:
    """The goods rules of a kit folder; read again only when its file has changed."""
    own = folder / OWN
    stamp = (own.stat().st_mtime_ns, own.stat().st_size) if own.exists() else (0, 0)
    return _rules_at(folder, stamp)


@lru_cache(maxsize=4)
def _rules_at(folder: Path, stamp: tuple[int, int]) -> GoodsRules:
    return goods_rules(folder)


def read_everything(path: Path) -> KitFolder:
    """Read a kit with its trips, lists, goods rules and papers; KitFaults names every fault.

    Trips and lists are read only when the kit has no fault, since they name what is in it.
    """
    found: list[Fault] = []
    folder = None
    try:
        folder = open_kit(path)
    except KitFaults as faults:
        found += faults.faults
    try:
        goods_rules(path)
    except KitFaults as faults:
        found += faults.faults
    if folder is None:
        raise KitFaults(found)
    for name in trip_names(path):
        try:
            trip = read_trip(trip_path(path, name), folder.kit)
            read_packing(packing_path(path, name), trip)
        except KitFaults as faults:
            found += faults.faults
    for name in template_names(path):
        try:
            read_template(path, name, folder.kit)
        except KitFaults as faults:
            found += faults.faults
    for issued in issued_files(path):
        try:
            read_issued(issued)
        except KitFaults as faults:
            found += faults.faults
    try:
        own_grids(path)
    except KitFaults as faults:
        found += faults.faults
    if found:
        raise KitFaults(found)
    return folder


def new_trip(folder: KitFolder, name: str) -> Path:
    """Begin a trip file from the example; WriteRefused when there is one of that name."""
    return begin_trip(folder.path, name)


def bag_named(flight: Flight, letters: str) -> Bag:
    """The bag meant; UnclearName or UnknownName when it is not clear."""
    return flight.bag(_one("bag", letters, (Named(b.id, b.name) for b in flight.trip.bags)))


def copies_named(flight: Flight, letters: str) -> tuple[str, ...]:
    """All copies of the thing meant, or the one copy named by its own id (``S-16/5``)."""
    by_id = [c.id for c in flight.contents if c.id == letters]
    if by_id and "/" in letters:
        return tuple(by_id)
    things = dict.fromkeys(Named(base_id(c.id), c.name) for c in flight.contents)
    thing = _one("thing in the bags", letters, things)
    return tuple(c.id for c in flight.contents if base_id(c.id) == thing)


def _one(kind: str, letters: str, things: Iterable[Named]) -> str:
    found = match(letters, things)
    if found.only is not None:
        return found.only.id
    if found.found:
        raise UnclearName(kind, letters, found.found)
    raise UnknownName(kind, letters, found.near)


def shifted(flight: Flight, where: Where, copies: Collection[str], bag: str | None) -> Where:
    """A packing with these copies put into a bag, or (None) out of all; nothing is written.

    DeskError for what is fixed in its bag.
    """
    by_id = {copy.id: copy for copy in flight.contents}
    fixed = [label(by_id[c]) for c in copies if by_id[c].fixed and by_id[c].bag != bag]
    if fixed:
        raise DeskError(f"{', '.join(fixed)} stays in its bag: the trip says that it is fixed")
    return away_from_home(flight, {**where, **dict.fromkeys(copies, bag)})


def stow(flight: Flight, copies: Collection[str], bag: str | None) -> Flight:
    """Put copies into a bag, or (None) leave them out of all, and write that down.

    DeskError for what is fixed in its bag.
    """
    return keep_packing(flight, shifted(flight, flight.stowed, copies, bag))


def keep_packing(flight: Flight, where: Where) -> Flight:
    """Write down where everything lies; what lies at home is not named."""
    away = away_from_home(flight, where)
    save_packing(packing_path(flight.folder.path, flight.name), flight.name, away)
    return replace(flight, stowed=away)


def away_from_home(flight: Flight, where: Where) -> Where:
    """The same packing by what does not lie at home alone: so two of them can be compared."""
    homes = {copy.id: copy.bag for copy in flight.contents}
    return MappingProxyType({c: b for c, b in where.items() if c in homes and homes[c] != b})


def without(flight: Flight, copies: Collection[str]) -> Flight:
    """The same trip with these copies left at home."""
    return replace(flight, left=flight.left | set(copies))


def label(copy: Content) -> str:
    """What people call a copy: "no. 2" behind a second one."""
    number = copy.id.partition("/")[2]
    return f"{copy.name}, no. {number}" if number else copy.name


def some_of(flight: Flight, item: str, number: int) -> str:
    """A thing with how many of all its pieces are meant: "Button cells (1 of 5)"."""
    every = [copy for copy in flight.contents if base_id(copy.id) == item]
    if len(every) == 1:
        return every[0].name
    of = f"{number} pieces" if number == len(every) else f"{number} of {len(every)}"
    return f"{every[0].name} ({of})"
