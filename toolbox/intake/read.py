"""From bytes and answers to a reading: nothing is guessed in silence, nothing is stored."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from types import MappingProxyType

from toolbox.intake import days, marks, unknown_columns
from toolbox.intake.amounts import looks_like_sides
from toolbox.intake.body import read_body
from toolbox.intake.cells import RowReader
from toolbox.intake.decode import Unreadable
from toolbox.intake.ditto import without_dittos
from toolbox.intake.headers import (
    Headers,
    find_header,
    is_known,
    named_meaning,
    settle,
    units_row,
    with_units,
)
from toolbox.intake.reading import Answers, Column, Findings, Line, ListKind, Reading
from toolbox.intake.table import Row, Table, read_table
from toolbox.intake.twins import without_twins

_NUMBERS = ("mass", "reading", "length", "width", "height", "sides", "amount", "torque", "pack",
            "stock", "par", "per day", "minutes", "job minutes")  # fmt: skip
_DAYS = ("day", "last check", "due")


def read(data: bytes, name: str, answers: Answers | None = None) -> Reading:
    """Read a list of things, jobs or weighings as it stands, with the answers so far.

    Pure: the same bytes and answers give the same reading. ``name`` is how notes call the
    list. Never raises for what the data holds: that becomes refusals and questions.
    """
    findings = Findings(answers)
    try:
        table = read_table(data, findings, is_known)
    except Unreadable as unreadable:
        findings.refuse(unreadable.line, "", "", unreadable.reason, unreadable.cure)
        table = None
    if table is None:
        return _reading(name, ListKind.UNREAD, findings)
    return _of_table(table, name, findings)


def _reading(name: str, kind: ListKind, findings: Findings) -> Reading:
    return Reading(
        name,
        kind,
        questions=findings.questions,
        refusals=findings.refusals,
        notes=findings.notes,
        answers=findings.answers,
    )


def _of_table(table: Table, name: str, findings: Findings) -> Reading:
    found = find_header(table, findings)
    if found is None:
        # a row of our own above the list: columns are then told by their numbers
        unnamed = Row(0, ("",) * table.width)
        table = replace(table, rows=(unnamed, *table.rows))
    start = found or 0
    header = table.rows[start]
    for row in table.rows[:start]:
        words = " ".join(filter(None, map(str.strip, row.cells)))
        findings.note("lines above the header are left out", f"line {row.line}: {words[:40]}")
    if len(table.rows) > start + 1 and units_row(table.rows[start + 1]):
        start += 1
        header = with_units(header, table.rows[start])
        findings.note("the row below the header is read as units", f"line {header.line + 1}")
    headers = _headers(table, start + 1, _trimmed(header, table), findings)
    rows = len(table.rows) - start - 1
    findings.note(
        f"{name}: {rows} {'row' if rows == 1 else 'rows'}, columns parted by {table.parted}"
    )
    if table.blank_rows:
        findings.note(f"{table.blank_rows} blank rows were passed over")
    lines: Sequence[Line] = ()
    # a column read as the wrong thing would bring a refusal on every row
    if not findings.refusals:
        lines = _lines(table, start + 1, headers, findings)
        lines = unknown_columns.asked(table, start + 1, headers, lines, findings)
    read_so_far = _reading(name, headers.kind, findings)
    return replace(
        read_so_far,
        columns=headers.columns,
        lines=tuple(lines),
        meanings=MappingProxyType({m: headers.header(m) for m in headers.at}),
        header_line=header.line,
    )


def _headers(table: Table, start: int, row: Row, findings: Findings) -> Headers:
    """What the columns mean, with what was answered of those whose headers are not known."""
    headers = settle(row, findings)
    if not findings.refusals and (told := unknown_columns.told(table, start, headers, findings)):
        headers = settle(row, findings, told)
    return _sized(table, start, headers, findings)


def _trimmed(header: Row, table: Table) -> Row:
    """The header without blank columns at its end that no row fills."""
    cells = header.cells
    filled = max(
        (n + 1 for row in table.rows for n, cell in enumerate(row.cells) if cell.strip()), default=0
    )
    while cells and not cells[-1].strip() and len(cells) > filled:
        cells = cells[:-1]
    return Row(header.line, cells)


def _sized(table: Table, start: int, headers: Headers, findings: Findings) -> Headers:
    """A column "size" holds three sides, or nominal sizes such as 3-8: its cells tell."""
    place = headers.at.get("sides")
    told = {m.word for w in findings.answers.columns.values() if (m := named_meaning(w))}
    if place is None or "sides" in told or headers.units["sides"]:
        return headers
    cells = [row.cells[place] for row in table.rows[start:] if place < len(row.cells)]
    full = [cell for cell in cells if cell.strip()]
    if not full or 2 * sum(map(looks_like_sides, full)) >= len(full):
        return headers
    at = {("size" if m == "sides" else m): p for m, p in headers.at.items()}
    units = {("size" if m == "sides" else m): u for m, u in headers.units.items()}
    columns = tuple(
        Column(c.header, "size", "by its cells, which are no three sides")
        if c.meaning == "sides"
        else c
        for c in headers.columns
    )
    return Headers(
        headers.row, headers.kind, MappingProxyType(at), MappingProxyType(units), columns
    )


def _lines(table: Table, start: int, headers: Headers, findings: Findings) -> Sequence[Line]:
    rows = without_dittos(table.rows[start:], headers, findings)
    table = replace(table, rows=(*table.rows[:start], *rows))
    typed = _cells(rows, headers, _NUMBERS, table.typed)
    decided = marks.decide(typed, findings.answers.to(marks.QUESTION))
    order = days.order_settled(_cells(rows, headers, _DAYS, frozenset()))
    if decided.decided and any(
        marks.is_open(c) for c in _cells(rows, headers, _NUMBERS, frozenset())
    ):
        findings.note(marks.words(decided.decided))
    reader = RowReader(headers, findings, decided, order)
    lines = read_body(table, start, reader, findings, decided)
    if headers.kind is ListKind.THINGS:
        return without_twins(lines, findings)
    return lines


def _cells(
    rows: Iterable[Row], headers: Headers, meanings: Sequence[str], out: frozenset[tuple[int, int]]
) -> list[str]:
    places = [headers.at[meaning] for meaning in meanings if meaning in headers.at]
    return [
        row.cells[place]
        for row in rows
        for place in places
        if place < len(row.cells) and (row.line, place) not in out
    ]
