"""Tool lists: every kind of row becomes the right entry, or is refused with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from toolbox.intake.read import Draft, Refusal, read_list
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Goods, Known, Mass, Measure, Size, Supply, Tool

EMPTY = Kit("Cross squad", Box("Case", Size(6900, 4400, 2800), 6500, 7000, (), ()))

HEADER = "id,name,mass_g,length_mm,width_mm,height_mm"


def read(text: str, kit: Kit = EMPTY, columns: Mapping[str, str] | None = None) -> Draft:
    """The draft of a list given as text."""
    return read_list(text.encode(), kit=kit, columns=columns or {}, name="list.csv")


def tools(*rows: str, header: str = HEADER) -> Draft:
    """The draft of rows below the usual header."""
    return read("\n".join((header, *rows)))


def one_refusal(draft: Draft) -> Refusal:
    """The only refusal; the list gave nothing else."""
    assert len(draft.refusals) == 1, [r.sentence() for r in draft.refusals]
    assert (draft.tools, draft.supplies, draft.jobs) == ((), (), ())
    return draft.refusals[0]


def test_a_plain_row_becomes_a_tool() -> None:
    """Name, id, mass and sides come from their columns; the mass is a guess unless told."""
    draft = tools("T1,Spoke key,28,60.5,40,12")
    tool = Tool("T1", "Spoke key", Mass(28, Known.GUESS), Size(605, 400, 120))
    assert draft.tools == (tool,)
    assert draft.what == "tools+supplies"
    assert not draft.refusals
    assert any("guesses until weighed" in note for note in draft.notes)


def test_all_columns_of_a_tool() -> None:
    """Every column known for tools lands in its field."""
    draft = tools(
        "T2,Torque key,130 g,110,90,28,torque,2,yes,li-ion-in-device-9,weighed,A-17,XX,red grip",
        header=f"{HEADER},category,count,carried,hazard_class,known,serial,origin,note",
    )
    assert draft.tools == (
        Tool(
            "T2", "Torque key", Mass(130, Known.WEIGHED), Size(1100, 900, 280),
            category="torque", count=2, carried=True, serial="A-17", origin="XX",
            note="red grip", goods=Goods("li-ion-in-device-9"),
        ),
    )  # fmt: skip


def test_a_cell_unit_beats_the_header_unit() -> None:
    """1.45 kg below "mass_g" is 1450 g, 4 in below "length_mm" is 101.6 mm."""
    (tool,) = tools("T1,Stand head,1.45 kg,4 in,9 cm,28").tools
    assert tool.mass.grams == 1450
    assert tool.size == Size(1016, 900, 280)


@pytest.mark.parametrize(
    "header",
    [
        "id,name,Weight (g),Length (mm),Width (mm),Height (mm)",
        "ID;Tool name;weight [g];length in mm;breadth, mm;Thickness mm",
        "code\titem\tMass g\tL (mm)\tW (mm)\tH (mm)",
        "Item_ID,Article,unit weight (g),LENGTH_MM,WIDTH_MM,HEIGHT_MM",
    ],
)
def test_headers_in_many_spellings(header: str) -> None:
    """Meaning and unit are guessed from the header in the spellings people use."""
    mark = next(m for m in "\t;," if m in header)
    row = mark.join(("T1", "Spoke key", "28", "60", "40", "12"))
    draft = read(f"{header}\n{row}\n")
    assert draft.tools == (Tool("T1", "Spoke key", Mass(28, Known.GUESS), Size(600, 400, 120)),)
    assert [c.how for c in draft.columns] == ["guessed from the header"] * 6


def test_told_columns_come_before_guessed_ones() -> None:
    """Foreign headers are read as told, with the unit told; "-" leaves a column out."""
    draft = read(
        "Nr;Bezeichnung;Gewicht;L (mm);W (mm);H (mm);Weight (g)\n"
        "T1;Speichenschlüssel;28;60;40;12;99\n",
        columns={"nr": "id", "Bezeichnung": "name", "Gewicht": "mass (g)", "Weight (g)": "-"},
    )
    assert draft.tools == (
        Tool("T1", "Speichenschlüssel", Mass(28, Known.GUESS), Size(600, 400, 120)),
    )
    told = {c.header: (c.meaning, c.how) for c in draft.columns}
    assert told["Bezeichnung"] == ("name", "as told")
    assert told["Weight (g)"] == ("left out", "as told")


def test_columns_left_out_are_named() -> None:
    """A column that is not known is left out and shown, never dropped in silence."""
    draft = tools("T1,Spoke key,28,60,40,12,blue,", header=f"{HEADER},colour,")
    assert [(c.header, c.meaning) for c in draft.columns[-2:]] == [
        ("colour", "left out"),
        ("column 8", "left out"),
    ]


@pytest.mark.parametrize("header", ["total weight (g)", "weight (all) g", "mass (kg or g)"])
def test_a_header_with_more_words_is_not_taken_for_the_plain_one(header: str) -> None:
    """A total is not the mass of one piece."""
    draft = read(f"name,{header},length_mm,width_mm,height_mm\nSpoke key,28,60,40,12\n")
    assert one_refusal(draft).reason == "no column gives the mass of the tools"


def test_two_columns_of_one_meaning_are_refused() -> None:
    """Nobody knows which of two masses holds."""
    refusal = one_refusal(tools("T1,Spoke key,28,60,40,12,1", header=f"{HEADER},Weight (oz)"))
    assert refusal.column == "Weight (oz)"
    assert "mass_g" in refusal.reason


def test_an_unknown_told_column_or_meaning_is_refused_with_a_near_one() -> None:
    """Slips of the pen in what was told get "did you mean"."""
    draft = read(f"{HEADER}\n", columns={"mass_gg": "mass"})
    assert 'did you mean "mass_g"' in one_refusal(draft).cure
    draft = read(f"{HEADER}\n", columns={"mass_g": "masss"})
    assert "did you mean mass" in one_refusal(draft).cure
    draft = read(f"{HEADER}\n", columns={"mass_g": "tools"})
    assert "list of jobs" in one_refusal(draft).reason


REFUSED_CELLS = [
    ("T1,Spoke key,,60,40,12", "mass_g", ""),
    ("T1,Spoke key,28,60,,12", "width_mm", ""),
    ("T1,Spoke key,0,60,40,12", "mass_g", "0"),
    ("T1,Spoke key,0.12,60,40,12", "mass_g", "0.12"),
    ("T1,Spoke key,-28,60,40,12", "mass_g", "-28"),
    ("T1,Spoke key,~28,60,40,12", "mass_g", "~28"),
    ("T1,Spoke key,16 fl oz,60,40,12", "mass_g", "16 fl oz"),
    ("T1,Spoke key,1_250,60,40,12", "mass_g", "1_250"),
    ("T1,Spoke key,nan,60,40,12", "mass_g", "nan"),
    ("T1,Spoke key,12E5,60,40,12", "mass_g", "12E5"),
    ("T1,Spoke key,28,08-Mar,40,12", "length_mm", "08-Mar"),
    ("T1,Spoke key,28,60 x 40,40,12", "length_mm", "60 x 40"),
    ('T1,Spoke key,"1,150",60,40,12', "mass_g", "1,150"),
    ("T1,Spoke key,1.450,60,40,12", "mass_g", "1.450"),
    ("T1,,28,60,40,12", "name", ""),
    ("T1,Total,28,60,40,12", "name", "Total"),
    ("T 1,Spoke key,28,60,40,12", "id", "T 1"),
]


@pytest.mark.parametrize(("row", "column", "cell"), REFUSED_CELLS)
def test_a_refusal_names_line_column_and_cell(row: str, column: str, cell: str) -> None:
    """What cannot be read as one thing is refused where it stands, with a cure."""
    refusal = one_refusal(tools(row))
    assert (refusal.line, refusal.column, refusal.cell) == (2, column, cell)
    assert refusal.cure
    assert "line 2" in refusal.sentence()
    assert len(refusal.sentence().splitlines()) == 1


def test_all_refusals_come_at_once_and_good_rows_are_still_read() -> None:
    """Three bad cells in two rows make three refusals; the row between them is read."""
    draft = tools("T1,Key,x,60,40,12", "T2,Rule,28,300,30,1", "T3,Bar,5 kg,?,40,-1")
    assert [(r.line, r.column) for r in draft.refusals] == [
        (2, "mass_g"),
        (4, "length_mm"),
        (4, "height_mm"),
    ]
    assert [tool.id for tool in draft.tools] == ["T2"]


def test_a_bare_number_without_unit_anywhere_is_refused() -> None:
    """No unit in cell or header: 9.2 may be ounces or grams."""
    draft = read("name,weight,length_mm,width_mm,height_mm\nPedal tool,9.2,60,40,12\n")
    assert "no unit" in one_refusal(draft).reason


def test_the_list_itself_settles_what_its_point_means() -> None:
    """1.450 is refused alone; with 2.5 in the list it is one and a bit; with 2,5 it is not."""
    header = "name;mass (kg);length (mm);width (mm);height (mm)"
    rows = "Press;1.450;300;60;60"
    assert read(f"{header}\n{rows}\n").refusals
    settled = read(f"{header}\n{rows}\nPump;2.5;300;60;60\n")
    assert [tool.mass.grams for tool in settled.tools] == [1450, 2500]
    other = read(f"{header}\n{rows}\nPump;2,5;300;60;60\n")
    assert [r.cell for r in other.refusals] == ["1.450"]
    assert [tool.mass.grams for tool in other.tools] == [2500]
    mixed = read(f"{header}\n{rows}\nPump;2,5;300;60;60\nBar;0.5;300;60;60\n")
    assert [r.cell for r in mixed.refusals] == ["1.450"]


def test_decimal_comma_and_thousands_blanks() -> None:
    """A semicolon list with decimal commas and grouped grams is read as it is meant."""
    header = "name;mass g;length mm;width mm;height mm"
    draft = read(f"{header}\nStand;5\u00a0443;1\u202f100;160,5;140\n")
    assert draft.tools[0].mass.grams == 5443
    assert draft.tools[0].size == Size(11000, 1605, 1400)


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("T1,Key,28,60,40,12,0", "count"),
        ("T1,Key,28,60,40,12,-1", "count"),
        ("T1,Key,28,60,40,12,2x", "count"),
        ("T1,Key,28,60,40,12,½", "count"),
        ("T1,Key,28,60,40,12,2.0", "count"),
        ("T1,Key,28,60,40,12,n/a", "count"),
    ],
)
def test_counts_are_plain_numbers_from_one_up(row: str, column: str) -> None:
    """Nothing but a plain whole number is a count."""
    assert one_refusal(tools(row, header=f"{HEADER},count")).column == column


def test_yes_and_no_in_the_words_people_use() -> None:
    """x, yes, 1 are yes; no, 0, - and a blank are no; a blank is said; other words refused."""
    header = f"{HEADER},packed"
    cells = ["yes", "Y", "x", "1", "no", "N", "-", "0", ""]
    rows = [f"T{n},Key {n},28,60,40,12,{cell}" for n, cell in enumerate(cells)]
    draft = tools(*rows, header=header)
    assert [tool.carried for tool in draft.tools] == [True] * 4 + [False] * 5
    assert any("blank cell" in note for note in draft.notes)
    assert one_refusal(tools("T1,Key,28,60,40,12,perhaps", header=header)).cell == "perhaps"


def test_supplies_by_the_kind_column() -> None:
    """A consumable becomes a supply; measure and pack come from its name and are told."""
    header = f"{HEADER},kind,carried"
    draft = tools(
        "S1,Chain lube wet 100 ml,125,150,40,40,consumable,yes",
        "S2,Shop rags pack of 10,350,250,180,60,consumable,no",
        "S3,Grease tube 100 g,125,170,45,40,supply,no",
        "S4,Nitrile gloves 20 pairs,220,180,90,45,consumable,no",
        "S5,Spark plug,,,,,spare,no",
        "T1,Spoke key,28,60,40,12,tool,yes",
        header=header,
    )
    assert not draft.refusals
    assert [(s.id, s.measure, s.pack) for s in draft.supplies] == [
        ("S1", Measure.MILLILITRES, 100),
        ("S2", Measure.PIECES, 10),
        ("S3", Measure.GRAMS, 100),
        ("S4", Measure.PIECES, 40),
        ("S5", Measure.PIECES, None),
    ]
    lube = draft.supplies[0]
    assert (lube.carried, lube.mass, lube.size) == (
        True,
        Mass(125, Known.GUESS),
        Size(1500, 400, 400),
    )
    assert (draft.supplies[4].mass, draft.supplies[4].size) == (None, None)
    assert [tool.id for tool in draft.tools] == ["T1"]
    assert any("Chain lube wet 100 ml: 100 ml" in note for note in draft.notes)


def test_told_amounts_of_a_supply_beat_the_name() -> None:
    """Measure, pack, stock and least stock are read in the supply's own measure."""
    draft = read(
        "id;name;kind;measure;pack;stock;keep at least\n"
        "S1;Sealant 60 ml;supply;ml;500 ml;1 L;250 ml\n"
        "S2;Zip ties;supply;pc;100;40 pc;20\n"
    )
    assert not draft.refusals
    assert draft.supplies == (
        Supply("S1", "Sealant 60 ml", Measure.MILLILITRES, pack=500, stock=1000, par=250),
        Supply("S2", "Zip ties", Measure.PIECES, pack=100, stock=40, par=20),
    )


