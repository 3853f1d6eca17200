"""What must hold for every packed box, every pit bag and every kit."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.carry.bag_problem import BagProblem, Choice, within, worth
from toolbox.carry.bag_search import searched_bag
from toolbox.carry.balance import weigh
from toolbox.carry.coverage import lightest_addition, needs_of
from toolbox.carry.pitbag import PitBag, Refusal, pit_bag
from toolbox.carry.tipping import tipping
from toolbox.carry.unused import jobs_lost, single_points
from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Known, Mass, Size, Tool
from toolbox.kit.work import Job, Pick, Step

FEW = settings(max_examples=40, deadline=None)
MANY = settings(max_examples=100, deadline=None)

SIDE = st.integers(1, 9000)
GRAMS = st.integers(0, 20000)


@st.composite
def packed_boxes(draw, least_grams: int = 0):
    """A box with bins and laid compartments anywhere in it, and things in them."""
    count = draw(st.integers(1, 4))
    compartments = tuple(
        Compartment(
            f"C{n}",
            f"place {n}",
            draw(st.sampled_from((Inside.LAID, Inside.LOOSE))),
            Size(draw(SIDE), draw(SIDE), draw(SIDE)),
            Position(draw(SIDE), 0, draw(SIDE)),
            ("D",) if draw(st.booleans()) else (),
        )
        for n in range(count)
    )
    tare = draw(st.integers(1, 20000))
    drawer = Opening("D", "drawer", Way.DRAWER, draw(SIDE), draw(st.integers(0, tare)))
    # twice 9000: no compartment reaches beyond the rear edge
    box = Box("box", Size(20000, 18000, 20000), tare, 0, (drawer,), compartments)
    things, spots = {}, []
    for n in range(draw(st.integers(1, 6))):
        grams = draw(st.integers(least_grams, 20000))
        size = Size(draw(SIDE), draw(SIDE), draw(SIDE))
        things[f"T{n}"] = Tool(f"T{n}", f"tool {n}", Mass(grams, Known.GUESS), size)
        corner = draw(st.none() | st.tuples(SIDE, SIDE))
        x, y = corner or (None, None)
        home = f"C{draw(st.integers(0, count - 1))}"
        spots.append(Spot(f"T{n}", home, x, y, draw(st.booleans())))
    return box, Layout("today", tuple(spots)), things


@given(packed_boxes())
@FEW
def test_compartments_and_tare_add_up_to_the_gram(packed):
    """Sum of the compartments + tare = total, and each thing is in exactly one of them."""
    box, layout, things = packed
    loads = weigh(box, layout, things)
    assert sum(c.grams for c in loads.compartments) + loads.tare_g == loads.total_g
    assert loads.contents_g == sum(t.mass.grams for t in things.values())
    assert sum(c.things for c in loads.compartments) == len(things)


@given(packed_boxes(least_grams=1), st.integers(1, 5000))
@FEW
def test_mass_moved_right_moves_the_centre_right(packed, by: int):
    """Moving one compartment's load right by d moves the centre by d · its share, exactly."""
    box, layout, things = packed
    home = layout.spots[0].compartment
    moved = tuple(
        replace(c, position=c.position._replace(x=c.position.x + by)) if c.id == home else c
        for c in box.compartments
    )
    before = weigh(box, layout, things)
    after = weigh(replace(box, compartments=moved), layout, things)
    share = Fraction(next(c.grams for c in before.compartments if c.compartment == home))
    assert after.body.centre()[0] - before.body.centre()[0] == by * share / before.total_g
    assert after.body.centre()[0] > before.body.centre()[0]
    assert after.body.centre()[1:] == before.body.centre()[1:]


@given(packed_boxes())
@FEW
def test_a_box_mirrored_left_to_right_mirrors_its_offset(packed):
    """Everything mirrored: side-to-side turns its sign, front-to-back and tipping stay."""
    box, layout, things = packed
    homes = {c.id: c for c in box.compartments}
    mirrored = replace(
        box,
        compartments=tuple(
            replace(
                c,
                position=c.position._replace(x=box.size.length - c.position.x - c.inside.length),
            )
            for c in box.compartments
        ),
    )
    spots = []
    for spot in layout.spots:
        if spot.x is not None:
            size = things[spot.item].size
            length = size.width if spot.turned else size.length
            spot = replace(spot, x=homes[spot.compartment].inside.length - spot.x - length)
        spots.append(spot)
    other = Layout("mirrored", tuple(spots))
    one, two = weigh(box, layout, things), weigh(mirrored, other, things)
    assert one.sideways.percent == -two.sideways.percent
    assert one.lengthwise == two.lengthwise
    front, back, left, right = tipping(box, layout, things)[0].edges
    front2, back2, left2, right2 = tipping(mirrored, other, things)[0].edges
    assert (front, back) == (front2, back2)
    assert (left.margin_mnm, right.margin_mnm) == (right2.margin_mnm, left2.margin_mnm)


