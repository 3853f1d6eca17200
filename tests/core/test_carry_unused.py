"""What stays unused, what leaving it costs, what has no double."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from toolbox.carry.findings import CarryError
from toolbox.carry.unused import idle_tools, jobs_lost, single_points
from toolbox.kit.things import Known, Mark, Mass, Size, Tool
from toolbox.kit.work import Job, Pick, Step


def tool(id: str, grams: int, *substitutes: str, **more) -> Tool:
    mass = Mass(grams, Known.WEIGHED)
    return Tool(id, f"tool {id}", mass, Size(10, 10, 10), substitutes=substitutes, **more)


def job(id: str, *tools: str, urgent: bool = False) -> Job:
    return Job(id, f"job {id}", (Step(1, "", tuple(map(Pick, tools))),), urgent=urgent)


TOOLS = (
    tool("A", 100, "B"),
    tool("B", 50),
    tool("C", 400, marks=frozenset({Mark.URGENT})),
    tool("D", 30, count=3),
    tool("E", 70, carried=False),
)
JOBS = (
    job("J1", "A"),
    job("J2", "B", "C", urgent=True),
    job("J3", "C", "D"),
    job("J4", "E", "C"),
)
DAYS = [date(2026, 1, 5) + timedelta(days=7 * n) for n in range(4)]


def test_removing_a_tool_names_exactly_the_jobs_that_lose_their_last_tool():
    """B stands in for A but not A for B; a job that could not be done before is not lost."""
    lost = {t.id: [j.job for j in jobs_lost(TOOLS, JOBS, {t.id})] for t in TOOLS}
    assert lost == {"A": [], "B": ["J2"], "C": ["J2", "J3"], "D": ["J3"], "E": []}
    both = jobs_lost(TOOLS, JOBS, {"A", "B"})
    assert [(j.name, j.urgent, j.missing) for j in both] == [
        ("job J1", False, ("tool A",)),
        ("job J2", True, ("tool B",)),
    ]


def test_a_stand_in_that_stays_at_home_does_not_count():
    """With B at home A is the last one for its job."""
    tools = tuple(replace(t, carried=t.id not in "BE") for t in TOOLS)
    assert [j.job for j in jobs_lost(tools, JOBS, {"A"})] == ["J1"]


def test_unknown_tools_are_named():
    """A slip in an id is refused with a guess, not taken for "nothing lost"."""
    with pytest.raises(CarryError, match="there is no tool AA; did you mean A"):
        jobs_lost(TOOLS, JOBS, {"AA"})


def test_idle_counts_logged_days_not_calendar_days():
    """Two logged days back is a week back here: used on that very day is not idle."""
    last = {"A": DAYS[2], "B": DAYS[2] - timedelta(days=1), "C": None, "D": DAYS[3]}
    idle = idle_tools(TOOLS, JOBS, DAYS, last, window_days=2)
    assert [(i.tool, i.last_use, i.idle_days, i.grams) for i in idle] == [
        ("B", DAYS[2] - timedelta(days=1), 2, 50),
        ("C", None, 4, 400),
    ]
    assert [i.urgent for i in idle] == [False, True]
    assert [[j.job for j in i.lost] for i in idle] == [["J2"], ["J2", "J3"]]


def test_idle_tools_free_of_cost_come_first_then_the_heaviest():
    """All copies count in the grams; what stays at home anyway is not listed."""
    idle = idle_tools(TOOLS, JOBS, DAYS, {}, window_days=4)
    assert [(i.tool, i.grams) for i in idle] == [("A", 100), ("D", 90), ("B", 50), ("C", 400)]


def test_days_logged_twice_count_once():
    """A day with two entries is one working day, in whatever order they come."""
    twice = [DAYS[1], DAYS[0], DAYS[1], DAYS[1]]
    idle = idle_tools(TOOLS, JOBS, twice, {"A": DAYS[0]}, window_days=1)
    assert {i.tool: i.idle_days for i in idle} == {"A": 1, "D": 2, "B": 2, "C": 2}


def test_with_few_days_logged_all_of_them_count():
    """Three of ten days are logged: used on any of them is not idle, and no day proves nothing."""
    last = dict.fromkeys("ABC", DAYS[0])
    idle = idle_tools(TOOLS, JOBS, DAYS[:3], last, window_days=10)
    assert [(i.tool, i.idle_days) for i in idle] == [("D", 3)]
    assert idle_tools(TOOLS, JOBS, [], {}, window_days=10) == ()
    with pytest.raises(CarryError, match="one working day or more"):
        idle_tools(TOOLS, JOBS, DAYS, {}, window_days=0)


def test_single_points_are_ordered_by_jobs_then_by_how_often():
    """What stops most comes first; spare copies and stand-ins take a tool off the list."""
    found = single_points(TOOLS, JOBS, {"J2": 1.5, "J3": 0.25})
    assert [(p.tool, len(p.jobs), p.times, p.grams) for p in found] == [
        ("C", 2, 1.75, 400),
        ("B", 1, 1.5, 50),
    ]
    one_copy = tuple(replace(t, count=1) for t in TOOLS)
    assert [p.tool for p in single_points(one_copy, JOBS, {"J3": 2.0})] == ["C", "D", "B"]
