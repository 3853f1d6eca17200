"""Checklists of the mechanic's own: files, lines mixed in, ticks, bikes, what is carried over."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from clikit import write_kit_files

from toolbox.desk.count import closed, counted, evening, write_count
from toolbox.desk.diary import Done, When, log_job, pick_tools, take_back
from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.folder import KitFolder, open_kit
from toolbox.desk.list_made import leads_to
from toolbox.desk.lists import (
    OpenList,
    Said,
    carry,
    examples,
    initials,
    item_named,
    list_named,
    lists_of,
    note,
    open_list,
    take_example,
    tick,
    untick,
    write_of_lists,
)
from toolbox.desk.picture import take_picture
from toolbox.desk.preflight import preflight
from toolbox.desk.setup import lay_out_demo
from toolbox.desk.trips import open_flight, read_everything
from toolbox.files.problems import KitFaults, WriteRefused
from toolbox.files.templates import example_names
from toolbox.kit.checklists import Occasion
from toolbox.kit.facts import LineState
from toolbox.kit.stocking import Refilled, Where

DAY = date(2026, 11, 20)
AT = datetime(2026, 11, 20, 21, 15, tzinfo=UTC)
WHEN = When(AT, AT, "Tess Wood")
TOOL = """
[[tool]]
id = "TW"
name = "Torque wrench"
mass = "400 g"
length = "200 mm"
width = "40 mm"
height = "30 mm"
[tool.instrument]
last_check = 2026-02-28
accuracy = "II A"
lowest = "2 N·m"
highest = "10 N·m"
"""
SUPPLY = """
[[supply]]
id = "OIL"
name = "Chain lube"
measure = "ml"
carried = true
mass = "120 g"
length = "48 mm"
width = "48 mm"
height = "108 mm"
stock = "100 ml"
reserve = "80 ml"
par = "90 ml"
"""
EVENING = """
title = "Evening"
when = "evening"
[[line]]
id = "count"
words = "Count in"
[[line]]
made = "instruments"
[[line]]
words = "Lock the box"
why = "it went once"
"""
MORNING = """
title = "Race morning"
when = "race morning"
bikes = ["A1", "A2"]
[[line]]
id = "stem"
words = "Stem bolts"
torque = "5 N·m"
tool = "TW"
bike = true
[[line]]
id = "tyres"
words = "Tyres to the sheet"
bike = true
[[line]]
id = "tent"
words = "Tent pegged"
"""


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    """The small kit with a torque wrench and two lists."""
    folder = write_kit_files(tmp_path / "kit")
    tools = folder / "tools.toml"
    tools.write_text(tools.read_text(encoding="utf-8") + TOOL, encoding="utf-8")
    (folder / "lists").mkdir()
    (folder / "lists" / "evening.toml").write_text(EVENING, encoding="utf-8")
    (folder / "lists" / "race-morning.toml").write_text(MORNING, encoding="utf-8")
    return folder


def opened(kit: Path, name: str, on: date = DAY, **how: object) -> OpenList:
    """A list as it stands now."""
    folder = open_kit(kit)
    return open_list(folder, list_named(folder, name), on, **how)  # type: ignore[arg-type]


def write(kit: Path, *said: Said) -> str:
    """Write what was said of lines."""
    return write_of_lists(open_kit(kit), said, WHEN)


def keys(listed: OpenList) -> list[str]:
    """The keys of all lines in order."""
    return [item.key for item in listed.items]


def test_lines_of_bikes_go_bike_by_bike_and_ticks_are_each_of_their_own(kit: Path) -> None:
    """Torque and tool beside the bolt; a tick bears who and when; undo opens it again."""
    listed = opened(kit, "race")
    assert keys(listed) == ["stem@A1", "tyres@A1", "stem@A2", "tyres@A2", "tent"]
    bolt = listed.items[0].bolt
    assert bolt is not None
    assert (bolt.torque_mnm, bolt.name, bolt.out) == (5000, "Torque wrench", "")
    entry = write(kit, tick(listed, "stem@A2"))
    after = opened(kit, "race")
    assert [item.key for item in after.items if item.line.done] == ["stem@A2"]
    line = after.item("stem@A2").line
    assert (initials(line.author), line.at) == ("TW", AT)
    with pytest.raises(DeskError, match="done already"):
        tick(after, "stem@A2")
    write(kit, untick(after, "stem@A2"))
    assert not opened(kit, "race").item("stem@A2").line.done
    take_back(open_kit(kit), entry, WHEN)
    assert not any(item.line.done for item in opened(kit, "race").items)


MADE = """
title = "Last things"
[[line]]
made = "count"
[[line]]
made = "restock"
[[line]]
id = "lock"
words = "Lock the box"
"""


def test_what_is_not_counted_and_the_close_are_lines_that_no_tick_makes_done(kit: Path) -> None:
    """A line goes when its place is counted; the close is done when the day is closed."""
    (kit / "lists" / "last.toml").write_text(MADE, encoding="utf-8")
    places = ["count::tray", "count::well", "count::"]  # the wrench has no place
    assert keys(opened(kit, "last")) == [*places, "count:close", "lock"]
    with pytest.raises(DeskError, match="is not ticked: count it in Evening"):
        tick(opened(kit, "last"), "count::tray")
    for place in ("tray", "well", ""):
        write_count(open_kit(kit), counted(evening(open_kit(kit), DAY), [place], ()), WHEN)
    after = opened(kit, "last")
    assert keys(after) == ["count:close", "lock"]
    assert not after.item("count:close").line.done
    write_count(open_kit(kit), [closed(evening(open_kit(kit), DAY), "")], WHEN)
    line = opened(kit, "last").item("count:close").line
    assert (line.done, line.author) == (True, "Tess Wood")
    # the next day has a count of its own
    assert len(opened(kit, "last", date(2026, 11, 21)).items) == 5


def test_a_refill_that_is_ticked_is_written_as_one(kit: Path) -> None:
    """20 ml in the box and 80 ml in the van where 90 ml should be: all by hand."""
    (kit / "lists" / "last.toml").write_text(MADE, encoding="utf-8")
    (kit / "supplies.toml").write_text(SUPPLY, encoding="utf-8")
    opened_list = opened(kit, "last")
    (refill,) = [item for item in opened_list.items if item.key.startswith("restock:")]
    assert (refill.line.words, refill.ticked_here) == ("refill 70 ml of Chain lube", True)
    write(kit, tick(opened_list, refill.key))
    said = [fact.what for fact in open_kit(kit).live]
    assert said == [Refilled("OIL", 70, Where.BOX)]
    with pytest.raises(DeskError, match="no line"):
        tick(opened(kit, "last"), refill.key)
    assert leads_to(refill.key) == ("restock", "OIL")
    assert leads_to("count::well") == ("count", "well")
    assert leads_to("due:TW") == ("instruments", "TW")
    assert leads_to("lock") is None


def test_a_second_run_of_the_day_begins_anew(kit: Path) -> None:
    """What was ticked in the first run is open in the second, and not left behind either."""
    write(kit, tick(opened(kit, "race"), "tent"))
    again = opened(kit, "race", run=2)
    assert not again.item("tent").line.done
    assert again.item("tent").since == ""
    assert again.item("tyres@A1").since == ""  # nothing of this bike was said in the first run
    assert again.about == "2026-11-20, run 2"


def test_bikes_are_those_named_worked_on_or_asked_for(kit: Path) -> None:
    """By the list, else by the log of the last week, and whatever is asked for."""
    assert "stem@B7" in keys(opened(kit, "race", bikes=("B7",)))
    path = kit / "lists" / "race-morning.toml"
    path.write_text(MORNING.replace('bikes = ["A1", "A2"]\n', ""), encoding="utf-8")
    assert keys(opened(kit, "race")) == ["stem", "tyres", "tent"]
    old = When(datetime(2026, 11, 13, 9, tzinfo=UTC), AT, "Ro")
    log_job(open_kit(kit), Done("Broken chain", bike="C3"), WHEN)
    log_job(open_kit(kit), Done("Broken chain", bike="C1"), old)
    assert keys(opened(kit, "race")) == ["stem@C3", "tyres@C3", "tent"]


def test_what_was_not_ticked_is_there_again_and_says_since_when(kit: Path) -> None:
    """Unticked lines of a list that was begun carry over; carried ones even without their bike."""
    listed = opened(kit, "race")
    write(kit, tick(listed, "stem@A1"))
    write(kit, carry(opened(kit, "race", bikes=("B7",)), "tyres@B7"))
    write(kit, note(opened(kit, "race", bikes=("B7",)), "tyres@B7", "valve leaks"))
    next_day = opened(kit, "race", date(2026, 11, 21))
    since = {item.key: item.since for item in next_day.items}
    assert since == {
        "stem@A1": "",
        "tyres@A1": "2026-11-20",
        "stem@A2": "",
        "tyres@A2": "",
        "tent": "2026-11-20",
        "tyres@B7": "2026-11-20",
    }
    assert next_day.item("tyres@B7").line.note == "valve leaks"
    assert not next_day.item("stem@A1").line.done
    write(kit, tick(next_day, "tyres@B7"))
    third = opened(kit, "race", date(2026, 11, 22))
    assert "tyres@B7" not in keys(third)
    assert opened(kit, "race").item("tyres@B7").line.state is LineState.CARRIED  # its own day


def test_torque_tools_are_wound_down_by_a_tick_and_checks_by_a_check(kit: Path) -> None:
    """The program's lines come and go with what happened; a tick writes what was done."""
    assert keys(opened(kit, "evening"))[0] == "count"
    assert len(opened(kit, "evening").items) == 2
    pick_tools(open_kit(kit), ["TW"], WHEN)
    assert "wind:TW" in keys(opened(kit, "evening"))
    entry = write(kit, tick(opened(kit, "evening"), "wind:TW"))
    item = opened(kit, "evening").item("wind:TW")
    assert (item.line.done, item.line.author, item.ticked_here) == (True, "Tess Wood", True)
    with pytest.raises(DeskError, match="undo"):
        untick(opened(kit, "evening"), "wind:TW")
    take_back(open_kit(kit), entry, WHEN)
    assert not opened(kit, "evening").item("wind:TW").line.done
    late = opened(kit, "evening", date(2027, 3, 1))
    due = late.item("due:TW")
    assert "check was due 2027-02-28" in due.line.why
    with pytest.raises(DeskError, match="toolbox test TW"):
        tick(late, "due:TW")
    bolt = opened(kit, "race", date(2027, 3, 1)).item("stem@A1").bolt
    assert bolt is not None
    assert "check was due" in bolt.out


