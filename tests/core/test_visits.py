"""Visits left and gone on with, and steps that were changed: by hand on a small kit."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from clikit import write_kit_files
from smallkit import small_kit

from toolbox.desk.diary import (
    Entry,
    When,
    amount_typed,
    bring_back,
    every_entry,
    last_entries,
    list_entries,
    log_job,
    pick_tools,
    take_back,
)
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.visits import (
    GO_ON_HOURS,
    USUAL,
    Change,
    begin,
    done_of,
    go_on,
    must_go_on,
    seen_again,
    takes,
    to_drop,
)
from toolbox.kit.facts import StepDone
from toolbox.kit.work import Draw, Pick

AT = datetime(2026, 11, 20, 10, 0, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> KitFolder:
    """The small kit of the command tests: Broken chain (CH) has two steps."""
    return open_kit(write_kit_files(tmp_path / "kit"))


def when(minutes: int) -> When:
    """So many minutes later."""
    at = AT + timedelta(minutes=minutes)
    return When(at, at, "Tester")


def log(folder: KitFolder, step: int, bike: str = "A1", minutes: int = 0) -> Entry:
    """One step of a broken chain, as a visit of its own."""
    visit = begin(folder.kit.job("CH"), bike)
    return log_job(folder, done_of(visit, (step,), USUAL, urgent=False), when(minutes))


def test_an_unfinished_visit_is_gone_on_with_for_three_hours(folder: KitFolder) -> None:
    """Same job, same bike, a step left, not too long ago: the same visit, else none."""
    log(folder, 1)
    job = folder.kit.job("CH")
    live = open_kit(folder.path).live
    assert isinstance(live[0].what, StepDone)
    late = AT + timedelta(hours=GO_ON_HOURS)
    visit = go_on(live, job, "A1", late)
    assert visit is not None
    assert (visit.id, visit.done, visit.left) == (live[0].what.visit, {1}, (2,))
    assert visit.begun == AT
    assert go_on(live, job, "A1", late + timedelta(seconds=1)) is None
    assert go_on(live, job, "A2", AT) is None
    assert go_on(live, folder.kit.job("BC"), "A1", AT) is None
    with pytest.raises(DeskError, match="Broken chain on bike A2"):
        must_go_on(live, job, "A2", AT)


def test_a_finished_visit_is_not_gone_on_with_until_a_step_is_undone(folder: KitFolder) -> None:
    """Both steps logged: nothing to go on with; the second taken back: it is left again."""
    log(folder, 1)
    job = folder.kit.job("CH")
    visit = must_go_on(open_kit(folder.path).live, job, "A1", AT)
    log_job(folder, done_of(visit, visit.left, USUAL, urgent=False), when(1))
    assert go_on(open_kit(folder.path).live, job, "A1", AT) is None
    assert len({f.what.visit for f in open_kit(folder.path).live}) == 1  # type: ignore[union-attr]
    take_back(open_kit(folder.path), None, when(2))
    again = seen_again(visit, open_kit(folder.path).live)
    assert again.left == (2,)


def test_one_visit_is_not_made_several_times(folder: KitFolder) -> None:
    """Going on with a visit twice over would count one visit as two."""
    visit = begin(folder.kit.job("CH"), "")
    done = replace(done_of(visit, (1,), USUAL, urgent=False), times=2)
    with pytest.raises(DeskError, match="not made several times"):
        log_job(folder, done, when(0))
    assert open_kit(folder.path).facts == ()


def test_a_changed_step_is_logged_as_changed(folder: KitFolder) -> None:
    """A tool more, one fewer, a supply beside the usual draw, urgent, a note."""
    visit = begin(folder.kit.job("CH"), "A1")
    change = USUAL.with_tool("K4").without_tool("CT").with_supply("OIL", "3 ml").with_note("mud")
    log_job(folder, done_of(visit, (2,), change, urgent=True), when(0))
    (fact,) = open_kit(folder.path).live
    assert fact.what == StepDone(
        visit.id, "CH", 2, (Pick("K4"),), (Draw("OIL", 2), Draw("OIL", 3)),
        urgent=True, bike="A1", note="mud",
    )  # fmt: skip


def test_adding_and_dropping_undo_one_another() -> None:
    """A dropped tool taken after all is as usual; an added one dropped is not added."""
    assert USUAL.without_tool("a").with_tool("a") == USUAL
    assert USUAL.without_tool("a").without_tool("a") == USUAL
    assert USUAL.with_tool("a").without_tool("a") == USUAL
    assert USUAL.with_tool("a").with_tool("b").more == ("a", "b")


def test_what_a_step_takes_in_words() -> None:
    """Usual tools and supplies, then what was changed; nothing is said to be nothing."""
    kit = small_kit()
    open_step, fill = kit.job("bleed").steps
    assert takes(kit, open_step) == "Hex key 4 mm; Hex key 5 mm x2"
    change = Change(("lever",), ("key4",), (("fluid", "5 ml"),))
    assert takes(kit, fill, change) == (
        "30 ml Brake fluid; with Tyre lever; without Hex key 4 mm; with 5 ml Brake fluid"
    )
    bare = replace(fill, picks=(), draws=())
    assert takes(kit, bare) == "nothing out of the box"
    assert [choice.id for choice in to_drop(kit, open_step, change)] == ["key4", "key5", "lever"]


@pytest.mark.parametrize(
    ("typed", "kept"), [("20", "20 ml"), (" 2.5 ", "2.5 ml"), ("2 cl", "2 cl"), ("½ l", "½ l")]
)
def test_amounts_with_and_without_their_unit(folder: KitFolder, typed: str, kept: str) -> None:
    """The field names the measure, so a bare number is one of it."""
    assert amount_typed(folder.kit.supply("OIL"), typed) == kept


@pytest.mark.parametrize("typed", ["", "0", "0 ml", "much", "5 g", "-3", "1,5,0"])
def test_amounts_that_are_none(folder: KitFolder, typed: str) -> None:
    """Nothing, another kind, no number: refused with the supply's name."""
    with pytest.raises(DeskError, match="Chain lube"):
        amount_typed(folder.kit.supply("OIL"), typed)


