"""The place Box: layers, compartments, today and plan, reasons, ways in and out of it."""

from __future__ import annotations

import shutil
import threading
from pathlib import Path
from typing import Any

import pytest
from look import same_picture, screen_text, until
from textual.pilot import Pilot

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.setup import place_tools
from toolbox.files.forms import new_kit
from toolbox.files.layouts import SavedPlan, save_plan
from toolbox.kit.layouts import Layout, Spot
from toolbox.tui.screens.box import BoxPlace
from toolbox.tui.screens.box_about import About, Pane
from toolbox.tui.widgets.box_map import BoxMap

SIZES = [(60, 20), (80, 24), (120, 40), (200, 60)]


def save_by_hand(kit: Path, *spots: Spot) -> None:
    """Keep these spots as the kit's plan."""
    plan = SavedPlan(Layout("plan", spots), 1_000_000, None, "by hand", "none")
    save_plan(kit / "layouts" / "plan.toml", plan)


@pytest.fixture(scope="module")
def planned_demo(demo_once: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo with a plan that takes all of the upper tray's right half to the drawer's bin."""
    kit = Path(shutil.copytree(demo_once, tmp_path_factory.mktemp("planned") / "kit"))
    present = open_kit(kit).kit.present
    assert present is not None
    out = "up-right"
    save_by_hand(
        kit, *(Spot(s.item, "dr-bin") if s.compartment == out else s for s in present.spots)
    )
    return kit


@pytest.fixture
def planned(small: Path) -> Path:
    """The small kit with a plan: a key comes into the tray, the chain tool goes to the loops."""
    place_tools(open_kit(small), ["K5"], "tray")
    save_by_hand(small, Spot("CT", "loops", 0), Spot("K4", "tray", 0, 0), Spot("K5", "tray"))
    return small


def shown(pilot: Pilot[Any], side: str = "") -> BoxMap:
    """The map one is in, or that of one side."""
    place = pilot.app.place
    assert isinstance(place, BoxPlace)
    return place.query_one(f"#{side}", Pane).map if side else place._map


async def in_box(pilot: Pilot[Any]) -> BoxMap:
    """Go to Box and wait until it is drawn."""
    await pilot.press("f5")
    await until(pilot, lambda: isinstance(pilot.app.place, BoxPlace), "Box")
    await until(pilot, lambda: shown(pilot).cursor_key is not None, "a cursor")
    await until(pilot, lambda: pilot.app.focused is shown(pilot), "the map in focus")
    return shown(pilot)


def about(pilot: Pilot[Any]) -> str:
    """What is said about what is marked."""
    return str(pilot.app.place.query_one(About).words)


@pytest.mark.parametrize("size", SIZES)
async def test_box_as_it_looks(planned_demo: Path, opened, size: tuple[int, int]) -> None:
    """The whole box and one compartment of it at each size, the same in every theme."""
    name = f"box-{{}}-{size[0]}x{size[1]}"
    async with opened(planned_demo, size) as pilot:
        box = await in_box(pilot)
        await until(pilot, lambda: "lid loops: 10 things" in screen_text(pilot.app), "the lid")
        await pilot.pause()
        same_picture(name.format("whole"), screen_text(pilot.app))
        box.move_to("up-right")
        await pilot.press("enter")
        await until(pilot, lambda: box.drawing.key == "up-right", "the compartment")
        await pilot.pause()
        same_picture(name.format("one"), screen_text(pilot.app))
        for theme in ("light", "sun", "dark"):
            pilot.app.theme = theme
            await pilot.pause()
            same_picture(name.format("one"), screen_text(pilot.app))


async def test_box_without_colour(planned_demo: Path, opened, monkeypatch) -> None:
    """Under NO_COLOR the same signs."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(planned_demo) as pilot:
        await in_box(pilot)
        await until(pilot, lambda: "lid loops: 10 things" in screen_text(pilot.app), "the lid")
        await pilot.pause()
        same_picture("box-whole-80x24", screen_text(pilot.app))


async def test_into_a_compartment_and_out_again(planned: Path, opened) -> None:
    """Enter goes in, what is marked is told, Escape comes out where one was, then goes back."""
    async with opened(planned) as pilot:
        box = await in_box(pilot)
        box.move_to("well")
        await until(pilot, lambda: about(pilot).startswith("Well: 1 thing, 25 g"), "the well")
        assert "1 open the lid" in about(pilot)
        box.move_to("tray")
        await pilot.press("enter")
        await until(pilot, lambda: box.drawing.key == "tray", "the compartment")
        assert "TODAY  Front tray: 2 things" in screen_text(pilot.app)
        await until(pilot, lambda: about(pilot).startswith("Chain tool: "), "a tool")
        assert "nothing to open, in Front tray: " in about(pilot)
        await pilot.press("tab")
        await until(pilot, lambda: about(pilot).startswith("Hex key 5 mm: "), "the next tool")
        await pilot.press("escape")
        await until(pilot, lambda: box.drawing.key == "", "the whole box")
        assert box.cursor_key == "tray"
        await pilot.press("escape")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "the place before")


