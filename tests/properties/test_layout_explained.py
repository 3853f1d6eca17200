"""Explanations of layouts against trying everything on small boxes.

The box sizes and the enumeration are the tests' own (computed).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from toolbox.kit.box import Inside
from toolbox.layout.bars import LASTING, OWN_SIZE, Bar, size_hurdles
from toolbox.layout.conflict import asked, demands_of, find_conflict, sums
from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import lay
from toolbox.layout.possible import Standing, find_out
from toolbox.layout.problem import Item, LayoutProblem, Place, Visit, cost_of
from toolbox.layout.tables import goes_in
from toolbox.layout.why import why_here
from toolbox.layout.worth import gain_of, settle_down, with_copy, with_size

CLEARANCE = 2


@st.composite
def places(draw: st.DrawFn) -> Place:
    """A small place of any kind, with or without the one opening."""
    kind = draw(st.sampled_from(list(Inside)))
    length, width, depth = (draw(st.integers(10, 40)) for _ in range(3))
    openings = draw(st.sampled_from([(), (0,), (0, 1)]))
    return Place(
        "p", kind, length, width, depth, draw(st.integers(5, 40)), length * width * depth // 2,
        openings,
    )  # fmt: skip


@st.composite
def problems(draw: st.DrawFn, most: int = 5) -> LayoutProblem:
    """Up to ``most`` things, two or three places, a few rules, a few visits."""
    n, m = draw(st.integers(1, most)), draw(st.integers(2, 3))
    items = tuple(
        Item(
            f"i{k}",
            draw(st.integers(2, 30)),
            draw(st.integers(2, 20)),
            draw(st.integers(2, 25)),
            draw(st.integers(1, 12)),
            draw(st.booleans()),
        )
        for k in range(n)
    )
    every = tuple(range(m))
    left = st.sets(st.sampled_from(every), min_size=1).map(lambda s: tuple(sorted(s)))
    group = st.sets(st.integers(0, n - 1), min_size=2).map(lambda s: tuple(sorted(s)))
    groups = st.lists(group, max_size=1).map(tuple) if n > 1 else st.just(())
    visit = st.builds(
        Visit,
        st.tuples(st.integers(0, 50), st.integers(0, 50)),
        st.sets(st.integers(0, n - 1), min_size=1).map(tuple),
    )
    return LayoutProblem(
        items=items,
        places=tuple(draw(places()) for _ in every),
        openings=("lid", "tray"),
        clearance=CLEARANCE,
        pick_cost=tuple(tuple(draw(st.integers(0, 60)) for _ in every) for _ in items),
        visits=tuple(draw(st.lists(visit, max_size=3))),
        allowed=tuple(draw(st.one_of(st.just(every), left)) for _ in items),
        together=draw(groups),
        apart=draw(groups),
    )


def holds(problem: LayoutProblem, homes: Sequence[int]) -> bool:
    """Whether homes keep every rule and every place can be laid, by the exact fit."""
    if any(home not in problem.allowed[i] for i, home in enumerate(homes)):
        return False
    if any(len({homes[i] for i in group}) > 1 for group in problem.together):
        return False
    if any(len({homes[i] for i in group}) < len(group) for group in problem.apart):
        return False
    return all(place_holds(problem, homes, p) for p in set(homes))


def place_holds(problem: LayoutProblem, homes: Sequence[int], place: int) -> bool:
    """Whether what lies in one place can be laid there, by the exact fit."""
    things = [problem.items[i] for i, home in enumerate(homes) if home == place]
    found = lay(problem.places[place], things, problem.clearance).verdict
    assert found is not Verdict.UNKNOWN
    return found is Verdict.FITS


def layouts(problem: LayoutProblem) -> Iterator[tuple[int, ...]]:
    """Every layout that holds, by plain enumeration."""
    for homes in product(range(len(problem.places)), repeat=len(problem.items)):
        if holds(problem, homes):
            yield homes


@given(
    places(),
    st.builds(Item, st.just("i"), *[st.integers(2, 45)] * 3, st.integers(1, 45), st.booleans()),
)
def test_a_thing_has_size_hurdles_just_when_it_does_not_go_in(place: Place, item: Item) -> None:
    """The reasons and the fit's own test of a single thing agree; every amount is above 0."""
    found = size_hurdles(item, place, CLEARANCE)
    assert (not found) == goes_in(item, place, CLEARANCE)
    assert all(over > 0 for _, over in found)


@settings(max_examples=60, deadline=None)
@given(problems(), st.data())
def test_each_place_is_explained_as_trying_it_shows(
    problem: LayoutProblem, data: st.DataObject
) -> None:
    """Extra costs are differences of whole layouts; free is just where moving there holds."""
    some = next(layouts(problem), None)
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
        assert one.free == holds(problem, moved)
        own = {h.bar for h in one.hurdles} & OWN_SIZE
        shape = problem.places[one.place]
        assert bool(own) != all(goes_in(problem.items[i], shape, CLEARANCE) for i in why.movers)


