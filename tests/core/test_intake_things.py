"""Tool lists: every kind of row becomes the right entry, or is refused with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest
from intakes import held, known

from toolbox.intake.difference import Change, Difference, State
from toolbox.intake.read import read as read_list
from toolbox.intake.reading import Answers, Column, ListKind, Question, Refusal
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import (
    Goods,
    Known,
    Mass,
    Measure,
    Money,
    Part,
    Size,
    Supply,
    Tool,
)

EMPTY = Kit("Cross squad", Box("Case", Size(6900, 4400, 2800), 6500, 7000, (), ()))

HEADER = "id,name,mass_g,length_mm,width_mm,height_mm"


def read(text: str, kit: Kit = EMPTY, columns: Mapping[str, str] | None = None) -> Difference:
    """The draft of a list given as text."""
    return held(text, kit, columns)


def tools(*rows: str, header: str = HEADER) -> Difference:
    """The draft of rows below the usual header."""
    return read("\n".join((header, *rows)))


def columns(text: str, said: Mapping[str, str] | None = None) -> tuple[Column, ...]:
    """How the columns of a list were read."""
    return read_list(text.encode(), "list.csv", Answers(said or {})).columns


def one_question(draft: Difference) -> Question:
    """The only question; nothing was refused and the list gave nothing else."""
    assert (draft.refusals, draft.entries) == ((), ())
    (question,) = draft.questions
    return question


def one_refusal(draft: Difference) -> Refusal:
    """The only refusal; the list gave nothing else."""
    assert len(draft.refusals) == 1, [r.sentence() for r in draft.refusals]
    assert (draft.tools, draft.supplies, draft.jobs) == ((), (), ())
    return draft.refusals[0]


def test_a_plain_row_becomes_a_tool() -> None:
    """Name, id, mass and sides come from their columns; the mass is a guess unless told."""
    draft = tools("T1,Spoke key,28,60.5,40,12")
    tool = Tool("T1", "Spoke key", Mass(28, Known.GUESS), Size(605, 400, 120))
    assert draft.tools == (tool,)
    assert draft.kind is ListKind.THINGS
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
    assert all(c.how.startswith("guessed from the header") for c in columns(f"{header}\n{row}\n"))


def test_told_columns_come_before_guessed_ones() -> None:
    """Foreign headers are read as told, with the unit told; "-" leaves a column out."""
    text = (
        "Nr;Bezeichnung;Gewicht;L (mm);W (mm);H (mm);Weight (g)\n"
        "T1;Speichenschlüssel;28;60;40;12;99\n"
    )
    said = {"nr": "id", "Bezeichnung": "name", "Gewicht": "mass (g)", "Weight (g)": "-"}
    draft = read(text, columns=said)
    assert draft.tools == (
        Tool("T1", "Speichenschlüssel", Mass(28, Known.GUESS), Size(600, 400, 120)),
    )
    told = {c.header: (c.meaning, c.how) for c in columns(text, said)}
    assert told["Bezeichnung"] == ("name", "as told")
    assert told["Weight (g)"] == ("left out", "as told")


def test_columns_left_out_are_named() -> None:
    """A column that is not known is left out and shown, never dropped in silence."""
    found = columns(f"{HEADER},colour,\nT1,Spoke key,28,60,40,12,blue,x\n")
    assert [(c.header, c.meaning) for c in found[-2:]] == [
        ("colour", "left out"),
        ("column 8", "left out"),
    ]


@pytest.mark.parametrize("header", ["total weight (g)", "weight (all) g", "mass (kg or g)"])
def test_a_header_with_more_words_is_not_taken_for_the_plain_one(header: str) -> None:
    """A total is not the mass of one piece."""
    draft = read(f"name,{header},length_mm,width_mm,height_mm\nSpoke key,28,60,40,12\n")
    assert one_refusal(draft).reason.startswith("no column gives the mass of the tools")


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
    assert "does not belong in a list of tools" in one_refusal(draft).reason


REFUSED_CELLS = [
    ("T1,Spoke key,,60,40,12", "mass_g", ""),
    ("T1,Spoke key,28,60,,12", "width_mm", ""),
    ("T1,Spoke key,0,60,40,12", "mass_g", "0"),
    ("T1,Spoke key,-28,60,40,12", "mass_g", "-28"),
    ("T1,Spoke key,1_250,60,40,12", "mass_g", "1_250"),
    ("T1,Spoke key,nan,60,40,12", "mass_g", "nan"),
    ("T1,Spoke key,12E5,60,40,12", "mass_g", "12E5"),
    ("T1,Spoke key,28,60 x 40,40,12", "length_mm", "60 x 40"),
    ("T1,,28,60,40,12", "name", ""),
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


ASKED_CELLS = [
    ("T1,Spoke key,0.12,60,40,12", "cell mass_g: 0.12", "0.12 kg", 120),
    ("T1,Spoke key,1.2,60,40,12", "cell mass_g: 1.2", "1.2 kg", 1200),
    ("T1,Spoke key,16 fl oz,60,40,12", "cell mass_g: 16 fl oz", "480 g", 480),
    ("T1,Spoke key,28 gr,60,40,12", "cell mass_g: 28 gr", "28 g", 28),
    ("T1,Spoke key,n/a,60,40,12", "cell mass_g: n/a", "30 g", 30),
    ("T1,Spoke key,25-30,60,40,12", "cell mass_g: 25-30", "30 g", 30),
    ("T1,Spoke key,<30,60,40,12", "cell mass_g: <30", "29 g", 29),
    ("T1,Spoke key,28.125,60.5,40,12", "cell mass_g: 28.125", "28 g", 28),
    ("T1,Spoke key,28.125,60,40,12", "marks", "comma", 28_125),
    ('T1,Spoke key,"1,150",60,40,12', "marks", "point", 1150),
    ('T1,Spoke key,"150,150",60,40,12', "marks", "none", 150_150),
    ("T1,Spoke key,1.450,60,40,12", "marks", "comma", 1450),
    ("T1,Spoke key,28,08-Mar,40,12", "cell length_mm: 08-Mar", "60 mm", 28),
]


@pytest.mark.parametrize(("row", "question", "answer", "grams"), ASKED_CELLS)
def test_what_only_the_mechanic_knows_is_asked_and_the_answer_is_taken(
    row: str, question: str, answer: str, grams: int
) -> None:
    """Nothing is read before the answer; with it the list is read as told."""
    text = f"{HEADER}\n{row}\n"
    asked = one_question(read(text))
    assert asked.id == question
    assert asked.lines == (2,)
    told = held(text, EMPTY, said={question: answer})
    if grams > 100_000:  # more than a hundred kilograms is asked about once more
        assert "150150" in one_question(told).asked or "150,150" in one_question(told).asked
        return
    assert [tool.mass.grams for tool in told.tools] == [grams]


@pytest.mark.parametrize(
    ("cell", "grams"),
    [("1.2 kg (2.65 lb)", 1200), ("28 g / 1 oz", 28), ("28 g each", 28), ("28g ea.", 28),
     ("1 lb. 2 oz.", 510), ("½ lb", 227), ("7 oz.", 198)],
)  # fmt: skip
def test_masses_in_two_units_or_for_each_piece(cell: str, grams: int) -> None:
    """Two units for one mass agree within 2 %: the first is kept; 1 lb = 453.59237 g."""
    assert [t.mass.grams for t in tools(f"T1,Key,{cell},60,40,12").tools] == [grams]
    clash = tools("T1,Key,1.2 kg (2.9 lb),60,40,12")
    assert "do not agree" in one_refusal(clash).reason
    assert "56 g total" in one_refusal(tools("T1,Key,56 g total,60,40,12")).cell


def test_a_mass_said_to_be_about_so_much_is_a_guess() -> None:
    """ "~28" is read as 28 g, kept as a guess though the list says weighed, and told."""
    draft = tools("T1,Spoke key,~28,60,40,12,weighed", header=f"{HEADER},known")
    assert draft.tools[0].mass == Mass(28, Known.GUESS)
    assert any("about" in note for note in draft.notes)


def test_a_total_is_dropped_and_checked() -> None:
    """A row named total is no tool; it is told whether it agrees with the rows above."""
    right = tools("T1,Key,28,60,40,12", "T2,Rule,30,300,30,1", ",Total,58,,,")
    assert [tool.id for tool in right.tools] == ["T1", "T2"]
    assert any("they agree" in note for note in right.notes)
    wrong = tools("T1,Key,28,60,40,12", "T2,Rule,30,300,30,1", ",Total,85,,,")
    (caution,) = [note for note in wrong.notes if note.startswith("CAUTION")]
    assert "says 85 g" in caution
    assert "58 g" in caution


def test_all_refusals_come_at_once_and_good_rows_are_still_read() -> None:
    """Three bad cells in two rows make three refusals; the row between them is read."""
    draft = tools("T1,Key,x,60,40,12", "T2,Rule,28,300,30,1", "T3,Bar,5 kg,y,40,-1")
    assert [(r.line, r.column) for r in draft.refusals] == [
        (2, "mass_g"),
        (4, "length_mm"),
        (4, "height_mm"),
    ]
    assert [tool.id for tool in draft.tools] == ["T2"]


def test_a_bare_number_without_unit_anywhere_is_asked() -> None:
    """No unit in cell or header: 9.2 may be ounces or grams (1 oz = 28.349523125 g)."""
    text = "name,weight,length_mm,width_mm,height_mm\nPedal tool,9.2,60,40,12\n"
    asked = one_question(read(text))
    assert asked.id == "unit mass"
    assert "oz" in asked.choices
    assert held(text, EMPTY, said={"unit mass": "oz"}).tools[0].mass.grams == 261


def test_the_list_itself_settles_what_its_point_means() -> None:
    """1.450 is refused alone; with 2.5 in the list it is one and a bit; with 2,5 it is not."""
    header = "name;mass (kg);length (mm);width (mm);height (mm)"
    rows = "Press;1.450;300;60;60"
    assert one_question(read(f"{header}\n{rows}\n")).id == "marks"
    settled = read(f"{header}\n{rows}\nPump;2.5;300;60;60\n")
    assert [tool.mass.grams for tool in settled.tools] == [1450, 2500]
    other = read(f"{header}\n{rows}\nPump;2,5;300;60;60\n")
    # with a decimal comma 1.450 kg is 1450 kg, which no hand tool weighs
    assert [q.id for q in other.questions] == ["cell mass (kg): 1.450"]
    assert [tool.mass.grams for tool in other.tools] == [2500]
    mixed = read(f"{header}\n{rows}\nPump;2,5;300;60;60\nBar;0.5;300;60;60\n")
    assert [q.id for q in mixed.questions] == ["marks"]
    assert [tool.mass.grams for tool in mixed.tools] == [2500, 500]


def test_decimal_comma_and_thousands_blanks() -> None:
    """A semicolon list with decimal commas and grouped grams is read as it is meant."""
    header = "name;mass g;length mm;width mm;height mm"
    draft = read(f"{header}\nStand;5\u00a0443;1\u202f100;160,5;140\n")
    assert draft.tools[0].mass.grams == 5443
    assert draft.tools[0].size == Size(11000, 1605, 1400)


@pytest.mark.parametrize(
    ("cell", "count", "carried"),
    [("2x", 2, True), ("x 4", 4, True), ("one", 1, True), ("2.0", 2, True), ("2+1", 3, True),
     ("1 set (28)", 1, True), ('"3, spare"', 3, True), ("", 1, True), ("0", 1, False),
     ("6/2", 3, True)],
)  # fmt: skip
def test_counts_in_the_forms_people_use(cell: str, count: int, carried: bool) -> None:
    """Each form is one whole number; none at all is one that stays at home, and is told."""
    draft = tools(f"T1,Key,28,60,40,12,{cell}", header=f"{HEADER},count")
    assert [(tool.count, tool.carried) for tool in draft.tools] == [(count, carried)]
    assert carried or any("count of 0" in note for note in draft.notes)


@pytest.mark.parametrize("cell", ["-1", "½", "½ roll", "several", "nan", "1000"])
def test_what_is_no_count_of_tools_is_refused(cell: str) -> None:
    """Halves, words and numbers below nought are no copies of a tool."""
    assert (
        one_refusal(tools(f"T1,Key,28,60,40,12,{cell}", header=f"{HEADER},count")).column == "count"
    )


@pytest.mark.parametrize("cell", ["n/a", "?", "2-4", "~10", "2 boxes and 1", "12E5", "1_0", "٣"])
def test_a_count_that_nobody_knows_is_asked(cell: str) -> None:
    """An unknown count is a question, and its answer is read in the cell's place."""
    text = f"{HEADER},count\nT1,Key,28,60,40,12,{cell}\n"
    question = one_question(read(text))
    assert question.id == f"cell count: {cell}"
    assert held(text, EMPTY, said={question.id: "3"}).tools[0].count == 3


