"""Lists for customs and claims out of a trip's bags: sums, issues, changes, files.

CSV is read back by the csv module of Python, Markdown by markdown-it-py.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from smallkit import small_kit, tool

from toolbox.desk.claims import claim_for, claim_paper, notice_words, save_claim
from toolbox.desk.customs import CustomsList, Wanted, customs_list, issue_list
from toolbox.desk.customs_papers import customs_csv, draft_paper, issued_paper, save_customs
from toolbox.desk.errors import DeskError, UnknownName
from toolbox.desk.flight_plan import if_lost_now
from toolbox.desk.folder import KitFolder
from toolbox.desk.own_files import How
from toolbox.desk.printed import as_html, as_markdown
from toolbox.desk.trips import Flight
from toolbox.files.customs import issued_path, read_issued, save_issued
from toolbox.files.goods_rules import shipped_rules
from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.kit.counting import Counted, Short
from toolbox.kit.customs import CustomsChoices, CustomsLine, IssuedList, MassUnit, SetsAs
from toolbox.kit.facts import Fact, LoosePick
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Goods, Known, Mass, Measure, Money, Papers, Part, Size, Supply
from toolbox.kit.trips import Allowance, Bag, Concept, Item, Leg, Person, Trip, Work
from toolbox.papers.claim import Mishap
from toolbox.papers.customs_changes import Change

DAY = date(2026, 11, 20)
CHOICES = CustomsChoices("DE", "EUR", sets=SetsAs.COUNTED)
PAPERS = Papers(value=Money(25_00, "EUR"), origin="DE")


def own(tool_id: str, name: str, **more) -> object:
    """A tool of 100 g with value and origin."""
    return replace(tool(tool_id, name), value=PAPERS.value, origin="DE", **more)


def the_kit() -> Kit:
    """Hex keys, a bit set, two levers in the box; fluid in a bottle; all with papers."""
    bits = (Part("bit", 28), Part("handle", 1))
    tools = (
        own("key4", "Hex key 4 mm", serial="3-12"),
        own("key5", "Hex key 5 mm"),
        own("bits", "Bit driver", parts=bits),
        own("lever", "Tyre lever", count=2),
    )
    oil = Supply(
        "fluid",
        "Brake fluid",
        Measure.MILLILITRES,
        Mass(90, Known.GUESS),
        Size(500, 300, 900),
        carried=True,
        pack=100,
        goods=Goods("none"),
    )
    places = {"key4": "tray", "key5": "tray", "bits": "well", "lever": "well", "lever/2": "well"}
    present = Layout("present", tuple(Spot(copy, place) for copy, place in places.items()))
    kit = small_kit()
    return replace(kit, tools=tools, supplies=(oil,), present=present)


def the_trip(**more) -> Trip:
    """Ann flies with the box and a soft bag that holds a pump and a jacket."""
    items = (
        Item("pump", "Pump", "soft", Mass(900, Known.GUESS), papers=PAPERS),
        Item("jacket", "Jacket", "soft", Mass(700, Known.GUESS), off_list=True),
    )
    return Trip(
        name="A race",
        people=(Person("ann", "Ann"),),
        bags=(
            Bag("case", "Case", "ann", box=True, papers=PAPERS),
            Bag("soft", "Soft bag", "ann", tare=Mass(1500, Known.GUESS), papers=PAPERS),
        ),
        allowances=(Allowance("a", "a", Concept.PIECE, 23_000, pieces=2),),
        legs=(Leg("out", "Out", "a", DAY), Leg("home", "Home", "a", DAY + timedelta(5), back=True)),
        items=items,
        work=(Work("bleed", 1), Work("flat", 1)),
        **more,
    )


def facts(*what: object) -> tuple[Fact, ...]:
    """Entries of one fact each, an hour apart, from the morning before the flight on."""
    start = datetime(2026, 11, 19, 8, tzinfo=UTC)
    return tuple(
        Fact(f"f{n}", f"e{n}", n, start + timedelta(hours=n), "Ann", one)
        for n, one in enumerate(what)
    )


@pytest.fixture
def flight(tmp_path: Path) -> Flight:
    """The trip in a folder of its own."""
    return Flight(KitFolder(tmp_path, the_kit()), "race", the_trip(), shipped_rules(), DAY)


def made(flight: Flight, *bags: str, without: tuple[str, ...] = (), **more) -> CustomsList:
    """The list of these bags."""
    return customs_list(flight, Wanted(bags, without), CHOICES._replace(**more))


def with_tool(flight: Flight, tool_id: str, **more) -> Flight:
    """The same trip with one tool another one."""
    kit = flight.kit
    tools = tuple(replace(t, **more) if t.id == tool_id else t for t in kit.tools)
    return replace(flight, folder=KitFolder(flight.folder.path, replace(kit, tools=tools)))


# ---- the list


def test_bags_and_their_things_are_lines_and_supplies_are_named_as_left_out(
    flight: Flight,
) -> None:
    """The bag itself is a line (strictest practice), consumables stay off (memory)."""
    found = made(flight)
    assert not found.draft.refusals
    assert [line.thing for line in found.draft.lines] == [
        "bag case",
        "key4",
        "key5",
        "bits",
        "lever",
        "lever/2",
        "bag soft",
        "pump",
    ]
    assert [(one.name, one.grams) for one in found.left_out] == [
        ("Brake fluid", 90),
        ("Jacket", 700),
    ]
    assert (found.sums.items, found.sums.pieces) == (8, 36)


def test_lines_and_what_is_left_out_add_up_to_the_bags(flight: Flight) -> None:
    """Masses sum to the case, to the gram, whatever stays off the list."""
    for without in ((), ("lever", "bits")):
        found = made(flight, without=without)
        bags = sum(flight.total(bag, flight.now).grams for bag in flight.trip.bags)
        assert (found.sums.grams or 0) + sum(one.grams for one in found.left_out) == bags


def test_one_bag_alone_and_things_kept_off_by_choice(flight: Flight) -> None:
    """Which bags' content goes on it is said by letters, so is what stays off."""
    found = made(flight, "soft")
    assert [line.thing for line in found.draft.lines] == ["bag soft", "pump"]
    found = made(flight, "case", without=("tyre lev",))
    assert not {"lever", "lever/2"} & {line.thing for line in found.draft.lines}
    assert ("Tyre lever", 2) in {(one.name, one.pieces) for one in found.left_out}
    with pytest.raises(UnknownName):
        made(flight, "trunk")


