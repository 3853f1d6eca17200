"""What came of reading a list: columns, lines with their values, questions, refusals, notes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple, TypeVar

from toolbox.files.problems import quoted
from toolbox.kit.quantities import Kind, write

_V = TypeVar("_V")
# A question about a cell begins so; its answer is read in the cell's place.
CELL = "cell "


class ListKind(Enum):
    """What the lines of a list are about."""

    THINGS = "tools+supplies"
    JOBS = "jobs"
    WEIGHINGS = "weighings"
    UNREAD = ""


@dataclass(frozen=True, slots=True)
class Answers:
    """What the mechanic said of a list: meanings of columns, and answers by question id.

    ``columns``: header -> meaning ("Gewicht": "mass (g)", "Colour": "-" to leave it out).
    ``said``: question id -> answer ("marks": "comma").
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    said: Mapping[str, str] = field(default_factory=dict)

    def to(self, question: str) -> str:
        """The answer to a question, "" where there is none yet."""
        return self.said.get(question, "").strip()

    def also(self, question: str, answer: str) -> Answers:
        """The same with one answer more, or another one."""
        return Answers(self.columns, MappingProxyType({**self.said, question: answer}))


class Span(NamedTuple):
    """An amount or a range in the whole unit of its kind; None where an end is open.

    ``about`` where the list says that it is no exact figure; ``exact`` is the figure of a
    single amount before it was rounded to the whole unit.
    """

    kind: Kind
    low: int | None
    high: int | None
    about: bool = False
    exact: Fraction | None = None

    @property
    def one(self) -> int | None:
        """The amount where it is a single one, None for ranges and limits."""
        return self.low if self.low == self.high else None

    def words(self) -> str:
        """The span as people write it."""
        about = "about " if self.about else ""
        if self.low is None or self.high is None:
            end = self.low if self.high is None else self.high
            word = "at least" if self.high is None else "at most"
            return f"{word} {write(end or 0, self.kind)}"
        if self.low == self.high:
            return about + write(self.low, self.kind)
        return f"{about}{write(self.low, self.kind)} to {write(self.high, self.kind)}"


class Count(NamedTuple):
    """How many; of what ("" for pieces, else "pair", "set", "roll"), how many one of it holds."""

    number: Fraction
    word: str = ""
    holds: int | None = None
    remark: str = ""

    def words(self) -> str:
        """The count as people write it."""
        said = f"{self.number} {self.word}".strip()
        said += f" of {self.holds}" if self.holds else ""
        return f"{said}, {self.remark}" if self.remark else said


class Sides(NamedTuple):
    """Three sides in tenths of a millimetre, as they were written; None for one not told."""

    length: int
    width: int
    height: int | None

    def words(self) -> str:
        """The sides as people write them."""
        return " x ".join("?" if s is None else write(s, Kind.LENGTH) for s in self)


class Day(NamedTuple):
    """A day; None where only ``words`` tell it ("2026-04", "by count")."""

    day: date | None
    text: str

    def words(self) -> str:
        """The day as it is written in files, else what was said of it."""
        return self.day.isoformat() if self.day else self.text


What = str | bool | Fraction | Span | Count | Sides | Day


@dataclass(frozen=True, slots=True)
class Value:
    """What one cell says: the cell as it stands, its value, and the guess that rests on."""

    meaning: str
    cell: str
    what: What
    rests_on: str = ""

    def words(self) -> str:
        """The value as people write it."""
        if isinstance(self.what, bool):
            return "yes" if self.what else "no"
        if isinstance(self.what, Fraction):
            return f"{float(self.what):g}"
        return self.what if isinstance(self.what, str) else self.what.words()


