"""Papers as files: a page as Markdown and as HTML, its table as CSV, all of them or none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import clean
from toolbox.desk.own_files import Written, page_files, put, put_all
from toolbox.desk.printed import Page
from toolbox.desk.safe_cells import csv_bytes
from toolbox.files.csv_guard import guarded
from toolbox.files.problems import WriteRefused


@dataclass(frozen=True, slots=True)
class Paper:
    """A page and the same table as CSV; ``file`` is the name without what the kind adds.

    ``whose`` says in words what it is about.
    """

    file: str
    page: Page
    csv: bytes
    whose: str


def save_papers(folder: Path, papers: Sequence[Paper]) -> tuple[Written, ...]:
    """Write papers into a folder, which is made when it is not there.

    A file that is not the same paper stays, and then nothing is written; a CSV is taken for
    the same when its heads are. DeskError says which and what to do; what was there is kept
    as ``.NAME.previous``.
    """
    pages = [file for one in papers for file in page_files(folder, one.file, one.page, one.whose)]
    tables = [(folder / f"{one.file}.csv", one) for one in papers]
    strange = [path.name for path, one in tables if _strange(path, one.csv)]
    if strange:
        raise DeskError(
            f"no paper was written: {', '.join(strange)} is there with other columns; move it "
            "or name another folder"
        )
    written = put_all(folder, pages)
    try:
        return (*written, *(put(path, one.csv) for path, one in tables))
    except (OSError, WriteRefused) as error:
        raise DeskError(f"not every paper could be written into {folder}: {error}") from error


def _strange(path: Path, data: bytes) -> bool:
    if not path.exists():
        return False
    heads = data.partition(b"\r\n")[0]
    return not path.is_file() or path.read_bytes().partition(b"\r\n")[0] != heads


def paper_csv(heads: Sequence[str], rows: Iterable[Sequence[str | int]]) -> bytes:
    """The table of a paper as CSV. Whole numbers may only be counts; a measure has its unit."""
    guard = ([c if isinstance(c, int) else guarded(clean(c)) for c in row] for row in rows)
    return csv_bytes(heads, guard)
