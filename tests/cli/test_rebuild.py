"""Rebuilding the box by its checklist: left, taken up again, taken back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from clikit import Ran

from toolbox.files.reading import read_kit

Run = Callable[..., Ran]


def places(kit_dir: Path) -> dict[str, str]:
    """Where things lie today."""
    present = read_kit(kit_dir).present
    assert present is not None
    return present.places()


def test_ticking_every_step_ends_at_the_plan_and_undo_goes_back(run: Run, kit_dir: Path) -> None:
    """Today's layout follows each tick; all undone, it is what it was; a stop loses nothing."""
    began = places(kit_dir)
    assert run("plan", "--kit", kit_dir).code == 0
    spots = run("compare", "--kit", kit_dir, "--json").data()["spots"]
    planned = {spot["item"]: spot["compartment"] for spot in spots}
    steps = run("rebuild", "--kit", kit_dir, "--json").data()["steps"]
    assert steps
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
