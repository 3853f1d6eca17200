"""The pre-flight list: lines out of the check, and ticks that are facts in the journal."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from clikit import write_kit_files

from toolbox.desk.checklist import (
    HABIT,
    Checklist,
    carried_over,
    counted,
    line_named,
    noted,
    ticked,
    unticked,
    write_said,
)
from toolbox.desk.diary import When, bring_back, last_entries, pick_tools, take_back
from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.flights import check_now
from toolbox.desk.folder import open_kit
from toolbox.desk.picture import take_picture
from toolbox.desk.plans import rank_tools
from toolbox.desk.preflight import days_left, preflight
from toolbox.desk.trips import Flight, open_flight, stow
from toolbox.desk.weigh_in import compare_reading, weigh_bag
from toolbox.files.goods_rules import shipped_rules
from toolbox.flight.goods import NO_CLASS_WORD
from toolbox.journal.bodies import read_body, write_body
from toolbox.journal.store import read_facts
from toolbox.kit.facts import LineSaid, LineState, LoosePick, StepDone
from toolbox.kit.trips import Weighing
from toolbox.usage.counts import Tally, known_ids

DAY = date(2026, 12, 3)
NIGHT = datetime(2026, 12, 3, 21, 15, tzinfo=timezone(timedelta(hours=1)))
WHEN = When(NIGHT, NIGHT, "Ada")

TRIP = """
name = "One race"

[[person]]
id = "ann"
name = "Ann"

[[bag]]
id = "case"
name = "The case"
answers = "ann"
box = true

[[bag]]
id = "roll"
name = "Roll bag"
answers = "ann"
tare = "500 g"
tare_known = "weighed"
scale_step = "1 g"
length = "500 mm"
width = "300 mm"
height = "300 mm"

[[bag]]
id = "back"
name = "Backpack"
answers = "ann"
carriage = "cabin"
tare = "400 g"
tare_known = "weighed"
scale_step = "1 g"
length = "400 mm"
width = "300 mm"
height = "200 mm"

[[item]]
id = "spray"
name = "Chain spray"
bag = "roll"
mass = "200 g"
mass_known = "weighed"
scale_step = "1 g"

[item.goods]
kind = "aerosol-flammable-2.1"

[[item]]
id = "cells"
name = "Button cells"
bag = "roll"
mass = "3 g"
mass_known = "weighed"
scale_step = "1 g"
count = 4

[item.goods]
kind = "lithium-metal-9"
lithium = "0.1 g"

[[item]]
id = "gas"
name = "Gas cartridges"
bag = "roll"
mass = "60 g"
mass_known = "weighed"
scale_step = "1 g"
count = 5

[item.goods]
kind = "gas-cartridge-2.2"
net = "21 ml"

[[item]]
id = "fluid"
name = "Brake fluid"
bag = "roll"
mass = "120 g"
mass_known = "weighed"
scale_step = "1 g"

[item.goods]
kind = "check-sds"

[[way]]
item = "spray"
other = "buy"
price = "9.50 EUR"

[[allowance]]
id = "two"
name = "Example: two pieces"
concept = "piece"
pieces = 2
mass = "10 kg"
sides = "1580 mm"
cabin = { pieces = 1, mass = "8 kg", length = "560 mm", width = "450 mm", height = "250 mm" }

[[leg]]
id = "out"
name = "There"
allowance = "two"
day = 2026-12-04
screening = ["eu"]

