"""Ranking the tools, planning the box, and comparing the plan with the box as it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from toolbox.desk.errors import DeskError, NoLayout
from toolbox.desk.folder import KitFolder
from toolbox.desk.present import check_layout
from toolbox.desk.question import Question, layout_question
from toolbox.files.layouts import SavedPlan, load_plan, save_layout, save_plan
from toolbox.kit.box import Inside
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.layout.problem import Answer, LayoutProblem, Outcome, cost_of
from toolbox.layout.verify import faults as layout_faults
from toolbox.layout.watch import Stop, Watcher
from toolbox.reach.engine import ReachTimes, reach_times
from toolbox.usage.engine import Usage, estimate_tallied

if TYPE_CHECKING:
    from toolbox.layout.solve import Effort

LAYOUTS = "layouts"
PRESENT = "present"
PLAN = "plan"


@dataclass(frozen=True, slots=True)
class Study:
    """What the engines make of a kit on a day: usage, reach and the layout question."""

    kit: Kit
    usage: Usage
    times: ReachTimes
    question: Question


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found: the study it was asked of, and its answer, which has a layout.

    ``cut_short`` tells that it was stopped before its end; a better plan is then kept.
    """

    at: Study
    answer: Answer
    cut_short: bool = False


@dataclass(frozen=True, slots=True)
class Move:
    """A copy that changes compartment; ``origin`` is None for one that has no place yet."""

    copy: str
    origin: str | None
    target: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """Today's layout against a plan, in microseconds a day.

    ``present`` and ``planned`` weigh urgent seconds; the ``plain`` pair does not.
    Copies without a place today are counted where the plan puts them on both
    sides, so that they can't make the saving look larger. ``present_faults`` says
    in words where today's layout breaks a rule or does not fit.
    """

    present: int
    planned: int
    plain_present: int
    plain_planned: int
    moves: tuple[Move, ...]
    unplaced: tuple[str, ...]
    present_faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """A verified layout with its cost and bound (microseconds a day) and how it was found."""

    layout: Layout
    cost: int
    bound: int | None
    gap: float | None
    optimal: bool
    method: str
    stamp: str
    fresh: bool  # made from the kit, journal and day it is now shown with
    comparison: Comparison | None


def rank_tools(folder: KitFolder, today: date) -> Usage:
    """How often every tool is wanted, from the journal as it stands on that day."""
    kit = folder.kit
    return estimate_tallied(kit.jobs, kit.tools, kit.supplies, folder.tally, today, kit.settings)


def study(folder: KitFolder, today: date, before: Study | None = None) -> Study:
    """Usage, reach and the layout question of a kit on that day.

    ``before`` is an earlier study: of a kit described alike, reach is taken over from it.
    """
    usage = rank_tools(folder, today)
    kit = folder.kit
    if before is None or not same_things(before.kit, kit):
        times = reach_of(kit)
        return Study(kit, usage, times, layout_question(kit, usage, times))
    question = layout_question(kit, usage, before.times, before.question)
    return Study(kit, usage, before.times, question)


def same_things(kit: Kit, other: Kit) -> bool:
    """Whether two kits are described alike, wherever their things lie today."""
    return kit is other or replace(kit, present=None) == replace(other, present=None)


def study_packed(folder: KitFolder, today: date) -> Study:
    """The same for a kit with something in its box; DeskError when nothing travels in it."""
    at = study(folder, today)
    if not at.question.problem.items:
        raise DeskError(
            "no tool of this kit travels in the box yet; add some with "
            '"toolbox import FILE.csv" or in tools.toml'
        )
    return at


def make_plan(
    folder: KitFolder,
    today: date,
    *,
    effort: Effort | None = None,
    seconds: float | None = None,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
) -> Plan:
    """Find a layout, have it verified, and save it as the kit's plan.

    ``effort`` None is the normal one. Raises NoLayout with the reasons when there is none or
    none was found.
    """
    return keep_plan(
        folder,
        find_plan(folder, today, effort=effort, seconds=seconds, watcher=watcher, stop=stop),
    )


