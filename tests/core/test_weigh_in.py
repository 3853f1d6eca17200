"""Readings of packed bags at the desk: what nothing explains, decisions, words about masses."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from toolbox.desk.flight_plan import FlightMove
from toolbox.desk.flight_plan_words import cost_words, money, move_lines
from toolbox.desk.flight_view import sum_words, view_of
from toolbox.desk.flight_words import fits_words
from toolbox.desk.flights import check_now
from toolbox.desk.folder import KitFolder
from toolbox.desk.trips import Flight, shifted
from toolbox.desk.weigh_in import Decision, compare_reading, unexplained_readings, weigh_bag
from toolbox.files.forms import demo_folder
from toolbox.files.goods_rules import shipped_rules
from toolbox.files.problems import KitFaults
from toolbox.files.reading import read_kit
from toolbox.files.trips import read_trip, trip_path, write_trip
from toolbox.flight.packing_problem import Fate
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Goods, Known, Mass, Size
from toolbox.kit.trips import (
    Allowance,
    Bag,
    Concept,
    Item,
    Leg,
    Person,
    Scale,
    Trip,
    Weighing,
)

DAY = date(2026, 11, 25)
RULES = shipped_rules()
KIT = Kit("Kit", Box("Box", Size(4000, 3000, 2000), 2000, 0, (), ()))
NO_GOODS = Goods("none")


def sure(grams: int) -> Mass:
    """A mass known to a gram."""
    return Mass(grams, Known.WEIGHED, 1000)


def item(name: str, grams: int, bag: str = "a", size: Size | None = None) -> Item:
    """A thing of the trip that is no dangerous good."""
    return Item(name, name.capitalize(), bag, sure(grams), size=size, goods=NO_GOODS)


def a_trip(*items: Item, weighings: tuple[Weighing, ...] = ()) -> Trip:
    """Bags a and b of 1 kg, 500 by 300 by 200 mm inside, 10 kg each; a scale of 10 g."""
    bags = tuple(
        Bag(name, f"Bag {name}", "ann", tare=sure(1000), inside=Size(5000, 3000, 2000))
        for name in ("a", "b")
    )
    scale = Scale("hall", "Hall scale", 10_000, error_mg=20_000)
    allowance = Allowance("al", "By piece", Concept.PIECE, 10_000, 2)
    return Trip(
        "Trip",
        (Person("ann", "Ann"),),
        bags,
        (allowance,),
        (Leg("leg", "Leg", "al", screening=("eu",)),),
        items,
        scales=(scale,),
        weighings=weighings,
    )


def flight_of(trip: Trip, where: Path = Path(), stowed: Mapping[str, str | None] = {}) -> Flight:
    """The trip opened, as it is packed at home or as stowed."""
    return Flight(KitFolder(where, KIT), "trip", trip, RULES, DAY, stowed)


THINGS = (item("pump", 800), item("stand", 2500), item("rug", 1200, bag="b"))


def reading(grams: int, **more: str) -> Weighing:
    """Bag a on the scale, with all that lies in it at home."""
    return Weighing("a", grams, "hall", DAY, **more)


# ---- what nothing explains


@pytest.mark.parametrize(
    ("grams", "open_now"),
    [
        (4300, False),  # 1000 + 800 + 2500 to the gram
        (4310, False),  # within twice the uncertainty of scale and list
        (3500, False),  # the pump is missing
        (5500, False),  # the rug is in it
        (1800, False),  # the stand is missing
        (5100, True),  # 800 g more than the list: no thing weighs that which is not in it
        (2600, True),  # 1700 g less
        (9300, True),
    ],
)
def test_a_reading_that_nothing_explains_keeps_the_trip_from_fitting(
    grams: int, open_now: bool
) -> None:
    """By hand: which differences some of three things make up, at 20 g of the scale's error."""
    flight = flight_of(a_trip(*THINGS, weighings=(reading(grams),)))
    check = check_now(flight)
    assert check.masses_fit  # at most 9.3 of 10 kg
    assert check.fits is not open_now
    assert bool(check.matters) is open_now
    explained = compare_reading(flight, reading(grams)).explained
    assert explained.unexplained is open_now
    if open_now:
        assert f"is {abs(grams - 4300)} g" in check.matters[0]
        assert "weigh it again" in check.matters[0]
        assert fits_words(check).startswith("NOT YET: the masses fit; 1 other matter to settle")


