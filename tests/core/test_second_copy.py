"""What a second copy of a tool saves, against every pair of places tried by hand (enumeration)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import product
from random import Random

import pytest
from smallkit import small_kit

from toolbox.desk.question import layout_question, uses_of
from toolbox.kit.box import Inside
from toolbox.layout.problem import Item, LayoutProblem, Place, Visit, cost_of
from toolbox.layout.worth import Use, second_copy, use_cost
from toolbox.reach.engine import reach_times
from toolbox.usage.engine import estimate

DAY_COST = (900, 700)
DAY = date(2026, 11, 20)


def place(name: str, *openings: int, room: int = 10**6) -> Place:
    """A bin with room for a few cubes of 10 x 10 x 10."""
    return Place(name, Inside.LOOSE, 100, 100, 100, 10_000, room, openings)


def split_problem(room: int = 10**6) -> tuple[LayoutProblem, tuple[Use, ...]]:
    """Two jobs, each with a tool bound to a compartment of its own behind its own opening.

    Item 0 goes with both jobs, item 3 is its twin.
    """
    picks = (10, 20)
    items = tuple(Item(name, 10, 10, 10, 50) for name in ("shared", "left", "right", "twin"))
    uses = (Use(0, picks), Use(1, picks), Use(None, (30, 65)))
    row = tuple(sum(use.cost[p] for use in uses) for p in (0, 1))
    problem = LayoutProblem(
        items=items,
        places=(place("behind the flap", 0, room=room), place("behind the drawer", 1, room=room)),
        openings=("flap", "drawer"),
        clearance=0,
        pick_cost=(row, (5, 5), (5, 5), (0, 0)),
        visits=(
            Visit((DAY_COST[0], DAY_COST[1]), (0, 1)),
            Visit((DAY_COST[0], DAY_COST[1]), (0, 2)),
        ),
        allowed=((0, 1), (0,), (1,), (0, 1)),
    )
    return problem, uses


def cheapest_pair(problem: LayoutProblem, uses: tuple[Use, ...]) -> int:
    """Every pair of places and every way to share the uses out: the least day there is."""
    best = []
    for first, second in product((0, 1), repeat=2):
        for shares in product((0, 3), repeat=len(uses)):
            rows = [[0, 0], *map(list, problem.pick_cost[1:3]), [0, 0]]
            visits = [[1], [2]]
            for use, copy in zip(uses, shares, strict=True):
                rows[copy] = [a + b for a, b in zip(rows[copy], use.cost, strict=True)]
                if use.visit is not None:
                    visits[use.visit].append(copy)
            tried = replace(
                problem,
                pick_cost=tuple(map(tuple, rows)),
                visits=tuple(Visit(DAY_COST, tuple(v)) for v in visits),
            )
            best.append(cost_of(tried, (first, 0, 1, second)))
    return min(best)


@pytest.mark.parametrize("home", [0, 1])
def test_each_use_goes_to_the_copy_that_is_cheaper(home: int) -> None:
    """One copy behind the flap and one in the drawer: no job opens what it does not need."""
    problem, uses = split_problem()
    homes = (home, 0, 1, -1)
    before = cost_of(problem, (home, 0, 1, home))
    gain = second_copy(problem, homes, 0, 3, uses)
    assert {gain.homes[0], gain.homes[3]} == {0, 1}
    assert before - gain.saved == cheapest_pair(problem, uses)
    # by hand: the opening for the other job alone, and what pick and trip cost there
    assert gain.saved == (900 - 10 if home == 0 else 700 + 10 + 35)


def test_what_a_tool_costs_is_what_its_uses_open_and_pick() -> None:
    """In the flap: two picks of 10, a trip of 30, and the flap for the other job alone (900)."""
    problem, uses = split_problem()
    assert use_cost(problem, (0, 0, 1, -1), 0, uses) == 10 + 10 + 30 + 900
    assert use_cost(problem, (1, 0, 1, -1), 0, uses) == 20 + 20 + 65 + 700


def test_no_room_is_no_gain() -> None:
    """Bins just large enough for what lies in them take no second copy: it keeps no home."""
    problem, uses = split_problem(room=2000)
    gain = second_copy(problem, (0, 0, 1, -1), 0, 3, uses)
    assert gain.homes[3] == 1  # 10 x 10 x 10 is left behind the drawer
    problem, uses = split_problem(room=1500)
    none = second_copy(problem, (0, 0, 1, -1), 0, 3, uses)
    assert (none.saved, none.homes) == (0, (0, 0, 1, -1))


@pytest.mark.parametrize("seed", range(25))
def test_what_is_found_fits_and_costs_what_is_said(seed: int) -> None:
    """Random small boxes: each visit served by the cheaper copy, counted anew; bins not overfull.

    No gain is larger than that of the best of all layouts with two copies (enumeration).
    """
    dice = Random(seed)
    places = tuple(
        replace(place(f"bin {p}", *openings), room=dice.choice((2000, 3000, 4000)))
        for p, openings in enumerate(((), (0,), (1,), (0, 1)))
    )
    rows = [tuple(dice.randrange(50) for _ in places) for _ in range(5)]
    members = [tuple(i for i in range(1, 5) if dice.random() < 0.5) for _ in range(3)]
    prices = [(dice.randrange(200), dice.randrange(200)) for _ in members]
    uses = tuple(Use(v, tuple(dice.randrange(50) for _ in places)) for v in range(3))
    mine = tuple(sum(use.cost[p] for use in uses) for p in range(4))
    problem = LayoutProblem(
        items=tuple(Item(f"thing {i}", 10, 10, 10, 1) for i in range(6)),
        places=places,
        openings=("flap", "drawer"),
        clearance=0,
        pick_cost=(mine, *rows[1:], (0,) * 4),
        visits=tuple(Visit(c, (0, *m)) for c, m in zip(prices, members, strict=True)),
        allowed=((0, 1, 2, 3),) * 6,
    )

    def fits(homes: tuple[int, ...]) -> bool:
        return all(1000 * homes.count(p) <= place.room for p, place in enumerate(places))

    def day(homes: tuple[int, ...]) -> int:
        total = sum(rows[i][homes[i]] for i in range(1, 5))
        for use, price, others in zip(uses, prices, members, strict=True):
            total += min(
                use.cost[p]
                + sum(price[o] for o in {o for i in (*others,) for o in places[homes[i]].openings}
                      | set(places[p].openings))
                for p in (homes[0], homes[5])
            )  # fmt: skip
        return total

    layouts = product(range(4), repeat=5)
    homes = next(h for h in sorted(layouts, key=lambda h: dice.random()) if fits(h))
    before = day((*homes, homes[0]))
    assert before == cost_of(problem, (*homes, homes[0]))
    gain = second_copy(problem, (*homes, -1), 0, 5, uses)
    if gain.homes[5] < 0:
        assert gain.saved == 0
        return
    assert gain.saved > 0
    assert fits(gain.homes)
    assert day(gain.homes) == before - gain.saved
    assert day(gain.homes) >= min(day(h) for h in product(range(4), repeat=6) if fits(h))


def test_a_copy_bound_to_lie_with_the_first_saves_nothing() -> None:
    """Together means one compartment for both."""
    problem, uses = split_problem()
    bound = replace(problem, together=((0, 3),))
    assert second_copy(bound, (0, 0, 1, -1), 0, 3, uses).saved == 0


def test_the_uses_of_a_tool_add_up_to_its_cost() -> None:
    """Its uses, whatever opens with them, are the row of the layout question (within rounding)."""
    kit = small_kit()
    usage = estimate(kit.jobs, kit.tools, kit.supplies, (), DAY, kit.settings)
    times = reach_times(kit.box, kit.settings, kit.readings, kit.carried())
    question = layout_question(kit, usage, times)
    for item, copy in enumerate(question.copies[:3]):
        uses = uses_of(kit, usage, times, question, copy)
        assert [u.visit for u in uses[:-1]] == [
            n for n, visit in enumerate(question.problem.visits) if item in visit.items
        ]
        for p, whole in enumerate(question.problem.pick_cost[item]):
            assert sum(use.cost[p] for use in uses) == pytest.approx(whole, abs=len(uses))
