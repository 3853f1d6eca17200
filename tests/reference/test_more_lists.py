"""Untidy lists written without a look at the reader: read as they were meant, or asked about.

Source: the right readings beside the lists (tests/data/lists/expected.json), worked out by hand
before anything read them; 1 in = 25.4 mm, 1 lb = 453.59237 g, 1 lbf·in = 0.113 N·m,
1 kgf = 9.80665 N. ``mess`` there says of each list what is untidy in it.
"""

from __future__ import annotations

import json
from dataclasses import replace
from enum import IntEnum
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

import pytest

from toolbox.intake.against import against
from toolbox.intake.names import fold
from toolbox.intake.read import read
from toolbox.intake.reading import Answers, Count, Day, Line, ListKind, Reading, Sides, Span, Value
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Size

LISTS = Path(__file__).parents[1] / "data" / "lists"
EXPECTED: dict[str, dict[str, Any]] = json.loads((LISTS / "expected.json").read_text("utf-8"))

EMPTY = Kit("Squad", Box("Case", Size(6900, 4400, 2800), 6500, 7000, (), ()))

# Field of the right readings -> meaning of a column, units of the reader in one of ours, slack.
FIGURES = {
    "mass_g": ("mass", 1, 0.5),
    "length_mm": ("length", 10, 0.1),
    "width_mm": ("width", 10, 0.1),
    "height_mm": ("height", 10, 0.1),
    "torque_nm": ("torque", 1000, 0.005),
}
DAYS = {"last_check": "last check", "due": "due"}
# Questions that hold up the whole list: nothing is taken in before they are answered.
WHOLE = ("separator", "sheet", "headers", "each or all")


class Verdict(IntEnum):
    """How a list was read, the worst last."""

    RIGHT = 0
    ASKED = 1
    WRONG = 2


class Judged(NamedTuple):
    """The verdict on one list, and what was asked without need or read wrongly."""

    verdict: Verdict
    asked: tuple[str, ...]
    wrong: tuple[str, ...]


def reading(name: str, answers: Answers | None = None) -> Reading:
    """A list read, with what a kit without anything refuses of its names, counts and masses.

    A new tool needs three sides too; most of the lists tell none, and that is not judged.
    """
    alone = read((LISTS / name).read_bytes(), name, answers)
    judged = [alone.meanings.get(meaning, "-") for meaning in ("name", "count", "mass")]
    lacking = ("no column names", "no column gives the mass", "has no mass")
    more = [
        refusal
        for refusal in against(alone, EMPTY).refusals[len(alone.refusals) :]
        if refusal.column in judged or refusal.reason.startswith(lacking)
    ]
    return replace(alone, refusals=(*alone.refusals, *more))


def whole(of: Reading) -> bool:
    """Whether something is asked or refused that holds up the whole list."""
    return (
        any(not q.lines or q.id.startswith(("column ", *WHOLE)) for q in of.questions)
        or any(refusal.line in (0, of.header_line) for refusal in of.refusals)
        or (of.kind is ListKind.UNREAD and bool(of.refusals))
    )


def unsettled(of: Reading, line: Line) -> bool:
    """Whether something of a line is asked or refused."""
    return (
        not line.settled
        or any(line.number in question.lines for question in of.questions)
        or any(refusal.line == line.number for refusal in of.refusals)
    )


def refused(of: Reading, name: str) -> bool:
    """Whether a row of which there is no line was refused."""
    return any(name.split(",")[0] in refusal.cell for refusal in of.refusals)


def cell(line: Line, field: str) -> tuple[bool, Any]:
    """Whether a line holds a field of the right readings, and its value in their units."""
    values = line.values
    if field == "place":
        for value in (values.get("place"), values.get("category")):
            if value is not None:
                return True, value.what
        return bool(line.group), line.group
    if field in ("length_mm", "width_mm", "height_mm") and "sides" in values:
        sides = values["sides"].what
        assert isinstance(sides, Sides)
        side = getattr(sides, FIGURES[field][0])
        return side is not None, (side or 0) / 10
    value = values.get({"count": "count", **DAYS}.get(field) or FIGURES[field][0])
    return (False, None) if value is None else (True, plain(value, field))


def plain(value: Value, field: str) -> Any:
    """A value in the units of the right readings; a day that is none stands for nothing."""
    what = value.what
    if isinstance(what, Count):
        return float(what.number)
    if isinstance(what, Day):
        return what.day.isoformat() if what.day else None
    assert isinstance(what, Span)
    exact = what.exact if what.exact is not None else what.one
    return None if exact is None else float(exact) / FIGURES[field][1]


