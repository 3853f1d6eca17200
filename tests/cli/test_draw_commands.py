"""The commands draw and labels: files, what they say, and what is refused."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
from clikit import Ran, shell
from drawn import pdf_pages, svg_paths, svg_texts

from toolbox.desk import drawn_files, labels
from toolbox.desk.folder import open_kit
from toolbox.files.writing import save_layout
from toolbox.kit.layouts import Layout, Spot

Run = Callable[..., Ran]

PLACED = """
name = "present"
[[spot]]
item = "CT"
compartment = "tray"
x = "10 mm"
y = "12 mm"
[[spot]]
item = "K4"
compartment = "tray"
x = "0 mm"
y = "44.5 mm"
turned = false
[[spot]]
item = "K5"
compartment = "well"
"""


@pytest.fixture
def placed(kit_dir: Path) -> Path:
    """The small kit with two things that have a place in the tray, one loose in the well."""
    text = PLACED.replace('"44.5 mm"', '"47 mm"').replace('y = "12 mm"', 'y = "2 mm"')
    tools = kit_dir / "tools.toml"
    # 25 mm deep, so that both lie in a tray of 80 mm with foam between them
    tools.write_text(tools.read_text().replace('width = "60 mm"', 'width = "40 mm"'))
    (kit_dir / "layouts" / "present.toml").write_text(text)
    return kit_dir


def lies(folder: Path, *spots: Spot) -> None:
    """Say that the box now lies so."""
    save_layout(folder / "layouts" / "present.toml", Layout("present", spots), "how it lies")


def files(folder: Path) -> dict[str, bytes]:
    """Every file of a folder by its name."""
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def test_map_foam_and_lid_as_svg(run: Run, placed: Path, tmp_path: Path) -> None:
    """One file for each layer, each inlay, and the lid in three forms; the answer names them."""
    out = tmp_path / "out"
    ran = run("draw", "map", "--out", out, "--kit", placed)
    assert ran.code == 0, ran.err
    assert "as it lies today" in ran.out
    assert {name for name in files(out) if name.startswith("map-")} == set(
        re.findall(r"- (map-\S+\.svg), new", ran.out)
    )
    told = [t for name in files(out) for t in svg_texts((out / name).read_text("utf-8"))]
    for name in ("Chain tool", "Hex key 4 mm", "Hex key 5 mm", "Front tray [tray]", "Well [well]"):
        assert name in told

    lies(placed, Spot("CT", "tray", 100, 20), Spot("K4", "tray", 0, 470))
    ran = run("draw", "map", "tray", "--out", out, "--kit", placed)
    assert "on no map: Hex key 5 mm" in ran.out
    assert "map-tray.svg, unchanged" in ran.out

    ran = run("draw", "foam", "--out", out, "--kit", placed)
    assert ran.code == 0, ran.err
    assert "Cut foam away from your hands" in ran.out
    paths = {p.code: p for p in svg_paths((out / "foam-tray.svg").read_text("utf-8"))}
    # The tray is 80 mm deep: 10 mm of margin, 3 mm of edge, then x 9 to 141, y 80-43 to 80-1.
    x0, y0, x1, y1 = paths["CT"].box
    assert (x0, x1, y1) == pytest.approx((22, 154, 92))
    assert y0 == pytest.approx(50)

    ran = run("draw", "lid", "--ask", "Mika <b>|*", "--out", out, "--kit", placed)
    assert ran.code == 0, ran.err
    assert "lift it with two" in ran.out
    assert {"lid.svg", "lid.md", "lid.html"} <= files(out).keys()
    assert "Mika &lt;b&gt;|*" in (out / "lid.html").read_text("utf-8")
    for name in ("lid.svg", "lid.html"):
        ElementTree.fromstring((out / name).read_text("utf-8").replace("<!DOCTYPE html>\n", ""))


def test_the_lid_sheet_counts_and_weighs_by_plain_sums(
    run: Run, placed: Path, tmp_path: Path
) -> None:
    """Contents in walking order with counts; box and things to the gram; what has no place."""
    ran = run("draw", "lid", "--out", tmp_path, "--kit", placed, "--json", "--today", "2026-11-20")
    assert ran.code == 0, ran.err
    data = ran.data()
    assert (data["drawn"], data["layout"], data["things"]) == ("lid", "present", 3)
    assert data["total_g"] == 2000 + 150 + 25 + 42  # tare, chain tool, hex keys of the kit
    texts = svg_texts((tmp_path / "lid.svg").read_text("utf-8"))
    said = " ".join(texts)
    assert "2.22 kg packed: 3 things in 2 compartments." in said
    assert "Who to ask: ____" in said
    assert "2026-11-20" in said
    assert "lift it with two, or empty it first" in said
    heads = [re.match(r"(\d) (.+?) \[", text) for text in texts]
    assert [(h[1], h[2]) for h in heads if h] == [
        ("1", "Front tray"), ("2", "Elastic loops"), ("3", "Well"),
    ]  # fmt: skip
    assert "2 things, 175 g" in said
    assert "Hex key 5 mm" in (tmp_path / "lid.md").read_text("utf-8")


def test_a_limit_that_is_passed_and_what_has_no_place_stand_on_the_lid(
    run: Run, placed: Path, tmp_path: Path
) -> None:
    """A stranger must know both before lifting and packing."""
    box = placed / "box.toml"
    box.write_text(box.read_text().replace('tare = "2 kg"', 'tare = "2 kg"\nlimit = "2.1 kg"'))
    lies(placed, Spot("CT", "well"), Spot("K4", "well"))
    assert run("draw", "lid", "--out", tmp_path, "--kit", placed).code == 0
    said = " ".join(svg_texts((tmp_path / "lid.svg").read_text("utf-8")))
    assert re.search(r"more than your limit of 2100 g", said)
    assert "nobody has said where: Hex key 5 mm." in said


def test_the_same_kit_gives_the_same_bytes_in_every_process(
    run: Run, placed: Path, tmp_path: Path
) -> None:
    """SVG, PDF and labels, written twice, and once by a process with another hash seed."""
    lid = ("draw", "lid", "--today", "2026-11-20", "--format", "pdf")
    jobs = (
        ("draw", "map", "--format", "pdf"),
        ("draw", "foam"),
        lid,
        ("labels", "tools", "--qr", "--format", "pdf"),
    )
    for folder in ("one", "two"):
        for words in jobs:
            assert run(*words, "--out", tmp_path / folder, "--kit", placed).code == 0
    assert files(tmp_path / "one") == files(tmp_path / "two")
    env = {**os.environ, "PYTHONHASHSEED": "1"}
    done = shell(*lid, "--out", tmp_path / "three", "--kit", placed, env=env, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    there = files(tmp_path / "three")
    assert sorted(there) == ["lid.html", "lid.md", "lid.pdf"]
    assert files(tmp_path / "one") == files(tmp_path / "one") | there
    again = run("draw", "foam", "--out", tmp_path / "one", "--kit", placed)
    assert "foam-tray.svg, unchanged" in again.out


def test_paper_and_the_bar_of_100_mm(run: Run, placed: Path, tmp_path: Path) -> None:
    """Every page of every PDF has the size of its paper and a line of 283.46 points."""
    for paper, size in (("a4", (210, 297)), ("letter", (215.9, 279.4))):
        out = tmp_path / paper
        for what in ("map", "foam"):
            ran = run("draw", what, "--format", "pdf", "--paper", paper, "--out", out,
                      "--kit", placed)  # fmt: skip
            assert ran.code == 0, ran.err
        for data in files(out).values():
            assert b"/PrintScaling /None" in data
            for leaf in pdf_pages(data):
                assert sorted((leaf.width, leaf.height)) == pytest.approx(size, abs=0.05)
                longs = [(p.points[1][0] - p.points[0][0]) * 72 / 25.4
                         for p in leaf.paths if len(p.points) == 2]  # fmt: skip
                assert [n for n in longs if abs(n - 283.46) < 0.01]
                assert any("100 %" in said.text for said in leaf.texts)


# ---- refused


def test_nothing_is_ever_written_over_what_is_not_the_same_sheet(
    run: Run, placed: Path, tmp_path: Path
) -> None:
    """A file of somebody's, or the sheet of another kit: nothing is written at all."""
    out = tmp_path / "out"
    out.mkdir()
    mine = out / "foam-tray.svg"
    mine.write_text("my own drawing")
    ran = run("draw", "foam", "--out", out, "--kit", placed)
    assert ran.code == 1
    assert "foam-tray.svg is there and is no sheet with this inlay" in ran.err
    assert mine.read_text() == "my own drawing"
    mine.unlink()
    for kind in ("svg", "pdf"):
        assert run("draw", "map", "--out", out, "--kit", placed, "--format", kind).code == 0
    before = files(out)
    other = placed.parent / "other"
    placed.rename(other)
    (other / "kit.toml").write_text('name = "Another kit"\n')
    for kind in ("svg", "pdf"):
        ran = run("draw", "map", "--out", out, "--kit", other, "--format", kind)
        assert ran.code == 1
        assert "move it or name another folder" in ran.err
    assert files(out) == before
    (other / "kit.toml").write_text('name = "Test kit"\n[settings]\nclearance = "3 mm"\n')
    ran = run("draw", "foam", "--clearance", "1.5 mm", "--out", out, "--kit", other)
    assert ran.code == 0, ran.err
    ran = run("draw", "foam", "--out", out, "--kit", other)
    assert "foam-tray.svg, replaced" in ran.out


