"""The command uses: sorted in any order, and all that is known of one tool."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from clikit import Ran

Run = Callable[..., Ran]

DAY = ("--today", "2026-11-20")
AT = ("--at", "2026-11-19 10:00")


def test_uses_sorts_by_what_is_asked(run: Run, kit_dir: Path) -> None:
    """By name and by place the order is that of the alphabet; JSON says the cost of each."""
    by_name = run("uses", "--by", "name", *DAY, "--kit", kit_dir, "--json").data()["tools"]
    assert [tool["name"] for tool in by_name] == [
        "Bench vice",
        "Chain tool",
        "Hex key 4 mm",
        "Hex key 5 mm",
    ]
    tools = run("uses", "--by", "cost", *DAY, "--kit", kit_dir, "--json").data()["tools"]
    costs = [t["cost_us_per_day"] for t in tools]
    assert costs[-1] is None  # the vice stays at home
    assert costs[:-1] == sorted(costs[:-1], reverse=True)
    assert run("uses", "--by", "colour", "--kit", kit_dir).code == 2


def test_uses_of_one_tool_tells_its_days_and_jobs(run: Run, kit_dir: Path) -> None:
    """Two chain jobs logged on one day: the chain tool was taken up twice at each."""
    for _ in range(2):
        assert run("log", "broken", *AT, "--kit", kit_dir).code == 0
    assert run("pick", "chain tool", *AT, "--kit", kit_dir).code == 0
    told = run("uses", "chain", "tool", *DAY, "--kit", kit_dir)
    assert told.code == 0
    words = " ".join(told.out.split())
    assert "taken up 5 times on 1 of 1 days" in words
    assert "for: Broken chain 4; outside any job 1" in words
    assert "lies in Front tray today" in words
    data = run("uses", "CT", *DAY, "--kit", kit_dir, "--json").data()
    assert data["days"] == [{"day": "2026-11-19", "times": 5}]
    assert data["times"] == 5


def test_uses_of_a_tool_that_is_not_clear(run: Run, kit_dir: Path) -> None:
    """Several, none, or a tool together with the whole ranking are refused."""
    assert run("uses", "hex", *DAY, "--kit", kit_dir).code == 4
    assert run("uses", "saw", *DAY, "--kit", kit_dir).code == 1
    assert run("uses", "CT", "--all", *DAY, "--kit", kit_dir).code == 2
    assert "never taken up" in run("uses", "vice", *DAY, "--kit", kit_dir).out