async def test_today_and_plan_with_one_key(planned: Path, opened) -> None:
    """p changes the picture, the compartment stays; f goes to where the tool is planned."""
    async with opened(planned) as pilot:
        box = await in_box(pilot)
        assert "TODAY  3 things, * 2 to move" in screen_text(pilot.app)
        box.move_to("tray")
        await pilot.press("enter")
        await until(pilot, lambda: "Moves: planned in Elastic loops." in about(pilot), "where to")
        await pilot.press("p")
        await until(pilot, lambda: "PLAN  Front tray: 2 things" in screen_text(pilot.app), "it")
        await until(pilot, lambda: "Moves: today it lies in Well." in about(pilot), "where from")
        await pilot.press("p")
        await until(pilot, lambda: "TODAY  Front tray" in screen_text(pilot.app), "today")
        assert box.cursor_key == "CT"
        await pilot.press("f")
        await until(pilot, lambda: "PLAN  Elastic loops" in screen_text(pilot.app), "the plan")
        assert shown(pilot).cursor_key == "CT"
        assert "Moves: today it lies in Front tray." in about(pilot)
        await pilot.press("f")
        await until(pilot, lambda: "TODAY  Front tray" in screen_text(pilot.app), "back")
        assert shown(pilot).cursor_key == "CT"


async def test_side_by_side_where_there_is_room(planned: Path, opened) -> None:
    """From 100 columns on both are seen and the cursor is on the same thing in both."""
    async with opened(planned, (120, 40)) as pilot:
        await in_box(pilot)
        await until(pilot, lambda: "PLAN  3 things" in screen_text(pilot.app), "the plan")
        assert "TODAY  3 things" in screen_text(pilot.app)
        await pilot.press("end")
        here = shown(pilot).cursor_key
        await until(pilot, lambda: shown(pilot, "planned").cursor_key == here, "followed")
        await pilot.press("p")
        await until(pilot, lambda: pilot.app.focused is shown(pilot, "planned"), "the plan")
        await pilot.press("home")
        await until(pilot, lambda: shown(pilot, "today").cursor_key != here, "followed")
        await pilot.resize_terminal(80, 24)
        await until(pilot, lambda: "TODAY" not in screen_text(pilot.app), "one of them")
        assert "PLAN  3 things" in screen_text(pilot.app)


async def test_by_mouse(planned: Path, opened) -> None:
    """A click marks, a second opens; a click into the other picture goes over to it."""
    async with opened(planned, (120, 40)) as pilot:
        await in_box(pilot)
        plan = shown(pilot, "planned")
        await until(pilot, lambda: plan.board.find("tray") is not None, "drawn")
        box = plan.board.placed[plan.board.find("tray") or 0].box
        for _ in range(2):
            await pilot.click("#planned BoxMap", offset=(box.column + 2, box.line))
        await until(pilot, lambda: plan.drawing.key == "tray", "the tray")
        assert shown(pilot) is plan
        assert "PLAN  Front tray" in screen_text(pilot.app)