def test_foam_is_refused_with_every_reason(run: Run, placed: Path, tmp_path: Path) -> None:
    """Too near, without a place, in no laid compartment, nothing there: all named, none drawn."""
    out = tmp_path / "out"
    ran = run("draw", "foam", "--clearance", "3 mm", "--out", out, "--kit", placed)
    assert ran.code == 1
    assert "Chain tool and Hex key 4 mm lie 5 mm apart in Front tray" in ran.err
    # Room that just meets leaves no foam either.
    words = ("draw", "foam", "--out", out, "--kit", placed, "--clearance")
    assert run(*words, "2.5 mm").code == 1
    assert not out.exists()
    assert run(*words[:3], tmp_path / "ok", *words[4:], "2.4 mm").code == 0
    ran = run("draw", "foam", "well", "loops", "--out", out, "--kit", placed)
    assert ran.code == 1
    assert ran.err.count("do not lie flat") == 2
    lies(placed, Spot("CT", "tray"), Spot("K4", "tray", 0, 470))
    ran = run("draw", "foam", "tray", "--out", out, "--kit", placed)
    assert ran.code == 1
    assert "nobody has said where in Front tray these lie: Chain tool" in ran.err
    lies(placed)
    for words in (("foam", "tray"), ("foam",)):
        ran = run("draw", *words, "--out", out, "--kit", placed)
        assert ran.code == 1
        assert "nothing lies in" in ran.err
    assert not out.exists()


