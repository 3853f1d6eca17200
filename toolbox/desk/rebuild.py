"""Rebuilding the box step by step: a checklist that can be left and taken up again.

What the box was like when the rebuild began is kept beside the plan; which steps
are done is read from today's layout, which follows every tick. So a list that was
left half-way goes on where it stood.
"""

from __future__ import annotations

from dataclasses import dataclass

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.plans import LAYOUTS, PRESENT, current_plan
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


def rebuild_list(folder: KitFolder) -> Rebuild:
    """The checklist from the layout the rebuild began with to the saved plan."""
    now = _spots(_today(folder))
    before, after = _spots(_before(folder)), _spots(current_plan(folder).layout)
    return Rebuild(_steps(folder.kit, before, now, after))


def tick(folder: KitFolder) -> RebuildStep:
    """Say that the next step is done; today's layout follows. DeskError when none is left."""
    step = rebuild_list(folder).next
    if step is None:
        raise DeskError("every step of the rebuild is done")
    now = _spots(_today(folder))
    after = _spots(current_plan(folder).layout)
    save_layout(folder.path / LAYOUTS / f"{BEFORE}.toml", _before(folder), _NOTE)
    for copy in (*step.copies, *step.anew):
        if step.handling is Handling.BENCH:
            now.pop(copy, None)
        else:
            now[copy] = after[copy]
    _save_today(folder, now)
    return step


def untick(folder: KitFolder) -> RebuildStep:
    """Take the last step back that is done; DeskError when none is."""
    steps = rebuild_list(folder).steps
    done = [step for step in steps if step.done]
    if not done:
        raise DeskError("no step of the rebuild is done yet")
    last = done[-1]
    now, before = _spots(_today(folder)), _spots(_before(folder))
    benched = {
        copy
        for step in steps
        if step.handling is Handling.BENCH and step.number < last.number
        for copy in step.copies
    }
    for copy in (*last.copies, *last.anew):
        if copy in benched or copy not in before:
            now.pop(copy, None)
        else:
            now[copy] = before[copy]
    _save_today(folder, now)
    return last


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


def _today(folder: KitFolder) -> Layout:
    return folder.kit.present or Layout(PRESENT, ())


def _before(folder: KitFolder) -> Layout:
    """The layout this rebuild began with: the kept one if it belongs to this plan."""
    name = f"{BEFORE} {current_plan(folder).stamp}"
    path = folder.path / LAYOUTS / f"{BEFORE}.toml"
    if path.is_file():
        kept = layout_from_file(path, folder.kit)
        if kept.name == name:
            return kept
    return Layout(name, _today(folder).spots)


def _save_today(folder: KitFolder, spots: dict[str, Spot]) -> None:
    order = [copy for copy in folder.kit.carried() if copy in spots]
    layout = Layout(PRESENT, tuple(spots[copy] for copy in order))
    save_layout(folder.path / LAYOUTS / f"{PRESENT}.toml", layout, "How the box lies today.")
