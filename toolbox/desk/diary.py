"""Logging: job steps done, loose picks, supplies used, and taking entries back."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.naming import job_named, supply_named, tool_named
from toolbox.journal.live import live_entries
from toolbox.journal.store import open_journal
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone, What
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, QuantityError, read, write
from toolbox.kit.things import Measure, Supply
from toolbox.kit.work import Draw, Job, Pick, Step

KIND_OF = {
    Measure.MILLILITRES: Kind.VOLUME,
    Measure.GRAMS: Kind.MASS,
    Measure.PIECES: Kind.PIECES,
}


@dataclass(frozen=True, slots=True)
class When:
    """When it happened, when it was written down, and by whom."""

    at: datetime
    written: datetime
    author: str


@dataclass(frozen=True, slots=True)
class Done:
    """What is said of a job when it is logged; empty means "as usual"."""

    job: str
    steps: tuple[int, ...] = ()
    more: tuple[str, ...] = ()
    fewer: tuple[str, ...] = ()
    used: tuple[str, ...] = ()
    times: int = 1
    urgent: bool = False
    bike: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry of the journal in words, with the facts it holds; ``live`` until undone."""

    id: str
    words: str
    facts: tuple[What, ...]
    live: bool = True


def log_job(folder: KitFolder, done: Done, when: When) -> Entry:
    """Write a job's steps as done, with their usual tools unless said otherwise.

    ``more`` tools join the last step taken; ``fewer`` are dropped from every step.
    Raises DeskError for a step or name that does not exist or is unclear.
    """
    job = job_named(folder.kit, done.job)
    steps = _steps_taken(job, done.steps)
    steps = _with_changes(folder.kit, job, steps, done)
    facts: list[What] = []
    for _ in range(done.times):
        visit = uuid.uuid4().hex
        facts += [
            StepDone(
                visit,
                job.id,
                step.number,
                step.picks,
                step.draws,
                urgent=done.urgent,
                bike=done.bike,
                note=done.note,
            )
            for step in steps
        ]
    return _write(folder, facts, when)


def pick_tools(
    folder: KitFolder,
    tools: Sequence[str],
    when: When,
    *,
    urgent: bool = False,
    bike: str = "",
    note: str = "",
) -> Entry:
    """Write loose picks, one trip to the box for each tool named."""
    facts: list[What] = [
        LoosePick(tool_named(folder.kit, letters).id, 1, urgent, bike, note) for letters in tools
    ]
    return _write(folder, facts, when)


def spend_supply(
    folder: KitFolder, supply: str, amount: str, when: When, *, bike: str = "", note: str = ""
) -> Entry:
    """Write a supply as used outside any job; ``amount`` as typed, in the supply's own measure.

    Raises DeskError for a name that is unknown or unclear and for an amount that cannot
    be read or is nothing.
    """
    used = supply_named(folder.kit, supply)
    whole = read_amount(used, amount)
    if whole == 0:
        raise DeskError(f'{used.name}: "{amount}" is nothing used; nothing was written')
    return _write(folder, [SupplyUsed(used.id, whole, bike, note)], when)


def take_back(folder: KitFolder, entry: str | None, when: When) -> Entry:
    """Undo an entry (the newest one in force if none is named); returns what was undone.

    ``entry`` may be the first letters of its id. Raises DeskError if there is none.
    """
    entries = list_entries(folder, all_entries=entry is not None)
    if entry is not None:
        entries = tuple(e for e in entries if e.id.startswith(entry))
    if not entries:
        raise DeskError("the journal holds no such entry to undo" if entry else "nothing to undo")
    if entry is not None and len(entries) > 1:
        raise DeskError(f'"{entry}" begins {len(entries)} entries; type more of its letters')
    with open_journal(folder.journal) as journal:
        journal.undo(entries[0].id, at=when.at, author=when.author, written=when.written)
    return entries[0]


def list_entries(folder: KitFolder, *, all_entries: bool = False) -> tuple[Entry, ...]:
    """Entries in force, newest first; undos and undone ones too if ``all_entries``."""
    standing = live_entries(folder.facts)
    names = names_of(folder.kit)
    grouped: dict[str, list[Fact]] = {}
    for fact in folder.facts:
        grouped.setdefault(fact.entry, []).append(fact)
    return tuple(
        _entry(folder.kit, names, entry, group, entry in standing)
        for entry, group in reversed(grouped.items())
        if all_entries or (entry in standing and not isinstance(group[0].what, Undone))
    )