def same(field: str, read_as: Any, right: Any) -> bool:
    """Whether a value is the right one, give or take what rounding to whole units makes."""
    if field in FIGURES:
        return read_as is not None and abs(read_as - right) <= FIGURES[field][2]
    return bool(read_as == right)


def judge(name: str, of: Reading, *, answered: bool = False) -> Judged:
    """A reading held against the right one, cell by cell.

    ``answered``: what holds up the whole list was answered, and need not be asked again.
    """
    right = EXPECTED[name]
    if answered:
        right = {**right, "ask": [[who, what] for who, what in right["ask"] if who]}
    fields = right["fields"][1:]
    needed = {fold(who) for who, _ in (*right["ask"], *right["refuse"])}
    meant_to_wait = whole(of) and any(not who for who, _ in right["ask"])
    asked: list[str] = []
    wrong: list[str] = []
    left = list(of.lines)
    for who, *cells in right["rows"]:
        line = next((x for x in left if fold(x.name) == fold(who)), None)
        if line is None:
            if not meant_to_wait:
                held_up = whole(of) or refused(of, who)
                (asked if held_up else wrong).append(f"{who}: no line")
            continue
        left.remove(line)
        for field, value in zip(fields, cells, strict=True):
            there, read_as = cell(line, field)
            if there and read_as is not None:
                if not (unsettled(of, line) if value is None else same(field, read_as, value)):
                    wrong.append(f"{who}: {field} {read_as}, not {value}")
            elif value is not None and (field, value) != ("count", 1) and not meant_to_wait:
                waits = whole(of) or unsettled(of, line)
                (asked if waits else wrong).append(f"{who}: no {field}")
        if unsettled(of, line) and fold(who) not in needed:
            asked.append(f"{who}: waits")
    for line in left:
        held_up = not line.settled or (not line.name and whole(of))
        if not (held_up and (meant_to_wait or fold(line.name) in needed)):
            (asked if held_up else wrong).append(f"{line.name or line.number}: no line of the list")
    wrong += [f"{who}: {what} not asked" for who, what in right["ask"] if not raised(of, who, what)]
    wrong += [
        f"{who}: {what} not refused" for who, what in right["refuse"] if not raised(of, who, what)
    ]
    if whole(of) and not meant_to_wait:
        asked.append("the whole list waits")
    verdict = Verdict.WRONG if wrong else Verdict.ASKED if asked else Verdict.RIGHT
    return Judged(verdict, tuple(asked), tuple(wrong))


def raised(of: Reading, who: str, what: str) -> bool:
    """Whether what must be asked or refused is: of a line, or of the list as a whole."""
    if whole(of):
        return True
    if not who:
        told = [note for note in of.notes if note.startswith("CAUTION")]
        again = [x for x in of.refusals if "header" in x.reason]
        return bool(told if what == "total" else again if what == "header" else ())
    lines = [line for line in of.lines if fold(line.name) == fold(who)]
    return any(unsettled(of, line) for line in lines) or (not lines and refused(of, who))


# Lists of which more is asked, or refused, than their right readings need; and why.
ASKED_MORE = {
    "04_comment_header.csv": "2,1 under grams may be kilograms; the line taken out is asked",
    "09_side_by_side.csv": "each header stands there twice: take the groups in one by one",
    "10_trip_columns.csv": "every line waits until the column of counts is told",
    "11_strange_numbers.csv": '"+90" and "20." are refused too',
    "14_spelled_masses.csv": '"gr" and "gms" are written for grains too',
    "15_open_quote.csv": "where a cell ends is not known, so nothing is read",
    "21_line_weights.csv": "no other questions, but every line of several waits",
    "22_ditto.csv": '"no" may be a number of the line: it is asked whether it counts',
    "23_totals_disagree.csv": "masses of several may be those of the line, as the totals say",
    "25_check_dates.tsv": "04/26 is refused; there are no masses in the list",
    "27_boxes.csv": '"case" is no header known here, so the names must be told',
    "30_counts.csv": "a dozen, a range of counts and a mass below one gram are asked",
    "32_rider_case.ods": "the unit stands only in how the cells look: asked once",
}


def test_there_are_lists_and_each_has_a_right_reading() -> None:
    """No list goes unread for want of an expectation, and none is expected that is not there."""
    there = {path.name for path in LISTS.iterdir()} - {"expected.json", ".gitattributes"}
    assert there == set(EXPECTED)
    assert len(there) >= 30


@pytest.mark.parametrize("name", EXPECTED)
def test_no_list_is_read_wrongly_without_a_question(name: str) -> None:
    """Each is read as it was meant, or asks; more is asked only where it is said above."""
    judged = judge(name, reading(name))
    assert judged.wrong == ()
    assert judged.verdict is (Verdict.ASKED if name in ASKED_MORE else Verdict.RIGHT), judged


