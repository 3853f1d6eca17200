"""Finding things and jobs by letters, and which layout they are looked up in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from smallkit import small_kit, with_home_tool

from toolbox.desk.finding import NOWHERE, grab_words, likely, meant_by, shown_where
from toolbox.desk.maps import grab_list, where_are
from toolbox.desk.plans import reach_of
from toolbox.files.forms import demo_folder
from toolbox.files.layouts import SavedPlan
from toolbox.files.reading import read_kit
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.usage.engine import estimate


@pytest.fixture(scope="module")
def demo_kit() -> Kit:
    """The demo as it comes, with nothing said of where things lie."""
    return read_kit(demo_folder())


TODAY = Layout("present", (Spot("key4", "tray"), Spot("key5", "well"), Spot("lever/2", "well")))
PLAN = Layout("plan", (Spot("key4", "well"),))


def placed() -> Kit:
    """The small kit with a vice at home, things lying as in TODAY."""
    return replace(with_home_tool(small_kit()), present=TODAY)


def test_which_layout_is_looked_at() -> None:
    """Today's unless the plan is asked for or today is not known; none of both is said."""
    plan = SavedPlan(PLAN, 1, None, "", "x")
    kit, unknown = placed(), small_kit()
    assert shown_where(kit, plan, planned=False) == (TODAY, "Where they lie today.")
    assert shown_where(kit, None, planned=True)[0] is TODAY
    assert shown_where(kit, plan, planned=True)[0] is PLAN
    assert shown_where(unknown, plan, planned=False)[0] is PLAN
    assert "nobody has said" in shown_where(unknown, plan, planned=False)[1]
    assert shown_where(unknown, None, planned=False)[0] is NOWHERE


def test_things_and_jobs_by_letters() -> None:
    """Every copy is a thing of its own; what is at home comes last; jobs stand beside them."""
    found = meant_by(placed(), TODAY, "l")
    assert [one.copy for one in found.things] == ["lever", "lever/2"]
    found = meant_by(placed(), TODAY, "brake")
    assert [job.name for job in found.jobs] == ["Brake bleed"]
    assert [one.name for one in found.things] == ["Brake fluid"]
    assert found.words(10) == "1 thing and 1 job"
    assert meant_by(placed(), TODAY, "hex").words(1) == "2 things, the first 1 listed"
    vice = meant_by(placed(), TODAY, "vice").things[0]
    assert (vice.compartment, vice.where) == (None, "does not travel in the box")


def test_letters_that_mean_nothing_name_what_is_near() -> None:
    """A slip of the finger still leads somewhere."""
    found = meant_by(placed(), TODAY, "Tyre lover")
    assert (found.things, found.jobs) == ((), ())
    assert [one.name for one in found.near] == ["Tyre lever"]
    assert meant_by(placed(), TODAY, "qqqq").near == ()


def test_the_way_and_the_time_to_the_hand() -> None:
    """Openings first; the time is that of the reach engine, None where nobody asked."""
    kit = placed()
    times = reach_of(kit)
    near, far, none = where_are(kit, TODAY, ["key4", "key5", "lever"], times)
    assert near.where == "in tray"
    assert far.where == "open the lid, in well"
    assert far.milliseconds == times.in_hand("key5", "well")
    assert none.where == "has no place yet"
    assert [one.milliseconds for one in where_are(kit, TODAY, ["key5"], None)] == [None]


def test_likely_things_are_the_most_used_that_travel() -> None:
    """In the ranking's order, no more than asked for, nothing that stays at home."""
    kit = placed()
    usage = estimate(kit.jobs, kit.tools, kit.supplies, (), date(2026, 11, 20), kit.settings)
    assert [one.copy for one in likely(kit, TODAY, usage, 2).things] == ["key4", "key5"]
    assert "vice" not in [one.copy for one in likely(kit, TODAY, usage).things]


def test_grab_list_in_words() -> None:
    """How many tools and supplies, compartments, and what is not there: a key, the fluid."""
    kit = replace(placed(), present=Layout("present", (Spot("key4", "tray"),)))
    found = grab_list(kit, kit.present or NOWHERE, "bleed", reach_of(kit))
    assert [one.copy for one in found] == ["key4", "key5", "fluid"]
    said = "2 tools and 1 supply from 1 compartment; 2 not in the box"
    assert grab_words(kit, found) == said


def test_supplies_of_the_steps_are_grabbed_too(demo_kit: Kit) -> None:
    """Of each job of the demo: every tool picked and every supply drawn, once, by compartment."""
    order = [compartment.id for compartment in demo_kit.box.compartments]
    times = reach_of(demo_kit)
    for job in demo_kit.jobs:
        found = grab_list(demo_kit, demo_kit.present or NOWHERE, job.id, times)
        wanted = {pick.tool for step in job.steps for pick in step.picks}
        supplies = {draw.supply for step in job.steps for draw in step.draws}
        assert sorted(one.copy for one in found) == sorted(wanted | supplies)
        homes = [order.index(one.compartment.id) for one in found if one.compartment]
        assert homes == sorted(homes)
        words = grab_words(demo_kit, found)
        assert (" supply " in words or " supplies " in words) == bool(supplies)
        assert words.startswith(f"{len(wanted)} tool")
