"""A logged week in a text file: what the demo's journal is made of.

A journal is a database and no file to read or compare; the week that comes with
the demo is kept as TOML and written into a journal when the demo is laid out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from toolbox.files.problems import KitFaults, Problems, nearest, quoted
from toolbox.kit.box import Compartment
from toolbox.kit.counting import Counted, Short
from toolbox.kit.facts import LoosePick, StepDone, SupplyUsed, What
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import QuantityError, read
from toolbox.kit.things import KIND_OF, Supply, Tool, base_id
from toolbox.kit.work import Draw, Job, Pick, Step

if TYPE_CHECKING:
    from toolbox.files.week_tables import ChangedTable, CountTable, EntryTable, VisitTable

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class WeekEntry:
    """One entry of the week: when it happened and was written, by whom, what.

    ``undone`` is when it was taken back, None when it stands.
    """

    at: datetime
    author: str
    written: datetime
    whats: tuple[What, ...]
    undone: datetime | None = None


def read_week(path: Path, kit: Kit) -> tuple[WeekEntry, ...]:
    """The entries of a week of this kit, in the file's order, which is that of writing.

    Raises KitFaults with every fault: an unknown key, job, step, tool, part, supply or
    compartment, an amount in the wrong unit, a moment without a zone or out of order.
    """
    # pydantic is slow to load and not needed before there is a week to read
    from toolbox.files.pages import Pages, read_page
    from toolbox.files.week_tables import ENTRY

    problems, pages = Problems(), Pages()
    read_page(pages, path, (ENTRY,), problems)
    book = _Book(kit)
    entries = tuple(
        book.entry(number, entry.table, problems.at(ENTRY.file, entry.label))
        for number, entry in enumerate(pages.all(ENTRY), start=1)
        if entry.table is not None
    )
    _check_order(entries, problems.at(ENTRY.file))
    if problems.faults:
        raise KitFaults(problems.faults)
    return entries


def _check_order(entries: tuple[WeekEntry, ...], problems: Problems) -> None:
    last: WeekEntry | None = None
    for entry in entries:
        if last is not None and entry.written < last.written:
            problems.add(
                f"the entry written {entry.written.isoformat()} stands below a later one",
                "put the entries in the order of writing",
            )
        last = entry


class _Book:
    """Turns tables into facts and notes what the kit does not know."""

    def __init__(self, kit: Kit) -> None:
        self._tools: dict[str, Tool] = {tool.id: tool for tool in kit.tools}
        self._supplies: dict[str, Supply] = {supply.id: supply for supply in kit.supplies}
        self._jobs: dict[str, Job] = {job.id: job for job in kit.jobs}
        self._places: dict[str, Compartment] = {c.id: c for c in kit.box.compartments}

    def entry(self, number: int, table: EntryTable, problems: Problems) -> WeekEntry:
        """One entry; what is unknown is noted and left out."""
        whats: list[What] = []
        for nth, visit in enumerate(table.visit, start=1):
            whats += self._visit(f"week-{number}-{nth}", visit, problems)
        for p in table.pick:
            if _known(p.tool, self._tools, "tool", problems):
                whats.append(LoosePick(p.tool, p.times, p.urgent, p.bike, p.note))
        for u in table.use:
            for draw in self._draws({u.supply: u.amount}, problems):
                whats.append(SupplyUsed(draw.supply, draw.amount, u.bike, u.note))
        for counted in table.count:
            if _known(counted.place, self._places, "compartment", problems):
                short = tuple(self._short(counted, problems))
                whats.append(Counted(table.when.date(), counted.place, short))
        written = table.written or table.when
        return WeekEntry(table.when, table.author, written, tuple(whats), table.undone)

    def _visit(self, visit: str, table: VisitTable, problems: Problems) -> Iterator[StepDone]:
        job = _known(table.job, self._jobs, "job", problems)
        if job is None:
            return
        steps = {step.number: step for step in job.steps}
        done = table.steps or list(steps)
        changed = {change.step: change for change in table.changed}
        for number in (*done, *changed):
            if number not in steps or number not in done:
                problems.add(
                    f"{job.name} has no step {number} that was done",
                    f"its steps are 1 to {len(steps)}",
                )
        urgent = job.urgent if table.urgent is None else table.urgent
        for number in done:
            if number in steps:
                picks, draws = self._done(steps[number], changed.get(number), problems)
                yield StepDone(visit, job.id, number, picks, draws, urgent, table.bike, table.note)

    def _done(
        self, step: Step, change: ChangedTable | None, problems: Problems
    ) -> tuple[tuple[Pick, ...], tuple[Draw, ...]]:
        picks, draws = step.picks, step.draws
        if change is not None and change.tools is not None:
            picks = tuple(p for p in change.tools if _known(p.tool, self._tools, "tool", problems))
        if change is not None and change.supplies is not None:
            draws = tuple(self._draws(change.supplies, problems))
        return picks, draws

    def _draws(self, amounts: Mapping[str, str], problems: Problems) -> Iterator[Draw]:
        for name, text in amounts.items():
            supply = _known(name, self._supplies, "supply", problems)
            if supply is None:
                continue
            try:
                amount = read(text, KIND_OF[supply.measure])
            except QuantityError as error:
                problems.add(f"{quoted(text)} cannot be read ({error.reason})", error.cure)
                continue
            if amount < 1:
                problems.add(f"{quoted(text)} is nothing", "write more than that or take it out")
            yield Draw(name, amount)

    def _short(self, table: CountTable, problems: Problems) -> Iterator[Short]:
        for one in table.short:
            tool = _known(base_id(one.item), self._tools, "tool", problems)
            if tool is None:
                continue
            parts = {part.name: part for part in tool.parts}
            if one.part:
                _known(one.part, parts, f"part of {tool.name}", problems)
            yield Short(one.item, one.part, one.missing)


def _known(name: str, known: Mapping[str, _T], what: str, problems: Problems) -> _T | None:
    """The thing of that id; noted as a fault when there is none."""
    if name not in known:
        close = nearest(name, known)
        cure = f'did you mean "{close}"' if close else f"name a {what} of this kit"
        problems.add(f"{quoted(name)} is no {what} of this kit", cure)
    return known.get(name)
