"""The commands customs and claim, as a mechanic types them before and after a flight."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import RACE, Ran

Run = Callable[..., Ran]


@pytest.fixture
def race(kit_dir: Path) -> Path:
    """The small kit with a trip."""
    (kit_dir / "trips").mkdir()
    (kit_dir / "trips" / "race.toml").write_text(RACE.lstrip(), encoding="utf-8")
    kit = kit_dir / "kit.toml"
    kit.write_text(kit.read_text() + '\n[customs]\ncountry = "DE"\ncurrency = "EUR"\n')
    return kit_dir


def test_a_list_is_drafted_issued_and_held_against_the_kit(run: Run, race: Path) -> None:
    """Draft, refusals, issue, then a changed thing: exit codes and words."""
    on = ("--kit", race, "--today", "2026-12-01")
    draft = run("customs", "race", *on)
    assert draft.code == 1
    assert "no country of origin" in draft.out
    assert "3 things: Hex key 4 mm, Hex key 5 mm, Chain tool" in " ".join(draft.out.split())
    refused = run("customs", "race", "--issue", "--json", *on)
    assert (refused.code, refused.data()["issue"]) == (1, None)
    assert not (race / "customs").exists()
    soft = ("customs", "race", "--bag", "soft", *on)
    assert run(*soft).code == 0
    issued = run(*soft, "--issue", "--json")
    assert issued.code == 0
    assert issued.data()["totals"] == {
        "items": 2,
        "pieces": 2,
        "grams": 2400,
        "hundredths": 10500,
    }
    assert run("check", "--kit", race).code == 0
    trip = race / "trips" / "race.toml"
    trip.write_text(trip.read_text().replace('"B-7"', '"B-8"'), encoding="utf-8")
    shown = run("customs", "race", "--issued", "1", *on)
    assert shown.code == 1
    assert "serial number was B-7, now B-8" in " ".join(shown.out.split())
    listed = race / "customs" / "race-1.toml"
    listed.write_text(listed.read_text().replace("B-7", "B-8"), encoding="utf-8")
    assert run("check", "--kit", race).code == 3


def test_choices_on_the_command_line_go_before_those_of_the_kit(run: Run, race: Path) -> None:
    """Unit, currency and country; the papers go into a folder."""
    out = race / "papers"
    told = run(
        *("customs", "race", "--bag", "soft", "--kit", race, "--json", "--out", out),
        *("--unit", "g", "--currency", "CHF", "--country", "CH"),
    )
    data = told.data()
    assert (data["unit"], data["currency"], data["country"]) == ("g", "CHF", "CH")
    assert {r["wrong"] for r in data["refusals"]} == {"value in EUR, the list is in CHF"}
    assert sorted(path.name for path in out.iterdir()) == [
        f"race-customs-draft.{kind}" for kind in ("csv", "html", "md")
    ]


def test_a_claim_says_when_and_what(run: Run, race: Path) -> None:
    """Days, things, and the work that goes without the bag."""
    words = ("claim", "race", "case", "--arrived", "2028-02-09", "--kit", race)
    told = run(*words, "--json", "--today", "2028-02-20")
    data = told.data()
    assert told.code == 0
    assert (data["last_day"], data["keep_to"], data["days_left"]) == (
        "2028-03-01",
        "2028-02-29",
        9,
    )
    assert data["lost_jobs"] == ["Bar change"]
    assert data["totals"]["grams"] == 2000 + 25 + 42 + 150
    text = run(*words, "--for", "damage", "--out", race / "papers")
    assert text.code == 0
    assert "Write by 2028-02-15." in text.out
    assert "race-claim-case.csv, new" in text.out
    wrong = run(*words, "--for", "damage", "--delivered", "2028-02-08")
    assert wrong.code == 1
    assert "before the arrival" in wrong.err
