"""Papers of the demo: its list for customs can be issued whichever way, and keeps to the rules.

The rules are those of ../shared/reference/customs.md: notes on the cover of the ATA carnet, a
government's guidance and an issuer's instructions. What goes in is counted from the demo's own
files with tomllib; numbers in words are num2words', country codes those of pycountry.
"""

from __future__ import annotations

import csv
import io
import re
import tomllib
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pycountry
import pytest
from num2words import num2words

from toolbox.desk.claims import claim_for
from toolbox.desk.customs import Wanted, customs_list, issue_list
from toolbox.desk.customs_papers import issued_paper
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.printed import as_markdown
from toolbox.desk.setup import lay_out_demo
from toolbox.desk.trips import Flight, open_flight
from toolbox.files.customs import issued_path, read_issued, save_issued
from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.kit.customs import CustomsLine, IssuedList, SetsAs
from toolbox.papers.claim import Mishap

DAY = date(2026, 11, 25)
TRIP = "two-races"
Raw = dict[str, dict[str, Any]]


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo laid out, and its list issued with sets in each of the three ways."""
    folder = tmp_path_factory.mktemp("demo") / "kit"
    lay_out_demo(folder)
    flight = open_flight(open_kit(folder), TRIP, DAY)
    for sets in SetsAs:
        made = customs_list(flight, Wanted(), flight.kit.customs._replace(sets=sets))
        assert made.draft.refusals == ()
        issue_list(made, DAY)
    return folder


@pytest.fixture(scope="module")
def flight(home: Path) -> Flight:
    """The demo's trip."""
    return open_flight(open_kit(home), TRIP, DAY)


@pytest.fixture(params=[1, 2, 3], ids=[sets.value for sets in SetsAs])
def issued(request: pytest.FixtureRequest, home: Path) -> IssuedList:
    """One of the three issues, read from its file."""
    return read_issued(issued_path(home, TRIP, request.param))


def entries(home: Path, file: str, key: str) -> Raw:
    """The entries of a file of the demo by id, as they stand."""
    return {e["id"]: e for e in tomllib.loads((home / file).read_text("utf-8"))[key]}


@pytest.fixture(scope="module")
def packed(home: Path) -> Raw:
    """Each copy that flies, with the entry that it comes from: tools, things of the trip, bags."""
    trip = f"trips/{TRIP}.toml"
    things = {i: t for i, t in entries(home, "tools.toml", "tool").items() if t.get("carried", 1)}
    things |= {i: t for i, t in entries(home, trip, "item").items() if not t.get("off_list")}
    copies = {
        name if number == 1 else f"{name}/{number}": thing
        for name, thing in things.items()
        for number in range(1, thing.get("count", 1) + 1)
    }
    return copies | {f"bag {i}": bag for i, bag in entries(home, trip, "bag").items()}


def by_thing(lines: tuple[CustomsLine, ...]) -> dict[str, list[CustomsLine]]:
    """The lines of each thing."""
    found: dict[str, list[CustomsLine]] = {}
    for line in lines:
        found.setdefault(line.thing, []).append(line)
    return found


def grams(text: str) -> int:
    """A mass of the demo's files in grams."""
    number, unit = text.split()
    return int(Decimal(number) * {"g": 1, "kg": 1000}[unit])


def cents(text: str) -> int:
    """A value of the demo's files in hundredths."""
    number, currency = text.split()
    assert currency == "EUR"
    return int(Decimal(number) * 100)


def test_each_line_has_a_number_of_its_own_over_all_issues(home: Path) -> None:
    """Column 1 runs, and a number never comes to mean another thing (carnet notes)."""
    meant: dict[int, tuple[str, str, str, int]] = {}
    for number in (1, 2, 3):
        lines = read_issued(issued_path(home, TRIP, number)).lines
        assert len({line.number for line in lines}) == len(lines)
        for line in lines:
            what = (line.thing, line.part, line.words, line.pieces)
            assert meant.setdefault(line.number, what) == what
    assert sorted(meant) == list(range(1, len(meant) + 1))


