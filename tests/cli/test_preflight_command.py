"""The commands preflight and sheets, on a small kit with a trip."""

from __future__ import annotations

import random
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.flight.goods import WHO_DECIDES

Run = Callable[..., Ran]
DAY = "2026-12-02"

TRIP = """
name = "One race"

[[person]]
id = "ann"
name = "Ann"

[[bag]]
id = "case"
name = "The case"
answers = "ann"
box = true

[[bag]]
id = "roll"
name = "Roll bag"
answers = "ann"
tare = "500 g"
tare_known = "weighed"
scale_step = "1 g"
length = "500 mm"
width = "300 mm"
height = "300 mm"

[[item]]
id = "spray"
name = "Chain spray"
bag = "roll"
mass = "200 g"
mass_known = "weighed"
scale_step = "1 g"

[item.goods]
kind = "aerosol-flammable-2.1"

[[item]]
id = "cells"
name = "Button cells"
bag = "roll"
mass = "3 g"
mass_known = "weighed"
scale_step = "1 g"
count = 4

[item.goods]
kind = "lithium-metal-9"
lithium = "0.1 g"

[[allowance]]
id = "two"
name = "Example: two pieces"
concept = "piece"
pieces = 2
mass = "10 kg"
sides = "1580 mm"

[[leg]]
id = "out"
name = "There"
allowance = "two"
day = 2026-12-04
screening = ["eu"]

[[scale]]
id = "hook"
name = "Hook scale"
scale_step = "1 g"
"""


@pytest.fixture
def trip_dir(kit_dir: Path) -> Path:
    """The small kit with a trip; its box is known to the gram."""
    box = kit_dir / "box.toml"
    text = box.read_text(encoding="utf-8")
    sure = 'tare = "2 kg"\ntare_known = "weighed"\nscale_step = "1 g"'
    box.write_text(text.replace('tare = "2 kg"', sure), encoding="utf-8")
    (kit_dir / "trips").mkdir()
    (kit_dir / "trips" / "race.toml").write_text(TRIP, encoding="utf-8")
    return kit_dir


def lines(data: dict) -> dict[str, dict]:
    """The lines of the list by key."""
    return {line["key"]: line for line in data["lines"]}


def test_the_list_is_ticked_noted_carried_over_and_taken_back(run: Run, trip_dir: Path) -> None:
    """By letters, number and key, all in one entry; undo takes the whole entry back."""
    call = ("preflight", "--kit", trip_dir, "--today", DAY, "--json")
    first = run(*call).data()
    assert (first["trip"], first["days_left"], first["done"]) == ("race", 2, 0)
    assert first["entry"] is None
    assert WHO_DECIDES in first["cautions"]
    keys = [line["key"] for line in first["lines"]]
    assert [line["number"] for line in first["lines"]] == list(range(1, len(keys) + 1))
    number = keys.index("labels") + 1
    said = ("--tick", "spray", "--carry", str(number), "--count", "protect:cells", "3")
    after = run(*call, *said, "--note", "close 2", "strap [b]torn", "--by", "Ro").data()
    found = lines(after)
    assert found["out:roll:spray"]["state"] == "done"
    assert (found["labels"]["state"], found["labels"]["note"]) == ("carried over", "strap [b]torn")
    assert found["labels"]["author"] == "Ro"
    assert found["labels"]["at"]
    assert (found["protect:cells"]["counted"], found["protect:cells"]["pieces"]) == (3, 4)
    assert (after["done"], after["carried_over"]) == (1, 1)
    assert lines(run(*call).data()) == found
    told = run("undo", "--list", "--kit", trip_dir).out
    assert f"{after['entry'][:8]} " in told
    assert "pre-flight race: take Chain spray out of Roll bag - done; " in told
    assert run("undo", after["entry"][:8], "--kit", trip_dir).code == 0
    assert lines(run(*call).data()) == lines(first)


