"""Foam inlays over random small boxes: every outline lies where the plan has its thing.

Drawn from kit and layout, read back out of the files by ``drawn``; what must come out is
worked out here from the plan's own figures. On paper the strip shared, the margins and the
foot are those that README tells or that stand here: 10 mm, 10 mm, 15 mm.
"""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from drawn import XY, Leaf, Path, along, pdf_pages, svg_paths, svg_texts
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from smallkit import small_kit

from toolbox.desk.draw_box import Foam, foam_sheets, map_sheets
from toolbox.desk.errors import DeskError
from toolbox.drawings.pdf import as_pdf
from toolbox.drawings.svg import as_svg
from toolbox.kit.box import Compartment, Inside, Position
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.paper import Paper
from toolbox.kit.things import Known, Mass, Size, Tool

EDGE = 3.0  # mm between the drawing's edge and the compartment
MARGIN = 10.0
SHARED = 10.0
NEAR = 0.1  # mm: nothing may lie further from where it belongs

Rect = tuple[float, float, float, float]  # least x, y and greatest x, y in mm


@st.composite
def boxes(draw: st.DrawFn, least_gap: int = 21, stray: int = 0) -> tuple[Kit, Layout]:
    """One compartment of a box, parted into cells with a thing somewhere in most of them.

    All in tenths of a millimetre; between two things at least ``least_gap``. The last thing
    may lie up to ``stray`` further to the right than its cell allows.
    """
    columns = draw(st.lists(st.integers(150, 1200), min_size=1, max_size=4))
    rows = draw(st.lists(st.integers(150, 900), min_size=1, max_size=3))
    gap = draw(st.integers(least_gap, 250))
    tools, spots = [], []
    for n, left in enumerate([0, *_sums(columns)[:-1]]):
        for m, front in enumerate([0, *_sums(rows)[:-1]]):
            # the gap lies to the right and behind; the last cells go to the walls
            x, long = _within(draw, columns[n] - (gap if n < len(columns) - 1 else 0))
            y, deep = _within(draw, rows[m] - (gap if m < len(rows) - 1 else 0))
            if draw(st.integers(0, 3)) == 0:
                continue
            turned = draw(st.booleans())
            size = Size(deep, long, 100) if turned else Size(long, deep, 100)
            tools.append(Tool(f"T{n}{m}", f"Thing {n}{m}", Mass(9, Known.GUESS), size))
            spots.append(Spot(f"T{n}{m}", "flat", left + x, front + y, turned))
    assume(tools)
    spots[-1] = replace(spots[-1], x=spots[-1].x + draw(st.integers(0, stray)))
    kit = small_kit()
    inside = Size(sum(columns), sum(rows), 500)
    flat = Compartment("flat", "Flat", Inside.LAID, inside, Position(130, 70, 0))
    box = replace(kit.box, compartments=(flat,))
    made = replace(kit, box=box, tools=tuple(tools), jobs=(), supplies=(), readings=())
    return made, Layout("plan", tuple(spots))


def _within(draw: st.DrawFn, room: int) -> tuple[int, int]:
    """Where a thing begins in its cell and how long it is: all of it, or a part."""
    if draw(st.booleans()):
        return 0, max(20, room)
    size = draw(st.integers(20, max(20, room)))
    return draw(st.integers(0, max(0, room - size))), size


def _sums(values: list[int]) -> list[int]:
    return [sum(values[: n + 1]) for n in range(len(values))]


def expected(kit: Kit, layout: Layout, room: float) -> dict[str, Rect]:
    """Where each outline belongs on the drawing: with room around it, inside the compartment."""
    (flat,) = kit.box.compartments
    length, width = flat.inside.length / 10, flat.inside.width / 10
    found = {}
    for spot in layout.spots:
        size = kit.tool(spot.item).size
        long, deep = (size.width, size.length) if spot.turned else (size.length, size.width)
        left, front = spot.x / 10, spot.y / 10
        x0, x1 = max(0.0, left - room), min(length, left + long / 10 + room)
        y0, y1 = max(0.0, front - room), min(width, front + deep / 10 + room)
        # the front edge is below: what is y deep lies that far above the lower edge
        found[spot.item] = (EDGE + x0, EDGE + width - y1, EDGE + x1, EDGE + width - y0)
    return found


def foam_svg(kit: Kit, layout: Layout, how: Foam) -> str:
    """The only inlay of the box as SVG."""
    (sheet,) = foam_sheets(kit, layout, (), how, None)
    (page,) = sheet.pages
    return as_svg(page)


