"""Spreadsheet files: sheets, merged cells, hidden rows, formulas, dates, the old format."""

from __future__ import annotations

import base64
import io
import zipfile
import zlib
from xml.sax.saxutils import escape

import pytest

from toolbox.intake.read import read
from toolbox.intake.reading import Answers, Reading, Span

pytest.importorskip("python_calamine", reason="the extra sheets is not installed")

# Written by xlwt 1.3, a writer of that format which has nothing to do with the reader.
OLD = (
    "c-rk)Pe>F|82`Q5|BJ4xX`q1&LZ;?HEu)KW1?ef#42%#;bFgJcXW2Gry=2)QgP>E<Meq`V)ulgFP`3_&QHLN1);e"
    "|y3OeXc-}~lGt>wXml9Kri?|a|-zW06an|bej^JZQxRTt*(H7w&7^umXt9YL@}Ca6T*MjWKKZOOWIn2PP;zd|HT6"
    "B!KPaplX9oI^R^%g}Jw|C}iBfyyY-7_g=deG_qrV;B=Mh905<H%SshJx5i;^fc3LOz&{dCrl5p<O<Us>RS*eu#^~"
    "R+pkvfajl7UF-X4;*ybHeI#Gugaur{=DxAIn9Lyxg%zsnS=&!&6Xx{pbX(Kac7EntQxPY&=4t#NU>NDMwZ?0T`<l"
    "olHL+i+|X?|c9_9<TAdCIAAzmrHUb3!+hXR|9va$1#zRL3mK^Z`TJTof2Fl9Ok$ddp-hX@-+C2Ic1Aw3RaSl##0f"
    "_I2pz^}UjGcIi`7WYK3@Rz^>sn@ZP^x?8Hcx}6RkP7gTwAigFaRPsKlAUc66=Bs(P#3`(mTc2Ma86QlXWXUWC>bx"
    "m-%A13Yi_(IOW32Hpm6|rT*v<43d)>i&1Jhbs<5V{f)+wfMj{96@Z8MFthw&z{tAuYMKL2UxVPpPdqLui?{^gn4#"
    "kYxhG|`)Dg6!orhj!5}Zd{jmlyGaIvdVj=^}l79uohRb+v;^#g;hkEt!C=9<kJy9TAF%RPRmCvpYkQv@g>-od^%4"
    "l8o|DzEX%Mjr;qd!P+qikyl89@R9>9<3bO2WAf&u#>_tv-uU3Qm(uDHnPekFtg9i^DJb3WnVJkxLxzah8%X4Qyo%"
    "uuRzs@R^qW7C*%i<_3y0Y|PdKlAGXOJsv{cJ}-xW2>&ZQTEb5+gKv1}Thl9I3L`FMZ#L()-!4Vf@c+p>oGBmJ{b+"
    "9{)RHj@*<"
)
_HEAD = "<?xml version='1.0' encoding='UTF-8'?>"
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
ROWS = [["Tool", "Qty", "Weight (g)"], ["Spoke key", 2, 28], ["Floor pump", 1, 1150.5]]


def cell(value: object, name: str) -> str:
    """One cell of a sheet: a number, a text, or a formula without a value ("=...")."""
    if isinstance(value, int | float):
        return f'<c r="{name}"><v>{value}</v></c>'
    if str(value).startswith("="):
        return f'<c r="{name}"><f>{escape(str(value)[1:])}</f></c>'
    return f'<c r="{name}" t="inlineStr"><is><t>{escape(str(value))}</t></is></c>'


def sheet(rows: list[list[object]], hidden: tuple[int, ...] = (), merged: str = "") -> str:
    """The XML of a sheet (ECMA-376 part 1, 18.3)."""
    lines = []
    for number, row in enumerate(rows, start=1):
        cells = "".join(cell(v, f"{'ABCDEFG'[n]}{number}") for n, v in enumerate(row) if v != "")
        hide = ' hidden="1"' if number in hidden else ""
        lines.append(f'<row r="{number}"{hide}>{cells}</row>')
    more = f'<mergeCells><mergeCell ref="{merged}"/></mergeCells>' if merged else ""
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{"".join(lines)}</sheetData>{more}</worksheet>'


