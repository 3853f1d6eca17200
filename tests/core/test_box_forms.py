"""Box forms: sound boxes that hold what a mechanic carries, and kits made from them."""

from __future__ import annotations

import csv
import os
import re
import tomllib
from pathlib import Path

import pytest
from kitfiles import bytes_of

from toolbox.files.forms import SETTINGS_IN_WORDS, demo_folder, forms, new_kit
from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.files.reading import read_kit
from toolbox.files.schema import SettingsTable, file_keys
from toolbox.kit.box import Compartment, Inside, Way
from toolbox.kit.kit import Kit, Settings

BLANK = Path(__file__).parents[2] / "toolbox" / "files" / "blank"


def kit_of(form: str, folder: Path) -> Kit:
    """A fresh kit of a form."""
    new_kit(folder, form, "Squad")
    return read_kit(folder)


def test_the_forms_are_the_four_that_are_promised() -> None:
    """Four kinds of box to start from, each found by its name."""
    assert set(forms()) == {"clamshell", "drawer-chest", "pallet-case", "roll-pack"}
    assert all(path.is_file() for path in forms().values())


@pytest.mark.parametrize("form", forms())
def test_every_form_makes_a_kit_without_faults(form: str, tmp_path: Path) -> None:
    """A new kit has the form's box, its own name, the usual settings and nothing else yet."""
    kit = kit_of(form, tmp_path / "kit")
    assert kit.name == "Squad"
    assert kit.settings == Settings()
    assert (kit.tools, kit.supplies, kit.jobs, kit.rules) == ((), (), (), ())
    assert (tmp_path / "kit" / "box.toml").read_bytes() == forms()[form].read_bytes()
    assert (tmp_path / "kit" / "layouts").is_dir()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["kit"]


@pytest.mark.parametrize("form", forms())
def test_every_form_is_a_box_that_could_be_built(form: str, tmp_path: Path) -> None:
    """Ways in and loads everywhere, load limits that the box's own limit does not outrun."""
    box = kit_of(form, tmp_path / "kit").box
    assert box.limit_g is not None
    assert box.tare_g < box.limit_g
    assert all(place.load_g for place in box.compartments)
    assert sum(place.load_g or 0 for place in box.compartments) >= 0.8 * (box.limit_g - box.tare_g)
    used = {opening for place in box.compartments for opening in place.openings}
    assert used == {opening.id for opening in box.openings}
    # trays lie on each other: whoever is behind the second is behind the first
    trays = [opening.id for opening in box.openings if opening.way is Way.TRAY]
    for place in box.compartments:
        behind = [opening for opening in place.openings if opening in trays]
        assert behind == trays[: len(behind)]


@pytest.mark.parametrize("form", ["clamshell", "pallet-case"])
def test_flight_cases_keep_the_usual_sum_of_sides(form: str, tmp_path: Path) -> None:
    """158 cm is the usual sum of length, width and height (shared trade/needs.md, weak source)."""
    box = kit_of(form, tmp_path / "kit").box
    assert sum(box.size) <= 15_800


Things = list[tuple[int, int, int, int]]


