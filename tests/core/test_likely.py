"""What is likely now: worked by hand on a few facts, and found by letters."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import count

from smallkit import small_kit

from toolbox.desk.likely import (
    LOOKED_AT,
    Likely,
    Sort,
    bike_at_hand,
    found,
    likely_now,
)
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone, What
from toolbox.kit.kit import Kit
from toolbox.kit.work import Draw, Pick
from toolbox.usage.engine import estimate

BEGIN = datetime(2026, 11, 16, 8, 0, tzinfo=UTC)
DAY = date(2026, 11, 16)


def facts(*whats: What) -> tuple[Fact, ...]:
    """Each in an entry of its own, a minute apart, in the order of writing."""
    numbers = count(1)
    return tuple(
        Fact(f"f{n}", f"e{n}", n, BEGIN + timedelta(minutes=n), "Tester", what)
        for n, what in zip(numbers, whats, strict=False)
    )


def step(visit: str, job: str, number: int = 1, bike: str = "", **more: object) -> StepDone:
    """A step of a visit with its usual tools unless said otherwise."""
    picks = more.get("picks", ())
    draws = more.get("draws", ())
    return StepDone(visit, job, number, picks, draws, bike=bike)  # type: ignore[arg-type]


def now(*whats: What, kit: Kit | None = None) -> Likely:
    """What is likely after these facts."""
    kit = kit or small_kit()
    usage = estimate(kit.jobs, kit.tools, kit.supplies, facts(*whats), DAY, kit.settings)
    return likely_now(kit, usage, facts(*whats))


def test_without_a_log_the_stated_rates_and_the_ranking_decide() -> None:
    """Bleed is expected twice a day, so it and its tools come first; no bike is known."""
    likely = now()
    assert [job.id for job in likely.jobs] == ["bleed", "flat"]
    assert [thing.id for thing in likely.things] == ["key4", "key5", "lever", "fluid"]
    assert likely.bikes == ()
    assert likely.first("") == likely.jobs


def test_the_newest_visit_weighs_most_and_steps_do_not_add_up() -> None:
    """A visit of two steps is one act: the flat after it is newer and comes first."""
    likely = now(step("a", "bleed", 1), step("a", "bleed", 2), step("b", "flat"))
    assert [job.id for job in likely.jobs] == ["flat", "bleed"]


def test_many_a_little_older_outweigh_one_new() -> None:
    """Two bleeds one and two acts back weigh 0.98 + 0.96, one flat weighs 1."""
    likely = now(step("a", "bleed"), step("b", "bleed"), step("c", "flat"))
    assert [job.id for job in likely.jobs] == ["bleed", "flat"]


def test_bikes_by_how_lately_and_never_the_present_one() -> None:
    """Three bikes beside jobs, newest first; the one at hand is not offered again."""
    likely = now(*(step(f"v{n}", "flat", bike=bike) for n, bike in enumerate("ABCDA")))
    assert [bike.id for bike in likely.bikes] == ["A", "D", "C", "B"]
    assert [choice.id for choice in likely.first("A")] == ["flat", "bleed", "D", "C", "B"]
    assert [choice.id for choice in likely.first("B")] == ["flat", "bleed", "A", "D", "C"]


def test_what_a_job_took_beside_its_usual_tools_is_offered_first() -> None:
    """The lever at a bleed, once; at a flat it is a usual tool and says nothing."""
    picks = (Pick("key4"), Pick("key5", 2), Pick("lever"))
    likely = now(
        step("a", "bleed", 1, picks=picks), step("b", "flat", picks=(Pick("lever"),)),
        step("c", "flat", picks=(Pick("lever"),), draws=(Draw("fluid", 2),)),
    )  # fmt: skip
    assert likely.to_add("bleed")[0].id == "lever"
    assert likely.to_add("flat")[0].id == "fluid"


def test_loose_picks_and_spent_supplies_come_before_what_never_came_up() -> None:
    """The lever, last in the ranking, was picked; the fluid was spent."""
    likely = now(LoosePick("lever/2"), SupplyUsed("fluid", 5))
    assert [thing.id for thing in likely.things] == ["fluid", "lever", "key4", "key5"]


def test_only_the_newest_facts_are_looked_at() -> None:
    """What lies further back than LOOKED_AT facts is not seen."""
    old = step("old", "flat", bike="Z")
    new = [step("new", "bleed", 1)] * LOOKED_AT
    assert [bike.id for bike in now(old, *new[1:]).bikes] == ["Z"]
    assert now(old, *new).bikes == ()


def test_the_bike_at_hand_is_that_of_today() -> None:
    """The newest entry decides; undos say nothing; another day has no bike at hand."""
    kept = facts(step("a", "flat", bike="A1"), Undone("e0"))
    assert bike_at_hand(kept, DAY) == "A1"
    assert bike_at_hand(kept, DAY + timedelta(days=1)) == ""
    assert bike_at_hand((), DAY) == ""


def test_letters_find_jobs_tools_supplies_and_bikes_and_a_code_one() -> None:
    """Words that begin like the letters, of every sort, likeliest first; an id alone."""
    likely = now(step("a", "bleed", bike="Brown"))
    assert [(c.sort, c.id) for c in found(likely.everything, "br")] == [
        (Sort.JOB, "bleed"),
        (Sort.BIKE, "Brown"),
        (Sort.SUPPLY, "fluid"),
    ]
    assert [c.id for c in found(likely.everything, "KEY4")] == ["key4"]
    assert found(likely.everything, "zzz") == ()


def test_one_name_of_two_sorts_is_two_choices() -> None:
    """A bike called like a tool's id: both are offered."""
    likely = now(step("a", "flat", bike="lever"))
    assert {c.key for c in found(likely.everything, "lever")} == {"bike lever", "tool lever"}
