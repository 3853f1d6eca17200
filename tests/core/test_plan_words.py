"""Sentences about plans, and what is kept of a search that was cut short."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from clikit import write_kit_files
from hypothesis import given
from hypothesis import strategies as st

from toolbox.desk.conflicts import why_none
from toolbox.desk.errors import NoLayout
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.moves import Curve, Evening, find_few_moves
from toolbox.desk.plan_words import (
    gap_words,
    kept_words,
    knee_words,
    needed_words,
    saving_words,
)
from toolbox.desk.plans import (
    Comparison,
    Found,
    current_plan,
    find_plan,
    has_plan,
    keep_plan,
    plan_path,
    plan_seen,
    saved_plan,
    study,
)
from toolbox.desk.solving import Hearing
from toolbox.files.layouts import SavedPlan, save_plan
from toolbox.kit.layouts import Layout
from toolbox.layout.problem import Answer, Outcome
from toolbox.layout.solve import Effort
from toolbox.layout.watch import StopSwitch

DAY = date(2026, 11, 20)


@pytest.fixture
def folder(tmp_path: Path) -> KitFolder:
    """The small kit."""
    return open_kit(write_kit_files(tmp_path / "kit"))


@given(st.integers(1, 10**9), st.integers(0, 10**8))
def test_at_most_is_never_less_than_it_is(bound: int, over: int) -> None:
    """The percentage told is at least the true one, by exact fractions, and near it."""
    words = gap_words(bound + over, bound)
    if not over:
        assert words == "the best there can be"
        return
    told = re.fullmatch(r"at most ([0-9.]+) % above the best there can be", words)
    assert told is not None
    true, said = Fraction(100 * over, bound), Fraction(told[1])
    assert true <= said
    assert said - true <= (Fraction(1, 100) if said < 1 else Fraction(11, 100))


def test_a_gap_without_a_bound_is_not_known() -> None:
    """No bound, or one of nothing: no percentage is made up."""
    for bound in (None, 0):
        assert gap_words(5, bound) == "how far above the best there can be is not known"


def worse(found: Found, folder: KitFolder, *, cut_short: bool) -> Found:
    """Another answer to the same question, which costs more: nothing moved."""
    lazy = find_few_moves(folder, DAY, 0, effort=Effort.QUICK)
    assert lazy.answer.cost is not None
    assert found.answer.cost is not None
    assert lazy.answer.cost > found.answer.cost
    return replace(lazy, cut_short=cut_short)


def older(folder: KitFolder, cost: int, without: str = "") -> None:
    """The saved plan as if made from other inputs: another stamp, another cost written in it."""
    saved = current_plan(folder)
    spots = tuple(spot for spot in saved.layout.spots if spot.item != without)
    layout = Layout(saved.layout.name, spots)
    save_plan(plan_path(folder), SavedPlan(layout, cost, cost, saved.method, "of another kit"))


def test_a_search_cut_short_leaves_a_better_plan_alone(folder: KitFolder) -> None:
    """Its dearer layout is not saved, and that is said; a search that ended is saved."""
    found = find_plan(folder, DAY, effort=Effort.QUICK)
    assert not has_plan(folder)
    best = keep_plan(folder, found)
    before = plan_path(folder).read_bytes()
    short = worse(found, folder, cut_short=True)
    kept = keep_plan(folder, short)
    assert plan_path(folder).read_bytes() == before
    assert kept.cost == best.cost
    assert kept_words(short, kept).startswith("Stopped. The plan saved before is better and stays")
    whole = worse(found, folder, cut_short=False)
    kept = keep_plan(folder, whole)
    assert kept.cost == whole.answer.cost == current_plan(folder).cost
    assert kept_words(whole, kept).startswith("Plan saved: ")


def test_a_search_cut_short_judges_an_older_plan_by_today(folder: KitFolder) -> None:
    """A plan made before more was logged: what it costs now counts, not what is written in it."""
    found = find_plan(folder, DAY, effort=Effort.QUICK)
    best = keep_plan(folder, found)
    older(folder, cost=1)
    before = plan_path(folder).read_bytes()
    short = worse(found, folder, cut_short=True)
    kept = keep_plan(folder, short)
    assert plan_path(folder).read_bytes() == before
    assert kept.cost == best.cost
    assert not kept.fresh
    assert kept_words(short, kept).startswith("Stopped. The plan saved before is better and stays")
    lazy = worse(found, folder, cut_short=False)
    keep_plan(folder, lazy)
    older(folder, cost=1)
    better = replace(found, cut_short=True)
    assert keep_plan(folder, better).cost == best.cost == current_plan(folder).cost


def test_a_search_cut_short_replaces_a_plan_that_no_longer_fits(folder: KitFolder) -> None:
    """A cheap plan without a place for something that travels now is no answer."""
    found = find_plan(folder, DAY, effort=Effort.QUICK)
    keep_plan(folder, found)
    older(folder, cost=1, without=current_plan(folder).layout.spots[0].item)
    short = worse(found, folder, cut_short=True)
    assert keep_plan(folder, short).cost == short.answer.cost == current_plan(folder).cost


def test_a_stop_from_the_start_saves_the_best_so_far(folder: KitFolder) -> None:
    """A search stopped at once has at least the first layout, checked like any other."""
    stop = StopSwitch()
    stop.throw()
    found = find_plan(folder, DAY, stop=stop)
    assert found.cut_short
    assert keep_plan(folder, found).cost == found.answer.cost


def test_a_plan_seen_is_the_plan_saved(folder: KitFolder) -> None:
    """Seen with a study at hand it is what the command shows."""
    keep_plan(folder, find_plan(folder, DAY, effort=Effort.QUICK))
    assert plan_seen(study(folder, DAY), current_plan(folder)) == saved_plan(folder, DAY)


def test_a_plan_that_costs_more_is_not_said_to_save() -> None:
    """Each of the two figures has its own verb; shares are of today's cost."""
    versus = Comparison(10_000_000, 9_000_000, 4_000_000, 4_500_000, (), (), ())
    words = saving_words(versus)
    assert "The plan saves 1.0 s a day (10.0 %);" in words
    assert "urgent or not, it costs 0.5 s a day more." in words
    words = saving_words(replace(versus, planned=12_500_000))
    assert "The plan costs 2.5 s a day more (25.0 %);" in words


