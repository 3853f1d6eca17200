"""What lies in the bags of a trip: sums to the gram, readings, goods of the demo's trip."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.files.forms import demo_folder
from toolbox.files.goods_rules import shipped_rules
from toolbox.files.reading import read_kit
from toolbox.files.trips import read_trip
from toolbox.flight.contents import (
    Content,
    after_work,
    bag_total,
    candidates_of,
    contents_of,
    lines_of,
    thing_of,
    used_up,
)
from toolbox.flight.goods import Answer, judge, scope_of
from toolbox.flight.goods_limits import Deed, Placed, deed, limit_rows, over_limits
from toolbox.flight.masses import Verdict, reading_behind
from toolbox.flight.readings import explain
from toolbox.flight.scales import reading_of
from toolbox.kit.things import Goods
from toolbox.kit.trips import Bag, Concept, Trip, Weighing, Work
from toolbox.kit.work import Draw, Job, Step

KIT = read_kit(demo_folder())
TRIP = read_trip(demo_folder() / "trips" / "two-races.toml", KIT)
CONTENTS = contents_of(KIT, TRIP)
RULES = shipped_rules()
BAGS = {bag.id: bag for bag in TRIP.bags}


def tare_g(bag: Bag) -> int:
    """Grams of the empty bag."""
    return KIT.box.tare_g if bag.box else bag.tare.grams if bag.tare else 0


def total_g(bag: Bag, trip: Trip = TRIP, **more: dict[str, int]) -> int:
    """Grams of a bag as it is packed at home."""
    return bag_total(bag, KIT, trip, CONTENTS, **more).grams


def test_the_demo_trip_is_by_piece_and_then_by_weight() -> None:
    """Two legs out, one of each concept, with two people and five bags."""
    concepts = [TRIP.allowance(leg, "mika").concept for leg in TRIP.legs]
    assert concepts == [Concept.PIECE, Concept.WEIGHT]
    assert len(TRIP.people) == 2
    assert sum(bag.box for bag in TRIP.bags) == 1


def test_before_anything_is_moved_the_case_is_over_23_kg() -> None:
    """The box as it lies: empty mass and all that is carried in it, as its balance says."""
    case = BAGS["case"]
    total = bag_total(case, KIT, TRIP, CONTENTS)
    carried = sum(thing.mass.grams for thing in KIT.carried().values() if thing.mass)
    assert total.grams == KIT.box.tare_g + carried
    assert total.grams > 23_000
    assert total.verdict(23_000) is Verdict.OVER
    assert total.chance_over(23_000) > 0.999


def test_the_demo_can_be_packed_within_its_allowances() -> None:
    """All hold bags together stay under the pooled mass; pieces leave room for what is too much."""
    hold = [bag for bag in TRIP.bags if bag.carriage.value == "hold"]
    together = sum(total_g(bag) for bag in hold)
    pieces, pool = (TRIP.allowance(leg, "mika") for leg in TRIP.legs)
    assert together <= len(TRIP.people) * pool.mass_g
    assert pieces.pieces is not None
    assert len(hold) <= len(TRIP.people) * pieces.pieces
    too_much = sum(max(0, total_g(bag) - pieces.mass_g) for bag in hold)
    free = sum(max(0, pieces.mass_g - total_g(bag)) for bag in hold)
    assert 0 < too_much < free


def test_the_demos_fifth_cartridge_spray_and_loose_pack_are_found() -> None:
    """49 CFR 175.10(a)(25), FAA on aerosols, TSA on spare lithium batteries."""
    scope = scope_of(TRIP)
    judged = {c.id: judge(c.thing, RULES, scope) for c in CONTENTS}
    placed = [Placed(c.id, 1, c.bag, BAGS[c.bag].answers) for c in CONTENTS]
    over = over_limits(limit_rows(tuple(judged.values()), RULES, scope), placed)
    assert [(o.limit.id, o.whose, o.found, o.excess) for o in over] == [
        ("cartridges", "mika", 5, 1)
    ]
    assert {c.partition("/")[0] for c in over[0].things} == {"S-16"}

    def todo(name: str) -> Deed:
        content = next(c for c in CONTENTS if c.id == name)
        return deed(judged[name], BAGS[content.bag].carriage)

    assert todo("S-08") is Deed.TAKE_OUT
    assert judged["S-08"].answer is Answer.NO
    assert todo("pack") is todo("T-156") is todo("T-158") is Deed.TO_CABIN
    assert todo("S-16") is Deed.ASK
    assert todo("laptop") is Deed.NOTHING


def test_the_pieces_of_a_pack_weigh_what_the_pack_weighs() -> None:
    """Five cartridges told one by one, to the gram, and as sure as the pack was weighed."""
    five = [c for c in CONTENTS if c.id.startswith("S-16")]
    pack = KIT.supply("S-16").mass
    assert pack is not None
    assert [c.id for c in five] == ["S-16", "S-16/2", "S-16/3", "S-16/4", "S-16/5"]
    assert sum(c.mass.grams for c in five) == pack.grams
    (line,) = lines_of(five)
    assert (line.grams, line.mass) == (pack.grams, pack)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_whatever_is_moved_the_bags_add_up_to_the_gram(data: st.DataObject) -> None:
    """Any things anywhere: all bags together are all tares and all things that fly."""
    some = data.draw(st.lists(st.sampled_from(CONTENTS), max_size=40, unique=True))
    bags = st.none() | st.sampled_from(sorted(BAGS))
    where = {content.id: data.draw(bags) for content in some}
    totals = [bag_total(bag, KIT, TRIP, CONTENTS, where) for bag in TRIP.bags]
    flying = sum(c.mass.grams for c in CONTENTS if where.get(c.id, c.bag) is not None)
    assert sum(t.grams for t in totals) == flying + sum(tare_g(bag) for bag in TRIP.bags)


def test_a_reading_goes_before_the_sum_and_moves_change_it() -> None:
    """Weighed at 22.95 kg: then a spanner out, a wheel in, each with its own uncertainty."""
    scale = next(s for s in TRIP.scales if s.id == "hall")
    weighing = Weighing("case", 22_950, "hall", date(2026, 12, 3))
    old = replace(weighing, reading_g=20_000, day=date(2026, 12, 1))
    trip = replace(TRIP, weighings=(weighing, old))
    read = bag_total(BAGS["case"], KIT, trip, CONTENTS)
    u = reading_of(22_950, scale.step_mg, scale.accuracy).u_g
    assert (read.grams, read.u_g) == (22_950, pytest.approx(u))
    assert read.verdict(23_000) is Verdict.AT_RISK
    out = next(c for c in CONTENTS if c.id == "T-129")
    into = next(c for c in CONTENTS if c.id == "pack")
    moved = bag_total(BAGS["case"], KIT, trip, CONTENTS, {out.id: "soft", into.id: "case"})
    assert moved.grams == 22_950 - out.mass.grams + into.mass.grams
    by_hand = math.hypot(u, reading_behind(out.mass).u_g, reading_behind(into.mass).u_g)
    assert moved.u_g == pytest.approx(by_hand)


def test_what_was_weighed_without_a_thing_is_heavier_with_it() -> None:
    """A reading that names what was in the bag: whatever else lies there comes on top."""
    inside = [c for c in CONTENTS if c.bag == "back"]
    weighing = Weighing("back", 950, "kitchen", date(2026, 12, 3), ("nothing",))
    trip = replace(TRIP, weighings=(weighing,))
    total = bag_total(BAGS["back"], KIT, trip, CONTENTS)
    assert total.grams == 950 + sum(c.mass.grams for c in inside)


def test_a_reading_may_name_what_was_in_the_bag() -> None:
    """Copies by the name of the tool or their own: those are not counted twice."""
    pack = [c for c in CONTENTS if c.id.startswith("S-16")]
    for named, new in ((("S-16",), 0), (("S-16/2", "S-16/3"), 3)):
        weighing = Weighing("back", 1_500, "kitchen", date(2026, 12, 3), named)
        trip = replace(TRIP, weighings=(weighing,))
        where: dict[str, str | None] = {c.id: None for c in CONTENTS if c.bag == "back"}
        where |= {c.id: "back" for c in pack}
        total = bag_total(BAGS["back"], KIT, trip, CONTENTS, where)
        assert total.grams == 1_500 + new * 58


def test_fluids_and_packs_as_the_rules_see_them() -> None:
    """Millilitres are a fluid of so many, one pack; pieces as many as the pack holds."""
    fluid = thing_of(KIT.supply("S-01"), approved={"S-01"})
    assert (fluid.fluid, fluid.pieces, fluid.tool, fluid.approved) == (True, 1, False, True)
    untold = replace(KIT.supply("S-01"), goods=Goods("check-sds"))
    assert thing_of(untold).goods == Goods("check-sds", net_ml=100)
    sleeve = thing_of(KIT.supply("S-16"))
    assert (sleeve.fluid, sleeve.pieces, sleeve.approved) == (False, 5, False)
    grease = thing_of(KIT.supply("S-03"))
    assert (grease.fluid, grease.goods) == (True, None)


def test_a_tool_left_at_the_start_line_explains_the_reading() -> None:
    """The case weighed without its torque key: that one, not counted in, is named first."""
    case = BAGS["case"]
    listed = bag_total(case, KIT, TRIP, CONTENTS)
    key = next(c for c in CONTENTS if c.id == "T-026")
    counted = {c.id for c in CONTENTS} - {key.id}
    candidates = candidates_of(case, CONTENTS, counted=counted, away={key.id})
    assert {c.id for c in candidates if c.extra} == {c.id for c in CONTENTS if c.bag != "case"}
    reading = reading_of(listed.grams - key.mass.grams, 20_000)
    found = explain(listed.grams - key.mass.grams, reading, listed, candidates)
    assert not found.agrees
    assert found.explanations[0].missing == (key.id,)


def test_planned_work_uses_up_what_its_steps_draw() -> None:
    """By hand: brake fluid 0.5 x 30 ml at 0.75 g; cartridges half a pack's fifth of 58 g."""
    used = used_up(KIT, TRIP)
    assert used["S-01"] == int(Fraction(1, 2) * 30 * Fraction(3, 4))
    draws = {
        draw.supply: draw.amount * work.expected()
        for work in TRIP.work
        for step in KIT.job(work.job).steps
        for draw in step.draws
    }
    assert used["S-16"] == int(Fraction(290, 5) * draws["S-16"])
    assert all(grams >= 0 for grams in used.values())