def test_pairs_are_asked_whether_the_mass_is_that_of_one_piece() -> None:
    """20 pairs at 11 g: forty pieces or twenty pairs; asked once for the list."""
    rows = ("T1,Gloves,11,60,40,12,20 pairs", "T2,Pads,30,60,40,12,1 pr")
    text = "\n".join((f"{HEADER},count", *rows))
    assert one_question(read(text)).id == "pairs"
    for answer, counts in (("one piece", [40, 2]), ("one pair", [20, 1])):
        told = held(text, EMPTY, said={"pairs": answer})
        assert [tool.count for tool in told.tools] == counts


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
    names = ("Hex key 5 mm", "Hex (key) 5 mm T", "½ Øx", long)
    text = "\n".join((header, *(f"{name},28,60,40,12" for name in names)))
    ids = [tool.id for tool in read(text).tools]
    assert ids[:2] == ["hex-key-5-mm", "hex-key-5-mm-t"]
    assert len(set(ids)) == 4
    assert all(len(made) <= 40 for made in ids)
    assert [tool.id for tool in read(text).tools] == ids


def test_a_made_id_never_takes_one_that_the_list_gives_below() -> None:
    """A row without id before a row whose id is just what its name would make."""
    draft = tools(",Hex key,28,60,40,12", "hex-key,Other key,28,60,40,12")
    assert [tool.id for tool in draft.tools] == ["hex-key-2", "hex-key"]


