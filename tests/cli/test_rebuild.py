"""Rebuilding the box by its checklist: left, taken up again, taken back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.plans import plan_path
from toolbox.desk.rebuild import rebuild_list, tick, untick
from toolbox.files.layouts import SavedPlan, save_plan
from toolbox.files.reading import read_kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.layout.order import Handling

Run = Callable[..., Ran]


def places(kit_dir: Path) -> dict[str, str]:
    """Where things lie today."""
    present = read_kit(kit_dir).present
    assert present is not None
    return present.places()


def test_ticking_every_step_ends_at_the_plan_and_undo_goes_back(run: Run, kit_dir: Path) -> None:
    """Today's layout follows each tick; all undone, it is what it was; a stop loses nothing."""
    tools = kit_dir / "tools.toml"
    long = tools.read_text(encoding="utf-8").replace('name = "', 'name = "rather long-named tool, ')
    tools.write_text(long, encoding="utf-8")
    began = places(kit_dir)
    assert run("plan", "--kit", kit_dir).code == 0
    spots = run("compare", "--kit", kit_dir, "--json").data()["spots"]
    planned = {spot["item"]: spot["compartment"] for spot in spots}
    steps = run("rebuild", "--kit", kit_dir, "--json").data()["steps"]
    assert steps
    # A step that takes several lines is one block behind its number.
    said = run("rebuild", "--kit", kit_dir).out.partition("done.\n")[2].partition("Tick")[0]
    heads = [line for line in said.splitlines() if line.startswith("[")]
    more = [line for line in said.splitlines() if not line.startswith("[")]
    assert len(heads) == len(steps)
    assert more
    assert all(line.startswith(" " * 8) and len(line) <= 80 for line in more)
    for done in range(1, len(steps) + 1):
        data = run("rebuild", "--tick", "--kit", kit_dir, "--json").data()
        assert data["done"] == done
        assert [s["done"] for s in data["steps"]] == [n < done for n in range(len(steps))]
    assert places(kit_dir) == planned
    assert run("rebuild", "--tick", "--kit", kit_dir).code == 1
    for done in reversed(range(len(steps))):
        assert run("rebuild", "--undo", "--kit", kit_dir, "--json").data()["done"] == done
    assert places(kit_dir) == began
    assert run("rebuild", "--undo", "--kit", kit_dir).code == 1


def test_adopt_takes_the_whole_plan_over(run: Run, kit_dir: Path) -> None:
    """After adopting there is nothing left to rebuild and nothing left to save."""
    run("plan", "--kit", kit_dir)
    assert run("adopt", "--kit", kit_dir).code == 0
    assert "Nothing to do" in run("rebuild", "--kit", kit_dir).out
    versus = run("compare", "--kit", kit_dir, "--json").data()["present"]
    assert versus["saved_us"] == 0
    assert versus["moves"] == []


def ring(kit_dir: Path) -> None:
    """A plan in which tray and well wait for each other: worked out by hand, four steps.

    K5 goes from the well into the empty loops (1). CT leaves the tray for the bench (2),
    K4 comes from the well into the tray (3), CT from the bench into the well (4).
    """
    spots = (Spot("CT", "well"), Spot("K4", "tray", 0, 0), Spot("K5", "loops", 0))
    save_plan(plan_path(open_kit(kit_dir)), SavedPlan(Layout("plan", spots), 9, None, "", "x"))


def done(kit_dir: Path) -> list[bool]:
    """Which steps are done."""
    return [step.done for step in rebuild_list(open_kit(kit_dir)).steps]


def test_steps_wait_for_those_that_make_room(kit_dir: Path) -> None:
    """A step is refused before what has to leave has left; others may be done out of turn."""
    ring(kit_dir)
    steps = rebuild_list(open_kit(kit_dir)).steps
    handled = [(step.handling, step.compartment, step.copies, step.after) for step in steps]
    assert handled == [
        (Handling.FILL, "loops", ("K5",), None),
        (Handling.BENCH, "tray", ("CT",), None),
        (Handling.FILL, "tray", ("K4",), 2),
        (Handling.FILL, "well", ("CT",), 1),
    ]
    for number, first in ((3, 2), (4, 1)):
        with pytest.raises(DeskError, match=f"step {first} comes before step {number}"):
            tick(open_kit(kit_dir), number)
    assert not any(done(kit_dir))
    assert not (kit_dir / "layouts" / "before.toml").exists()
    for number in (2, 3):
        tick(open_kit(kit_dir), number)
    assert done(kit_dir) == [False, True, True, False]
    assert places(kit_dir) == {"K4": "tray", "K5": "well"}
    with pytest.raises(DeskError, match="step 1 comes before step 4"):
        tick(open_kit(kit_dir), 4)
    with pytest.raises(DeskError, match="step 3 was done after it"):
        untick(open_kit(kit_dir), 2)
    untick(open_kit(kit_dir), 3)
    untick(open_kit(kit_dir), 2)
    assert places(kit_dir) == {"K4": "well", "K5": "well", "CT": "tray"}
    with pytest.raises(DeskError, match="no step 9"):
        tick(open_kit(kit_dir), 9)


def test_a_new_plan_begins_a_new_list(kit_dir: Path) -> None:
    """Half-way to one plan another is saved from the same inputs: its list begins from today."""
    ring(kit_dir)
    for _ in range(2):
        tick(open_kit(kit_dir))
    spots = (Spot("CT", "loops", 0), Spot("K4", "well"), Spot("K5", "loops", 640))
    save_plan(plan_path(open_kit(kit_dir)), SavedPlan(Layout("plan", spots), 8, None, "", "x"))
    # CT lies on the bench and K5 in the loops already: one step is left.
    (step,) = rebuild_list(open_kit(kit_dir)).steps
    assert (step.compartment, step.copies, step.anew) == ("loops", ("CT",), ("K5",))


def test_the_list_in_print(run: Run, kit_dir: Path) -> None:
    """What is emptied onto the bench, what is filled with what."""
    ring(kit_dir)
    out = run("rebuild", "--kit", kit_dir).out
    assert "[ ]  2  empty Front tray onto the bench: Chain tool" in out
    assert "[ ]  1  fill Elastic loops from Well: Hex key 5 mm" in out
    assert "[ ]  3  fill Front tray from Well: Hex key 4 mm" in out
    assert "[ ]  4  fill Well from the bench: Chain tool" in out