def read_draw(kit: Kit, text: str) -> Draw:
    """Read ``SUPPLY=AMOUNT`` in the supply's own measure; DeskError when it is neither."""
    name, equals, amount = text.rpartition("=")
    if not equals:
        raise DeskError(f'"{text}" is not SUPPLY=AMOUNT, like "chain lube=4 ml"')
    supply = supply_named(kit, name)
    return Draw(supply.id, read_amount(supply, amount))


def read_amount(supply: Supply, text: str) -> int:
    """An amount of a supply in its own measure; DeskError when it cannot be read as one."""
    try:
        return read_typed(text, KIND_OF[supply.measure])
    except DeskError as error:
        raise DeskError(f"{supply.name}: {error}") from error


def read_typed(text: str, kind: Kind) -> int:
    """A quantity typed at the terminal; DeskError says what is wrong with it."""
    try:
        return read(text, kind)
    except QuantityError as error:
        raise DeskError(str(error)) from error


def _steps_taken(job: Job, wanted: tuple[int, ...]) -> tuple[Step, ...]:
    unknown = [n for n in wanted if not any(step.number == n for step in job.steps)]
    if unknown:
        raise DeskError(
            f"{job.name} has no step {', '.join(map(str, unknown))}; "
            f"its steps are 1 to {len(job.steps)}"
        )
    return tuple(step for step in job.steps if not wanted or step.number in wanted)


def _with_changes(kit: Kit, job: Job, steps: tuple[Step, ...], done: Done) -> tuple[Step, ...]:
    fewer = {tool_named(kit, letters).id for letters in done.fewer}
    taken = {pick.tool for step in steps for pick in step.picks}
    if fewer - taken:
        names = ", ".join(kit.tool(tool).name for tool in sorted(fewer - taken))
        raise DeskError(f"{job.name} does not take {names} in these steps; nothing was written")
    steps = tuple(
        replace(step, picks=tuple(p for p in step.picks if p.tool not in fewer)) for step in steps
    )
    more = tuple(Pick(tool_named(kit, letters).id) for letters in done.more)
    draws = tuple(read_draw(kit, text) for text in done.used)
    last = steps[-1]
    last = replace(last, picks=last.picks + more, draws=last.draws + draws)
    return (*steps[:-1], last)


def _write(folder: KitFolder, facts: Sequence[What], when: When) -> Entry:
    with open_journal(folder.journal) as journal:
        entry = journal.add(facts, at=when.at, author=when.author, written=when.written)
    return Entry(entry, _words(folder.kit, names_of(folder.kit), facts), tuple(facts))


def _entry(kit: Kit, names: Mapping[str, str], entry: str, facts: list[Fact], live: bool) -> Entry:
    whats = tuple(fact.what for fact in facts)
    at = facts[0].at.strftime("%Y-%m-%d %H:%M")
    return Entry(entry, f"{at} {_words(kit, names, whats)}", whats, live)


def _words(kit: Kit, names: Mapping[str, str], facts: Sequence[What]) -> str:
    steps = [f for f in facts if isinstance(f, StepDone)]
    said = []
    if steps:
        visits = len({f.visit for f in steps})
        count = f" {visits} times" if visits > 1 else ""
        per_visit = len(steps) // visits
        urgent = ", urgent" if steps[0].urgent else ""
        bike = f", bike {steps[0].bike}" if steps[0].bike else ""
        plural = "s" if per_visit != 1 else ""
        job = names.get(steps[0].job, steps[0].job)
        said.append(f"{job}{count} ({per_visit} step{plural}{urgent}{bike})")
    for fact in facts:
        if isinstance(fact, LoosePick):
            said.append("picked " + names.get(fact.tool, fact.tool))
        elif isinstance(fact, SupplyUsed):
            said.append(_spent(kit, fact))
        elif isinstance(fact, Undone):
            said.append(f"took back entry {fact.entry[:8]}")
    return ", ".join(said)


def _spent(kit: Kit, fact: SupplyUsed) -> str:
    """An amount used, with its unit as long as the supply is on the list."""
    supply = next((s for s in kit.supplies if s.id == fact.supply), None)
    if supply is None:
        return f"used {fact.amount} of {fact.supply}"
    return f"used {write(fact.amount, KIND_OF[supply.measure])} of {supply.name}"
