"""The commands around a trip by air, on the demo's trip and on a small one."""

from __future__ import annotations

import os
import shutil
import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from clikit import Ran, shell

from toolbox.desk import flight_plan
from toolbox.files.forms import demo_folder
from toolbox.flight.goods import WHO_DECIDES
from toolbox.flight.packing import pack
from toolbox.flight.packing_problem import PackingAnswer, PackingProblem
from toolbox.flight.packing_watch import PackingWatcher

Run = Callable[..., Ran]
DAY = "2026-11-25"

TRIP = """
# how we went last year as well
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

[[allowance]]
id = "two"
name = "Example: two small pieces"
concept = "piece"
pieces = 2
mass = "2200 g"
sides = "1580 mm"

[[leg]]
id = "out"
name = "There"
allowance = "two"
day = 2026-12-04
screening = ["eu"]

[[work]]
job = "CH"
expected = 2

[[scale]]
id = "hook"
name = "Hook scale"
scale_step = "1 g"
"""


@pytest.fixture(scope="module")
def demo_kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's files; nobody writes to them."""
    return Path(shutil.copytree(demo_folder(), tmp_path_factory.mktemp("demo") / "demo"))


@pytest.fixture(scope="module")
def planned(demo_kit: Path) -> tuple[int, Any]:
    """Exit code and JSON of ``toolbox flight --json`` on the demo."""
    env = {**os.environ, "PYTHONUTF8": "1"}
    words = ("flight", "--json", "--today", DAY, "--kit", str(demo_kit))
    done = shell(*words, env=env, cwd=demo_kit)
    import json

    return done.returncode, json.loads(done.stdout)


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


def flat(text: str) -> str:
    """Wrapped text on one line."""
    return " ".join(text.split())


def named(rows: list[dict[str, Any]], key: str, value: object) -> dict[str, Any]:
    """The one row with that value."""
    (found,) = [row for row in rows if row[key] == value]
    return found


def test_before_the_case_is_over_and_after_every_bag_is_within(
    planned: tuple[int, Any],
) -> None:
    """25.986 kg by hand (tare 7.4 kg and what is carried) over 23 kg; the plan mends it."""
    code, data = planned
    assert code == 1
    assert data["fits"] is False
    case = named(data["bags"], "id", "case")
    assert (case["mass_g"], case["limit_g"], case["verdict"]) == (25_986, 23_000, "over")
    assert case["chance_over"] > 0.999
    assert data["after"]["masses_fit"]
    for bag in data["after"]["bags"]:
        assert bag["verdict"] == "fits"
        assert bag["high_g"] <= bag["limit_g"]
        assert bag["mass_g"] < bag["high_g"]
        assert all(leg["verdict"] == "fits" for leg in bag["legs"])
    for pool in data["after"]["pools"]:
        assert pool["verdict"] == "fits"


def test_the_fifth_cartridge_the_spray_and_the_loose_pack_are_named(
    planned: tuple[int, Any],
) -> None:
    """49 CFR 175.10(a)(25), FAA guidance on aerosols, TSA on spare lithium batteries."""
    findings = planned[1]["findings"]
    fifth = named(findings, "over", 1)
    assert (fifth["item"], fifth["copies"], fifth["answer"]) == ("S-16", ["S-16/5"], "no")
    assert "at most 4 a person" in fifth["reason"]
    assert "49 CFR 175.10" in fifth["source"]
    spray = named(findings, "item", "S-08")
    assert (spray["answer"], spray["bag"]) == ("no", "case")
    pack = named(findings, "item", "pack")
    assert (pack["answer"], pack["bag"], pack["todo"]) == ("cabin", "soft", "move it to the cabin")
    assert all(f["reason"] and f["source"] for f in findings)


def test_the_plan_is_proved_and_says_what_it_costs(planned: tuple[int, Any]) -> None:
    """The spray is bought there for 9.50 EUR, which nothing can undercut: it may not fly."""
    data = planned[1]
    assert data["proven"] is True
    assert all(aim["value"] == aim["bound"] for aim in data["aims"])
    assert data["cost"]["hundredths"] == 950
    assert data["cost"]["currency"] == "EUR"
    assert sum(c["hundredths"] for c in data["cost"]["charges"]) == 950
    moves = {move["item"]: move for move in data["moves"]}
    assert (moves["S-08"]["to"], moves["S-08"]["fate"]) == (None, "bought there")
    assert (moves["pack"]["from"], moves["pack"]["to"]) == ("soft", "back")
    assert "T-128" not in moves or moves["T-128"]["to"] is not None


