"""What came of reading a list: new entries, how columns were read, refusals, notes."""

from __future__ import annotations

from dataclasses import dataclass

from toolbox.files.problems import listed, quoted
from toolbox.kit.things import Supply, Tool
from toolbox.kit.work import Job


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its header, what it was read as ("left out" too), and why."""

    header: str
    meaning: str
    how: str


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
class Draft:
    """A list as it was read; nothing is stored yet.

    ``what`` is "tools+supplies", "jobs" or "" when the list could not be read at
    all. ``tools``, ``supplies`` and ``jobs`` are the new entries, ready to store.
    ``already`` holds ids of rows that the kit has, ``differing`` those among them
    where list and kit do not say the same; the kit's entry stays as it is.
    """

    what: str
    tools: tuple[Tool, ...] = ()
    supplies: tuple[Supply, ...] = ()
    jobs: tuple[Job, ...] = ()
    columns: tuple[Column, ...] = ()
    notes: tuple[str, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    already: tuple[str, ...] = ()
    differing: tuple[str, ...] = ()


class Findings:
    """Collects what is to be told about a list while it is read."""

    def __init__(self) -> None:
        self._refusals: list[Refusal] = []
        # told once with all its places: a note for each of 159 steps would be read by nobody
        self._notes: dict[str, list[str]] = {}
        self.already: list[str] = []
        self.differing: list[str] = []

    def refuse(self, line: int, column: str, cell: str, reason: str, cure: str) -> None:
        """Note one refusal."""
        self._refusals.append(Refusal(line, column, cell, reason, cure))

    def note(self, words: str, where: str = "") -> None:
        """Note something said once, with every place it holds for."""
        places = self._notes.setdefault(words, [])
        if where:
            places.append(where)

    def have(self, entry: str, name: str, differences: list[str]) -> None:
        """Note an entry that the kit has already, and in what list and kit differ."""
        self.already.append(entry)
        if differences:
            self.differing.append(entry)
            self.note(
                f"{entry} ({name}) stays as it is in the kit; the list differs in "
                f"{listed(differences)}"
            )

    @property
    def refusals(self) -> tuple[Refusal, ...]:
        """All refusals, in the list's order."""
        # steps and whole-job checks find faults out of order; people mend a list downwards
        return tuple(sorted(self._refusals, key=lambda refusal: refusal.line))

    @property
    def notes(self) -> tuple[str, ...]:
        """All notes, each with its places, each one sentence."""
        return tuple(
            f"{words} ({', '.join(places)})." if places else f"{words}."
            for words, places in self._notes.items()
        )
