"""The next trip among the findings of readiness: masses and goods, and nothing slow."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from clikit import write_kit_files

from toolbox.desk.picture import take_picture
from toolbox.desk.readiness import Finding, Seriousness
from toolbox.files.trips import begin_trip

DAY = date(2026, 11, 25)
SPRAY = """
[[item]]
id = "spray"
name = "Chain spray"
bag = "box"
mass = "200 g"

[item.goods]
kind = "aerosol-flammable-2.1"
"""


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    """The small kit, its box known to the gram, with the example trip."""
    folder = write_kit_files(tmp_path / "kit")
    box = folder / "box.toml"
    sure = 'tare = "2 kg"\ntare_known = "weighed"\nscale_step = "1 g"'
    text = box.read_text("utf-8").replace('tare = "2 kg"', sure)
    box.write_text(text, "utf-8")
    begin_trip(folder, "spring")
    return folder


def of_flight(kit: Path, day: date = DAY) -> list[Finding]:
    """The findings that are mended in Flight."""
    return [f for f in take_picture(kit, day).findings if f.place == "flight"]


def changed(kit: Path, old: str, new: str) -> None:
    """The trip file with one text in place of another."""
    path = kit / "trips" / "spring.toml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def test_a_trip_that_fits_is_no_finding(kit: Path) -> None:
    """2.2 kg of box with 23 kg allowed, nothing dangerous in it."""
    assert of_flight(kit) == []


def test_a_bag_over_or_at_risk_is_told(kit: Path) -> None:
    """2217 g by the list: over 2.2 kg stops, within its interval of 2.22 kg is at risk."""
    changed(kit, 'mass = "23 kg"', 'mass = "2200 g"')
    found = of_flight(kit)
    assert {f.seriousness for f in found} == {Seriousness.STOP}
    assert "The box: 2.22 kg" in found[0].words
    assert found[0].command == "toolbox flight spring"
    changed(kit, 'mass = "2200 g"', 'mass = "2220 g"')
    assert {f.seriousness for f in of_flight(kit)} == {Seriousness.MEND}
    assert "at risk" in of_flight(kit)[0].words


def test_a_trip_that_is_far_off_is_only_noted(kit: Path) -> None:
    """Over by its list: noted eight days before the first flight, it stops from the seventh on."""
    changed(kit, 'mass = "23 kg"', 'mass = "2200 g"')
    changed(kit, 'id = "out"', 'id = "out"\nday = 2026-12-04')
    assert {f.seriousness for f in of_flight(kit, date(2026, 11, 26))} == {Seriousness.NOTE}
    assert ", in 8 days: The box: 2.22 kg" in of_flight(kit, date(2026, 11, 26))[0].words
    assert {f.seriousness for f in of_flight(kit, date(2026, 11, 27))} == {Seriousness.STOP}
    assert "days: The box" not in of_flight(kit, date(2026, 11, 27))[0].words


def test_what_may_not_fly_stops_and_what_is_open_is_to_be_mended(kit: Path) -> None:
    """A flammable spray; then one whose class no rule covers."""
    changed(kit, "# A scale: its step", f"{SPRAY}\n# A scale: its step")
    (found,) = of_flight(kit)
    assert found.seriousness is Seriousness.STOP
    assert "may not fly as packed: Chain spray" in found.words
    changed(kit, "aerosol-flammable-2.1", "something-new")
    (asked,) = of_flight(kit)
    assert asked.seriousness is Seriousness.MEND
    assert "to ask the carrier or to look up: Chain spray" in asked.words


def test_a_trip_gone_by_is_nobodys_matter_and_a_new_one_is_seen_at_once(kit: Path) -> None:
    """Flown in March: silent in April. A picture taken again sees what changed in trips/."""
    changed(kit, 'mass = "23 kg"', 'mass = "2200 g"')
    changed(kit, 'id = "out"', 'id = "out"\nday = 2026-12-04')
    changed(kit, 'id = "home"', 'id = "home"\nday = 2026-12-06')
    before = take_picture(kit, DAY)
    assert of_flight(kit, date(2026, 12, 6))
    assert of_flight(kit, date(2026, 12, 7)) == []
    (kit / "trips" / "spring.toml").unlink()
    after = take_picture(kit, DAY, before)
    assert after is not before
    assert not any(f.place == "flight" for f in after.findings)


def test_a_faulty_trip_is_told_and_the_rest_of_the_kit_is_still_shown(kit: Path) -> None:
    """Its faults are findings among the others."""
    changed(kit, 'answers = "one"\nbox', 'answers = "two"\nbox')
    picture = take_picture(kit, DAY)
    assert picture.folder is not None
    (found,) = of_flight(kit)
    assert found.command == "toolbox check"
    assert "trips/spring.toml" in found.words


def test_readiness_loads_no_solver(kit: Path) -> None:
    """A picture with a trip is taken without the solver being loaded."""
    code = (
        "import sys\nfrom datetime import date\nfrom pathlib import Path\n"
        "from toolbox.desk.picture import take_picture\n"
        f"take_picture(Path({str(kit)!r}), date(2026, 11, 25))\n"
        "print('ortools' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