# ---- issued


def test_an_issued_list_is_read_back_equal_and_never_written_over(flight: Flight) -> None:
    """No change or addition once issued (carnet notes; government's guidance)."""
    found = made(flight)
    issued = issue_list(found, DAY)
    path = issued_path(flight.folder.path, "race", 1)
    assert read_issued(path) == issued
    before = path.read_bytes()
    with pytest.raises(WriteRefused):
        issue_list(found, DAY)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("old", "new"), [("Hex key 4 mm", "Hex key 6 mm"), ("pieces = 29", "pieces = 28")]
)
def test_a_change_of_the_file_is_told(flight: Flight, old: str, new: str) -> None:
    """A list bears a sum of what it says."""
    issue_list(made(flight), DAY)
    path = issued_path(flight.folder.path, "race", 1)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(KitFaults, match="is not as it was issued"):
        made(flight)


def test_a_list_with_reasons_against_it_is_not_issued(flight: Flight) -> None:
    """Nothing is stored while anything would be refused."""
    bare = with_tool(flight, "key5", value=None, origin="")
    with pytest.raises(DeskError, match="2 reasons against it, of 1 thing"):
        issue_list(made(bare), DAY)
    assert not (flight.folder.path / "customs").exists()


def test_later_changes_of_the_kit_are_shown_against_it(flight: Flight) -> None:
    """Missing, more, and another serial number; what was kept off on purpose is none of these."""
    issue_list(made(flight, without=("lever",)), DAY)
    assert made(flight).changes == ()
    other = with_tool(flight, "key4", serial="3-13")
    moved = replace(other, stowed={"pump": None, "key5": None})
    trip = the_trip()
    more = Item("stand", "Work stand", "case", Mass(5000, Known.GUESS), papers=PAPERS)
    moved = replace(moved, trip=replace(trip, items=(*trip.items, more)))
    found = {(c.change, c.thing, c.was, c.now) for c in made(moved).changes}
    assert found == {
        (Change.CHANGED, "key4", "3-12", "3-13"),
        (Change.MISSING, "key5", "", ""),
        (Change.MISSING, "pump", "", ""),
        (Change.EXTRA, "stand", "", ""),
    }


def test_a_second_issue_keeps_numbers_and_gives_new_ones(flight: Flight) -> None:
    """Numbers are never used again, over several issues."""
    first = issue_list(made(flight), DAY)
    less = replace(flight, stowed={"key4": None})
    changed = with_tool(less, "key5", serial="B7")
    second = issue_list(made(changed), DAY)
    assert second.issue == 2
    before = {line.thing: line.number for line in first.lines}
    after = {line.thing: line.number for line in second.lines}
    assert after.pop("key5") == len(first.lines) + 1
    assert all(before[thing] == number for thing, number in after.items())