def test_the_last_entries_and_taking_any_of_them_back(folder: KitFolder) -> None:
    """Newest first, undone ones stay in the list; an older one is taken back and brought back."""
    entries = [pick_tools(folder, [tool], when(n)) for n, tool in enumerate(("K4", "K5", "CT"))]

    def seen() -> list[tuple[str, bool]]:
        return [(e.words, e.live) for e in last_entries(open_kit(folder.path), 3)]

    take_back(open_kit(folder.path), entries[1].id, when(5))
    assert seen() == [
        ("picked Chain tool", True), ("picked Hex key 5 mm", False), ("picked Hex key 4 mm", True)
    ]  # fmt: skip
    assert len(list_entries(open_kit(folder.path))) == 2
    assert [e.live for e in every_entry(open_kit(folder.path))] == [True, True, False, True]
    brought = bring_back(open_kit(folder.path), entries[1].id, when(6))
    assert brought.live
    assert [live for _, live in seen()] == [True, True, True]
    with pytest.raises(DeskError, match="was not taken back"):
        bring_back(open_kit(folder.path), entries[1].id, when(7))
    assert len(last_entries(open_kit(folder.path), 2)) == 2


def test_one_step_of_many_is_named(folder: KitFolder) -> None:
    """In the list one sees which step it was; a job of one step needs no number."""
    log(folder, 2)
    assert list_entries(open_kit(folder.path))[0].words == "Broken chain, step 2 (bike A1)"
    log(folder, 1, bike="")
    assert list_entries(open_kit(folder.path))[0].words == "Broken chain, step 1"
