"""Explanations on the small kit: why a tool lies where it lies, what is unsure, what helps."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

Run = Callable[..., Ran]
DAY = ("--today", "2026-11-20")


def add_rule(kit_dir: Path, text: str) -> None:
    """Write one more rule into the kit."""
    path = kit_dir / "rules.toml"
    before = path.read_text(encoding="utf-8") if path.exists() else ""
    path.write_text(f"{before}\n[[rule]]\n{text}\n", encoding="utf-8")


def test_why_names_every_other_place_and_what_stands_in_the_way(run: Run, kit_dir: Path) -> None:
    """Hex key 5 lies in the well today: free to go to the loops, no room beside the chain tool.

    The tray is 250 x 80 mm; 159 + 134 mm are too long for it, 34 + 64 mm too wide (computed).
    """
    ran = run("why", "hex key 5", "--present", *DAY, "--kit", kit_dir)
    assert ran.code == 0
    assert "Hex key 5 mm lies today in Well" in ran.out
    assert "Free to move: nothing stands in the way in Elastic loops" in ran.out
    assert "with Chain tool moved to Elastic loops it saves" in " ".join(ran.out.split())
    data = run("why", "K5", "--present", *DAY, "--kit", kit_dir, "--json").data()
    assert data["compartment"] == "well"
    others = {o["compartment"]: o for o in data["others"]}
    assert set(others) == {"tray", "loops"}
    assert others["loops"]["in_the_way"] == []
    assert others["loops"]["extra_us"] < 0
    assert [w["kind"] for w in others["tray"]["in_the_way"]] == ["no_room"]
    assert others["tray"]["would_have_to_leave"]["items"] == ["CT"]


def test_the_extra_cost_is_what_compare_says_of_the_move(run: Run, kit_dir: Path) -> None:
    """Moving K5 as ``why`` proposes changes the cost of today's layout by just that much."""
    run("plan", *DAY, "--kit", kit_dir)
    others = run("why", "K5", "--present", *DAY, "--kit", kit_dir, "--json").data()["others"]
    tray = next(o for o in others if o["compartment"] == "tray")
    before = run("compare", *DAY, "--kit", kit_dir, "--json").data()["present"]["cost_us"]
    run("place", "K5", "--in", "tray", "--kit", kit_dir)
    after = run("compare", *DAY, "--kit", kit_dir, "--json").data()["present"]["cost_us"]
    assert after - before == tray["extra_us"]


def test_why_calls_a_rule_by_its_name_and_moves_company_along(run: Run, kit_dir: Path) -> None:
    """A rule that forbids, one that keeps apart and one that keeps together are told by name."""
    add_rule(
        kit_dir, 'name = "Keys stay dry"\nask = "only"\nitems = ["K5"]\ncompartments = ["well"]'
    )
    add_rule(kit_dir, 'name = "Keys lie together"\nask = "together"\nitems = ["K4", "K5"]')
    add_rule(kit_dir, 'name = "No grit on keys"\nask = "apart"\nitems = ["K4", "CT"]')
    ran = run("why", "K5", "--present", *DAY, "--kit", kit_dir)
    words = " ".join(ran.out.split())
    assert 'It lies together with Hex key 4 mm ("Keys lie together")' in words
    assert 'not allowed there ("Keys stay dry")' in words
    assert 'must not share it with Chain tool ("No grit on keys")' in words
    data = run("why", "K5", "--present", *DAY, "--kit", kit_dir, "--json").data()
    assert data["moves_with"] == ["K4"]
    tray = next(o for o in data["others"] if o["compartment"] == "tray")
    assert [(w["kind"], w["rules"], w["items"]) for w in tray["in_the_way"]] == [
        ("rule", ["Keys stay dry"], ["K5"]),
        ("apart", ["No grit on keys"], ["CT"]),
        ("no_room", [], []),
    ]


def test_why_names_the_rule_that_keeps_clear(run: Run, kit_dir: Path) -> None:
    """Key 4 stays in the well, so nothing of key 5 there or above: told by the rule's name."""
    add_rule(
        kit_dir,
        'name = "Keys clear of chains"\nask = "clear"\nitems = ["K5"]\nothers = ["CT"]\n'
        'compartments = ["tray"]',
    )
    words = " ".join(run("why", "K5", "--present", *DAY, "--kit", kit_dir).out.split())
    assert 'not allowed there ("Keys clear of chains")' in words
    add_rule(
        kit_dir, 'name = "Key in tray"\nask = "pinned"\nitems = ["K5"]\ncompartments = ["tray"]'
    )
    ran = run("plan", *DAY, "--kit", kit_dir)
    assert ran.code == 1
    said = " ".join(ran.err.split())
    assert 'has no compartment left by "Keys clear of chains" and "Key in tray"' in said


