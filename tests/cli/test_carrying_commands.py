"""Balance, pit bag and idle tools, as typed at the terminal."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from clikit import Ran

Run = Callable[..., Ran]


def test_balance_adds_up_to_the_gram(run: Run, kit_dir: Path) -> None:
    """Tare and every compartment together are the packed box."""
    data = run("balance", "--kit", kit_dir, "--json").data()
    inside = sum(c["grams"] for c in data["compartments"])
    assert inside == data["contents_g"] == 25 + 42 + 150
    assert data["total_g"] == data["tare_g"] + inside == 2217
    assert "two" in run("balance", "--kit", kit_dir).out  # the lifting caution is always there


def test_the_pit_bag_holds_whole_jobs_or_none(run: Run, kit_dir: Path) -> None:
    """192 g hold the urgent job's two tools; one gram less refuses it and says what is needed."""
    bag = run("pitbag", "192 g", "--job", "chain", "--kit", kit_dir, "--json").data()
    assert {tool["tool"] for tool in bag["bag"]} == {"CT", "K5"}
    assert bag["grams"] == 192
    assert bag["proved_best"]
    ran = run("pitbag", "191 g", "--job", "chain", "--kit", kit_dir)
    assert ran.code == 1
    assert "192 g" in ran.out
    assert run("pitbag", "some", "--kit", kit_dir).code == 1


def test_unused_names_the_jobs_that_would_be_lost(run: Run, kit_dir: Path) -> None:
    """After a day with only the bar change the chain tool is idle, and its job needs it."""
    run("log", "BC", "--at", "2026-11-17 10:00", "--kit", kit_dir)
    day = ("--today", "2026-11-17", "--kit", kit_dir)
    data = run("unused", *day, "--json").data()
    assert data["days"] == 1
    assert {i["tool"]: i["jobs_lost"] for i in data["idle"]} == {"CT": ["CH"]}
    assert "without it no Broken chain" in run("unused", *day).out
