"""Explanations of layouts against trying everything on small boxes.

Source of the expected values: computed by enumeration in ``boxes`` (cells of a grid for
laid places), which shares nothing with the engine.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import pytest
from boxes import Ways
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from ruled_boxes import Ruled, can_keep, ruled_boxes

from toolbox.kit.box import Inside
from toolbox.kit.rules import Ask
from toolbox.layout.bars import LASTING, OWN_SIZE, Bar, size_hurdles
from toolbox.layout.conflict import asked, find_conflict, sums
from toolbox.layout.possible import Standing, find_out
from toolbox.layout.problem import Item, LayoutProblem, Place, cost_of
from toolbox.layout.tables import goes_in
from toolbox.layout.why import why_here
from toolbox.layout.worth import gain_of, settle_down, with_copy, with_size

FEW = 5  # things where each answer is looked at from many sides
FEWER, MORE = 150, 2500  # boxes whose conflicts are looked at by default, and in the long run
PARTS = (*(ask.value for ask in Ask), "load")


def some_layout(ways: Ways) -> tuple[int, ...] | None:
    """The first layout there is, one place for each thing."""
    return next((tuple(map(int, line)) for line in ways.layouts()), None)


def can_lie(ways: Ways, place: int, items: Sequence[int]) -> bool:
    """Whether things go into a place in size and mass, whatever the rules say."""
    mass = sum(ways.problem.items[i].mass_g for i in items)
    inside = sum(1 << i for i in set(items))
    return mass <= ways.problem.places[place].load_g and ways.fits(place, inside)


@given(ruled_boxes(most_items=3))
def test_a_thing_has_size_hurdles_just_when_it_does_not_go_in(box: Ruled) -> None:
    """The reasons and the fit of a single thing agree with trying it; amounts are above 0."""
    problem, ways = box.problem, Ways(box.problem)
    for i, item in enumerate(problem.items):
        for p, place in enumerate(problem.places):
            found = size_hurdles(item, place, problem.clearance)
            fits = can_lie(ways, p, [i])
            assert (not found) == goes_in(item, place, problem.clearance) == fits
            assert all(over > 0 for _, over in found)


@settings(max_examples=60, deadline=None)
@given(ruled_boxes(most_items=FEW), st.data())
def test_each_place_is_explained_as_trying_it_shows(box: Ruled, data: st.DataObject) -> None:
    """Extra costs are differences of whole layouts; free is just where moving there holds."""
    problem, ways = box.problem, Ways(box.problem)
    some = some_layout(ways)
    assume(some is not None)
    assert some is not None
    item = data.draw(st.integers(0, len(problem.items) - 1))
    block = data.draw(st.booleans())
    why = why_here(problem, some, item, block=block, everywhere=True, work=1.0, exact=1000)
    assert item in why.movers
    assert [e.cost for e in why.elsewhere] == sorted(e.cost for e in why.elsewhere)
    assert {e.place for e in why.elsewhere} == set(range(len(problem.places))) - {why.home}
    for one in why.elsewhere:
        moved = [one.place if i in why.movers else home for i, home in enumerate(some)]
        assert one.extra == cost_of(problem, tuple(moved)) - cost_of(problem, some)
        assert one.cost == why.cost + one.extra
        assert one.free == ways.holds(moved)
        own = {h.bar for h in one.hurdles} & OWN_SIZE
        assert bool(own) != all(can_lie(ways, one.place, [i]) for i in why.movers)


@settings(max_examples=80, deadline=None)
@given(ruled_boxes(most_items=FEW), st.data())
def test_who_would_have_to_leave_makes_room_and_nobody_less_does(
    box: Ruled, data: st.DataObject
) -> None:
    """Without the leavers the thing fits; a pair is named only where no single block would do.

    A way out that is said to save holds as a layout and saves just that.
    """
    problem, ways = box.problem, Ways(box.problem)
    some = some_layout(ways)
    assume(some is not None)
    assert some is not None
    item = data.draw(st.integers(0, len(problem.items) - 1))
    why = why_here(problem, some, item, block=True, everywhere=True, work=1.0, exact=1000)
    blocks = joined(problem)
    for one in why.elsewhere:
        there = [b for b in blocks if some[b[0]] == one.place]
        singles = [b for b in there if fits_without(ways, some, why.movers, one.place, b)]
        movable = [b for b in singles if can_go(ways, b, one.place)]
        if any(h.bar in LASTING for h in one.hurdles) or one.free:
            assert one.leave is None
            continue
        if movable:
            assert one.leave is not None
            assert one.leave.items in movable
            if one.leave.homes is None:
                cheapest = min(least(ways, some, why.movers, one.place, b) for b in movable)
                assert one.leave.extra == cheapest
        if one.leave is None:
            continue
        assert all(some[i] == one.place for i in one.leave.items)
        assert fits_without(ways, some, why.movers, one.place, one.leave.items)
        if one.leave.homes is not None:
            new = dict(zip(one.leave.items, one.leave.homes, strict=True))
            new.update(dict.fromkeys(why.movers, one.place))
            homes = tuple(new.get(i, home) for i, home in enumerate(some))
            assert ways.holds(homes)
            assert cost_of(problem, homes) - cost_of(problem, some) == one.leave.extra < 0


def joined(problem: LayoutProblem) -> list[tuple[int, ...]]:
    """What lies together by all groups that share a thing; each other thing alone."""
    blocks = [{i} for i in range(len(problem.items))]
    for group in problem.together:
        touched = [block for block in blocks if block & set(group)]
        blocks = [block for block in blocks if block not in touched]
        blocks.append(set().union(*touched))
    return [tuple(sorted(block)) for block in blocks]


def can_go(ways: Ways, block: Sequence[int], place: int) -> bool:
    """Whether another place would take each thing of a block by itself."""
    return any(p != place and open_to(ways, block, p) for p in range(len(ways.problem.places)))


def open_to(ways: Ways, block: Sequence[int], place: int) -> bool:
    """Whether the rules and the sizes leave a place to each thing of a block by itself."""
    allowed = ways.problem.allowed
    return all(place in allowed[i] and can_lie(ways, place, [i]) for i in block)


def least(
    ways: Ways, homes: Sequence[int], movers: Sequence[int], place: int, block: Sequence[int]
) -> int:
    """The least extra cost when the movers come and a block goes, room or no room there."""
    problem, totals = ways.problem, []
    for p in range(len(problem.places)):
        if p != place and open_to(ways, block, p):
            new = dict.fromkeys(block, p) | dict.fromkeys(movers, place)
            after = tuple(new.get(i, home) for i, home in enumerate(homes))
            totals.append(cost_of(problem, after) - cost_of(problem, tuple(homes)))
    return min(totals)


def fits_without(
    ways: Ways, homes: Sequence[int], movers: Sequence[int], place: int, gone: Sequence[int]
) -> bool:
    """Whether the movers can lie in the place once some things are gone from it."""
    kept = [i for i, home in enumerate(homes) if home == place and i not in gone]
    inside = {*kept, *movers}
    if any(len(set(group) & inside) > 1 for group in ways.problem.apart):
        return False
    return can_lie(ways, place, tuple(inside))


@settings(max_examples=80, deadline=None)
@given(ruled_boxes())
def test_whether_a_layout_exists_is_what_enumeration_says(box: Ruled) -> None:
    """With the solver, without its presolve and without the package: the same, right answer."""
    right = Standing.POSSIBLE if Ways(box.problem).exists() else Standing.IMPOSSIBLE
    assert find_out(box.problem).standing is right
    assert find_out(box.problem, presolve=False).standing is right
    assert find_out(box.problem, package=False).standing is right


def look_at_the_conflict(box: Ruled, seen: Counter[str]) -> None:
    """Contradictory and each part needed, both by trying everything; none where a layout is."""
    demands, ways = box.demands(), Ways(box.problem)
    assert can_keep(ways, demands) == ways.exists(), "the demands are the box"
    found = find_conflict(box.problem, demands)
    seen["boxes"] += 1
    if ways.exists():
        assert found is None
        return
    assert found is not None
    assert found.confirmed
    named = [demands[n] for n in found.demands]
    assert not can_keep(ways, named)
    for n, demand in enumerate(named):
        assert can_keep(ways, [d for d in named if d is not demand])
        assert found.needed[n]
    seen.update(["impossible", *parts_of(box, found.demands)])


def parts_of(box: Ruled, numbers: Sequence[int]) -> set[str]:
    """The kinds of demands among these, and whether there are several."""
    rules = dict(enumerate(box.rules, start=len(box.demands()) - len(box.rules)))
    loads = len(box.problem.items)
    kinds = {rules[n].ask.value for n in numbers if n in rules}
    if any(loads <= n < min(rules, default=len(box.demands())) for n in numbers):
        kinds.add("load")
    return kinds | ({"several"} if len(numbers) > 1 else set())


@pytest.mark.parametrize("examples", [FEWER, pytest.param(MORE, marks=pytest.mark.slow)])
def test_a_conflict_is_one_and_needs_each_of_its_parts(examples: int) -> None:
    """No layout keeps the demands named; without any one of them some layout does. Else none."""
    seen = Counter[str]()

    @settings(max_examples=examples, deadline=None, derandomize=examples == FEWER)
    @given(ruled_boxes())
    def each(box: Ruled) -> None:
        look_at_the_conflict(box, seen)

    each()
    print(dict(seen))
    assert seen["impossible"] > 0.2 * seen["boxes"], seen
    assert seen["several"] > 0.5 * seen["impossible"], seen
    few = [part for part in PARTS if not seen[part]]
    assert not few, f"never part of a conflict: {few}"


@settings(max_examples=80, deadline=None)
@given(ruled_boxes(), st.data())
def test_a_question_of_some_demands_is_what_they_ask(box: Ruled, data: st.DataObject) -> None:
    """Any choice of demands, put as a question of its own, has a layout just when they have."""
    demands = box.demands()
    chosen = data.draw(st.lists(st.sampled_from(demands), unique_by=id))
    assert Ways(asked(box.problem, chosen)).exists() == can_keep(Ways(box.problem), chosen)


@settings(max_examples=50, deadline=None)
@given(ruled_boxes())
def test_a_sum_that_is_too_large_proves_that_there_is_no_layout(box: Ruled) -> None:
    """Where a layout exists no need is above what is there; sums stand tightest first."""
    found = sums(box.problem)
    shares = [s.need / max(s.there, 1) for s in found]
    assert shares == sorted(shares, reverse=True)
    if Ways(box.problem).exists():
        assert all(s.need <= s.there for s in found)


@settings(max_examples=50, deadline=None)
@given(ruled_boxes(most_items=FEW), st.data())
def test_what_a_change_saves_is_saved_by_a_layout_that_holds(
    box: Ruled, data: st.DataObject
) -> None:
    """The homes found hold in the changed box and cost just so much less, never more."""
    problem, ways = box.problem, Ways(box.problem)
    some = some_layout(ways)
    assume(some is not None)
    assert some is not None
    base = settle_down(problem, some)
    assert ways.holds(base.homes)
    assert base.saved == cost_of(problem, some) - cost_of(problem, base.homes) >= 0
    place = data.draw(st.integers(0, len(problem.places) - 1))
    more = with_copy(problem, place)
    larger = with_size(problem, place, longer=2, deeper=1)
    for changed, touched in ((more, len(problem.places)), (larger, place)):
        gain = gain_of(changed, base.homes, [touched])
        assert Ways(changed).holds(gain.homes)
        assert gain.saved == cost_of(problem, base.homes) - cost_of(changed, gain.homes) >= 0


def test_a_larger_cheaper_place_is_worth_what_moves_into_it() -> None:
    """Two keys of 10 each share a tray for one; 10 longer takes both and saves 7 (computed)."""
    tray = Place("tray", Inside.LAID, 12, 12, 10, 100, 0, ())
    well = Place("well", Inside.LOOSE, 50, 50, 50, 100, 50_000, ())
    keys = (Item("a", 10, 10, 5, 1), Item("b", 8, 8, 5, 1))
    both = (0, 1)
    problem = LayoutProblem(keys, (tray, well), (), 2, ((1, 9), (2, 9)), (), (both, both))
    assert gain_of(with_size(problem, 0, longer=10), (0, 1), [0]).saved == 7
    assert gain_of(with_copy(problem, 0), (0, 1), [2]).saved == 7
    assert gain_of(with_size(problem, 0, deeper=10), (0, 1), [0]).saved == 0


def test_hurdles_name_the_rule_the_load_and_the_rival() -> None:
    """A thing barred by a rule, one too heavy for what lies there, one kept apart (computed)."""
    bins = tuple(Place(n, Inside.LOOSE, 50, 50, 50, 10, 50_000, ()) for n in "abc")
    items = tuple(Item(n, 5, 5, 5, 6) for n in "xyz")
    every = (0, 1, 2)
    problem = LayoutProblem(
        items, bins, (), 2, ((1, 2, 3),) * 3, (), ((0, 1), every, every), apart=((0, 2),)
    )
    by_place = {e.place: e for e in why_here(problem, (0, 1, 2), 0, everywhere=True).elsewhere}
    assert [(h.bar, h.items, h.amount) for h in by_place[1].hurdles] == [(Bar.OVERLOAD, (0,), 2)]
    assert [h.bar for h in by_place[2].hurdles] == [Bar.RULE, Bar.APART, Bar.OVERLOAD]
    assert by_place[1].leave is not None
    assert by_place[1].leave.items == (1,)
    free = replace(problem, apart=())
    assert [h.bar for h in why_here(free, (0, 1, 1), 0).elsewhere[-1].hurdles] == [Bar.RULE]
