"""Few moves against plain enumeration: every layout of a small box, tried one by one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.kit.box import Inside
from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import lay
from toolbox.layout.moves import Point, knee, moves_curve, solve_few_moves
from toolbox.layout.problem import Item, LayoutProblem, Outcome, Place, Visit, cost_of
from toolbox.layout.verify import faults
from toolbox.layout.watch import StopSwitch

SMALL = settings(deadline=None, max_examples=60)


@st.composite
def boxes(draw: st.DrawFn, most_items: int = 6) -> LayoutProblem:
    """A box of up to four compartments of every kind, up to seven things, rules and visits."""
    number = draw(st.integers(1, most_items))
    items = tuple(
        Item(
            f"thing {n}",
            draw(st.integers(2, 6)),
            draw(st.integers(1, 4)),
            draw(st.integers(1, 3)),
            draw(st.integers(1, 5)),
            draw(st.booleans()),
        )
        for n in range(number)
    )
    places = tuple(
        Place(
            f"place {n}",
            draw(st.sampled_from(Inside)),
            draw(st.integers(6, 12)),
            draw(st.integers(5, 9)),
            draw(st.integers(2, 5)),
            draw(st.integers(6, 30)),
            draw(st.integers(20, 150)),
            draw(st.sampled_from([(), (0,), (0, 1)])),
        )
        for n in range(draw(st.integers(1, 4)))
    )
    some = st.lists(st.integers(0, number - 1), unique=True, max_size=3).map(tuple)
    options = st.sets(st.integers(0, len(places) - 1), min_size=1).map(lambda s: tuple(sorted(s)))
    everywhere = tuple(range(len(places)))
    prices = st.integers(0, 20)
    return LayoutProblem(
        items=items,
        places=places,
        openings=("lid", "tray"),
        clearance=draw(st.integers(0, 1)),
        pick_cost=tuple(tuple(draw(prices) for _ in places) for _ in items),
        visits=tuple(
            Visit((draw(prices), draw(prices)), draw(some)) for _ in range(draw(st.integers(0, 2)))
        ),
        allowed=tuple(draw(st.one_of(st.just(everywhere), options)) for _ in items),
        together=tuple(g for g in draw(st.lists(some, max_size=1)) if len(g) > 1),
        apart=tuple(g for g in draw(st.lists(some, max_size=1)) if len(g) > 1),
    )


def valid_layouts(problem: LayoutProblem) -> Iterator[tuple[int, ...]]:
    """Every layout that keeps the rules and fits, as one place for each item (computed)."""
    fits: dict[tuple[int, tuple[int, ...]], bool] = {}
    for homes in product(*problem.allowed):
        if any(len({homes[i] for i in group}) > 1 for group in problem.together):
            continue
        if any(
            homes[a] == homes[b] for group in problem.apart for a in group for b in group if a < b
        ):
            continue
        if all(
            fits_place(problem, fits, p, tuple(i for i, home in enumerate(homes) if home == p))
            for p in set(homes)
        ):
            yield homes


def fits_place(
    problem: LayoutProblem,
    known: dict[tuple[int, tuple[int, ...]], bool],
    place: int,
    members: tuple[int, ...],
) -> bool:
    """Whether these things fit the place, decided exactly and remembered."""
    key = (place, members)
    if key not in known:
        things = [problem.items[i] for i in members]
        verdict = lay(problem.places[place], things, problem.clearance, work=10.0).verdict
        assert verdict is not Verdict.UNKNOWN
        known[key] = verdict is Verdict.FITS
    return known[key]


def moved(present: tuple[int, ...], homes: tuple[int, ...]) -> int:
    """Things that lie elsewhere than today."""
    return sum(a not in (-1, b) for a, b in zip(present, homes, strict=True))


def check_every_limit(problem: LayoutProblem, present: tuple[int, ...]) -> None:
    """For each limit the answer costs what the best of all layouts within it costs."""
    layouts = [(moved(present, homes), cost_of(problem, homes)) for homes in valid_layouts(problem)]
    for most in range(len(problem.items) + 1):
        answer = solve_few_moves(problem, present, most)
        best = min((cost for moves, cost in layouts if moves <= most), default=None)
        assert answer.cost == best
        assert not faults(problem, answer)
        if best is not None:
            assert answer.bound == best
            assert answer.outcome is Outcome.OPTIMAL
            assert moved(present, tuple(put.place for put in answer.puts)) <= most
        elif layouts:
            least = min(moves for moves, _ in layouts)
            assert answer.outcome is Outcome.NONE_FOUND
            assert answer.method.endswith(f"needs {least}")
        else:
            assert answer.outcome in (Outcome.NONE_FOUND, Outcome.IMPOSSIBLE)


@SMALL
@given(st.data())
def test_few_moves_cost_what_the_best_of_all_layouts_costs(data: st.DataObject) -> None:
    """From a box that holds, for every limit from none to all; no move costs what today costs."""
    problem = data.draw(boxes())
    layouts = list(valid_layouts(problem))
    if not layouts:
        return
    present = data.draw(st.sampled_from(layouts))
    assert solve_few_moves(problem, present, 0).cost == cost_of(problem, present)
    check_every_limit(problem, present)


@SMALL
@given(st.data())
def test_a_box_that_breaks_rules_or_is_half_empty_is_made_to_hold(data: st.DataObject) -> None:
    """Any start, things without a place too: the best within the limit, or the least moves told."""
    problem = data.draw(boxes(5))
    anywhere = st.integers(-1, len(problem.places) - 1)
    present = tuple(data.draw(anywhere) for _ in problem.items)
    check_every_limit(problem, present)


@settings(deadline=None, max_examples=25)
@given(st.data())
def test_the_walk_and_its_bound_keep_to_what_is_possible(data: st.DataObject) -> None:
    """With the full trial switched off: never below the best, never a bound above it, monotone."""
    problem = data.draw(boxes())
    layouts = list(valid_layouts(problem))
    if not layouts:
        return
    present = data.draw(st.sampled_from(layouts))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("toolbox.layout.moves_search.few_ways", lambda today: False)
        patch.setattr("toolbox.layout.moves_search._AREA_STEPS", 60)
        patch.setattr("toolbox.layout.moves_search._TRUE_STEPS", 60)
        points = moves_curve(problem, present, range(len(problem.items) + 1))
    for point in points:
        inside = [h for h in layouts if moved(present, h) <= point.moves]
        best = min(cost_of(problem, homes) for homes in inside)
        assert point.cost is not None
        assert point.bound <= best <= point.cost
    costs = [point.cost for point in points]
    assert costs[0] == cost_of(problem, present)
    assert costs == sorted(costs, reverse=True)


def big_box(things: int) -> LayoutProblem:
    """Many things in three laid compartments and a bin: too many ways to try each."""
    items = tuple(Item(f"thing {n}", 20 + n % 7, 8 + n % 5, 4, 10) for n in range(things))
    places = (
        Place("top", Inside.LAID, 120, 80, 10, 10_000, 0, ()),
        Place("middle", Inside.LAID, 120, 100, 10, 10_000, 0, (0,)),
        Place("low", Inside.LAID, 140, 100, 10, 10_000, 0, (0, 1)),
        Place("bin", Inside.LOOSE, 100, 100, 50, 10_000, 200_000, (0, 1)),
    )
    rate = [(n * 37) % 19 for n in range(things)]
    return LayoutProblem(
        items=items,
        places=places,
        openings=("lid", "tray"),
        clearance=1,
        pick_cost=tuple(tuple(r * k * 100 for k in (1, 2, 4, 5)) for r in rate),
        visits=tuple(Visit((900, 700), tuple(range(n, things, 9))) for n in range(5)),
        allowed=tuple((0, 1, 2, 3) for _ in items),
    )


PRESENT = tuple((0, 3, 2, 1)[n % 4] for n in range(40))


def test_the_same_question_has_the_same_answer_and_keeps_the_limit() -> None:
    """Without a time two runs agree; a limit of three moves is kept and saves something."""
    problem = big_box(40)
    one, two = (solve_few_moves(problem, PRESENT, 3) for _ in range(2))
    assert one == two
    assert not faults(problem, one)
    assert one.cost is not None
    assert one.bound is not None
    assert one.bound <= one.cost < cost_of(problem, PRESENT)
    assert 1 <= moved(PRESENT, tuple(put.place for put in one.puts)) <= 3


def test_a_thrown_stop_still_gives_what_lies_there_today() -> None:
    """Stopped before it began, the search hands out today's layout, which holds."""
    problem = big_box(40)
    stop = StopSwitch()
    stop.throw()
    answer = solve_few_moves(problem, PRESENT, 5, stop=stop)
    assert answer.cost == cost_of(problem, PRESENT)
    assert not faults(problem, answer)


