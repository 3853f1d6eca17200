"""A visit: one go at a job on a bike, step by step, left and gone on with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from toolbox.desk.diary import Done, new_visit, read_amount
from toolbox.desk.errors import DeskError
from toolbox.desk.likely import LOOKED_AT, Choice, Sort
from toolbox.kit.facts import Fact, StepDone
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import write
from toolbox.kit.things import KIND_OF, base_id
from toolbox.kit.work import Job, Pick, Step

GO_ON_HOURS = 3
"""A visit left unfinished can be gone on with for so long (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Visit:
    """One go at a job: its id in the log, the bike ("" for none), which steps are logged.

    ``begun`` is when its first step happened, None before that.
    """

    id: str
    job: Job
    bike: str = ""
    begun: datetime | None = None
    done: frozenset[int] = frozenset()

    @property
    def left(self) -> tuple[int, ...]:
        """Numbers of the steps that are still to be logged, in order."""
        return tuple(step.number for step in self.job.steps if step.number not in self.done)


@dataclass(frozen=True, slots=True)
class Change:
    """What is different from usual in one step: tools more and fewer by id, supplies, a note.

    ``used`` are pairs of a supply's id and an amount with its unit, beside the usual draws.
    """

    more: tuple[str, ...] = ()
    fewer: tuple[str, ...] = ()
    used: tuple[tuple[str, str], ...] = ()
    note: str = ""

    def with_tool(self, tool: str) -> Change:
        """One tool more; one that was dropped is taken as usual again."""
        if tool in self.fewer:
            return replace(self, fewer=tuple(t for t in self.fewer if t != tool))
        return replace(self, more=(*self.more, tool))

    def without_tool(self, tool: str) -> Change:
        """The tool dropped: an added one is not added, a dropped one is taken again."""
        if tool in self.more:
            return replace(self, more=tuple(t for t in self.more if t != tool))
        if tool in self.fewer:
            return self.with_tool(tool)
        return replace(self, fewer=(*self.fewer, tool))

    def with_supply(self, supply: str, amount: str) -> Change:
        """So much more of a supply used."""
        return replace(self, used=(*self.used, (supply, amount)))

    def with_note(self, note: str) -> Change:
        """This note instead of the one before; "" for none."""
        return replace(self, note=note)


USUAL = Change()


def begin(job: Job, bike: str) -> Visit:
    """A visit that begins now."""
    return Visit(new_visit(), job, bike)


def go_on(facts: Sequence[Fact], job: Job, bike: str, now: datetime) -> Visit | None:
    """The last visit at this job on this bike if it was left unfinished not long ago.

    ``facts`` are those that count, in the order of writing; only the newest are looked at.
    """
    for fact in reversed(facts[-LOOKED_AT:]):
        what = fact.what
        if isinstance(what, StepDone) and (what.job, what.bike) == (job.id, bike):
            visit = seen_again(Visit(what.visit, job, bike), facts)
            lately = now - fact.at <= timedelta(hours=GO_ON_HOURS)
            return visit if visit.left and lately else None
    return None


def must_go_on(facts: Sequence[Fact], job: Job, bike: str, now: datetime) -> Visit:
    """The same; DeskError when there is none."""
    visit = go_on(facts, job, bike, now)
    if visit is None:
        on = f" on bike {bike}" if bike else ""
        raise DeskError(
            f"no visit at {job.name}{on} was left unfinished in the last {GO_ON_HOURS} hours"
        )
    return visit


def seen_again(visit: Visit, facts: Sequence[Fact]) -> Visit:
    """The visit with what these facts say of it, those that count, in the order of writing."""
    own = [
        (fact.at, fact.what.step)
        for fact in facts[-LOOKED_AT:]
        if isinstance(fact.what, StepDone) and fact.what.visit == visit.id
    ]
    begun = min((at for at, _ in own), default=None)
    return replace(visit, begun=begun, done=frozenset(step for _, step in own))


def done_of(visit: Visit, steps: Iterable[int], change: Change, *, urgent: bool) -> Done:
    """What to log for these steps of a visit, changed like this."""
    return Done(
        job=visit.job.id,
        steps=tuple(steps),
        more=change.more,
        fewer=change.fewer,
        used=tuple(f"{supply}={amount}" for supply, amount in change.used),
        urgent=urgent,
        bike=visit.bike,
        note=change.note,
        visit=visit.id,
    )


def to_drop(kit: Kit, step: Step, change: Change) -> tuple[Choice, ...]:
    """Every tool the step takes, dropped and added ones too, each once, in the step's order."""
    usual = (base_id(pick.tool) for pick in step.picks)
    tools = dict.fromkeys((*usual, *change.more))
    return tuple(Choice(Sort.TOOL, tool, kit.tool(tool).name) for tool in tools)


def takes(kit: Kit, step: Step, change: Change = USUAL) -> str:
    """What a step takes up and uses up, with what was changed, in words."""
    kept = [pick for pick in step.picks if base_id(pick.tool) not in change.fewer]
    said = [_pick(kit, pick) for pick in kept]
    said += [_amount(kit, draw.supply, draw.amount) for draw in step.draws]
    said += [f"with {kit.tool(tool).name}" for tool in change.more]
    said += [f"without {kit.tool(tool).name}" for tool in change.fewer]
    for supply, amount in change.used:
        said.append(f"with {_amount(kit, supply, read_amount(kit.supply(supply), amount))}")
    return "; ".join(said) or "nothing out of the box"


def _pick(kit: Kit, pick: Pick) -> str:
    name = kit.tool(base_id(pick.tool)).name
    return f"{name} x{pick.times}" if pick.times > 1 else name


def _amount(kit: Kit, supply: str, amount: int) -> str:
    thing = kit.supply(supply)
    return f"{write(amount, KIND_OF[thing.measure])} {thing.name}"