def test_what_moves_explains_every_gram_of_the_plan(planned: tuple[int, Any]) -> None:
    """Each bag after the plan: as before, less what left it and with what came in."""
    from toolbox.files.reading import read_kit
    from toolbox.files.trips import read_trip
    from toolbox.flight.contents import contents_of

    kit = read_kit(demo_folder())
    trip = read_trip(demo_folder() / "trips" / "two-races.toml", kit)
    grams = {copy.id: copy.mass.grams for copy in contents_of(kit, trip)}
    data = planned[1]
    before = {bag["id"]: bag["mass_g"] for bag in data["bags"]}
    for move in data["moves"]:
        before[move["from"]] -= grams[move["item"]]
        if move["to"] is not None:
            before[move["to"]] += grams[move["item"]]
    assert before == {bag["id"]: bag["mass_g"] for bag in data["after"]["bags"]}


def test_what_is_open_keeps_even_the_plan_from_fitting(planned: tuple[int, Any]) -> None:
    """Sheets not read and a carrier not asked are no yes."""
    data = planned[1]
    after = data["after"]
    assert after["fits"] is False
    assert {f["answer"] for f in after["findings"]} == {"ask the carrier", "read the safety sheet"}
    assert WHO_DECIDES in data["cautions"]


def test_the_keys_of_the_json_stand_in_the_readme(planned: tuple[int, Any]) -> None:
    """Every key of the answer, inner ones of bags, findings and moves too, is documented."""
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    part = readme.partition("## Flying")[2].partition("\n## ")[0]
    data = planned[1]
    keys = {*data, *data["bags"][0], *data["findings"][0], *data["moves"][0], *data["cost"]}
    missing = {key for key in keys if f"`{key}`" not in part} - {"trip"}
    assert not missing


def test_everything_settled_and_taken_ends_with_nothing_in_the_way(
    trip_dir: Path, run: Run
) -> None:
    """Box 2217 g over 2200 g: one tool of 25 g or more moves, by hand the lightest enough."""
    before = run("flight", "--json", "--today", DAY, "--kit", trip_dir)
    assert before.code == 1
    data = before.data()
    (move,) = data["moves"]
    assert (move["from"], move["to"]) == ("case", "roll")
    assert data["cost"]["hundredths"] == 0
    assert data["after"]["fits"] is True
    taken = run("flight", "--take", "--today", DAY, "--kit", trip_dir)
    assert taken.code == 0, taken.out
    assert WHO_DECIDES in taken.out
    again = run("flight", "--json", "--today", DAY, "--kit", trip_dir)
    assert again.code == 0
    assert again.data()["fits"] is True
    assert again.data()["moves"] == []
    back = run("stow", move["item"], "--in", "case", "--json", "--kit", trip_dir)
    assert named(back.data()["bags"], "id", "case")["mass_g"] == 2217
    assert run("flight", "--check", "--today", DAY, "--kit", trip_dir).code == 1


def test_a_reading_is_stored_and_counts(trip_dir: Path, run: Run) -> None:
    """Weighed 150 g too light: the chain tool is named first; comments stay; the reading counts."""
    path = trip_dir / "trips" / "race.toml"
    kept = path.read_text(encoding="utf-8")
    found = run("weigh", "case", "2067", "g", "--json", "--today", DAY, "--kit", trip_dir)
    assert found.code == 0
    data = found.data()
    assert (data["reading_g"], data["listed_g"], data["difference_g"]) == (2067, 2217, -150)
    assert data["agrees"] is False
    first = data["explanations"][0]
    assert first["missing"] == ["CT"]
    assert 0 < first["probability"] <= 1
    text = path.read_text(encoding="utf-8")
    assert text.startswith(kept.rstrip())
    assert "2067 g" in text
    now = run("flight", "--check", "--json", "--today", DAY, "--kit", trip_dir).data()
    assert named(now["bags"], "id", "case")["mass_g"] == 2067


def test_a_reading_in_words(trip_dir: Path, run: Run) -> None:
    """The difference, and that it lies within the uncertainty, in a sentence."""
    said = run("weigh", "case", "2218 g", "--today", DAY, "--kit", trip_dir)
    assert "1 g heavier, within the uncertainty" in flat(said.out)
    off = run("weigh", "case", "2067 g", "--today", DAY, "--kit", trip_dir)
    assert "150 g lighter, more than the uncertainty" in flat(off.out)
    assert "missing: Chain tool" in flat(off.out)


