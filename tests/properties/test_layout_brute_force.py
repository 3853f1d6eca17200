"""The layout search against trying everything, on small random boxes.

Source of the expected values: computed by enumeration in ``boxes`` (cells of a grid
for laid places), which shares nothing with the search. ``random_box`` draws plain
boxes, ``ruled_boxes`` larger ones with every kind of rule.
"""

from __future__ import annotations

import sys
from collections import Counter

import pytest
from boxes import Ways, best_by_trying, laid_by_cells, random_box
from hypothesis import given, settings
from hypothesis import strategies as st
from ruled_boxes import FEATURES, Ruled, ruled_boxes

from toolbox.kit.box import Inside
from toolbox.layout.bound import lower_bound
from toolbox.layout.bound_apart import lower_bound_apart
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


QUICKLY, LONG = 300, 4000  # boxes with rules that are drawn by default, and in the long run
COMMON = 0.05  # of the boxes have each kind of rule, place and size, or more


def look_at(box: Ruled, seen: Counter[str]) -> None:
    """Search, verifier and bounds of one box against every layout of it."""
    problem, best = box.problem, Ways(box.problem).best()
    answer = solve(problem, effort=Effort.QUICK)
    assert faults(problem, answer) == ()
    told: list[int] = []
    bound = lower_bound(problem, stop=lambda: False, report=told.append, work=8)
    if best is None:
        assert answer.outcome is Outcome.IMPOSSIBLE
    else:
        assert (answer.outcome, answer.cost, answer.bound) == (Outcome.OPTIMAL, best, best)
        assert not bound.proved_impossible
        assert max([bound.value, plain_bound(tables_of(problem)), *told]) <= best
    seen.update(["boxes", "impossible" if best is None else "possible", *box.features()])
    seen["bound met"] += bound.value == best


def assert_all_was_seen(seen: Counter[str]) -> None:
    """Each rule, kind of place, size and outcome came up in a good part of the boxes."""
    few = {what: seen[what] for what in FEATURES if seen[what] < COMMON * seen["boxes"]}
    assert not few, f"too seldom among {seen['boxes']} boxes: {few}"
    assert min(seen["possible"], seen["impossible"]) > 0.2 * seen["boxes"], seen


def look_at_many(examples: int) -> None:
    """Draw so many boxes, look at each, and see that all kinds came up."""
    seen = Counter[str]()

    @settings(max_examples=examples, deadline=None, derandomize=examples == QUICKLY)
    @given(ruled_boxes())
    def each(box: Ruled) -> None:
        look_at(box, seen)

    each()
    print(dict(seen))
    assert_all_was_seen(seen)
    if solver_there():
        assert seen["bound met"] > 0.85 * seen["possible"], seen


@pytest.mark.parametrize("examples", [QUICKLY, pytest.param(LONG, marks=pytest.mark.slow)])
def test_with_every_rule_the_search_is_right_and_no_bound_too_high(examples: int) -> None:
    """Up to 8 things and 4 places: cost, outcome, verifier and bounds agree with trying all."""
    look_at_many(examples)


@pytest.mark.parametrize("examples", [6, pytest.param(60, marks=pytest.mark.slow)])
def test_the_bound_in_a_process_of_its_own_is_never_too_high(examples: int) -> None:
    """The same bound from the child process: never above the best layout, never falling."""

    @settings(max_examples=examples, deadline=None, derandomize=examples == 6)
    @given(ruled_boxes())
    def each(box: Ruled) -> None:
        best, told = Ways(box.problem).best(), list[int]()
        found = lower_bound_apart(box.problem, stop=lambda: False, report=told.append, seconds=3600)
        assert told == sorted(told)
        if best is not None:
            assert not found.proved_impossible
            assert max([found.value, *told]) <= best
            # it heard the child out, and did not just give up at nothing
            assert found.value >= plain_bound(tables_of(box.problem))

    each()


@pytest.mark.parametrize("examples", [200, pytest.param(1500, marks=pytest.mark.slow)])
def test_the_walks_and_their_bound_enclose_the_best(
    monkeypatch: pytest.MonkeyPatch, examples: int
) -> None:
    """Boxes go the way of large ones, unproved: the best lies between bound and cost."""
    monkeypatch.setattr("toolbox.layout.solve._SMALL", -1)
    seen = Counter[str]()

    @settings(max_examples=examples, deadline=None, derandomize=examples == 200)
    @given(ruled_boxes())
    def each(box: Ruled) -> None:
        best = Ways(box.problem).best()
        answer = solve(box.problem, effort=Effort.QUICK)
        assert faults(box.problem, answer) == ()
        assert (answer.cost is None) == (best is None)
        if best is not None:
            assert answer.bound is not None
            assert answer.bound <= best <= (answer.cost or 0)
            seen["possible"] += 1
            seen["walked"] += answer.method.startswith("walks")
            seen["best found"] += answer.cost == best

    each()
    print(dict(seen))
    assert seen["walked"] > 0.02 * examples
    assert seen["best found"] > 0.9 * seen["possible"]


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
