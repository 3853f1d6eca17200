"""Tables for spreadsheets: no cell turns into something else, and lists come back as they were.

What makes a formula, and the apostrophe before it: OWASP, "CSV Injection" (from memory). What a
spreadsheet takes for a date or a number: what people see happen to sizes, names of months and
codes (common practice, no source).
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path

import pytest
from clikit import write_kit_files
from hypothesis import given, settings
from hypothesis import strategies as st
from kitfiles import append_jobs, append_tools

from toolbox.desk.folder import open_kit
from toolbox.desk.intake import accepted, store, take_in
from toolbox.desk.setup import lay_out_demo
from toolbox.desk.spreadsheets import export_sheets, left_out
from toolbox.files.csv_guard import guarded, unguarded
from toolbox.files.forms import new_kit
from toolbox.files.problems import WriteRefused
from toolbox.intake.difference import Entry, State
from toolbox.intake.reading import Answers
from toolbox.journal.store import open_journal
from toolbox.kit.counting import Counted, Outcome, Settled, Short
from toolbox.kit.facts import SupplyUsed
from toolbox.kit.kit import Kit
from toolbox.kit.things import Goods, Known, Mass, Money, Part, Size, Supply, Tool
from toolbox.kit.work import Draw, Job, Pick, Step

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    "text",
    [
        *("=1+1", "+49 30", "-5 mm", "@name", "\ttab", "\rreturn", " =1", "＝1"),
        *("3/8", "1-2", "10.5", "1,5", "12:30", "5 pm", "007", "1E5", "5 %", "2026-11-25"),
        *("MAR1", "SEPT2", "4-Dez", "Mai 5", "5 May 2026", "TRUE", "false", "'=1", "''3/8"),
    ],
)
def test_what_would_turn_into_something_else_is_guarded(text: str) -> None:
    """Formulas, dates, times, numbers and truth values bear one apostrophe more, and lose it."""
    assert guarded(text) == f"'{text}"
    assert unguarded(f"'{text}") == text


@pytest.mark.parametrize(
    "text",
    [
        *("", "Chain tool", "T-070", "450 g", "12.3 mm", "3/8 in", "10x12", "1 pc", "A1"),
        *("'twas", "June 3 tool", "yes", "T1 x2 | T2 x1", "S1: 30 ml"),
    ],
)
def test_what_stays_as_it_is_has_no_guard(text: str) -> None:
    """A guard that is not needed would only be in the way of who reads the list."""
    assert guarded(text) == text == unguarded(text)


@settings(max_examples=300, deadline=None)
@given(st.text("'=+-@＝ \t\r\n0159./:eEapmMarTrue½xy", max_size=8))
def test_the_guard_comes_off_again(text: str) -> None:
    """Any text comes back, and no cell that begins like a formula is without a guard."""
    cell = guarded(text)
    assert unguarded(cell) == text
    assert cell.lstrip()[:1] not in set("=+-@＝")
    assert cell[:1] not in set("\t\r\n")


def _rows(path: Path) -> list[dict[str, str]]:
    """The rows of a table with the guard taken off, whole numbers as they stand."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        return [{k: unguarded(v) for k, v in row.items()} for row in csv.DictReader(file)]


def _read(folder: Path, table: Path) -> list[Entry]:
    """What a table would bring into a kit, nothing refused and nothing asked."""
    difference = take_in(open_kit(folder), table.read_bytes(), table.name, Answers()).difference
    assert [refusal.sentence() for refusal in difference.refusals] == []
    assert difference.questions == ()
    return accepted(difference, ["all"], [])


def _assert_come_back(folder: Path, home: Path, kit: Kit) -> None:
    """Into a kit without any of them tools, supplies and jobs are taken in."""
    for name in ("tools", "supplies", "jobs"):
        store(open_kit(folder), _read(folder, home / f"{name}.csv"))
    found = open_kit(folder).kit
    _assert_as_told((found.tools, found.supplies, found.jobs), kit)


def _class(goods: Goods | None) -> Goods | None:
    # figures of goods have no columns
    return None if goods is None else Goods(goods.kind)