async def test_why_a_tool_lies_there(planned: Path, opened) -> None:
    """w, or Enter on a tool, says why, without the picture changing; Escape closes it."""
    async with opened(planned) as pilot:
        box = await in_box(pilot)
        await pilot.press("w")
        await until(pilot, lambda: "Mark a tool first" in screen_text(pilot.app), "the hint")
        box.move_to("tray")
        await pilot.press("enter")
        await until(pilot, lambda: box.drawing.key == "tray", "the compartment")
        before = box.board
        await pilot.press("enter")
        await until(pilot, lambda: "of reaching a day come from it" in about(pilot), "why", 20)
        assert about(pilot).startswith("Chain tool lies today in Front tray: ")
        assert "Elsewhere, cheapest first:" in about(pilot)
        assert box.board == before
        # The keys move through the reasons, not the cursor; another window takes none away.
        await pilot.press("pagedown", "up")
        assert box.cursor_key == "CT"
        place_tools(open_kit(planned), ["K5"], "well")
        await until(pilot, lambda: len(list(box.drawing.shapes())) == 1, "the change", 15)
        assert "Elsewhere, cheapest first" in about(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: about(pilot).startswith("Chain tool: "), "closed")
        assert box.drawing.key == "tray"
        assert pilot.app.focused is box
        assert not any(thread.is_alive() for _, thread in pilot.app.works)


