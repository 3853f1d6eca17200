"""Planning, comparing, looking and finding, as typed at the terminal."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.desk.folder import open_kit
from toolbox.desk.plans import study
from toolbox.layout.problem import cost_of

Run = Callable[..., Ran]
CHAIN_TOOL = 2
DAY = ("--today", "2026-11-20")


def goes_in(homes: tuple[int, ...]) -> bool:
    """Worked out by hand, with 4 mm of clearance, for the two keys and the chain tool.

    Tray 250 x 80: 139 x 30 and 159 x 34 lie side by side, 134 x 64 only alone. Loops
    120 long: 30 + 34 + 64 is too much for all three, any two go in. The well takes all.
    """
    in_tray = [item for item, home in enumerate(homes) if home == 0]
    return not (CHAIN_TOOL in in_tray and len(in_tray) > 1) and homes.count(1) < 3


def test_the_plan_is_the_best_of_all_layouts(run: Run, kit_dir: Path) -> None:
    """Three things in three compartments: the cost is that of plain enumeration, and proved."""
    problem = study(open_kit(kit_dir), date(2026, 11, 20)).question.problem
    best = min(
        cost_of(problem, homes) for homes in itertools.product(range(3), repeat=3) if goes_in(homes)
    )
    data = run("plan", *DAY, "--kit", kit_dir, "--json").data()
    assert data["cost_us"] == best
    assert data["optimal"]
    assert data["present"]["saved_us"] == data["present"]["cost_us"] - best > 0


def test_the_same_input_gives_the_same_plan_byte_for_byte(run: Run, kit_dir: Path) -> None:
    """Two runs without a clock write the same file."""
    texts = set()
    for _ in range(2):
        assert run("plan", *DAY, "--kit", kit_dir).code == 0
        texts.add((kit_dir / "layouts" / "plan.toml").read_bytes())
    assert len(texts) == 1


def test_compare_says_when_the_plan_is_older_than_its_inputs(run: Run, kit_dir: Path) -> None:
    """After more work is logged the old plan is shown with a new cost and without its proof."""
    run("plan", *DAY, "--kit", kit_dir)
    assert run("compare", *DAY, "--kit", kit_dir, "--json").data()["fresh"]
    run("log", "BC", "--times", "9", "--at", "2026-11-20 10:00", "--kit", kit_dir)
    stale = run("compare", *DAY, "--kit", kit_dir, "--json").data()
    assert not stale["fresh"]
    assert stale["bound_us"] is None
    assert "Renew it" in run("compare", *DAY, "--kit", kit_dir).out


def test_without_a_plan_the_way_to_one_is_named(run: Run, kit_dir: Path) -> None:
    """Compare, adopt and map --plan say that there is no plan yet."""
    for words in (("compare",), ("adopt",), ("map", "--plan"), ("rebuild",)):
        ran = run(*words, "--kit", kit_dir)
        assert ran.code == 1
        assert '"toolbox plan"' in ran.err


def test_a_tool_that_goes_nowhere_is_named(run: Run, kit_dir: Path) -> None:
    """A pump longer than every compartment makes the plan impossible, in words with its name."""
    with (kit_dir / "tools.toml").open("a", encoding="utf-8") as tools:
        tools.write(
            '\n[[tool]]\nid = "PU"\nname = "Track pump"\nmass = "900 g"\n'
            'length = "700 mm"\nwidth = "60 mm"\nheight = "60 mm"\n'
        )
    ran = run("plan", "--kit", kit_dir)
    assert ran.code == 1
    assert "Track pump" in ran.err
    assert not (kit_dir / "layouts" / "plan.toml").exists()


def test_map_shows_every_name_and_draws_one_compartment(run: Run, kit_dir: Path) -> None:
    """Names are never cut; the drawing has a key; nothing is wider than 80 columns."""
    out = run("map", "--kit", kit_dir).out
    for name in ("Hex key 4 mm", "Hex key 5 mm", "Chain tool"):
        assert name in out
    drawn = run("map", "front tray", "--kit", kit_dir).out
    assert "a  Chain tool" in drawn
    assert "|" in drawn
    run("plan", *DAY, "--kit", kit_dir)
    for words in (("map", "--draw"), ("compare", *DAY), ("uses", *DAY), ("rebuild",)):
        text = run(*words, "--kit", kit_dir).out
        assert max(map(len, text.splitlines())) <= 80, words


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("find", "hex 4"), 0, "Hex key 4 mm: open the lid, in Well [well]"),
        (("find", "chain", "tool"), 0, "Chain tool: in Front tray [tray]"),
        (("find", "vice"), 0, "Bench vice: does not travel in the box"),
        (("find", "lube"), 0, "Chain lube: does not travel in the box"),
        (("find", "--job", "bar"), 0, "Hex key 5 mm: open the lid"),
        (("find", "torch"), 1, ""),
    ],
)
def test_find_says_the_way_in_words(
    run: Run, kit_dir: Path, words: tuple[str, ...], code: int, says: str
) -> None:
    """A few letters lead to the way there; nothing by that name is exit code 1."""
    ran = run(*words, "--kit", kit_dir)
    assert ran.code == code
    assert says in ran.out


def test_uses_ranks_from_what_was_logged(run: Run, kit_dir: Path) -> None:
    """The tool picked twice a visit of the job done all day leads, and its place is shown."""
    run("log", "BC", "--times", "9", "--at", "2026-11-20 10:00", "--kit", kit_dir)
    data = run("uses", *DAY, "--kit", kit_dir, "--json").data()
    assert data["tools"][0]["tool"] == "K5"
    assert data["tools"][0]["low"] < data["tools"][0]["per_day"] < data["tools"][0]["high"]
    assert data["days"] == 1
    assert "Hex key 5 mm [well]" in run("uses", *DAY, "--kit", kit_dir).out
    assert run("uses", "--unsettled", *DAY, "--kit", kit_dir).code == 0
    assert run("uses", "--today", "soon", "--kit", kit_dir).code == 1
