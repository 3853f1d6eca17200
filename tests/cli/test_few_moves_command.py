"""Planning with few moves at the command line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from clikit import Ran

Run = Callable[..., Ran]
DAY = ("--today", "2026-11-20")


def test_no_move_keeps_today_and_its_corners(run: Run, kit_dir: Path) -> None:
    """With no move allowed the plan is today's layout, and says that it was limited."""
    ran = run("plan", *DAY, "--moves", "0", "--kit", kit_dir, "--json")
    assert ran.code == 0
    data = ran.data()
    assert data["present"]["moves"] == []
    assert data["present"]["saved_us"] == 0
    assert {s["item"]: s["compartment"] for s in data["spots"]} == {
        "K4": "well",
        "K5": "well",
        "CT": "tray",
    }
    assert "at most 0 things moved" in data["method"]
    saved = run("compare", *DAY, "--kit", kit_dir, "--json").data()
    assert saved["method"] == data["method"]


def test_one_move_saves_more_than_none_and_less_than_all(run: Run, kit_dir: Path) -> None:
    """One thing moves, two save at least as much; the whole plan costs what all moves cost."""
    saved = []
    for most in ("1", "2", "3"):
        data = run("plan", *DAY, "--moves", most, "--kit", kit_dir, "--json").data()
        assert len(data["present"]["moves"]) <= int(most)
        assert data["optimal"]
        saved.append(data["present"]["saved_us"])
    assert 0 < saved[0] <= saved[1] <= saved[2]
    whole = run("plan", *DAY, "--kit", kit_dir, "--json").data()
    assert whole["cost_us"] == data["cost_us"]


def test_the_curve_shows_rows_bars_and_saves_nothing(run: Run, kit_dir: Path) -> None:
    """Rising savings up to the whole gain, a row without a limit, and no plan file."""
    ran = run("plan", *DAY, "--curve", "--kit", kit_dir, "--json")
    assert ran.code == 0
    rows = ran.data()["rows"]
    assert [row["limit"] for row in rows] == [0, None]
    assert rows[0]["saved_us"] == 0
    assert rows[-1]["share"] == 1
    assert all(row["bound_us"] <= row["cost_us"] for row in rows)
    assert not (kit_dir / "layouts" / "plan.toml").exists()
    text = run("plan", *DAY, "--curve", "--kit", kit_dir)
    assert text.code == 0
    assert "#" * 20 in text.out
    assert "all (" in text.out
    assert max(map(len, text.out.splitlines())) <= 80


def test_without_todays_layout_no_move_can_be_counted(run: Run, kit_dir: Path) -> None:
    """Both ask for today's layout by the command that tells it."""
    (kit_dir / "layouts" / "present.toml").unlink()
    for words in (("--moves", "3"), ("--curve",)):
        ran = run("plan", *DAY, *words, "--kit", kit_dir)
        assert ran.code == 1
        assert "toolbox place" in ran.err


def test_too_few_moves_for_a_box_that_breaks_a_rule(run: Run, kit_dir: Path) -> None:
    """The rule needs one move: none allowed is refused with that number, one is planned."""
    (kit_dir / "rules.toml").write_text(
        '[[rule]]\nname = "chain tool low"\nask = "pinned"\n'
        'items = ["CT"]\ncompartments = ["well"]\n',
        encoding="utf-8",
    )
    ran = run("plan", *DAY, "--moves", "0", "--kit", kit_dir)
    assert ran.code == 1
    assert "needs 1" in ran.err
    data = run("plan", *DAY, "--moves", "1", "--kit", kit_dir, "--json").data()
    assert [m["item"] for m in data["present"]["moves"]] == ["CT"]
    curve = run("plan", *DAY, "--curve", "--kit", kit_dir)
    assert "none found" in curve.out
    assert "make it hold are" in " ".join(curve.out.split())


def test_limits_that_contradict_each_other_are_refused(run: Run, kit_dir: Path) -> None:
    """The curve has limits of its own."""
    assert run("plan", *DAY, "--curve", "--moves", "3", "--kit", kit_dir).code == 2
    assert run("plan", *DAY, "--curve", "--seconds", "3", "--kit", kit_dir).code == 2
    assert run("plan", *DAY, "--moves", "-1", "--kit", kit_dir).code == 2
