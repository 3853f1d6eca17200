"""Print sheets: sums to the gram, texts that stay texts, files that are never written over.

Markdown is read back by markdown-it-py (CommonMark with GFM tables), HTML by html.parser.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from random import Random
from typing import NamedTuple
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from toolbox.desk.errors import DeskError
from toolbox.desk.flight_sheets import bag_list, sheets_of
from toolbox.desk.folder import KitFolder
from toolbox.desk.printed import (
    Heading,
    Page,
    Points,
    Table,
    Words,
    as_html,
    as_markdown,
    mark_in,
    mark_of,
)
from toolbox.desk.sheet_files import How, save_sheets
from toolbox.desk.trips import Flight
from toolbox.files.forms import demo_folder
from toolbox.files.goods_rules import shipped_rules
from toolbox.files.reading import read_kit
from toolbox.files.trips import read_trip
from toolbox.flight.goods import WHO_DECIDES
from toolbox.kit.box import Box
from toolbox.kit.kit import Kit
from toolbox.kit.things import Goods, Known, Mass, Size
from toolbox.kit.trips import (
    Allowance,
    Approval,
    Bag,
    Cabin,
    Carriage,
    Concept,
    Item,
    Leg,
    Person,
    Scale,
    Trip,
    Weighing,
)

DAY = date(2026, 12, 2)
FOLDER = KitFolder(demo_folder(), read_kit(demo_folder()))
TRIP = read_trip(demo_folder() / "trips" / "two-races.toml", FOLDER.kit)
DEMO = Flight(FOLDER, "two-races", TRIP, shipped_rules(), DAY)
BOX = Box("Box", Size(4000, 3000, 2000), 2000, 0, (), ())


def sure(grams: int) -> Mass:
    """A mass weighed on a scale of one gram."""
    return Mass(grams, Known.WEIGHED, 1000)


def item(name: str, grams: int, count: int = 1, goods: Goods | None = None, bag: str = "a") -> Item:
    """A thing of the trip, called like its id; plain unless said otherwise."""
    return Item(name, name, bag, sure(grams), count=count, goods=goods or Goods("none"))


def a_trip(items: tuple[Item, ...], name: str = "Trip", text: str = "x", **more) -> Flight:
    """Ann with a hold bag a of 1 kg and a cabin bag c of 400 g; ``text`` in all other names."""
    bags = (
        Bag("a", f"Bag {text}", "ann", tare=sure(1000), size=Size(5000, 3000, 3000)),
        Bag("c", "Cabin bag", "ann", Carriage.CABIN, tare=sure(400), size=Size(4000, 3000, 2000)),
    )
    cabin = Cabin(1, 8000, Size(5600, 4500, 2500))
    allowance = Allowance("al", text, Concept.PIECE, 9000, 2, cabin=cabin)
    leg = Leg("leg", text, "al", DAY, text, screening=("eu",))
    people = (Person("ann", text),)
    trip = Trip(text, people, bags, (allowance,), (leg,), items, **more)
    folder = KitFolder(demo_folder(), Kit("Kit", BOX))
    return Flight(folder, name, trip, shipped_rules(), DAY)


class Read(NamedTuple):
    """What a page says: every text in its order, and its tables by rows of cells."""

    texts: list[str]
    tables: list[list[list[str]]]


VOID = {"meta"}


class Reader(HTMLParser):
    """Texts and tables of a page; every tag has to be closed in its order."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.attributes: set[str] = set()
        self.texts: list[str] = []
        self.tables: list[list[list[str]]] = []
        self.text = ""

    def handle_starttag(self, tag, attrs):
        self.seen.add(tag)
        self.attributes |= {name for name, _ in attrs}
        if tag in VOID:
            return
        self.open.append(tag)
        self.text = ""
        if tag == "table":
            self.tables.append([])
        if tag == "tr":
            self.tables[-1].append([])

    def handle_startendtag(self, tag, attrs):
        assert tag in VOID
        self.handle_starttag(tag, attrs)

    def handle_data(self, data):
        self.text += data

    def handle_endtag(self, tag):
        assert self.open.pop() == tag
        if tag in ("td", "th"):
            self.tables[-1][-1].append(self.text)
        if tag in ("h1", "h2", "p", "li", "td", "th") and self.text:
            self.texts.append(self.text)


def html(text: str) -> Read:
    """The page read by html.parser, and by an XML parser, since each tag is closed."""
    assert text.startswith("<!DOCTYPE html>\n")
    reader = Reader()
    reader.feed(text)
    reader.close()
    assert reader.open == []
    assert not reader.seen & {"script", "link", "img", "iframe", "a", "base", "object"}
    assert not reader.attributes & {"src", "href", "style", "onload"}
    style = text.partition("<style>")[2].partition("</style>")[0]
    assert "url(" not in style
    assert "@import" not in style
    ElementTree.fromstring(text.partition("\n")[2])
    return Read(reader.texts, reader.tables)


