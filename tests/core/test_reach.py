"""The reach engine put together: motions chosen, openings, bending, stopwatch readings."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.kit import Hand, Readings, Settings
from toolbox.kit.things import Known, Mass, Size, Supply, Tool
from toolbox.kit.things import Measure as SupplyMeasure
from toolbox.reach.engine import ReachTimes, Source, Timed, reach_times
from toolbox.reach.motions import Motion

SIZE = Size(6000, 4000, 2500)
SPANNER = Size(1500, 300, 200)


def place(name: str, kind: Inside, *openings: str) -> Compartment:
    """A compartment whose rim's middle is 400 mm straight before the resting hand."""
    return Compartment(name, name, kind, Size(2000, 2000, 500), Position(2000, 0, 500), openings)


def box(*openings: Opening, stands_at: int = 9000) -> Box:
    """A box with one compartment of each kind at the same spot."""
    kinds = (place("slot", Inside.LAID), place("rack", Inside.ROW), place("bin", Inside.LOOSE))
    hidden = place("hidden", Inside.LAID, *(o.id for o in openings))
    return Box("case", SIZE, 5000, stands_at, openings, (*kinds, hidden))


def tool(name: str, size: Size = SPANNER, grams: int = 100) -> Tool:
    """A tool of that size and mass."""
    return Tool(name, name, Mass(grams, Known.WEIGHED), size)


def times(*things: Tool, of: Box | None = None, readings: tuple[Readings, ...] = ()) -> ReachTimes:
    """Reach times with default settings."""
    return reach_times(of or box(), Settings(), readings, {t.id: t for t in things})


def codes(timed: Timed) -> str:
    """The codes of the motions, in order."""
    return " ".join(motion.code for motion in timed.motions)


@pytest.mark.parametrize(
    ("hand", "expected"),
    [
        (Hand.RIGHT, "R40B G1A M40B M40B P1NSE RL1"),
        (Hand.LEFT, "R72B G1A M72B M72B P1NSE RL1"),
    ],
)
def test_a_hand_starts_on_its_own_side_of_the_middle(hand: Hand, expected: str) -> None:
    """A slot 300 mm right of the middle: 400 mm before the right hand, 721 mm from the left.

    By Pythagoras: 600 mm across and 400 mm deep are 721 mm.
    """
    moved = replace(place("slot", Inside.LAID), position=Position(5000, 0, 500))
    case = Box("case", SIZE, 5000, 9000, (), (moved,))
    settings = Settings(hand=hand, hand_beside=3000)
    timed = reach_times(case, settings, (), {"key": tool("key")}).pick("key", "slot")
    assert codes(timed) == expected


def test_a_laid_tool_is_picked_up_moved_and_put_into_its_cut_out() -> None:
    """Codes and sum by hand from the MTM-1 card: 15.6 + 2.0 + 15.6 + 15.6 + 10.4 + 2.0 TMU."""
    timed = times(tool("key")).pick("key", "slot")
    assert codes(timed) == "R40B G1A M40B M40B P1NSE RL1"
    assert sum(m.tmu for m in timed.motions) == Fraction("61.2")
    assert timed.milliseconds == 2203  # 61.2 × 36 = 2203.2
    assert timed.source is Source.TABLE
    assert timed.spread_ms is None


@pytest.mark.parametrize(
    ("size", "where", "expected"),
    [
        (Size(1500, 300, 30), "slot", "R40B G1B M40B M40B P1NSE RL1"),
        (Size(1500, 300, 31), "slot", "R40B G1A M40B M40B P1NSE RL1"),
        (Size(1500, 300, 200), "rack", "R40B G1C1 M40B M40B P1SE RL1"),
        (Size(1500, 120, 120), "rack", "R40B G1C2 M40B M40B P1SE RL1"),
        (Size(1500, 60, 60), "rack", "R40B G1C2 M40B M40B P1SE RL1"),
        (Size(1500, 300, 59), "rack", "R40B G1C3 M40B M40B P1SE RL1"),
        (Size(1500, 300, 200), "bin", "EF R40C G4A M40B M40B RL1"),
        (Size(251, 250, 250), "bin", "EF R40C G4A M40B M40B RL1"),
        (Size(250, 250, 250), "bin", "EF R40D G4B M40B M40B RL1"),
        (Size(59, 59, 29), "bin", "EF R40D G4C M40B M40B RL1"),
        (Size(59, 59, 30), "bin", "EF R40D G4B M40B M40B RL1"),
    ],
)
def test_grasps_follow_the_compartment_and_the_size(size: Size, where: str, expected: str) -> None:
    """Limits of G1C and G4 as on the MTM-1 card; G1B at 3 mm is a choice of the program."""
    assert codes(times(tool("thing", size)).pick("thing", where)) == expected