def test_why_says_how_far_a_tool_is_too_big(run: Run, kit_dir: Path) -> None:
    """A pump of 45 mm goes 5 mm too high for the loops (40 mm deep, computed)."""
    with (kit_dir / "tools.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n[[tool]]\nid = "P"\nname = "Pump"\nmass = "200 g"\n'
            'length = "200 mm"\nwidth = "40 mm"\nheight = "45 mm"\n'
        )
    run("place", "P", "--in", "well", "--kit", kit_dir)
    ran = run("why", "pump", "--present", *DAY, "--kit", kit_dir)
    assert "too high by 5 mm" in ran.out
    assert all(len(line) <= 80 for line in ran.out.splitlines())


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("vice",), 1, "does not travel in the box"),
        (("hex",), 4, "could be any of these"),
        (("spanner",), 1, "no tool or supply in this kit"),
        ((), 2, "--unsure"),
        (("K5", "--unsure"), 2, "--unsure"),
        (("K5", "--replan", "5"), 2, "--replan"),
        (("--unsure", "--present", "--replan", "5"), 2, "--replan"),
        (("K5",), 1, "no plan saved"),
    ],
)
def test_why_refuses_with_the_reason(
    run: Run, kit_dir: Path, words: tuple[str, ...], code: int, said: str
) -> None:
    """A home tool, unclear letters, an unknown name, nothing or too much named, no plan yet."""
    ran = run("why", *words, *DAY, "--kit", kit_dir)
    assert ran.code == code
    assert said in ran.err


def test_unsure_counts_every_placement_once(run: Run, kit_dir: Path) -> None:
    """Each placed thing is sure, open or against the log; the words give the same sums."""
    run("plan", *DAY, "--kit", kit_dir)
    data = run("why", "--unsure", *DAY, "--kit", kit_dir, "--json").data()
    kinds = [p["certainty"] for p in data["placements"]]
    assert len(kinds) == 3
    assert set(data["easily_reached"]) == {"tray", "loops"}
    ran = run("why", "--unsure", *DAY, "--kit", kit_dir)
    said = " ".join(ran.out.split())
    assert (
        f"Of 3 placements {kinds.count('sure')} are sure, {kinds.count('open')} open, "
        f"{kinds.count('against')} against the log."
    ) in said


def test_planning_again_counts_how_often_a_thing_is_easily_reached(run: Run, kit_dir: Path) -> None:
    """A chain tool wanted thirty times a day lies in the tray whatever else is drawn.

    And the same day gives the same counts again.
    """
    with (kit_dir / "jobs.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n[[job]]\nid = "CX"\nname = "Chain"\nper_day = 30\n'
            '\n[[job.step]]\ntext = "open"\ntools = ["CT"]\n'
        )
    run("plan", *DAY, "--kit", kit_dir)
    ask = ("why", "--unsure", "--replan", "7", *DAY, "--kit", kit_dir)
    data = run(*ask, "--json").data()
    assert data["planned_again"] == 7
    again = {p["item"]: p["easily_reached_again"] for p in data["placements"]}
    assert set(again) == {"K4", "K5", "CT"}
    assert all(0 <= times <= 7 for times in again.values())
    assert again["CT"] == 7
    assert run(*ask, "--json").data() == data
    ran = run(*ask)
    assert "Planned again 7 times" in ran.out
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    plain = run("why", "--unsure", *DAY, "--kit", kit_dir, "--json").data()
    assert plain["planned_again"] == 0
    assert {p["easily_reached_again"] for p in plain["placements"]} == {None}


def test_a_thing_pinned_deep_never_comes_out_easily_reached(run: Run, kit_dir: Path) -> None:
    """The rule holds in every plan made again; the chance alone knows of no rule."""
    add_rule(kit_dir, 'name = "Deep"\nask = "pinned"\nitems = ["CT"]\ncompartments = ["well"]')
    run("plan", *DAY, "--kit", kit_dir)
    data = run("why", "--unsure", "--replan", "5", *DAY, "--kit", kit_dir, "--json").data()
    placed = next(p for p in data["placements"] if p["item"] == "CT")
    assert (placed["easily_reached"], placed["easily_reached_again"]) == (False, 0)


def test_planning_again_begins_with_a_plan_that_fits(run: Run, kit_dir: Path) -> None:
    """A tool added since has no place in the plan: told, with what to do."""
    run("plan", *DAY, "--kit", kit_dir)
    with (kit_dir / "tools.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n[[tool]]\nid = "P"\nname = "Pump"\nmass = "200 g"\n'
            'length = "60 mm"\nwidth = "30 mm"\nheight = "30 mm"\n'
        )
    ran = run("why", "--unsure", "--replan", "3", *DAY, "--kit", kit_dir)
    assert ran.code == 1
    assert "make a new one" in ran.err