def test_lines_of_the_flight_are_ticked_in_the_list_of_the_trip(tmp_path: Path) -> None:
    """A tick here is a tick there: the demo's trip, on the day before its first leg."""
    folder = lay_out_demo(tmp_path / "demo")
    day = date(2026, 12, 3)  # the first leg is flown on 4 December
    listed = open_list(folder, list_named(folder, "evening"), day)
    flying = [i for i in listed.items if i.key.startswith("flight:") and i.ticked_here]
    item = next(i for i in flying if i.line.pieces is None)
    write_of_lists(folder, [tick(listed, item.key)], WHEN)
    after = preflight(open_flight(open_kit(folder.path), item.home.about, day))
    assert after.line(item.line.key).done
    assert not any(i.key.startswith("flight:") for i in open_list(
        folder, list_named(folder, "evening"), DAY).items)  # fmt: skip


def test_names_of_lists_and_lines(kit: Path) -> None:
    """By file name, letters of the title, number, key, letters of the words."""
    folder = open_kit(kit)
    assert [t.when for t in lists_of(folder)] == [Occasion.EVENING, Occasion.RACE_MORNING]
    assert list_named(folder, "morn").name == "race-morning"
    listed = opened(kit, "race")
    assert item_named(listed, "5").key == "tent"
    assert item_named(listed, "A2: stem").key == "stem@A2"
    with pytest.raises(UnclearName):
        item_named(listed, "stem")
    assert [initials(who) for who in ("mika", "Tess Wood", "a b c d")] == ["MI", "TW", "ABC"]


