"""The command lists: shown, ticked, on paper, copied from examples, killed at any moment."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

Run = Callable[..., Ran]
DAY = "2026-11-20"
LIST = """
title = "Race [b]morning"
when = "race morning"
discipline = "cyclo-cross"
bikes = ["A1", "Vélo 日本"]
[[line]]
id = "stem"
words = "Stem bolts, all four of them and the two of the steerer, in turns and never at once"
torque = "5 N·m"
tool = "CT"
bike = true
[[line]]
id = "tyres"
words = "Tyres to the sheet"
why = "a tenth is felt"
bike = true
[[line]]
id = "tent"
words = "Tent pegged"
"""


@pytest.fixture
def call(run: Run, kit_dir: Path) -> Run:
    """The command on the small kit with a list."""
    (kit_dir / "lists").mkdir()
    (kit_dir / "lists" / "morning.toml").write_text(LIST, encoding="utf-8")
    return lambda *words: run("lists", *words, "--kit", kit_dir)


def test_lines_are_ticked_noted_carried_and_taken_back(call: Run, run: Run, kit_dir: Path) -> None:
    """By number, key and letters in one entry; text and JSON agree; undo takes all of it back."""
    said = ("--tick", "1", "--carry", "tent", "--note", "stem@A1", "new [bolt]", "--by", "Ada May")
    data = call("morning", "--today", DAY, *said, "--json").data()
    lines = {line["key"]: line for line in data["lines"]}
    assert (data["done"], data["carried_over"], data["open"]) == (1, 1, 3)
    assert (lines["stem@A1"]["state"], lines["stem@A1"]["note"]) == ("done", "new [bolt]")
    assert (lines["stem@A1"]["torque_mnm"], lines["stem@A1"]["tool"]) == (5000, "CT")
    shown = call("morning", "--today", DAY).out
    assert "5 N·m | Chain tool" in shown
    assert "(AM " in shown
    assert "[-]  5  Tent pegged" in shown
    after = call("morning", "--today", "2026-11-21").out
    assert "left since 2026-11-20" in after
    assert run("undo", data["entry"][:8], "--kit", kit_dir).code == 0
    assert call("morning", "--today", DAY, "--json").data()["done"] == 0


def test_one_bikes_lines_keep_their_numbers(call: Run) -> None:
    """--bike shows that bike alone, also one that the list does not name."""
    data = call("morning", "--today", DAY, "--bike", "A1", "--json").data()
    assert [(line["number"], line["key"]) for line in data["lines"]] == [
        (1, "stem@A1"),
        (2, "tyres@A1"),
    ]
    other = call("morning", "--today", DAY, "--bike", "Z9", "--tick", "Z9: tyres", "--json").data()
    assert [line["state"] for line in other["lines"]] == ["open", "done"]


def test_the_paper_keeps_to_80_columns_with_a_box_and_room_to_sign(call: Run) -> None:
    """Every line of the list once, wide letters counted as two columns."""
    from rich.cells import cell_len

    call("morning", "--today", DAY, "--tick", "tyres@A1", "--by", "Ada May")
    paper = call("morning", "--today", DAY, "--print").out.splitlines()
    assert max(map(cell_len, paper)) <= 80
    boxes = [line for line in paper if line.startswith("[")]
    assert len(boxes) == 5
    assert [line.startswith("[x]") for line in boxes].count(True) == 1
    assert sum(line.endswith("____ __:__") for line in boxes) == 4
    assert {cell_len(line) for line in boxes} == {80}


def test_all_lists_examples_and_what_is_refused(call: Run, run: Run, kit_dir: Path) -> None:
    """Without a name all are told; examples are copied once; wrong words say what to do."""
    assert "morning" in call("--today", DAY).out
    data = call("--today", DAY, "--json").data()
    assert [row["list"] for row in data["lists"]] == ["morning"]
    assert "evening" in data["examples"]
    assert call("--copy", "evening").code == 0
    twice = call("--copy", "evening")
    assert (twice.code, "is there already" in twice.err) == (3, True)
    assert call("--tick", "1").code == 1
    assert call("nothing").code == 1
    assert call("morning", "--today", DAY, "--tick", "9").code == 1
    assert call("morning", "--today", DAY, "--tick", "tyres").code == 4
    (kit_dir / "lists" / "evening.toml").write_text('title = "x"\n', encoding="utf-8")
    faulty = run("check", "--kit", kit_dir)
    assert faulty.code == 3
    assert "lists/evening.toml" in faulty.err