def xlsx(*sheets: str, state: str = "visible") -> bytes:
    """A workbook of these sheets, named s1, s2 ...; ``state`` is that of the last."""
    names = [f"s{n}" for n in range(1, len(sheets) + 1)]
    listed = "".join(
        f'<sheet name="{name}" sheetId="{n}" r:id="r{n}" '
        f'state="{state if n == len(names) else "visible"}"/>'
        for n, name in enumerate(names, start=1)
    )
    links = "".join(
        f'<Relationship Id="r{n}" Type="{_OFFICE}/worksheet" Target="worksheets/{name}.xml"/>'
        for n, name in enumerate(names, start=1)
    )
    files = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"/>',
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
        f'<Relationship Id="r1" Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/>'
        "</Relationships>",
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}">'
        f"<sheets>{listed}</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">{links}'
        "</Relationships>",
    }
    files |= {f"xl/worksheets/{n}.xml": text for n, text in zip(names, sheets, strict=True)}
    return packed(files)


def packed(files: dict[str, str]) -> bytes:
    """Files packed as spreadsheet programs pack them."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, text in files.items():
            pack.writestr(name, text if name == "mimetype" else _HEAD + text)
    return out.getvalue()


def grams(of: Reading) -> list[int | None]:
    """The masses of all lines."""
    spans = [line.values["mass"].what for line in of.lines if "mass" in line.values]
    return [span.one for span in spans if isinstance(span, Span)]


def opened(data: bytes, said: dict[str, str] | None = None) -> Reading:
    """The reading of a spreadsheet file."""
    return read(data, "list", Answers({}, said or {}))


def test_a_plain_sheet_is_read_with_whole_numbers() -> None:
    """2 is the count 2 though the file keeps it as a float; 1150.5 g is rounded and told."""
    of = opened(xlsx(sheet(ROWS)))
    assert of.complete
    assert grams(of) == [28, 1151]
    assert of.lines[0].values["count"].words() == "2"
    assert any("whole grams" in note for note in of.notes)


def test_the_sheet_is_asked_and_a_hidden_one_is_told() -> None:
    """Two sheets are a question; the hidden one is named."""
    data = xlsx(sheet([["a"]]), sheet(ROWS), state="hidden")
    first = opened(data)
    assert [(q.id, q.choices) for q in first.questions] == [("sheet", ("s1", "s2"))]
    assert any("s2" in note for note in first.notes)
    assert grams(opened(data, {"sheet": "s2"})) == [28, 1151]


def test_hidden_rows_and_merged_cells_are_told() -> None:
    """A hidden row is read and named; a place merged over two rows holds for both."""
    rows = [["Where", *ROWS[0]], ["Lid", *ROWS[1]], ["", *ROWS[2]]]
    of = opened(xlsx(sheet(rows, hidden=(3,), merged="A2:A3")))
    assert [line.text("place") for line in of.lines] == ["Lid", "Lid"]
    assert any("hidden rows" in n and "line 3" in n for n in of.notes)
    assert any("merged" in n and "Lid: lines 2 to 3" in n for n in of.notes)


def test_a_formula_without_a_value_is_refused_and_a_row_of_them_left_out() -> None:
    """What was never worked out is not blank: the cell is refused, a total row named."""
    rows = [*ROWS, ["Pump", 1, "=C2+C3"], ["", "=SUM(B2:B4)", "=SUM(C2:C4)"]]
    of = opened(xlsx(sheet(rows)))
    assert [(r.line, r.column, r.cell) for r in of.refusals] == [(4, "Weight (g)", "=C2+C3")]
    assert any("formulas" in note and "line 5" in note for note in of.notes)
    named = opened(xlsx(sheet([*ROWS, ["=A2&A3", 1, 5]])))
    assert [r.column for r in named.refusals] == ["Tool"]


def test_numbers_of_the_sheet_are_no_evidence_for_its_texts() -> None:
    """A typed 1.125 is what it is; the text "1,150" beside it is still asked."""
    rows = [["Tool", "Mass (kg)"], ["Pump", 1.125], ["Press", "1,150"]]
    of = opened(xlsx(sheet(rows)))
    assert [q.id for q in of.questions] == ["marks"]
    assert grams(of) == [1125]
    assert grams(opened(xlsx(sheet(rows)), {"marks": "point"})) == [1125]
    assert grams(opened(xlsx(sheet(rows)), {"marks": "comma"})) == [1125, 1150]


def test_a_number_where_a_size_should_be_may_be_a_day() -> None:
    """46214 is the day 2026-07-11 counted from the end of 1899: asked, with 7-11 to choose."""
    rows = [["Tool", "Size"], ["Socket set", 46214], ["Hex key set", "3-8 mm"]]
    (asked,) = opened(xlsx(sheet(rows))).questions
    assert asked.choices[0] == "7-11"


def test_the_old_format_is_read_and_says_what_it_cannot_tell() -> None:
    """A file of the years before 2007; nothing in it tells whether rows are hidden."""
    of = opened(zlib.decompress(base64.b85decode("".join(OLD))))
    assert of.complete
    assert grams(of) == [28, 1151]
    assert of.lines[1].values["sides"].words() == "650 mm x 250 mm x 120 mm"
    assert any("hidden cannot be seen" in note for note in of.notes)


def test_an_open_document_is_read() -> None:
    """OpenDocument 1.3: texts, numbers, a hidden row."""
    table = "urn:oasis:names:tc:opendocument:xmlns:table:1.0"
    office = "urn:oasis:names:tc:opendocument:xmlns:office:1.0"
    text = "urn:oasis:names:tc:opendocument:xmlns:text:1.0"

    def one(value: object) -> str:
        if isinstance(value, str):
            shown = f'office:value-type="string"><text:p>{escape(value)}</text:p>'
        else:
            shown = f'office:value-type="float" office:value="{value}"><text:p>{value}</text:p>'
        return f"<table:table-cell {shown}</table:table-cell>"

    rows = [
        f"<table:table-row{hide}>{''.join(map(one, row))}</table:table-row>"
        for row, hide in zip(ROWS, ("", "", ' table:visibility="collapse"'), strict=True)
    ]
    content = (
        f'<office:document-content xmlns:office="{office}" xmlns:table="{table}" '
        f'xmlns:text="{text}" office:version="1.3"><office:body><office:spreadsheet>'
        f'<table:table table:name="tools">{"".join(rows)}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/>'
        "</manifest:manifest>"
    )
    data = packed({"mimetype": kind, "content.xml": content, "META-INF/manifest.xml": manifest})
    of = opened(data)
    assert of.complete, [r.sentence() for r in of.refusals]
    assert grams(of) == [28, 1151]
    assert any("hidden rows" in note and "line 3" in note for note in of.notes)


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (packed({"letter.txt": "no"}), "no spreadsheet"),
        (xlsx(sheet(ROWS))[:300], "damaged"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 and no more", "cannot be read"),
        (packed({"xl/workbook.xml": " " * 100_000_001}), "100 MB"),
        (packed({"xl/workbook.xml": "<workbook/>"}), "cannot be read"),
    ],
)
def test_what_only_looks_like_a_spreadsheet_is_refused(data: bytes, word: str) -> None:
    """Damaged, too large unpacked, or packed files of another kind: one refusal in words."""
    (refusal,) = opened(data).refusals
    assert word in refusal.reason
    assert refusal.cure