def _assert_as_told(found: tuple[Sequence[object], ...], kit: Kit) -> None:
    """What the columns of the tables say of a kit, one thing after the other; defaults else."""
    tools = [
        Tool(
            t.id, t.name, Mass(t.mass.grams, t.mass.known), t.size, category=t.category,
            count=t.count, carried=t.carried, note=t.note, look=t.look, owner_mark=t.owner_mark,
            parts=t.parts, goods=_class(t.goods), **t.papers._asdict(),
        )
        for t in kit.tools
    ]  # fmt: skip
    supplies = [
        Supply(
            s.id, s.name, measure=s.measure, mass=s.mass and Mass(s.mass.grams, s.mass.known),
            size=s.size, category=s.category, carried=s.carried, pack=s.pack, stock=s.stock,
            par=s.par, note=s.note, goods=_class(s.goods),
        )
        for s in kit.supplies
    ]  # fmt: skip
    jobs = [replace(job, fluid="") for job in kit.jobs]
    for taken_in, told in zip(found, (tools, supplies, jobs), strict=True):
        for one, other in zip(taken_in, told, strict=True):
            assert one == other


def test_the_demo_comes_back_from_its_tables(tmp_path: Path) -> None:
    """Every tool, supply and job of the demo, to the gram and the tenth of a millimetre."""
    demo = lay_out_demo(tmp_path / "demo")
    names = export_sheets(demo, TODAY, tmp_path / "out")
    assert names == ("tools.csv", "supplies.csv", "jobs.csv", "counts.csv", "stock.csv")
    new_kit(tmp_path / "kit", "clamshell", "New")
    _assert_come_back(tmp_path / "kit", tmp_path / "out", demo.kit)


def test_the_demo_read_into_itself_changes_nothing(tmp_path: Path) -> None:
    """Whatever stands in its files: its own tables offer no new entry and no other value."""
    demo = lay_out_demo(tmp_path / "demo")
    export_sheets(demo, TODAY, tmp_path / "out")
    for name, number in (("tools", 174), ("supplies", len(demo.kit.supplies)), ("jobs", 0)):
        table = tmp_path / "out" / f"{name}.csv"
        found = take_in(demo, table.read_bytes(), table.name, Answers()).difference
        assert (found.refusals, found.questions) == ((), ())
        assert [(e.id, e.changes) for e in found.entries if e.state is not State.SAME] == []
        assert len(found.entries) == (number or len(demo.kit.jobs))


def test_papers_and_parts_of_any_sort_come_back(tmp_path: Path) -> None:
    """Make, model, year, value, parts with mass and value of one; what fits no cell is named."""
    home = open_kit(write_kit_files(tmp_path / "kit"))
    mass, size = Mass(1450, Known.WEIGHED), Size(123, 9, 10_000)
    bit = Part("bit (hex), x2 4 mm", 28, 6, Money(2_05, "EUR"))
    sets = [(bit, Part("5", 1)), (bit, Part("a|b", 2)), (Part("=1", 9999, 1), Part("a", 1)), ()]
    tools = [
        Tool(
            f"P{n}", f"Set {n}", mass, size, parts=parts, make="=maker", model="3/8", year=2019,
            value=Money(1_234_05, "CHF"), origin="CH", look="1-2", owner_mark="+ green",
        )
        for n, parts in enumerate(sets)
    ]  # fmt: skip
    append_tools(home.path, tools)
    before = open_kit(home.path)
    assert "parts of sets that fit no cell (1)" in left_out(before.kit)
    export_sheets(before, TODAY, tmp_path / "out")
    # a bar in a part's name would part it in two: that set comes back without its parts
    come_back = [replace(t, parts=()) if t.id == "P1" else t for t in before.kit.tools]
    new_kit(tmp_path / "new", "clamshell", "New")
    _assert_come_back(tmp_path / "new", tmp_path / "out", replace(before.kit, tools=come_back))
    same = take_in(before, (tmp_path / "out" / "tools.csv").read_bytes(), "t.csv", Answers())
    assert not [e for e in same.difference.entries if e.state is not State.SAME]


