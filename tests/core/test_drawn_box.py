"""The box drawn to scale: what falls onto which cells, counted by hand and cell by cell."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import combinations
from pathlib import Path

import pytest
from clikit import write_kit_files
from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.desk.box_words import compartment_lines, layout_words, steps_to, thing_lines
from toolbox.desk.drawn_box import (
    HIGH,
    Area,
    Cells,
    Filling,
    Sheet,
    filling,
    layers,
    moved,
    on_cells,
    shades,
)
from toolbox.desk.folder import open_kit
from toolbox.desk.plans import rank_tools, reach_of
from toolbox.files.forms import new_kit
from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Known, Mass, Size, Tool
from toolbox.usage.engine import Usage

Ground = set[tuple[int, int]]
DAY = date(2026, 11, 20)
NOTHING = Usage(0, 0.0, None, None, (), (), ())


def ground(cells: Cells) -> Ground:
    """Every cell of a rectangle of cells."""
    return {
        (x, y)
        for x in range(cells.column, cells.column + cells.columns)
        for y in range(cells.line, cells.line + cells.lines)
    }


@pytest.mark.parametrize(
    ("measure", "unit", "cells"),
    # By hand: 3700 / 100 = 37; 4100 / 200 = 20.5, half a cell upwards; 49 / 100 and 50 / 100.
    [(3700, 100, 37), (4100, 200, 21), (0, 7, 0), (49, 100, 0), (50, 100, 1), (149, 100, 1)],
)
def test_measures_fall_onto_the_nearest_cell(measure: int, unit: int, cells: int) -> None:
    """To the nearest whole cell, half a cell upwards."""
    assert on_cells(measure, unit) == cells


def test_a_thing_on_the_cells_counted_by_hand() -> None:
    """370 x 410 mm at 10 mm a column and 20 mm a line; the front is the last line.

    A key 135 x 26 mm in the front left corner reaches 13.5 columns, so 14, and 1.3 lines, so
    one. The same turned, 200 mm to the right and 100 mm back, takes columns 20 to 22.6 and
    lines 5 to 11.75 from the front.
    """
    sheet = Sheet("c", "", 3700, 4100, ())
    assert sheet.size_at(100) == (37, 21)
    assert sheet.cells_of(Area(0, 0, 1350, 260), 100) == Cells(0, 20, 14, 1)
    assert sheet.cells_of(Area(2000, 1000, 260, 1350), 100) == Cells(20, 9, 3, 7)


def test_the_finest_scale_that_fits() -> None:
    """One tenth of a millimetre a column less and it would not fit, for many sizes."""
    for length, width in ((3700, 4100), (6600, 480), (1, 1), (50, 20000), (6401, 2402)):
        for columns, lines in ((76, 22), (25, 14), (1, 1), (118, 29), (7, 40)):
            sheet = Sheet("", "", length, width, ())
            unit = sheet.unit_within(columns, lines)
            across, down = sheet.size_at(unit)
            assert across <= columns
            assert down <= lines
            if unit > 1:
                across, down = sheet.size_at(unit - 1)
                assert across > columns or down > lines


@st.composite
def packed(draw: st.DrawFn) -> tuple[Sheet, list[Area]]:
    """A sheet cut into pieces that do not overlap, some of them shrunk."""
    pieces = [Area(0, 0, draw(st.integers(100, 8000)), draw(st.integers(100, 8000)))]
    sheet = Sheet("", "", pieces[0].length, pieces[0].width, ())
    for _ in range(draw(st.integers(0, 12))):
        whole = pieces.pop(draw(st.integers(0, len(pieces) - 1)))
        x, y, length, width = whole
        if draw(st.booleans()):
            at = draw(st.integers(0, length))
            pieces += [Area(x, y, at, width), Area(x + at, y, length - at, width)]
        else:
            at = draw(st.integers(0, width))
            pieces += [Area(x, y, length, at), Area(x, y + at, length, width - at)]
    return sheet, [p for p in pieces if p.length and p.width]


@given(packed(), st.integers(10, 700))
@settings(deadline=None, max_examples=150)
def test_true_to_scale_inside_and_apart(made: tuple[Sheet, list[Area]], unit: int) -> None:
    """Within one cell of its true size, inside the sheet, and apart from its neighbours."""
    sheet, areas = made
    columns, lines = sheet.size_at(unit)
    drawn = [sheet.cells_of(area, unit) for area in areas]
    for area, cells in zip(areas, drawn, strict=True):
        assert abs(cells.columns * unit - area.length) <= unit
        assert abs(cells.lines * HIGH * unit - area.width) <= HIGH * unit
        assert 0 <= cells.column < cells.column + cells.columns <= columns
        assert 0 <= cells.line < cells.line + cells.lines <= lines
    large = [
        cells
        for area, cells in zip(areas, drawn, strict=True)
        if area.length >= unit and area.width >= HIGH * unit
    ]
    for one, other in combinations(large, 2):
        assert not ground(one) & ground(other)


def _compartment(
    number: int, at: tuple[int, int, int], *openings: str, name: str = ""
) -> Compartment:
    size = Size(1000, 1000, 300)
    named = name or f"place {number}"
    return Compartment(f"c{number}", named, Inside.LAID, size, Position(*at), openings)


def _kit(compartments: tuple[Compartment, ...], *tools: Tool) -> Kit:
    ways = {"lid": Way.LID, "tray": Way.TRAY, "drawer": Way.DRAWER}
    openings = tuple(Opening(id, f"the {id}", way, 1000) for id, way in ways.items())
    box = Box("box", Size(3000, 2000, 1500), 1000, 7000, openings, compartments)
    return Kit("kit", box, tools)


def _tool(name: str, length: int, width: int) -> Tool:
    return Tool(name, f"Tool {name}", Mass(100, Known.WEIGHED), Size(length, width, 100))


def test_layers_are_what_one_sees_at_once() -> None:
    """A tray over a well; a drawer, in which one compartment stands over another."""
    tray = [_compartment(n, (n * 1000, 0, 900), "lid") for n in (0, 1)]
    well = [_compartment(n, ((n - 2) * 1000, 0, 500), "lid", "tray") for n in (2, 3)]
    drawer = [_compartment(n, ((n - 4) * 1000, 0, 0), "drawer") for n in (4, 5)]
    upper = _compartment(6, (500, 500, 300), "drawer")
    kit = _kit((*tray, *well, *drawer, upper))
    found = [[c.id for c in layer] for layer in layers(kit.box)]
    assert found == [["c0", "c1"], ["c2", "c3"], ["c4", "c5"], ["c6"]]


@pytest.mark.parametrize(
    ("form", "titles"),
    [
        # Read off the box forms: what their comments and names call the parts of the box.
        ("drawer-chest", ["Top well", *(f"Drawer {n}" for n in range(1, 6))]),
        (
            "pallet-case",
            ["Lid foam", "First pallet", "Second pallet", "Third pallet", "Base"],
        ),
    ],
)
def test_layers_of_the_box_forms(tmp_path: Path, form: str, titles: list[str]) -> None:
    """Layers go by what the names of their compartments begin with."""
    new_kit(tmp_path / "kit", form, "Kit")
    folder = open_kit(tmp_path / "kit")
    whole = filling(folder.kit, Layout("present", ()), None, None).whole()
    assert [sheet.title for sheet in whole.sheets] == titles
    compartments = [shape.key for shape in whole.shapes()]
    assert sorted(compartments) == sorted(c.id for c in folder.kit.box.compartments)
    for sheet in whole.sheets:
        for one, other in combinations(sheet.shapes, 2):
            assert one.area is not None
            assert other.area is not None
            assert not one.area.overlaps(other.area)


def test_names_without_a_common_beginning_go_by_the_opening() -> None:
    """A layer of differently named compartments is called by the last opening on the way."""
    one = _compartment(0, (0, 0, 0), "drawer", name="left half")
    two = _compartment(1, (1000, 0, 0), "drawer", name="spare bay")
    (sheet,) = filling(_kit((one, two)), Layout("present", ()), None, None).whole().sheets
    assert sheet.title == "the drawer"
    assert [shape.short for shape in sheet.shapes] == ["left half", "spare bay"]
    assert (sheet.length, sheet.width) == (2000, 1000)


def _filled(kind: Inside, *spots: Spot) -> Filling:
    place = replace(_compartment(0, (500, 200, 0)), kind=kind)
    kit = _kit((place,), _tool("A", 600, 200), _tool("B", 300, 100))
    return filling(kit, Layout("present", spots), None, None)


def test_where_things_lie_in_each_kind_of_compartment() -> None:
    """Laid as they lie, turned or not; in a row across it, side by side; loose nowhere."""
    laid = _filled(Inside.LAID, Spot("A", "c0", 10, 20), Spot("B", "c0", 700, 20, True))
    assert [s.area for s in laid.one("c0").shapes()] == [
        Area(10, 20, 600, 200),
        Area(700, 20, 100, 300),
    ]
    row = _filled(Inside.ROW, Spot("A", "c0", 0), Spot("B", "c0", 240))
    assert [s.area for s in row.one("c0").shapes()] == [
        Area(0, 0, 200, 600),
        Area(240, 0, 100, 300),
    ]
    loose = _filled(Inside.LOOSE, Spot("A", "c0"), Spot("B", "c0"))
    assert [s.area for s in loose.one("c0").shapes()] == [None, None]
    assert not loose.one("c0").sheets[0].to_scale


def test_a_thing_without_a_spot_is_listed_after_the_others() -> None:
    """Where it was only said in which compartment it is, no corner is made up."""
    half = _filled(Inside.LAID, Spot("A", "c0"), Spot("B", "c0", 0, 0))
    assert [(s.key, s.area) for s in half.one("c0").shapes()] == [
        ("B", Area(0, 0, 300, 100)),
        ("A", None),
    ]
    assert half.home("A") == "c0"
    assert half.home("C") is None


def test_things_in_the_whole_box_lie_where_they_lie_in_their_compartment() -> None:
    """The same corner, counted from the sheet's instead."""
    near, far = _compartment(0, (500, 200, 0)), _compartment(1, (1600, 500, 0))
    kit = _kit((near, far), _tool("A", 600, 200))
    whole = filling(kit, Layout("present", (Spot("A", "c1", 10, 20),)), None, None).whole()
    (shape,) = [s for s in whole.shapes() if s.key == "c1"]
    assert shape.area == Area(1100, 300, 1000, 1000)
    assert shape.inside is not None
    assert [s.area for s in shape.inside] == [Area(1110, 320, 600, 200)]


