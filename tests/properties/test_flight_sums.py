"""Whatever is done to a trip's bags, each one weighs its items and its tare, to the gram."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from types import MappingProxyType

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from toolbox.cli.flight_data import check_data
from toolbox.desk.flight_question import packing_question
from toolbox.desk.flights import check_now
from toolbox.desk.folder import KitFolder
from toolbox.desk.trips import Flight, keep_packing, open_flight
from toolbox.files.forms import demo_folder
from toolbox.files.goods_rules import shipped_rules
from toolbox.files.reading import read_kit
from toolbox.files.trips import read_trip
from toolbox.flight.contents import used_up
from toolbox.kit.things import base_id
from toolbox.kit.trips import Weighing

FOLDER = KitFolder(demo_folder(), read_kit(demo_folder()))
OUT = read_trip(demo_folder() / "trips" / "two-races.toml", FOLDER.kit)
HOME = replace(OUT.legs[0], id="home", name="Home", day=None, back=True)
TRIP = replace(OUT, legs=(*OUT.legs, HOME))
FLIGHT = Flight(FOLDER, "two-races", TRIP, shipped_rules(), date(2026, 11, 25))
COPIES = [copy.id for copy in FLIGHT.contents]
MASS = {copy.id: copy.mass.grams for copy in FLIGHT.contents}
BAGS = [bag.id for bag in TRIP.bags]
TARE = {
    bag.id: FOLDER.kit.box.tare_g if bag.box else bag.tare.grams if bag.tare else 0
    for bag in TRIP.bags
}


def eaten() -> dict[str, int]:
    """Grams gone of each copy on the way home: the last piece of a pack is used first."""
    rest = dict(used_up(FOLDER.kit, TRIP))
    gone = {}
    for copy in reversed(COPIES):
        gone[copy] = min(rest.get(base_id(copy), 0), MASS[copy])
        if gone[copy]:
            rest[base_id(copy)] -= gone[copy]
    return gone


GONE = eaten()


class Bags(RuleBasedStateMachine):
    """Things moved, left, brought back and weighed, beside a plain account of each bag."""

    def __init__(self) -> None:
        super().__init__()
        self.flight = FLIGHT
        self.where: dict[str, str | None] = {copy.id: copy.bag for copy in FLIGHT.contents}
        # what the bag would weigh empty, by its tare or by the last reading
        self.empty = dict(TARE)

    @rule(
        copies=st.lists(st.sampled_from(COPIES), max_size=12), bag=st.none() | st.sampled_from(BAGS)
    )
    def move(self, copies: list[str], bag: str | None) -> None:
        """Put things into a bag, or out of all."""
        for copy in copies:
            self.where[copy] = bag
        self._stow()

    @rule(one=st.sampled_from(BAGS), other=st.sampled_from(BAGS))
    def pour(self, one: str, other: str) -> None:
        """Everything out of one bag into another."""
        for copy, bag in self.where.items():
            if bag == one:
                self.where[copy] = other
        self._stow()

    @rule()
    def unpack(self) -> None:
        """Everything home again."""
        self.where = {copy.id: copy.bag for copy in FLIGHT.contents}
        self._stow()

    @rule(bag=st.sampled_from(BAGS), off=st.integers(-200, 200))
    def weigh(self, bag: str, off: int) -> None:
        """Put a bag on the scale; it shows a little more or less than the sum."""
        inside = [copy for copy in COPIES if self.where[copy] == bag]
        if not inside:
            return
        reading = self.empty[bag] + sum(MASS[copy] for copy in inside) + off
        named = tuple(copy if "/" in copy else f"{copy}/1" for copy in inside)
        weighing = Weighing(bag, reading, "hall", date(2026, 11, 25), named)
        trip = self.flight.trip
        trip = replace(trip, weighings=(*trip.weighings, weighing))
        self.flight = replace(self.flight, trip=trip)
        self.empty[bag] += off

    @precondition(lambda self: self.flight.stowed)
    @rule()
    def leave_one(self) -> None:
        """A what-if takes what was stowed first out of all bags."""
        first = next(iter(self.flight.stowed))
        assert replace(self.flight, left=frozenset({first})).now[first] is None

    def _stow(self) -> None:
        self.flight = replace(self.flight, stowed=MappingProxyType(dict(self.where)))

    @invariant()
    def every_bag_weighs_what_is_in_it(self) -> None:
        """On every leg and in the JSON, by plain addition; all bags add up as well."""
        data = check_data(self.flight, check_now(self.flight))
        for bag in data["bags"]:
            inside = [copy for copy in COPIES if self.where[copy] == bag["id"]]
            out = self.empty[bag["id"]] + sum(MASS[copy] for copy in inside)
            home = out - sum(GONE[copy] for copy in inside)
            legs = {leg["leg"]: leg["mass_g"] for leg in bag["legs"]}
            assert legs == {"north": out, "island": out, "home": home}
            assert bag["mass_g"] in (out, home)

    @invariant()
    def the_question_weighs_the_same(self) -> None:
        """Empty masses of the packing question and its items' masses give the same totals."""
        if any(grams < 0 for grams in self.empty.values()):
            return
        problem = packing_question(self.flight, [0] * len(BAGS)).problem
        for b, bag in enumerate(BAGS):
            assert problem.bags[b].tare_g == self.empty[bag]
        for item, copy in zip(problem.items, COPIES, strict=True):
            home = MASS[copy] - GONE[copy]
            assert item.grams == (MASS[copy], MASS[copy], home or None)


TestBags = Bags.TestCase
TestBags.settings = settings(max_examples=8, stateful_step_count=8, deadline=None)


def test_what_was_stowed_is_read_back_equal(tmp_path: Path) -> None:
    """The packing file holds what lies elsewhere than at home, and nothing that lies there."""
    (tmp_path / "trips").mkdir()
    source = demo_folder() / "trips" / "two-races.toml"
    (tmp_path / "trips" / source.name).write_bytes(source.read_bytes())
    folder = KitFolder(tmp_path, FOLDER.kit)
    flight = open_flight(folder, None, date(2026, 11, 25))
    assert flight.stowed == {}
    away = {"S-16/2": "soft", "S-08": None, "T-026": "bike-a"}
    kept = keep_packing(flight, {**away, "T-129": "case"})
    assert kept.stowed == away
    again = open_flight(folder, "two-races", date(2026, 11, 25))
    assert again.stowed == away
    home = keep_packing(again, {})
    assert open_flight(folder, None, date(2026, 11, 25)).stowed == home.stowed == {}
