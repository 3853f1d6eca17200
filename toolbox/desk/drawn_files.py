"""Drawings as files: SVG as large as they are, or PDF on sheets of paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from toolbox.desk.errors import DeskError
from toolbox.desk.own_files import Wanted, Written, put_all
from toolbox.drawings.page import DrawingError, Page
from toolbox.drawings.pdf import as_pdf, can_write
from toolbox.drawings.svg import as_svg
from toolbox.drawings.tiles import Drawing, on_paper, whole_page
from toolbox.kit.paper import Paper


class Sheet(NamedTuple):
    """Pages that make one sheet, the name of its file without an ending, whose it is in words."""

    file: str
    whose: str
    pages: tuple[Page, ...]


NEEDS_PDF = (
    'a PDF needs the library reportlab: install toolbox with its extra "print", '
    "or take --format svg"
)


def drawing_sheet(file: str, whose: str, drawing: Drawing, paper: Paper | None) -> Sheet:
    """A drawing one to one: on one page of its own size, or cut up onto this paper."""
    pages = (whole_page(drawing),) if paper is None else on_paper(drawing, paper)
    return Sheet(file, whose, pages)


def pdf_wanted() -> None:
    """DeskError with what to do when there is nothing here that writes PDF."""
    if not can_write():
        raise DeskError(NEEDS_PDF)


def save_drawings(
    folder: Path, sheets: Sequence[Sheet], *, pdf: bool, more: Sequence[Wanted] = ()
) -> tuple[Written, ...]:
    """Write sheets into a folder, each as one PDF or as SVG, one file a page; and ``more``.

    Nothing is written while a file is in the way that is not the same sheet, or a text
    cannot be written in a PDF; DeskError says so.
    """
    wanted: list[Wanted] = []
    faults: list[str] = []
    for sheet in sheets:
        try:
            wanted += _pdf(folder, sheet) if pdf else _svg(folder, sheet)
        except DrawingError as error:
            faults += error.reasons
    if faults:
        raise nothing_drawn(faults)
    return put_all(folder, (*wanted, *more))


def nothing_drawn(reasons: Sequence[str]) -> DeskError:
    """The refusal to draw, with every reason once."""
    return DeskError(f"nothing was drawn: {'; '.join(dict.fromkeys(reasons))}")


def _pdf(folder: Path, sheet: Sheet) -> list[Wanted]:
    pdf_wanted()
    data = as_pdf(sheet.pages)
    return [Wanted(folder / f"{sheet.file}.pdf", sheet.pages[0].mark, data, sheet.whose)]


def _svg(folder: Path, sheet: Sheet) -> list[Wanted]:
    one = len(sheet.pages) == 1
    return [
        Wanted(
            folder / (f"{sheet.file}.svg" if one else f"{sheet.file}-{number}.svg"),
            page.mark,
            as_svg(page).encode("utf-8"),
            sheet.whose,
        )
        for number, page in enumerate(sheet.pages, 1)
    ]