def test_the_count_of_a_supply_is_packs_in_stock() -> None:
    """Three bottles of 250 ml are 750 ml in stock, and the guess is said."""
    draft = read("id,name,kind,qty\nS1,Brake fluid 250 ml,consumable,3\n")
    assert draft.supplies[0].stock == 750
    assert any("packs in stock" in note for note in draft.notes)


@pytest.mark.parametrize(
    "row",
    [
        "S1,Lube 100 ml,125,150,,40,consumable,no",
        "S1,Lube 100 ml,,150,40,40,consumable,yes",
        "S1,Lube 100 ml,125,,,,consumable,yes",
        "S1,Lube 100 ml,125,150,40,40,,yes",
        "S1,Lube 100 ml,125,150,40,40,toll,yes",
    ],
)
def test_halves_of_a_supply_are_refused(row: str) -> None:
    """Some sides only, or carried without size and mass, or of no kind, is no supply."""
    one_refusal(tools(row, header=f"{HEADER},kind,carried"))


def test_ids_are_made_from_names_and_stay_the_same() -> None:
    """Without an id column names make ids, unique, the same at every reading."""
    header = "name,mass_g,length_mm,width_mm,height_mm"
    long = "Press-fit bearing press with many drifts"
    names = ("Hex key 5 mm", "Hex-key 5 mm", "½ Øx", long)
    text = "\n".join((header, *(f"{name},28,60,40,12" for name in names)))
    ids = [tool.id for tool in read(text).tools]
    assert ids[:2] == ["hex-key-5-mm", "hex-key-5-mm-2"]
    assert len(set(ids)) == 4
    assert all(len(made) <= 40 for made in ids)
    assert [tool.id for tool in read(text).tools] == ids


