"""Rebuilding the box step by step: a checklist that can be left and taken up again.

What the box was like when the rebuild began is kept beside the plan; which steps
are done is read from today's layout, which follows every tick. So a list that was
left half-way goes on where it stood.
"""

from __future__ import annotations

from dataclasses import dataclass

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.plans import LAYOUTS, PRESENT, current_plan, save_present
from toolbox.files.layouts import layout_from_file, save_layout
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.layout.order import Batch, Handling, rebuild_order

BEFORE = "before"
_NOTE = "How the box lay when the rebuild began. Written by toolbox."


@dataclass(frozen=True, slots=True)
class RebuildStep:
    """One line of the checklist: what to do with these copies, and whether it is done.

    ``compartment`` is emptied onto the bench or filled; ``anew`` names copies that
    stay in it but lie elsewhere in it afterwards.
    """

    number: int
    handling: Handling
    compartment: str
    copies: tuple[str, ...]
    anew: tuple[str, ...]
    done: bool


@dataclass(frozen=True, slots=True)
class Rebuild:
    """The whole checklist in the order of work."""

    steps: tuple[RebuildStep, ...]

    @property
    def done(self) -> int:
        """How many steps are done."""
        return sum(step.done for step in self.steps)

    @property
    def next(self) -> RebuildStep | None:
        """The first step that is not done, None when all are."""
        return next((step for step in self.steps if not step.done), None)


@dataclass(frozen=True, slots=True)
class _Site:
    """The layouts a rebuild lies between, read once: spots by copy, and the kept beginning."""

    kept: Layout
    before: dict[str, Spot]
    now: dict[str, Spot]
    after: dict[str, Spot]


def rebuild_list(folder: KitFolder) -> Rebuild:
    """The checklist from the layout the rebuild began with to the saved plan."""
    return _listed(folder.kit, _site(folder))


def tick(folder: KitFolder) -> RebuildStep:
    """Say that the next step is done; today's layout follows. DeskError when none is left."""
    site = _site(folder)
    step = _listed(folder.kit, site).next
    if step is None:
        raise DeskError("every step of the rebuild is done")
    save_layout(folder.path / LAYOUTS / f"{BEFORE}.toml", site.kept, _NOTE)
    now = dict(site.now)
    for copy in (*step.copies, *step.anew):
        if step.handling is Handling.BENCH:
            now.pop(copy, None)
        else:
            now[copy] = site.after[copy]
    _save_today(folder, now)
    return step


def untick(folder: KitFolder) -> RebuildStep:
    """Take the last step back that is done; DeskError when none is."""
    site = _site(folder)
    steps = _listed(folder.kit, site).steps
    done = [step for step in steps if step.done]
    if not done:
        raise DeskError("no step of the rebuild is done yet")
    last = done[-1]
    now = dict(site.now)
    benched = {
        copy
        for step in steps
        if step.handling is Handling.BENCH and step.number < last.number
        for copy in step.copies
    }
    for copy in (*last.copies, *last.anew):
        if copy in benched or copy not in site.before:
            now.pop(copy, None)
        else:
            now[copy] = site.before[copy]
    _save_today(folder, now)
    return last


def _listed(kit: Kit, site: _Site) -> Rebuild:
    return Rebuild(_steps(kit, site.before, site.now, site.after))


def _site(folder: KitFolder) -> _Site:
    plan = current_plan(folder)
    today = folder.kit.present or Layout(PRESENT, ())
    kept = _kept(folder, f"{BEFORE} {plan.stamp}") or Layout(f"{BEFORE} {plan.stamp}", today.spots)
    return _Site(kept, _spots(kept), _spots(today), _spots(plan.layout))


def _kept(folder: KitFolder, name: str) -> Layout | None:
    """The layout kept when the rebuild to this very plan began, None before that."""
    path = folder.path / LAYOUTS / f"{BEFORE}.toml"
    if not path.is_file():
        return None
    kept = layout_from_file(path, folder.kit)
    return kept if kept.name == name else None


def _steps(
    kit: Kit, before: dict[str, Spot], now: dict[str, Spot], after: dict[str, Spot]
) -> tuple[RebuildStep, ...]:
    copies = tuple(after)
    number = {c.id: n for n, c in enumerate(kit.box.compartments)}
    batches = rebuild_order(
        tuple(number[before[c].compartment] if c in before else -1 for c in copies),
        tuple(number[after[c].compartment] for c in copies),
    )
    steps = []
    for n, batch in enumerate(batches, 1):
        compartment = kit.box.compartments[batch.place].id
        moved = tuple(copies[i] for i in batch.items)
        anew = _laid_anew(batch, compartment, moved, before, after)
        done = _is_done(batch.handling, compartment, moved, now, after)
        steps.append(RebuildStep(n, batch.handling, compartment, moved, anew, done))
    return tuple(steps)


def _laid_anew(
    batch: Batch,
    compartment: str,
    moved: tuple[str, ...],
    before: dict[str, Spot],
    after: dict[str, Spot],
) -> tuple[str, ...]:
    if batch.handling is Handling.BENCH:
        return ()
    return tuple(
        copy
        for copy, spot in after.items()
        if spot.compartment == compartment and copy not in moved and before.get(copy) != spot
    )


def _is_done(
    handling: Handling,
    compartment: str,
    moved: tuple[str, ...],
    now: dict[str, Spot],
    after: dict[str, Spot],
) -> bool:
    if handling is Handling.BENCH:
        return all(copy not in now or now[copy].compartment != compartment for copy in moved)
    return all(now.get(copy) == after[copy] for copy in moved)


def _spots(layout: Layout) -> dict[str, Spot]:
    return {spot.item: spot for spot in layout.spots}


def _save_today(folder: KitFolder, spots: dict[str, Spot]) -> None:
    save_present(folder, (spots[copy] for copy in folder.kit.carried() if copy in spots))
