"""The pit bag on cases small enough to see, with and without the solver."""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction

import pytest

from toolbox.carry.bag_check import bag_faults
from toolbox.carry.bag_exact import exact_bag
from toolbox.carry.bag_problem import BagProblem
from toolbox.carry.bag_report import PackedTool
from toolbox.carry.coverage import lightest_addition, needs_of, standings
from toolbox.carry.findings import CarryError
from toolbox.carry.pitbag import PitBag, Refusal, pit_bag
from toolbox.kit.things import Known, Mass, Size, Tool
from toolbox.kit.work import Job, Pick, Step


def tool(id: str, name: str, grams: int, *substitutes: str, side: int = 100, carried: bool = True):
    size = Size(side, side, side)
    mass = Mass(grams, Known.GUESS)
    return Tool(id, name, mass, size, carried=carried, substitutes=substitutes)


def job(id: str, name: str, *tools: str) -> Job:
    return Job(id, name, tuple(Step(n, "", (Pick(t, 2),)) for n, t in enumerate(tools, 1)))


TOOLS = (
    tool("K4", "hex key 4", 60),
    tool("K5", "hex key 5", 80, "MT"),
    tool("MT", "folding tool", 150),
    tool("CT", "chain tool", 300),
    tool("TW", "torque wrench", 900, "K5"),
    tool("WS", "work stand", 6000, carried=False),
)
JOBS = (
    job("J1", "bar twist", "K4", "K5"),
    job("J2", "chain swap", "CT"),
    job("J3", "stem torque", "TW"),
    job("J4", "wheel true", "WS", "K4"),
)
URGENT = {"J1": 2.0, "J2": 1.5, "J4": 0.5}


@pytest.fixture(params=["solver", "plain"])
def way(request, monkeypatch):
    """Each case is answered by the solver and by the plain search in its place."""
    if request.param == "plain":
        monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
        with pytest.raises(ImportError):
            exact_bag(BagProblem((), (), None, None, (), (), (), ()), 1.0)
    return request.param


def ids(bag: PitBag) -> list[str]:
    return [packed.tool for packed in bag.tools]


def test_all_tools_of_a_job_or_none(way):
    """At 440 g both urgent jobs fit to the gram; at 439 g the more frequent one goes first."""
    both = pit_bag(JOBS, TOOLS, 440, urgent_work=URGENT)
    assert isinstance(both, PitBag)
    assert (ids(both), both.grams) == (["K4", "K5", "CT"], 440)
    assert both.urgent_share == Fraction(7, 8)
    one = pit_bag(JOBS, TOOLS, 439, urgent_work=URGENT)
    assert isinstance(one, PitBag)
    assert ids(one) == ["K4", "K5"]
    assert one.proved_best


def test_a_stand_in_serves_and_is_named(way):
    """The torque wrench's job is served by the hex key that may stand in for it, and that is said.

    Serving is one way: the wrench does not stand in for the key."""
    bag = pit_bag(JOBS, TOOLS, 100, named=["J3"], urgent_work={})
    assert isinstance(bag, PitBag)
    assert ids(bag) == ["K5"]
    assert [tuple(s) for s in bag.stand_ins] == [("torque wrench", "hex key 5", ("stem torque",))]
    assert bag.urgent_share is None


def test_stand_ins_are_not_passed_on(way):
    """The folding tool stands in for the key, the key for the wrench; not the one for the other."""
    no_key = tuple(replace(t, carried=t.id not in ("K5", "TW", "WS")) for t in TOOLS)
    refused = pit_bag(JOBS, no_key, 10_000, named=["J3"], urgent_work={})
    assert isinstance(refused, Refusal)
    assert "torque wrench" in refused.reason


def test_named_jobs_go_before_urgent_work(way):
    """A named job is in the bag even where it costs the more frequent one its place."""
    bag = pit_bag(JOBS, TOOLS, 439, named=["J2"], urgent_work=URGENT)
    assert isinstance(bag, PitBag)
    assert bag.covered == (("J2", "chain swap"),)


