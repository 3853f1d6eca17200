"""The whole search on small boxes against plain enumeration (computed there)."""

from __future__ import annotations

import subprocess
import sys
from random import Random

import pytest
from smallboxes import cheapest, small_box

from toolbox.kit.box import Inside
from toolbox.layout.problem import Item, LayoutProblem, Outcome, Place
from toolbox.layout.solve import Effort, solve
from toolbox.layout.verify import faults


@pytest.mark.parametrize("first", range(0, 300, 25))
def test_small_boxes_are_solved_outright(first: int) -> None:
    """All kinds and rules: the cost is the least of all layouts, proved, and the check passes.

    Where enumeration finds no layout the answer says impossible and has none.
    """
    for seed in range(first, first + 25):
        problem = small_box(seed)
        best = cheapest(problem)
        answer = solve(problem, effort=Effort.QUICK)
        assert not faults(problem, answer), seed
        assert answer.cost == best, seed
        if best is None:
            assert answer.outcome is Outcome.IMPOSSIBLE, seed
            assert answer.method, seed
        else:
            assert answer.bound is not None, seed
            assert answer.bound <= best, seed
            assert answer.outcome is Outcome.OPTIMAL, seed


@pytest.mark.parametrize("seed", range(20))
def test_one_thing_in_each_place_is_linear_assignment(seed: int) -> None:
    """No openings, every place takes just one thing: scipy's linear_sum_assignment agrees."""
    optimize = pytest.importorskip("scipy.optimize")
    draw = Random(seed)
    many = draw.randint(2, 12)
    cost = [[draw.randint(0, 1000) for _ in range(many)] for _ in range(many)]
    kind = draw.choice(list(Inside))
    problem = LayoutProblem(
        items=tuple(Item(str(i), 6, 6, 6, 1) for i in range(many)),
        places=tuple(Place(str(p), kind, 10, 10, 10, 1, 400, ()) for p in range(many)),
        openings=(),
        clearance=0,
        pick_cost=tuple(map(tuple, cost)),
        visits=(),
        allowed=(tuple(range(many)),) * many,
    )
    rows, columns = optimize.linear_sum_assignment(cost)
    answer = solve(problem, effort=Effort.NORMAL)
    assert not faults(problem, answer)
    assert answer.cost == sum(cost[r][c] for r, c in zip(rows, columns, strict=True))
    assert answer.outcome is Outcome.OPTIMAL


def crowded(seed: int) -> LayoutProblem:
    """A box of 30 things and 6 places, too large to be solved outright in a moment."""
    draw = Random(seed)
    items = tuple(
        Item(str(i), draw.randint(400, 1500), draw.randint(150, 500), 100, draw.randint(20, 300))
        for i in range(30)
    )
    places = tuple(
        Place(str(p), Inside.LAID, 3000, 2000, 400, 9000, 0, (0,) if p > 2 else ())
        for p in range(6)
    )
    cost = tuple(
        tuple(weight * (p + 2) for p in range(6))
        for weight in (draw.randint(1, 900) for _ in items)
    )
    return LayoutProblem(
        items, places, ("lid",), 40, cost, (), (tuple(range(6)),) * 30, ((0, 1),), ((2, 3, 4),)
    )


SCRIPT = """
from test_layout_brute_force import crowded
from toolbox.layout.solve import Effort, solve
print(solve(crowded(3), effort=Effort.QUICK))
"""


def test_the_same_question_has_the_same_answer_everywhere() -> None:
    """Without a clock: twice in this process and once in another, to the last digit."""
    problem = crowded(3)
    answers = {repr(solve(problem, effort=Effort.QUICK)) for _ in range(2)}
    folder = str(__file__).rsplit("test_layout", 1)[0]
    path = f"import sys; sys.path[:0] = [{folder!r}, {folder + '/..'!r}]\n"
    other = subprocess.run(
        [sys.executable, "-c", path + SCRIPT], capture_output=True, text=True, check=True
    )
    assert answers == {other.stdout.strip()}


def test_a_start_that_holds_is_never_made_worse() -> None:
    """From a present layout that fits, the answer costs at most as much."""
    problem = crowded(5)
    first = solve(problem, effort=Effort.QUICK)
    start = tuple(put.place for put in first.puts)
    again = solve(problem, effort=Effort.QUICK, start=start)
    assert first.cost is not None
    assert again.cost is not None
    assert again.cost <= first.cost