def corners(rect: Rect) -> list[XY]:
    """The four corners."""
    x0, y0, x1, y1 = rect
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def near(a: XY, b: XY) -> bool:
    """Whether two points are the same within what is allowed."""
    return abs(a[0] - b[0]) <= NEAR and abs(a[1] - b[1]) <= NEAR


def inside(point: XY, rect: Rect, by: float = 0.0) -> bool:
    """Whether a point lies in a rectangle by more than so much."""
    x0, y0, x1, y1 = rect
    return x0 + by < point[0] < x1 - by and y0 + by < point[1] < y1 - by


def moved(path: Path, dx: float, dy: float) -> Path:
    """A path so much further right and down."""
    points = tuple((x + dx, y + dy) for x, y in path.points)
    curves = tuple(tuple((x + dx, y + dy) for x, y in curve) for curve in path.curves)
    return path._replace(points=points, curves=curves)


def is_outline(path: Path, rect: Rect) -> bool:
    """Whether a path has these corners, and is this rectangle but for a half circle."""
    straight = [p for p in path.points if any(near(p, c) for c in corners(rect))]
    return path.closed and all(any(near(p, c) for p in straight) for c in corners(rect))


@given(boxes())
@settings(max_examples=25, deadline=None)
def test_outlines_lie_where_the_plan_has_the_things(made: tuple[Kit, Layout]) -> None:
    """In SVG, each by its code; corners and finger places as they must be."""
    kit, layout = made
    how = Foam(clearance=10, finger=160)
    text = foam_svg(kit, layout, how)
    paths = {p.code: moved(p, -MARGIN, -MARGIN) for p in svg_paths(text) if p.code}
    wanted = expected(kit, layout, 1.0)
    (flat,) = kit.box.compartments
    floor = (EDGE, EDGE, EDGE + flat.inside.length / 10, EDGE + flat.inside.width / 10)
    assert paths.keys() == wanted.keys() | {"flat"}
    assert is_outline(paths["flat"], floor)
    said = " ".join(svg_texts(text))
    assert all(tool.name in said for tool in kit.tools)
    arcs: dict[str, list[XY]] = {}
    for code, rect in wanted.items():
        assert is_outline(paths[code], rect)
        arcs[code] = [p for curve in paths[code].curves for p in along(curve)]
        check_finger(paths[code], rect, 8.0)
    for code, arc in arcs.items():
        for point in arc:
            assert inside(point, floor, -NEAR)
            for other, rect in wanted.items():
                assert other == code or not inside(point, rect, -0.5), "over a neighbour"
    for code, other in ((a, b) for a in arcs for b in arcs if a < b):
        apart = [abs(x - u) + abs(y - v) for x, y in arcs[code] for u, v in arcs[other]]
        assert not apart or min(apart) > 0.5, "two half circles meet"
    without = next((t for t in svg_texts(text) if t.startswith("No room beside")), "")
    for code, arc in arcs.items():
        assert bool(arc) or kit.tool(code).name.split()[0] in without


def check_finger(path: Path, rect: Rect, radius: float) -> None:
    """No curve at all, or a half circle of this radius that stands on a long side."""
    if not path.curves:
        assert len(path.points) == 4
        return
    first, last = path.curves[0][0], path.curves[-1][-1]
    centre = ((first[0] + last[0]) / 2, (first[1] + last[1]) / 2)
    x0, y0, x1, y1 = rect
    for curve in path.curves:
        for x, y in along(curve):
            # a cubic comes within 0.03 % of a circle: [from memory] of the usual constant
            assert abs(((x - centre[0]) ** 2 + (y - centre[1]) ** 2) ** 0.5 - radius) < 0.01
            assert not inside((x, y), rect, 0.01)
    long_side = (first[1] == last[1]) if x1 - x0 > y1 - y0 else (first[0] == last[0])
    assert long_side or abs((x1 - x0) - (y1 - y0)) < NEAR
    assert min(abs(centre[0] - x0), abs(centre[0] - x1), abs(centre[1] - y0),
               abs(centre[1] - y1)) < NEAR  # fmt: skip


