"""Two copies of a kit made one again: the log of both, and what differs in their files.

The other one is a kit folder, an export, or a journal alone. Facts are joined whatever was
written where; the files are compared, and only what was changed on the other side alone is
taken in, when that is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from toolbox.desk.archive import is_export, read_export
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import JOURNAL, KIT_FILE
from toolbox.desk.merge_base import keep_meeting, last_meeting, meeting_file
from toolbox.desk.trips import read_everything
from toolbox.files.archive import archived
from toolbox.files.merge import ABSENT, Difference, Had, Verdict, agreed, compare
from toolbox.files.merge_taking import put_all, take, tried_out
from toolbox.files.problems import KitFaults, Problems
from toolbox.files.sources import Raw, tables_of
from toolbox.journal.archive import Row, rows_of
from toolbox.journal.merge import TakenIn, compared, rows_elsewhere, take_in

__all__ = ["ABSENT", "Difference", "Merged", "Other", "Verdict", "merge", "read_other"]

Texts = Mapping[str, bytes]


@dataclass(frozen=True)
class Other:
    """The other copy: where it is, its facts, and its files' bytes; None for a journal alone."""

    path: Path
    rows: tuple[Row, ...]
    texts: Texts | None = None


@dataclass(frozen=True)
class Merged:
    """What came of it: facts taken in and known before, differences of the files, those taken.

    ``why`` says why it is not known who changed what, "" when it is known, None when no
    files were there to be compared.
    """

    other: Path
    facts: TakenIn
    differences: tuple[Difference, ...] = ()
    taken: tuple[Difference, ...] = ()
    why: str | None = None

    @property
    def entries(self) -> int:
        """How many entries were taken in."""
        return len({row["entry"] for row in self.facts.new})

    @property
    def authors(self) -> tuple[str, ...]:
        """Who wrote what was taken in, in the order of their names."""
        return tuple(sorted({row["author"] for row in self.facts.new}))

    @property
    def left(self) -> tuple[Difference, ...]:
        """What still differs and somebody has to look at: all but what was changed here alone."""
        return tuple(one for one in self.differences if one not in self.taken and one.to_settle)


def merge(path: Path, other: Path, state: Path, *, wanted: bool, same_kit: bool) -> Merged:
    """Take the facts of another copy of the kit in ``path`` into its journal; compare the files.

    With ``wanted`` what only the other side changed in the files is taken in too. The two are
    the same kit when they share a fact, or when ``same_kit`` says so; else DeskError.
    KitFaults, JournalError and WriteRefused when one of them cannot be read or the kit could
    not be with what would be taken in; nothing is changed then. Facts go in before the files,
    which stay as they were, all of them, if one cannot be put in its place after that.
    """
    there = read_other(path, other)
    facts = compared(path / JOURNAL, there.rows, other)
    file = meeting_file(state, path, other)
    # a log without a fact cannot be told from any other, and brings nothing
    met = facts.known > 0 or (not there.rows and (there.texts is None or file.is_file()))
    if not (met or same_kit):
        raise DeskError(_strangers(path, there))
    if there.texts is None:
        return Merged(other, take_in(path / JOURNAL, there.rows, other))
    before = archived(path).texts
    meeting = last_meeting(file, {row["id"] for row in there.rows})
    mine, theirs = _tables(before), _tables(there.texts)
    found = compare(mine, theirs, meeting.had)
    taken = [one for one in found if one.takeable] if wanted else []
    after = _tried(before, taken, there.texts) if taken else before
    facts = take_in(path / JOURNAL, there.rows, other)
    put_all(path, before, {f: text for f, text in after.items() if text != before.get(f)})
    now = _tables(after) if taken else mine
    _keep(file, agreed(now, theirs, meeting.had), there, path)
    return Merged(other, facts, tuple(found), tuple(taken), meeting.why)


def read_other(path: Path, other: Path) -> Other:
    """The other copy of the kit in ``path``, read and left as it is.

    DeskError when it is the same one or no kit, export or journal; KitFaults, JournalError.
    """
    if other.resolve() in (path.resolve(), (path / JOURNAL).resolve()):
        raise DeskError(f"{other} is this kit itself; name the other copy of it")
    if (other / KIT_FILE).is_file():
        journal = other / JOURNAL
        rows = rows_elsewhere(journal) if journal.exists() else ()
        return Other(other, rows, archived(other).texts)
    if is_export(other):
        texts, facts = read_export(other)
        return Other(other, tuple(facts), texts)
    if other.is_file():
        return Other(other, rows_elsewhere(other))
    wrong = f"is no kit and no export of one: it holds no {KIT_FILE}"
    raise DeskError(
        f"{other} {wrong if other.is_dir() else 'is not there'}. Name a kit folder, a folder that "
        "toolbox export wrote, or a journal"
    )


def _strangers(path: Path, there: Other) -> str:
    here = f"{len(rows_of(path / JOURNAL))} facts here, {len(there.rows)} there"
    return (
        f"the logs of {path} and {there.path} have no entry in common ({here}), so they may be "
        "of two kits, and what is taken into a log can never be taken out. If they are copies "
        "of one kit on which nothing had been logged yet, say so with --yes; nothing was written"
    )


def _tables(texts: Texts) -> dict[str, Raw]:
    """The tables of files that were read before."""
    problems = Problems()
    found: dict[str, Raw] = {}
    for file, text in texts.items():
        raw = tables_of(text, problems.at(file))
        if raw is not None:
            found[file] = raw
    if problems.faults:
        raise KitFaults(problems.faults)
    return found


def _tried(before: Texts, taken: Sequence[Difference], theirs: Texts) -> dict[str, bytes]:
    """The files as they would be; KitFaults when the kit could not be read with them."""
    with tried_out(before) as folder:
        take(folder, taken, theirs)
        read_everything(folder)
        return dict(archived(folder).texts)


def _keep(file: Path, had: Had, there: Other, path: Path) -> None:
    try:
        keep_meeting(file, had, there.rows, path, there.path)
    except OSError as error:
        raise DeskError(
            f"all was merged, but what both have cannot be kept for the next time ({error})"
        ) from error
