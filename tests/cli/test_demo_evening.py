"""The demo's last evening by commands: all that is wrong is found, mended, and then it is READY.

What is found is written down here by hand, from the demo's files and plain sums over its week.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import UTC, datetime, tzinfo
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.cli import codes
from toolbox.desk.setup import lay_out_demo
from toolbox.files.forms import demo_folder

Run = Callable[..., Ran]
EVENING = datetime(2026, 11, 20, 20, 50, tzinfo=UTC)  # ten to ten by the demo's clock
# Five readings a point at the lowest mark, 60 and 100 % of the highest (ISO 6789-1:2017, the
# number of readings from memory), all within 1 % where ±4 % is allowed above 10 N·m.
READINGS = ("10=10.1:10.0:10.1:10.1:10.1", "36=36.2:36.3:36.2:36.2:36.3")
READINGS += ("60=60.4:60.5:60.4:60.4:60.5",)


class Clock(datetime):
    """The clock of a machine that stands at the demo's evening."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
        """Always the same moment."""
        return EVENING.astimezone(tz)


@pytest.fixture
def toolbox(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """The command on a fresh demo, on its evening."""
    monkeypatch.setattr("toolbox.cli.common.datetime", Clock)
    folder = lay_out_demo(tmp_path / "demo").path
    return lambda *words: run(*words, "--kit", folder)


def uses_of_the_wrench() -> int:
    """How often T-024 was taken up by the end of the week, from the text of the demo's files."""
    jobs = tomllib.loads((demo_folder() / "jobs.toml").read_text("utf-8"))["job"]
    usual = {job["id"]: [step.get("tools", []) for step in job["step"]] for job in jobs}
    week = tomllib.loads((demo_folder() / "week.toml").read_text("utf-8"))["entry"]
    tools = tomllib.loads((demo_folder() / "tools.toml").read_text("utf-8"))["tool"]
    (entry,) = (tool["instrument"] for tool in tools if tool["id"] == "T-024")
    total: int = entry["uses_since_check"]
    for visit in (v for e in week if "undone" not in e for v in e.get("visit", [])):
        changed = {one["step"]: one for one in visit.get("changed", [])}
        steps = usual[visit["job"]]
        for number in visit.get("steps", range(1, len(steps) + 1)):
            taken = changed.get(number, {}).get("tools", steps[number - 1])
            for words in taken:
                tool, _, times = words.partition(" x")
                total += int(times or 1) if tool == "T-024" else 0
    picks = (p for e in week if "undone" not in e for p in e.get("pick", []))
    return total + sum(p.get("times", 1) for p in picks if p["tool"] == "T-024")


def test_all_is_found_the_close_refused_all_mended_and_ready(toolbox: Run) -> None:
    """A bit short, an old bottle, a wrench used 5,001 times, sealant that will not last."""
    _all_is_found(toolbox)
    _the_day_closes_once_the_bit_is_settled(toolbox)
    _supplies(toolbox)
    _instruments(toolbox)
    assert toolbox("plan", "--moves", "0").code == codes.DONE
    ready = toolbox("ready")
    assert ready.out.startswith("READY: ")
    assert ready.code == codes.DONE


def _all_is_found(toolbox: Run) -> None:
    ran = toolbox("ready", "--json")
    data = ran.data()
    assert (ran.code, data["ready"]) == (codes.NO, False)
    found = [found for found in data["findings"] if found["seriousness"] != "NOTE"]
    words = "\n".join(f"{one['place']}: {one['words']}" for one in found)
    for told in (
        "evening: Bit driver with its 28 bits: 1 of the part bit is short since 2026-11-20",
        "evening: Glycol brake fluid DOT 5.1: opened 2025-10-12, good until 2026-10-12, which is "
        "past",
        "evening: Tubeless sealant: about 540 ml left",
        "evening: the count of 2026-11-20 is not closed: 18 of 18 places counted",
        "instruments: Click torque wrench 2-15 N·m: check was due 2026-10-06",
        f"instruments: Click torque wrench 10-60 N·m: used {uses_of_the_wrench()} times",
        "evening: bikes A1, A2, B1, B2 may not be released",
    ):
        assert told in words
    assert uses_of_the_wrench() == 5001
    assert found[-3]["words"] == "no plan of the box was made yet"
    assert len(found) == 8  # ... and nothing else
    (sealant,) = (one["words"] for one in found if "sealant" in one["words"])
    # counted from the week by hand: 12 tyres at 80 ml; seven days till the next restock
    assert "1.5 L on the list less 960 ml logged" in sealant
    assert "runs out by Sunday with" in sealant


def _the_day_closes_once_the_bit_is_settled(toolbox: Run) -> None:
    refused = toolbox("count", "--close", "--json")
    assert refused.code == codes.NO
    assert refused.data()["refused"]
    assert refused.data()["closed"] is None
    said = toolbox("settle", "28 bits:bit", "found", "--where", "under the awning")
    assert "found (under the awning)" in said.out
    assert toolbox("count", "--close").code == codes.DONE
    assert toolbox("missing", "--json").data()["missing"] == []
    assert toolbox("release").out == "No bike is held.\n"


def _supplies(toolbox: Run) -> None:
    """The old bottle goes, the one from the van takes its place; four packs of sealant come."""
    asked = toolbox("buy", "--json").data()["buy"]
    packs = {one["supply"]: one["packs"] for one in asked if one["when"] == "before leaving"}
    assert packs == {"S-14": 4}
    assert toolbox("waste", "glycol brake").code == codes.DONE
    assert toolbox("restock", "--do", "glycol brake").code == codes.DONE
    assert toolbox("opened", "glycol brake", "--lot", "G8812").code == codes.DONE
    assert toolbox("buy", "--got", "tubeless sealant", "4 packs").code == codes.DONE


def _instruments(toolbox: Run) -> None:
    """One is checked and passes; one stays at home, for the checking house is shut."""
    beside = ("--reference", "the torque bench", "--limit", "0.5 %")
    checked = toolbox("test", "T-024", *READINGS, *beside)
    assert "pass: inside the limits" in checked.out
    assert toolbox("edit", "tool", "T-023", "--retire").code == codes.DONE
    assert toolbox("wound").code == codes.DONE
