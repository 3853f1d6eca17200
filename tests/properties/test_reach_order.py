"""What must hold for reach times whatever the box: further, heavier, looser is never quicker."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.kit import Settings
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
