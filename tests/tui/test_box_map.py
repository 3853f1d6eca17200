"""The map of the box: outlines, where they stand, what is drawn, cursor, zoom, mouse."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.strip import Strip
from tui.look import screen_text, until

from toolbox.desk.drawn_box import HIGH, Area, Drawing, Shape, Sheet, filling
from toolbox.desk.folder import open_kit
from toolbox.tui.text import cells, clean, in_chrome
from toolbox.tui.widgets.box_map import BoxMap
from toolbox.tui.widgets.box_map_board import Box, arrange, fitting, laid_out, nearest
from toolbox.tui.widgets.box_map_outline import HERE, LIT, MOVED, SHADES, Look, line_of, outline
from toolbox.tui.widgets.box_map_paint import Ink, Paper

NAMES = st.text(
    st.one_of(
        st.characters(),
        st.sampled_from("[]/\\ \u202e\u200d\ufe0f\u0301\u0000\u001b\n漢字한אب🔧"),
    ),
    max_size=300,
)


def thing(key: str, area: Area | None, name: str = "", shade: int = 0, **more: Any) -> Shape:
    """A thing as it is drawn."""
    return Shape(key, name or key, name or key, area, shade, **more)


def one(*shapes: Shape, length: int = 4000, width: int = 2000) -> Drawing:
    """One compartment with these things in it."""
    return Drawing("c", "bay", (Sheet("c", "bay", length, width, shapes, rimmed=True),))


def grid(across: int, down: int, side: int = 400) -> Drawing:
    """Things of one size side by side, named by row and column."""
    shapes = [
        thing(f"{y}-{x}", Area(x * side, y * side, side, side), f"tool {y}-{x}", (x + y) % 4)
        for y in range(down)
        for x in range(across)
    ]
    return one(*shapes, length=across * side, width=down * side)


class Counting(BoxMap):
    """Counts the lines drawn in each draw."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.draws: list[int] = []

    def render_lines(self, crop: Region) -> list[Strip]:
        self.draws.append(0)
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        if self.draws:
            self.draws[-1] += 1
        return super().render_line(y)