def test_examples_can_be_read_copied_and_say_where_they_are_from(kit: Path) -> None:
    """One for each occasion but the own ones; nothing there is written over."""
    folder = open_kit(kit)
    shipped = examples(folder)
    assert {t.when for t in shipped} == set(Occasion) - {Occasion.OWN}
    assert [t.name for t in shipped] == list(example_names())
    path = take_example(folder, "arrival")
    assert "Common practice, no source" in path.read_text(encoding="utf-8")
    assert list_named(folder, "arrival").lines
    with pytest.raises(WriteRefused, match="there already"):
        take_example(folder, "evening")
    assert path.parent.joinpath("evening.toml").read_text(encoding="utf-8") == EVENING
    with pytest.raises(KitFaults, match="no example"):
        take_example(folder, "arival")


FAULTY = """
title = "Bad"
when = "noon"
[[line]]
[[line]]
words = "both"
made = "flight"
[[line]]
made = "instruments"
torque = "5 N·m"
[[line]]
words = "Stem"
tool = "TX"
[[line]]
words = "Hub"
tool = "TW"
torque = "40 N·m"
[[line]]
words = "Hub"
colour = "red"
[[line]]
id = "a"
words = "one"
[[line]]
id = "a"
words = "two"
torque = "5 kg"
"""