@dataclass(frozen=True, slots=True)
class Line:
    """One row that was read: its line, cells as they stand, values by meaning.

    ``asks`` names the questions that must be answered before the row can be used;
    ``failed`` is set where a cell of it was refused. ``group`` is the heading it stands under.
    """

    number: int
    cells: tuple[str, ...]
    values: Mapping[str, Value]
    asks: tuple[str, ...] = ()
    failed: bool = False
    group: str = ""

    @property
    def settled(self) -> bool:
        """Whether nothing of the row is refused or asked."""
        return not self.failed and not self.asks

    def what(self, meaning: str, kind: type[_V]) -> _V | None:
        """The value under a meaning, None without one of that type."""
        value = self.values.get(meaning)
        return value.what if value is not None and isinstance(value.what, kind) else None

    def text(self, meaning: str) -> str:
        """The text under a meaning, "" without one."""
        return self.what(meaning, str) or ""

    @property
    def name(self) -> str:
        """What the row is about, as people call it."""
        return self.text("name") or self.text("job") or self.text("job id")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its header, what it was read as ("left out" too), its unit, and why."""

    header: str
    meaning: str
    how: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """Something that only the mechanic can say; nothing is assumed meanwhile.

    ``choices`` are answers to choose from; where ``free`` any other text will do as well.
    ``lines`` are the lines that wait for the answer, () where the whole list does.
    """

    id: str
    asked: str
    choices: tuple[str, ...]
    lines: tuple[int, ...] = ()
    free: bool = False

    def sentence(self) -> str:
        """The question with its choices on one line."""
        more = " or what should stand there" if self.free else ""
        return f"{self.asked} ({', '.join(self.choices)}{more})"


@dataclass(frozen=True, slots=True)
class Refusal:
    """One cell (or row, or the whole list) that was refused, and what to do.

    ``line`` counts from 1 as an editor does, 0 for the list as a whole; ``column``
    is the header as it stands there, "" for a whole row.
    """

    line: int
    column: str
    cell: str
    reason: str
    cure: str

    def sentence(self) -> str:
        """The refusal as one sentence on one line."""
        place = [f"line {self.line}"] if self.line else []
        if self.column:
            place.append(f"column {quoted(self.column)}")
        if self.cell:
            place.append(quoted(self.cell))
        said = f"{self.reason}; {self.cure}."
        return f"{', '.join(place)}: {said}" if place else said[0].upper() + said[1:]


@dataclass(frozen=True, slots=True)
class Reading:
    """A list as it was read with the answers so far; it knows no kit and changes nothing.

    ``meanings`` tells the header of each meaning that a column has.
    """

    name: str
    kind: ListKind
    columns: tuple[Column, ...] = ()
    lines: tuple[Line, ...] = ()
    questions: tuple[Question, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    notes: tuple[str, ...] = ()
    meanings: Mapping[str, str] = field(default_factory=dict)
    header_line: int = 0
    answers: Answers = field(default_factory=Answers)

    @property
    def complete(self) -> bool:
        """Whether nothing was refused and nothing is asked."""
        return not self.refusals and not self.questions


class Findings:
    """Collects what is to be told about a list while it is read."""

    def __init__(self, answers: Answers | None = None) -> None:
        self.answers = answers or Answers()
        self._refusals: list[Refusal] = []
        self._questions: dict[str, Question] = {}
        # told once with all its places: a note for each of 159 steps would be read by nobody
        self._notes: dict[str, list[str]] = {}

    def refuse(self, line: int, column: str, cell: str, reason: str, cure: str) -> None:
        """Note one refusal."""
        self._refusals.append(Refusal(line, column, cell, reason, cure))

    def refuse_cell(
        self,
        reading: Reading,
        line: Line,
        meaning: str,
        reason: str,
        cure: str,
        cell: str | None = None,
    ) -> None:
        """Refuse what a line says under a meaning; ``cell`` where only a part of it is meant."""
        value = line.values.get(meaning)
        shown = (value.cell if value else "") if cell is None else cell
        self.refuse(line.number, reading.meanings.get(meaning, ""), shown, reason, cure)

    def note(self, words: str, where: str = "") -> None:
        """Note something said once, with every place it holds for."""
        places = self._notes.setdefault(words, [])
        if where:
            places.append(where)

    def ask(
        self,
        question: str,
        asked: str,
        choices: tuple[str, ...],
        line: int | None = None,
        *,
        free: bool = False,
    ) -> str:
        """The answer to a question; "" after noting the question where there is none.

        An answer that is none of the choices counts only where the question is ``free``.
        """
        told = self.answers.to(question)
        plain = {choice.casefold(): choice for choice in choices}
        if told.casefold() in plain:
            return plain[told.casefold()]
        if told and free:
            return told
        before = self._questions.get(question)
        known = before.lines if before else ()
        lines = known if line is None or line in known else (*known, line)
        said = before.asked if before else asked
        self._questions[question] = Question(question, said, choices, lines, free)
        return ""

    @property
    def refusals(self) -> tuple[Refusal, ...]:
        """All refusals, in the list's order."""
        # steps and whole-job checks find faults out of order; people mend a list downwards
        return tuple(sorted(self._refusals, key=lambda refusal: refusal.line))

    @property
    def questions(self) -> tuple[Question, ...]:
        """All questions without an answer, those about the whole list first."""
        return tuple(sorted(self._questions.values(), key=lambda q: q.lines[:1]))

    @property
    def notes(self) -> tuple[str, ...]:
        """All notes, each with its places, each one sentence."""
        return tuple(
            f"{words} ({_few(places)})." if places else f"{words}."
            for words, places in self._notes.items()
        )


def _few(places: list[str]) -> str:
    shown = ", ".join(places[:12])
    return shown if len(places) <= 12 else f"{shown} and {len(places) - 12} more"