class Shown(App[None]):
    """A map alone, and what it posted."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self.map = Counting(drawing)
        self.posted: list[tuple[str, str]] = []

    def compose(self) -> ComposeResult:
        yield self.map

    def on_box_map_moved(self, event: BoxMap.Moved) -> None:
        self.posted.append(("moved", event.key))

    def on_box_map_chosen(self, event: BoxMap.Chosen) -> None:
        self.posted.append(("chosen", event.key))


# ---- one outline


def test_an_outline_says_name_and_use() -> None:
    """The name in words, the use below it; heavy lines under the cursor."""
    shape = thing("K5", Area(0, 0, 1, 1), "Hex key 5 mm", 3)
    assert outline(shape, 10, 5, Look()) == [
        "┌────────┐",
        "│Hex key │",
        "│5 mm # #│",
        "│# # # # │",
        "└────────┘",
    ]
    assert outline(shape, 10, 5, Look(here=True))[1] == "┃Hex key ┃"
    assert outline(shape, 16, 1, Look()) == ["[Hex key 5 mm #]"]
    assert outline(shape, 12, 1, Look()) == ["[Hex key ~#]"]
    assert outline(shape, 12, 1, Look(here=True)) == [">Hex key ~#<"]
    assert outline(shape, 14, 2, Look()) == ["┌Hex key 5 mm┐", "└# # # # # # ┘"]
    assert outline(shape, 3, 6, Look(letter="a")) == ["┌─┐", "│a│", "│#│", "│#│", "│#│", "└─┘"]


def test_marks_stand_before_the_name() -> None:
    """What moves and what is lit up has a sign, not only a colour."""
    shape = thing("K5", None, "Hex key", 1, moved=True)
    assert outline(shape, 14, 1, Look(lit=True)) == ["[!*Hex key : ]"]
    assert outline(shape, 1, 1, Look(lit=True, letter="a")) == [LIT]
    assert outline(shape, 1, 1, Look(here=True, letter="a")) == [HERE]
    assert outline(shape, 1, 1, Look(letter="a")) == ["a"]
    assert line_of(shape, 14, 1, Look(here=True)) == [">: *Hex key   "]


LOOKS = st.builds(Look, st.booleans(), st.booleans(), st.sampled_from(["", "a", "+"]))


@given(NAMES, st.integers(1, 30), st.integers(1, 12), st.integers(0, 3), LOOKS, st.booleans())
@settings(deadline=None, max_examples=200)
def test_an_outline_fills_its_cells_exactly(
    name: str, columns: int, lines: int, shade: int, look: Look, moves: bool
) -> None:
    """Whatever the name: so many lines of so many cells, and the use is told somewhere."""
    shape = Shape("k", name, name, None, shade, moves)
    bay = Shape("k", name, name, None, shade, moves, inside=())
    for drawn in (outline(shape, columns, lines, look), outline(bay, columns, lines, look)):
        assert len(drawn) == lines
        assert {cells(line) for line in drawn} == {columns}
        assert all(line == clean(line) for line in drawn)
    (line,) = line_of(shape, columns + 3, 1, look)
    assert cells(line) == columns + 3
    if columns >= 4:
        assert SHADES[shade] in "".join(outline(shape, columns, lines, look))


def test_the_signs_are_our_own() -> None:
    """Every sign of the map is one that all terminals show in one column."""
    assert in_chrome(SHADES + MOVED + LIT + HERE)
    assert len(set(SHADES + MOVED + LIT + HERE)) == 7
    for columns, lines in ((1, 1), (2, 3), (3, 3), (9, 4), (9, 1)):
        drawn = outline(thing("K", None, "Hex key", 2), columns, lines, Look(here=True))
        assert in_chrome("".join(drawn))


# ---- the board


def apart(one: Box, other: Box) -> bool:
    """Whether two boxes share no cell, told by their edges."""
    return (
        one.column + one.columns <= other.column
        or other.column + other.columns <= one.column
        or one.line + one.lines <= other.line
        or other.line + other.lines <= one.line
    )


@pytest.mark.parametrize("size", [(59, 12), (79, 16), (118, 30), (199, 52)])
def test_the_demo_on_the_board(demo_once: Path, size: tuple[int, int]) -> None:
    """The whole demo box: in view at once, true to scale, compartments apart, all there."""
    kit = open_kit(demo_once).kit
    assert kit.present is not None
    made = filling(kit, kit.present, None, None)
    whole = made.whole()
    unit = fitting(whole, *size)
    board = arrange(whole, unit, size[0])
    assert board.columns <= size[0]
    sheets = [p.box.line + p.box.lines for p in board.placed]
    assert max(sheets) <= size[1]
    assert sorted(p.shape.key for p in board.placed) == sorted(c.id for c in kit.box.compartments)
    for p in board.placed:
        inside = kit.compartment(p.shape.key).inside
        assert abs(p.box.columns * unit - inside.length) <= unit
        assert abs(p.box.lines * HIGH * unit - inside.width) <= HIGH * unit
        for _, box in p.inner:
            assert 1 <= box.column < box.column + box.columns <= p.box.columns - 1
            assert 1 <= box.line < box.line + box.lines <= p.box.lines - 1
    for a, b in combinations(board.placed, 2):
        assert apart(a.box, b.box)


@pytest.mark.parametrize("size", [(59, 12), (79, 16), (118, 30)])
def test_every_thing_lies_inside_its_compartment(demo_once: Path, size: tuple[int, int]) -> None:
    """Each compartment of the demo: all its things, inside the rim, those of a cell apart."""
    kit = open_kit(demo_once).kit
    assert kit.present is not None
    made = filling(kit, kit.present, None, None)
    for filled in made.filled:
        drawing = made.one(filled.compartment.id)
        unit = fitting(drawing, *size)
        board = arrange(drawing, unit, size[0])
        (rim,) = board.rims
        assert {p.shape.key for p in board.placed} == {t.copy for t in filled.things}
        for p in board.placed:
            assert rim.column < p.box.column
            assert p.box.column + p.box.columns < rim.column + rim.columns
            assert rim.line < p.box.line
            assert p.box.line + p.box.lines < rim.line + rim.lines
        large = [
            p.box
            for p in board.placed
            if p.shape.area is None
            or (p.shape.area.length >= unit and p.shape.area.width >= HIGH * unit)
        ]
        assert all(apart(a, b) for a, b in combinations(large, 2))


def test_letters_explain_what_cannot_be_told_apart() -> None:
    """A name of which too little is seen has a letter, and the key list its whole name."""
    small = [thing(f"s{n}", Area(n * 200, 0, 200, 200), f"Socket {n} mm", n) for n in range(3)]
    wide = thing("w", Area(1000, 0, 3000, 600), "Torque wrench")
    drawing = one(*small, wide)
    board = arrange(drawing, fitting(drawing, 60, 20), 60)
    lettered = {p.shape.key: p.letter for p in board.placed}
    assert lettered == {"s0": "a", "s1": "b", "s2": "c", "w": ""}
    said = {label.key: label.text for label in board.labels if label.key}
    assert said == {"s0": "a . Socket 0 mm", "s1": "b : Socket 1 mm", "s2": "c = Socket 2 mm"}
    for label in board.labels:
        if label.key:
            assert board.at(label.column, label.line) == label.key


def test_no_letters_where_the_list_that_explains_them_is_not_seen(demo_once: Path) -> None:
    """The demo in few lines: neither letters nor list; with the lines it needs, both.

    What is lit has its sign at any size.
    """
    kit = open_kit(demo_once).kit
    assert kit.present is not None
    whole = filling(kit, kit.present, None, None).whole()
    unit = fitting(whole, 47, 9)
    keyed = arrange(whole, unit, 47)
    assert keyed.lines > 9
    cut = laid_out(whole, unit, 47, 9)
    assert all(not p.letter for p in cut.placed)
    assert all(not label.key for label in cut.labels)
    assert laid_out(whole, unit, 47, keyed.lines) == laid_out(whole, unit, 47, None) == keyed
    for p in cut.placed:
        if p.box.lines > 1:
            drawn = outline(p.shape, p.box.columns, p.box.lines, Look(False, True, ""))
            assert LIT in "".join(drawn), p


def test_two_names_that_begin_alike_get_letters() -> None:
    """What is left of one name must not look like another."""
    alike = [thing(f"k{n}", Area(0, n * 600, 900, 600), f"Hex key {n} mm") for n in (4, 5)]
    board = arrange(one(*alike), 100, 60)
    assert [p.letter for p in board.placed] == ["a", "b"]


def test_more_small_things_than_letters() -> None:
    """The rest are counted in the key list, never left out of the picture."""
    drawing = grid(80, 1, 50)
    board = arrange(drawing, 50, 200)
    assert len(board.placed) == 80
    letters = [p.letter for p in board.placed]
    assert len(set(letters)) == 63
    assert letters.count("+") == 80 - 62
    assert any(label.text == "+ 18 smaller ones: zoom in" for label in board.labels)


def test_the_nearest_in_each_direction_by_trying_all() -> None:
    """In a grid of equal things the neighbour; at the edge one stays."""
    board = arrange(grid(5, 4), 50, 60)
    keys = [p.shape.key for p in board.placed]

    def step(key: str, right: int, down: int) -> str:
        return keys[nearest(board, keys.index(key), right, down)]

    for x in range(5):
        for y in range(4):
            here = f"{y}-{x}"
            assert step(here, 1, 0) == (f"{y}-{x + 1}" if x < 4 else here)
            assert step(here, -1, 0) == (f"{y}-{x - 1}" if x > 0 else here)
            # Rows count from the front, which is below.
            assert step(here, 0, -1) == (f"{y + 1}-{x}" if y < 3 else here)
            assert step(here, 0, 1) == (f"{y - 1}-{x}" if y > 0 else here)


def test_a_step_goes_ahead_before_it_goes_aside() -> None:
    """Right of the first: the far one in line, not the near one half a line below it."""
    first = thing("first", Area(0, 1600, 400, 400))
    ahead = thing("ahead", Area(2400, 1600, 400, 400))
    aside = thing("aside", Area(800, 0, 400, 400))
    board = arrange(one(first, ahead, aside), 100, 60)
    keys = [p.shape.key for p in board.placed]
    assert keys[nearest(board, keys.index("first"), 1, 0)] == "ahead"


# ---- a line put together


@given(st.integers(0, 8), st.integers(1, 20), st.lists(st.tuples(st.integers(0, 20), NAMES)))
@settings(deadline=None, max_examples=150)
def test_a_line_has_its_width_whatever_is_written(
    left: int, width: int, pieces: list[tuple[int, str]]
) -> None:
    """Wide letters cut by an edge or written over leave blanks, never a wrong width."""
    paper = Paper(left, width)
    for column, text in pieces:
        paper.write(column, clean(text), Ink.PLAIN)
    line = "".join(text for text, _ in paper.runs())
    assert cells(line) == width


# ---- the widget


async def test_only_lines_in_view_are_drawn() -> None:
    """A drawing of 2,000 things, many windows large: at most a window of lines a draw."""
    app = Shown(grid(50, 40))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.map.draws, "drawn")
        for _ in range(6):
            app.map.zoom(1)
        await pilot.pause()
        assert app.map.board.lines > 24 * 4
        app.map.draws.clear()
        await pilot.press("right", "down", "end", "home", "pagedown", "tab")
        await until(pilot, lambda: app.map.draws, "drawn")
        assert max(app.map.draws) <= 24


async def test_a_step_draws_only_the_lines_of_two_things() -> None:
    """Moving the cursor inside the window draws what it left and what it came to."""
    app = Shown(grid(8, 5))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.map.draws, "drawn")
        await pilot.press("down")
        await pilot.pause()
        app.map.draws.clear()
        await pilot.press("right")
        await until(pilot, lambda: app.map.draws, "drawn")
        box = app.map.board.placed[app.map._number() or 0].box
        assert sum(app.map.draws) == box.lines


async def test_the_cursor_keeps_its_key_and_stays_in_view() -> None:
    """Zoomed in and out, resized, drawn again with other things: the same thing, seen."""
    app = Shown(grid(20, 10))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.map.draws, "drawn")
        assert app.map.move_to("7-13")

        def in_view() -> bool:
            placed = app.map.board.placed[app.map._number() or 0]
            box, at, size = placed.box, app.map.scroll_offset, app.map.size
            return (
                placed.shape.key == "7-13"
                and at.x <= box.column
                and box.column + min(box.columns, size.width) <= at.x + size.width
                and at.y <= box.line
                and box.line + min(box.lines, size.height) <= at.y + size.height
            )

        for steps in (1, 1, 1, 1, -1, -1):
            app.map.zoom(steps)
            await until(pilot, in_view, f"seen after zooming by {steps}")
        await pilot.resize_terminal(60, 20)
        await until(pilot, in_view, "seen in a smaller window")
        assert app.map.level == 2
        app.map.show(grid(21, 10))
        await until(pilot, in_view, "seen in another drawing")
        app.map.whole()
        await until(pilot, in_view, "seen with all the others")
        assert app.map.level == 0
        app.map.show(grid(5, 5))
        assert app.map.cursor_key == "4-0"


async def test_zoom_ends_at_both_ends() -> None:
    """All of it is the smallest, one millimetre a column the largest."""
    app = Shown(grid(20, 10))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.map.draws, "drawn")
        assert not app.map.zoom(-1)
        steps = 0
        while app.map.zoom(1):
            steps += 1
            assert steps < 20
        sheet = app.map.board.rims[0]
        assert sheet.columns == 20 * 400 // 10 + 2


async def test_tab_goes_to_every_thing_once() -> None:
    """As one reads; after the last comes the first."""
    app = Shown(grid(4, 3))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.map.cursor_key, "a cursor")
        seen = [app.map.cursor_key]
        for _ in range(12):
            await pilot.press("tab")
            seen.append(app.map.cursor_key)
        assert seen[:4] == ["2-0", "2-1", "2-2", "2-3"]
        assert len(set(seen)) == 12
        assert seen[12] == seen[0]
        await pilot.press("shift+tab")
        assert app.map.cursor_key == seen[11]
        await pilot.press("end")
        assert app.map.cursor_key == "0-3"
        await pilot.press("home", "enter")
        await until(pilot, lambda: ("chosen", "2-0") in app.posted, "chosen")


async def test_by_mouse() -> None:
    """A click brings the cursor, a second one on the same thing chooses it."""
    app = Shown(grid(4, 3))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.map.draws, "drawn")
        box = app.map.board.placed[app.map.board.find("1-2") or 0].box
        await pilot.click(BoxMap, offset=(box.column + 1, box.line + 1))
        assert app.map.cursor_key == "1-2"
        assert ("chosen", "1-2") not in app.posted
        await pilot.click(BoxMap, offset=(box.column + 1, box.line + 1))
        await until(pilot, lambda: ("chosen", "1-2") in app.posted, "chosen")
        await pilot.click(BoxMap, offset=(0, 0))
        assert app.map.cursor_key == "1-2"


async def test_what_is_lit_up_has_a_sign_and_the_cursor() -> None:
    """A hit in a compartment of the whole box is marked in it and on it; things by themselves."""
    hit = thing("T1", Area(100, 100, 900, 900), shade=2)
    bay = Shape("bay", "bay one", "bay one", Area(0, 0, 2000, 2000), 2, inside=(hit,))
    bin_ = Shape("bin", "bin", "bin", Area(2000, 0, 2000, 2000), 0, inside=(thing("T2", None),))
    whole = Drawing("", "box", (Sheet("s", "tray", 4000, 2000, (bin_, bay)),))
    app = Shown(whole)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.map.cursor_key == "bay", "the first as one reads")
        assert LIT not in screen_text(app)
        app.map.show(whole, frozenset({"T2"}))
        await until(pilot, lambda: "!bin" in screen_text(app), "the bin marked")
        assert app.map.cursor_key == "bin"
        assert screen_text(app).count(LIT) == 2
        app.map.show(whole, frozenset({"bay", "T1"}))
        await until(pilot, lambda: "!bay one" in screen_text(app), "the bay marked")
        assert "!!!!" in screen_text(app)
        app.map.show(one(hit, thing("T2", None)), frozenset({"T2"}))
        await until(pilot, lambda: ">. !T2" in screen_text(app), "the thing marked in the list")


async def test_an_empty_compartment_and_no_drawing() -> None:
    """Nothing in it: a rim, no cursor, and no key does harm."""
    app = Shown(one())
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: " bay " in screen_text(app), "the rim")
        await pilot.press("right", "tab", "enter", "end", "pagedown")
        assert app.map.cursor_key is None
        assert app.posted == []
        assert app.map.move_to("x") is False


@given(st.lists(NAMES, min_size=1, max_size=12))
@settings(
    deadline=None, max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_names_keep_every_line_as_wide_as_the_window(names: list[str]) -> None:
    """Turned writing, marks, wide letters, controls, brackets: no crash, no wrong width."""
    shapes = [
        thing(f"t{n}", Area(n % 3 * 700, n // 3 * 300, 700, 300) if n % 4 else None, name, n % 4)
        for n, name in enumerate(names)
    ]
    bay = Shape("b", names[0], names[0], Area(0, 0, 2100, 1200), 1, inside=tuple(shapes))
    drawings = (one(*shapes), Drawing("", names[0], (Sheet("s", names[0], 2100, 1200, (bay,)),)))
    for drawing in drawings:
        board = arrange(drawing, 60, 60)
        for left, width in ((0, board.columns), (3, 40)):
            for y in range(board.lines):
                paper = Paper(left, width)
                for label in board.labels:
                    if label.line == y:
                        paper.write(label.column, label.text, Ink.BOLD)
                for p in board.placed:
                    draw = line_of if p.listed else outline
                    if p.box.line <= y < p.box.line + p.box.lines:
                        art = draw(p.shape, p.box.columns, p.box.lines, Look(letter=p.letter))
                        paper.write(p.box.column, art[y - p.box.line], Ink.PLAIN)
                assert cells("".join(text for text, _ in paper.runs())) == width


async def test_names_like_markup_are_shown_as_typed() -> None:
    """Brackets and slashes stand on the map and act on nothing."""
    app = Shown(one(thing("t", Area(0, 0, 4000, 2000), "[/key] [red]5 mm")))
    async with app.run_test(size=(60, 20)) as pilot:
        await until(pilot, lambda: "[/key] [red]5 mm" in screen_text(app), "the name")


async def test_without_colour_the_cursor_is_still_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Under NO_COLOR heavy lines and angle signs tell where it is."""
    monkeypatch.setenv("NO_COLOR", "1")
    app = Shown(grid(4, 3))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "┃tool 2-0" in screen_text(app), "the cursor")
        await pilot.press("right")
        await until(pilot, lambda: "┃tool 2-1" in screen_text(app), "the cursor")
        assert "┃tool 2-0" not in screen_text(app)