def test_the_same_id_twice_is_refused() -> None:
    """Which of two rows with one id holds is the mechanic's to say; one name may be twice."""
    draft = tools("T1,Key,28,60,40,12", "T1,Rule,28,60,40,12")
    assert [(r.line, r.cell) for r in draft.refusals] == [(3, "T1")]
    draft = tools("T1,Key,28,60,40,12", "T2,Key,30,60,40,12")
    assert [tool.id for tool in draft.tools] == ["T1", "T2"]


def test_a_name_twice_or_nearly_is_asked_and_never_merged() -> None:
    """Without ids the same or nearly the same name is a question; sizes are other things."""
    header = "name,count,mass_g,length_mm,width_mm,height_mm"
    text = f"{header}\nHex key 5 mm,2,28,60,40,12\nHex  KEY 5mm,3,28,60,40,12\n"
    question = read(text).questions[0].id
    assert question == "twice Hex KEY 5mm"
    assert [t.count for t in read(text).tools] == [2]
    for answer, counts in (
        ("typed twice", [2]),
        ("one more of it", [5]),
        ("another thing", [2, 3]),
    ):
        told = held(text, EMPTY, said={question: answer})
        assert [tool.count for tool in told.tools] == counts
        assert told.questions == ()
    near = f"{header}\nNeedle-nose pliers,1,28,60,40,12\nPliers needlenose,1,28,60,40,12\n"
    assert [q.id for q in read(near.replace("needlenose", "needle nose")).questions] == [
        "near Pliers needle nose"
    ]
    other = "".join(f"Hex key {size} mm,1,28,60,40,12\n" for size in range(1, 13))
    assert read(f"{header}\n{other}").questions == ()