LETTERS = st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp"))
TEXTS = st.text(LETTERS, min_size=1, max_size=10).filter(str.strip)
LINES = st.builds(
    CustomsLine,
    st.integers(1, 999),
    TEXTS,
    st.just("") | TEXTS,
    TEXTS,
    st.integers(1, 99),
    st.integers(1, 99_999),
    st.integers(0, 10**7),
    st.sampled_from(["DE", "TW"]),
    st.just("") | TEXTS,
)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(LINES, max_size=4),
    st.sampled_from(list(MassUnit)),
    st.sampled_from(list(SetsAs)),
    st.lists(TEXTS, max_size=2),
)
def test_any_issued_list_is_read_back_equal(
    tmp_path_factory: pytest.TempPathFactory,
    lines: list[CustomsLine],
    unit: MassUnit,
    sets: SetsAs,
    words: list[str],
) -> None:
    """Whatever stands in it, seal included."""
    folder = tmp_path_factory.mktemp("kit")
    by_thing = {line.thing: line for line in lines}
    issued = IssuedList(
        "a-1",
        3,
        DAY,
        ("case",),
        CustomsChoices("DE", "EUR", unit, sets),
        tuple(by_thing.values()),
        tuple(words),
        ("lever",),
    )
    assert read_issued(save_issued(folder, issued)) == issued


# ---- paper


def rows_of(data: bytes) -> list[list[str]]:
    """The rows of a CSV file, read back."""
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


# What spreadsheets of some country take for a date, a time or a number (common practice).
LOOSE = re.compile(r"[\d\s]+([./:,-][\d\s]+)*([eE][+-]?\d+)?|\d{1,2}[ -]?[A-Za-z]{3}([ -]\d+)?")


@settings(max_examples=25, deadline=None)
@given(TEXTS | st.from_regex(r"[-+=@]?[0-9][0-9./E -]{0,6}", fullmatch=True), TEXTS)
def test_no_cell_is_a_formula_or_a_date(name: str, serial: str) -> None:
    """Cells that begin like formulas are guarded; masses, values and words are no dates."""
    kit = the_kit()
    tools = (own("key4", name, serial=serial),)
    kit = replace(kit, tools=tools, supplies=(), present=None)
    trip = Flight(KitFolder(Path(), kit), "race", the_trip(), shipped_rules(), DAY)
    found = customs_list(trip, Wanted(("case",)), CHOICES)
    heads, *rows = rows_of(customs_csv(found.draft.lines, CHOICES))
    assert heads == ["item", "description", "pieces", "mass", "value", "origin"]
    assert len(rows) == 2
    for row in rows:
        assert row[3].endswith(" kg")
        assert row[4].endswith(" EUR")
        assert row[0].isdigit()
        assert row[2].isdigit()
        for cell in row[1:2] + row[3:]:
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
            assert not LOOSE.fullmatch(cell), cell


def test_a_draft_says_so_and_both_formats_have_every_line(flight: Flight) -> None:
    """Columns 1 to 7, totals, words, what is left out, who decides; user text stays text."""
    odd = with_tool(flight, "key5", name="<b>Key</b> | *5*", value=None)
    page = draft_paper(made(odd)).page
    text, html = as_markdown(page), as_html(page)
    for words in ("NOT ISSUED", "This is no legal advice", "What stands against issuing it"):
        assert words in text
        assert words in html
    assert "<b>Key" not in html
    rendered = MarkdownIt("commonmark").enable("table").render(text)
    assert "&lt;b&gt;Key&lt;/b&gt; | *5*" in rendered
    assert rendered.count("<tr>") == 1 + 8 + 1


def test_an_issued_list_on_paper_is_that_issue(flight: Flight) -> None:
    """The page gives the totals in words in two languages."""
    paper = issued_paper(issue_list(made(flight), DAY), "A race")
    text = as_markdown(paper.page)
    assert paper.file == "race-customs-1"
    assert "eight items; thirty-six pieces; four point nine kilograms" in text
    assert "huit articles; trente-six pièces" in text
    assert "Brake fluid, 1 piece, 90 g: used up on the way" in text
    assert "NOT ISSUED" not in text