def test_the_job_left_out_says_what_is_missing_and_what_it_weighs(way):
    """Names of what is missing, the grams that would go in, or that it stays at home."""
    bag = pit_bag(JOBS, TOOLS, 300, named=["J2"], urgent_work=URGENT)
    assert isinstance(bag, PitBag)
    by_job = {left.job: left for left in bag.left_out}
    assert by_job["J1"].missing == ("hex key 4", "hex key 5")
    assert by_job["J1"].more_g == 140
    assert by_job["J4"].missing == ("work stand", "hex key 4")
    assert (by_job["J4"].more_g, by_job["J4"].at_home) == (None, ("work stand",))
    assert [left.job for left in bag.left_out] == ["J1", "J4", "J3"]


def test_what_is_at_hand_need_not_be_carried(way):
    """A work stand that stands in the pit serves its job and adds nothing to the bag."""
    bag = pit_bag(JOBS, TOOLS, 60, urgent_work={"J4": 1}, at_hand=["WS"])
    assert isinstance(bag, PitBag)
    assert (ids(bag), bag.urgent_share) == (["K4"], 1)


def test_refusal_names_the_smallest_change(way):
    """Named jobs that are too heavy: what they need, the limit, and which one to leave."""
    refused = pit_bag(JOBS, TOOLS, 310, named=["J1", "J2"], urgent_work=URGENT)
    assert refused == Refusal(
        "the named jobs need 440 g, the limit is 310 g",
        limit_g=310,
        needed_g=440,
        instead=("bar twist", "chain swap"),
    )
    assert isinstance(pit_bag(JOBS, TOOLS, 440, named=["J1", "J2"], urgent_work=URGENT), PitBag)


def test_refusal_for_want_of_room(way):
    """Four litres of named tools do not go into three."""
    big = tuple(replace(t, size=Size(1000, 1000, 2000)) for t in TOOLS)
    refused = pit_bag(
        JOBS, big, 5000, named=["J1"], urgent_work={}, room=3 * 10**9
    )  # cubic tenths of a millimetre
    assert isinstance(refused, Refusal)
    assert refused.reason == "the named jobs need 4 L, there is room for 3 L"
    assert isinstance(
        pit_bag(JOBS, big, 5000, named=["J1"], urgent_work={}, room=4 * 10**9), PitBag
    )


def test_refusal_when_mass_and_room_stand_against_each_other(way):
    """The light stand-in is too big and the small tool too heavy: what it would have to weigh."""
    tools = (tool("A", "press", 500, "B"), tool("B", "lever", 100, side=1000))
    jobs = (job("J1", "bearing", "A"),)
    refused = pit_bag(jobs, tools, 400, named=["J1"], urgent_work={}, room=10**8)
    assert isinstance(refused, Refusal)
    assert refused.needed_g == 500
    assert refused.reason.startswith("with the room there is")


def test_other_work_fills_what_urgent_work_leaves(way):
    """After the urgent work the other work counts, then the lighter bag."""
    bag = pit_bag(JOBS, TOOLS, 440, urgent_work={"J1": 1}, other_work={"J2": 3, "J3": 1})
    assert isinstance(bag, PitBag)
    assert ids(bag) == ["K4", "K5", "CT"]
    light = pit_bag(JOBS, TOOLS, 440, urgent_work={"J1": 1})
    assert isinstance(light, PitBag)
    assert ids(light) == ["K4", "K5"]


def test_a_little_urgent_work_goes_before_much_other_work(way):
    """Only one of the two jobs fits: the urgent one, however seldom it comes."""
    bag = pit_bag(JOBS, TOOLS, 300, urgent_work={"J1": 0.001}, other_work={"J1": 1, "J2": 50})
    assert isinstance(bag, PitBag)
    assert ids(bag) == ["K4", "K5"]


def test_equal_bags_are_settled_by_the_order_of_the_kit(way):
    """Two tools of the same mass serve alike: the first of the kit is taken, every time."""
    tools = (tool("A", "a", 5, "B", "C"), tool("B", "b", 4, "C"), tool("C", "c", 4))
    bag = pit_bag((job("J1", "j", "A"),), tools, 9, urgent_work={"J1": 1})
    assert isinstance(bag, PitBag)
    assert ids(bag) == ["B"]


