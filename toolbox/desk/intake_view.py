"""Taking in a list as a screen shows it: what was read, what waits, what would change, one by one.

A screen holds a `Source` and the `Answers` given so far; everything it shows is read anew
from both. What is accepted is a set of keys of `ChangeLine`; each key says what it changes
from what to what, so that nothing else is ever stored under it.
"""

from __future__ import annotations

import os
from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import count
from toolbox.desk.folder import KitFolder
from toolbox.desk.intake import Intake, list_bytes, store, take_in
from toolbox.desk.intake_answers import answers_path, keep_answers, load_answers
from toolbox.desk.odd_masses import odd_in_import
from toolbox.files.problems import listed, nearest, quoted
from toolbox.intake import days, marks
from toolbox.intake.difference import Difference, Entry, State, Thing
from toolbox.intake.headers import LEFT_OUT, TABLES, named_meaning
from toolbox.intake.reading import Answers, Column, Line, ListKind, Question
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Tool
from toolbox.kit.work import Job

PASTED = "pasted list"
ENDINGS = (".csv", ".tsv", ".txt", ".xlsx", ".xls", ".ods")
KIND_WORDS = {
    ListKind.THINGS: "tools and supplies",
    ListKind.JOBS: "jobs",
    ListKind.WEIGHINGS: "weighings",
    ListKind.UNREAD: "not read yet",
}
NEW = "new"
_MOST_FILES = 200