def test_a_made_id_never_takes_one_that_the_list_gives_below() -> None:
    """A row without id before a row whose id is just what its name would make."""
    draft = tools(",Hex key,28,60,40,12", "hex-key,Other key,28,60,40,12")
    assert [tool.id for tool in draft.tools] == ["hex-key-2", "hex-key"]


def test_same_ids_and_same_nameless_rows_are_refused() -> None:
    """An id twice, or a name twice without ids, is never merged."""
    draft = tools("T1,Key,28,60,40,12", "T1,Rule,28,60,40,12")
    assert [(r.line, r.cell) for r in draft.refusals] == [(3, "T1")]
    draft = tools(",Caf\u00e9 key 5mm,28,60,40,12", ",Cafe\u0301  KEY 5 mm,28,60,40,12")
    assert [r.line for r in draft.refusals] == [3]
    draft = tools("T1,Key,28,60,40,12", "T2,Key,30,60,40,12")
    assert [tool.id for tool in draft.tools] == ["T1", "T2"]


def kit_with(draft: Draft, kit: Kit = EMPTY) -> Kit:
    """The kit after the draft was stored."""
    return replace(
        kit,
        tools=(*kit.tools, *draft.tools),
        supplies=(*kit.supplies, *draft.supplies),
        jobs=(*kit.jobs, *draft.jobs),
    )