def markdown(text: str) -> Read:
    """The page read by markdown-it-py: only text, strong text and tables are in it."""
    read = Read([], [])
    tokens = MarkdownIt("commonmark").enable(["table", "strikethrough"]).parse(text)
    assert tokens[0].type == "html_block"
    cells = False
    for token in tokens[1:]:
        if token.type == "table_open":
            read.tables.append([])
        elif token.type == "tr_open":
            read.tables[-1].append([])
        elif token.type in ("td_open", "th_open"):
            cells = True
        elif token.type in ("td_close", "th_close"):
            cells = False
        elif token.type == "inline":
            parts = token.children or []
            kinds = {part.type for part in parts}
            assert kinds <= {"text", "text_special", "strong_open", "strong_close"}
            said = "".join(part.content for part in parts)
            if said:
                read.texts.append(said)
            if cells:
                read.tables[-1][-1].append(said)
        else:
            assert re.fullmatch(
                r"(heading|paragraph|bullet_list|list_item|table|thead|tbody|tr)_(open|close)",
                token.type,
            )
    return read


def texts_of(page: Page) -> Iterator[str]:
    """Every text of a page in its order, blanks and line breaks squeezed."""
    texts = [page.title]
    for block in page.blocks:
        match block:
            case Heading() | Words():
                texts.append(block.text)
            case Points():
                texts += block.texts
            case Table():
                texts += [cell for row in (block.heads, *block.rows) for cell in row]
    squeezed = (" ".join(text.split()) for text in texts)
    return (text for text in squeezed if text)


def grams(cell: str) -> int:
    """A cell like "1132 g"."""
    assert re.fullmatch(r"\d+ g", cell)
    return int(cell.removesuffix(" g"))


# ---- sums


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10**6))
def test_every_sheet_adds_up_to_the_gram_after_any_moves(seed: int) -> None:
    """Things and empty bag against the masses of kit and trip, in both formats, on the demo."""
    dice = Random(seed)
    movable = [c for c in DEMO.contents if not c.fixed]
    bags = [None, *(b.id for b in TRIP.bags)]
    stowed = {c.id: dice.choice(bags) for c in dice.sample(movable, dice.randint(0, 60))}
    flight = replace(DEMO, stowed=stowed)
    for sheet in sheets_of(flight):
        if not sheet.bag:
            continue
        bag = flight.bag(sheet.bag)
        inside = [c for c in flight.contents if stowed.get(c.id, c.bag) == bag.id]
        tare = FOLDER.kit.box.tare() if bag.box else bag.tare
        assert tare is not None
        for read in (html(as_html(sheet.page)), markdown(as_markdown(sheet.page))):
            legs, things = read.tables[0], read.tables[1]
            rows, (whole, empty, total) = things[1:-3], things[-3:]
            assert sum(grams(row[4]) for row in rows) == grams(whole[4])
            assert grams(whole[4]) == sum(c.mass.grams for c in inside)
            assert sum(int(row[2]) for row in rows) == int(whole[2]) == len(inside)
            assert grams(empty[4]) == tare.grams
            assert grams(whole[4]) + grams(empty[4]) == grams(total[4])
            for row in rows:
                assert not row[3] or grams(row[3]) * int(row[2]) == grams(row[4])
            # no leg of the demo is flown back and nothing was weighed
            assert {grams(leg[3]) for leg in legs[1:]} == {grams(total[4])}


def test_a_reading_stands_beside_the_sum(tmp_path: Path) -> None:
    """1000 g and 300 g on the list, 1320 g on the scale: 20 g more, and the legs go by it."""
    scale = Scale("hook", "Hook scale", 1000)
    weighing = Weighing("a", 1320, "hook", DAY)
    flight = a_trip((item("x", 300),), scales=(scale,), weighings=(weighing,))
    page = sheets_of(flight)[0].page
    read = html(as_html(page))
    assert grams(read.tables[1][-1][4]) == bag_list(flight, flight.bag("a")).sum_g == 1300
    assert grams(read.tables[0][1][3]) == 1320
    assert any("counts as 1320 g, which is +20 g from the sum" in text for text in read.texts)


# ---- texts


NASTY = st.text(
    st.sampled_from("<>&|`[]()*_~#!\\\"'$^-+=.:;/ \n\t1aé日{}%@"), min_size=1, max_size=24
).filter(str.strip)