def test_grams_are_used_up_as_they_are() -> None:
    """A job that draws 2 g of grease, planned seven times on two bikes: 28 g; never a pack more."""
    grease = KIT.supply("S-03")
    assert grease.mass is not None
    step = Step(1, "grease", (), (Draw("S-03", 2),))
    kit = replace(KIT, jobs=(*KIT.jobs, Job("grease", "Grease", (step,))))
    trip = replace(TRIP, work=(Work("grease", Fraction(7), ("A1", "B1")),))
    assert used_up(kit, trip) == {"S-03": 28}
    often = replace(TRIP, work=(Work("grease", Fraction(700)),))
    assert used_up(kit, often) == {"S-03": grease.mass.grams}


def test_the_way_home_is_lighter_by_what_was_used_up() -> None:
    """Sum and reading alike lose what is used up of things that lie in the bag."""
    used = used_up(KIT, TRIP)
    case = BAGS["case"]
    there = {c.id for c in CONTENTS if c.bag == "case"}
    gone = sum(grams for name, grams in used.items() if name in there)
    assert gone > 0
    assert total_g(case, used=used) == total_g(case) - gone
    weighing = Weighing("case", 22_950, "hall", date(2026, 12, 3))
    trip = replace(TRIP, weighings=(weighing,))
    assert total_g(case, trip, used=used) == 22_950 - gone


def test_a_pack_used_up_whole_does_not_come_home() -> None:
    """Two cartridges of five used: three fly back, none lighter than it was."""
    five = [c for c in CONTENTS if c.id.startswith("S-16")]
    left: tuple[Content, ...] = after_work(five, {"S-16": 2 * 58})
    assert [c.id for c in left] == ["S-16", "S-16/2", "S-16/3"]
    assert all(c.mass.grams == 58 for c in left)
