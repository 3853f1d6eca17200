"""The commands of counting in, on the small kit: text, data, exit codes, and the way back."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.cli import codes

Run = Callable[..., Ran]
DAY = "2026-11-25"
BITS = """
[[tool]]
id = "BIT"
name = "Bit set"
mass = "300 g"
length = "150 mm"
width = "60 mm"
height = "40 mm"
parts = [{ name = "bit", count = 28 }]
owner_mark = "two blue bands"
"""


@pytest.fixture
def bits_dir(kit_dir: Path) -> Path:
    """The small kit with a bit set in the well; all that travels has a place."""
    for name, text in (
        ("tools.toml", BITS),
        ("layouts/present.toml", '\n[[spot]]\nitem = "BIT"\ncompartment = "well"\n'),
    ):
        path = kit_dir / name
        path.write_text(path.read_text("utf-8") + text, "utf-8")
    return kit_dir


@pytest.fixture
def count(run: Run, bits_dir: Path) -> Run:
    """The command count of that day on this kit."""

    def call(*words: str) -> Ran:
        return run("count", *words, "--day", DAY, "--kit", bits_dir)

    return call


def test_a_count_from_start_to_close(count: Run, run: Run, bits_dir: Path) -> None:
    """27 of 28 bits: the close is refused until the bit is found; undo opens it again."""
    first = count("--json").data()
    assert [(p["name"], p["pieces"], p["counted"]) for p in first["places"]] == [
        ("Front tray", 1, False),
        ("Well", 30, False),
    ]
    assert first["closed"] is None
    assert count("front").code == codes.DONE
    short = count("well", "--short", "bit set:bit", "--by", "Ann").out
    assert "[!] Well: 3 tools, 29 pieces (Ann, " in short
    assert "Bit set: 1 of the part bit is short since 2026-11-25" in short
    refused = count("--close")
    assert refused.code == codes.NO
    assert "cannot be closed as complete" in refused.out
    data = count("--close", "--json")
    assert data.code == codes.NO
    assert data.data()["refused"]
    assert data.data()["closed"] is None
    assert data.data()["short"][0] | {"since": "", "words": ""} == {
        "copy": "BIT",
        "part": "bit",
        "number": 1,
        "name": "Bit set",
        "since": "",
        "outcome": None,
        "words": "",
        "where": "",
        "until": None,
        "author": None,
    }
    found = run("settle", "bit set:bit", "found", "--where", "the rug", "--kit", bits_dir)
    assert "Bit set: 1 of the part bit: found (the rug)" in found.out
    closed = count("--close", "--json")
    assert closed.code == codes.DONE
    assert closed.data()["complete"]
    assert count("--close").code == codes.NO
    entry = closed.data()["entry"]
    assert run("undo", entry[:8], "--kit", bits_dir).code == codes.DONE
    assert count("--json").data()["closed"] is None


def test_a_day_with_something_open_closes_only_with_a_reason(count: Run, bits_dir: Path) -> None:
    """Not as complete: the reason stands there with the name."""
    count("front", "well", "--short", "chain tool")
    closed = count("--close", "--reason", "bus leaves", "--by", "Ann", "--json").data()
    assert closed["complete"] is False
    assert closed["closed"]["complete"] is False
    assert (closed["closed"]["reason"], closed["closed"]["author"]) == ("bus leaves", "Ann")
    assert "closed as not complete: bus leaves (Ann" in " ".join(count().out.split())


def test_what_is_typed_wrong_is_told_and_writes_nothing(
    count: Run, run: Run, bits_dir: Path
) -> None:
    """Exit codes as for every command; the log stays empty."""
    assert count("--short", "chain tool").code == codes.NO
    assert count("front", "--short", "hex key 4").code == codes.NO
    assert count("front", "--reason", "x").code == codes.TYPED_WRONG
    assert count("well", "--short", "hex").code == codes.UNCLEAR
    assert count("nowhere").code == codes.NO
    assert "no tool to count" in count("loops").err
    assert run("settle", "chain tool", "gone", "--kit", bits_dir).code == codes.TYPED_WRONG
    assert run("settle", "chain tool", "lent", "--kit", bits_dir).code == codes.NO
    assert run("settle", "chain tool", "found", "--kit", bits_dir).code == codes.NO
    assert run("release", "A", "--reason", "x", "--kit", bits_dir).code == codes.NO
    assert json.loads(run("undo", "--list", "--json", "--kit", bits_dir).out)["entries"] == []


def test_a_missing_tool_is_shown_and_its_bikes_are_held(
    count: Run, run: Run, bits_dir: Path
) -> None:
    """Last job, step and bike; the bike goes out only by a decision with a reason."""
    kit = ("--kit", bits_dir)
    at = ("--at", "2026-11-25 15:00")
    run("log", "bar change", "--bike", "[b]red", "--by", "Jo", *at, *kit)
    count("well", "--short", "hex key 4")
    (sheet,) = run("missing", "--json", *kit).data()["missing"]
    assert sheet["last_used"]["job"] == "BC"
    assert (sheet["last_used"]["step"], sheet["last_used"]["author"]) == (1, "Jo")
    assert sheet["known_by"]["size"] == "135 mm x 26 mm x 4 mm"
    text = run("missing", "hex key 4", *kit).out
    assert "last used    Bar change, step 1 (loosen), bike [b]red" in text
    assert "may not be released" in text
    assert run("missing", "chain tool", *kit).out == "It is not missing.\n"
    assert "bike [b]red may not be released: Hex key 4 mm" in run("release", *kit).out
    ready = run("ready", "--today", "2999-12-01", "--json", *kit).data()
    stops = [f["words"] for f in ready["findings"] if f["place"] == "evening"]
    assert any("bike [b]red may not be released" in words for words in stops)
    assert run("release", "red", *kit).code == codes.NO
    done = run("release", "red", "--reason", "stripped", "--by", "Ann", *kit)
    assert "bike [b]red released though short of Hex key 4 mm: stripped" in done.out
    assert run("release", "--json", *kit).data() == {"held": []}
    assert "released by Ann" in run("missing", *kit).out


def test_lent_and_lost_are_kept_in_lists(run: Run, bits_dir: Path) -> None:
    """Overdue on the day after; a tool found again stays in the history of losses."""
    kit = ("--kit", bits_dir)
    assert run("lent", *kit).out == "Nothing was ever lent.\n"
    assert run("losses", *kit).out == "Nothing was ever lost.\n"
    lend = ("settle", "chain tool", "lent", "--where", "next door", "--until", "2999-12-01")
    assert run(*lend, *kit).code == codes.DONE
    (loan,) = run("lent", "--today", "2999-12-02", "--json", *kit).data()["lent"]
    assert (loan["copy"], loan["where"], loan["overdue"]) == ("CT", "next door", True)
    assert "OVERDUE" in run("lent", "--today", "2999-12-02", *kit).out
    run("settle", "chain tool", "found", *kit)
    assert "back " in run("lent", *kit).out
    run("settle", "hex key 5", "lost", *kit)
    run("settle", "hex key 5", "found", "--note", "a new one", *kit)
    data = run("losses", "--json", *kit).data()
    assert [(loss["copy"], bool(loss["ended"])) for loss in data["losses"]] == [("K5", True)]
    assert [(d["tool"], d["losses"]) for d in data["to_double"]] == [("K5", 1)]
    assert "A second one would pay" in run("losses", *kit).out
