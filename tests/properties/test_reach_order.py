"""What must hold for reach times whatever the box: further, heavier, looser is never quicker."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.kit import Hand, Settings
from toolbox.kit.things import Known, Mass, Size, Tool
from toolbox.reach.engine import ReachTimes, reach_times

BOX = Size(6000, 4000, 3000)
lengths = st.integers(1, 12000)
sides = st.integers(5, 4000)
sizes = st.builds(Size, sides, sides, sides)
masses = st.integers(1, 40_000)
kinds = st.sampled_from(list(Inside))


def tool(size: Size, grams: int) -> Tool:
    """A tool called key."""
    return Tool("key", "key", Mass(grams, Known.GUESS), size)


def times(
    things: dict[str, Tool], kind: Inside, at: Position, stands_at: int, *openings: Opening
) -> ReachTimes:
    """One compartment at that corner of a box that stands so high."""
    place = Compartment("place", "place", kind, Size(1000, 1000, 500), at)
    return reach_times(Box("b", BOX, 1, stands_at, openings, (place,)), Settings(), (), things)


@settings(deadline=None, max_examples=150)
@given(sizes, masses, kinds, lengths, st.integers(0, 3000), st.integers(0, 3000), lengths)
def test_further_back_is_never_quicker(
    size: Size, grams: int, kind: Inside, stands: int, y: int, more: int, x: int
) -> None:
    """The same tool, deeper in the box."""
    things = {"key": tool(size, grams)}
    near = times(things, kind, Position(x, y, 0), stands).pick("key", "place")
    far = times(things, kind, Position(x, y + more, 0), stands).pick("key", "place")
    assert far.milliseconds >= near.milliseconds


@settings(deadline=None, max_examples=150)
@given(sizes, masses, kinds, st.integers(0, 9000), st.integers(0, 4000))
def test_lower_is_never_quicker(
    size: Size, grams: int, kind: Inside, stands: int, less: int
) -> None:
    """The same tool, nearer to the floor, below the height of the resting hand."""
    things = {"key": tool(size, grams)}
    high = times(things, kind, Position(0, 0, 500), stands).pick("key", "place")
    low = times(things, kind, Position(0, 0, 500), max(0, stands - less)).pick("key", "place")
    assert low.milliseconds >= high.milliseconds


@settings(deadline=None, max_examples=150)
@given(sizes, masses, masses, kinds, st.integers(0, 3000))
def test_heavier_is_never_quicker(size: Size, grams: int, more: int, kind: Inside, y: int) -> None:
    """The same place, a heavier tool."""
    things = {"light": tool(size, grams), "heavy": tool(size, grams + more)}
    found = times(things, kind, Position(0, y, 0), 5000)
    light, heavy = found.pick("light", "place"), found.pick("heavy", "place")
    assert heavy.milliseconds >= light.milliseconds


@settings(deadline=None, max_examples=150)
@given(sizes, masses, st.integers(0, 3000), lengths)
def test_laid_is_never_slower_than_loose(size: Size, grams: int, y: int, stands: int) -> None:
    """The same tool at the same spot, in a cut-out and in a bin."""
    things = {"key": tool(size, grams)}
    laid = times(things, Inside.LAID, Position(0, y, 0), stands).pick("key", "place")
    loose = times(things, Inside.LOOSE, Position(0, y, 0), stands).pick("key", "place")
    assert laid.milliseconds <= loose.milliseconds


@settings(deadline=None, max_examples=150)
@given(st.sampled_from(list(Way)), lengths, lengths, masses, masses, st.integers(0, 4))
def test_openings_that_are_heavier_or_longer_are_never_quicker(
    way: Way, travel: int, more: int, grams: int, extra: int, latches: int
) -> None:
    """A longer way, a heavier lid and a latch more each take at least as long."""
    small = Opening("small", "o", way, travel, grams, latches)
    large = Opening("large", "o", way, travel + more, grams + extra, latches + 1)
    found = times({}, Inside.LAID, Position(0, 0, 0), 5000, small, large)
    assert found.opening("large").milliseconds > found.opening("small").milliseconds


@settings(deadline=None, max_examples=100)
@given(sizes, masses, kinds, st.integers(0, 3000), lengths)
def test_having_it_in_the_hand_takes_less_than_fetching_and_putting_back(
    size: Size, grams: int, kind: Inside, y: int, stands: int
) -> None:
    """The way out is a part of the whole."""
    found = times({"key": tool(size, grams)}, kind, Position(0, y, 0), stands)
    whole = found.pick("key", "place").milliseconds
    assert 0 < found.in_hand("key", "place") < whole


def mirrored(box: Box) -> Box:
    """The same box with left and right changed about."""
    return replace(
        box,
        compartments=tuple(
            replace(c, position=c.position._replace(x=box.size.length - c.position.x - c.inside[0]))
            for c in box.compartments
        ),
    )


corners = st.builds(Position, st.integers(0, 6000), st.integers(0, 4000), st.integers(0, 3000))


@settings(deadline=None, max_examples=100)
@given(sizes, masses, st.lists(corners, min_size=1, max_size=4), st.integers(0, 3000), kinds)
def test_a_mirrored_box_is_to_the_left_hand_what_the_box_is_to_the_right(
    size: Size, grams: int, at: list[Position], beside: int, kind: Inside
) -> None:
    """Every pick takes just as long, and so does every opening but for one rounding.

    The grip of an opening lies at the mean of what is behind it, rounded to the left.
    """
    openings = tuple(Opening(way.value, way.value, way, 3000, 500) for way in Way)
    behind = tuple(o.id for o in openings)
    places = tuple(
        Compartment(f"p{n}", "p", kind, Size(1000, 1001, 500), corner, behind)
        for n, corner in enumerate(at)
    )
    box = Box("b", BOX, 1, 7000, openings, places)
    things = {"key": tool(size, grams)}
    right = reach_times(box, Settings(hand=Hand.RIGHT, hand_beside=beside), (), things)
    left = reach_times(mirrored(box), Settings(hand=Hand.LEFT, hand_beside=beside), (), things)
    for place in places:
        assert right.pick("key", place.id) == left.pick("key", place.id)
    for opening in openings:
        one, other = right.opening(opening.id), left.opening(opening.id)
        assert one.milliseconds == pytest.approx(other.milliseconds, abs=1)


@settings(deadline=None, max_examples=100)
@given(sizes, masses, corners, st.sampled_from(list(Hand)), kinds)
def test_at_the_middle_both_hands_reach_alike(
    size: Size, grams: int, at: Position, hand: Hand, kind: Inside
) -> None:
    """Without a word about where the hand starts nothing depends on which hand it is."""
    box = Box("b", BOX, 1, 7000, (), (Compartment("p", "p", kind, Size(1000, 900, 500), at),))
    things = {"key": tool(size, grams)}
    mine = reach_times(box, Settings(hand=hand), (), things).pick("key", "p")
    assert mine == reach_times(box, Settings(), (), things).pick("key", "p")
    assert mine == reach_times(mirrored(box), Settings(), (), things).pick("key", "p")