def test_reading_the_same_list_twice_changes_nothing() -> None:
    """The second time every entry is in the kit already, with and without ids."""
    for text in (
        f"{HEADER},kind\nT1,Key,28,60,40,12,tool\nS1,Lube 100 ml,120,150,40,40,supply\n",
        "name,mass_g,length_mm,width_mm,height_mm\nHex key,28,60,40,12\nHex-key,9,9,9,9\n",
    ):
        first = read(text)
        again = read(text, kit_with(first))
        assert (again.tools, again.supplies, again.differing, again.refusals) == ((), (), (), ())
        assert list(again.already) == [thing.id for thing in (*first.tools, *first.supplies)]


def test_a_differing_entry_stays_as_the_kit_has_it() -> None:
    """The kit's weighed mass is not written over; the difference is named with both values."""
    kit = kit_with(tools("T1,Key,28,60,40,12"))
    weighed = replace(kit.tools[0], mass=Mass(31, Known.WEIGHED), note="mine")
    again = read(f"{HEADER}\nT1,Key,28,60,40,12\n", replace(kit, tools=(weighed,)))
    assert (again.already, again.differing, again.tools) == (("T1",), ("T1",), ())
    assert any("mass (28 g, kit 31 g)" in note and "note" not in note for note in again.notes)


def test_an_id_that_is_another_kind_of_thing_in_the_kit_is_refused() -> None:
    """A tool of the kit cannot come back as a supply."""
    kit = kit_with(tools("T1,Key,28,60,40,12"))
    draft = read("id,name,kind\nT1,Key,supply\n", kit)
    assert "id of a tool" in one_refusal(draft).reason