def test_a_compartment_below_the_bending_height_takes_bending_twice() -> None:
    """B 29.0 and AB 31.9 TMU (MTM-1 card), once to fetch and once to put back."""
    lower = times(tool("key"), of=box(stands_at=5999)).pick("key", "slot")
    higher = times(tool("key"), of=box(stands_at=6000)).pick("key", "slot")
    assert codes(higher).count("AB") == 0
    assert codes(lower).split()[0] == "B"
    assert codes(lower).split().count("B") == codes(lower).split().count("AB") == 2
    assert lower.milliseconds - higher.milliseconds >= 4384  # 121.8 TMU = 4384.8 ms


def test_a_lid_with_latches_is_opened_and_closed() -> None:
    """Latch moves of 10 cm (M10B 6.8) and the lid's 50 cm (M50B 18.0), each twice."""
    lid = Opening("lid", "lid", Way.LID, 5000, 900, latches=2)
    timed = times(of=box(lid)).opening("lid")
    out, back = "G5 M10B G5 M10B R34A G1A M50B RL1", "R34A G1A M50B RL1 G5 M10B G5 M10B"
    assert codes(timed) == f"{out} {back}"


def test_a_tray_is_lifted_with_both_hands_and_put_back_in_place() -> None:
    """2.2 kg is 1.1 kg in each hand, which the first row of the pound table still holds."""
    tray = Opening("tray", "tray", Way.TRAY, 4000, 2200)
    timed = times(of=box(tray)).opening("tray")
    assert codes(timed) == "R40A G1A M40B RL1 R40A G1A M40B P1NSE RL1"
    assert [m.tmu for m in timed.motions if m.code == "M40B"] == [Fraction("15.6")] * 2
    heavy = times(of=box(replace(tray, mass_g=2300))).opening("tray")
    moved = next(m.tmu for m in heavy.motions if m.code == "M40B")
    assert moved == Fraction("2.2") + Fraction("1.06") * Fraction("15.6")


def test_what_nobody_has_said_is_named_as_such() -> None:
    """An opening without mass, or a supply without mass and size, says DEFAULT."""
    flap = Opening("flap", "flap", Way.FLAP, 2000)
    bag = Supply("bag", "bag", SupplyMeasure.PIECES)
    found = reach_times(box(flap), Settings(), (), {"bag": bag})
    assert found.opening("flap").source is Source.DEFAULT
    for where in ("slot", "rack", "bin"):
        assert found.pick("bag", where).source is Source.DEFAULT


def test_a_stopwatch_reading_replaces_the_table() -> None:
    """The median counts, the spread is shown; other compartments keep the table."""
    lid = Opening("lid", "lid", Way.LID, 5000, 900, latches=2)
    readings = (Readings("lid", (2600, 2400, 9000)), Readings("slot", (1501, 1400)))
    found = times(tool("a"), tool("b", grams=4000), of=box(lid), readings=readings)
    assert found.opening("lid") == Timed(2600, Source.MEASURED, (2400, 9000))
    assert found.pick("a", "slot") == Timed(1451, Source.MEASURED, (1400, 1501))
    assert found.pick("b", "slot") == found.pick("a", "slot")
    assert found.pick("a", "rack").source is Source.TABLE


def test_readings_of_one_motion_in_several_entries_count_together() -> None:
    """Three readings in two entries have one median; an entry without times changes nothing."""
    readings = (Readings("slot", (1000, 3000)), Readings("slot", (2000,)), Readings("bin", ()))
    found = times(tool("a"), readings=readings)
    assert found.pick("a", "slot").milliseconds == 2000
    assert found.pick("a", "bin").source is Source.TABLE


