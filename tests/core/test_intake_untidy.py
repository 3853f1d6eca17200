"""Columns that no header tells, masses of whole lines, ditto marks, comments and titles again."""

from __future__ import annotations

import pytest
from intakes import read_as

from toolbox.intake.reading import Line, Reading, Span

COUNTS, EACH = "column of counts", "each or all"


def lines(text: str, **said: str) -> Reading:
    """A list read with answers, underscores for the blanks of their ids."""
    return read_as(text.encode(), {key.replace("_", " "): told for key, told in said.items()})


def grams(of: Reading) -> list[int | None]:
    """The masses of all lines, None where there is none yet."""
    return [_grams(line) for line in of.lines]


def _grams(line: Line) -> int | None:
    value = line.values.get("mass")
    return value.what.one if value and isinstance(value.what, Span) else None


def asked(of: Reading) -> list[str]:
    """The ids of the questions."""
    return [question.id for question in of.questions]


# ---- columns of counts


@pytest.mark.parametrize(
    "cells",
    ["2;4;1", "2;;1", "x 4;2;1", "2 pairs;1;1"],
)
def test_a_column_of_whole_numbers_may_tell_how_many(cells: str) -> None:
    """It is asked about where no other column counts; every line waits."""
    rows = "\n".join(
        f"tool {letter},{c}" for letter, c in zip("abc", cells.split(";"), strict=True)
    )
    of = lines(f"tool,Bdl\n{rows}\n")
    (question,) = of.questions
    assert (question.id, question.choices) == (COUNTS, ("Bdl", "none of them"))
    assert [line.settled for line in of.lines] == [False] * 3


@pytest.mark.parametrize(
    ("header", "cells"),
    [
        ("Pos", "1;2;3"),  # numbers of the lines
        ("Row", "10;20;30"),
        ("Bin", "A1;A2;B1"),
        ("Drawer no", "0017;0018;0020"),  # 0017 is no number
        ("Price EUR", "12;9;7"),
        ("Girth (cm)", "12;9;7"),
        ("Bdl", ";;"),
    ],
)
def test_other_columns_do_not(header: str, cells: str) -> None:
    """Numbers of lines, of parts, money and what has a unit count nothing."""
    rows = "\n".join(
        f"tool {letter},{c}" for letter, c in zip("abc", cells.split(";"), strict=True)
    )
    assert asked(lines(f"tool,{header}\n{rows}\n")) == []


def test_a_list_that_counts_is_not_asked_for_another_column() -> None:
    """A header that is known goes before all others."""
    assert asked(lines("tool,qty,Bdl\nDriver,1,4\nSaw,2,9\n")) == []


# ---- masses of whole lines

TWO_BY_TWO = "tool,qty,{header}\nSnips,1,180\nSaw,2,300\n{word},3,480\n"


def test_a_total_without_the_counts_asks_what_masses_are_of() -> None:
    """180 + 300 is 480; 180 + 2 x 300 would be 780. Only the line of two waits."""
    text = TWO_BY_TWO.format(header="weight g", word="Total")
    of = lines(text)
    assert asked(of) == [EACH]
    assert grams(of) == [180, None]
    assert grams(lines(text, each_or_all="all of the line")) == [180, 150]
    assert grams(lines(text, each_or_all="one piece")) == [180, 300]


def test_a_total_with_the_counts_asks_nothing() -> None:
    """180 + 2 x 300 = 780."""
    of = lines(TWO_BY_TWO.format(header="weight g", word="Total").replace("480", "780"))
    assert (asked(of), grams(of)) == ([], [180, 300])


@pytest.mark.parametrize(
    ("total", "caution"), [("1,008", False), ("1.008", False), ("1,258", True)]
)
def test_a_total_whose_mark_nothing_settles_is_read_by_the_sum(total: str, caution: bool) -> None:
    """21 x 48 = 1008: 1,008 g and 1.008 g can only be that; 1,258 is wrong either way."""
    of = lines(f"tool;qty;g\nRag;21;48\nTotal;;{total}\n")
    assert asked(of) == []
    assert any(note.startswith("CAUTION") for note in of.notes) == caution
    assert any("they agree" in note for note in of.notes) != caution


