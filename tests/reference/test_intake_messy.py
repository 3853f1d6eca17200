"""Messy lists of all the usual kinds are read as it was worked out by hand, or asked about.

Source: the right readings kept beside the sample lists themselves (expected.json), worked out
by hand when the lists were written; conversions by 1 in = 25.4 mm, 1 lb = 453.59237 g.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from toolbox.intake.read import read
from toolbox.intake.reading import Answers, Count, Day, Line, Question, Reading, Sides, Span
from toolbox.kit.quantities import Kind

MESSY = Path(__file__).parents[2].parent / "shared" / "data" / "messy"
pytestmark = pytest.mark.skipif(not MESSY.is_dir(), reason="the messy sample lists are not here")


def right(name: str) -> list[list[Any]]:
    """The rows worked out by hand for a list."""
    found: list[list[Any]] = json.loads((MESSY / "expected.json").read_text("utf-8"))[name]["rows"]
    return found


def reading(name: str, said: Mapping[str, str] | None = None) -> Reading:
    """A sample list read with some answers."""
    return read((MESSY / name).read_bytes(), name, Answers({}, said or {}))


def grams(line: Line) -> int | None:
    """The mass of a line, None where there is none yet."""
    value = line.values.get("mass")
    assert value is None or isinstance(value.what, Span)
    return value.what.one if value else None


def number(line: Line) -> Fraction:
    """The count of a line, 1 without such a column."""
    value = line.values.get("count")
    assert value is None or isinstance(value.what, Count)
    return value.what.number if value else Fraction(1)


def plain(of: Reading) -> list[list[Any]]:
    """Name, count and grams of the lines that have a mass."""
    return [[x.name, number(x), grams(x)] for x in of.lines if grams(x) is not None]


def question(of: Reading, id: str) -> Question:
    """The question of that id."""
    return next(asked for asked in of.questions if asked.id == id)


ASKED = {
    "01_semicolon_decimal_comma.csv": [],
    "02_utf8_bom_header.csv": [],
    "03_utf16_tab.txt": [],
    "04_cp1252_accents.csv": [],
    "05_mixed_mass_units.csv": ["cell weight: 16 fl oz", "unit mass"],
    "09_thousands_separators.csv": ["marks"],
    # no unit stands anywhere in that list
    "14_quotes_newlines_formulas.csv": ["unit mass"],
    "17_merged_cells.xlsx": ["sheet"],
}


@pytest.mark.parametrize(("name", "asked"), ASKED.items())
def test_masses_are_those_worked_out_and_nothing_else_is_asked(name: str, asked: list[str]) -> None:
    """Names, counts and grams of every row; questions are just those the list leaves open."""
    first = reading(name)
    assert [q.id for q in first.questions] == asked
    assert first.refusals == ()
    told = {"sheet": "box"} if "sheet" in asked else {}
    if name.startswith("14"):
        told = {"unit mass": "g"}
    if name.startswith("17"):
        pytest.importorskip("python_calamine", reason="the extra sheets is not installed")
        rows = [["T-handle hex 5", 1, 95], ["T-handle hex 6", 1, 125], ["Chain whip", 1, 340],
                ["Floor pump", 1, 1150]]  # fmt: skip
    else:
        rows = right(name)
    assert plain(reading(name, told)) == rows


def test_the_total_of_the_first_list_agrees() -> None:
    """340 + 1150 + 5443 + 2 x 260 g are the 7,453 kg of its last row, which is dropped."""
    assert any(
        "agree" in n and "7453 g" in n for n in reading("01_semicolon_decimal_comma.csv").notes
    )


def test_what_is_asked_of_mixed_units_and_marks_is_read_as_answered() -> None:
    """9.2 oz is 261 g; 1.450 and 1,150 are both thousands once it is said that none is decimal."""
    mixed = reading(
        "05_mixed_mass_units.csv", {"unit mass": "oz", "cell weight: 16 fl oz": "470 g"}
    )
    assert plain(mixed)[-2:] == [["Sealant bottle refill", 1, 470], ["Pedal tool", 1, 261]]
    assert question(reading("09_thousands_separators.csv"), "marks").lines == (5, 6)
    marks = plain(reading("09_thousands_separators.csv", {"marks": "none"}))
    assert marks[3:5] == [["Bearing press", 1, 1450], ["Pump", 1, 1150]]


def test_windows_letters_are_told_by_words_to_look_at() -> None:
    """A list read as Windows-1252 says so and shows words with such letters."""
    (note,) = [n for n in reading("04_cp1252_accents.csv").notes if "Windows-1252" in n]
    assert "Clé" in note


def test_cell_units_beat_header_units_and_a_tiny_mass_is_asked() -> None:
    """Sides in mm and cm; 0.12 under grams is likely 0.12 kg, and asked."""
    of = reading("06_header_unit_vs_cell_unit.csv")
    found = []
    for line in of.lines:
        if grams(line) is not None:
            sides = [line.values[side].what for side in ("length", "width", "height")]
            assert all(isinstance(side, Span) for side in sides)
            found.append([line.name, 1, grams(line), *(s.one / 10 for s in sides)])  # type: ignore[union-attr,operator]
    assert found == right("06_header_unit_vs_cell_unit.csv")
    assert question(of, "cell Weight (g): 0.12").choices[0] == "0.12 kg"
    assert not of.refusals


def test_inches_and_their_fractions() -> None:
    """3/8", 6½", 5-7/8" and 1' 2" in millimetres to a tenth; drives spelled out, names kept."""
    of = reading("07_fraction_inches.csv")
    found = [[x.name, x.text("drive"), x.values["length"].what.one / 10] for x in of.lines]  # type: ignore[union-attr,operator]
    assert found == right("07_fraction_inches.csv")
    assert of.complete


def test_ranges_keep_both_ends_and_the_word_about() -> None:
    """Every end in its unit; a limit has one end; nothing is refused or asked."""
    of = reading("08_ranges_and_approx.csv")
    units = {"ml": (Kind.VOLUME, 1), "g": (Kind.MASS, 1), "N*m": (Kind.TORQUE, 1000)}
    units["pc"] = (Kind.PIECES, 1)
    assert of.complete
    for line, (name, words) in zip(of.lines, right("08_ranges_and_approx.csv"), strict=True):
        (span,) = [v.what for v in line.values.values() if isinstance(v.what, Span)]
        ends, unit = words.removesuffix(" approx").removeprefix("at most ").split()
        kind, worth = units[unit]
        low, _, high = ends.partition("..")
        most = Fraction(high or low) * worth
        least = None if words.startswith("at most") else Fraction(low) * worth
        assert (line.name, span.kind, span.low, span.high) == (name, kind, least, most)
        assert span.about == words.endswith("approx")


def test_titles_groups_totals_and_a_parent_counted_twice() -> None:
    """Five tools in two groups; the roll that weighs what its parts weigh is asked about."""
    of = reading("10_title_blank_group_total.csv")
    rows = right("10_title_blank_group_total.csv")
    found = [[x.name, number(x), grams(x), x.group] for x in of.lines if x.settled]
    assert found == rows
    assert sum(row[2] for row in rows) == 772
    (asked,) = of.questions
    assert asked.id == "parent Repair roll (pliers, cutters, picks)"
    assert asked.lines == (11,)
    told = reading("10_title_blank_group_total.csv", {asked.id: asked.choices[0]})
    assert [x.name for x in told.lines] == [row[0] for row in rows]
    assert told.complete


def test_names_alike_are_asked_about_and_only_storage_makes_one() -> None:
    """Four things; typed twice or a second one, and a near name, are the two questions."""
    of = reading("11_duplicate_names.csv")
    found = {
        (x.name.casefold().replace("5mm", "5 mm"), x.text("place")) for x in of.lines if x.settled
    }
    wanted = {(row[0].casefold(), row[2]) for row in right("11_duplicate_names.csv")}
    assert found == wanted
    assert [q.id for q in of.questions] == ["twice Hex key 5 mm", "near Hexkey 5 mm"]
    assert [line.number for line in of.lines if line.asks] == [4, 6]
    assert any("stored" in note and "7 and 8" in note for note in of.notes)


def test_quantities_in_words() -> None:
    """2x, x 4, pairs, a set, half a roll, a spare, one, 2+1; blank is told, -1 refused."""
    of = reading("12_quantity_forms.csv")
    lines = {line.name: line for line in of.lines}
    for name, count, mass in right("12_quantity_forms.csv"):
        counted = lines[name].values["count"].what
        assert isinstance(counted, Count)
        wanted = str(count).split() if isinstance(count, str) else [str(count), ""]
        assert (counted.number, counted.word) in (
            (Fraction(wanted[0]), wanted[1]),
            (Fraction(wanted[0]), "roll"),
        )
        assert grams(lines[name]) == mass
    assert any("blank count" in note and "line 10" in note for note in of.notes)
    assert number(lines["Saw"]) == 1
    assert number(lines["Wedge"]) == 0
    assert [(r.line, r.cell) for r in of.refusals] == [(12, "-1")]
    assert [q.id for q in of.questions] == ["cell qty: n/a"]


def test_sizes_that_became_days_are_asked_with_the_likely_size() -> None:
    """Nothing is repaired unasked; the size worked out by hand is among the choices."""
    of = reading("13_excel_date_damage.csv")
    for line, (name, words) in zip(of.lines, right("13_excel_date_damage.csv"), strict=True):
        assert line.name == name
        assert "size" not in line.values
        size = next(id for id in line.asks if id.startswith("cell size"))
        guess = words.split(" ")[0] if "serial" not in words else "7-11"
        assert guess in question(of, size).choices
    parts = [line.text("part") for line in of.lines]
    assert parts == ["H-12", "MAR3", "12E5", "0017", "1-10", "5E-3"]
    told = reading("13_excel_date_damage.csv", {"cell size: 46214": "7-11"})
    assert told.lines[3].text("size") == "7-11"
    assert of.refusals == ()


def test_texts_keep_their_quotes_and_signs() -> None:
    """Notes that look like formulas stay as they are; a line break becomes a blank."""
    of = reading("14_quotes_newlines_formulas.csv", {"unit mass": "g"})
    notes = [line.text("note") for line in of.lines]
    assert notes[0] == "keep dry second edge worn"
    assert notes[1:5] == ['=HYPERLINK("x")', "+49 ring", "-sharp-", "@lid"]
    assert of.complete


def test_three_sizes_in_one_cell() -> None:
    """x, ×, *, /, letters, a diameter, inches; without a unit it is asked once."""
    first = reading("15_dimensions_in_one_cell.csv")
    assert [q.id for q in first.questions] == ["unit sides"]
    assert first.refusals == ()
    of = reading("15_dimensions_in_one_cell.csv", {"unit sides": "mm"})
    for line, (name, *sides) in zip(of.lines, right("15_dimensions_in_one_cell.csv"), strict=True):
        value = line.values["sides"].what
        assert isinstance(value, Sides)
        assert line.name == name
        # the sample gives whole millimetres, rounded
        assert [None if s is None else round(s / 10) for s in value] == sides
    assert of.complete


def test_torques_and_days_in_many_forms() -> None:
    """Torques to a hundredth; one order of day and month is asked once; 31.02. is refused."""
    of = reading("16_torque_units_and_dates.csv")
    (asked,) = of.questions
    assert (asked.id, asked.lines) == ("dates", (3,))
    assert "day first" in asked.asked
    for line, row in zip(of.lines, right("16_torque_units_and_dates.csv"), strict=False):
        torque = line.values["torque"].what
        assert isinstance(torque, Span)
        assert abs((torque.one or 0) - 1000 * row[1]) <= 5
        for meaning, wanted in zip(("last check", "due"), row[2:], strict=True):
            if wanted in ("ask", None):
                assert meaning not in line.values
            else:
                assert line.values[meaning].words().startswith(wanted)
    assert {(r.line, r.cell) for r in of.refusals} == {(7, "expired"), (7, "31.02.2027")}
    told = reading("16_torque_units_and_dates.csv", {"dates": "day first"}).lines[1]
    assert told.values["last check"].what == Day(date(2026, 4, 3), "03/04/2026")
    assert any("2.1 bar and 30 psi agree" in note for note in of.notes)


def test_merged_cells_a_hidden_row_and_formulas_without_a_value() -> None:
    """Places are filled down, the hidden row is kept and named, the row of formulas is dropped."""
    pytest.importorskip("python_calamine", reason="the extra sheets is not installed")
    first = reading("17_merged_cells.xlsx")
    assert first.lines == ()
    assert first.questions[0].choices == ("box", "old copy")
    of = reading("17_merged_cells.xlsx", {"sheet": "box"})
    assert [line.text("place") for line in of.lines] == ["Lid", "Lid", "Bottom", "Bottom"]
    assert any("hidden rows" in note and "line 5" in note for note in of.notes)
    assert any("formulas" in note and "line 8" in note for note in of.notes)
    assert of.complete