def test_every_fault_of_a_list_file_is_told_by_check_at_once(kit: Path) -> None:
    """In our words, with file and line entry; readiness tells them too, and other lists go on."""
    (kit / "lists" / "bad.toml").write_text(FAULTY, encoding="utf-8")
    with pytest.raises(KitFaults) as caught:
        read_everything(kit)
    told = [fault.sentence() for fault in caught.value.faults]
    wanted = ["noon", "says nothing", "words and made", "torque beside made", '"TX"',
              "from 2 N·m to 10 N·m", "the same as", "colour", "already taken", "5 kg"]  # fmt: skip
    assert all("lists/bad.toml" in sentence for sentence in told)
    for words in wanted:
        assert sum(words in sentence for sentence in told) == 1, (words, told)
    assert len(told) == len(wanted)
    found = [f.words for f in take_picture(kit, DAY).findings]
    assert set(told) <= set(found)
    assert keys(opened(kit, "race-morning"))


def test_a_list_begun_and_not_finished_is_told_by_readiness(kit: Path) -> None:
    """A note that names what is left, gone when all is done; an untouched list says nothing."""

    def notes() -> list[str]:
        return [f.words for f in take_picture(kit, DAY).findings if f.words.startswith("Evening")]

    assert notes() == []
    write(kit, tick(opened(kit, "evening"), "count"))
    assert notes() == ["Evening: 1 line left: Lock the box"]
    last = opened(kit, "evening").items[-1].key
    write(kit, tick(opened(kit, "evening"), last))
    assert notes() == []


def test_the_demo_has_an_evening_and_a_race_morning_of_its_own(tmp_path: Path) -> None:
    """Both open; the torque wrenches that are out show beside the bolts they are for."""
    folder: KitFolder = lay_out_demo(tmp_path / "demo")
    assert [t.name for t in lists_of(folder)] == ["evening", "race-morning"]
    morning = open_list(folder, list_named(folder, "race-morning"), DAY)
    out = [i for i in morning.items if i.bolt is not None and i.bolt.out]
    assert {i.bolt.tool for i in out if i.bolt} == {"T-023"}
    assert {i.bike for i in out} == {"A1", "A2", "B1", "B2"}
    assert "wind:T-024" in keys(open_list(folder, list_named(folder, "evening"), DAY))