def test_everything_that_flies_is_on_it_and_nothing_else(issued: IssuedList, packed: Raw) -> None:
    """Each copy and each bag (strictest practice: the bag is a line of its own)."""
    assert set(by_thing(issued.lines)) == set(packed)


def test_sets_are_broken_into_pieces(issued: IssuedList, packed: Raw) -> None:
    """A line for each part, or one line that names and counts them (carnet notes, issuer)."""
    lines = by_thing(issued.lines)
    sets = {thing: entry["parts"] for thing, entry in packed.items() if "parts" in entry}
    assert len(sets) == 9
    for thing, parts in sets.items():
        found = lines[thing]
        pieces = sum(part["count"] for part in parts)
        if issued.choices.sets is SetsAs.PARTS:
            said = [(line.part, line.pieces, line.grams, line.hundredths) for line in found]
            assert said == [
                (
                    part["name"],
                    part["count"],
                    part["count"] * grams(part["mass"]),
                    part["count"] * cents(part["value"]),
                )
                for part in parts
            ]
        else:
            (line,) = found
            assert line.pieces == (pieces if issued.choices.sets is SetsAs.COUNTED else 1)
            assert f"{pieces} pieces: " in line.words
            assert all(f"{part['name']} x{part['count']}" in line.words for part in parts)
    assert all(len(found) == 1 for thing, found in lines.items() if thing not in sets)


def test_masses_and_values_are_those_of_the_files(
    issued: IssuedList, packed: Raw, home: Path
) -> None:
    """To the gram and the cent, sets by their sums; the box's mass is that of box.toml."""
    tare = tomllib.loads((home / "box.toml").read_text("utf-8"))["box"]["tare"]
    for thing, lines in by_thing(issued.lines).items():
        entry = packed[thing]
        mass = entry.get("mass") or entry.get("tare") or tare
        assert sum(line.grams or 0 for line in lines) == grams(mass), thing
        assert sum(line.hundredths or 0 for line in lines) == cents(entry["value"]), thing
        assert all(line.hundredths for line in lines)


def test_what_is_used_up_stays_off_and_is_named(
    issued: IssuedList, flight: Flight, home: Path
) -> None:
    """A list promises the same goods back (guidance; consumables from memory)."""
    supplies = entries(home, "supplies.toml", "supply")
    there = {copy.id.partition("/")[0]: copy for bag in flight.trip.bags
             for copy in flight.inside(bag, flight.now)}  # fmt: skip
    used = {supplies[i]["name"] for i in there if i in supplies}
    assert len(used) > 20
    assert not {line.thing.partition("/")[0] for line in issued.lines} & {*supplies, "clothes"}
    assert all(any(words.startswith(f"{name}, ") for words in issued.left_out) for name in used)
    others = [w for w in issued.left_out if not any(w.startswith(f"{name}, ") for name in used)]
    assert others == ["Clothes and rain gear, 1 piece, 6200 g: kept off lists in the trip file"]


VAGUE = re.compile(r"\b(sets? of|box(es)? of|various|assorted|kits?)\b", re.IGNORECASE)


def test_no_word_says_too_little(issued: IssuedList) -> None:
    """kit, set of, box of, various, assorted are refused (guidance)."""
    assert [line.words for line in issued.lines if VAGUE.search(line.words)] == []


def test_each_line_has_its_number_or_says_that_there_is_none(
    issued: IssuedList, packed: Raw
) -> None:
    """The serial number, or NSN (guidance, issuer); every instrument that flies has one."""
    for line in issued.lines:
        serial = packed[line.thing].get("serial")
        assert line.words.endswith(f", S/N {serial}" if serial else ", NSN")
    for thing, entry in packed.items():
        assert "serial" in entry or "instrument" not in entry, thing


def test_every_country_of_origin_is_one(issued: IssuedList, packed: Raw) -> None:
    """Two letters of ISO 3166-1 (issuer), the issuing country too."""
    for line in issued.lines:
        assert pycountry.countries.get(alpha_2=line.origin) is not None
        assert line.origin == packed[line.thing]["origin"]
    assert pycountry.countries.get(alpha_2=issued.choices.country) is not None


