"""Logging: job steps done, loose picks, supplies used, and taking entries back."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import takewhile

from toolbox.desk.entry_words import bike_of, entry_words
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.naming import job_named, supply_named, tool_named
from toolbox.journal.store import open_journal
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone, What
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, QuantityError, read
from toolbox.kit.things import KIND_OF, Supply
from toolbox.kit.work import Draw, Job, Pick, Step


@dataclass(frozen=True, slots=True)
class When:
    """When it happened, when it was written down, and by whom."""

    at: datetime
    written: datetime
    author: str


@dataclass(frozen=True, slots=True)
class Done:
    """What is said of a job when it is logged; empty means "as usual".

    ``visit`` is the id of the visit that the steps belong to, "" for one of their own.
    """

    job: str
    steps: tuple[int, ...] = ()
    more: tuple[str, ...] = ()
    fewer: tuple[str, ...] = ()
    used: tuple[str, ...] = ()
    times: int = 1
    urgent: bool = False
    bike: str = ""
    note: str = ""
    visit: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry of the journal in words, with when it happened and the facts it holds.

    ``live`` until it is undone; ``work`` are the words without the ``bike``, "" for none.
    """

    id: str
    at: datetime
    words: str
    facts: tuple[What, ...]
    live: bool = True
    bike: str = ""
    work: str = ""


def log_job(folder: KitFolder, done: Done, when: When) -> Entry:
    """Write a job's steps as done; see ``job_facts``."""
    return _write(folder, job_facts(folder.kit, done), when)


def job_facts(kit: Kit, done: Done) -> tuple[StepDone, ...]:
    """A job's steps as done, with their usual tools unless said otherwise.

    ``more`` tools join the last step taken; ``fewer`` are dropped from every step.
    Raises DeskError for a step or name that does not exist or is unclear, and for one
    visit that is to be made several times.
    """
    if done.visit and done.times > 1:
        raise DeskError("one visit that goes on is not made several times")
    job = job_named(kit, done.job)
    steps = _with_changes(kit, job, _steps_taken(job, done.steps), done)
    facts: list[StepDone] = []
    for _ in range(done.times):
        visit = done.visit or new_visit()
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
    return tuple(facts)


def new_visit() -> str:
    """An id for a visit that begins."""
    return uuid.uuid4().hex


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
    entries = list_entries(folder, most=1) if entry is None else _beginning(folder, entry)
    if not entries:
        raise DeskError("the journal holds no such entry to undo" if entry else "nothing to undo")
    if len(entries) > 1:
        raise DeskError(f'"{entry}" begins {len(entries)} entries; type more of its letters')
    with open_journal(folder.journal) as journal:
        journal.undo(entries[0].id, at=when.at, author=when.author, written=when.written)
    return entries[0]


def bring_back(folder: KitFolder, entry: str, when: When) -> Entry:
    """Bring back the entry of that id by undoing what took it back; returns it, in force.

    Raises DeskError when there is no such entry or nothing took it back.
    """
    undos = [f for f in folder.live if isinstance(f.what, Undone) and f.what.entry == entry]
    entries = _beginning(folder, entry)
    if not undos or not entries:
        raise DeskError("that entry was not taken back; nothing was written")
    with open_journal(folder.journal) as journal:
        journal.undo(undos[-1].entry, at=when.at, author=when.author, written=when.written)
    return replace(entries[0], live=True)


def list_entries(folder: KitFolder, *, most: int | None = None) -> tuple[Entry, ...]:
    """Entries in force, newest first; at most so many."""
    return _told(folder, _newest((f for f in reversed(folder.live) if _says(f)), most))


def last_entries(folder: KitFolder, most: int) -> tuple[Entry, ...]:
    """The newest so many entries, newest first: those taken back too, but not the undos."""
    return _told(folder, _newest((f for f in reversed(folder.facts) if _says(f)), most))


def every_entry(folder: KitFolder, *, most: int | None = None) -> tuple[Entry, ...]:
    """Every entry, newest first, undos and undone ones among them; at most so many."""
    return _told(folder, _newest(reversed(folder.facts), most))


def _says(fact: Fact) -> bool:
    return not isinstance(fact.what, Undone)


def _beginning(folder: KitFolder, letters: str) -> tuple[Entry, ...]:
    facts = (fact for fact in reversed(folder.facts) if fact.entry.startswith(letters))
    return _told(folder, _newest(facts, None))


def _newest(newest_first: Iterable[Fact], most: int | None) -> dict[str, list[Fact]]:
    """The facts of the first so many entries by entry, in the order of writing.

    Only as many facts are gone through as that takes: a long log makes it no slower.
    """
    grouped: dict[str, list[Fact]] = {}
    for fact in newest_first:
        if most is not None and len(grouped) == most and fact.entry not in grouped:
            break
        grouped.setdefault(fact.entry, []).insert(0, fact)
    return grouped


def _told(folder: KitFolder, grouped: Mapping[str, list[Fact]]) -> tuple[Entry, ...]:
    names = names_of(folder.kit)
    oldest = min((facts[0].clock for facts in grouped.values()), default=0)
    recent = takewhile(lambda fact: fact.clock >= oldest, reversed(folder.live))
    standing = {fact.entry for fact in recent}
    return tuple(
        _entry(
            folder,
            names,
            entry,
            facts[0].at,
            [fact.what for fact in facts],
            live=entry in standing,
        )
        for entry, facts in grouped.items()
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


def amount_typed(supply: Supply, text: str) -> str:
    """An amount as it is logged, out of what was typed into a field that names the measure.

    A bare number is one in that measure. Raises DeskError for what is no amount, or none.
    """
    bare = text.strip()
    whole = f"{bare} {supply.measure.value}" if bare[-1:].isdigit() else bare
    if read_amount(supply, whole) == 0:
        raise DeskError(f'{supply.name}: "{text}" is nothing used')
    return whole


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
    return _entry(folder, names_of(folder.kit), entry, when.at, facts)


def _entry(
    folder: KitFolder,
    names: Mapping[str, str],
    id: str,
    at: datetime,
    facts: Sequence[What],
    *,
    live: bool = True,
) -> Entry:
    return Entry(
        id,
        at,
        entry_words(folder.kit, names, facts),
        tuple(facts),
        live,
        bike_of(facts),
        entry_words(folder.kit, names, facts, bike=False),
    )