@settings(max_examples=80, deadline=None)
@given(problems(), st.data())
def test_who_would_have_to_leave_makes_room_and_nobody_less_does(
    problem: LayoutProblem, data: st.DataObject
) -> None:
    """Without the leavers the thing fits; a pair is named only where no single block would do.

    A way out that is said to save holds as a layout and saves just that.
    """
    some = next(layouts(problem), None)
    assume(some is not None)
    assert some is not None
    item = data.draw(st.integers(0, len(problem.items) - 1))
    why = why_here(problem, some, item, block=True, everywhere=True, work=1.0, exact=1000)
    blocks = joined(problem)
    for one in why.elsewhere:
        there = [b for b in blocks if some[b[0]] == one.place]
        singles = [b for b in there if fits_without(problem, some, why.movers, one.place, b)]
        movable = [b for b in singles if can_go(problem, b, one.place)]
        if any(h.bar in LASTING for h in one.hurdles) or one.free:
            assert one.leave is None
            continue
        if movable:
            assert one.leave is not None
            assert one.leave.items in movable
            if one.leave.homes is None:
                cheapest = min(least(problem, some, why.movers, one.place, b) for b in movable)
                assert one.leave.extra == cheapest
        if one.leave is None:
            continue
        assert all(some[i] == one.place for i in one.leave.items)
        assert fits_without(problem, some, why.movers, one.place, one.leave.items)
        if one.leave.homes is not None:
            new = dict(zip(one.leave.items, one.leave.homes, strict=True))
            new.update(dict.fromkeys(why.movers, one.place))
            homes = tuple(new.get(i, home) for i, home in enumerate(some))
            assert holds(problem, homes)
            assert cost_of(problem, homes) - cost_of(problem, some) == one.leave.extra < 0


def joined(problem: LayoutProblem) -> list[tuple[int, ...]]:
    """Blocks for at most one group that must lie together."""
    group = problem.together[0] if problem.together else ()
    alone: list[tuple[int, ...]] = [(i,) for i in range(len(problem.items)) if i not in group]
    return [group, *alone] if group else alone


def can_go(problem: LayoutProblem, block: Sequence[int], place: int) -> bool:
    """Whether another place would take each thing of a block by itself."""
    return any(
        p != place
        and all(
            p in problem.allowed[i] and goes_in(problem.items[i], problem.places[p], CLEARANCE)
            for i in block
        )
        for p in range(len(problem.places))
    )


def least(
    problem: LayoutProblem,
    homes: Sequence[int],
    movers: Sequence[int],
    place: int,
    block: Sequence[int],
) -> int:
    """The least extra cost when the movers come and a block goes, room or no room there."""
    totals = []
    for p in range(len(problem.places)):
        if p != place and all(p in problem.allowed[i] for i in block):
            shape = problem.places[p]
            if all(goes_in(problem.items[i], shape, CLEARANCE) for i in block):
                new = dict.fromkeys(block, p) | dict.fromkeys(movers, place)
                after = tuple(new.get(i, home) for i, home in enumerate(homes))
                totals.append(cost_of(problem, after) - cost_of(problem, tuple(homes)))
    return min(totals)


def fits_without(
    problem: LayoutProblem,
    homes: Sequence[int],
    movers: Sequence[int],
    place: int,
    gone: Sequence[int],
) -> bool:
    """Whether the movers can lie in the place once some things are gone from it."""
    kept = [i for i, home in enumerate(homes) if home == place and i not in gone]
    inside = [*(i for i in kept if i not in movers), *movers]
    if any(len(set(group) & set(inside)) > 1 for group in problem.apart):
        return False
    things = [problem.items[i] for i in inside]
    return lay(problem.places[place], things, problem.clearance).verdict is Verdict.FITS


@settings(max_examples=80, deadline=None)
@given(problems(most=6))
def test_whether_a_layout_exists_is_what_enumeration_says(problem: LayoutProblem) -> None:
    """With the solver, without its presolve and without the package: the same, right answer."""
    there = next(layouts(problem), None) is not None
    right = Standing.POSSIBLE if there else Standing.IMPOSSIBLE
    assert find_out(problem).standing is right
    assert find_out(problem, presolve=False).standing is right
    assert find_out(problem, package=False).standing is right


@settings(max_examples=50, deadline=None)
@given(problems(most=6))
def test_a_conflict_is_one_and_needs_each_of_its_parts(problem: LayoutProblem) -> None:
    """No layout keeps the demands named; without any one of them some layout does. Else none."""
    demands = demands_of(problem)
    found = find_conflict(problem, demands)
    if next(layouts(problem), None) is not None:
        assert found is None
        return
    assert found is not None
    assert found.confirmed
    named = [demands[n] for n in found.demands]
    assert next(layouts(asked(problem, named)), None) is None
    for n, demand in enumerate(named):
        without = [d for d in named if d is not demand]
        assert next(layouts(asked(problem, without)), None) is not None
        assert found.needed[n]


@settings(max_examples=50, deadline=None)
@given(problems(most=6))
def test_a_sum_that_is_too_large_proves_that_there_is_no_layout(problem: LayoutProblem) -> None:
    """Where a layout exists no need is above what is there; sums stand tightest first."""
    found = sums(problem)
    shares = [s.need / max(s.there, 1) for s in found]
    assert shares == sorted(shares, reverse=True)
    if next(layouts(problem), None) is not None:
        assert all(s.need <= s.there for s in found)


@settings(max_examples=50, deadline=None)
@given(problems(), st.data())
def test_what_a_change_saves_is_saved_by_a_layout_that_holds(
    problem: LayoutProblem, data: st.DataObject
) -> None:
    """The homes found hold in the changed box and cost just so much less, never more."""
    some = next(layouts(problem), None)
    assume(some is not None)
    assert some is not None
    base = settle_down(problem, some)
    assert holds(problem, base.homes)
    assert base.saved == cost_of(problem, some) - cost_of(problem, base.homes) >= 0
    place = data.draw(st.integers(0, len(problem.places) - 1))
    more = with_copy(problem, place)
    larger = with_size(problem, place, longer=10, deeper=10)
    for changed, touched in ((more, len(problem.places)), (larger, place)):
        gain = gain_of(changed, base.homes, [touched])
        assert holds(changed, gain.homes)
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