def test_one_unit_throughout_and_totals_at_the_end(issued: IssuedList) -> None:
    """Masses all in kilograms, values in one currency, totals below the columns (carnet notes)."""
    paper = issued_paper(issued, "Two races")
    rows = list(csv.DictReader(io.StringIO(paper.csv.decode("utf-8-sig"))))
    assert {row["mass"].rpartition(" ")[2] for row in rows} == {"kg"}
    assert {row["value"].rpartition(" ")[2] for row in rows} == {"EUR"}
    mass = sum(Decimal(row["mass"].split()[0]) for row in rows)
    value = sum(Decimal(row["value"].split()[0]) for row in rows)
    pieces = sum(int(row["pieces"]) for row in rows)
    page = as_markdown(paper.page)
    (last,) = (line for line in page.splitlines() if "**Total**" in line)
    cells = [cell.strip("* ") for cell in last.strip("|").split("|")]
    assert cells[1:3] == [f"{len(rows)} items", str(pieces)]
    assert (Decimal(cells[3]), Decimal(cells[4])) == (mass, value)
    for number, one in ((len(rows), "item"), (pieces, "piece")):
        words = num2words(number, lang="en").replace(",", "")
        assert f"{words} {one}s" in page.replace(",", "")
    whole, part = divmod(int(value * 100), 100)
    words = num2words(whole, lang="en").replace(",", "")
    assert words in page.replace(",", "")
    assert not part or num2words(part, lang="en") in page


def test_an_issue_is_frozen(home: Path, issued: IssuedList, tmp_path: Path) -> None:
    """No change and no addition once issued (carnet notes)."""
    path = issued_path(home, TRIP, issued.issue)
    before = path.read_bytes()
    with pytest.raises(WriteRefused):
        save_issued(home, replace(issued, lines=issued.lines[1:]))
    assert path.read_bytes() == before
    changed = tmp_path / "customs" / path.name
    changed.parent.mkdir()
    changed.write_bytes(before.replace(b"CH-0217", b"CH-0218"))
    with pytest.raises(KitFaults):
        read_issued(changed)


@pytest.mark.parametrize("bag", ["case", "soft", "bike-a", "bike-b", "back"])
def test_every_bag_alone_can_be_issued_and_claimed(flight: Flight, bag: str) -> None:
    """Whichever way; its claim holds all of it, with values for all but what is used up."""
    (one,) = (b for b in flight.trip.bags if b.id == bag)
    for sets in SetsAs:
        made = customs_list(flight, Wanted((bag,)), flight.kit.customs._replace(sets=sets))
        assert made.draft.refusals == ()
        assert made.draft.lines
    claim = claim_for(flight, one, Mishap.LOSS, date(2026, 12, 4))
    inside = flight.inside(one, flight.now)
    tare = flight.kit.box.tare_g if one.box or one.tare is None else one.tare.grams
    assert claim.sums.grams == sum(copy.mass.grams for copy in inside) + tare
    supplies = {supply.name for supply in flight.kit.supplies}
    assert {row.name for row in claim.rows if row.value is None} <= supplies


def test_one_value_less_and_it_is_not_issued(flight: Flight) -> None:
    """The demo's list is whole: without one value, or one part's mass, it is refused."""
    kit = flight.kit
    first = next(tool for tool in kit.tools if tool.parts and tool.carried)
    bare = replace(first.parts[0], grams=None)
    for other in (replace(first, value=None), replace(first, parts=(bare, *first.parts[1:]))):
        tools = tuple(other if tool.id == first.id else tool for tool in kit.tools)
        folder = replace(flight.folder, kit=replace(kit, tools=tools))
        made = customs_list(replace(flight, folder=folder), Wanted(("case",)), kit.customs)
        with pytest.raises(DeskError, match="reason"):
            issue_list(made, DAY)
