"""The layout search against trying everything, on small random boxes.

Source of the expected values: computed by enumeration in ``boxes`` (cells of a grid
for laid places), which shares nothing with the search.
"""

from __future__ import annotations

import sys
from collections import Counter

import pytest
from boxes import best_by_trying, laid_by_cells, random_box
from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.kit.box import Inside
from toolbox.layout.exact_lay import Verdict, corner_lay, solver_lay
from toolbox.layout.first import first_homes
from toolbox.layout.fit import Fits
from toolbox.layout.problem import Outcome
from toolbox.layout.rectangles import Rectangle, patient_lay, quick_lay
from toolbox.layout.solve import Effort, plain_bound, solve
from toolbox.layout.solver import solver_there
from toolbox.layout.tables import tables_of
from toolbox.layout.verify import faults

BOXES = 300


@pytest.mark.parametrize("seed", range(0, BOXES, 25))
def test_small_boxes_get_their_best_layout(seed: int) -> None:
    """Outcome and cost equal enumeration, the bound meets the cost, the verifier agrees."""
    for number in range(seed, seed + 25):
        problem = random_box(number)
        best = best_by_trying(problem)
        answer = solve(problem, effort=Effort.QUICK)
        assert faults(problem, answer) == (), number
        if best is None:
            assert answer.outcome is Outcome.IMPOSSIBLE, number
        else:
            assert (answer.outcome, answer.cost, answer.bound) == (Outcome.OPTIMAL, best, best), (
                number
            )


def test_the_random_boxes_hold_every_kind_and_rule() -> None:
    """The boxes above are worth trying: all kinds, all rules, possible and impossible ones."""
    seen = Counter[str]()
    for number in range(BOXES):
        problem = random_box(number)
        seen.update(place.kind.value for place in problem.places)
        seen.update(["together"] * bool(problem.together) + ["apart"] * bool(problem.apart))
        seen["upright"] += any(item.upright for item in problem.items)
        seen["possible" if best_by_trying(problem) is not None else "impossible"] += 1
    assert all(seen[kind.value] > 50 for kind in Inside)
    assert min(seen["together"], seen["apart"], seen["upright"], seen["impossible"]) > 30
    assert seen["possible"] > 100


def test_without_the_solver_package_small_boxes_get_the_same_cost(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without ortools the walks find the same cost; bounds hold, "impossible" is never false."""
    monkeypatch.setitem(sys.modules, "ortools", None)
    assert not solver_there()
    for number in range(30):
        problem = random_box(number)
        best = best_by_trying(problem)
        answer = solve(problem, effort=Effort.QUICK)
        assert faults(problem, answer) == (), number
        assert answer.cost == best, number
        if best is None:
            assert answer.outcome in (Outcome.IMPOSSIBLE, Outcome.NONE_FOUND), number
        else:
            assert answer.bound is not None, number
            assert answer.bound <= best, number


def test_the_plain_bound_is_never_above_the_optimum() -> None:
    """The simple bound holds for every box that has a layout."""
    for number in range(BOXES):
        problem = random_box(number)
        best = best_by_trying(problem)
        if best is not None:
            assert plain_bound(tables_of(problem)) <= best, number


def test_a_first_layout_is_found_for_most_boxes() -> None:
    """Filling in order of need finds a layout for most small boxes that have one."""
    found = there = 0
    for number in range(100):
        problem = random_box(number)
        if best_by_trying(problem) is None:
            continue
        tables = tables_of(problem)
        there += 1
        wishes = [-1] * len(tables.blocks)
        fits = Fits(tables)
        found += first_homes(tables, fits, wishes, lambda: False) is not None
    assert found > 0.8 * there


sides = st.tuples(st.integers(1, 5), st.integers(1, 5)).map(lambda s: Rectangle(*s))


@settings(max_examples=150, deadline=None)
@given(st.integers(3, 7), st.integers(3, 7), st.lists(sides, min_size=1, max_size=6))
def test_the_exact_fits_equal_trying_every_cell(
    length: int, width: int, rectangles: list[Rectangle]
) -> None:
    """Both exact methods say what the grid of cells says; the quick ones never too much."""
    fits = laid_by_cells(length, width, [tuple(r) for r in rectangles])
    expected = Verdict.FITS if fits else Verdict.REFUSED
    assert corner_lay(length, width, rectangles, work=200_000).verdict is expected
    assert solver_lay(length, width, rectangles).verdict is expected
    for method in (quick_lay, patient_lay):
        spots = method(length, width, rectangles)
        assert spots is None or (fits and _laid(length, width, rectangles, spots))


def _laid(length: int, width: int, rectangles: list[Rectangle], spots: tuple) -> bool:  # type: ignore[type-arg]
    cells: set[tuple[int, int]] = set()
    for (a, b), (x, y, turned) in zip(rectangles, spots, strict=True):
        across, along = (b, a) if turned else (a, b)
        mine = {(x + i, y + j) for i in range(across) for j in range(along)}
        if cells & mine or not (0 <= x <= length - across and 0 <= y <= width - along):
            return False
        cells |= mine
    return True