def kit_with(draft: Difference, kit: Kit = EMPTY) -> Kit:
    """The kit after the draft was stored."""
    return replace(
        kit,
        tools=(*kit.tools, *draft.tools),
        supplies=(*kit.supplies, *draft.supplies),
        jobs=(*kit.jobs, *draft.jobs),
    )


def test_reading_the_same_list_twice_changes_nothing() -> None:
    """The second time every entry is in the kit already, with and without ids."""
    plain = "name,where,mass_g,length_mm,width_mm,height_mm\n"
    for text in (
        f"{HEADER},kind\nT1,Key,28,60,40,12,tool\nS1,Lube 100 ml,120,150,40,40,supply\n",
        f"{plain}Hex key,lid,28,60,40,12\nHex key,bottom,9,9,9,9\nRule,lid,9,9,9,9\n",
    ):
        first = read(text)
        assert first.entries
        again = read(text, kit_with(first))
        assert {entry.state for entry in again.entries} == {State.SAME}
        assert (again.questions, again.refusals, again.missing) == ((), (), ())
        assert known(again) == [thing.id for thing in (*first.tools, *first.supplies)]


def test_what_differs_is_a_change_with_both_values_and_blank_cells_change_nothing() -> None:
    """The kit's weighed mass is not written over unasked: the change is told key by key."""
    kit = kit_with(tools("T1,Key,28,60,40,12"))
    weighed = replace(kit.tools[0], mass=Mass(31, Known.WEIGHED), note="mine", count=2)
    kit = replace(kit, tools=(weighed,))
    (entry,) = read(f"{HEADER},count,note\nT1,Key,28,60,,12,,\n", kit).entries
    assert entry.changes == (Change("mass", "31 g (weighed)", "28 g (guess)"),)
    assert entry.thing == replace(weighed, mass=Mass(28, Known.GUESS))
    assert entry.only(["size"]).state is State.SAME