def test_what_tables_leave_out_is_named(tmp_path: Path) -> None:
    """Every key of a tool or supply with no column of its own is named, with how many have it."""
    kit = lay_out_demo(tmp_path / "demo").kit
    named = " ".join(left_out(kit))
    instruments = sum(tool.instrument is not None for tool in kit.tools)
    assert f"when instruments are checked and how well they measure ({instruments})" in named
    assert f"marks of tools ({sum(bool(tool.marks) for tool in kit.tools)})" in named
    assert "parts of sets" not in named
    assert left_out(replace(kit, tools=(), supplies=(), jobs=())) == ()


NASTY = ("3/8", "=1+1", "1-2 mm", "'-", "MAR 1", "1E5", "5 pm", "@x, y", '"q"', "true", "a|b")


def test_words_that_spreadsheets_change_come_back(tmp_path: Path) -> None:
    """Sizes, codes and signs as names, categories, notes and ids."""
    home = open_kit(write_kit_files(tmp_path / "kit"))
    mass, size = Mass(1450, Known.WEIGHED), Size(123, 9, 10_000)
    tools = [
        Tool(code, word, mass, size, word, note=word, serial=word)
        for code, word in zip(("007", "2E5", "MAR2", "3", *"ABCDEFG"), NASTY, strict=True)
    ]
    steps = (Step(1, "-1", (Pick("007", 2), Pick("2E5", 1)), (Draw("OIL", 1250),), 0),)
    jobs = [Job("1-2", "7/8", steps, "+", per_day=Fraction("1.5"), note="=")]
    append_tools(home.path, tools)
    append_jobs(home.path, jobs)
    before = open_kit(home.path)
    export_sheets(before, TODAY, tmp_path / "out")
    for path in sorted((tmp_path / "out").iterdir()):
        with path.open(encoding="utf-8-sig", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert not any(re.match(r"\s*[=+\-@]|\d+[-/]\d+$|\d+\.\d+$", cell) for cell in cells)
    new_kit(tmp_path / "new", "clamshell", "New")
    _assert_come_back(tmp_path / "new", tmp_path / "out", before.kit)


def test_counts_and_stocks_say_what_the_journal_says(tmp_path: Path) -> None:
    """A thing that is short, one that is lent, and a supply of which 2 ml were used."""
    folder = write_kit_files(tmp_path / "kit")
    at = datetime(2026, 11, 24, 19, tzinfo=UTC)
    said = [Counted(at.date(), "well", (Short("K4"),)), Settled("K5", Outcome.LENT, where="Ann")]
    used = [SupplyUsed("OIL", 2)]
    with open_journal(folder / "journal.db") as journal:
        for whats in (said[:1], said[1:], used):
            journal.add(whats, at=at, author="Mika", written=at)
    export_sheets(open_kit(folder), TODAY, tmp_path / "out")
    counts = {row["thing"]: row for row in _rows(tmp_path / "out" / "counts.csv")}
    assert set(counts) == {"K4", "K5", "CT"}
    short = counts["K4"]
    assert (short["belongs there"], short["not there"]) == ("1", "1")
    assert short["what became of it"] == "nobody has said"
    assert counts["K5"]["what became of it"] == "lent to Ann"
    assert (counts["CT"]["not there"], counts["CT"]["what became of it"]) == ("0", "")
    (oil,) = _rows(tmp_path / "out" / "stock.csv")
    assert (oil["name"], oil["in the reserve"], oil["used in seven days"]) == (
        "Chain lube", "98 ml", "2 ml",
    )  # fmt: skip


def test_tables_go_into_a_new_folder_alone(tmp_path: Path) -> None:
    """Where something lies nothing is written."""
    home = open_kit(write_kit_files(tmp_path / "kit"))
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "tools.csv").write_text("mine")
    with pytest.raises(WriteRefused):
        export_sheets(home, TODAY, tmp_path / "out")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["tools.csv"]
    assert (tmp_path / "out" / "tools.csv").read_text() == "mine"
