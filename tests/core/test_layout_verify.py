"""The layout verifier: a sound answer passes, every single kind of fault is named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from toolbox.kit.box import Inside
from toolbox.layout.problem import Answer, Item, LayoutProblem, Outcome, Place, Put, Visit
from toolbox.layout.verify import faults

ITEMS = (
    Item("hex key", 10, 4, 2, 30),
    Item("pliers", 8, 6, 3, 200),
    Item("spoke key", 5, 3, 2, 20),
    Item("grease tin", 4, 4, 6, 90, upright=True),
    Item("tyre lever", 9, 2, 1, 25),
)
PLACES = (
    Place("lid", Inside.LAID, 24, 12, 4, 400, 0, (0,)),
    Place("rack", Inside.ROW, 8, 9, 3, 300, 0, ()),
    Place("well", Inside.LOOSE, 8, 6, 9, 300, 300, (0, 1)),
)
EVERYWHERE = (0, 1, 2)
PROBLEM = LayoutProblem(
    items=ITEMS,
    places=PLACES,
    openings=("lid", "tray"),
    clearance=1,
    pick_cost=((1, 2, 3), (4, 5, 6), (7, 8, 9), (10, 11, 12), (13, 14, 15)),
    visits=(Visit((100, 1000), (0, 3)), Visit((10_000, 100_000), (2, 4))),
    allowed=((0,), EVERYWHERE, EVERYWHERE, (1, 2), EVERYWHERE),
    together=((0, 1),),
    apart=((0, 2), (2, 3)),
)
# lid 11 x 5 and 9 x 7; rack 4 + 3 of 8; well 96 of 300. By hand: picks 1 + 4 + 8 + 12 + 14,
# visit 1 opens the lid and the tray, visit 2 opens nothing.
PUTS = (Put(0, 0, 0), Put(0, 11, 0), Put(1, 0), Put(2), Put(1, 4))
GOOD = Answer(Outcome.GOOD, PUTS, 1 + 4 + 8 + 12 + 14 + 1100, 1000, "by hand")


def with_put(item: int, put: Put) -> Answer:
    """The good answer with one item put elsewhere."""
    puts = list(PUTS)
    puts[item] = put
    return replace(GOOD, puts=tuple(puts))


def test_a_sound_answer_has_no_fault() -> None:
    """The layout worked out by hand passes."""
    assert faults(PROBLEM, GOOD) == ()


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (with_put(1, Put(0, 10, 0)), "hex key and pliers overlap in lid"),
        (with_put(1, Put(0, 16, 0)), "pliers sticks out of lid"),
        (with_put(1, Put(0, 11, 6)), "pliers sticks out of lid"),
        (with_put(1, Put(0, 11, -1)), "pliers sticks out of lid"),
        (with_put(0, Put(0, 0, 0, turned=True)), None),
        (with_put(0, Put(0, 0, 2, turned=True)), "hex key sticks out of lid"),
        (with_put(3, Put(0, 0, 8)), "grease tin may not lie in lid"),
        (with_put(3, Put(0, 0, 8)), "grease tin stands higher than lid is deep"),
        (with_put(1, Put(2)), "hex key and pliers do not lie together"),
        (with_put(2, Put(2)), "spoke key and grease tin lie together in well"),
        (with_put(2, Put(9)), "spoke key has place number 9, which does not exist"),
        (with_put(2, Put(-1)), "spoke key has place number -1, which does not exist"),
        (with_put(2, Put(1, 1)), "spoke key and tyre lever overlap in rack"),
        (with_put(2, Put(1, -1)), "spoke key sticks out of rack"),
        (with_put(4, Put(1, 6)), "tyre lever sticks out of rack"),
        (with_put(4, Put(1, 4, turned=True)), "tyre lever is turned in the row rack"),
        (with_put(3, Put(1, 7)), "the row rack is too short by 4 tenths of a millimetre"),
        (with_put(3, Put(1, 7)), "grease tin stands higher than rack is deep"),
        (replace(GOOD, cost=1138), "the cost is said to be 1138, found 1139"),
        (replace(GOOD, cost=None), "the cost is said to be None, found 1139"),
        (replace(GOOD, bound=1140), "the bound 1140 lies above the cost 1139"),
        (replace(GOOD, puts=PUTS[:4]), "4 places are given for 5 things"),
        (replace(GOOD, puts=()), "a cost is given without a layout"),
    ],
)
def test_each_fault_is_named(answer: Answer, said: str | None) -> None:
    """One thing changed, one sentence about it; a harmless change has none."""
    found = faults(PROBLEM, answer)
    assert said in found if said is not None else found == ()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"load_g": 229}, "lid carries 230 g, 1 g too much"),
        ({"depth": 2}, "pliers stands higher than lid is deep"),
    ],
)
def test_a_lid_that_carries_or_takes_less(change: dict[str, int], said: str) -> None:
    """Load and depth of the lid are looked at."""
    smaller = replace(PROBLEM, places=(replace(PLACES[0], **change), *PLACES[1:]))
    assert faults(smaller, GOOD) == (said,)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"room": 95}, ("well is overfull",)),
        ({"length": 3}, ("grease tin is too big for well",)),
        ({"depth": 5, "length": 99}, ("grease tin is too big for well",)),
        ({"load_g": 89}, ("well carries 90 g, 1 g too much",)),
    ],
)
def test_a_well_that_takes_less(change: dict[str, int], said: tuple[str, ...]) -> None:
    """Fill, sides, the upright side and load of the well are looked at."""
    smaller = replace(PROBLEM, places=(*PLACES[:2], replace(PLACES[2], **change)))
    assert faults(smaller, GOOD) == said


def test_a_long_tool_in_a_row_is_named() -> None:
    """In a row the tool's length has to go into the width."""
    narrow = replace(PROBLEM, places=(PLACES[0], replace(PLACES[1], width=8), PLACES[2]))
    assert faults(narrow, GOOD) == ("tyre lever is longer than the row rack is wide",)


def test_no_layout_and_no_cost_is_no_fault() -> None:
    """An honest "none found" passes."""
    assert faults(PROBLEM, Answer(Outcome.NONE_FOUND, (), None, 5, "")) == ()
