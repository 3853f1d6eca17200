"""Sheets as files: written whole, and never over a file that is not the same sheet."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from enum import Enum
from pathlib import Path
from typing import NamedTuple

from toolbox.desk.errors import DeskError
from toolbox.desk.printed import Page, as_html, as_markdown, mark_in
from toolbox.drawings.page import MARK
from toolbox.files.atomic import put_in_place
from toolbox.files.problems import WriteRefused

PAGE_KINDS = (".md", ".html")
"""The endings of the files that one page becomes."""
_BEGINNING = 2000  # bytes of a file that are looked at for its mark
# A bracket inside a text of a PDF is written with a backslash: no text can look like this.
_IN_PDF = re.compile(rb"/Keywords \(" + MARK.encode() + rb": (\S+)\)")


class How(Enum):
    """What became of a file; the value is the word shown."""

    NEW = "new"
    REPLACED = "replaced"  # an older one of the same sheet
    SAME = "unchanged"


class Wanted(NamedTuple):
    """A file to be written: the mark of its sheet, and in words whose sheet it is."""

    path: Path
    mark: str
    data: bytes
    whose: str


class Written(NamedTuple):
    """A file that holds its sheet now, and what became of it."""

    path: Path
    how: How


def page_files(folder: Path, file: str, page: Page, whose: str) -> tuple[Wanted, ...]:
    """A page as Markdown and as HTML; ``file`` is the name without what the kind adds."""
    return tuple(
        Wanted(folder / f"{file}{kind}", page.mark, text(page).encode("utf-8"), whose)
        for kind, text in zip(PAGE_KINDS, (as_markdown, as_html), strict=True)
    )


def put_all(folder: Path, wanted: Sequence[Wanted]) -> tuple[Written, ...]:
    """Write all these files into a folder, which is made when it is not there.

    A file that is not the same sheet stays, and then nothing is written at all. DeskError
    says which and what to do; what an earlier sheet said is kept as ``.NAME.previous``.
    """
    try:
        faults = list(_in_the_way(folder, wanted))
        if faults:
            raise DeskError(f"no sheet was written: {'; '.join(faults)}")
        folder.mkdir(parents=True, exist_ok=True)
        return tuple(put(one.path, one.data) for one in wanted)
    except (OSError, WriteRefused) as error:
        raise DeskError(f"the sheets could not all be written into {folder}: {error}") from error


def put(path: Path, data: bytes) -> Written:
    """Write one file; what it said before is kept as ``.NAME.previous``.

    WriteRefused or OSError when it cannot be written.
    """
    was = path.read_bytes() if path.exists() else None
    if was == data:
        return Written(path, How.SAME)
    put_in_place(path, data, was)
    return Written(path, How.NEW if was is None else How.REPLACED)


def mark_of_file(path: Path) -> str:
    """The mark of the sheet in a file, "" for none or for what is no file."""
    if not path.is_file():
        return ""
    with path.open("rb") as file:
        beginning = file.read(_BEGINNING)
        if beginning.startswith(b"%PDF"):
            found = _IN_PDF.search(beginning + file.read())
            return found[1].decode("ascii", "replace") if found else ""
        return mark_in(beginning.decode("utf-8", "replace").replace("\r\n", "\n"))


def _in_the_way(folder: Path, wanted: Sequence[Wanted]) -> Iterator[str]:
    if folder.exists() and not folder.is_dir():
        yield f"{folder} is no folder: name another"
        return
    for one in wanted:
        if one.path.exists() and mark_of_file(one.path) != one.mark:
            yield (
                f"{one.path.name} is there and is no sheet {one.whose}; "
                "move it or name another folder"
            )
