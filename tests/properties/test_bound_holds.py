"""The lower bound and each kind of its rows against trying everything.

Expected values: computed by enumeration in ``boxes``, which shares nothing with the bound.
"""

from __future__ import annotations

from itertools import combinations, product
from random import Random

import pytest
from boxes import best_by_trying, random_box

from toolbox.kit.box import Inside
from toolbox.layout import bound_whole
from toolbox.layout.bound import lower_bound
from toolbox.layout.bound_cores import refused_rows
from toolbox.layout.bound_cuts import bar_row, sum_row
from toolbox.layout.bound_frame import Frame, Row, base_rows, frame_of
from toolbox.layout.bound_prices import evaluate, even_prices
from toolbox.layout.bound_whole import whole_bound
from toolbox.layout.problem import Item, LayoutProblem, Place
from toolbox.layout.solver import solver_there

BOXES = 150
WHOLE = 8  # rounds that let small boxes reach the part in whole numbers

needs_solver = pytest.mark.skipif(not solver_there(), reason="rows come from the solver package")


@pytest.mark.parametrize("start", range(20_000, 20_000 + BOXES, 25))
def test_no_layout_costs_less_than_the_bound(start: int) -> None:
    """Never above the cheapest layout, never "impossible" where a layout exists."""
    for seed in range(start, start + 25):
        problem = random_box(seed)
        told: list[int] = []
        found = lower_bound(problem, stop=lambda: False, report=told.append, work=WHOLE)
        best = best_by_trying(problem)
        if best is not None:
            assert not found.proved_impossible, seed
            assert found.value <= best, seed
            assert told == sorted(told), seed
            assert told[-1] == found.value, seed


def test_the_bound_meets_most_of_the_best_layouts() -> None:
    """Strong enough to be worth its time: equal to the best in 9 of 10 small boxes."""
    if not solver_there():
        pytest.skip("without the solver package the bound is weaker")
    met, possible = 0, 0
    for seed in range(30_000, 30_080):
        problem = random_box(seed)
        best = best_by_trying(problem)
        if best is not None:
            possible += 1
            found = lower_bound(problem, stop=lambda: False, report=lambda _: None, work=WHOLE)
            met += found.value == best
    assert possible > 30
    assert met >= 0.9 * possible


@needs_solver
@pytest.mark.parametrize("part", [1, 4, 50])
def test_homes_left_out_of_the_whole_part_are_accounted_for(
    monkeypatch: pytest.MonkeyPatch, part: int
) -> None:
    """From poor prices, with a far and a near ceiling, the whole part is still a bound."""
    monkeypatch.setattr(bound_whole, "ABOVE", part)
    raised = 0
    for seed in range(40_000, 40_060):
        problem = random_box(seed)
        best = best_by_trying(problem)
        if best is None:
            continue
        frame = frame_of(problem)
        rows = base_rows(frame)
        first = evaluate(frame, rows, even_prices(frame, rows))
        told: list[int] = []
        whole = whole_bound(frame, rows, first, told.append, work=5.0, enough=lambda: False)
        assert first.value <= whole.value <= best, seed
        assert max([first.value, *told]) == whole.value, seed
        raised += whole.value > first.value
    assert raised > 10


def one_place(seed: int) -> LayoutProblem:
    """One laid place, rather small for up to six things."""
    draw = Random(seed)
    items = tuple(
        Item(f"thing {n}", draw.randint(1, 7), draw.randint(1, 5), 1, draw.randint(1, 5))
        for n in range(draw.randint(3, 5))
    )
    place = Place("drawer", Inside.LAID, draw.randint(6, 10), draw.randint(4, 9), 1, 12, 0, ())
    cost = tuple((0,) for _ in items)
    return LayoutProblem(items, (place,), (), 0, cost, (), tuple((0,) for _ in items))


def fillings(frame: Frame) -> list[dict[tuple[int, bool], float]]:
    """Everything that lies in the one place, each block one way, found cell by cell."""
    place, found = frame.problem.places[0], []
    ways = [[w for w in (False, True) if frame.turns[b][0][w]] for b in range(len(frame.blocks))]
    for count in range(1, len(frame.blocks) + 1):
        for chosen in combinations(range(len(frame.blocks)), count):
            for turned in product(*(ways[b] for b in chosen)):
                sides = [_side(frame, b, w) for b, w in zip(chosen, turned, strict=True)]
                mass = sum(frame.problem.items[b].mass_g for b in chosen)
                area = sum(a * b for a, b in sides)
                if mass > place.load_g or area > place.length * place.width:
                    continue
                if _unturned(place.length, place.width, sides, []):
                    found.append(dict.fromkeys(zip(chosen, turned, strict=True), 1.0))
    return found


def _side(frame: Frame, block: int, turned: bool) -> tuple[int, int]:
    item = frame.problem.items[block]
    return (item.width, item.length) if turned else (item.length, item.width)


def _unturned(
    length: int, width: int, sides: list[tuple[int, int]], laid: list[tuple[int, int, int, int]]
) -> bool:
    """Whether rectangles fit as they lie: every corner of every cell is tried."""
    if len(laid) == len(sides):
        return True
    a, b = sides[len(laid)]
    return any(
        not any(x < c and p < x + a and y < d and q < y + b for p, q, c, d in laid)
        and _unturned(length, width, sides, [*laid, (x, y, x + a, y + b)])
        for x in range(length - a + 1)
        for y in range(width - b + 1)
    )


def weight(row: Row, filling: dict[tuple[int, bool], float]) -> float:
    """What a filling weighs in a row."""
    return sum(x * (row.turned if t else row.plain)[b] for (b, t), x in filling.items())


@needs_solver
@pytest.mark.parametrize("start", range(0, 40, 10))
def test_every_real_filling_keeps_every_row(start: int) -> None:
    """Areas, bars, sums and refused sets: no packing of the place breaks a row, each lies as it is.

    Rows are asked for against random fractional fillings, so most of them cut something off.
    """
    made = 0
    for seed in range(start, start + 10):
        frame = frame_of(one_place(seed))
        if frame.impossible:
            continue
        draw, rows = Random(seed), list(base_rows(frame))
        ways = [(b, w) for b in range(len(frame.blocks)) for w in (False, True)]
        ways = [way for way in ways if frame.turns[way[0]][0][way[1]]]
        for _ in range(4):
            wanted = {way: draw.random() for way in ways if draw.random() < 0.8}
            found = [bar_row(frame, 0, wanted, across, {}) for across in (False, True)]
            found += [sum_row(frame, row, wanted, {}) for row in base_rows(frame)]
            rows += [row for row in found if row is not None]
        rows += refused_rows(frame, [0] * len(frame.blocks), lambda: False)
        made += len(rows)
        for filling in fillings(frame):
            for row in rows:
                assert weight(row, filling) <= row.limit, seed
    assert made > 20