def catalogue(shared: Path) -> Things:
    """Sides and mass of the 128 things a mechanic suggests for the case; tenths of mm, grams."""
    with (shared / "trade" / "catalogue.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["suggested_flight_case"] == "yes"]
    assert len(rows) == 128
    sides = ("length_mm", "width_mm", "height_mm")
    return [(*(10 * int(r[side]) for side in sides), int(r["mass_g"])) for r in rows]  # type: ignore[misc]


class Filled:
    """One compartment filled in order: free corners for laid, sums for rows and bins."""

    def __init__(self, place: Compartment, settings: Settings) -> None:
        self.place, self.gap = place, settings.clearance
        length, width, depth = place.inside
        self.free = [(0, 0, length, width)]
        self.left = length
        self.room = settings.loose_fill * length * width * depth
        self.load = place.load_g or 10**9

    def take(self, thing: tuple[int, int, int, int]) -> bool:
        """Put the thing in if it fits beside what is there; whether it did."""
        *sides, grams = thing
        if grams > self.load or not self._fits(*sides):
            return False
        self.load -= grams
        return True

    def _fits(self, length: int, width: int, height: int) -> bool:
        inside = self.place.inside
        if self.place.kind is Inside.LOOSE:
            room = self.room - length * width * height
            small = zip(sorted((length, width, height)), sorted(inside), strict=True)
            if room < 0 or any(mine > its for mine, its in small):
                return False
            self.room = room
            return True
        if height > inside.height:
            return False
        if self.place.kind is Inside.ROW:
            if length > inside.width or width + self.gap > self.left:
                return False
            self.left -= width + self.gap
            return True
        return self._lay(length + self.gap, width + self.gap)

    def _lay(self, length: int, width: int) -> bool:
        choices = [
            (min(w - a, d - b), x, y, a, b)
            for x, y, w, d in self.free
            for a, b in ((length, width), (width, length))
            if a <= w and b <= d
        ]
        if not choices:
            return False
        _, x, y, a, b = min(choices)
        rest = []
        for fx, fy, w, d in self.free:
            if x >= fx + w or x + a <= fx or y >= fy + d or y + b <= fy:
                rest.append((fx, fy, w, d))
                continue
            rest += [(fx, fy, x - fx, d), (x + a, fy, fx + w - x - a, d)]
            rest += [(fx, fy, w, y - fy), (fx, y + b, w, fy + d - y - b)]
        self.free = [space for space in set(rest) if space[2] > 0 and space[3] > 0]
        return True


def left_over(kit: Kit, things: Things) -> Things:
    """What finds no place when large things go first into the shallowest place that takes them."""
    bins = [place for place in kit.box.compartments if place.kind is Inside.LOOSE]
    others = [place for place in kit.box.compartments if place.kind is not Inside.LOOSE]
    others.sort(key=lambda place: place.inside.height)
    places = [Filled(place, kit.settings) for place in (*others, *bins)]
    large_first = sorted(things, key=lambda t: (-t[0] * t[1], t))
    return [thing for thing in large_first if not any(place.take(thing) for place in places)]


@pytest.mark.parametrize("form", ["clamshell", "drawer-chest", "pallet-case"])
def test_the_big_forms_hold_the_whole_flight_case_and_a_quarter_more(
    form: str, tmp_path: Path, shared: Path
) -> None:
    """All 128 suggested things fit with clearance and loads, and so do 32 more like them.

    Sizes and choice are those of the shared trade catalogue (common practice, no source).
    """
    kit = kit_of(form, tmp_path / "kit")
    things = catalogue(shared)
    mass = sum(grams for *_, grams in things)
    assert mass == 17_565  # as the catalogue's own index says
    assert kit.box.limit_g is not None
    assert kit.box.tare_g + mass <= kit.box.limit_g
    assert left_over(kit, things) == []
    # the longest things come once: nobody carries a second hanger gauge
    spare = [thing for thing in things if thing[0] < 3500][::3][:32]
    assert len(spare) == 32
    assert left_over(kit, things + spare) == []


def test_the_packing_check_can_fail(tmp_path: Path, shared: Path) -> None:
    """The pit bag is no flight case: most of the things stay out."""
    kit = kit_of("roll-pack", tmp_path / "kit")
    assert len(left_over(kit, catalogue(shared))) > 20


def test_the_templates_are_right_once_their_example_is_taken(tmp_path: Path) -> None:
    """With the # taken away every example is a faultless entry, all of them together a kit."""
    folder = tmp_path / "kit"
    new_kit(folder, "clamshell", "Squad")
    plain = read_kit(folder)
    for path in sorted(folder.glob("*.toml")):
        text = path.read_text(encoding="utf-8")
        path.write_text(re.sub(r"^#(?=[a-z\[])", "", text, flags=re.M), encoding="utf-8")
    kit = read_kit(folder)
    assert (len(kit.tools), len(kit.supplies), len(kit.jobs)) == (1, 1, 1)
    assert (len(kit.rules), len(kit.readings)) == (1, 1)
    assert kit.settings == plain.settings


def test_a_new_kit_explains_every_key() -> None:
    """Each key of each file has its word in the template or the form it starts from."""
    assert set(SETTINGS_IN_WORDS) == set(SettingsTable.model_fields)
    for file, keys in file_keys().items():
        if (BLANK / file).exists():
            words = set(re.findall(r"[a-z_]+", (BLANK / file).read_text(encoding="utf-8")))
            assert set(keys) - words == set(), file
    box = set(re.findall(r"[a-z_]+", forms()["clamshell"].read_text(encoding="utf-8")))
    assert set(file_keys()["box.toml"]) <= box


def test_names_that_toml_must_quote_are_kept(tmp_path: Path) -> None:
    """Quotes and backslashes in a kit's name are part of it."""
    new_kit(tmp_path / "kit", "clamshell", 'Mud "&" \\ grit ½')
    assert read_kit(tmp_path / "kit").name == 'Mud "&" \\ grit ½'


@pytest.mark.parametrize("name", ["", "  ", "a\x1bb", "a\nb"])
def test_a_name_that_a_kit_cannot_have_makes_nothing(tmp_path: Path, name: str) -> None:
    """A refused name leaves no folder behind."""
    with pytest.raises(KitFaults, match="name"):
        new_kit(tmp_path / "kit", "clamshell", name)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_holds_something_is_left_alone(tmp_path: Path) -> None:
    """Even one hidden file keeps a folder from becoming a kit; so does a file of that name."""
    (tmp_path / "kit").mkdir()
    (tmp_path / "kit" / ".hidden").write_text("x")
    (tmp_path / "file").write_text("x")
    before = bytes_of(tmp_path)
    for name in ("kit", "file"):
        with pytest.raises(WriteRefused):
            new_kit(tmp_path / name, "clamshell", "Squad")
    assert bytes_of(tmp_path) == before


def test_an_empty_folder_becomes_the_kit_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder one stands in can be made a kit and is still the same folder afterwards."""
    (tmp_path / "kit").mkdir()
    monkeypatch.chdir(tmp_path / "kit")
    new_kit(Path("."), "clamshell", "Squad")
    assert read_kit(Path(".")).name == "Squad"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["kit"]


def test_an_unknown_form_is_asked_about(tmp_path: Path) -> None:
    """A form nearly right is offered, any other answered with all there are."""
    with pytest.raises(WriteRefused, match='did you mean "clamshell"'):
        new_kit(tmp_path / "kit", "clamshel", "Squad")
    with pytest.raises(WriteRefused, match="drawer-chest"):
        new_kit(tmp_path / "kit", "trunk", "Squad")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("there", [False, True])
@pytest.mark.parametrize("at", [1, 4])
def test_a_kit_that_cannot_be_finished_is_not_begun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool, at: int
) -> None:
    """With the disk failing when the kit takes its place, the folder is as it was before."""
    if there:
        (tmp_path / "kit").mkdir()
    real, calls = os.replace, []

    def fail(*args: str) -> None:
        calls.append(args)
        if len(calls) >= (at if there else 1):
            raise OSError(28, "No space left on device")
        real(*args)

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(OSError, match="No space"):
        new_kit(tmp_path / "kit", "clamshell", "Squad")
    assert [p.name for p in tmp_path.rglob("*")] == (["kit"] if there else [])


def test_what_is_shipped_is_found_in_the_package_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An installed copy has its forms and demo inside the package; a clone at its top."""
    assert demo_folder().name == "demo"
    for what in ("layouts", "demo"):
        (tmp_path / "toolbox" / "shipped" / what).mkdir(parents=True)
    (tmp_path / "toolbox" / "shipped" / "layouts" / "tin.toml").write_text("")
    monkeypatch.setattr("toolbox.files.forms._PACKAGE", tmp_path / "toolbox")
    assert set(forms()) == {"tin"}
    assert demo_folder() == tmp_path / "toolbox" / "shipped" / "demo"


def test_the_forms_say_that_their_sizes_are_nobodys() -> None:
    """Each form begins with what it is and says that its figures have no source."""
    for name, path in forms().items():
        text = path.read_text(encoding="utf-8")
        assert text.startswith("# "), name
        assert "no source" in text, name
        assert tomllib.loads(text)["box"]["name"], name