@given(boxes())
@settings(max_examples=25, deadline=None)
def test_a_finger_has_no_place_only_where_every_place_is_taken(made: tuple[Kit, Layout]) -> None:
    """Where none is drawn, no half circle along the long sides is clear of all else by 1.5 mm."""
    kit, layout = made
    radius, spare = 8.0, 1.5
    paths = {p.code: moved(p, -MARGIN, -MARGIN)
             for p in svg_paths(foam_svg(kit, layout, Foam(10, 160))) if p.code}  # fmt: skip
    wanted = expected(kit, layout, 1.0)
    (flat,) = kit.box.compartments
    floor = (EDGE, EDGE, EDGE + flat.inside.length / 10, EDGE + flat.inside.width / 10)
    taken = [moved(p, 0, 0).box for p in paths.values() if p.curves]
    for code, rect in wanted.items():
        if paths[code].curves:
            continue
        others = [r for other, r in wanted.items() if other != code] + taken
        for x, y, nx, ny in places(rect, radius + 0.6):
            around = [
                (x + a * ny * (radius + spare) / 4 + b * nx * (radius + spare) / 4,
                 y + a * nx * (radius + spare) / 4 + b * ny * (radius + spare) / 4)
                for a in range(-4, 5) for b in range(5)
            ]  # fmt: skip
            free = all(inside(p, floor) for p in around) and not any(
                x0 <= max(p[0] for p in around) and min(p[0] for p in around) <= x1
                and y0 <= max(p[1] for p in around) and min(p[1] for p in around) <= y1
                for x0, y0, x1, y1 in others
            )  # fmt: skip
            assert not free, f"{code} could have one at {x}, {y}"


def test_a_finger_that_is_in_the_way_in_the_middle_goes_to_the_side() -> None:
    """A bar with something before and behind its middle: the nearest free place, worked out.

    11 mm to the blocker's cut-out's edge, 1 mm of foam, 8 mm of radius: 20 mm from the middle.
    """
    kit = small_kit()
    flat = Compartment("flat", "Flat", Inside.LAID, Size(2000, 800, 500), Position(0, 0, 0))
    sizes = {"bar": Size(1500, 200, 100), "a": Size(200, 200, 100), "b": Size(200, 200, 100)}
    tools = tuple(Tool(id, id, Mass(9, Known.GUESS), size) for id, size in sizes.items())
    box = replace(kit.box, compartments=(flat,))
    made = replace(kit, box=box, tools=tools, jobs=(), supplies=(), readings=())
    spots = (Spot("bar", "flat", 250, 300), Spot("a", "flat", 900, 70), Spot("b", "flat", 900, 530))
    text = foam_svg(made, Layout("plan", spots), Foam(10, 160))
    (bar,) = [p for p in svg_paths(text) if p.code == "bar"]
    first, last = bar.curves[0][0], bar.curves[-1][-1]
    middle = MARGIN + EDGE + 100
    assert abs((first[0] + last[0]) / 2 - middle) == pytest.approx(20)
    # on the front side, 1 mm of room before the bar's edge at 30 mm from the front
    assert first[1] == last[1] == pytest.approx(MARGIN + EDGE + 80 - 29)


def places(rect: Rect, reach: float) -> list[tuple[float, float, int, int]]:
    """Centres on the long sides with the way out, 2 mm apart, so far from the corners."""
    x0, y0, x1, y1 = rect
    found = []
    if x1 - x0 >= y1 - y0:
        for n in range(int((x1 - x0 - 2 * reach) / 2)):
            found += [(x0 + reach + 2 * n, y1, 0, 1), (x0 + reach + 2 * n, y0, 0, -1)]
    else:
        for n in range(int((y1 - y0 - 2 * reach) / 2)):
            found += [(x1, y0 + reach + 2 * n, 1, 0), (x0, y0 + reach + 2 * n, -1, 0)]
    return found


@given(boxes(), st.sampled_from(list(Paper)))
@settings(max_examples=12, deadline=None)
def test_on_paper_every_sheet_has_its_piece_its_bar_and_its_name(
    made: tuple[Kit, Layout], paper: Paper
) -> None:
    """Out of the content streams: outlines, the bar of 100 mm, which sheet it is, the strips."""
    kit, layout = made
    (sheet,) = foam_sheets(kit, layout, (), Foam(clearance=10, finger=0), paper)
    data = as_pdf(sheet.pages)
    assert data == as_pdf(sheet.pages)
    assert b"/PrintScaling /None" in data
    wanted = expected(kit, layout, 1.0)
    seen: dict[tuple[int, int], Rect] = {}
    leaves = pdf_pages(data)
    for leaf in leaves:
        bars = [p for p in leaf.paths if abs(width_in_points(p) - 283.46) < 0.01]
        assert len(bars) == 1
        assert any(said.text.startswith("Print at 100 %") for said in leaf.texts)
        row, rows, column, columns = which(leaf)
        assert rows * columns == len(leaves)
        (window,) = leaf.windows
        dx = column * (window[2] - window[0] - SHARED) - MARGIN
        dy = row * (window[3] - window[1] - SHARED) - MARGIN
        seen[row, column] = tuple(v + d for v, d in zip(window, (dx, dy, dx, dy), strict=True))
        for rect in wanted.values():
            assert any(is_outline(moved(p, dx, dy), rect) for p in leaf.paths)
    (flat,) = kit.box.compartments
    whole = [(row, column) for row in range(rows) for column in range(columns)]
    assert sorted(seen) == whole, "each sheet once"
    assert seen[0, 0][0] < 0.01
    assert seen[0, 0][1] < 0.01
    assert seen[whole[-1]][2] > 2 * EDGE + flat.inside.length / 10 - 0.01
    assert seen[whole[-1]][3] > 2 * EDGE + flat.inside.width / 10 - 0.01
    for one, other in pairwise([seen[0, c] for c in range(columns)]):
        assert one[2] - other[0] == pytest.approx(SHARED, abs=0.01)
    for one, other in pairwise([seen[r, 0] for r in range(rows)]):
        assert one[3] - other[1] == pytest.approx(SHARED, abs=0.01)