[[scale]]
id = "hook"
name = "Hook scale"
scale_step = "1 g"
"""


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    """The small kit, its box known to the gram, with a trip that has all sorts of goods."""
    folder = write_kit_files(tmp_path / "kit")
    box = folder / "box.toml"
    sure = 'tare = "2 kg"\ntare_known = "weighed"\nscale_step = "1 g"'
    box.write_text(box.read_text("utf-8").replace('tare = "2 kg"', sure), "utf-8")
    (folder / "trips").mkdir()
    (folder / "trips" / "race.toml").write_text(TRIP, "utf-8")
    return folder


def seen(kit: Path, name: str = "race") -> Flight:
    """The trip opened anew, its journal read anew."""
    return open_flight(open_kit(kit), name, DAY)


def listed(kit: Path, name: str = "race") -> Checklist:
    """The list of a trip opened anew."""
    return preflight(seen(kit, name))


def say(kit: Path, *said: LineSaid) -> str:
    """Write what was said as one entry."""
    return write_said(open_kit(kit), said, WHEN)


def changed(kit: Path, old: str, new: str) -> None:
    """The trip file with one text in place of another."""
    path = kit / "trips" / "race.toml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


# ---- which lines there are


def test_the_lines_follow_from_the_check_in_working_order(kit: Path) -> None:
    """By hand: what is asked first, then hands on the bags, then scale, papers and tags."""
    keys = [line.key for line in listed(kit).lines]
    assert keys == [
        "ask:gas",
        "sheet:fluid",
        "out:roll:gas",
        "out:roll:spray",
        "cabin:roll:cells",
        "protect:cells",
        "buy:spray",
        "weigh:case",
        "weigh:roll",
        "sheets",
        "goods-sheet",
        "labels",
    ]


def test_every_line_says_why_and_where_that_is_written(kit: Path) -> None:
    """A rule's own source where one stands behind it, else that it is a habit."""
    lines = {line.key: line for line in listed(kit).lines}
    assert all(line.why and line.source for line in lines.values())
    assert lines["out:roll:spray"].source == "FAA guidance on aerosols"
    assert "at most 4 a person, Ann has 5" in lines["out:roll:gas"].why
    assert "49 CFR 175.10" in lines["ask:gas"].source
    assert lines["protect:cells"].source.startswith("TSA lithium guidance")
    assert lines["protect:cells"].pieces == 4
    assert lines["labels"].source == HABIT
    assert lines["labels"].pieces == 2  # the backpack is empty and stays at home


def test_a_packing_that_was_taken_is_on_the_list_and_keeps_its_ticks(kit: Path) -> None:
    """The spray out of all bags has the line that the rules gave it; cells have a bag now."""
    say(kit, ticked(listed(kit), "out:roll:spray"))
    flight = stow(seen(kit), ["spray"], None)
    stow(flight, ["cells", "cells/2", "cells/3", "cells/4"], "back")
    lines = {line.key: line for line in listed(kit).lines}
    assert lines["out:roll:spray"].done
    assert "aerosol" in lines["out:roll:spray"].source
    assert "cabin:roll:cells" not in lines
    moved = lines["move:roll:cells:back"]
    assert moved.words == "move Button cells (4 pieces) from Roll bag to Backpack"
    assert "TSA" in moved.source
    assert "buy:spray" in lines


def test_a_bag_over_its_limit_is_a_line_with_what_to_take_out(kit: Path) -> None:
    """2217 g against 2200 g: 17 g and twice its uncertainty come out."""
    changed(kit, 'mass = "10 kg"', 'mass = "2200 g"')
    flight = seen(kit)
    line = preflight(flight).line("lighter:case")
    load = check_now(flight).bags[0].governing
    most = 17 + 2 * load.total.u_g
    assert f"lighter by {-int(-most // 1)} g" in line.words
    assert "2.22 kg" in line.why


