"""Spreadsheet files: one sheet chosen, merged cells filled, hidden rows named, formulas checked.

The reader of cells tells neither hidden rows nor formulas without a value, so both are
looked up in the file's own XML, where it has any (ECMA-376, OpenDocument 1.3).
"""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, NamedTuple
from xml.etree import ElementTree

from toolbox.files.problems import quoted
from toolbox.intake.decode import Unreadable
from toolbox.intake.reading import Findings

if TYPE_CHECKING:
    import python_calamine

_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ZIP = b"PK\x03\x04"
_MOST_UNPACKED = 100_000_000
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
_ODS = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"


class SheetRows(NamedTuple):
    """The rows of one sheet: line and cells as texts; which are numbers, which formulas only."""

    name: str
    rows: list[tuple[int, tuple[str, ...]]]
    typed: frozenset[tuple[int, int]]
    unvalued: frozenset[tuple[int, int]]


class _Hidden(NamedTuple):
    """Rows that are hidden and cells that hold a formula without a value."""

    rows: set[int]
    empty: dict[tuple[int, int], str]
    known: bool = True


def is_spreadsheet(data: bytes) -> bool:
    """Whether the bytes begin as a file of a spreadsheet program does."""
    return data.startswith((_OLD, _ZIP))


def read_spreadsheet(data: bytes, findings: Findings) -> SheetRows | None:
    """The sheet that is meant; None after asking which. Raises Unreadable."""
    _check_zip(data)
    book = _opened(data)
    name = _chosen(book, findings)
    if not name:
        return None
    try:
        sheet = book.get_sheet_by_name(name)
        cells = sheet.to_python(skip_empty_area=False)
        merged = sheet.merged_cell_ranges or []
    except Exception:
        raise Unreadable(0, f"sheet {quoted(name)} cannot be read", "save it as CSV") from None
    hidden = _hidden(data, book.sheet_names.index(name), name)
    rows = [[_text(cell) for cell in row] for row in cells]
    _fill(rows, merged, findings)
    unvalued = _put_formulas(rows, hidden.empty)
    _tell_hidden(rows, hidden, findings)
    typed = frozenset(
        (n, place)
        for n, row in enumerate(cells, start=1)
        for place, cell in enumerate(row)
        if isinstance(cell, int | float) and not isinstance(cell, bool)
    )
    numbered = [(n, tuple(row)) for n, row in enumerate(rows, start=1)]
    return SheetRows(name, numbered, typed, unvalued)


def _put_formulas(
    rows: list[list[str]], empty: dict[tuple[int, int], str]
) -> frozenset[tuple[int, int]]:
    """Show formulas that have no value where a blank would pass for a blank cell."""
    width = max((len(row) for row in rows), default=0)
    last = max((line for line, _ in empty), default=0)
    rows += [[""] * width for _ in range(len(rows), min(last, len(rows) + 1000))]
    put = set()
    for (line, place), formula in empty.items():
        if line <= len(rows) and place < len(rows[line - 1]) and not rows[line - 1][place]:
            rows[line - 1][place] = f"={formula}"
            put.add((line, place))
    return frozenset(put)


def _check_zip(data: bytes) -> None:
    """A small file may unpack to a very large one: refused before it is unpacked."""
    if not data.startswith(_ZIP):
        return
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            names = packed.namelist()
            size = sum(info.file_size for info in packed.infolist())
    except zipfile.BadZipFile:
        raise Unreadable(0, "is a damaged file", "save it again as CSV") from None
    if not any(name.startswith("xl/") or name == "content.xml" for name in names):
        raise Unreadable(0, "is packed, and holds no spreadsheet", "unpack it first")
    if size > _MOST_UNPACKED:
        raise Unreadable(0, "unpacks to more than 100 MB", "save only the sheet with the list")


def _opened(data: bytes) -> python_calamine.CalamineWorkbook:
    try:
        import python_calamine
    except ImportError:
        raise Unreadable(
            0,
            "is a spreadsheet file, for which a reader has to be installed",
            'save the sheet as CSV, or install toolbox with its extra "sheets"',
        ) from None
    try:
        return python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
    except Exception as error:
        raise Unreadable(
            0, f"cannot be read as a spreadsheet ({error})", "save the sheet as CSV"
        ) from None


def _chosen(book: python_calamine.CalamineWorkbook, findings: Findings) -> str:
    names = [sheet.name for sheet in book.sheets_metadata if "Work" in str(sheet.typ)]
    seen = [
        s.name
        for s in book.sheets_metadata
        if s.name in names and str(s.visible).endswith(".Visible")
    ]
    if out := [name for name in names if name not in seen]:
        findings.note(f"hidden sheets: {', '.join(map(quoted, out))}")
    if not names:
        raise Unreadable(0, "holds no sheet of cells", "save the list as CSV")
    if len(names) == 1:
        return names[0]
    return findings.ask("sheet", "which sheet is the list?", tuple(names))


