"""The engine's numbers of a small kit, against sums done by hand (computed)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from smallkit import small_kit, with_home_tool

from toolbox.desk.above import over_any
from toolbox.desk.present import check_layout
from toolbox.desk.question import Question, layout_question
from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.rules import Ask, Rule
from toolbox.kit.things import Size
from toolbox.layout.problem import cost_of
from toolbox.reach.engine import reach_times
from toolbox.usage.engine import Usage, estimate

DAY = date(2026, 11, 20)
TRAY, WELL = 0, 1


def usage_of(kit: Kit) -> Usage:
    """Usage from the jobs' own stated rates: nothing is logged."""
    return estimate(kit.jobs, kit.tools, kit.supplies, (), DAY, kit.settings)


def question_of(kit: Kit) -> Question:
    """The question of a kit with an empty journal."""
    times = reach_times(kit.box, kit.settings, kit.readings, kit.carried())
    return layout_question(kit, usage_of(kit), times)


def test_every_copy_is_an_item_and_the_home_tool_is_none() -> None:
    """Two copies of a tool need two places; what stays at home or in reserve needs none."""
    question = question_of(with_home_tool(small_kit()))
    assert question.copies == ("key4", "key5", "lever", "lever/2")
    assert question.compartments == ("tray", "well")


def test_a_job_pays_its_opening_once_and_every_pick() -> None:
    """Moving both keys behind the lid: two visits a day pay 4 s each, and 2 x 2 picks 2 s more.

    Against the same layout with the keys in the tray, loose trips apart.
    """
    kit = small_kit()
    question = question_of(kit)
    usage = usage_of(kit)
    loose = {use.item: use.loose_per_day for use in usage.tools}
    bleed = next(job for job in usage.jobs if job.job == "bleed")
    tray = cost_of(question.problem, (TRAY, TRAY, TRAY, TRAY))
    both = cost_of(question.problem, (WELL, WELL, TRAY, TRAY))
    one = cost_of(question.problem, (WELL, TRAY, TRAY, TRAY))
    trips = (loose["key4"] + loose["key5"]) * (2 + 4)
    in_jobs = bleed.per_day * (4 + 4 * 2)
    assert both - tray == pytest.approx((in_jobs + trips) * 1e6, abs=10)
    # The second key behind the same lid opens nothing more.
    again = bleed.per_day * 2 * 2 + loose["key5"] * 6
    assert both - one == pytest.approx(again * 1e6, abs=10)


def test_an_urgent_second_weighs_as_much_as_the_kit_says() -> None:
    """With weight 1 an urgent job costs what an ordinary one costs; with 5 its share counts."""
    kit = small_kit()
    flat = next(job for job in usage_of(kit).jobs if job.job == "flat")
    heavy = question_of(kit)
    plain = question_of(replace(kit, settings=replace(kit.settings, urgent_weight=Fraction(1))))
    opening = {q: q.problem.visits[1].opening_cost[0] for q in (heavy, plain)}
    assert opening[heavy] / opening[plain] == pytest.approx(1 + 4 * flat.urgent_share, rel=1e-4)
    assert flat.urgent_share > 0


def test_the_second_copy_carries_no_use() -> None:
    """A spare costs nothing wherever it lies, so the plan may put it far away."""
    assert question_of(small_kit()).problem.pick_cost[3] == (0, 0)


def test_rules_become_what_the_engine_knows() -> None:
    """Pins and only-here shrink the choice; together holds copies too; apart spares copies."""
    rules = (
        Rule("keys in the tray", Ask.PINNED, ("key4",), ("tray",)),
        Rule("levers anywhere", Ask.ONLY, ("lever",), ("tray", "well")),
        Rule("keys as a pair", Ask.TOGETHER, ("key4", "lever")),
        Rule("levers off keys", Ask.APART, ("key5", "lever")),
    )
    problem = question_of(replace(small_kit(), rules=rules)).problem
    assert problem.allowed == ((TRAY,), (TRAY, WELL), (TRAY, WELL), (TRAY, WELL))
    assert problem.together == ((0, 2, 3),)
    assert problem.apart == ((1, 2), (1, 3))


def test_within_leaves_only_what_the_hand_reaches_in_time() -> None:
    """A limit shorter than opening the lid keeps the first copy out of the well."""
    rules = (Rule("lever at once", Ask.WITHIN, ("lever",), milliseconds=2000),)
    problem = question_of(replace(small_kit(), rules=rules)).problem
    assert problem.allowed[2] == (TRAY,)
    assert problem.allowed[3] == (TRAY, WELL)