def test_what_makes_no_sense_is_typed_wrong(run: Run, placed: Path, tmp_path: Path) -> None:
    """Options of another drawing, a compartment for the lid, a length that is none."""
    for words in (
        ("draw", "map", "--finger", "20 mm"),
        ("draw", "foam", "--ask", "Mika"),
        ("draw", "lid", "tray"),
        ("draw", "picture"),
        ("labels", "tools", "--first", "0"),
    ):
        assert run(*words, "--out", tmp_path / "no", "--kit", placed).code == 2, words
    ran = run("draw", "foam", "--finger", "20", "--out", tmp_path / "no", "--kit", placed)
    assert ran.code == 1
    assert "no unit" in ran.err
    assert not (tmp_path / "no").exists()


def test_without_the_libraries_svg_still_comes_and_the_rest_says_what_to_do(
    run: Run, placed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The extra is named before anything is written."""
    monkeypatch.setattr(drawn_files, "can_write", lambda: False)
    monkeypatch.setattr(labels, "can_make", lambda: False)
    for words in (("draw", "map", "--format", "pdf"), ("labels", "tools", "--qr")):
        ran = run(*words, "--out", tmp_path / "no", "--kit", placed)
        assert ran.code == 1
        assert 'extra "print"' in ran.err
    assert not (tmp_path / "no").exists()
    assert run("labels", "tools", "--out", tmp_path / "yes", "--kit", placed).code == 0
    assert run("draw", "map", "--out", tmp_path / "yes", "--kit", placed).code == 0


# ---- labels


def test_labels_by_name_and_of_the_mechanics_own_grid(
    run: Run, placed: Path, tmp_path: Path
) -> None:
    """Two labels from the third place of the sheet on, where the ruler says it is."""
    (placed / "labels.toml").write_text(
        '[[grid]]\nid = "van"\npaper = "letter"\ncolumns = 2\nrows = 5\nleft = "12 mm"\n'
        'top = "15 mm"\nacross = "100 mm"\ndown = "50 mm"\nwidth = "90 mm"\nheight = "40 mm"\n'
    )
    assert run("check", "--kit", placed).code == 0
    ran = run("labels", "tools", "hex key 4", "chain", "--grid", "van", "--first", "3", "--edges",
              "--line", "Squad van", "--out", tmp_path, "--kit", placed, "--json")  # fmt: skip
    assert ran.code == 0, ran.err
    assert ran.data()["labels"] == [
        {"name": "Hex key 4 mm", "id": "K4", "code": "K4/1"},
        {"name": "Chain tool", "id": "CT", "code": "CT/1"},
    ]
    text = (tmp_path / "labels-tools.svg").read_text("utf-8")
    assert svg_texts(text) == ["Hex key 4 mm", "K4", "Squad van", "Chain tool", "CT", "Squad van"]
    assert [p.box for p in svg_paths(text)] == [(12, 65, 102, 105), (112, 65, 202, 105)]
    ran = run("labels", "compartments", "--grid", "2X4", "--out", tmp_path, "--kit", placed)
    assert ran.code == 0, ran.err
    assert "3 labels on 1 sheet" in ran.out
    ran = run("find", "IN:WELL", "--kit", placed)
    assert "Hex key 5 mm" in ran.out
    assert "Chain tool" not in ran.out
    ran = run("find", "IN:LOOPS", "--kit", placed)
    assert (ran.code, "nothing lies in Elastic loops" in ran.err) == (1, True)
    assert run("pick", "K4/1", "--kit", placed).code == 0
    assert open_kit(placed).facts[-1].what.tool == "K4"
    assert "Well [well]" in run("map", "IN:WELL", "--kit", placed).out


def test_every_fault_of_labels_toml_is_told_at_once(run: Run, placed: Path, tmp_path: Path) -> None:
    """By check and by labels: over the edge, overlapping, without a key, twice the same id."""
    grid = 'columns = 3\nrows = 2\nwidth = "80 mm"\nheight = "20 mm"\n'
    (placed / "labels.toml").write_text(
        f'[[grid]]\nid = "a"\n{grid}[[grid]]\nid = "a"\ncolumns = 2\nrows = 2\n'
        'width = "50 mm"\nheight = "50 mm"\ndown = "40 mm"\n[[grid]]\nid = "c"\npaper = "a3"\n'
    )
    for words in (("check",), ("labels", "tools", "--out", tmp_path / "no")):
        ran = run(*words, "--kit", placed)
        assert ran.code == 3
        for part in ("30 mm over the right edge", "down is less than height", "already taken",
                     "has no columns", '"a3"'):  # fmt: skip
            assert part in ran.err, part
    (placed / "labels.toml").unlink()
    ran = run("labels", "tools", "--grid", "9x9", "--out", tmp_path / "no", "--kit", placed)
    assert ran.code == 1
    assert "there are 2x4, 2x7, 3x7, 3x8, 4x10, 5x13" in ran.err
    assert not (tmp_path / "no").exists()
