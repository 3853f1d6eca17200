"""From bytes to rows: separators, byte-order mark, quotes, line numbers, odd widths."""

from __future__ import annotations

import pytest
from intakes import held

from toolbox.intake.difference import Difference
from toolbox.intake.reading import ListKind
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Size

KIT = Kit("Cross squad", Box("Case", Size(6900, 4400, 2800), 6500, 7000, (), ()))
HEADER = "id,name,mass_g,length_mm,width_mm,height_mm"
ROW = "T1,Spoke key,28,60,40,12"


def read(data: bytes | str) -> Difference:
    """The draft of a list given as bytes or text."""
    return held(data, KIT)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_separators_line_ends_and_byte_order_mark(separator: str, end: str, mark: str) -> None:
    """Comma, semicolon or tab, any line end, with or without a mark: the same tool."""
    text = mark + f"{HEADER}{end}{ROW}{end}".replace(",", separator)
    draft = read(text)
    assert [tool.name for tool in draft.tools] == ["Spoke key"]
    assert not draft.refusals


def test_a_separator_in_every_cell_does_not_mislead() -> None:
    """Names with one comma each, parted by semicolons: the semicolon parts the columns."""
    text = f"{HEADER}\n{ROW}\n".replace(",", ";").replace("Spoke key", "Key, spoke")
    assert read(text).tools[0].name == "Key, spoke"


def test_quoted_cells_keep_separators_quotes_and_line_breaks() -> None:
    """The quote-aware reader keeps what stands in quotes; a line break becomes a blank."""
    draft = read(f'{HEADER}\nT1,"Bar, 14"" long;\nblack",28,60,40,12\nT2,x,0,1,1,1\n')
    assert draft.tools[0].name == 'Bar, 14" long; black'
    assert [r.line for r in draft.refusals] == [4]


def test_an_inch_mark_outside_quotes_is_kept() -> None:
    """1/4" drive stands in an unquoted cell; the mark is part of the name."""
    assert read(f'{HEADER}\nT1,Ratchet 1/4",28,5.7",40,12\n').tools[0].size.length == 1448


def test_blank_rows_are_passed_over_and_counted() -> None:
    """Rows of separators alone hold nothing; their number is told."""
    draft = read(f"{HEADER}\n,,,,,\n{ROW}\n\n , ,,,,\n")
    assert len(draft.tools) == 1
    assert any("3 blank rows" in note for note in draft.notes)


def test_rows_of_another_width_are_refused() -> None:
    """A decimal comma in a comma list shifts every cell after it: never read."""
    draft = read(f"{HEADER}\nT1,Spoke key,28,60,5,40,12\n{ROW.replace('T1', 'T2')}\n")
    assert [(r.line, r.column) for r in draft.refusals] == [(2, "")]
    assert [tool.id for tool in draft.tools] == ["T2"]


def test_a_list_without_headers_is_asked_and_then_told_by_numbers() -> None:
    """The first row is never taken for headers unasked; without any it is a row as the others."""
    rows = "T1,Spoke key,28 g,60 mm,40 mm,12 mm\nT2,Rule,30 g,300 mm,30 mm,1 mm\n"
    (question,) = read(rows).questions
    assert question.id == "headers"
    words = ("id", "name", "mass", "length", "width", "height")
    columns = {f"column {n}": word for n, word in enumerate(words, start=1)}
    draft = held(rows, KIT, columns, {"headers": "no headers"})
    assert [tool.id for tool in draft.tools] == ["T1", "T2"]
    assert draft.questions == ()


@pytest.mark.parametrize("separator", [";", "|", ","])
def test_a_line_that_names_the_separator_is_obeyed(separator: str) -> None:
    """sep=; above the header, as some programs write it; it is no row of the list."""
    text = f"sep={separator}\n{HEADER}\n{ROW}\n".replace(",", separator)
    assert [tool.name for tool in read(text).tools] == ["Spoke key"]


def test_a_row_of_units_below_the_header_and_a_column_of_units() -> None:
    """(g) below Mass holds for the column; kg in a column of units for its row alone."""
    below = "id,name,mass,length,width,height\n,,(g),mm,mm,mm\n" + ROW
    assert read(below).tools[0].mass.grams == 28
    beside = f"{HEADER.replace('mass_g', 'mass')},unit\n{ROW},g\nT2,Pump,1.2,600,90,90,kg\n"
    assert [tool.mass.grams for tool in read(beside).tools] == [28, 1200]


def test_a_second_row_of_headers_is_refused() -> None:
    """Two tables in one list: the second row of headers is no tool."""
    draft = read(f"{HEADER}\n{ROW}\n{HEADER}\n{ROW.replace('T1', 'T2')}\n")
    assert [(r.line, "headers" in r.reason) for r in draft.refusals] == [(3, True)]


def test_rows_ruled_off_with_bars_are_read() -> None:
    """A table with bars at its edges and a line of dashes below the header."""
    text = "| id | name | mass_g | length_mm | width_mm | height_mm |\n|---|---|---|---|---|---|\n"
    text += f"| {ROW.replace(',', ' | ')} |\n"
    assert [tool.name for tool in read(text).tools] == ["Spoke key"]


@pytest.mark.parametrize(
    ("data", "line", "word"),
    [
        (b"", 0, "empty"),
        (b" \n\n", 0, "empty"),
        (b"\xef\xbb\xbf", 0, "empty"),
        (HEADER.encode("utf-32"), 0, "UTF-32"),
        (b"\xff\xfe" + HEADER.encode("utf-16-le") + b"\x00\xd8", 1, "UTF-16"),
        (f"{HEADER}\nT1,Caf".encode() + b"\x81", 2, "Windows-1252"),
        (b"%PDF-1.7\n1 0 obj", 0, "PDF"),
        (b"\x89PNG\r\n\x1a\n", 0, "picture"),
        (b"PK\x03\x04 and no more", 0, "damaged"),
        (b"a,b\n" * 2_500_001, 0, "10 MB"),
        (b"a,b\n" * 50_002, 0, "50000 rows"),
        (b"," * 400 + b"\n", 0, "empty"),
        (b"a," * 400 + b"\n", 1, "401 columns"),
        (b"id,name\0\n", 0, "no text"),
        (b"name\nSpoke key\n", 1, "one column"),
        (f'{HEADER}\n{ROW}\nT2,"Bar,28,60,40,12\n'.encode(), 3, "quote"),
        (f'{HEADER}\nT2,"Bar" x,28,60,40,12\n'.encode(), 2, "quote"),
    ],
)
def test_what_is_no_table_is_one_refusal(data: bytes, line: int, word: str) -> None:
    """The refusal says the line, what is wrong and how to save the list again."""
    draft = read(data)
    assert draft.kind is ListKind.UNREAD
    (refusal,) = draft.refusals
    assert refusal.line == line
    assert word in refusal.reason
    assert refusal.cure


def test_a_quote_mark_after_a_blank_is_refused() -> None:
    """`, "Key` is not a quoted cell to a CSV reader; what was meant cannot be known."""
    draft = read(f'{HEADER}\nT1, "Key",28,60,40,12\n')
    assert [r.column for r in draft.refusals] == ["name"]