@pytest.fixture
def kit(tmp_path: Path) -> Kit:
    """The small kit of the command tests."""
    return open_kit(write_kit_files(tmp_path / "kit")).kit


def test_shading_follows_class_and_log(tmp_path: Path) -> None:
    """Class A, B and C are three steps; class C that was never logged is the lowest."""
    folder = open_kit(write_kit_files(tmp_path / "kit"))
    usage = rank_tools(folder, DAY)
    steps = shades(usage)
    assert shades(None) == {}
    for use in usage.tools:
        expected = {"A": 3, "B": 2, "C": 1 if use.times else 0}[use.grade]
        assert steps[use.item] == expected
    assert {use.grade for use in usage.tools} >= {"A", "C"}


def test_what_moves(kit: Kit) -> None:
    """In another compartment, or nowhere yet, in the other layout; never without another one."""
    now = Layout("present", (Spot("CT", "tray"), Spot("K4", "well"), Spot("K5", "well")))
    then = Layout("plan", (Spot("CT", "tray"), Spot("K4", "loops")))
    assert moved(now, None) == frozenset()
    assert moved(now, then) == {"K4", "K5"}
    assert moved(then, now) == {"K4"}
    shape = next(s for s in filling(kit, now, then, None).whole().shapes() if s.key == "well")
    assert shape.moved
    assert not any(s.moved for s in filling(kit, now, None, None).whole().shapes())


