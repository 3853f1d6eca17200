"""Trip files: the example reads in any kit, every fault is told at once, nothing half-written."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from smallkit import small_kit

from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.files.trips import (
    append_weighing,
    begin_trip,
    read_trip,
    trip_names,
    trip_path,
)
from toolbox.kit.kit import Kit
from toolbox.kit.things import Money
from toolbox.kit.trips import Concept, Weighing

KIT: Kit = small_kit()

GOOD = """
name = "There and back"
must = ["key4"]

[[person]]
id = "mika"
name = "Mika"

[[bag]]
id = "case"
name = "Case"
answers = "mika"
box = true

[[bag]]
id = "wheels"
name = "Wheel bag"
answers = "mika"
tare = "2.1 kg"

[[item]]
id = "front"
name = "Front wheel"
bag = "wheels"
mass = "900 g"
mass_known = "weighed"
scale_step = "10 g"

[[allowance]]
id = "pc"
name = "By piece"
concept = "piece"
mass = "23 kg"
pieces = 2
ceiling = "32 kg"
band = [{ up_to = "32 kg", price = "60.00 EUR" }]

[[leg]]
id = "out"
name = "Out"
allowance = "pc"
day = 2026-12-04

[[leg]]
id = "home"
name = "Home"
allowance = "pc"
day = 2026-12-07
back = true

[[bike]]
id = "A1"
name = "A one"
bag = "wheels"

[[work]]
job = "bleed"
expected = 1.5
bikes = ["A1"]

[[way]]
item = "front"
other = "buy"
price = "80.00 EUR"

[[scale]]
id = "hall"
name = "Hall scale"
scale_step = "50 g"