def test_the_list_in_words_keeps_to_the_line_and_says_who_decides(run: Run, trip_dir: Path) -> None:
    """Boxes, reasons with sources, how to take a tick back, the caution; 80 columns."""
    ran = run("preflight", "race", "--tick", "out:roll:spray", "--kit", trip_dir, "--today", DAY)
    assert ran.code == 0
    assert "One race, before the flight: 1 of " in ran.out
    assert "[x]  1  take Chain spray out of Roll bag\n" in ran.out
    assert "[ ]  2  move Button cells (4 pieces) from Roll bag to a cabin bag (0 of 4)" in ran.out
    assert 'take it back with "toolbox undo ' in ran.out
    assert WHO_DECIDES in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80
    assert "allowed" not in ran.out


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (("--tick", "nothing like it"), "no line of the pre-flight list"),
        (("--tick", "weigh:roll"), "toolbox weigh roll READING"),
        (("--tick", "button cells"), "could be any of these lines"),
        (("--untick", "labels"), "is open"),
        (("--tick", "labels", "--count", "protect:cells", "9"), "is about 4, not 9"),
    ],
)
def test_what_is_refused_is_told_and_nothing_is_written(
    run: Run, trip_dir: Path, said: tuple[str, ...], why: str
) -> None:
    """One wrong line and none of the others is written either."""
    ran = run("preflight", *said, "--kit", trip_dir, "--today", DAY)
    assert ran.code != 0
    assert why in " ".join(ran.err.split())
    assert not (trip_dir / "journal.db").exists()


def test_a_reading_ticks_the_bag(run: Run, trip_dir: Path) -> None:
    """weigh stores the reading; the list shows it without a tick."""
    assert run("weigh", "roll", "712", "g", "--kit", trip_dir, "--today", DAY).code == 0
    line = lines(run("preflight", "--kit", trip_dir, "--today", DAY, "--json").data())["weigh:roll"]
    assert (line["state"], line["by_itself"]) == ("done", True)
    assert not (trip_dir / "journal.db").exists()


CHILD = """
import sys
from toolbox.cli import main
for n in range(1000):
    say = ["--note", "labels", f"note {{n}}"]
    sys.argv = ["toolbox", "preflight", *say, "--json", "--kit", {kit!r}, "--today", {day!r}]
    try:
        main()
    except SystemExit as end:
        assert not end.code
    sys.stdout.flush()
"""


def test_no_tick_that_was_told_is_lost_by_a_kill(run: Run, trip_dir: Path) -> None:
    """SIGKILL at a random moment: the list has at least the last note it printed."""
    chance = random.Random(7)
    code = CHILD.format(kit=str(trip_dir), day=DAY)
    for _ in range(2):
        with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True) as p:
            assert p.stdout is not None
            told = [p.stdout.readline() for _ in range(chance.randint(500, 900))]
            p.kill()
            told += p.communicate()[0].splitlines()
        whole = [n.strip() for n in told if '"note": "note ' in n and n.strip().endswith('",')]
        notes = [int(line.split()[-1].strip('",')) for line in whole]
        call = ("preflight", "--kit", trip_dir, "--today", DAY, "--json")
        now = lines(run(*call).data())["labels"]["note"]
        assert int(now.split()[-1]) in (notes[-1], notes[-1] + 1)
        run("preflight", "--note", "labels", "", "--kit", trip_dir, "--today", DAY)


def test_sheets_are_written_and_told(run: Run, trip_dir: Path, tmp_path: Path) -> None:
    """Two bags and the goods, in both formats; the second time they are replaced, and so told."""
    out = tmp_path / "print"
    call = ("sheets", "race", "--out", out, "--kit", trip_dir)
    ran = run(*call, "--today", DAY)
    assert ran.code == 0
    assert "- race-bag-roll.html, new\n" in ran.out
    assert "- race-goods.md, new\n" in ran.out
    assert WHO_DECIDES in ran.out
    data = run(*call, "--today", "2026-12-03", "--json").data()
    assert (data["trip"], data["made"], data["stale"]) == ("race", "2026-12-03", [])
    assert {file["how"] for file in data["files"]} == {"replaced"}
    assert [file["bag"] for file in data["files"]] == ["case", "case", "roll", "roll", None, None]
    assert sorted(Path(file["file"]) for file in data["files"]) == sorted(
        path for path in out.iterdir() if not path.name.startswith(".")
    )
    for path in out.iterdir():
        assert str(tmp_path) not in path.read_text(encoding="utf-8")


def test_sheets_need_a_folder_and_spare_what_is_not_theirs(
    run: Run, trip_dir: Path, tmp_path: Path
) -> None:
    """Without --out it is wrong usage; somebody's own file of that name stops all of it."""
    assert run("sheets", "--kit", trip_dir).code == 2
    out = tmp_path / "print"
    out.mkdir()
    (out / "race-goods.md").write_text("mine", encoding="utf-8")
    ran = run("sheets", "--out", out, "--kit", trip_dir)
    assert ran.code == 1
    assert "race-goods.md is there and is no sheet" in ran.err
    assert [path.name for path in out.iterdir()] == ["race-goods.md"]