def find_plan(
    folder: KitFolder,
    today: date,
    *,
    effort: Effort | None = None,
    seconds: float | None = None,
    watcher: Watcher | None = None,
    stop: Stop | None = None,
) -> Found:
    """Find a layout; nothing is stored. Raises as ``make_plan`` does."""
    # Loaded by who searches: everything else looks at the kit without it.
    from toolbox.layout.solve import Effort, solve

    at = study_packed(folder, today)
    asked = stop or _never
    answer = solve(
        at.question.problem,
        effort=effort or Effort.NORMAL,
        seconds=seconds,
        watcher=watcher or Watcher(),
        stop=asked,
        start=present_homes(at),
    )
    _refuse_bad(at, answer, asked)
    return Found(at, answer, cut_short=asked())


def keep_plan(folder: KitFolder, found: Found) -> Plan:
    """Check the layout that was found and save it as the kit's plan; NoLayout if it fails.

    Where the search was cut short, a plan saved before stays if by today's question it
    still fits and costs no more: it may be half rebuilt already.
    """
    at, answer = found.at, found.answer
    _refuse_faults(layout_faults(at.question.problem, answer))
    layout = _keep_corners(at, Layout(PLAN, _spots(at.question, answer)))
    _refuse_faults(check_layout(at.question, layout))
    assert answer.cost is not None, "an answer with puts has a cost"
    before = _still_good(at, folder) if found.cut_short else None
    if before is not None and before.cost <= answer.cost:
        return before
    plan = _plan(at, layout, answer)
    saved = SavedPlan(layout, answer.cost, answer.bound, answer.method, at.question.stamp)
    save_plan(plan_path(folder), saved)
    return plan


def _still_good(at: Study, folder: KitFolder) -> Plan | None:
    """The plan saved before as the study sees it; None without one that has and fits all."""
    if not has_plan(folder):
        return None
    before = current_plan(folder)
    unplaced = -1 in at.question.homes(before.layout.places())
    return None if unplaced or check_layout(at.question, before.layout) else plan_seen(at, before)


def saved_plan(folder: KitFolder, today: date) -> Plan:
    """The plan saved last, compared with today's layout; DeskError when there is none.

    A plan that no longer fits the kit (a tool added, a compartment gone) is refused
    with the reason.
    """
    return plan_seen(study(folder, today), current_plan(folder))


def plan_seen(at: Study, saved: SavedPlan) -> Plan:
    """A saved plan as it stands on the day of the study; refused as by ``saved_plan``."""
    homes = at.question.homes(saved.layout.places())
    if -1 in homes:
        missing = [c for c, home in zip(at.question.copies, homes, strict=True) if home < 0]
        raise DeskError(
            f"the saved plan has no place for {', '.join(missing[:5])}; "
            'the kit has changed since: make a new one with "toolbox plan"'
        )
    cost = cost_of(at.question.problem, homes)
    fresh = saved.stamp == at.question.stamp
    bound = saved.bound if fresh else None
    answer = Answer(Outcome.GOOD, (), cost, bound, saved.method)
    return replace(_plan(at, saved.layout, answer), stamp=saved.stamp, fresh=fresh)


def saved_layout(folder: KitFolder) -> Layout:
    """The layout of the plan saved last; DeskError when there is none."""
    return current_plan(folder).layout


def study_plan(folder: KitFolder, today: date) -> tuple[Study, Layout, tuple[int, ...]]:
    """The study of that day with the saved plan and its homes by item.

    DeskError when there is no plan, it has no place for something or no longer holds.
    """
    layout = saved_layout(folder)
    at = study(folder, today)
    homes = at.question.homes(layout.places())
    if -1 in homes or check_layout(at.question, layout):
        raise DeskError('the saved plan no longer fits the kit; make a new one with "toolbox plan"')
    return at, layout, homes


def reach_of(kit: Kit) -> ReachTimes:
    """How long reaching takes, for every carried thing in every compartment."""
    return reach_times(kit.box, kit.settings, kit.readings, kit.carried())


def plan_path(folder: KitFolder) -> Path:
    """Where the plan is or would be saved."""
    return folder.path / LAYOUTS / f"{PLAN}.toml"


def has_plan(folder: KitFolder) -> bool:
    """Whether a plan was saved in this kit."""
    return plan_path(folder).is_file()


def current_plan(folder: KitFolder) -> SavedPlan:
    """The plan saved last, as it was saved; DeskError when there is none."""
    if not has_plan(folder):
        raise DeskError('no plan saved in this kit yet; make one with "toolbox plan"')
    return load_plan(plan_path(folder), folder.kit)