def test_the_way_in_small_steps(kit: Kit) -> None:
    """Openings are numbered in the order they are opened."""
    assert steps_to(kit, kit.compartment("well")) == "1 open the lid"
    assert steps_to(kit, kit.compartment("tray")) == "nothing to open"
    deep = replace(kit.compartment("well"), openings=("lid", "lid"))
    assert steps_to(kit, deep) == "1 open the lid, 2 open the lid"


def test_a_thing_in_words(kit: Kit) -> None:
    """Its use, the way and seconds of the reach engine, where the other layout has it."""
    now = Layout("present", (Spot("CT", "tray", 0, 0), Spot("K4", "well"), Spot("K5", "well")))
    then = Layout("plan", (Spot("CT", "tray", 100, 0), Spot("K4", "loops", 0)))
    here, there = filling(kit, now, then, None), filling(kit, then, now, None)
    times = reach_of(kit)

    def said(copy: str, planned: bool = False) -> tuple[str, ...]:
        one, other = (there, here) if planned else (here, there)
        return thing_lines(one, other, planned, NOTHING, times, copy)

    assert said("K4") == (
        "Hex key 4 mm: hardly used",
        f"1 open the lid, in Well: {times.in_hand('K4', 'well') / 1000:.1f} s to the hand",
        "Moves: planned in Elastic loops.",
    )
    assert said("K4", planned=True)[2] == "Moves: today it lies in Well."
    assert said("K5")[2] == "The plan has no place for it."
    assert "not in this spot" in said("CT")[2]
    assert thing_lines(here, None, False, NOTHING, times, "CT")[2] == ""
    assert thing_lines(here, here, False, NOTHING, times, "CT")[2] == (
        "The other layout has it here too."
    )
    with pytest.raises(KeyError):
        said("K5", planned=True)