# List -> meanings of columns told, answers given; the list must then be right as it stands.
ANSWERED: dict[str, tuple[dict[str, str], dict[str, str]]] = {
    "13_swiss_marks.tsv": ({"Anz.": "count"}, {}),
    "18_no_header.csv": (
        {"column 1": "name", "column 2": "count", "column 3": "mass"},
        {"headers": "no headers"},
    ),
    "22_ditto.csv": ({}, {"column of counts": "no"}),
    "27_boxes.csv": ({"case": "name", "empty weight": "mass"}, {}),
    "28_old_returns_utf16be.txt": (
        {"Narzędzie": "name", "Ilość": "count", "Masa [g]": "mass (g)"},
        {"separator": "semicolon", "cell Masa [g]: 1,5": "1,5 g"},
    ),
    "29_delimiter_tie.csv": ({"tool, kind": "name"}, {"separator": "semicolon"}),
    "31_van.xlsx": ({}, {"sheet": "Van"}),
    "32_rider_case.ods": ({}, {"unit mass": "kg"}),
}


@pytest.mark.parametrize("name", ANSWERED)
def test_a_list_is_right_once_its_questions_are_answered(name: str) -> None:
    """After the answers that hold up the whole list, the rest is as it was meant."""
    judged = judge(name, reading(name, Answers(*ANSWERED[name])), answered=True)
    assert (judged.verdict, judged.wrong, judged.asked) == (Verdict.RIGHT, (), ())


def test_masses_of_whole_lines_are_shared_out_once_that_is_said() -> None:
    """0.06 kg of 6 levers, 0.84 kg of 2 wrenches, 1.90 kg of 10 tubes: 10 g, 420 g, 190 g each."""
    of = reading("21_line_weights.csv", Answers({}, {"each or all": "all of the line"}))
    grams = [cell(line, "mass_g")[1] for line in of.lines]
    assert grams == [10, 5443, 420, 190]
    assert not any(question.id == "each or all" for question in of.questions)


def test_masses_said_to_be_of_one_piece_stay_as_they_are() -> None:
    """The other answer to the same question."""
    of = reading("23_totals_disagree.csv", Answers({}, {"each or all": "one piece"}))
    assert [cell(line, "mass_g")[1] for line in of.lines] == [210, 1650, 180, 165]


@pytest.mark.parametrize("count", ["Round 1", "none of them"])
def test_a_column_of_counts_can_be_told(count: str) -> None:
    """4 tubes in the first round; where no column counts them, no count is read."""
    of = reading("10_trip_columns.csv", Answers({}, {"column of counts": count}))
    assert of.questions == ()
    read_as = cell(of.lines[0], "count")
    assert read_as == ((True, 4.0) if count == "Round 1" else (False, None))


def changed(of: Reading, number: int, **values: Value | None) -> Reading:
    """A reading with other values in one line; None takes a value out."""
    line = of.lines[number]
    kept = {m: v for m, v in {**line.values, **values}.items() if v is not None}
    lines = [*of.lines]
    lines[number] = replace(line, values=MappingProxyType(kept))
    return replace(of, lines=tuple(lines))


def test_the_judge_tells_a_reading_that_is_wrong() -> None:
    """A mass a thousandfold, a count lost, a line lost and a total read as a tool are wrong."""
    name = "03_total_in_header.csv"
    of = reading(name)
    assert judge(name, of).verdict is Verdict.RIGHT
    kilos = of.lines[1].values["mass"]
    span = kilos.what
    assert isinstance(span, Span)
    heavy = replace(kilos, what=span._replace(low=8000, high=8000, exact=None))
    total = replace(of.lines[0], values={**of.lines[0].values, "name": Value("name", "", "Total")})
    for bad in (
        changed(of, 1, mass=heavy),
        changed(of, 1, count=None),
        changed(of, 1, mass=None),
        replace(of, lines=of.lines[1:]),
        replace(of, lines=(*of.lines, total)),
    ):
        assert judge(name, bad).verdict is Verdict.WRONG


def test_the_judge_misses_a_question_that_was_not_asked() -> None:
    """Without its questions and refusals a list that needs them is wrong."""
    for name in ("30_counts.csv", "24_parent_and_parts.csv", "16_wrong_width.csv"):
        of = reading(name)
        quiet = [replace(line, asks=(), failed=False) for line in of.lines]
        silent = replace(of, lines=tuple(quiet), questions=(), refusals=())
        assert judge(name, silent).verdict is Verdict.WRONG