def curve(*pairs: tuple[int, int]) -> list[Point]:
    """Points of (moves, cost)."""
    return [Point(moves, moves, cost, 0) for moves, cost in pairs]


def test_the_knee_is_where_the_curve_bends() -> None:
    """Farthest above the straight line from first to last; the fewer moves among equals."""
    bent = curve((0, 100), (5, 60), (10, 20), (20, 15), (40, 0))
    assert knee(bent) == bent[2]  # above the line by 0.20, 0.55, 0.35 of the whole
    assert knee(curve((0, 100), (10, 50), (20, 0))) == Point(0, 0, 100, 0)  # nothing bends
    assert knee(curve((0, 100), (10, 100), (20, 100))) is None
    assert knee(curve((0, 100), (10, 50))) is None
    gap = [Point(0, None, None, 0), *curve((3, 90), (5, 30), (9, 20))]
    assert knee(gap) == gap[2]


def test_a_big_box_that_breaks_rules_tells_the_fewest_moves_found() -> None:
    """Three things where they may not lie: one move is too few; the fewest are three or more."""
    whole = big_box(40)
    barred = tuple(
        tuple(p for p in places if p != PRESENT[n]) if n < 3 else places
        for n, places in enumerate(whole.allowed)
    )
    problem = replace(whole, allowed=barred)
    refused = solve_few_moves(problem, PRESENT, 1)
    assert refused.outcome is Outcome.NONE_FOUND
    least = int(refused.method.split()[-1])
    assert least >= 3
    answer = solve_few_moves(problem, PRESENT, least)
    assert not faults(problem, answer)
    assert answer.cost is not None
    assert moved(PRESENT, tuple(put.place for put in answer.puts)) <= least