def test_nothing_asked_gives_an_empty_bag(way):
    """No named job and no work: nothing is carried; a job without tools is always covered."""
    bag = pit_bag((*JOBS, job("J9", "look")), TOOLS, 0, urgent_work={})
    assert isinstance(bag, PitBag)
    assert (bag.tools, bag.grams) == ((), 0)
    assert bag.covered == (("J9", "look"),)


def test_all_that_is_wrong_with_the_question_is_said_at_once():
    """Unknown jobs with the nearest one, and work that cannot be counted."""
    with pytest.raises(CarryError) as raised:
        pit_bag(JOBS, TOOLS, 100, named=["J11"], urgent_work={"J1": -1, "J2": float("nan")})
    assert len(raised.value.faults) == 3
    assert "did you mean J1" in raised.value.faults[0]
    assert "bar twist" in raised.value.faults[1]
    with pytest.raises(CarryError) as raised:
        pit_bag(JOBS, TOOLS, -1, urgent_work={}, at_hand=["W5"])
    assert len(raised.value.faults) == 2


def test_the_check_sees_every_kind_of_lie():
    """A bag that is altered in any figure no longer passes the independent check."""
    bag = pit_bag(JOBS, TOOLS, 440, named=["J2"], urgent_work=URGENT)
    assert isinstance(bag, PitBag)

    def faults(changed: PitBag, named=("J2",)) -> tuple[str, ...]:
        return bag_faults(changed, JOBS, TOOLS, named=named, urgent_work=URGENT)

    assert faults(bag) == ()
    lies = (
        replace(bag, tools=bag.tools[:-1]),
        replace(bag, tools=(*bag.tools, bag.tools[0])),
        replace(bag, tools=(*bag.tools, PackedTool("WS", "work stand", 6000))),
        replace(bag, tools=(PackedTool("K4", "hex key 4", 59), *bag.tools[1:])),
        replace(bag, grams=439),
        replace(bag, volume=bag.volume + 1),
        replace(bag, limit_g=439),
        replace(bag, covered=bag.covered[:-1]),
        replace(bag, left_out=bag.left_out[:-1]),
        replace(bag, urgent_share=Fraction(1)),
    )
    assert all(faults(lie) for lie in lies)
    assert faults(bag, named=("J4",)) == ("the named job J4 is not covered",)
    assert bag_faults(bag, JOBS, TOOLS, urgent_work=URGENT, room=bag.volume - 1)


def test_the_same_question_gives_the_same_answer(way):
    """Two runs give equal values, field by field."""
    asked = {"named": ["J2"], "urgent_work": URGENT, "other_work": {"J3": 1.0}}
    assert pit_bag(JOBS, TOOLS, 1300, **asked) == pit_bag(JOBS, TOOLS, 1300, **asked)


def test_without_any_effort_there_is_still_an_honest_answer():
    """When the solver may not search at all, the plain search answers in its place."""
    bag = pit_bag(JOBS, TOOLS, 440, urgent_work=URGENT, effort=0.0)
    assert isinstance(bag, PitBag)
    assert ids(bag) == ["K4", "K5", "CT"]


def test_standings_say_what_can_still_be_done_from_one_case():
    """With one case lost, each job says what it lacks; copies count as their tool."""
    two = (replace(TOOLS[0], count=2), *TOOLS[1:])
    found = standings(JOBS, two, ["K4/2", "MT"])
    assert [(s.name, s.missing) for s in found] == [
        ("bar twist", ()),
        ("chain swap", ("chain tool",)),
        ("stem torque", ("torque wrench",)),
        ("wheel true", ("work stand",)),
    ]
    assert found[0].covered
    assert not found[1].covered


def test_one_tool_may_serve_two_needs_at_once():
    """The lightest addition takes the shared stand-in where that is lighter than two tools."""
    tools = (
        tool("A", "a", 100, "M"),
        tool("B", "b", 100, "M"),
        tool("M", "m", 150),
        tool("C", "c", 10),
    )
    needs = needs_of(job("J", "j", "A", "B", "C"), tools)
    assert lightest_addition(needs, {t.id: t.mass.grams for t in tools}) == 160
    with pytest.raises(ValueError, match="no server"):
        lightest_addition(needs, {"A": 1, "B": 1})