def test_no_rule_that_is_missing_makes_a_line_go(kit: Path) -> None:
    """Each row of the table taken out, then all: every thing of a class is still spoken of."""
    flight = seen(kit)
    rules = shipped_rules()
    tables = [
        replace(rules, rules=tuple(r for r in rules.rules if r is not x)) for x in rules.rules
    ]
    tables += [replace(rules, rules=(), limits=()), replace(rules, limits=())]
    classed = [c for c in flight.contents if c.thing.goods and c.thing.goods.kind != NO_CLASS_WORD]
    assert len(classed) == 11
    for table in tables:
        lines = preflight(replace(flight, rules=table)).lines
        for copy in classed:
            ways = {line.key.partition(":")[0] for line in lines if _is_about(line.key, copy.id)}
            assert ways & {"ask", "sheet", "out", "cabin"}, copy.id
        told = " ".join(f"{line.words} {line.why}" for line in lines).casefold()
        assert "allowed" not in told
        assert "permitted" not in told


def _is_about(key: str, copy: str) -> bool:
    return copy.partition("/")[0] in key.split(":")


def test_a_tick_settles_nothing_for_the_check(kit: Path) -> None:
    """Everything ticked that can be: the trip fits no better than before."""
    before = check_now(seen(kit))
    first = listed(kit)
    said = [ticked(first, line.key) for line in first.lines if not line.by_itself]
    say(kit, *said)
    after = seen(kit)
    assert check_now(after) == before
    assert not before.fits
    assert {line.key for line in preflight(after).left} == {"weigh:case", "weigh:roll"}


# ---- ticks


def test_ticks_survive_opening_again_and_a_change_of_masses(kit: Path) -> None:
    """State, note, count, author and time are there again though the figures are others."""
    first = listed(kit)
    say(kit, ticked(first, "sheet:fluid"), noted(first, "sheet:fluid", "section 14: none"))
    say(kit, carried_over(first, "ask:gas"))
    say(kit, counted(first, "protect:cells", 3))
    changed(kit, 'mass = "120 g"', 'mass = "95 g"')
    again = listed(kit)
    sheet = again.line("sheet:fluid")
    assert (sheet.state, sheet.note) == (LineState.DONE, "section 14: none")
    assert (sheet.author, sheet.at) == ("Ada", NIGHT)
    assert again.line("ask:gas").state is LineState.CARRIED
    cells = again.line("protect:cells")
    assert (cells.state, cells.counted, cells.pieces) == (LineState.OPEN, 3, 4)
    assert again.line("ask:gas") in again.left
    assert again.next == again.line("out:roll:gas")


def test_undo_gives_back_what_was_there_before(kit: Path) -> None:
    """A tick taken back is open, an untick taken back is done; both stay in the journal."""
    tick = say(kit, ticked(listed(kit), "labels"))
    untick = say(kit, unticked(listed(kit), "labels"))
    assert not listed(kit).line("labels").done
    told = take_back(open_kit(kit), None, WHEN)
    assert told.id == untick
    assert listed(kit).line("labels").done
    take_back(open_kit(kit), tick, WHEN)
    assert listed(kit).line("labels").state is LineState.OPEN
    bring_back(open_kit(kit), tick, WHEN)
    assert listed(kit).line("labels").done
    assert sum(isinstance(f.what, LineSaid) for f in read_facts(kit / "journal.db")) == 2


def test_the_log_says_in_words_what_was_said_of_a_line(kit: Path) -> None:
    """Ticks stand among the last entries under the words that the line had then."""
    first = listed(kit)
    say(kit, ticked(first, "out:roll:spray"), noted(first, "labels", "strap [is] torn"))
    say(kit, counted(first, "protect:cells", 2))
    say(kit, noted(listed(kit), "labels", ""))
    words = [entry.words for entry in last_entries(open_kit(kit), 3)]
    labels = "close 2 bags, strap or lock, a name and a number inside and outside"
    cells = "protect the terminals of Button cells (4 pieces), one by one"
    assert words == [
        f"pre-flight race: {labels} - note taken away",
        f"pre-flight race: {cells} - open, 2 counted",
        "pre-flight race: take Chain spray out of Roll bag - done; "
        f'{labels} - note "strap [is] torn"',
    ]