def test_it_counts_again_once_weighed_again_or_accepted() -> None:
    """A later reading that agrees, or a decision with a reason and a name."""
    bad = reading(5100)
    assert not check_now(flight_of(a_trip(*THINGS, weighings=(bad,)))).fits
    later = replace(reading(4300), day=date(2026, 11, 26))
    assert check_now(flight_of(a_trip(*THINGS, weighings=(bad, later)))).fits
    # the same again says only that it was not misread
    again = replace(bad, day=date(2026, 11, 26))
    assert not check_now(flight_of(a_trip(*THINGS, weighings=(bad, again)))).fits
    decided = replace(bad, accepted="rain covers", by="Mika")
    assert check_now(flight_of(a_trip(*THINGS, weighings=(bad, decided)))).fits


def test_what_is_shifted_afterwards_explains_nothing() -> None:
    """The reading is held against what was in the bag when it was made, wherever that is now."""
    bad = flight_of(a_trip(*THINGS, weighings=(reading(5100),)))
    moved = replace(bad, stowed={"stand": "b", "rug": "a"})
    assert unexplained_readings(moved) == (reading(5100),)
    good = flight_of(a_trip(*THINGS, weighings=(reading(4300),)), stowed={"stand": "b"})
    assert unexplained_readings(good) == ()
    # five things gone are more than is ever tried as an explanation
    five = [item(f"block{n}", 300 + 7 * n) for n in range(5)]
    many = flight_of(a_trip(*THINGS, *five, weighings=(reading(5870),)))
    assert unexplained_readings(many) == ()
    assert (
        unexplained_readings(replace(many, stowed=dict.fromkeys((x.id for x in five), "b"))) == ()
    )
    # an empty bag does not fly, whatever it weighed
    emptied = replace(bad, stowed={"stand": "b", "pump": "b"})
    assert unexplained_readings(emptied) == ()


def test_a_decision_is_stored_with_its_reason_and_name(tmp_path: Path) -> None:
    """It stands in the trip file behind the reading, on one line, and is read again."""
    write_trip(tmp_path / "trips" / "trip.toml", a_trip(*THINGS))
    flight = flight_of(a_trip(*THINGS), tmp_path)
    weigh_bag(flight, flight.bag("a"), 5100, None)
    reopened = read_trip(trip_path(tmp_path, "trip"), KIT)
    assert unexplained_readings(flight_of(reopened, tmp_path)) == reopened.weighings
    weigh_bag(flight, flight.bag("a"), 5100, None, Decision("rain\n covers \t[b]", "Mika"))
    text = trip_path(tmp_path, "trip").read_text(encoding="utf-8")
    assert tomllib.loads(text)["weighing"][-1]["accepted"] == "rain covers [b]"
    decided = read_trip(trip_path(tmp_path, "trip"), KIT)
    assert decided.weighings[-1].by == "Mika"
    assert unexplained_readings(flight_of(decided, tmp_path)) == ()


@pytest.mark.parametrize(
    ("key", "wrong"),
    [("accepted", "was accepted, but nobody is named"), ("by", "names who decided, but no reason")],
)
def test_half_a_decision_is_a_fault_of_the_file(tmp_path: Path, key: str, wrong: str) -> None:
    """Who and why go together; the fault names the entry."""
    path = tmp_path / "trips" / "trip.toml"
    write_trip(path, a_trip(*THINGS, weighings=(replace(reading(5100), **{key: "Mika"}),)))
    with pytest.raises(KitFaults) as found:
        read_trip(path, KIT)
    assert any(wrong in fault.sentence() for fault in found.value.faults)