def test_a_rare_companion_makes_a_trip_of_its_own() -> None:
    """A tool wanted in fewer than half the visits does not tie the job to its opening."""
    kit = small_kit()
    usage = usage_of(kit)
    bleed = next(job for job in usage.jobs if job.job == "bleed")
    rare = replace(
        bleed,
        picks=tuple(
            replace(pick, mean=0.25) if pick.item == "key5" else pick for pick in bleed.picks
        ),
    )
    changed = replace(usage, jobs=tuple(rare if job.job == "bleed" else job for job in usage.jobs))
    times = reach_times(kit.box, kit.settings, kit.readings, kit.carried())
    problem = layout_question(kit, changed, times).problem
    assert problem.visits[0].items == (0,)
    loose = next(use.loose_per_day for use in usage.tools if use.item == "key5")
    trips = bleed.per_day * 0.25 + loose
    assert problem.pick_cost[1][WELL] == pytest.approx(trips * 7e6, abs=10)


def test_the_stamp_follows_the_inputs() -> None:
    """The same kit gives the same stamp; another clearance gives another."""
    kit = small_kit()
    other = replace(kit, settings=replace(kit.settings, clearance=50))
    assert question_of(kit).stamp == question_of(kit).stamp
    assert question_of(kit).stamp != question_of(other).stamp


def test_apart_with_others_lets_each_group_share() -> None:
    """Pairs across the groups only: three keys of one group may lie together (enumeration)."""
    rules = (Rule("keys off levers", Ask.APART, ("key4", "key5"), others=("lever",)),)
    problem = question_of(replace(small_kit(), rules=rules)).problem
    wanted = {(a, b) for a in (0, 1) for b in (2, 3)}
    assert set(problem.apart) == wanted


def stacked(*spots: tuple[str, int, int, str]) -> Box:
    """Compartments 1000 wide and 400 deep, each with a name, x, z, and the opening before it."""
    ways = (Opening("lid", "lid", Way.LID, 10), Opening("flap", "flap", Way.FLAP, 10))
    return Box(
        "b",
        Size(3000, 1000, 1500),
        1,
        0,
        ways,
        tuple(
            Compartment(
                name,
                name,
                Inside.LOOSE,
                Size(1000, 900, 400),
                Position(x, {"lid": 1100, "flap": -1100}.get(way, 0), z),
                (way,) if way else (),
            )
            for name, x, z, way in spots
        ),
    )


def test_above_is_what_stands_over_a_part_of_it() -> None:
    """Half over it counts, beside it and edge to edge does not; a lid shuts over everything.

    A flap's compartments count as above and as beneath, since it is not told where they go.
    """
    box = stacked(
        ("low", 0, 0, ""),
        ("half over", 500, 400, ""),
        ("beside", 1000, 400, ""),
        ("high", 0, 800, ""),
        ("in the lid", 0, 0, "lid"),
        ("in the flap", 0, 0, "flap"),
    )
    always = {"in the lid", "in the flap"}
    assert over_any(box, {"low"}) == {"half over", "high"} | always
    assert over_any(box, {"beside"}) == always
    assert over_any(box, {"half over"}) == {"high"} | always
    assert over_any(box, {"in the lid"}) == {"in the flap"}
    everything_else = {c.id for c in box.compartments} - {"in the flap"}
    assert over_any(box, {"in the flap"}) == everything_else


def test_clear_keeps_fluids_out_of_what_holds_pads_and_what_is_above() -> None:
    """The keys lie in the well only; the tray stands over it, so the lever has no place left."""
    rules = (Rule("levers off keys", Ask.CLEAR, ("lever",), ("well",), None, ("key4", "key5")),)
    problem = question_of(replace(small_kit(), rules=rules)).problem
    assert problem.allowed == ((WELL,), (WELL,), (), ())
    rules = (Rule("levers off keys", Ask.CLEAR, ("lever",), ("tray",), None, ("key4", "key5")),)
    problem = question_of(replace(small_kit(), rules=rules)).problem
    assert problem.allowed == ((TRAY,), (TRAY,), (WELL,), (WELL,))


def test_todays_layout_is_told_what_it_breaks_of_clear() -> None:
    """A lever laid above the keys is named, one beneath them is not."""
    rule = Rule("levers off keys", Ask.CLEAR, ("lever",), ("tray",), None, ("key4", "key5"))
    question = question_of(replace(small_kit(), rules=(rule,)))
    bad = Layout("present", (Spot("key4", "well"), Spot("lever", "tray", 0, 0)))
    assert check_layout(question, bad) == (
        "Hex key 4 mm may not lie in well",
        "Tyre lever may not lie in tray",
    )
    good = Layout("present", (Spot("key4", "tray", 0, 0), Spot("lever", "well")))
    assert check_layout(question, good) == ()
