"""Rebuilding the box step by step: a checklist that can be left and taken up again.

What the box was like when the rebuild began is kept beside the plan; which steps
are done is read from today's layout, which follows every tick. So a list that was
left half-way goes on where it stood.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, name_of_copy
from toolbox.desk.plans import LAYOUTS, PRESENT, current_plan, save_present
from toolbox.files.layouts import SavedPlan, layout_from_file, save_layout
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.layout.order import Batch, Handling, rebuild_order

BEFORE = "before"
BENCH = ""  # no compartment is called so
_NOTE = "How the box lay when the rebuild began. Written by toolbox."


@dataclass(frozen=True, slots=True)
class RebuildStep:
    """One line of the checklist: what to do with these copies, and whether it is done.

    ``compartment`` is emptied onto the bench or filled; ``anew`` names copies that
    stay in it but lie elsewhere in it afterwards. ``after`` is the number of a step that
    has to be done before it, None when it can be done now. ``origins`` are where the
    copies are taken from: a compartment, BENCH, or None for what lies outside the box.
    """

    number: int
    handling: Handling
    compartment: str
    copies: tuple[str, ...]
    anew: tuple[str, ...]
    done: bool
    origins: tuple[str | None, ...]
    after: int | None = None


@dataclass(frozen=True, slots=True)
class Rebuild:
    """The whole checklist in the order of work."""

    steps: tuple[RebuildStep, ...]

    @property
    def done(self) -> int:
        """How many steps are done."""
        return sum(step.done for step in self.steps)

    @property
    def half_done(self) -> bool:
        """Whether it was begun and not brought to its end."""
        return bool(self.done) and self.next is not None

    @property
    def next(self) -> RebuildStep | None:
        """The first step that is not done, None when all are."""
        return next((step for step in self.steps if not step.done), None)

    @property
    def last(self) -> RebuildStep | None:
        """The last step in the order of work that is done, None when none is."""
        return next((step for step in reversed(self.steps) if step.done), None)

    def step(self, number: int) -> RebuildStep:
        """The step with this number; DeskError when there is none."""
        found = next((step for step in self.steps if step.number == number), None)
        if found is None:
            raise DeskError(f"the rebuild has no step {number} any more: look at the list again")
        return found


@dataclass(frozen=True, slots=True)
class _Site:
    """The layouts a rebuild lies between, read once: spots by copy, and the kept beginning."""

    kept: Layout
    before: dict[str, Spot]
    now: dict[str, Spot]
    after: dict[str, Spot]


def rebuild_list(folder: KitFolder, plan: SavedPlan | None = None) -> Rebuild:
    """The checklist from the layout the rebuild began with to the saved plan.

    ``plan`` is that plan where it was read already.
    """
    return _listed(folder.kit, _site(folder, plan))


def tick(folder: KitFolder, number: int | None = None) -> RebuildStep:
    """Say that the next step, or the one with this number, is done; today's layout follows.

    DeskError when none is left, or when another step has to be done before it.
    """
    site = _site(folder)
    listed = _listed(folder.kit, site)
    step = listed.next if number is None else listed.step(number)
    if step is None:
        raise DeskError("every step of the rebuild is done")
    if step.after is not None:
        raise DeskError(f"step {step.after} comes before step {step.number}: do it first")
    save_layout(folder.path / LAYOUTS / f"{BEFORE}.toml", site.kept, _NOTE)
    now = dict(site.now)
    for copy in (*step.copies, *step.anew):
        if step.handling is Handling.BENCH:
            now.pop(copy, None)
        else:
            now[copy] = site.after[copy]
    _save_today(folder, now)
    return step


def untick(folder: KitFolder, number: int | None = None) -> RebuildStep:
    """Take the last step back that is done, which must be the one with this number if given.

    DeskError when none is done, or when a later one has to be taken back first.
    """
    site = _site(folder)
    listed = _listed(folder.kit, site)
    steps = listed.steps
    last = listed.last
    if last is None:
        raise DeskError("no step of the rebuild is done yet")
    if number is not None and number != last.number:
        raise DeskError(f"step {last.number} was done after it: take that one back first")
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


def left_words(listed: Rebuild) -> tuple[str, str]:
    """How far a half-done rebuild stands, and what another plan would mean for it."""
    return (
        f"The rebuild stands at {listed.done} of {len(listed.steps)} steps",
        "its rebuild goes on from the box as it lies today",
    )


def step_words(kit: Kit, step: RebuildStep) -> str:
    """What is done in a step, without the things it is done with."""
    place = kit.compartment(step.compartment).name
    return f"empty {place}" if step.handling is Handling.BENCH else f"fill {place}"


def things_words(kit: Kit, step: RebuildStep) -> str:
    """What ``step_words`` goes on with: the things handled in a step, and where they are now."""
    if step.handling is Handling.BENCH:
        return f"onto the bench: {'; '.join(name_of_copy(kit, copy) for copy in step.copies)}"
    taken: dict[str | None, list[str]] = {}
    for copy, origin in zip(step.copies, step.origins, strict=True):
        taken.setdefault(origin, []).append(name_of_copy(kit, copy))
    # What has no "from" before it comes first, or it would seem to lie with the others.
    order = sorted(taken, key=lambda origin: origin is not None)
    return "; ".join(f"{_from(kit, origin)} {'; '.join(taken[origin])}" for origin in order)


def _from(kit: Kit, origin: str | None) -> str:
    if origin is None:
        return "with"
    return f"from {'the bench' if origin == BENCH else kit.compartment(origin).name}:"


def anew_words(kit: Kit, step: RebuildStep) -> str:
    """What stays in the compartment but lies elsewhere in it afterwards, "" for nothing."""
    if not step.anew:
        return ""
    names = "; ".join(name_of_copy(kit, copy) for copy in step.anew)
    return f"lay anew in {kit.compartment(step.compartment).name}, as its map shows: {names}"


def _listed(kit: Kit, site: _Site) -> Rebuild:
    steps = _steps(kit, site.before, site.now, site.after)
    return Rebuild(tuple(replace(step, after=_waits_for(step, steps, site)) for step in steps))


def _waits_for(step: RebuildStep, steps: Sequence[RebuildStep], site: _Site) -> int | None:
    """An earlier step that must be done first: it makes room, or takes these things out."""
    if step.done or step.handling is Handling.BENCH:
        return None
    for other in steps[: step.number - 1]:
        leaves = any(
            copy in site.before and site.before[copy].compartment == step.compartment
            for copy in other.copies
        )
        benches = other.handling is Handling.BENCH and set(other.copies) & set(step.copies)
        if not other.done and (leaves or benches):
            return other.number
    return None


def _site(folder: KitFolder, known: SavedPlan | None = None) -> _Site:
    plan = known or current_plan(folder)
    today = folder.kit.present or Layout(PRESENT, ())
    name = _beginning(plan)
    kept = _kept(folder, name) or Layout(name, today.spots)
    return _Site(kept, _spots(kept), _spots(today), _spots(plan.layout))


def _beginning(plan: SavedPlan) -> str:
    """What the layout is called that the rebuild to this plan, and no other, began with."""
    spots = repr(plan.layout.spots).encode()
    return f"{BEFORE} {plan.stamp} {sha256(spots).hexdigest()[:8]}"


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
    benched: set[str] = set()
    for n, batch in enumerate(batches, 1):
        compartment = kit.box.compartments[batch.place].id
        moved = tuple(copies[i] for i in batch.items)
        anew = _laid_anew(batch, compartment, moved, before, after)
        done = _is_done(batch.handling, compartment, moved, now, after)
        lay = [before[copy].compartment if copy in before else None for copy in moved]
        origins = [BENCH if c in benched else at for c, at in zip(moved, lay, strict=True)]
        steps.append(RebuildStep(n, batch.handling, compartment, moved, anew, done, tuple(origins)))
        if batch.handling is Handling.BENCH:
            benched.update(moved)
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
