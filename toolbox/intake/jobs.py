"""Rows of a job list as jobs: one row for each step, the job's own cells on every row."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any, NamedTuple

from toolbox.files.fields import is_id
from toolbox.intake.difference import Change, Entry
from toolbox.intake.draws import drawn
from toolbox.intake.names import NotFound, Register, fold, id_from, tidy
from toolbox.intake.reading import Findings, Line, Reading
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import QuantityError
from toolbox.kit.things import Supply, Tool
from toolbox.kit.work import Draw, Job, Pick, Step

_PARTS = re.compile(r"[|;\n]")
_TIMES = re.compile(r"(.+?) +[x×] ?([1-9]\d{0,2})")


class _About(NamedTuple):
    """What each row of a job says about the job as a whole."""

    name: str
    discipline: str
    urgent: bool
    per_day: Fraction | None
    minutes: Fraction | None


@dataclass
class _Gathered:
    """A job while its rows are read."""

    id: str
    about: _About
    line: int
    steps: dict[int, Step] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    minutes: list[Fraction] = field(default_factory=list)
    failed: bool = False


def jobs_of(reading: Reading, kit: Kit, findings: Findings) -> list[Entry]:
    """Every job with its steps; refusals and notes to the findings."""
    return _JobReader(reading, kit, findings).entries()


@dataclass
class _Row:
    """One line of a job list; a refusal sets ``failed``."""

    line: Line
    reading: Reading
    findings: Findings
    failed: bool = False

    def text(self, meaning: str) -> str:
        """The text under a meaning, "" without one."""
        return self.line.text(meaning)

    def number(self, meaning: str) -> Fraction | None:
        """The number under a meaning."""
        return self.line.what(meaning, Fraction)

    def yes(self, meaning: str) -> bool:
        """Whether the cell says yes."""
        return bool(self.line.what(meaning, bool))

    def refuse(self, meaning: str, reason: str, cure: str, cell: str | None = None) -> None:
        """Refuse the cell of that meaning; ``cell`` where only a part of it is meant."""
        self.failed = True
        self.findings.refuse_cell(self.reading, self.line, meaning, reason, cure, cell)


class _JobReader:
    def __init__(self, reading: Reading, kit: Kit, findings: Findings) -> None:
        self._reading = reading
        self._findings = findings
        self._things: Register[Tool | Supply] = Register((*kit.tools, *kit.supplies))
        self._jobs: Register[Job] = Register(kit.jobs)
        self._gathered: dict[str, _Gathered] = {}

    def entries(self) -> list[Entry]:
        """The jobs of the list, each beside the kit's job of its id."""
        for line in self._reading.lines:
            self._read_row(_Row(line, self._reading, self._findings, failed=not line.settled))
        if any(job.about.minutes is not None for job in self._gathered.values()):
            self._findings.note("the minutes of whole jobs are compared with their steps, not kept")
        made = [(job, self._finished(job)) for job in self._gathered.values()]
        return [self._entry(job.line, new) for job, new in made if new is not None]

    def _read_row(self, cells: _Row) -> None:
        job = self._job_of(cells)
        if job is None:
            return
        told = cells.number("step number")
        number = None if told is None else int(told)
        if number is None and not cells.failed:
            number = len(job.steps) + 1
        if number in job.steps:
            cells.refuse("step number", "stands twice in this job", "number its steps 1, 2, 3 …")
        text = cells.text("step")
        if not text and not cells.failed:
            cells.refuse("step", "the step has no words", "say what is done in it")
        where = f"{job.id} step {number}"
        picks = self._picks(cells)
        draws = self._draws(cells, picks, job, where)
        minutes = self._minutes(cells, job, where)
        remark = cells.text("note")
        if remark and remark not in job.remarks:
            job.remarks.append(remark)
        job.failed |= cells.failed
        if number is not None:
            job.steps.setdefault(
                number,
                Step(
                    number,
                    text,
                    tuple(Pick(tool, times) for tool, times in picks.items()),
                    tuple(Draw(supply, amount) for supply, amount in draws.items()),
                    minutes,
                ),
            )

    def _minutes(self, cells: _Row, job: _Gathered, where: str) -> int | None:
        """The step's minutes, half and more up: steps are kept in whole minutes."""
        minutes = cells.number("minutes")
        if minutes is None:
            return None
        job.minutes.append(minutes)
        whole = int(minutes + Fraction(1, 2))
        if whole != minutes:
            shown = tidy(cells.line.values["minutes"].cell)
            self._findings.note(f"{shown} min is kept as {whole} min, for minutes are whole", where)
        return whole

    def _job_of(self, cells: _Row) -> _Gathered | None:
        """The job this row belongs to, begun when its first row comes."""
        entry, name = cells.text("job id"), cells.text("job")
        if not entry and not name:
            cells.refuse("job", "the row names no job", "write the job's name on each row", cell="")
            return None
        key = entry or fold(name)
        about = _About(
            name or entry,
            cells.text("discipline"),
            cells.yes("urgent"),
            cells.number("per day"),
            cells.number("job minutes"),
        )
        job = self._gathered.get(key)
        if job is None:
            if entry and not is_id(entry):
                cells.refuse("job id", "cannot be an id", "use up to 40 letters, digits, - _ and .")
            job = _Gathered(entry or self._made_id(name), about, cells.line.number)
            self._gathered[key] = job
        elif about != job.about and not cells.failed:
            self._refuse_other_words(cells, about, job)
        return job

    def _refuse_other_words(self, cells: _Row, about: _About, job: _Gathered) -> None:
        meanings = ("job", "discipline", "urgent", "per day", "job minutes")
        for meaning, here, first in zip(meanings, about, job.about, strict=True):
            if here != first:
                cells.refuse(
                    meaning, f"is not what line {job.line} says of this job",
                    "write the same on each row of a job",
                )  # fmt: skip

    def _made_id(self, name: str) -> str:
        known = self._jobs.named(name)
        if len(known) == 1:
            return known[0].id
        taken = self._jobs.ids | {job.id for job in self._gathered.values()}
        return id_from(name, taken)

    def _picks(self, cells: _Row) -> dict[str, int]:
        picks: dict[str, int] = {}
        for part in _parts(cells.text("tools")):
            times = 1
            found = _TIMES.fullmatch(part)
            # a name may end in "x 2" itself
            if found and not self._things.named(part):
                part, times = found[1], int(found[2])
            thing = self._found(cells, "tools", part)
            if isinstance(thing, Supply):
                cells.refuse(
                    "tools", f"{thing.name} is a supply, not a tool",
                    "name it among the supplies, with an amount", part,
                )  # fmt: skip
            elif thing is not None:
                picks[thing.id] = picks.get(thing.id, 0) + times
        return picks

    def _found(self, cells: _Row, meaning: str, words: str) -> Tool | Supply | None:
        try:
            return self._things.find(words)
        except NotFound as unknown:
            cells.refuse(meaning, unknown.reason, unknown.cure, words)
            return None

    def _draws(
        self, cells: _Row, picks: dict[str, int], job: _Gathered, where: str
    ) -> dict[str, int]:
        """The step's draws; a tool among the supplies is added to the picks instead."""
        # one entry for each supply, added up: the kit's files hold one amount for each
        draws: dict[str, int] = {}
        for part in _parts(cells.text("supplies")):
            name, _, amount = part.rpartition(":")
            thing = self._found(cells, "supplies", tidy(name or amount))
            if isinstance(thing, Tool):
                picks.setdefault(thing.id, 1)
                self._findings.note(
                    f"{thing.name} stands among the supplies and is a tool in the kit: "
                    "taken as picked up, with no stock",
                    where,
                )
            elif thing is not None and not name:
                cells.refuse("supplies", "has no amount", f"write {thing.name}: 1 pc", part)
            elif thing is not None:
                self._draw(cells, thing, amount, (draws, job, where))
        return draws

    def _draw(
        self,
        cells: _Row,
        supply: Supply,
        text: str,
        into: tuple[dict[str, int], _Gathered, str],
    ) -> None:
        draws, job, where = into
        try:
            draw = drawn(supply, text)
        except QuantityError as error:
            cells.refuse("supplies", error.reason, error.cure, f"{supply.name}:{text}")
            return
        if draw.note:
            self._findings.note(draw.note, where)
        if draw.amount is None:
            step = where.rpartition(" ")[2]
            job.remarks.append(f"Step {step} also takes {tidy(text)} of {supply.name}.")
        else:
            draws[supply.id] = draws.get(supply.id, 0) + draw.amount

    def _finished(self, job: _Gathered) -> Job | None:
        numbers = sorted(job.steps)
        # the kit's files number steps by their order, so a gap would shift what follows it
        if not job.failed and numbers != list(range(1, len(numbers) + 1)):
            self._findings.refuse(
                job.line, self._reading.meanings.get("step number", ""), "",
                f"the steps of {job.about.name} are numbered {', '.join(map(str, numbers))}",
                "number them 1, 2, 3 … without a gap",
            )  # fmt: skip
            return None
        if job.failed:
            return None
        steps = tuple(job.steps[number] for number in numbers)
        self._compare_minutes(job)
        about = job.about
        return Job(
            job.id, about.name, steps, about.discipline, about.urgent, about.per_day,
            note=" ".join(job.remarks),
        )  # fmt: skip

    def _compare_minutes(self, job: _Gathered) -> None:
        told, together = job.about.minutes, sum(job.minutes)
        if told is not None and len(job.minutes) == len(job.steps) and together != told:
            self._findings.note(
                f"the steps of {job.about.name} take {float(together):g} minutes together, "
                f"the list says {float(told):g}"
            )

    def _entry(self, line: int, job: Job) -> Entry:
        known = self._jobs.by_id(job.id)
        if known is None:
            return Entry(line, job)
        told = self._reading.meanings.keys()
        # only what the list's columns say is compared; the mechanic may have added more
        fields = {
            "name": (job.name, known.name, "job"),
            "discipline": (job.discipline, known.discipline, "discipline"),
            "urgent": (job.urgent, known.urgent, "urgent"),
            "per_day": (job.per_day, known.per_day, "per day"),
        }
        new: dict[str, Any] = {
            f: ours for f, (ours, theirs, word) in fields.items() if word in told
        }
        steps = _newer_steps(job, known, set(told))
        thing = replace(known, **new, steps=steps)
        changes = [
            Change(f, _said(theirs), _said(ours))
            for f, (ours, theirs, word) in fields.items()
            if word in told and ours != theirs
        ]
        if steps != known.steps:
            changes.append(Change("steps", _told(known.steps), _told(steps)))
        return Entry(line, thing, known, tuple(changes))


