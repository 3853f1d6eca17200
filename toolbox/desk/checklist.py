"""Checklists: lines to work through, and what the journal says of each of them.

The lines are made anew at every look, out of what they are about; ticks, counts and notes
are facts in the journal and find their line again by its key. So a list survives a killed
program, and a tick can be taken back like any other entry. What is said of a line that is
no longer there stays in the journal and counts again should the line come back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError, UnclearName, UnknownName
from toolbox.desk.folder import KitFolder
from toolbox.desk.names import Named, match
from toolbox.journal.store import open_journal
from toolbox.kit.facts import Fact, LineSaid, LineState

HABIT = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Line:
    """One line: what to do, why, on whose word, and how it stands.

    ``key`` stays the same while figures in the words change. ``pieces`` is how many things
    it is about, None where nothing is counted; ``counted`` how many of them are done.
    ``by_itself`` says what makes it done when no tick can, "" for a line that is ticked.
    ``author`` and ``at`` are of the last thing said of it, "" and None while nothing was.
    """

    key: str
    words: str
    why: str
    source: str = HABIT
    pieces: int | None = None
    by_itself: str = ""
    state: LineState = LineState.OPEN
    counted: int = 0
    note: str = ""
    author: str = ""
    at: datetime | None = None

    @property
    def done(self) -> bool:
        """True when there is nothing left to do about it."""
        return self.state is LineState.DONE


@dataclass(frozen=True, slots=True)
class Checklist:
    """A list by its name, what it is about, and its lines in working order."""

    name: str
    about: str
    lines: tuple[Line, ...]

    @property
    def left(self) -> tuple[Line, ...]:
        """The lines that are not done; those carried over are among them."""
        return tuple(line for line in self.lines if not line.done)

    @property
    def next(self) -> Line | None:
        """The first open line; None when all are done or carried over."""
        return next((line for line in self.lines if line.state is LineState.OPEN), None)

    def count(self, state: LineState) -> int:
        """How many lines are in this state."""
        return sum(line.state is state for line in self.lines)

    def line(self, key: str) -> Line:
        """The line of that key; DeskError when the list has it no more."""
        found = next((line for line in self.lines if line.key == key), None)
        if found is None:
            raise DeskError(f"the {self.name} list has no line {key} any more: look at it again")
        return found


def standing(listed: Checklist, facts: Iterable[Fact]) -> Checklist:
    """The list with what was said of its lines.

    ``facts`` are those that count, in the order of writing; those of other lists are passed
    over.
    """
    lines = {line.key: line for line in listed.lines}
    for fact in facts:
        said = fact.what
        if (
            isinstance(said, LineSaid)
            and (said.checklist, said.about) == (listed.name, listed.about)
            and said.line in lines
        ):
            lines[said.line] = _after(lines[said.line], said, fact)
    return replace(listed, lines=tuple(_settled(line) for line in lines.values()))


def _after(line: Line, said: LineSaid, fact: Fact) -> Line:
    # what is done by itself is not done because somebody says so, nor open again
    held = bool(line.by_itself) and (line.done or said.state is LineState.DONE)
    return replace(
        line,
        state=line.state if said.state is None or held else said.state,
        counted=line.counted if said.count is None else said.count,
        note=line.note if said.note is None else said.note,
        author=fact.author,
        at=fact.at,
    )


def _settled(line: Line) -> Line:
    """A tick for fewer pieces than there are now leaves the line open."""
    short = line.pieces is not None and line.counted < line.pieces
    return replace(line, state=LineState.OPEN) if line.done and short else line


def line_named(listed: Checklist, letters: str) -> Line:
    """The line meant by its number in the list, its key, or a few letters of its words.

    UnclearName or UnknownName when that is not one line.
    """
    if letters.isdecimal() and 1 <= int(letters) <= len(listed.lines):
        return listed.lines[int(letters) - 1]
    found = match(letters, (Named(line.key, line.words) for line in listed.lines))
    if found.only is not None:
        return listed.line(found.only.id)
    if found.found:
        raise UnclearName("line", letters, found.found)
    raise UnknownName(f"line of the {listed.name} list", letters, found.near)


def ticked(listed: Checklist, key: str) -> LineSaid:
    """That all of a line is done. DeskError when it is, or is done by itself."""
    line = _ticking(listed, key)
    if line.done:
        raise DeskError(f'"{line.words}" is done already; nothing was written')
    return _said(listed, line, LineState.DONE, line.pieces)


def unticked(listed: Checklist, key: str) -> LineSaid:
    """That a line is open after all. DeskError when it is, or is done by itself."""
    line = listed.line(key)
    if line.state is not LineState.CARRIED:
        line = _ticking(listed, key)
    if line.state is LineState.OPEN and not line.counted:
        raise DeskError(f'"{line.words}" is open; nothing was written')
    return _said(listed, line, LineState.OPEN, None if line.pieces is None else 0)


def carried_over(listed: Checklist, key: str) -> LineSaid:
    """That a line cannot be done yet: it stays to be looked at again. DeskError when it is done."""
    line = listed.line(key)
    if line.state is not LineState.OPEN:
        raise DeskError(f'"{line.words}" is {line.state.value}; nothing was written')
    return _said(listed, line, LineState.CARRIED)


def counted(listed: Checklist, key: str, number: int) -> LineSaid:
    """That so many of a line's pieces are done; with all of them the line is.

    DeskError for a line without pieces, or for more than it has.
    """
    line = _ticking(listed, key)
    if line.pieces is None:
        raise DeskError(f'there is nothing to count in "{line.words}": tick it')
    if not 0 <= number <= line.pieces:
        raise DeskError(f'"{line.words}" is about {line.pieces}, not {number}')
    state = LineState.DONE if number == line.pieces else LineState.OPEN
    return _said(listed, line, state, number)


def noted(listed: Checklist, key: str, note: str) -> LineSaid:
    """That this note belongs to a line; "" takes the one before away."""
    line = listed.line(key)
    if note == line.note:
        raise DeskError(f'"{line.words}" has that note already; nothing was written')
    return LineSaid(listed.name, listed.about, line.key, line.words, note=note)


def write_said(folder: KitFolder, said: Sequence[LineSaid], when: When) -> str:
    """Write what was said of lines as one entry; the id to take it back by."""
    with open_journal(folder.journal) as journal:
        return journal.add(said, at=when.at, author=when.author, written=when.written)


def _ticking(listed: Checklist, key: str) -> Line:
    line = listed.line(key)
    if line.by_itself:
        raise DeskError(f'"{line.words}" is not ticked: {line.by_itself}')
    return line


def _said(listed: Checklist, line: Line, state: LineState, count: int | None = None) -> LineSaid:
    return LineSaid(listed.name, listed.about, line.key, line.words, state, count)