def test_a_line_no_longer_needed_goes_and_its_ticks_stay(kit: Path) -> None:
    """Without the spray no line; with it again the tick of before counts."""
    say(kit, ticked(listed(kit), "out:roll:spray"))
    spray = TRIP[TRIP.index('[[item]]\nid = "spray"') : TRIP.index('[[item]]\nid = "cells"')]
    way = TRIP[TRIP.index("[[way]]") : TRIP.index("[[allowance]]")]
    (kit / "trips" / "race.toml").write_text(TRIP.replace(spray, "").replace(way, ""), "utf-8")
    shorter = listed(kit)
    assert not any("spray" in line.key for line in shorter.lines)
    with pytest.raises(DeskError, match="no line out:roll:spray any more"):
        ticked(shorter, "out:roll:spray")
    (fact,) = read_facts(kit / "journal.db")
    assert isinstance(fact.what, LineSaid)
    (kit / "trips" / "race.toml").write_text(TRIP, "utf-8")
    assert listed(kit).line("out:roll:spray").done


def test_a_tick_for_four_does_not_stand_for_five(kit: Path) -> None:
    """A fifth cell came in after the tick: its terminals are bare."""
    say(kit, ticked(listed(kit), "protect:cells"))
    assert listed(kit).line("protect:cells").done
    changed(kit, "count = 4", "count = 5")
    line = listed(kit).line("protect:cells")
    assert (line.state, line.counted, line.pieces) == (LineState.OPEN, 4, 5)


def test_a_tick_belongs_to_its_trip(kit: Path) -> None:
    """The same lines for another trip are open."""
    (kit / "trips" / "later.toml").write_text(TRIP.replace("2026-12-04", "2026-12-11"), "utf-8")
    say(kit, ticked(listed(kit), "labels"))
    assert not listed(kit, "later").line("labels").done


def test_a_bag_is_weighed_when_its_reading_is_entered(kit: Path) -> None:
    """No tick does it; a reading of what is in it now does; of what was in it does not."""
    with pytest.raises(DeskError, match="toolbox weigh roll READING"):
        ticked(listed(kit), "weigh:roll")
    say(kit, carried_over(listed(kit), "weigh:roll"))
    assert listed(kit).line("weigh:roll").state is LineState.CARRIED
    flight = seen(kit)
    weigh_bag(flight, flight.bag("roll"), 1132, None)
    line = listed(kit).line("weigh:roll")
    assert line.done
    assert "1132 g on 2026-12-03" in line.why
    with pytest.raises(DeskError):
        unticked(listed(kit), "weigh:roll")
    stow(seen(kit), ["spray"], None)
    line = listed(kit).line("weigh:roll")
    assert not line.done
    assert "have changed since" in line.why
    flight = seen(kit)
    weigh_bag(flight, flight.bag("roll"), 932, None)
    assert listed(kit).line("weigh:roll").done


def test_what_cannot_be_said_is_refused_and_not_written(kit: Path) -> None:
    """Ticking twice, opening what is open, counting more than there is, counting nothing."""
    first = listed(kit)
    say(kit, ticked(first, "labels"), carried_over(first, "ask:gas"))
    again = listed(kit)
    for wrong in (
        lambda: ticked(again, "labels"),
        lambda: carried_over(again, "labels"),
        lambda: carried_over(again, "ask:gas"),
        lambda: unticked(again, "sheet:fluid"),
        lambda: counted(again, "protect:cells", 5),
        lambda: counted(again, "ask:gas", 1),
        lambda: noted(again, "labels", ""),
    ):
        with pytest.raises(DeskError):
            wrong()
    assert len(read_facts(kit / "journal.db")) == 2
    say(kit, unticked(again, "ask:gas"))
    assert listed(kit).line("ask:gas").state is LineState.OPEN


