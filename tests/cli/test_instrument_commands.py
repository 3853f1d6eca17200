"""The commands around instruments: due list, checks, events, winding down, gauges compared."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.desk.folder import open_kit
from toolbox.desk.maps import grab_list
from toolbox.desk.plans import reach_of
from toolbox.kit.layouts import Layout
from toolbox.reach.engine import ReachTimes
from toolbox.tui.screens.find_grab import grab_rows

CAUTION = "does not replace an accredited calibration"
TOOLS = """
[[tool]]
id = "TW"
name = "Torque wrench [b]"
mass = "400 g"
length = "200 mm"
width = "40 mm"
height = "30 mm"
[tool.instrument]
last_check = 2024-02-29
accuracy = "II A"
highest = "10 N·m"
step = "0.1 N·m"

[[tool]]
id = "DG"
name = "Digital gauge"
mass = "100 g"
length = "90 mm"
width = "60 mm"
height = "40 mm"
carried = false
[tool.instrument]
last_check = 2024-01-10
every_months = 24
tolerance = "0.05 bar"
highest = "4 bar"
step = "0.01 bar"
"""
JOB = """
[[job]]
id = "ST"
name = "Stem change"
[[job.step]]
text = "loosen"
tools = ["K4"]
[[job.step]]
text = "to torque"
tools = ["TW"]
"""
Run = Callable[..., Ran]
GOOD = ("1=1.02", "2=2.01", "3=3.00", "--certificate", "0.01 bar", "--reference", "master")


@pytest.fixture
def call(run: Run, kit_dir: Path) -> Run:
    """A command on the small kit with two instruments."""
    for file, text in (("tools.toml", TOOLS), ("jobs.toml", JOB)):
        path = kit_dir / file
        path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")
    return lambda command, *words: run(command, *words, "--kit", kit_dir)


def test_the_due_list_says_no_while_something_that_travels_is_out(call: Run) -> None:
    """Out first; what stays at home stops nothing; text and JSON agree, with the caution."""
    fine = call("instruments", "--today", "2025-02-01")
    assert (fine.code, fine.err) == (0, "")
    late = call("instruments", "--today", "2026-02-01")
    assert late.code == 1
    lines = late.out.splitlines()
    assert lines[1].startswith("OUT  Torque wrench [b]")
    assert CAUTION in late.out
    data = call("instruments", "--today", "2026-02-01", "--json").data()
    assert [(one["tool"], one["out"]) for one in data["instruments"]] == [
        ("TW", True),
        ("DG", True),
    ]
    assert CAUTION in data["caution"]


def test_a_check_is_tried_written_shown_and_taken_back(call: Run) -> None:
    """The verdict with its picture; the check stands in the history until it is undone."""
    tried = call("test", "DG", *GOOD, "--try", "--at", "2024-05-01 10:00")
    assert tried.code == 0
    assert "pass: inside the limits" in tried.out
    assert "Nothing was written." in tried.out
    assert call("instruments", "DG", "--today", "2024-05-02", "--json").data()["checks"] == []
    written = call("test", "DG", *GOOD, "--at", "2024-05-01 10:00", "--by", "Ro", "--json").data()
    assert (written["verdict"], written["unit"]) == ("pass", "pascal")
    assert [p["error"] for p in written["points"]] == [-2000.0, -1000.0, 0.0]
    shown = call("instruments", "DG", "--today", "2024-05-02")
    assert "checked Digital gauge by master: pass (Ro)" in shown.out
    assert "[" in shown.out.split("in bar:")[1]
    set_to = call("instruments", "DG", "--set", "1.5 bar", "--today", "2024-05-02", "--json").data()
    # by hand: -0.02 bar at 1.02, -0.01 at 2.01, so 1.5 - 0.0152 = 1.4848, to the step of 0.01
    assert (set_to["show"], CAUTION in set_to["caution"]) == (148_000, True)
    assert call("undo", written["entry"][:8]).code == 0
    assert call("instruments", "DG", "--today", "2024-05-02", "--json").data()["checks"] == []


def test_without_a_verdict_nothing_is_written(call: Run) -> None:
    """A torque tool without its points, a reference no better than the gauge: reasons, exit 1."""
    few = call("test", "TW", "5=5.05", "--limit", "0.5 %", "--json")
    assert (few.code, few.data()["verdict"], few.data()["entry"]) == (1, None, None)
    assert any("20 %" in reason for reason in few.data()["refused"])
    poor = call("test", "DG", "1=1", "--limit", "0.1 bar")
    assert poor.code == 1
    assert "not good enough" in poor.out
    assert CAUTION in poor.out
    assert call("instruments", "TW", "--json").data()["checks"] == []


def test_a_check_made_elsewhere(call: Run) -> None:
    """Who and what they found; a fail says no; both must be told, and no readings."""
    good = call("test", "TW", "--elsewhere", "checking house", "--verdict", "pass",
                "--at", "2026-01-10 09:00")  # fmt: skip
    assert good.code == 0
    assert call("instruments", "TW", "--today", "2026-02-01").code == 0
    bad = call("test", "TW", "--elsewhere", "checking house", "--verdict", "fail", "--json")
    assert bad.code == 1
    assert CAUTION in bad.data()["caution"]
    half = call("test", "TW", "--elsewhere", "checking house")
    assert (half.code, half.out) == (1, "")


def test_dropped_and_wound_down(call: Run) -> None:
    """A drop puts it out at every step; winding down without a name takes what needs it."""
    call("log", "ST", "--at", "2024-03-01 10:00")
    told = call("instruments", "--today", "2024-03-01", "--json").data()["instruments"]
    assert [one["tool"] for one in told if one["wind_down"]] == ["TW"]
    wound = call("wound", "--at", "2024-03-01 20:00", "--json").data()
    assert wound["tools"] == ["TW"]
    assert "Nothing to wind down" in call("wound", "--at", "2024-03-01 21:00").out
    assert call("wound", "DG").code == 1
    dropped = call("happened", "torque", "dropped", "--at", "2024-03-02 08:00", "--note", "kerb")
    assert dropped.code == 0
    job = call("instruments", "--job", "stem", "--today", "2024-03-02", "--json")
    assert job.code == 1
    (step,) = job.data()["steps"]
    assert (step["step"], step["out"][0]["tool"]) == (2, "TW")
    assert "OUT Torque wrench [b]: dropped on 2024-03-02" in call(
        "instruments", "--job", "stem", "--today", "2024-03-02").out  # fmt: skip
    assert "kerb" in call("instruments", "TW", "--today", "2024-03-02").out


def test_gauges_beside_one_another(call: Run) -> None:
    """Two prove little, the third tells; JSON gives the errors and who stands apart."""
    two = call("gauges", "DG=2.05:track=2.05", "--step", "track=0.01 bar")
    assert "proves little" in two.out.replace("\n", " ")
    pairs = ("DG=2.00:track=2.00", "DG=2.00:club=2.05", "track=2.00:club=2.05")
    steps = ("--step", "track=0.01", "--step", "club=0.01")
    three = call("gauges", *pairs, *steps, "--json").data()
    assert three["apart"] == ["club"]
    assert three["surely"] > 0.95
    assert CAUTION in three["caution"]
    assert call("gauges", "DG=2").code == 1


def test_what_is_printed_keeps_to_80_columns(call: Run) -> None:
    """Every answer, with a history and a picture in it."""
    for day in ("2024-03-01", "2024-06-01", "2024-09-01"):
        call("test", "DG", *GOOD, "--at", f"{day} 10:00", "--note", "n" * 60)
    answers = [call("instruments", "DG", "--today", "2024-10-01"), call("instruments"),
               call("instruments", "--job", "ST"), call("test", "DG", *GOOD, "--try")]  # fmt: skip
    for answer in answers:
        assert answer.out
        assert max(map(len, answer.out.splitlines())) <= 80
    assert json.loads(call("instruments", "DG", "--json").out)["series"]["values"]


def test_logging_work_with_an_instrument_that_is_out_says_so(call: Run) -> None:
    """12 months after its check (ISO 6789, from memory) a torque tool is out; before not."""
    late = ("--at", "2025-03-01 10:00")
    said = call("log", "stem", *late).out
    assert "OUT Torque wrench [b]: check was due 2025-02-28" in said
    assert "OUT" not in call("log", "stem", "--at", "2025-02-01 10:00").out
    assert call("log", "stem", "--step", "1", *late, "--json").data()["out"] == []
    picked = call("pick", "torque wrench", *late, "--json").data()
    assert [one["tool"] for one in picked["out"]] == ["TW"]
    # Taken back it was not used; nothing is said of it.
    assert call("undo", "--json").data()["out"] == []


def test_what_a_job_takes_says_which_of_it_is_out(call: Run, kit_dir: Path) -> None:
    """The torque wrench was last checked in 2024; the hex key is no instrument."""
    text = call("find", "--job", "stem").out
    assert "Torque wrench [b]: has no place yet\n  OUT: check was due 2025-02-28" in text
    found = call("find", "--job", "stem", "--json").data()["found"]
    assert {one["item"]: bool(one["out"]) for one in found} == {"K4": False, "TW": True}
    key, wrench = grab_list(open_kit(kit_dir).kit, Layout("present", ()), "ST", times(kit_dir))
    rows = grab_rows([key, wrench], {"TW": "too old"})
    assert [row.cells[1].plain for row in rows] == ["Hex key 4 mm", "OUT Torque wrench [b]"]


def times(kit: Path) -> ReachTimes:
    """How long reaching takes in this kit's box."""
    return reach_of(open_kit(kit).kit)