@settings(max_examples=120, deadline=None)
@given(st.lists(NASTY, min_size=8, max_size=8))
def test_every_text_stays_text_in_both_formats(texts: list[str]) -> None:
    """Whatever signs: what is read back is what was put in, with blanks squeezed."""
    table = Table((texts[0], texts[1]), ((texts[2], texts[3]), ("", texts[4])), sums=1)
    blocks = (Heading(texts[5]), table, Points((texts[6], texts[7])), Words(texts[0], strong=True))
    page = Page(mark_of("t", texts[1]), texts[2], (*blocks, Words(texts[3])))
    wanted = list(texts_of(page))
    assert html(as_html(page)).texts == wanted
    assert markdown(as_markdown(page)).texts == wanted
    assert mark_in(as_html(page)) == mark_in(as_markdown(page)) == page.mark


@settings(max_examples=15, deadline=None)
@given(NASTY)
def test_user_text_survives_in_every_sheet(text: str) -> None:
    """A name of people, bags, legs, carriers, things and notes, in both formats."""
    goods = Goods("gas-cartridge-2.2", net_ml=21)
    thing = Item("gas", text, "a", sure(60), count=2, goods=goods)
    yes = Approval(("gas",), text, DAY, text)
    flight = a_trip((thing,), text=text, approvals=(yes,))
    said = " ".join(text.split())
    for sheet in sheets_of(flight):
        wanted = list(texts_of(sheet.page))
        for read in (html(as_html(sheet.page)), markdown(as_markdown(sheet.page))):
            assert read.texts == wanted
            assert any(said in told for told in read.texts)
            assert said in [cell for table in read.tables for row in table for cell in row]


# ---- what the sheets say


def test_the_goods_sheet_says_what_how_many_where_and_by_what() -> None:
    """18 V x 5 Ah is 90 Wh (Wh = V x Ah); five cartridges of 21 ml where four may be carried."""
    pack = Goods("li-ion-spare-9", millivolts=18_000, milliampere_hours=5000)
    gas = Goods("gas-cartridge-2.2", net_ml=21)
    flight = a_trip((item("gas", 60, 5, gas), item("pack", 640, 1, pack, "c"), item("rag", 20)))
    page = sheets_of(flight)[-1].page
    read = html(as_html(page))
    rows = {row[0]: row for row in read.tables[0][1:]}
    assert set(rows) == {"gas", "pack"}
    assert rows["gas"][1:5] == [
        "5",
        "21 ml; UN1013, UN2037 by the table",
        "Bag x (hold)",
        "ask the carrier",
    ]
    assert rows["pack"][1:5] == [
        "1",
        "90 Wh, 18 V x 5 Ah; UN3480 by the table",
        "Cabin bag (cabin)",
        "cabin",
    ]
    assert "49 CFR 175.10(a)(25)" in rows["gas"][6]
    assert all("table of 2026-11-24" in row[6] for row in rows.values())
    told = " ".join(read.texts)
    assert "TOO MANY. small gas cartridges: x has 5, at most 4 a person" in told
    assert "NOT SETTLED: 1 thing still to be" in told


def test_a_bag_sheet_says_who_answers_which_legs_and_how_sure() -> None:
    """Limit, interval and verdict leg by leg; how each mass is known; what is still to do."""
    spray = Goods("aerosol-flammable-2.1", net_ml=100)
    flight = a_trip((item("wax", 9000), item("spray", 200, 1, spray)), text="Ann")
    read = html(as_html(sheets_of(flight)[0].page))
    assert read.texts[1] == "Ann answers for it. Goes into the hold."
    leg = read.tables[0][1]
    assert leg[:4] == ["Ann", "2026-12-02", "Ann", "10200 g"]
    assert leg[5] == "9000 g"
    assert leg[7] == "over"
    assert read.tables[1][1] == ["wax", "wax", "1", "9000 g", "9000 g", "weighed, scale step 1 g"]
    (row,) = read.tables[2][1:]
    assert row[2] == "no"
    assert row[3].startswith("take it out")
    assert row[4] == "FAA guidance on aerosols"


def test_every_sheet_says_who_decides_and_when_it_was_made_and_never_allows() -> None:
    """With the whole table, with none of its rows, and with an old one."""
    rules = DEMO.rules
    bare = replace(rules, rules=(), limits=(), tools=())
    for table in (rules, bare, replace(rules, dated=date(2025, 1, 1))):
        for sheet in sheets_of(replace(DEMO, rules=table)):
            text = " ".join(texts_of(sheet.page))
            assert WHO_DECIDES in text
            assert "Made on 2026-12-02" in text
            assert ("over 12 months old" in text) is (table.dated.year == 2025)
            assert not re.search(r"allowed|permitted|accepted|may fly", text, re.IGNORECASE)
            assert str(demo_folder()) not in text
    # what no row covers is asked about, wherever it lies
    goods = html(as_html(sheets_of(replace(DEMO, rules=bare))[-1].page)).tables[0][1:]
    assert goods
    assert {row[4] for row in goods} <= {"ask the carrier", "read the safety sheet"}