def test_papers_are_written_whole_and_never_over_anything_else(
    flight: Flight, tmp_path: Path
) -> None:
    """A strange CSV stays, and then no file is written."""
    out = tmp_path / "out"
    found = made(flight)
    assert {one.how for one in save_customs(found, out)} == {How.NEW}
    assert {one.how for one in save_customs(found, out)} == {How.SAME}
    assert sorted(path.suffix for path in out.iterdir()) == [".csv", ".html", ".md"]
    other = made(flight, unit=MassUnit.GRAMS)
    assert {one.how for one in save_customs(other, out)} == {How.REPLACED}
    strange = tmp_path / "strange"
    strange.mkdir()
    (strange / "race-customs-draft.csv").write_text("my own\n")
    with pytest.raises(DeskError, match="no paper was written"):
        save_customs(found, strange)
    assert [path.name for path in strange.iterdir()] == ["race-customs-draft.csv"]


# ---- claims


def test_a_claim_equals_the_case(flight: Flight) -> None:
    """Its totals equal the bag, to the gram; what has no value is counted."""
    case, soft = flight.trip.bags
    for bag in (case, soft):
        claim = claim_for(flight, bag, Mishap.LOSS, DAY)
        assert claim.sums.grams == flight.total(bag, flight.now).grams
    sums = claim_for(flight, case, Mishap.LOSS, DAY).sums
    # four tools, one of them twice, and the case; the fluid has no value
    assert sums.values == (Money(6 * 25_00, "EUR"),)
    assert (sums.unvalued, sums.pieces) == (1, 7)


def test_what_is_still_possible_without_a_bag() -> None:
    """With the box lost neither job goes, with the soft bag lost both do (by hand)."""
    kit = replace(the_kit(), tools=(*the_kit().tools, own("spare", "Spare lever")))
    trip = Flight(KitFolder(Path(), kit), "race", the_trip(), shipped_rules(), DAY)
    found = {one.bag.id: {work.job for work in one.possible} for one in if_lost_now(trip)}
    assert found == {"case": set(), "soft": {"bleed", "flat"}}
    levers = replace(trip, stowed={"lever/2": "soft"})
    found = {one.bag.id: {work.job for work in one.possible} for one in if_lost_now(levers)}
    assert found["case"] == {"flat"}


def test_last_seen_is_the_newer_of_count_and_use_before_the_arrival(tmp_path: Path) -> None:
    """A count says that all of a place was there but for what was short."""
    said = facts(
        LoosePick("key4"),
        Counted(date(2026, 11, 19), "tray", (Short("key5"),)),
        Counted(date(2026, 11, 19), "well", (Short("bits", "bit", 1),)),
        LoosePick("lever"),
    )
    late = replace(said[0], id="f9", clock=9, at=datetime(2026, 11, 25, tzinfo=UTC))
    folder = KitFolder(tmp_path, the_kit())
    folder.__dict__["live"] = (*said, late)
    trip = Flight(folder, "race", the_trip(), shipped_rules(), DAY)
    claim = claim_for(trip, trip.trip.bags[0], Mishap.DELAY, DAY)
    seen = {row.thing: row.seen for row in claim.rows}
    assert seen["key4"] is not None
    assert (seen["key4"].at.hour, seen["key4"].how) == (9, "counted in, by Ann")
    assert seen["key5"] is None
    assert seen["bits"] is not None
    assert seen["lever"] is not None
    assert seen["lever"].how == "picked, by Ann"


def test_the_day_to_keep_is_told_and_whether_it_is_over(flight: Flight) -> None:
    """The deadline is named with the day it was counted from and how."""
    case = flight.trip.bags[0]
    words = notice_words(claim_for(flight, case, Mishap.DAMAGE, DAY).notice, DAY)
    assert words.startswith("Write by 2026-11-26.")
    assert "until 2026-11-27" in words
    assert "6 days left" in words
    late = notice_words(claim_for(flight, case, Mishap.DELAY, DAY).notice, date(2027, 1, 1))
    assert "that day is over" in late
    assert "begin when it is handed over" in late
    with pytest.raises(DeskError, match="before the arrival"):
        claim_for(flight, case, Mishap.DAMAGE, DAY, DAY - timedelta(1))


def test_a_claim_on_paper(flight: Flight, tmp_path: Path) -> None:
    """Page and CSV hold every row; serial numbers are marked as such."""
    claim = claim_for(flight, flight.trip.bags[0], Mishap.LOSS, DAY)
    paper = claim_paper(claim)
    assert "This is no legal advice" in as_markdown(paper.page)
    _, *rows = rows_of(paper.csv)
    assert len(rows) == len(claim.rows)
    assert [row[5] for row in rows if row[0] == "key4"] == ["S/N 3-12"]
    assert {one.how for one in save_claim(claim, tmp_path / "out")} == {How.NEW}