def test_what_cannot_fit_into_the_bag_is_no_explanation() -> None:
    """A pole of 700 mm is not in a bag of 500 mm, though it weighs just what is too much."""
    long, short = Size(7000, 300, 300), Size(4000, 300, 300)
    for size, explains in ((long, False), (short, True), (None, True)):
        flight = flight_of(a_trip(*THINGS, item("pole", 900, bag="b", size=size)))
        found = compare_reading(flight, reading(5200)).explained
        assert any("pole" in one.extra for one in found.explanations) is explains
        assert found.unexplained is not explains
    # what is known to have been in it may be missing, whatever its size
    flight = flight_of(a_trip(*THINGS, item("pole", 900, size=long)))
    found = compare_reading(flight, reading(4300)).explained
    assert any("pole" in one.missing for one in found.explanations)


# ---- words


def test_a_reading_and_what_was_moved_since_are_told_apart() -> None:
    """Sums by hand: 1000 + 800 + 2500 g on the list, 4320 g read, then 1200 g in, 800 g out."""
    flight = flight_of(a_trip(*THINGS, weighings=(reading(4320),)))
    bag = flight.bag("a")
    now = view_of(flight, {})
    assert sum_words(now, bag) == (
        "2 things 3300 g + empty 1000 g = 4300 g; its reading of 2026-11-25: 4320 g, which counts"
    )
    where = shifted(flight, shifted(flight, {}, ["rug"], "a"), ["pump"], None)
    assert sum_words(view_of(flight, where), bag) == (
        "2 things 3700 g + empty 1000 g = 4700 g; its reading of 2026-11-25: 4320 g, "
        "since then 1200 g in and 800 g out: 4720 g, which counts"
    )
    assert flight.total(bag, where).grams == 4320 + 1200 - 800


def test_masses_that_fit_are_told_apart_from_bags_that_are_too_heavy() -> None:
    """One thing to ask about in a bag that is light enough, then in one that is not."""
    unknown = replace(item("spray", 300), goods=Goods("flammable-aerosol"))
    ask = check_now(flight_of(a_trip(unknown)))
    assert ask.masses_fit
    assert fits_words(ask).startswith("NOT YET: the masses fit; 1 to ")
    assert fits_words(ask).endswith(" before it may fly.")
    heavy = check_now(flight_of(a_trip(unknown, item("anvil", 9500))))
    assert fits_words(heavy).startswith("DOES NOT FIT: 1 over, 1 to ")
    assert fits_words(check_now(flight_of(a_trip(*THINGS)))).startswith("FITS")


def test_a_trip_without_prices_speaks_of_no_money() -> None:
    """No amount in a currency that nobody named."""
    flight = flight_of(a_trip(*THINGS))
    assert cost_words(flight, 0) == "no prices in this trip"
    assert money(flight, 0) == "nothing"


def test_pieces_of_a_pack_say_how_many_of_how_many() -> None:
    """The demo's five cartridges: one, two and all of them out of the case."""
    kit = read_kit(demo_folder())
    trip = read_trip(demo_folder() / "trips" / "two-races.toml", kit)
    flight = Flight(KitFolder(demo_folder(), kit), "two-races", trip, RULES, DAY)
    pieces = [copy for copy in flight.contents if copy.id.partition("/")[0] == "S-16"]
    assert len(pieces) == 5
    for number, said in ((1, "(1 of 5)"), (2, "(2 of 5)"), (5, "(5 pieces)")):
        moves = [FlightMove(copy, "case", None, Fate.LEFT) for copy in pieces[:number]]
        (words,) = move_lines(flight, moves)
        assert words.startswith(f"{pieces[0].name} {said} stays at home")