def test_helps_finds_that_a_deeper_tray_would_help(run: Run, kit_dir: Path) -> None:
    """A pump wanted ten times a day is 5 mm too high for the tray: 10 mm more depth lets it in.

    Both compartments without an opening are too shallow, so only the well is left to it.
    """
    with (kit_dir / "tools.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n[[tool]]\nid = "P"\nname = "Pump"\nmass = "200 g"\n'
            'length = "60 mm"\nwidth = "30 mm"\nheight = "55 mm"\n'
        )
    with (kit_dir / "jobs.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n[[job]]\nid = "PU"\nname = "Pumping"\nper_day = 10\n'
            '\n[[job.step]]\ntext = "pump"\ntools = ["P"]\n'
        )
    assert run("plan", *DAY, "--kit", kit_dir).code == 0
    data = run("helps", *DAY, "--kit", kit_dir, "--json").data()
    saved = {(c["change"], c["compartment"]): c["saved_at_least_us"] for c in data["changes"]}
    assert len(saved) == 9
    assert saved["deeper", "tray"] > 0
    assert saved["longer", "tray"] == 0
    assert list(saved.values()) == sorted(saved.values(), reverse=True)
    ran = run("helps", *DAY, "--kit", kit_dir)
    assert "10 mm deeper" in ran.out
    assert all(len(line) <= 80 for line in ran.out.splitlines())


def test_helps_weighs_a_second_copy_of_tools_that_jobs_ask_for(run: Run, kit_dir: Path) -> None:
    """Every tool carried once is tried, with the mass it adds; JSON and words agree."""
    assert run("plan", *DAY, "--kit", kit_dir).code == 0
    copies = run("helps", *DAY, "--kit", kit_dir, "--json").data()["second_copies"]
    assert {c["item"] for c in copies} <= {"K4", "K5", "CT"}
    assert copies
    for copy in copies:
        assert (copy["compartment"] is None) == (copy["saved_at_least_us"] == 0)
    grams = {c["item"]: c["adds_g"] for c in copies}
    assert grams.items() <= {"K4": 25, "K5": 42, "CT": 150}.items()
    ran = run("helps", *DAY, "--kit", kit_dir)
    assert "A second copy, each use going to the copy that is quicker for it" in ran.out
    assert all(len(line) <= 80 for line in ran.out.splitlines())


def test_plan_names_the_rules_that_cannot_all_hold(run: Run, kit_dir: Path) -> None:
    """Together, pinned to the well, and apart from what is pinned there too: two ways proved."""
    add_rule(kit_dir, 'name = "Keys lie together"\nask = "together"\nitems = ["K4", "K5"]')
    add_rule(
        kit_dir, 'name = "Key in well"\nask = "pinned"\nitems = ["K4"]\ncompartments = ["well"]'
    )
    add_rule(
        kit_dir, 'name = "Chain in well"\nask = "pinned"\nitems = ["CT"]\ncompartments = ["well"]'
    )
    add_rule(kit_dir, 'name = "No grit on keys"\nask = "apart"\nitems = ["K5", "CT"]')
    ran = run("plan", *DAY, "--kit", kit_dir)
    assert ran.code == 1
    said = " ".join(ran.err.split())
    for rule in ("Keys lie together", "Key in well", "Chain in well", "No grit on keys"):
        assert f'the rule "{rule}"' in said
    assert "these cannot all hold (proved in two ways)" in said
    assert "a place for" in said
    assert "Without any one of them the others can be kept" in said


def test_plan_says_what_fits_nowhere_and_by_how_much(run: Run, kit_dir: Path) -> None:
    """A pump of 420 mm is 120 mm longer than the well, the longest compartment (computed)."""
    with (kit_dir / "tools.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n[[tool]]\nid = "P"\nname = "Floor pump"\nmass = "900 g"\n'
            'length = "420 mm"\nwidth = "30 mm"\nheight = "30 mm"\n'
        )
    ran = run("plan", *DAY, "--kit", kit_dir)
    assert ran.code == 1
    assert "Floor pump goes into no compartment; for Well it is 120 mm too long or wide" in ran.err


def test_plan_names_the_rules_that_leave_a_tool_no_place(run: Run, kit_dir: Path) -> None:
    """Two rules that pin one tool to two compartments are both named."""
    for name, place in (("Key in well", "well"), ("Key in tray", "tray")):
        add_rule(
            kit_dir, f'name = "{name}"\nask = "only"\nitems = ["K4"]\ncompartments = ["{place}"]'
        )
    ran = run("plan", *DAY, "--kit", kit_dir)
    assert ran.code == 1
    assert 'Hex key 4 mm has no compartment left by "Key in well" and "Key in tray"' in ran.err


def test_plan_says_what_is_too_heavy_altogether(run: Run, kit_dir: Path) -> None:
    """Tools of 25 g, 42 g and 150 g against loads of 150 g, 20 g and 20 g (computed)."""
    box = kit_dir / "box.toml"
    text = box.read_text(encoding="utf-8").replace('load = "5 kg"', 'load = "150 g"')
    for place in ("tray", "loops"):
        text = text.replace(f'id = "{place}"', f'id = "{place}"\nload = "20 g"')
    box.write_text(text, encoding="utf-8")
    ran = run("plan", *DAY, "--kit", kit_dir)
    assert ran.code == 1
    assert "that takes 217 g of the 190 g there are" in ran.err