def _newer_steps(job: Job, known: Job, told: set[str]) -> tuple[Step, ...]:
    """The list's steps; what its columns do not say is taken from the kit's step of that number."""
    old = {step.number: step for step in known.steps}
    steps = []
    for step in job.steps:
        was = old.get(step.number)
        if was is not None:
            same_picks = "tools" not in told or set(step.picks) == set(was.picks)
            same_draws = "supplies" not in told or set(step.draws) == set(was.draws)
            step = replace(
                step,
                picks=was.picks if same_picks else step.picks,
                draws=was.draws if same_draws else step.draws,
                minutes=step.minutes if "minutes" in told else was.minutes,
            )
        steps.append(step)
    return tuple(steps)


def _said(value: object) -> str:
    if isinstance(value, Fraction):
        return f"{float(value):g}"
    return ("yes" if value else "no") if isinstance(value, bool) else str(value or "")


def _told(steps: tuple[Step, ...]) -> str:
    parts = []
    for step in steps:
        picks = ", ".join(p.tool if p.times == 1 else f"{p.tool} x {p.times}" for p in step.picks)
        draws = ", ".join(f"{draw.supply}: {draw.amount}" for draw in step.draws)
        minutes = f"{step.minutes} min" if step.minutes is not None else ""
        more = "; ".join(part for part in (picks, draws, minutes) if part)
        parts.append(f"{step.number} {step.text}" + (f" ({more})" if more else ""))
    return " | ".join(parts)


def _parts(cell: str) -> list[str]:
    return [tidy(part) for part in _PARTS.split(cell) if part.strip()]