def test_what_the_list_does_not_name_is_missing_and_stays() -> None:
    """Things of the kit that the list leaves out are told by id and nothing else."""
    kit = kit_with(tools("T1,Key,28,60,40,12", "T2,Rule,28,60,40,12"))
    assert read(f"{HEADER}\nT2,Rule,28,60,40,12\n", kit).missing == ("T1",)


def test_a_list_without_sizes_changes_known_tools_and_refuses_new_ones() -> None:
    """Masses alone are enough for what the kit knows; a new tool needs its sides."""
    kit = kit_with(tools("T1,Key,28,60,40,12"))
    draft = read("name,mass_g\nkey,30\nRule,20\n", kit)
    assert [entry.changes[0].new for entry in draft.entries] == ["30 g (guess)"]
    assert {r.reason.split(",")[0] for r in draft.refusals} == {
        f"no column gives the {side} of the tools" for side in ("length", "width", "height")
    }


def test_a_near_name_in_the_kit_is_offered() -> None:
    """A slip of the pen is not made a new tool: the kit's entry is offered beside "new"."""
    kit = kit_with(tools("T1,Needle-nose pliers,28,60,40,12"))
    text = "name,mass_g,length_mm,width_mm,height_mm\nNeedle-nose plier,30,60,40,12\n"
    question = one_question(read(text, kit))
    assert question.choices == ("T1", "new")
    (same,) = held(text, kit, said={question.id: "T1"}).entries
    assert (same.id, same.known, same.thing.name) == ("T1", kit.tools[0], "Needle-nose pliers")
    (new,) = held(text, kit, said={question.id: "new"}).entries
    assert new.state is State.NEW


def test_an_id_that_is_another_kind_of_thing_in_the_kit_is_refused() -> None:
    """A tool of the kit cannot come back as a supply."""
    kit = kit_with(tools("T1,Key,28,60,40,12"))
    draft = read("id,name,kind\nT1,Key,supply\n", kit)
    assert "id of a tool" in one_refusal(draft).reason


PAPERS = f"{HEADER},make,model,year,value each,parts of a set,look,owner mark"


def test_papers_and_parts_come_from_their_columns() -> None:
    """Each under its own header; figures of parts are those of one."""
    row = "T1,Bits,28,60,40,12,own make,B-2,2019,54.50 EUR"
    draft = tools(f'{row},"bit x28 (6 g, 1.25 EUR) | handle",blue,"a notch"', header=PAPERS)
    parts = (Part("bit", 28, 6, Money(125, "EUR")), Part("handle", 1))
    (tool,) = draft.tools
    assert (tool.make, tool.model, tool.year) == ("own make", "B-2", 2019)
    assert (tool.value, tool.parts) == (Money(54_50, "EUR"), parts)
    assert (tool.look, tool.owner_mark) == ("blue", "a notch")