@given(packed_boxes(), st.integers(1, 5000))
@FEW
def test_a_drawer_that_comes_farther_never_stands_firmer(packed, more: int):
    """The margin about the front edge does not grow with the travel of the drawer."""
    box, layout, things = packed
    (drawer,) = box.openings
    longer = replace(box, openings=(replace(drawer, travel=drawer.travel + more),))
    near, far = tipping(box, layout, things)[0], tipping(longer, layout, things)[0]
    assert far.edges[0].margin_mnm <= near.edges[0].margin_mnm


@given(packed_boxes())
@FEW
def test_what_can_still_be_added_is_just_not_too_much(packed):
    """With that mass at the drawer's front the box stands; with one gram more it tips."""
    box, layout, things = packed
    state = tipping(box, layout, things)[0]
    front = state.edges[0]
    travel = box.openings[0].travel
    if front.margin_mnm < 0:
        assert front.more_g == 0
        return
    # 9.80665e-4 mN·m for a gram at a tenth of a millimetre
    turn = Fraction(980665, 10**9) * travel
    assert front.margin_mnm + 1 - turn * front.more_g > 0
    assert front.margin_mnm - turn * (front.more_g + 1) < 0


@st.composite
def kits(draw):
    """Up to ten tools with stand-ins, up to six jobs with up to four tools each."""
    count = draw(st.integers(1, 10))
    names = [f"T{n}" for n in range(count)]
    tools = tuple(
        Tool(
            name,
            f"tool {name}",
            Mass(draw(st.integers(0, 40)), Known.GUESS),
            Size(draw(st.integers(1, 4)), draw(st.integers(1, 4)), 1),
            carried=draw(st.integers(0, 9)) > 0,
            count=draw(st.sampled_from((1, 1, 1, 2))),
            substitutes=tuple(draw(st.lists(st.sampled_from(names), max_size=2, unique=True))),
        )
        for name in names
    )
    jobs = tuple(
        Job(
            f"J{n}",
            f"job {n}",
            (Step(1, "", tuple(map(Pick, draw(st.lists(st.sampled_from(names), max_size=4))))),),
        )
        for n in range(draw(st.integers(1, 6)))
    )
    return tools, jobs


def does(job: Job, tools: tuple[Tool, ...], inside: set[str]) -> bool:
    """Written out on its own: every tool of the job, or one listed at it, is inside."""
    listed = {t.id: {t.id, *t.substitutes} for t in tools}
    return all(listed[p.tool] & inside for s in job.steps for p in s.picks)


def subsets(things):
    """Every subset, as sets."""
    return (set(c) for n in range(len(things) + 1) for c in combinations(things, n))


def best_bag(tools, jobs, limit, named, urgent, other, room):
    """The best bag by trying all of them: (urgent, other, grams) or None."""
    size = {t.id: t.size.length * t.size.width * t.size.height for t in tools}
    grams = {t.id: t.mass.grams for t in tools}
    best = None
    for inside in subsets([t.id for t in tools if t.carried]):
        mass = sum(grams[i] for i in inside)
        if mass > limit or (room is not None and sum(size[i] for i in inside) > room):
            continue
        done = {j.id for j in jobs if does(j, tools, inside)}
        if not named <= done:
            continue
        order = [t.id for t in tools]
        key = (
            -sum(urgent.get(j, 0) for j in done),
            -sum(other.get(j, 0) for j in done),
            mass,
            len(inside),
            sorted(order.index(i) for i in inside),
        )
        best = min(best, key) if best else key
    return best


@st.composite
def bag_questions(draw):
    """A kit with a limit, named jobs, work in eighths of a time a day, perhaps a room."""
    tools, jobs = draw(kits())
    ids = [j.id for j in jobs]
    work = st.dictionaries(st.sampled_from(ids), st.integers(0, 24).map(lambda n: n / 8))
    return (
        tools,
        jobs,
        draw(st.integers(0, 150)),
        set(draw(st.lists(st.sampled_from(ids), max_size=2))),
        draw(work),
        draw(work),
        draw(st.none() | st.integers(0, 60)),
    )


@given(bag_questions())
@MANY
def test_the_pit_bag_is_the_best_of_all_subsets(question):
    """Against every subset: same urgent work, other work, mass, and the very same tools."""
    tools, jobs, limit, named, urgent, other, room = question
    best = best_bag(*question)
    bag = pit_bag(
        jobs, tools, limit, named=sorted(named), urgent_work=urgent, other_work=other, room=room
    )
    if best is None:
        assert isinstance(bag, Refusal)
        assert named
        assert bag.needed_g is None or bag.needed_g > limit
        return
    assert isinstance(bag, PitBag)
    assert bag.proved_best
    order = [t.id for t in tools]
    assert [order.index(p.tool) for p in bag.tools] == best[4]
    assert bag.grams == best[2]
    total = sum(map(Fraction, urgent.values()))
    assert bag.urgent_share == (Fraction(-best[0]) / total if total else None)