[[weighing]]
bag = "case"
reading = "22.95 kg"
scale = "hall"
day = 2026-12-03
"""


def written(folder: Path, text: str) -> Path:
    """A trip file with that text."""
    path = folder / "trips" / "race.toml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def faults(folder: Path, text: str) -> list[str]:
    """The sentences about everything that is wrong."""
    with pytest.raises(KitFaults) as caught:
        read_trip(written(folder, text), KIT)
    sentences = [fault.sentence() for fault in caught.value.faults]
    assert all(s.startswith("trips/race.toml") and s.isprintable() for s in sentences)
    return sentences


def test_a_trip_is_read(tmp_path: Path) -> None:
    """Values in whole units, allowances by name, expected work by bikes."""
    trip = read_trip(written(tmp_path, GOOD), KIT)
    assert trip.weighings[0].reading_g == 22_950
    assert trip.items[0].mass.step_mg == 10_000
    allowance = trip.allowance(trip.legs[0], "mika")
    assert (allowance.concept, allowance.mass_g, allowance.ceiling_g) == (
        Concept.PIECE,
        23_000,
        32_000,
    )
    assert allowance.bands[0].price == Money(6000, "EUR")
    assert float(trip.work[0].expected()) == 1.5
    assert [leg.back for leg in trip.legs] == [False, True]


# What is changed in the good file, and what must be said of it.
SPOILT = {
    'answers = "mika"\nbox = true': ('answers = "mikka"\nbox = true', 'did you mean "mika"?'),
    'name = "Case"\nanswers = "mika"\nbox = true': (
        'name = "Case"\nanswers = "mika"\nbox = true\ntare = "3 kg"',
        "is the kit's box and gives its tare",
    ),
    'tare = "2.1 kg"\n': ("", "has no tare"),
    'tare = "2.1 kg"': ('tare = "2,1"', "has no unit"),
    '2.1 kg"\n': ('2.1 kg"\nlength = "900 mm"\n', "has no width and height"),
    'mass_known = "weighed"': ('mass_known = "guess"', "was not weighed"),
    'bag = "wheels"\nmass': ('bag = "wheel"\nmass', 'did you mean "wheels"?'),
    'id = "front"': ('id = "key4"', "that of a tool or supply of the kit"),
    "pieces = 2\n": ("", "names no pieces"),
    'concept = "piece"': ('concept = "weight"', "counts by weight and gives pieces"),
    'ceiling = "32 kg"': ('ceiling = "30 kg"', "a ceiling below its mass or its last band"),
    'up_to = "32 kg"': ('up_to = "23 kg"', "do not rise above its mass"),
    'price = "60.00 EUR"': ('price = "60.00 CHF"', "in one currency"),
    'price = "80.00 EUR"': ('price = "80 euros"', "is not an amount of money"),
    "day = 2026-12-07": ("day = 2026-12-01", "is flown before"),
    "\nback = true": ("\nbakc = true", 'did you mean "back"?'),
    'job = "bleed"': ('job = "bled"', 'did you mean "bleed"?'),
    'bikes = ["A1"]': ('bikes = ["A1", "A1"]', "2 times"),
    'other = "buy"': ('other = "leave"', "price for staying at home"),
    'scale = "hall"': ('scale = "hull"', 'did you mean "hall"?'),
    'must = ["key4"]': ('must = ["key9"]', "which is no thing of the kit or this trip"),
    "[[scale]]": ("[[scales]]", "did you mean [[scale]]?"),
    'id = "home"': ('id = "out"', "its id is already taken"),
}


@pytest.mark.parametrize("old", SPOILT)
def test_each_fault_is_told(tmp_path: Path, old: str) -> None:
    """One thing spoilt: the sentence about it, and what to do."""
    new, said = SPOILT[old]
    assert GOOD.count(old) == 1
    assert any(said in s for s in faults(tmp_path, GOOD.replace(old, new)))


def test_all_faults_of_a_file_are_told_at_once(tmp_path: Path) -> None:
    """Four things spoilt, four sentences."""
    text = GOOD
    for old in ('mass_known = "weighed"', 'job = "bleed"', "pieces = 2\n", 'scale = "hall"'):
        text = text.replace(old, SPOILT[old][0])
    said = faults(tmp_path, text)
    assert len(said) == 4


def test_what_lies_in_the_box_lies_nowhere_else(tmp_path: Path) -> None:
    """A tool that is carried in the box is held by no other bag, and none by two."""
    held = GOOD.replace('tare = "2.1 kg"', 'tare = "2.1 kg"\nholds = ["key5", "fluid"]')
    said = faults(tmp_path, held)
    assert any("lies in the kit's box" in s for s in said)
    assert any("has no mass" in s for s in said)


def test_an_empty_file_says_what_is_missing(tmp_path: Path) -> None:
    """A trip needs a name, people, bags, allowances and legs."""
    said = "\n".join(faults(tmp_path, ""))
    for word in ("name", "[[person]]", "[[bag]]", "[[allowance]]", "[[leg]]"):
        assert word in said


def test_no_toml_at_all(tmp_path: Path) -> None:
    """The line is named, and nothing else is complained of."""
    said = faults(tmp_path, GOOD.replace("back = true", "back = yes"))
    assert len(said) == 1
    assert "is not TOML" in said[0]


def test_the_example_reads_in_any_kit(tmp_path: Path) -> None:
    """Begun in a kit, it is a trip without a fault whose allowances are named as examples."""
    path = begin_trip(tmp_path, "race-1")
    assert trip_names(tmp_path) == ("race-1",)
    trip = read_trip(trip_path(tmp_path, "race-1"), KIT)
    assert path == trip_path(tmp_path, "race-1")
    assert {(a.concept, a.mass_g) for a in trip.allowances} == {
        (Concept.PIECE, 23_000),
        (Concept.PIECE, 32_000),
        (Concept.WEIGHT, 20_000),
    }
    assert all(a.name.startswith("Example") for a in trip.allowances)
    # IATA's guide size of a cabin bag, 56 x 45 x 25 cm; 158 and 203 cm added sides
    assert all(a.cabin and a.cabin.size == (5600, 4500, 2500) for a in trip.allowances)
    assert trip.allowances[0].sides == 15_800
    assert "decide" in path.read_text(encoding="utf-8")
    with pytest.raises(WriteRefused):
        begin_trip(tmp_path, "race-1")
    with pytest.raises(WriteRefused):
        begin_trip(tmp_path, "../race")


def test_a_trip_that_is_not_there(tmp_path: Path) -> None:
    """The nearest name is offered."""
    begin_trip(tmp_path, "winter")
    with pytest.raises(KitFaults, match="did you mean"):
        trip_path(tmp_path, "wintre")


def test_a_weighing_is_added_and_comments_stay(tmp_path: Path) -> None:
    """All that stood there stands there still."""
    path = written(tmp_path, GOOD + "# my own words\n")
    append_weighing(path, Weighing("wheels", 9_400, "hall", date(2026, 12, 3), ("front",)))
    assert path.read_text(encoding="utf-8").startswith(GOOD + "# my own words\n")
    trip = read_trip(path, KIT)
    assert trip.weighings[-1] == Weighing("wheels", 9_400, "hall", date(2026, 12, 3), ("front",))
    assert len(trip.weighings) == 2