TOO_MANY = "".join(
    f'\n[[tool]]\nid = "B{n}"\nname = "Block {n}"\nmass = "2 kg"\n'
    'length = "60 mm"\nwidth = "60 mm"\nheight = "60 mm"\n'
    for n in range(4)
)


def test_looking_for_reasons_can_be_stopped(tmp_path: Path) -> None:
    """With a thrown stop nothing is said to be proved that was not looked into."""
    path = write_kit_files(tmp_path / "kit")
    with (path / "tools.toml").open("a", encoding="utf-8") as tools:
        tools.write(TOO_MANY)
    at = study(open_kit(path), DAY)
    stop = StopSwitch()
    assert any("cannot all hold" in words for words in why_none(at.kit, at.question, at.times))
    stop.throw()
    told = why_none(at.kit, at.question, at.times, stop=stop)
    assert not any("cannot all hold" in words for words in told)
    with pytest.raises(NoLayout):
        find_plan(open_kit(path), DAY, stop=stop)


def test_hearing_keeps_costs_and_bounds_with_their_times() -> None:
    """What the search tells, at the seconds it was told."""
    now = [100.0]
    seen = []
    hearing = Hearing(lambda: now[0], seen.append)
    assert hearing.heard.words == "no layout yet"
    now[0] = 102.0
    hearing.better_bound(8_000_000)
    now[0] = 103.5
    hearing.better_layout(Answer(Outcome.GOOD, (), 10_000_000, 8_000_000, "x"))
    assert hearing.heard.bounds == ((2.0, 8_000_000),)
    assert hearing.heard.costs == ((3.5, 10_000_000),)
    assert hearing.heard.words == "10.0 s a day, at most 25.0 % above the best there can be"
    assert seen[-1] == hearing.heard
    assert len(seen) == 2


def evening(moves: int | None, saved: int | None, share: float | None) -> Evening:
    """A row of a curve."""
    return Evening(moves, moves, None if saved is None else 9 - saved, 0, saved, share, None)


def test_the_knee_and_what_is_needed_in_words() -> None:
    """Each kind of curve has its sentence."""
    none, some, all_ = evening(0, 0, 0.0), evening(5, 6, 0.75), evening(9, 8, 1.0)
    assert knee_words(Curve(9, (none, some, all_), some)).startswith("5 moves give 75 %")
    assert "no knee" in knee_words(Curve(9, (none, all_), None))
    flat = evening(9, 0, None)
    assert "No layout was found that saves" in knee_words(Curve(9, (none, flat), None))
    assert needed_words(Curve(9, (none, all_), None)) == ""
    missing = evening(None, None, None)
    assert needed_words(Curve(9, (missing, some), None)).endswith("make it hold are 5.")
    assert "with any number of moves" in needed_words(Curve(None, (missing,), None))