def adopt_plan(folder: KitFolder) -> Layout:
    """Say that the box now lies as planned: the plan becomes the present layout."""
    return save_present(folder, saved_layout(folder).spots, "The plan, taken over as it is.")


def save_present(
    folder: KitFolder, spots: Iterable[Spot], note: str = "How the box lies today."
) -> Layout:
    """Write down how the box lies today, and return it; ``note`` heads the file."""
    layout = Layout(PRESENT, tuple(spots))
    save_layout(folder.path / LAYOUTS / f"{PRESENT}.toml", layout, note)
    return layout


def compare(at: Study, layout: Layout) -> Comparison | None:
    """Today's layout against another; None when nothing is said about today."""
    present = at.kit.present
    if present is None or not present.spots:
        return None
    places, planned = present.places(), layout.places()
    homes = at.question.homes(planned)
    filled = at.question.homes({**planned, **places})
    problem = at.question.problem
    plain = _plain_problem(at)
    return Comparison(
        present=cost_of(problem, filled),
        planned=cost_of(problem, homes),
        plain_present=cost_of(plain, filled),
        plain_planned=cost_of(plain, homes),
        moves=_moves(at.question.copies, places, planned),
        unplaced=tuple(c for c in at.question.copies if c not in places),
        present_faults=check_layout(at.question, present),
    )


def _plan(at: Study, layout: Layout, answer: Answer) -> Plan:
    assert answer.cost is not None, "only answers with a layout become plans"
    return Plan(
        layout=layout,
        cost=answer.cost,
        bound=answer.bound,
        gap=answer.gap(),
        optimal=answer.cost == answer.bound,
        method=answer.method,
        stamp=at.question.stamp,
        fresh=True,
        comparison=compare(at, layout),
    )


def _plain_problem(at: Study) -> LayoutProblem:
    settings = replace(at.kit.settings, urgent_weight=Fraction(1))
    return layout_question(replace(at.kit, settings=settings), at.usage, at.times).problem


def present_homes(at: Study) -> tuple[int, ...] | None:
    """Today's compartment of each copy as the engine's numbers; None when nobody has said."""
    if at.kit.present is None:
        return None
    return at.question.homes(at.kit.present.places())


def _never() -> bool:
    return False


def _refuse_bad(at: Study, answer: Answer, stop: Stop) -> None:
    proved = answer.outcome is Outcome.IMPOSSIBLE
    if proved or answer.outcome is Outcome.NONE_FOUND:
        lead = "no layout can keep everything" if proved else "no layout was found"
        from toolbox.desk.conflicts import why_none

        reasons = why_none(at.kit, at.question, at.times, proved=proved, stop=stop)
        raise NoLayout((f"{lead}: {answer.method}", *reasons))


def _refuse_faults(found: tuple[str, ...]) -> None:
    if found:
        raise NoLayout(("the answer failed its check and is not shown:", *found))


def _keep_corners(at: Study, planned: Layout) -> Layout:
    """Leave things where they lie in every compartment that keeps just what it holds."""
    present = at.kit.present
    if present is None:
        return planned
    kept: dict[str, Spot] = {}
    for compartment in at.question.compartments:
        old = tuple(spot for spot in present.spots if spot.compartment == compartment)
        new = {spot.item for spot in planned.spots if spot.compartment == compartment}
        same = {spot.item for spot in old} == new and all(spot.x is not None for spot in old)
        if same and not check_layout(at.question, Layout(PRESENT, old)):
            kept.update({spot.item: spot for spot in old})
    return Layout(planned.name, tuple(kept.get(spot.item, spot) for spot in planned.spots))


def _spots(question: Question, answer: Answer) -> tuple[Spot, ...]:
    spots = []
    for copy, put in zip(question.copies, answer.puts, strict=True):
        compartment = question.compartments[put.place]
        kind = question.problem.places[put.place].kind
        if kind is Inside.LOOSE:
            spots.append(Spot(copy, compartment))
        elif kind is Inside.ROW:
            spots.append(Spot(copy, compartment, put.x))
        else:
            spots.append(Spot(copy, compartment, put.x, put.y, put.turned))
    return tuple(spots)


def _moves(
    copies: tuple[str, ...], places: dict[str, str], planned: dict[str, str]
) -> tuple[Move, ...]:
    return tuple(
        Move(copy, places.get(copy), planned[copy])
        for copy in copies
        if places.get(copy) != planned[copy]
    )