async def test_reasons_that_come_too_late_are_not_shown(
    planned: Path, opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Closed meanwhile: what is said belongs to what is marked now; errors come as words."""
    asked, go_on = threading.Event(), threading.Event()

    def slow(*_: object, **__: object) -> None:
        asked.set()
        go_on.wait(10)
        raise DeskError("too late to be shown")

    monkeypatch.setattr("toolbox.tui.screens.box_about.explain_place", slow)
    async with opened(planned) as pilot:
        box = await in_box(pilot)
        box.move_to("tray")
        await pilot.press("enter", "w")
        await until(pilot, asked.is_set, "the question")
        await until(pilot, lambda: "Working out" in about(pilot), "the wait")
        await pilot.press("escape")
        await until(pilot, lambda: "Working out" not in about(pilot), "closed")
        go_on.set()
        await until(pilot, lambda: not any(t.is_alive() for _, t in pilot.app.works), "the end")
        await pilot.pause()
        assert "too late" not in about(pilot)
        await pilot.press("w")
        await until(pilot, lambda: "too late to be shown" in about(pilot), "the error in words")


async def test_larger_smaller_and_all_of_it(planned: Path, opened) -> None:
    """+ draws larger and the cursor stays in view, - smaller, 0 all of it."""
    async with opened(planned) as pilot:
        box = await in_box(pilot)
        lines = box.board.lines
        box.move_to("well")
        await pilot.press("+", "+")
        assert box.level == 2
        assert box.board.lines > lines
        await pilot.press("-")
        assert box.level == 1
        await pilot.press("0")
        assert box.level == 0
        assert box.board.lines == lines
        assert box.cursor_key == "well"


async def test_opened_at_a_thing(planned: Path, opened) -> None:
    """Another place sends one here: its compartment, the cursor on it; also the second time."""
    async with opened(planned) as pilot:
        pilot.app.wanted = "CT"
        await pilot.press("f5")
        await until(pilot, lambda: isinstance(pilot.app.place, BoxPlace), "Box")
        await until(pilot, lambda: shown(pilot).cursor_key == "CT", "the tool")
        assert pilot.app.wanted is None
        assert shown(pilot).drawing.key == "tray"
        await pilot.press("escape")
        await until(pilot, lambda: shown(pilot).drawing.key == "", "the whole box")
        await pilot.press("f2")
        await until(pilot, lambda: pilot.app.current_mode == "ready", "elsewhere")
        pilot.app.wanted = "K4"
        await pilot.press("f5")
        await until(pilot, lambda: shown(pilot).cursor_key == "K4", "the other tool")
        await pilot.press("f2")
        pilot.app.wanted = "V"  # stays at home
        await pilot.press("f5")
        await until(pilot, lambda: "It has no place" in screen_text(pilot.app), "so")
        assert shown(pilot).cursor_key == "K4"


async def test_another_windows_change_leaves_the_cursor_where_it_was(planned: Path, opened) -> None:
    """A tool is put elsewhere: the picture follows, cursor, compartment and scale stay."""
    async with opened(planned) as pilot:
        box = await in_box(pilot)
        box.move_to("tray")
        await pilot.press("enter", "+")
        await until(pilot, lambda: box.level == 1, "larger")
        assert box.cursor_key == "CT"
        place_tools(open_kit(planned), ["K5"], "well")
        await until(pilot, lambda: len(list(box.drawing.shapes())) == 1, "gone", 15)
        assert box.cursor_key == "CT"
        assert box.level == 1


async def test_one_layout_only_and_going_to_plan(small: Path, opened) -> None:
    """Without a plan p says so; m goes to the place Plan."""
    async with opened(small, (120, 40)) as pilot:
        await in_box(pilot)
        await until(pilot, lambda: "TODAY  3 things" in screen_text(pilot.app), "today")
        assert "PLAN  " not in screen_text(pilot.app)
        await pilot.press("p")
        await until(pilot, lambda: "only one layout" in screen_text(pilot.app), "the hint")
        await pilot.press("f")
        await until(pilot, lambda: "both layouts" in screen_text(pilot.app), "the hint")
        await pilot.press("m")
        await until(pilot, lambda: pilot.app.current_mode == "plan", "Plan")


async def test_a_plan_and_nobody_has_said_how_it_lies(small: Path, opened) -> None:
    """Then the plan is what there is to see; without one the box is drawn empty, in words."""
    (small / "layouts" / "present.toml").unlink()
    async with opened(small) as pilot:
        await in_box(pilot)
        words = "TODAY  nobody has said what lies"
        await until(pilot, lambda: words in screen_text(pilot.app), "so")
        assert "Elastic loops: 0 things" in about(pilot)
        save_by_hand(small, Spot("CT", "tray", 0, 0), Spot("K4", "well"), Spot("K5", "well"))
        await until(pilot, lambda: "PLAN  3 things" in screen_text(pilot.app), "the plan", 15)


async def test_a_kit_with_faults_and_an_empty_box(small: Path, opened, tmp_path: Path) -> None:
    """Words instead of a picture, and the place that names the faults; mended, it is drawn."""
    rules = small / "rules.toml"
    rules.write_text('[[rule]]\nname = "x"\nask = "never"\n', encoding="utf-8")
    async with opened(small) as pilot:
        await pilot.press("f5")
        await until(pilot, lambda: "F2 Ready names them" in screen_text(pilot.app), "the words")
        await pilot.press("enter", "w", "f", "p", "+", "0")
        rules.unlink()
        await until(pilot, lambda: "TODAY  3 things" in screen_text(pilot.app), "drawn", 15)
    new_kit(tmp_path / "new", "clamshell", "New")
    async with opened(tmp_path / "new") as pilot:
        await in_box(pilot)
        await until(pilot, lambda: "TODAY  0 things" in screen_text(pilot.app), "an empty box")
        assert "Top tray" in screen_text(pilot.app)


async def test_names_are_never_read_as_markup(small: Path, opened) -> None:
    """Brackets and turned writing in names of tools and compartments are shown as typed."""
    for file, old, new in (
        ("tools.toml", "Chain tool", "[/chain] [red]tool \u202e"),
        ("box.toml", "Front tray", "[/tray] [b]front"),
    ):
        path = small / file
        path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    async with opened(small, (120, 40)) as pilot:
        box = await in_box(pilot)
        box.move_to("tray")
        await until(pilot, lambda: "[/tray] [b]front: 1 thing" in about(pilot), "the tray")
        assert "[/tray] [b]front: 1 thing" in screen_text(pilot.app)
        await pilot.press("enter")
        await until(pilot, lambda: "[/chain] [red]tool" in about(pilot), "the tool")
        assert "[/chain] [red]tool" in screen_text(pilot.app)


async def test_copying_and_jumping(planned: Path, opened) -> None:
    """y copies what is said about the marked one; j puts letters on what is in view."""
    async with opened(planned) as pilot:
        box = await in_box(pilot)
        await until(pilot, lambda: about(pilot).startswith("Elastic loops"), "what is marked")
        await pilot.press("y")
        await until(pilot, lambda: "Sent to the terminal" in screen_text(pilot.app), "the notice")
        assert pilot.app.clipboard == about(pilot)
        assert len(box.jump_spots()) == len(box.board.placed) == 3
        spots = {(x, y): go for x, y, go in box.jump_spots()}
        last = box.board.placed[2]
        spots[last.box.column, last.box.line]()
        assert box.cursor_key == last.shape.key