def test_a_line_is_meant_by_number_key_or_letters(kit: Path) -> None:
    """Number 4 is the spray; "spray" is two lines; a key is one whatever else it holds."""
    lines = listed(kit)
    assert line_named(lines, "4").key == "out:roll:spray"
    assert line_named(lines, "safety brake").key == "sheet:fluid"
    assert line_named(lines, "buy:spray").key == "buy:spray"
    with pytest.raises(UnclearName):
        line_named(lines, "spray")
    with pytest.raises(DeskError, match="no line of the pre-flight list"):
        line_named(lines, "99")


# ---- the facts


def everything_said() -> Iterator[LineSaid]:
    """Every way of speaking of a line, but none of saying nothing."""
    ways = itertools.product((None, *LineState), (None, 0, 7), (None, "", 'a "note" [é]\n'))
    for state, number, note in ways:
        if (state, number, note) != (None, None, None):
            yield LineSaid("evening", "2026-12-03", "count:tray", "count", state, number, note)


def test_what_was_said_is_read_back_as_it_was() -> None:
    """Each combination through its text; what says nothing or is no count is stopped."""
    said = list(everything_said())
    assert len(said) == 4 * 3 * 3 - 1
    for one in said:
        kind, body = write_body(one)
        assert body.isascii()
        assert read_body(kind, body) == one
    for wrong in (
        LineSaid("evening", "", "k", "w"),
        LineSaid("", "", "k", "w", LineState.DONE),
        LineSaid("evening", "", "", "w", LineState.DONE),
        LineSaid("evening", "", "k", "w", count=-1),
    ):
        with pytest.raises(ValueError):  # noqa: PT011 - which one is said by the case
            write_body(wrong)
    with pytest.raises(ValueError, match="cannot be read"):
        read_body("line", '{"checklist":"a","about":"","line":"k","words":"","state":"gone"}')


def test_ticks_are_no_work(kit: Path) -> None:
    """Ranking, counts and what was last used are the same with and without ticks."""
    folder = open_kit(kit)
    pick_tools(folder, ["K4"], replace(WHEN, at=NIGHT - timedelta(days=2)))
    before = rank_tools(open_kit(kit), DAY)
    flight = seen(kit)
    guess = compare_reading(flight, Weighing("roll", 900, "hook", DAY))
    say(kit, ticked(listed(kit), "labels"))
    assert rank_tools(open_kit(kit), DAY) == before
    facts = open_kit(kit).live
    known = known_ids((), flight.kit.tools, ())
    work = [f for f in facts if isinstance(f.what, LoosePick | StepDone)]
    assert len(facts) == len(work) + 1
    assert Tally(known).changed(facts) == Tally(known).changed(work)
    assert compare_reading(seen(kit), Weighing("roll", 900, "hook", DAY)) == guess


# ---- readiness


def test_open_lines_are_a_finding_when_the_trip_is_near(kit: Path) -> None:
    """Two days before: told; three days before: not; all done: not."""

    def findings(day: date) -> list[str]:
        found = take_picture(kit, day).findings
        return [f.words for f in found if f.command == "toolbox preflight race"]

    assert findings(date(2026, 12, 1)) == []
    (words,) = findings(date(2026, 12, 2))
    assert words.startswith(
        "One race: 12 lines of the pre-flight list are open 2 days before the flight:"
    )
    first = listed(kit)
    say(kit, *(ticked(first, line.key) for line in first.lines if not line.by_itself))
    (words,) = findings(date(2026, 12, 4))
    assert (
        "2 lines of the pre-flight list are open on the day of the flight: weigh The case" in words
    )
    assert findings(date(2026, 12, 5)) == []
    assert days_left(seen(kit).trip, date(2026, 12, 5)) is None


def test_ticks_change_no_file_but_the_journal(kit: Path) -> None:
    """Every TOML file is byte for byte what it was."""
    before = {p: p.read_bytes() for p in kit.rglob("*.toml")}
    say(kit, ticked(listed(kit), "labels"))
    assert {p: p.read_bytes() for p in kit.rglob("*.toml")} == before