def test_a_reading_that_nothing_explains_is_decided_on(trip_dir: Path, run: Run) -> None:
    """7 kg too much: told at once and by flight, until it is accepted with a reason."""
    at = ("--today", DAY, "--kit", trip_dir)
    before = run("flight", "--check", "--json", *at).data()["matters"]
    off = run("weigh", "case", "9 kg", *at)
    assert off.code == 0
    assert "Nothing on the lists explains it" in flat(off.out)
    (matter,) = run("flight", "--check", "--json", *at).data()["matters"]
    assert matter.startswith(f"The case: its reading of {DAY}, 9 kg, is 6783 g heavier")
    assert matter in flat(run("flight", "--check", *at).out)
    assert run("weigh", "case", "9 kg", "--by", "Ann", *at).code == 2
    assert run("weigh", "case", "9 kg", "--accept", " ", *at).code == 2
    yes = run("weigh", "case", "9 kg", "--accept", "the tent", "--by", "Ann", "--json", *at).data()
    assert (yes["unexplained"], yes["accepted"], yes["by"]) == (True, "the tent", "Ann")
    assert run("flight", "--check", "--json", *at).data()["matters"] == before == []


def test_a_reading_without_unit_or_scale_is_refused(trip_dir: Path, run: Run) -> None:
    """Nothing is written when the reading cannot be meant."""
    path = trip_dir / "trips" / "race.toml"
    kept = path.read_bytes()
    assert run("weigh", "case", "22.95", "--kit", trip_dir).code == 1
    assert run("weigh", "nowhere", "3 kg", "--kit", trip_dir).code == 1
    assert run("weigh", "case", "3 kg", "--scale", "other", "--kit", trip_dir).code == 1
    assert path.read_bytes() == kept
    path.write_text(TRIP.partition("[[scale]]")[0], encoding="utf-8")
    none = run("weigh", "case", "3 kg", "--kit", trip_dir)
    assert none.code == 1
    assert "has no scale" in none.err


def test_a_reading_below_the_empty_bag_is_refused(trip_dir: Path, run: Run) -> None:
    """The case weighs 2 kg empty: 1.9 kg packed is no reading of it, 2 kg might be."""
    file = trip_dir / "trips" / "race.toml"
    before = file.read_bytes()
    found = run("weigh", "case", "1.9 kg", "--today", DAY, "--kit", trip_dir)
    assert found.code == 1
    assert "weighs 2 kg empty" in flat(found.err)
    assert file.read_bytes() == before
    assert run("weigh", "case", "2 kg", "--today", DAY, "--kit", trip_dir).code == 0


def test_goods_answers_for_everything(demo_kit: Path, run: Run) -> None:
    """Every copy has exactly one answer of the five, with a reason and a source."""
    data = run("goods", "--json", "--today", DAY, "--kit", demo_kit).data()
    copies = [copy for row in data["answers"] for copy in row["copies"]]
    assert len(copies) == len(set(copies)) == 178
    five = {"hold", "cabin", "no", "ask the carrier", "read the safety sheet"}
    assert {row["answer"] for row in data["answers"]} == five
    assert all(row["reason"] and row["source"] for row in data["answers"])
    short, long = (run("goods", *more, "--kit", demo_kit).out for more in ((), ("--all",)))
    assert "NO  Brake cleaner in a spray can" in short
    assert "Bottom bracket" not in short
    assert len(long.splitlines()) > len(short.splitlines())
    assert WHO_DECIDES in short


def test_a_trip_is_begun_from_the_example(kit_dir: Path, run: Run) -> None:
    """The file reads without a fault, once; a second one of that name is refused."""
    assert run("flight", "--kit", kit_dir).code == 1
    made = run("trip", "spring", "--json", "--kit", kit_dir)
    assert made.code == 0
    assert run("check", "--kit", kit_dir).code == 0
    assert run("flight", "spring", "--check", "--kit", kit_dir).code in (0, 1)
    assert run("trip", "spring", "--kit", kit_dir).code == 3
    assert run("trip", "a/b", "--kit", kit_dir).code == 3