def _text(cell: object) -> str:
    """A cell as the text that stands for it; numbers of a spreadsheet are floats."""
    match cell:
        case bool():
            return "yes" if cell else "no"
        case int() | float():
            return _number(float(cell))
        case datetime():
            plain = cell.time() == time()
            return cell.date().isoformat() if plain else cell.isoformat(" ", "minutes")
        case date():
            return cell.isoformat()
        case time() | timedelta():
            return str(cell)
    return str(cell)


def _number(value: float) -> str:
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    # 15 digits are what a spreadsheet shows: 0.1 + 0.2 is 0.3 there
    shown = f"{float(f'{value:.15g}'):.15f}".rstrip("0")
    return f"{shown}0" if re.fullmatch(r"-?[1-9]\d{0,2}\.\d{3}", shown) else shown.rstrip(".")


def _fill(
    rows: list[list[str]],
    merged: list[tuple[tuple[int, int], tuple[int, int]]],
    findings: Findings,
) -> None:
    """What stands in a merged cell holds for every row of it; across columns it is one cell."""
    filled = []
    for (top, left), (bottom, right) in merged:
        if top >= len(rows) or left >= len(rows[top]) or not rows[top][left]:
            continue
        # a title over several columns says nothing of each of them
        if left != right or top == bottom:
            continue
        for row in rows[top + 1 : bottom + 1]:
            row[left] = rows[top][left]
        filled.append(f"{rows[top][left]}: lines {top + 1} to {bottom + 1}")
    if filled:
        findings.note("merged cells are read as if each row had them", "; ".join(filled[:6]))


def _tell_hidden(rows: list[list[str]], hidden: _Hidden, findings: Findings) -> None:
    if not hidden.known:
        findings.note("whether rows are hidden cannot be seen in a file of this kind")
    for line in sorted(hidden.rows):
        if line <= len(rows) and any(rows[line - 1]):
            words = " ".join(filter(None, rows[line - 1]))
            findings.note("hidden rows are read all the same", f"line {line}: {words[:40]}")


def _hidden(data: bytes, number: int, name: str) -> _Hidden:
    if not data.startswith(_ZIP):
        return _Hidden(set(), {}, known=False)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if "content.xml" in packed.namelist():
                return _hidden_ods(packed, name)
            if path := _sheet_path(packed, number):
                return _hidden_xlsx(packed, path)
    except (KeyError, ElementTree.ParseError, zipfile.BadZipFile, ValueError):
        pass
    return _Hidden(set(), {}, known=False)


def _sheet_path(packed: zipfile.ZipFile, number: int) -> str:
    if "xl/workbook.xml" not in packed.namelist():
        return ""
    book = ElementTree.fromstring(packed.read("xl/workbook.xml"))
    links = ElementTree.fromstring(packed.read("xl/_rels/workbook.xml.rels"))
    link = list(book.iter(f"{_MAIN}sheet"))[number].get(f"{_LINK}id")
    target = next(rel.get("Target", "") for rel in links if rel.get("Id") == link)
    return target.lstrip("/") if target.startswith("/") else f"xl/{target}"


def _hidden_xlsx(packed: zipfile.ZipFile, path: str) -> _Hidden:
    rows: set[int] = set()
    empty: dict[tuple[int, int], str] = {}
    with packed.open(path) as file:
        for _, row in ElementTree.iterparse(file):
            if row.tag != f"{_MAIN}row":
                continue
            if row.get("hidden") in ("1", "true"):
                rows.add(int(row.get("r", "0")))
            for cell in row.iter(f"{_MAIN}c"):
                formula = cell.find(f"{_MAIN}f")
                value = cell.find(f"{_MAIN}v")
                if formula is not None and (value is None or not value.text):
                    empty[_place(cell.get("r", ""))] = formula.text or ""
            row.clear()
    return _Hidden(rows, empty)


def _place(name: str) -> tuple[int, int]:
    """B12 as line 12 and column 1, counted from 0."""
    found = re.fullmatch(r"([A-Z]{1,3})(\d+)", name)
    if found is None:
        raise ValueError(name)
    column = 0
    for letter in found[1]:
        column = 26 * column + ord(letter) - 64
    return int(found[2]), column - 1


def _hidden_ods(packed: zipfile.ZipFile, name: str) -> _Hidden:
    rows: set[int] = set()
    content = ElementTree.fromstring(packed.read("content.xml"))
    for table in content.iter(f"{_ODS}table"):
        if table.get(f"{_ODS}name") != name:
            continue
        line = 1
        for row in table.iter(f"{_ODS}table-row"):
            times = int(row.get(f"{_ODS}number-rows-repeated", "1"))
            if row.get(f"{_ODS}visibility") in ("collapse", "filter"):
                rows |= set(range(line, line + min(times, 1000)))
            line += times
    return _Hidden(rows, {})