def width_in_points(path: Path) -> float:
    """How long a level line is, in points; 0 for anything else."""
    (x0, y0), *more = path.points
    if len(more) != 1 or abs(more[0][1] - y0) > 1e-6:
        return 0.0
    return abs(more[0][0] - x0) * 72 / 25.4


def which(leaf: Leaf) -> tuple[int, int, int, int]:
    """Row, rows, column, columns as the page says them, counted from 0."""
    said = [re.fullmatch(r"row (\d+) of (\d+), column (\d+) of (\d+)", t.text) for t in leaf.texts]
    (found,) = [match for match in said if match]
    row, rows, column, columns = map(int, found.groups())
    return row - 1, rows, column - 1, columns


@given(boxes(least_gap=-40, stray=60), st.integers(0, 30))
@settings(max_examples=60, deadline=None)
def test_what_would_have_no_foam_between_is_refused_by_name(
    made: tuple[Kit, Layout], clearance: int
) -> None:
    """By plain sums over all pairs: refused exactly when two outlines meet or one goes outside."""
    kit, layout = made
    (flat,) = kit.box.compartments
    rects = {}
    for spot in layout.spots:
        size = kit.tool(spot.item).size
        long, deep = (size.width, size.length) if spot.turned else (size.length, size.width)
        rects[spot.item] = (spot.x, spot.y, spot.x + long, spot.y + deep)
    bad = {
        frozenset((a, b))
        for a, one in rects.items()
        for b, other in rects.items()
        if a < b
        and one[0] - clearance <= other[2] + clearance
        and other[0] - clearance <= one[2] + clearance
        and one[1] - clearance <= other[3] + clearance
        and other[1] - clearance <= one[3] + clearance
    }
    outside = {a for a, r in rects.items() if r[2] > flat.inside.length or r[3] > flat.inside.width}
    how = Foam(clearance=clearance, finger=0)
    if not bad and not outside:
        assert foam_svg(kit, layout, how)
        return
    with pytest.raises(DeskError) as refused:
        foam_svg(kit, layout, how)
    words = str(refused.value).removeprefix("nothing was drawn: ").split("; ")
    named = {
        frozenset(item for item in rects if kit.tool(item).name in sentence) for sentence in words
    }
    assert named == bad | {frozenset((item,)) for item in outside}


@given(boxes(), st.integers(1, 60))
@settings(max_examples=20, deadline=None)
def test_a_thing_still_fits_where_corners_are_rounded(
    made: tuple[Kit, Layout], corner: int
) -> None:
    """No corner of a thing lies beyond the curve at the corner of its cut-out."""
    kit, layout = made
    text = foam_svg(kit, layout, Foam(clearance=10, finger=0, corner=corner))
    things = expected(kit, layout, 0.0)
    for path in svg_paths(text):
        if path.code not in things:
            continue
        thing = things[path.code]
        middle = ((thing[0] + thing[2]) / 2, (thing[1] + thing[3]) / 2)
        for curve in moved(path, -MARGIN, -MARGIN).curves:
            for x, y in along(curve, 32):
                # as seen from the middle, the curve stays outside the thing
                assert not inside((x, y), thing, 1e-6), middle


@given(boxes())
@settings(max_examples=15, deadline=None)
def test_the_map_has_every_thing_where_it_lies(made: tuple[Kit, Layout]) -> None:
    """The same for the map of a layer, without any room around the things."""
    kit, layout = made
    (sheet,) = map_sheets(kit, layout, (), None)
    text = as_svg(sheet.pages[0])
    paths, said = svg_paths(text), " ".join(svg_texts(text))
    assert all(tool.name in said for tool in kit.tools), "in its outline, or by number below"
    for code, rect in expected(kit, layout, 0.0).items():
        (path,) = [moved(p, -MARGIN, -MARGIN) for p in paths if p.code == code]
        assert is_outline(path, rect)
        assert len(path.points) == 4
