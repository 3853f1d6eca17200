"""The commands stock, restock, buy, recount, waste, opened and wish, as text and as JSON."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

Run = Callable[..., Ran]

SUPPLIES = """
[[supply]]
id = "GLY"
name = "Glycol brake fluid"
measure = "ml"
pack = "100 ml"
stock = "250 ml"
reserve = "230 ml"
par = "300 ml"
carried = true
mass = "150 g"
length = "48 mm"
width = "48 mm"
height = "108 mm"
opened = 2024-01-01
opened_life_months = 12
fluid = "glycol"
"""
JOBS = """
[[job]]
id = "BLEED"
name = "Bleed, mineral"

[[job.step]]
text = "push the fluid through"
supplies = { GLY = "15 ml" }
"""


@pytest.fixture
def kit(kit_dir: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small kit with an old fluid and a job that takes the other kind."""
    for name, text in (("supplies.toml", SUPPLIES), ("jobs.toml", JOBS)):
        with (kit_dir / name).open("a", encoding="utf-8") as file:
            file.write(text)
    monkeypatch.setenv("TOOLBOX_KIT", str(kit_dir))
    return kit_dir


@pytest.fixture
def toolbox(run: Run, kit: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """The command on that kit (``run`` itself takes the variable away)."""
    monkeypatch.setenv("TOOLBOX_KIT", str(kit))
    return run


def test_an_evening_from_the_list_to_the_shelf(toolbox: Run) -> None:
    """Throw away, refill, buy, open: each said once, the list then empty, the stock by hand."""
    told = toolbox("restock", "--json").data()
    assert [(t["what"], t["amount"], t["where"]) for t in told["tasks"]] == [
        ("throw away", 20, "box"),
        ("refill", 100, "box"),
    ]
    text = toolbox("restock").out
    assert "throw away 20 ml of Glycol brake fluid from the box" in text
    assert "refill 100 ml (1 pack) of Glycol brake fluid" in text
    assert "CAUTION: Bleed, mineral, step 1: Glycol brake fluid holds glycol" in text
    done = toolbox("restock", "--do", "1", "--do", "refill", "--by", "Ro", "--json").data()
    assert (done["tasks"], bool(done["entry"])) == ([], True)
    # 230 left, the level is 300: one pack of 100
    assert [(b["packs"], b["amount"], b["when"]) for b in done["buy"]] == [
        (1, 100, "before leaving")
    ]
    got = toolbox("buy", "--got", "glycol", "1 pack", "--lot", "L7", "--best-before", "2031-05-31")
    assert "Nothing to buy." in got.out
    opened = toolbox("opened", "glycol", "--lot", "L7", "--json").data()
    assert opened["left"] == 330
    one = toolbox("stock", "GLY", "--json").data()
    assert (one["box"], one["reserve"], one["out_of_date"]) == (100, 230, 0)
    assert [(h["what"], h["amount"], h["author"]) for h in one["history"]] == [
        ("refilled", 100, "Ro"),
        ("wasted", 20, "Ro"),
        ("bought", 100, "Tester"),
    ]
    assert one["good_until"] < "2031-05-31"  # twelve months from today, whatever is printed


def test_counts_and_waste_and_undo(toolbox: Run) -> None:
    """By hand: 20 in the box, 17 counted, 5 spilt; undo brings 17 back."""
    assert (
        "counted 17 ml of Glycol brake fluid in the box" in toolbox("recount", "glycol", "17").out
    )
    spilt = toolbox("waste", "glycol", "5", "ml", "--note", "tipped over", "--json").data()
    assert spilt["left"] == 12 + 230
    assert toolbox("undo", spilt["entry"][:8]).code == 0
    assert toolbox("stock", "glycol", "--json").data()["box"] == 17
    old = toolbox("waste", "glycol")
    assert "threw away 17 ml" in old.out
    assert toolbox("recount", "glycol", "40 g").code == 1
    assert toolbox("recount", "lube", "4 ml", "--in", "box").code == 1
    assert toolbox("recount", "nothing like it", "4 ml").code == 1


def test_the_log_warns_of_the_other_fluid_and_writes_all_the_same(toolbox: Run) -> None:
    """check, log and ready say so; the draw is in the stock until it is taken back."""
    assert "CAUTION: Bleed, mineral, step 1" in toolbox("check").out
    assert len(toolbox("check", "--json").data()["mixed_fluids"]) == 1
    logged = toolbox("log", "bleed", "--bike", "A1", "--json").data()
    assert logged["mixed_fluids"][0].startswith("Bleed, mineral, step 1, bike A1: Glycol")
    assert toolbox("stock", "GLY", "--json").data()["left"] == 235
    found = toolbox("ready", "--json").data()["findings"]
    assert any("bike A1: Glycol" in finding["words"] for finding in found)
    again = toolbox("log", "bleed")
    assert "CAUTION: Bleed, mineral, step 1: Glycol" in again.err.replace("\n", " ")
    assert "CAUTION" not in again.out  # what is piped away takes no warning with it
    toolbox("undo")
    toolbox("undo")
    assert toolbox("stock", "GLY", "--json").data()["left"] == 250


def test_the_log_warns_of_what_is_past_its_date(toolbox: Run) -> None:
    """Opened on 2024-01-01 and good for a year; on its last day it was still good."""
    past = "Glycol brake fluid: opened 2024-01-01, good until 2025-01-01, which is past"
    logged = toolbox("log", "bleed", "--json")
    assert logged.data()["past_date"] == [past]
    assert past in logged.err.replace("\n", " ")
    assert past in toolbox("spend", "glycol", "5 ml").err.replace("\n", " ")
    then = toolbox("log", "bleed", "--at", "2025-01-01 12:00", "--json")
    assert then.data()["past_date"] == []
    # a fresh pack is what is drawn from now on
    toolbox("opened", "glycol")
    assert toolbox("log", "bleed", "--json").data()["past_date"] == []
    assert "past" not in toolbox("undo").err


def test_all_stocks_in_eighty_columns(toolbox: Run) -> None:
    """Every supply on a line, what does not travel without a figure for the box."""
    ran = toolbox("stock")
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    assert "Glycol brake fluid  20 ml  230 ml" in ran.out
    assert "out of date" in ran.out
    assert "Chain lube          -      100 ml" in ran.out
    every = toolbox("stock", "--json").data()["supplies"]
    assert [(s["supply"], s["left"], s["usable"]) for s in every] == [
        ("OIL", 100, 100),
        ("GLY", 250, 230),
    ]


def test_wishes_from_the_shell(toolbox: Run) -> None:
    """Told, listed with buy, fulfilled."""
    assert "Nothing is wished for." in toolbox("wish").out
    assert (
        "a longer hose (wished for by Ann" in toolbox("wish", "a", "longer hose", "--by", "Ann").out
    )
    assert "a longer hose" in toolbox("buy").out
    assert toolbox("wish", "A longer hose").code == 1
    told = toolbox("wish", "--got", "hose", "--json").data()
    assert [(w["words"], w["got"]) for w in told["wishes"]] == [("a longer hose", True)]
    assert "hose" not in toolbox("buy").out


def test_options_that_lack_what_they_belong_to(toolbox: Run) -> None:
    """Typed wrong is exit code 2, and nothing is written."""
    assert toolbox("buy", "--lot", "X").code == 2
    assert toolbox("restock", "--do", "no such line").code == 1
    assert "nothing to undo" in toolbox("undo").err