def test_check_reads_trips_goods_rules_and_packings(trip_dir: Path, run: Run) -> None:
    """All their faults at once, each with its file."""
    assert run("check", "--kit", trip_dir).code == 0
    (trip_dir / "trips" / "race.toml").write_text(TRIP + "\n[[item]]\nid = 7\n", "utf-8")
    (trip_dir / "trips" / "other.toml").write_text("name = 3\n", "utf-8")
    (trip_dir / "goods.toml").write_text('name = "Mine"\n', "utf-8")
    found = run("check", "--json", "--kit", trip_dir)
    assert found.code == 3
    files = {fault["file"] for fault in found.data()["faults"]}
    assert files == {"trips/race.toml", "trips/other.toml", "goods.toml"}


def test_a_packing_that_names_no_bag_of_the_trip_is_told(trip_dir: Path, run: Run) -> None:
    """The fault names the file and the bag."""
    folder = trip_dir / "packings"
    folder.mkdir()
    text = 'trip = "race"\n\n[[packed]]\nitem = "CT"\nbag = "trunk"\n'
    (folder / "race.toml").write_text(text, "utf-8")
    found = run("check", "--kit", trip_dir)
    assert found.code == 3
    assert "packings/race.toml" in found.err
    assert '"trunk"' in found.err


def test_names_that_mean_nothing_or_too_much(trip_dir: Path, run: Run) -> None:
    """A bag, a trip, a thing by no name of theirs; two ways of saying where at once."""
    assert run("flight", "rome", "--kit", trip_dir).code == 3
    assert run("flight", "--leave", "trombone", "--kit", trip_dir).code == 1
    assert run("stow", "CT", "--in", "trunk", "--kit", trip_dir).code == 1
    assert run("stow", "CT", "--kit", trip_dir).code == 2
    assert run("stow", "CT", "--out", "--in", "roll", "--kit", trip_dir).code == 2
    assert run("stow", "hex key", "--out", "--kit", trip_dir).code == 4
    assert run("flight", "--take", "--check", "--kit", trip_dir).code == 2


class _PressesCtrlC(PackingWatcher):
    """Presses Ctrl-C once there is a packing, and waits until that was heard."""

    def __init__(self, stop: Callable[[], bool]) -> None:
        self.stop = stop
        self.first: PackingAnswer | None = None

    def better_packing(self, answer: PackingAnswer) -> None:
        if self.first is None:
            self.first = answer
            os.kill(os.getpid(), signal.SIGINT)
            until = time.monotonic() + 30
            while not self.stop() and time.monotonic() < until:
                pass


@pytest.mark.skipif(os.name != "posix", reason="sends a signal to itself")
def test_ctrl_c_keeps_the_best_packing_found_so_far(
    trip_dir: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped at its first packing, that one is shown, said to be unproved, and not taken."""
    pressed: list[_PressesCtrlC] = []

    def interrupted(problem: PackingProblem, **how: Any) -> PackingAnswer:
        pressed.append(_PressesCtrlC(how["stop"]))
        return pack(problem, **{**how, "watcher": pressed[-1]})

    monkeypatch.setattr(flight_plan, "pack", interrupted)
    before = {path: path.read_bytes() for path in trip_dir.rglob("*.toml")}
    done = run("flight", "--kit", trip_dir, "--today", DAY, "--take")
    assert "Stopped before its end" in flat(done.out)
    assert "The plan:" in done.out
    assert "Not all of it is proved" in flat(done.out)
    assert len(pressed) == 1
    assert pressed[0].first is not None
    assert before == {path: path.read_bytes() for path in trip_dir.rglob("*.toml")}
    data = run("flight", "--kit", trip_dir, "--today", DAY, "--json").data()
    assert (data["stopped"], data["planned"], data["proven"]) == (True, True, False)
    aims = {row["aim"]: row["value"] for row in data["aims"]}
    first = pressed[1].first
    assert first is not None
    assert aims == {reached.aim.value: reached.value for reached in first.aims}


def test_why_nothing_can_be_packed_in_words(trip_dir: Path, run: Run) -> None:
    """Two pieces of 1 kg cannot take a box of 2 kg: all of it would have to stay."""
    path = trip_dir / "trips" / "race.toml"
    text = path.read_text(encoding="utf-8").replace('mass = "2200 g"', 'mass = "560 g"')
    path.write_text(text, encoding="utf-8")
    said = run("flight", "--today", DAY, "--kit", trip_dir)
    assert said.code == 1
    assert "There is no packing that keeps all limits" in said.out
    assert "What would help: " in said.out