def test_a_sheet_for_each_bag_that_flies_and_one_of_goods() -> None:
    """An empty bag stays at home; without goods the sheet says that nobody entered any."""
    sheets = sheets_of(a_trip((item("x", 300),)))
    assert [(s.file, s.bag) for s in sheets] == [("Trip-bag-a", "a"), ("Trip-goods", "")]
    assert "None that anybody entered" in as_markdown(sheets[-1].page)


# ---- files


def test_files_are_new_then_unchanged_then_replaced(tmp_path: Path) -> None:
    """Our own sheets of the same trip and bag are written anew, and that is said."""
    out = tmp_path / "deep" / "out"
    flight = a_trip((item("x", 300),))
    first = save_sheets(flight, out)
    names = ["Trip-bag-a.md", "Trip-bag-a.html", "Trip-goods.md", "Trip-goods.html"]
    assert [f.path.name for f in first.files] == names
    assert sorted(p.name for p in out.iterdir()) == sorted(names)
    assert {f.how for f in first.files} == {How.NEW}
    assert {f.how for f in save_sheets(flight, out).files} == {How.SAME}
    later = replace(flight, today=date(2026, 12, 3))
    assert {f.how for f in save_sheets(later, out).files} == {How.REPLACED}
    assert "Made on 2026-12-03" in (out / "Trip-bag-a.md").read_text("utf-8")


@pytest.mark.parametrize(
    "other",
    [
        "my own notes",
        "",
        "notes\n<!-- toolbox-sheet: Trip/bag/a -->\n",
        as_markdown(Page(mark_of("Trip", "bag", "b"), "Bag b", ())),
        as_markdown(Page(mark_of("Other", "bag", "a"), "Bag a", ())),
        as_html(Page(mark_of("Trip", "goods"), "Bag a", ())),
    ],
)
def test_what_is_not_the_same_sheet_is_never_written_over(tmp_path: Path, other: str) -> None:
    """Notes, another bag's sheet, another trip's: refused by name, and nothing is written."""
    (tmp_path / "Trip-bag-a.md").write_text(other, "utf-8")
    with pytest.raises(DeskError, match=r"Trip-bag-a\.md is there and is no sheet for this bag"):
        save_sheets(a_trip((item("x", 300),)), tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["Trip-bag-a.md"]
    assert (tmp_path / "Trip-bag-a.md").read_text("utf-8") == other


def test_all_files_in_the_way_are_told_at_once(tmp_path: Path) -> None:
    """Two of them, one a folder; and a file where the folder should be."""
    (tmp_path / "Trip-goods.html").mkdir()
    (tmp_path / "Trip-bag-a.html").write_text("x", "utf-8")
    with pytest.raises(DeskError) as told:
        save_sheets(a_trip((item("x", 300),)), tmp_path)
    assert "Trip-goods.html" in str(told.value)
    assert "Trip-bag-a.html" in str(told.value)
    with pytest.raises(DeskError, match="is no folder"):
        save_sheets(a_trip((item("x", 300),)), tmp_path / "Trip-bag-a.html")


def test_a_sheet_that_cannot_be_written_stays_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk fails while the new one is put in place: the old one is there to the byte."""
    flight = a_trip((item("x", 300),))
    save_sheets(flight, tmp_path)
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("toolbox.files.atomic.os.replace", fails)
    with pytest.raises(DeskError, match="could not all be written"):
        save_sheets(replace(flight, today=date(2026, 12, 3)), tmp_path)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


def test_sheets_of_bags_that_no_longer_fly_are_named(tmp_path: Path) -> None:
    """Everything moved from one bag to the other: the old sheet is stale, and stays."""
    flight = a_trip((item("x", 300),))
    save_sheets(flight, tmp_path)
    found = save_sheets(replace(flight, stowed={"x": "c"}), tmp_path)
    assert [p.name for p in found.stale] == ["Trip-bag-a.html", "Trip-bag-a.md"]
    assert all(p.exists() for p in found.stale)


@given(st.text(max_size=20), st.text(max_size=20))
def test_marks_have_no_blank_and_end_no_comment(name: str, bag: str) -> None:
    """Different names, different marks; any name of a file goes into a comment."""
    mark = mark_of(name, "bag", bag)
    assert re.fullmatch(r"[\w.~%/-]*", mark, re.ASCII)
    assert "--" not in mark
    assert (mark == mark_of(bag, "bag", name)) is (name == bag)
