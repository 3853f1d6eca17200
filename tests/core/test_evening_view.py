"""The evening as a screen shows it, on a kit known by heart; expected values counted by hand.

Which evening it is, what should be there, what letters mean, how far one is: common
practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from smallkit import small_kit, tool

from toolbox.desk.diary import When, pick_tools, take_back
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_said import close_day, count_place, release_bike, settle_short
from toolbox.desk.evening_stock import stock_seen
from toolbox.desk.evening_view import (
    closed_words,
    count_words,
    day_typed,
    evening_looked_at,
    evening_view,
    inside_words,
    number_short,
    place_of,
    thing_lines,
    thing_meant,
    to_do_words,
)
from toolbox.desk.folder import KitFolder
from toolbox.kit.counting import Outcome, Short
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Part

DAY = date(2026, 11, 20)
AT = datetime(2026, 11, 20, 21, 0, tzinfo=UTC)
WHEN = When(AT, AT, "Ann")


def kit_with_set() -> Kit:
    """Two hex keys in the tray; in the well a set of 28 bits with two holders."""
    kit = small_kit()
    bits = replace(tool("bits", "Bit set"), parts=(Part("bit", 28), Part("holder", 2)))
    places = {"key4": "tray", "key5": "tray", "bits": "well"}
    spots = tuple(Spot(copy, place) for copy, place in places.items())
    tools = (*(t for t in kit.tools if t.id in places), bits)
    return replace(kit, tools=tools, present=Layout("present", spots))


@pytest.fixture
def folder(tmp_path: Path) -> KitFolder:
    """The kit with an empty journal."""
    return KitFolder(tmp_path, kit_with_set())


def again(folder: KitFolder) -> KitFolder:
    """The same with its journal read anew."""
    return KitFolder(folder.path, folder.kit)


def test_which_evening_it_is() -> None:
    """After midnight still the day before; another day than the clock's is that day."""
    night = datetime(2026, 11, 21, 1, 30, tzinfo=UTC)
    assert evening_looked_at(date(2026, 11, 21), night) == DAY
    assert evening_looked_at(DAY, AT) == DAY
    assert evening_looked_at(date(2026, 11, 1), night) == date(2026, 11, 1)


def test_a_set_is_followed_by_its_parts(folder: KitFolder) -> None:
    """A line for the set and one for each sort of parts, with how many should be there."""
    view = evening_view(folder, DAY, DAY)
    place = view.seen.place("well")
    lines = thing_lines(view, place)
    assert [(line.name, line.part, line.should) for line in lines] == [
        ("Bit set", "", 1),
        ("bit", "bit", 28),
        ("holder", "holder", 2),
    ]
    assert inside_words(place).endswith("1 tool, 30 pieces")
    assert place_of(view, lines[1].key) == place
    assert place_of(view, "nothing\n") is None


def test_what_is_out_is_no_longer_expected_and_says_why(folder: KitFolder) -> None:
    """One bit short, two lent: 25 should be there; the count and what is open in words."""
    assert count_words(evening_view(folder, DAY, DAY)) == "Count 0 of 2"
    count_place(folder, DAY, "well", [Short("bits", "bit", 3)], WHEN)
    lent = Short("bits", "bit", 2)
    settle_short(again(folder), lent, Outcome.LENT, DAY, WHEN, "the van", date(2026, 11, 30))
    view = evening_view(again(folder), DAY, DAY)
    bit = thing_lines(view, view.seen.place("well"))[1]
    assert bit.should == 25
    assert set(bit.stands.split("; ")) == {
        "1 short: nobody has said why",
        "2 lent to the van until 2026-11-30",
    }
    assert count_words(view) == "Count 1 of 2"
    assert closed_words(view) == "1 short; not closed"
    assert to_do_words(view) == ""
    count_place(again(folder), DAY, "tray", [], WHEN)
    assert "what became of what is short?" in to_do_words(evening_view(again(folder), DAY, DAY))
    settle_short(again(folder), Short("bits", "bit", 1), Outcome.FOUND, DAY, WHEN)
    assert to_do_words(evening_view(again(folder), DAY, DAY)) == "Everything is accounted for."
    close_day(again(folder), DAY, "", WHEN)
    view = evening_view(again(folder), DAY, DAY)
    assert to_do_words(view) == "The day is closed as complete."
    with pytest.raises(DeskError, match="closed as complete"):
        close_day(again(folder), DAY, "once more", WHEN)


def test_what_cannot_be_said_is_refused(folder: KitFolder) -> None:
    """More short than should be there, no number, no day, no bike that is held."""
    view = evening_view(folder, DAY, DAY)
    bit = thing_lines(view, view.seen.place("well"))[1]
    assert number_short("28", bit) == 28
    for text in ("29", "-1", "x", "", "1.5"):
        with pytest.raises(DeskError, match="28 of it should be there"):
            number_short(text, bit)
    assert day_typed(view, " 2026-11-30 ") == date(2026, 11, 30)
    for text in ("2026-02-30", "30.11.2026", "soon"):
        with pytest.raises(DeskError):
            day_typed(view, text)
    with pytest.raises(DeskError):
        release_bike(folder, "A1", "looked through", WHEN)
    assert not again(folder).facts


def test_letters_mean_things_and_parts(folder: KitFolder) -> None:
    """A few letters of a tool or of a part."""
    view = evening_view(folder, DAY, DAY)
    only = thing_meant(view, "holder").only
    assert only is not None
    assert only.id == "bits\nholder"
    assert {one.id for one in thing_meant(view, "key").found} == {"key4\n", "key5\n"}
    assert not thing_meant(view, "pump").found


def test_supplies_are_looked_at_again_only_when_something_of_them_changed(
    folder: KitFolder,
) -> None:
    """Counts of tools and outcomes change nothing; a pick, and its undo, do."""
    before = stock_seen(folder, DAY)
    count_place(folder, DAY, "well", [Short("bits")], WHEN)
    settle_short(again(folder), Short("bits"), Outcome.LOST, DAY, WHEN)
    assert stock_seen(again(folder), DAY) == before
    entry = pick_tools(again(folder), ["key4"], WHEN)
    picked = stock_seen(again(folder), DAY)
    assert picked != before
    take_back(again(folder), entry.id, WHEN)
    assert stock_seen(again(folder), DAY) != picked
    assert stock_seen(again(folder), date(2026, 11, 21)) != stock_seen(again(folder), DAY)