@dataclass(frozen=True, slots=True)
class Source:
    """A list as it came: its bytes and how it is called; a pasted one has no file of answers."""

    name: str
    data: bytes
    pasted: bool = False


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One thing to accept or not: a new entry, or one key of a known one.

    ``what`` is NEW or the key; ``old`` and ``new`` are words, "" for nothing.
    """

    key: str
    entry: Entry
    what: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class ColumnLine:
    """A column: what answers call it, its header, what it means, why, its first filled cell."""

    name: str
    header: str
    meaning: str
    how: str
    sample: str = ""

    @property
    def key(self) -> str:
        """What it is known by in lists."""
        return self.name


@dataclass(frozen=True, slots=True)
class AskedLine:
    """A question that is open, or one that was answered (``answer``) and can be asked again."""

    id: str
    asked: str
    lines: tuple[int, ...] = ()
    question: Question | None = None
    answer: str = ""

    @property
    def key(self) -> str:
        """What it is known by in lists."""
        return self.id


# ---- choosing a list


def paths_like(typed: str, start: Path) -> tuple[str, ...]:
    """Lists and folders that a path typed so far could mean, folders with a slash behind them."""
    path = Path(os.path.expanduser(typed.strip() or "."))
    whole = start / path
    folder, begun = (whole, "") if typed.strip()[-1:] in ("", "/") else (whole.parent, path.name)
    head = typed.strip()[: len(typed.strip()) - len(begun)]
    found = []
    try:
        inside = sorted(folder.iterdir(), key=lambda one: (not one.is_dir(), one.name.casefold()))
    except OSError:
        return ()
    for one in inside:
        hidden = one.name.startswith(".") and not begun.startswith(".")
        if hidden or not one.name.casefold().startswith(begun.casefold()):
            continue
        if one.is_dir():
            found.append(f"{head}{one.name}/")
        elif one.suffix.casefold() in ENDINGS:
            found.append(f"{head}{one.name}")
    return tuple(found[:_MOST_FILES])


def source_at(typed: str, start: Path) -> Source:
    """The list in the file that was named; DeskError where it cannot be read."""
    named = typed.strip().strip("'\"").removeprefix("file://")
    path = start / Path(os.path.expanduser(named))
    if path.is_dir():
        raise DeskError(f"{named} is a folder; choose a list in it")
    return Source(path.name, list_bytes(path))


def pasted(text: str) -> Source:
    """A list that was pasted in."""
    return Source(PASTED, text.encode("utf-8", "replace"), pasted=True)


def kept_answers(folder: KitFolder, source: Source) -> Answers:
    """The answers that the kit keeps for a list of that name; none for a pasted one."""
    path = answers_path(folder, source.name)
    return load_answers(path) if path.exists() and not source.pasted else Answers()


# ---- what is shown


def summary(taken: Intake) -> str:
    """What came of reading in one line: kind, rows, what waits, what would change."""
    reading, difference = taken.reading, taken.difference
    said = [
        KIND_WORDS[reading.kind],
        count(len(reading.lines), "row"),
        *_some(len(difference.questions), "question"),
        *(f"{n} refused" for n in (len(difference.refusals),) if n),
        *(f"{len(found)} {s.value}" for s in State if (found := difference.of(s))),
    ]
    if difference.missing:
        said.append(f"{len(difference.missing)} of the kit not in it")
    return f"{reading.name}: {', '.join(said)}"


def _some(number: int, one: str) -> list[str]:
    return [count(number, one)] if number else []


def asked_lines(taken: Intake) -> tuple[AskedLine, ...]:
    """The open questions in order, then the answers given, each to be asked again."""
    still = [AskedLine(q.id, q.asked, q.lines, q) for q in taken.difference.questions]
    ids = {one.id for one in still}
    given = taken.reading.answers.said.items()
    return (*still, *(AskedLine(i, i, answer=a) for i, a in given if i not in ids))


def change_lines(difference: Difference) -> tuple[ChangeLine, ...]:
    """Everything that could be accepted: new entries whole, known ones key by key."""
    found = []
    for entry in difference.entries:
        if entry.known is None:
            new = entry_words(entry.thing)
            found.append(ChangeLine(_key(entry, NEW, "", new), entry, NEW, "", new))
        for c in entry.changes if entry.known is not None else ():
            key = _key(entry, c.key, c.old, c.new)
            found.append(ChangeLine(key, entry, c.key, c.old, c.new))
    return tuple(found)


def _key(entry: Entry, what: str, old: str, new: str) -> str:
    return "\0".join((entry.id, str(entry.line), what, old, new))


def entry_words(thing: Thing) -> str:
    """What a new entry is, as far as a glance tells whether it was read right."""
    if isinstance(thing, Job):
        return count(len(thing.steps), "step")
    said = [f"count {thing.count}"] if isinstance(thing, Tool) else [f"in {thing.measure.value}"]
    said += [write(thing.mass.grams, Kind.MASS)] if thing.mass else []
    said += [" x ".join(write(side, Kind.LENGTH) for side in thing.size)] if thing.size else []
    return ", ".join(said if thing.carried else [*said, "stays at home"])


def line_words(line: Line) -> tuple[str, ...]:
    """All that was read of a row: each value, its cell, and the guess that it rests on."""
    said = [f"Line {line.number}" + (f", under {quoted(line.group)}" if line.group else "")]
    for meaning, value in line.values.items():
        words = value.words()
        cell = f" from {quoted(value.cell)}" if value.cell.strip() != words else ""
        rests = f" ({value.rests_on})" if value.rests_on else ""
        said.append(f"- {meaning}: {words or 'nothing'}{cell}{rests}")
    said += [f"- waits for an answer: {asks}" for asks in line.asks]
    return (*said, "- a cell of it was refused") if line.failed else tuple(said)


def line_state(line: Line) -> str:
    """How a row stands in one word."""
    return "refused" if line.failed else "waits" if line.asks else "read"


# ---- what can be said of it


def meaning_words(column: Column) -> str:
    """What a column is read as, as it is typed: "mass (g)", "-" for one left out."""
    if column.meaning == LEFT_OUT:
        return "-"
    return f"{column.meaning} ({column.unit})" if column.unit else column.meaning


def meanings_of(kind: ListKind) -> tuple[str, ...]:
    """All that a column of such a list can mean."""
    known = TABLES.get(kind) or {word: "" for table in TABLES.values() for word in table}
    return tuple(sorted(known))


def column_lines(taken: Intake) -> tuple[ColumnLine, ...]:
    """All columns as they are read; those that a refusal keeps from being read at the end."""
    reading = taken.reading
    headers = [column.header.casefold() for column in reading.columns]
    found = []
    for place, column in enumerate(reading.columns):
        name = column.header if headers.count(headers[place]) == 1 else f"column {place + 1}"
        cells = (line.cells[place] for line in reading.lines if place < len(line.cells))
        sample = next((cell for cell in cells if cell.strip()), "")
        found.append(
            ColumnLine(name, column.header, meaning_words(column), column.how, sample.strip())
        )
    for refusal in reading.refusals:
        if refusal.line == reading.header_line and refusal.column.casefold() not in headers:
            how = f"{refusal.reason}; {refusal.cure}"
            found.append(ColumnLine(refusal.column, refusal.column, "?", how))
    return tuple(found)


def column_told(taken: Intake, line: ColumnLine, typed: str) -> Answers:
    """The answers with what a column was said to mean; DeskError for what it cannot mean."""
    kind = taken.reading.kind
    meaning = named_meaning(typed)
    known = meanings_of(kind)
    if meaning is None:
        near = nearest(typed.strip().casefold(), known)
        hint = f"did you mean {near}?" if near else f"write one of {', '.join(known)}"
        raise DeskError(f"{quoted(typed)} is nothing a column can mean; {hint}")
    if meaning.word not in (*known, LEFT_OUT):
        raise DeskError(f"{meaning.word} does not belong in a list of {KIND_WORDS[kind]}")
    others = [c for c in taken.reading.columns if c.header != line.header]
    if any(c.meaning == meaning.word != LEFT_OUT for c in others):
        raise DeskError(
            f"another column is read as {meaning.word} already; give that one another meaning "
            "first, or - to leave it out"
        )
    answers = taken.reading.answers
    stands = "-" if meaning.word == LEFT_OUT else typed.strip()
    return replace(answers, columns={**answers.columns, line.name: stands})


def asked_again(answers: Answers, question: str) -> Answers:
    """The answers without this one, so that it is asked anew."""
    return replace(answers, said={i: a for i, a in answers.said.items() if i != question})


HOW = (
    ("m", marks.QUESTION, "Decimal mark", ("point", "comma", "none")),
    ("d", days.QUESTION, "Order of dates", ("day first", "month first")),
    ("k", "kind", "What it is a list of", ("tools+supplies", "jobs", "weighings")),
    ("h", "header", "The line that holds the headers", ()),
    ("s", "sheet", "The sheet of a spreadsheet file", ()),
)
"""What can be said of a whole list whether it is asked or not: letter, id, words, choices."""


def how_read(taken: Intake) -> tuple[tuple[str, str, str], ...]:
    """The same with how each stands now, as choices for a menu."""
    reading = taken.reading
    now = {"kind": KIND_WORDS[reading.kind], "header": str(reading.header_line)}
    said = reading.answers.said
    return tuple(
        (letter, id, f"{words}: {said.get(id) or now.get(id) or 'as the cells tell'}")
        for letter, id, words, _ in HOW
    )


# ---- what is stored


def chosen(difference: Difference, accepted: Collection[str]) -> tuple[Entry, ...]:
    """The entries with what was accepted of each. DeskError where a key means nothing any more."""
    lines = [line for line in change_lines(difference) if line.key in accepted]
    if len(lines) < len(set(accepted)):
        raise DeskError(
            "the kit is another one since the list was read; look at the changes again, "
            "nothing was stored"
        )
    keys: dict[int, list[str]] = {}
    for line in lines:
        keys.setdefault(id(line.entry), []).append(line.what)
    picked = (entry for entry in difference.entries if id(entry) in keys)
    return tuple(entry.only(keys[id(entry)]) for entry in picked)


def odd_chosen(kit: Kit, taken: Intake, accepted: Collection[str]) -> tuple[str, ...]:
    """What is odd about the masses that were accepted, to be asked back before they are written."""
    return odd_in_import(kit, chosen(taken.difference, accepted))


def store_list(
    folder: KitFolder, source: Source, answers: Answers, accepted: Collection[str]
) -> str:
    """Write what was accepted, all or nothing, and keep the answers; what was done, in words.

    The list is held against the kit as it is now, so that nothing goes over what somebody
    else changed since. Raises DeskError, KitFaults and WriteRefused as ``store`` does.
    """
    taken = take_in(folder, source.data, source.name, answers)
    entries = chosen(taken.difference, accepted)
    if not entries:
        raise DeskError("nothing is accepted yet, so nothing was stored")
    store(folder, entries)
    said = f"Stored: {count(len(entries), 'entry', 'entries')} of {source.name}."
    if source.pasted:
        return said
    path = answers_path(folder, source.name)
    kept = keep_answers(path, taken.reading.answers, source.name)
    return f"{said} The answers are kept in {path.parent.name}/{path.name}." if kept else said


def store_words(lines: Collection[ChangeLine]) -> str:
    """What would be stored, for a question: "12 new entries and 3 changes"."""
    new = sum(line.what == NEW for line in lines)
    said = [count(new, "new entry", "new entries")] if new else []
    said += [count(len(lines) - new, "change")] if len(lines) > new else []
    return listed(said, "and")