@given(bag_questions())
@FEW
def test_a_refusal_without_a_room_names_the_least_that_would_do(question):
    """With the mass that the refusal names there is a bag, with a gram less there is none."""
    tools, jobs, limit, named, urgent, _, _ = question
    bag = pit_bag(jobs, tools, limit // 8, named=sorted(named), urgent_work=urgent)
    if isinstance(bag, Refusal) and bag.needed_g is not None:
        assert best_bag(tools, jobs, bag.needed_g, named, {}, {}, None) is not None
        assert best_bag(tools, jobs, bag.needed_g - 1, named, {}, {}, None) is None
        for name in bag.instead:
            rest = named - {j.id for j in jobs if j.name == name}
            assert best_bag(tools, jobs, limit // 8, rest, {}, {}, None) is not None


@st.composite
def problems(draw):
    """The question in numbers, up to ten tools."""
    count = draw(st.integers(1, 10))
    number = st.integers(0, count - 1)
    need = st.lists(number, min_size=1, max_size=2, unique=True).map(tuple)
    # few stand-ins and tight limits, so that jobs stand in each other's way
    jobs = draw(st.lists(st.lists(need, min_size=1, max_size=4).map(tuple), max_size=6))
    each = [draw(st.lists(st.integers(0, 9), min_size=len(jobs), max_size=len(jobs))) for _ in "ab"]
    sizes = st.lists(st.integers(0, 30), min_size=count, max_size=count).map(tuple)
    limits = st.none() | st.integers(0, 60)
    return BagProblem(
        draw(sizes),
        draw(sizes),
        draw(limits),
        draw(limits),
        tuple(jobs),
        tuple(draw(st.integers(0, 9)) == 9 for _ in jobs),
        tuple(each[0]),
        tuple(each[1]),
    )


@given(problems())
@MANY
def test_the_plain_search_is_the_best_of_all_subsets(problem: BagProblem):
    """Without the solver small cases end in the best bag and its proof as well."""
    bags = [frozenset(s) for s in subsets(range(len(problem.grams)))]
    allowed = [worth(problem, bag) for bag in bags if within(problem, bag)]
    expected = min(allowed).tools if allowed else None
    assert searched_bag(problem) == Choice(expected, proved=True)


@given(problems())
@FEW
def test_a_search_cut_short_claims_no_proof(problem: BagProblem):
    """After no step at all there is a bag that keeps the limits, or none, and no proof."""
    choice = searched_bag(problem, nodes=0)
    assert not choice.proved
    assert choice.tools is None or within(problem, frozenset(choice.tools))


@given(kits(), st.data())
@MANY
def test_jobs_lost_are_exactly_those_that_lose_their_last_tool(kit, data):
    """Against all jobs one by one: possible before, not possible after."""
    tools, jobs = kit
    without = set(data.draw(st.lists(st.sampled_from([t.id for t in tools]), max_size=3)))
    carried = {t.id for t in tools if t.carried}
    expected = [
        j.id for j in jobs if does(j, tools, carried) and not does(j, tools, carried - without)
    ]
    assert [lost.job for lost in jobs_lost(tools, jobs, without)] == expected


@given(kits())
@FEW
def test_doubling_a_single_point_takes_it_off_the_list(kit):
    """Single points are the carried tools of one copy whose absence stops a job, no others."""
    tools, jobs = kit
    points = single_points(tools, jobs, {})
    carried = {t.id for t in tools if t.carried}
    expected = {
        t.id
        for t in tools
        if t.carried
        and t.count == 1
        and any(does(j, tools, carried) and not does(j, tools, carried - {t.id}) for j in jobs)
    }
    assert {p.tool for p in points} == expected
    for point in points:
        doubled = tuple(replace(t, count=2) if t.id == point.tool else t for t in tools)
        assert point.tool not in {p.tool for p in single_points(doubled, jobs, {})}


@given(kits())
@MANY
def test_the_lightest_addition_is_the_lightest_of_all_subsets(kit):
    """For all jobs together, against every subset of the tools."""
    tools, jobs = kit
    everything = Job("all", "all", tuple(step for job in jobs for step in job.steps))
    least = min(
        sum(t.mass.grams for t in some)
        for n in range(len(tools) + 1)
        for some in combinations(tools, n)
        if does(everything, tools, {t.id for t in some})
    )
    grams = {t.id: t.mass.grams for t in tools}
    assert lightest_addition(needs_of(everything, tools), grams) == least