def test_a_header_that_says_each_makes_the_total_wrong() -> None:
    """Then nothing is asked: the total is told to differ."""
    of = lines(TWO_BY_TWO.format(header="g each", word="Total"))
    assert (asked(of), grams(of)) == ([], [180, 300])
    assert [n for n in of.notes if n.startswith("CAUTION") and "780 g" in n]


def test_less_than_half_a_gram_of_each_is_refused() -> None:
    """3 g of 10 are 0.3 g each, which cannot be kept."""
    of = lines("tool,qty,g\nPin,10,3\nSaw,1,300\nTotal,11,303\n", each_or_all="all of the line")
    assert grams(of) == [None, 300]
    assert [refusal.line for refusal in of.refusals] == [2]
    assert not of.lines[0].settled


@pytest.mark.parametrize("word", ["Tools total", "Razem", "Everything"])
@pytest.mark.parametrize("count", ["4", ""])
def test_a_line_that_weighs_what_those_above_do_may_be_a_total(word: str, count: str) -> None:
    """250 + 2 x 90 + 30 = 460: asked, in whatever language; a gram less is a thing."""
    text = f"tool,qty,g\nSaw,1,250\nFile,2,90\nRag,1,30\n{word},{count},460\nVice,1,3400\n"
    of = lines(text)
    assert asked(of) == [f"total {word}"]
    assert [line.settled for line in of.lines] == [True] * 3 + [False, True]
    assert grams(of) == [250, 90, 30, None, 3400]
    assert grams(lines(text, **{f"total_{word}": "total"})) == [250, 90, 30, 3400]
    assert grams(lines(text, **{f"total_{word}": "thing"})) == [250, 90, 30, 460, 3400]
    assert asked(lines(text.replace("460", "459"))) == []


def test_a_thing_that_weighs_what_two_others_do_is_no_total() -> None:
    """25 + 42 = 67 g is chance; three of a thing are no total either."""
    assert asked(lines("tool,qty,g\nKey 4,1,25\nKey 5,1,42\nKey 6,1,67\n")) == []
    assert asked(lines("tool,qty,g\nA pin,1,2\nB pin,1,2\nC pin,1,2\nD pin,2,6\n")) == []


# ---- rows between the lines


def test_a_whole_line_in_quotes_is_no_heading() -> None:
    """It is refused for its width, not lost."""
    of = lines('tool;qty;g\nSaw;1;250\n"Vice;1;3400"\nFile;2;90\n')
    assert [refusal.line for refusal in of.refusals] == [3]
    assert {line.group for line in of.lines} == {""}


def test_ditto_marks_stand_for_the_place_above() -> None:
    """Every usual mark, over several lines; the first place stays as it is."""
    marks = ['""""', "do.", "ditto", "〃", "''"]
    rows = "\n".join(f"tool {n},1,{mark}" for n, mark in enumerate(marks))
    of = lines(f"tool,qty,place\nSaw,1,lid\n{rows}\nFile,1,floor\nRasp,1,dto.\n")
    assert [line.text("place") for line in of.lines] == ["lid"] * 6 + ["floor"] * 2
    assert [note for note in of.notes if note.startswith("ditto marks")]


def test_a_line_behind_a_comment_sign_is_asked_about() -> None:
    """It is neither read in silence nor dropped in silence."""
    text = "tool,qty\nSaw,1\n# File,2\nRasp,3\n# counted twice,\n//Vice,1\nBrush,1\n"
    of = lines(text)
    assert asked(of) == ["comment # File", "comment //Vice"]
    assert [line.settled for line in of.lines] == [True, False, True, False, True]
    assert "counted twice" in "".join(of.notes)
    out = lines(text, **{"comment_#_File": "taken out of the list"})
    assert [line.name for line in out.lines] == ["Saw", "Rasp", "//Vice", "Brush"]