def test_a_compartment_in_words(tmp_path: Path) -> None:
    """What it holds, its size, the way, what is used most in it, who comes and goes."""
    folder = open_kit(write_kit_files(tmp_path / "kit"))
    kit = folder.kit
    now = Layout("present", (Spot("CT", "tray", 0, 0), Spot("K4", "well"), Spot("K5", "well")))
    then = Layout("plan", (Spot("CT", "well"), Spot("K4", "loops", 0), Spot("K5", "well")))
    usage = rank_tools(folder, DAY)
    here, there = filling(kit, now, then, usage), filling(kit, then, now, usage)
    size, way, most, changes = compartment_lines(here, there, False, usage, "well")
    # 25 g and 42 g; 300 x 200 x 100 mm inside; load 5 kg.
    assert size == "Well: 2 things, 67 g of 5.00 kg; 300 x 200 x 100 mm, loose, in no order"
    assert way == "1 open the lid"
    assert most == "Used most: Hex key 5 mm"
    assert changes == "The plan takes 1 thing out of it and puts 1 in."
    for one, other, planned in ((here, there, False), (there, here, True)):
        assert compartment_lines(one, other, planned, usage, "well")[-1] == changes
        assert compartment_lines(one, other, planned, usage, "tray")[-1] == (
            "The plan takes 1 thing out of it and puts 0 in."
        )
    assert compartment_lines(here, here, False, usage, "well")[3] == (
        "The plan leaves these things here."
    )
    assert layout_words(here, there) == "3 things, * 2 to move"
    assert layout_words(here, there, "tray") == "Front tray: 1 thing, * 1 to move"
    assert layout_words(filling(kit, Layout("", ()), None, None), None) == (
        "nobody has said what lies where"
    )
    one = filling(kit, Layout("", (Spot("CT", "tray"),)), None, None)
    assert layout_words(one, None) == "1 thing, 2 without a place"
