"""The layout checker sees every kind of fault, by name."""

from __future__ import annotations

from dataclasses import replace

import pytest

from toolbox.kit.box import Inside
from toolbox.layout.problem import Answer, Item, LayoutProblem, Outcome, Place, Put, Visit
from toolbox.layout.verify import faults

PROBLEM = LayoutProblem(
    items=(
        Item("key", 100, 20, 10, 50),
        Item("gauge", 60, 40, 30, 80),
        Item("bottle", 50, 50, 90, 200, upright=True),
        Item("rag", 30, 30, 30, 20),
    ),
    places=(
        Place("tray", Inside.LAID, 160, 64, 30, 200, 0, ()),
        Place("loops", Inside.ROW, 100, 120, 30, 200, 0, ()),
        Place("well", Inside.LOOSE, 120, 100, 100, 400, 600_000, (0,)),
    ),
    openings=("lid",),
    clearance=4,
    pick_cost=((5, 6, 9), (5, 6, 9), (50, 50, 9), (5, 5, 9)),
    visits=(Visit((7,), (0, 2)),),
    allowed=((0, 1), (0, 1, 2), (2,), (0, 1, 2)),
    together=((0, 1),),
    apart=((1, 2),),
)
PUTS = (Put(0, 0, 0), Put(0, 104, 0, True), Put(2), Put(2))
GOOD = Answer(Outcome.GOOD, PUTS, 5 + 5 + 9 + 9 + 7, 30, "by hand")


def test_a_layout_that_holds_has_no_fault() -> None:
    """The key lies along the front, the gauge turned beside it, the rest in the well."""
    assert faults(PROBLEM, GOOD) == ()


def put(item: int, where: Put) -> Answer:
    """The good answer with one thing put elsewhere; its cost is left as it was."""
    puts = list(PUTS)
    puts[item] = where
    return replace(GOOD, puts=tuple(puts))


@pytest.mark.parametrize(
    ("answer", "names"),
    [
        (put(1, Put(0, 90, 0, True)), ("key", "gauge", "tray")),  # overlap
        (put(1, Put(0, 103, 0, True)), ("key", "gauge")),  # closer than the clearance
        (put(1, Put(0, 104, 0)), ("gauge", "tray")),  # sticks out: not turned
        (put(0, Put(0, -1, 0)), ("key", "tray")),
        (put(0, Put(0, 0, 0, True)), ("key", "tray")),  # turned, too wide
        (put(2, Put(1, 0)), ("bottle", "loops")),  # not allowed, and too high
        (put(0, Put(2)), ("key",)),  # not allowed there
        (put(1, Put(1, 0)), ("key", "gauge")),  # not together
        (put(1, Put(2)), ("gauge", "bottle")),  # not apart
        (put(3, Put(7)), ("rag",)),  # no such place
        (replace(GOOD, puts=PUTS[:3]), ()),
        (replace(GOOD, cost=34), ()),
        (replace(GOOD, bound=36), ()),
        (replace(GOOD, puts=()), ()),
    ],
)  # fmt: skip
def test_each_kind_of_fault_is_seen_by_name(answer: Answer, names: tuple[str, ...]) -> None:
    """One thing wrong, and the sentence names what it is about."""
    found = faults(PROBLEM, answer)
    assert found
    assert all(any(name in sentence for sentence in found) for name in names), found


@pytest.mark.parametrize(
    "changed",
    [
        replace(PROBLEM.places[0], load_g=129),
        replace(PROBLEM.places[2], room=50 * 50 * 90 + 30**3 - 1),
        replace(PROBLEM.places[2], depth=89),  # an upright bottle does not lie down
        replace(PROBLEM.places[0], depth=29),
    ],
)
def test_sums_and_heights_are_kept(changed: Place) -> None:
    """A gram, a cubic step or a tenth of a millimetre too much is a fault."""
    places = tuple(changed if p.name == changed.name else p for p in PROBLEM.places)
    assert faults(replace(PROBLEM, places=places), GOOD)


def test_a_row_holds_widths_with_clearance() -> None:
    """20 + 4 and 40 + 4 take 68 of the row: one tenth less and they do not go in."""
    puts = (Put(1, 0), Put(1, 24), Put(2), Put(2))
    answer = replace(GOOD, puts=puts, cost=6 + 6 + 9 + 9 + 7)
    assert faults(PROBLEM, answer) == ()
    for length, holds in ((68, True), (67, False)):
        row = replace(PROBLEM.places[1], length=length)
        problem = replace(PROBLEM, places=(PROBLEM.places[0], row, PROBLEM.places[2]))
        assert (faults(problem, answer) == ()) is holds