def test_time_to_the_hand_is_the_way_out_alone() -> None:
    """Openings opened and the fetch, by hand from the card: 33.2 TMU for the fetch at 40 cm."""
    lid = Opening("lid", "lid", Way.LID, 5000, 900)
    found = times(tool("a"), of=box(lid))
    assert found.in_hand("a", "slot") == 1195  # (15.6 + 2.0 + 15.6) × 36 = 1195.2
    half = found.opening("lid").milliseconds / 2
    assert abs(found.in_hand("a", "hidden") - 1195 - half) <= 1


def test_a_reading_is_shared_between_out_and_back_as_the_table_shares() -> None:
    """33.2 of 61.2 TMU are the fetch, so 33.2/61.2 of a 612 ms reading."""
    found = times(tool("a"), readings=(Readings("slot", (612,)),))
    assert found.in_hand("a", "slot") == 332


def test_the_way_to_the_box_can_be_set() -> None:
    """A hand that rests farther off needs longer."""
    near, far = Settings(), Settings(stand_off=6000)
    things = {"a": tool("a")}
    quick = reach_times(box(), near, (), things).pick("a", "slot").milliseconds
    assert reach_times(box(), far, (), things).pick("a", "slot").milliseconds > quick


def test_unknown_names_are_refused() -> None:
    """KeyError for a thing, a compartment or an opening that is not there."""
    found = times(tool("a"))
    for call in (
        lambda: found.pick("b", "slot"),
        lambda: found.pick("a", "nowhere"),
        lambda: found.opening("lid"),
    ):
        with pytest.raises(KeyError):
            call()


def test_a_drawer_is_gripped_at_the_front_and_a_lid_at_the_upper_edge() -> None:
    """By Pythagoras, in tenths of a millimetre: the lid 3354 away, the drawer 3000."""
    drawer = Opening("drawer", "drawer", Way.DRAWER, 3000, 500)
    lid = Opening("lid", "lid", Way.LID, 3000, 500)
    for opening, distance in ((drawer, "R30A"), (lid, "R34A")):
        reached: Motion = times(of=box(opening)).opening(opening.id).motions[0]
        assert reached.code == distance


def test_a_tray_is_gripped_over_the_middle_of_what_lies_beneath_at_the_highest_rim() -> None:
    """sqrt(150² + 500² + 200²) = 559 mm from the resting hand, by Pythagoras."""
    low = Compartment("l", "l", Inside.LAID, Size(1000, 1000, 500), Position(4000, 1500, 0), ("t",))
    high = Compartment("h", "h", Inside.LAID, Size(1000, 1000, 500), Position(4000, 1500, 1500))
    tray = Opening("t", "t", Way.TRAY, 2000, 2201)
    under = replace(high, openings=("t",))
    of = Box("case", SIZE, 5000, 6000, (tray,), (low, under))
    found = times(of=of).opening("t")
    assert found.motions[0].code == "R56A"
    moved = next(m for m in found.motions if m.code == "M20B")
    assert moved.words.endswith("(1101 g)")


def test_an_opening_below_the_bending_height_takes_bending_to_open_and_to_close() -> None:
    """The lid's grip is the box's upper edge: 250 mm up, on a box that stands at 449 mm."""
    lid = Opening("lid", "lid", Way.LID, 2000, 500)
    below, above = (times(of=box(lid, stands_at=at)).opening("lid") for at in (4499, 4500))
    assert codes(above).split().count("AB") == 0
    assert codes(below).split().count("AB") == 2


def test_a_compartment_at_the_side_is_further_than_one_in_the_middle() -> None:
    """200 mm aside at 300 mm before the hand is 360.6 mm by Pythagoras."""
    aside = Compartment("aside", "aside", Inside.LAID, Size(1000, 0, 500), Position(4500, 0, 500))
    of = Box("case", SIZE, 5000, 9000, (), (aside,))
    timed = times(tool("key"), of=of).pick("key", "aside")
    assert timed.motions[0].code == "R36B"