@pytest.mark.parametrize(
    "text",
    [
        "no,tool,qty\n#1,Saw,1\n#2,File,2\n#3,Rasp,3\n",
        "tool,qty\nSaw,1\n#2 driver,2\nRasp,3\n",
    ],
)
def test_a_sign_of_a_number_is_no_comment(text: str) -> None:
    """#1, #2 number the lines, and a size is part of a name."""
    of = lines(text)
    assert (asked(of), len(of.lines)) == ([], 3)


def test_title_and_header_of_a_second_page_are_no_tools() -> None:
    """The title is left out, the header refused, the lines below it read."""
    of = lines("Van,page 1\ntool,qty,colour\nSaw,1,red\nVan,page 2\ntool,qty,colour\nFile,2,\n")
    assert [line.name for line in of.lines] == ["Saw", "File"]
    assert [(r.line, r.reason) for r in of.refusals] == [(5, "is a second row of headers")]


# ---- headers


def test_a_row_with_figures_is_no_header_for_one_word() -> None:
    """A tray that weighs 340 g is a line of the list."""
    of = lines("what it is,how heavy\nTray,340 g\nSaw,120 g\n")
    assert asked(of) == ["headers"]
    assert of.header_line == 1


def test_units_below_the_header_may_hold_pieces_too() -> None:
    """kg under the masses holds for them; pcs under the counts says nothing more."""
    of = lines("tool,qty,weight\n,pcs,kg\nSaw,2,1.25\nFile,1,0.4\n")
    assert (asked(of), of.refusals, grams(of)) == ([], (), [1250, 400])


@pytest.mark.parametrize(
    ("header", "said"),
    [("mass (g)", {}), ("mass", {"unit_mass": "g"}), ("mass", {"unit_mass": "lb"})],
)
def test_a_number_without_a_unit_behind_one_with_it_is_asked_of_its_cell(
    header: str, said: dict[str, str]
) -> None:
    """1 lb 8 under grams is no 1 lb 8 g; the unit of the list is known and settles nothing."""
    text = f"tool,{header}\nSaw,1 lb 8\nFile,90 g\n"
    of = lines(text, **said)
    assert (asked(of), grams(of)) == ([f"cell {header}: 1 lb 8"], [None, 90])
    answered = {**said, f"cell_{header}:_1_lb_8".replace(" ", "_"): "1 lb 8 oz"}
    assert grams(lines(text, **answered)) == [680, 90]


def test_a_volume_in_the_column_of_units_is_no_mass() -> None:
    """The answer for bare numbers of the list does not make 100 ml weigh 100 g."""
    text = "tool,weight,unit\nSaw,300,g\nGrease,100,ml\nFile,90,\n"
    of = lines(text, unit_mass="g")
    assert grams(of) == [300, None, 90]
    assert asked(of) == ["cell weight: 100"]


def test_a_table_in_a_note_may_have_words_in_bold() -> None:
    """The total in stars is a total, and agrees."""
    of = lines("|tool|qty|g|\n|---|---|---|\n|Saw|2|300|\n|**Total**|**2**|**600**|\n")
    assert (asked(of), grams(of)) == ([], [300])
    assert [note for note in of.notes if "agree" in note]


@pytest.mark.parametrize("day", ["2026/04/03", "2026.04.03", "20260403", "2026-04-03"])
def test_days_with_the_year_first_are_read(day: str) -> None:
    """ISO 8601 with and without its dashes, and with other signs in their place."""
    of = lines(f"tool,last check,due\nKey,{day},-\n")
    assert of.refusals == ()
    assert of.lines[0].values["last check"].words() == "2026-04-03"
    assert "due" not in of.lines[0].values