@pytest.mark.parametrize(
    ("header", "cell", "reason"),
    [
        ("value each", "54.50", "has no currency"),
        ("value each", "1,000 EUR", "is not an amount of money"),
        ("value each", "about 5 EUR", "is not an amount of money"),
        ("year", "19", "is no year"),
        ("year", "２０１９", "is no year"),
        ("year", "2101", "is no year"),
        ("parts of a set", "bit x28 (6 g, 7 g)", '"7 g" is said twice of one bit'),
        ("parts of a set", "bit x28 (heavy)", '"heavy" is no mass and no value of one bit'),
        ("parts of a set", "bit x0", "does not say the parts of a set"),
        ("parts of a set", "bit (0 g)", "one bit weighs nothing"),
        ("parts of a set", "bit (5)", '"5" is no mass and no value of one bit'),
    ],
)
def test_papers_that_cannot_be_read_are_refused(header: str, cell: str, reason: str) -> None:
    """Never guessed: no currency, no unit, a figure said twice."""
    row = f'T1,Bits,28,60,40,12,"{cell}"'
    refusal = one_refusal(tools(row, header=f"{HEADER},{header}"))
    assert (refusal.cell, refusal.reason) == (cell, reason)


def test_a_currency_in_the_header_holds_and_a_plain_value_is_left_out() -> None:
    """A column "Value" may be that of the whole line, so it is not taken for that of one."""
    (tool,) = tools("T1,Bits,28,60,40,12,54", header=f"{HEADER},Value each (CHF)").tools
    assert tool.value == Money(54_00, "CHF")
    (tool,) = tools("T1,Bits,28,60,40,12,54.5 EUR", header=f"{HEADER},value each").tools
    assert tool.value == Money(54_50, "EUR")
    for header in ("Value", "Wert (EUR)"):
        text = f"{HEADER},{header}\nT1,Bits,28,60,40,12,54"
        (tool,) = read(text).tools
        assert tool.value is None
        assert "say that it means value each" in columns(text)[-1].how


def test_of_known_parts_what_a_list_leaves_out_stays() -> None:
    """Mass and value of one stay where the list gives the number alone."""
    parts = (Part("bit", 28, 6, Money(125, "EUR")),)
    tool = Tool("T1", "Bits", Mass(28, Known.GUESS), Size(600, 400, 120), parts=parts)
    kit = replace(EMPTY, tools=(tool,))
    head = "id,name,parts of a set\nT1,Bits,"
    assert not read(f"{head}bit x28", kit).of(State.CHANGED)
    (entry,) = read(f"{head}bit x27", kit).of(State.CHANGED)
    assert entry.changes == (Change("parts", "bit x28 of 6 g 1.25 EUR", "bit x27 of 6 g 1.25 EUR"),)


@pytest.mark.parametrize(
    ("cell", "new", "known"),
    [("none", Goods("none"), Goods("none")), ("no", None, None), ("-", None, None)],
)
def test_none_is_a_class_of_goods_and_no_is_not(
    cell: str, new: Goods | None, known: Goods | None
) -> None:
    """Only the class word says that nothing is dangerous; a "no" decides nothing about flying."""
    (tool,) = tools(f"T1,Gas,28,60,40,12,{cell}", header=f"{HEADER},goods").tools
    assert tool.goods == new
    old = replace(tool, goods=Goods("gas"))
    (entry,) = read(f"id,name,goods\nT1,Gas,{cell}", replace(EMPTY, tools=(old,))).entries
    assert entry.thing.goods == (known or Goods("gas"))


@pytest.mark.parametrize(
    ("header", "meaning"),
    [
        *(("Maße (L x B x H)", "sides"), ("size [LxWxH]", "sides"), ("Size (L × W × H)", "sides")),
        *(("Size (H x B x L)", "left out"), ("Size (L x B)", "left out")),
    ],
)
def test_the_order_of_sides_in_a_header_is_taken_where_it_is_the_usual_one(
    header: str, meaning: str
) -> None:
    """Height first would turn every thing on its side: such a column is left to be told."""
    assert columns(f"name,mass (g),{header}\nBits,28,60 x 40 x 12 mm")[2].meaning == meaning
