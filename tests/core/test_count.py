"""Counting in, settling, closing, bikes held, loans and losses, on a kit known by heart.

That a short count stops what follows until somebody decides, that every change is kept and
that the missing thing is shown with its size, last job and who: after an investigation by the
Australian Transport Safety Bureau into a tool left in an engine for 34 flights. Counting the
parts of sets, the day's close and the lend ledger: common practice, no source. The expected
values are counted by hand.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from smallkit import small_kit, tool

from toolbox.desk.count import (
    NO_PLACE,
    Evening,
    closed,
    counted,
    evening,
    evening_of,
    walking_order,
    write_count,
)
from toolbox.desk.count_bikes import held_bikes, work_in
from toolbox.desk.count_losses import loans, losses, overdue, to_double
from toolbox.desk.count_missing import look_lines, missing_sheets, use_words
from toolbox.desk.count_settle import Typed, parted, released, settled, shorts_named
from toolbox.desk.diary import Done, When, bring_back, log_job, pick_tools, take_back
from toolbox.desk.errors import DeskError, UnclearName, UnknownName
from toolbox.desk.folder import KitFolder
from toolbox.desk.plans import rank_tools
from toolbox.desk.plans import study as study_of
from toolbox.desk.ready_count import count_findings
from toolbox.desk.ready_sight import Finding, Seriousness, Sight
from toolbox.kit.counting import Counted, Outcome, Short
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Mark, Part

DAY = date(2026, 11, 20)
NEXT = date(2026, 11, 21)
AT = datetime(2026, 11, 20, 21, 0, tzinfo=UTC)


def kit_with_set() -> Kit:
    """Tray: two hex keys. Well: two tyre levers, a set of 28 bits with a holder, all placed."""
    kit = small_kit()
    bits = replace(
        tool("bits", "Bit set"),
        parts=(Part("bit", 28), Part("holder", 1)),
        look="red pouch",
        owner_mark="two blue bands",
    )
    key4 = replace(kit.tools[0], substitutes=("key5",), marks=frozenset({Mark.URGENT}))
    places = {"key4": "tray", "key5": "tray", "lever": "well", "lever/2": "well", "bits": "well"}
    spots = tuple(Spot(item, place) for item, place in places.items())
    tools = (key4, *kit.tools[1:], bits)
    return replace(kit, tools=tools, present=Layout("present", spots))


@pytest.fixture
def folder(tmp_path: Path) -> KitFolder:
    """The kit with an empty journal."""
    return KitFolder(tmp_path, kit_with_set())


def when(minutes: int = 0, by: str = "Mika") -> When:
    """So many minutes after nine in the evening."""
    at = AT + timedelta(minutes=minutes)
    return When(at, at, by)


def again(folder: KitFolder, day: date = DAY) -> tuple[KitFolder, Evening]:
    """The folder opened anew, as after a restart, and the evening in it."""
    after = KitFolder(folder.path, folder.kit)
    return after, evening(after, day)


def count_in(
    folder: KitFolder, place: str, *short: str, minutes: int = 0, day: date = DAY, by: str = "Mika"
) -> str:
    """Count a place with these things short; the entry."""
    after, seen = again(folder, day)
    copies = [thing.copy for thing in seen.place(place).things]
    named = shorts_named(folder.kit, seen.book, short, copies)
    return write_count(after, counted(seen, [place], named), when(minutes, by))


def say(folder: KitFolder, thing: str, outcome: Outcome, minutes: int = 5, **more: object) -> str:
    """Say what became of a thing; the entry."""
    after, seen = again(folder)
    at = when(minutes)
    what = settled(folder.kit, seen.book, thing, outcome, at.at.date(), **more)  # type: ignore[arg-type]
    return write_count(after, [what], at)


def close(folder: KitFolder, reason: str = "", minutes: int = 10, day: date = DAY) -> str:
    """Close the day; the entry."""
    after, seen = again(folder, day)
    return write_count(after, [closed(seen, reason)], when(minutes))


def found(folder: KitFolder, today: date = DAY) -> list[Finding]:
    """What readiness says of the count."""
    after, _ = again(folder)
    return list(count_findings(Sight(after, today, study_of(after, today), None)))


def test_places_come_in_walking_order_with_what_should_be_there(folder: KitFolder) -> None:
    """Tray before the well, which lies behind the lid; 2 keys; 2 levers and 28 + 1 pieces."""
    _, seen = again(folder)
    assert [place.id for place in seen.places] == ["tray", "well"]
    assert [place.pieces for place in seen.places] == [2, 31]
    assert seen.next is not None
    assert seen.next.id == "tray"
    upside_down = replace(folder.kit.box, compartments=tuple(reversed(folder.kit.box.compartments)))
    order = walking_order(replace(folder.kit, box=upside_down))
    assert [one.id for one in order] == ["tray", "well"]


def test_a_day_is_complete_when_every_place_was_counted(folder: KitFolder) -> None:
    """Refused with one place left, taken with both, and only once."""
    count_in(folder, "tray")
    with pytest.raises(DeskError, match="1 place not counted: well"):
        close(folder)
    count_in(folder, "well")
    close(folder)
    _, seen = again(folder)
    assert seen.complete
    with pytest.raises(DeskError, match="closed as complete"):
        close(folder)


def test_what_travels_without_a_place_must_be_counted_too(folder: KitFolder) -> None:
    """A tool nobody placed keeps the day open until it is counted where it has no place."""
    torch = replace(folder.kit, tools=(*folder.kit.tools, tool("torch", "Torch")))
    folder = KitFolder(folder.path, torch)
    count_in(folder, "tray")
    count_in(folder, "well")
    with pytest.raises(DeskError, match="what has no place"):
        close(folder)
    count_in(folder, NO_PLACE, "torch")
    _, seen = again(folder)
    assert [missing.copy for missing in seen.short] == ["torch"]


def test_28_bits_counted_27_is_short_by_one_and_names_the_set(folder: KitFolder) -> None:
    """The check of needs and traps in the reference data: a set is more than its case."""
    count_in(folder, "tray")
    count_in(folder, "well", "bit set:bit")
    _, seen = again(folder)
    (short,) = seen.short
    assert (short.copy, short.part, short.number) == ("bits", "bit", 1)
    assert seen.place("well").pieces == 30
    assert "Bit set: 1 of the part bit" in seen.hindrances[0]
    with pytest.raises(DeskError, match="Bit set: 1 of the part bit is short since 2026-11-20"):
        close(folder)


def test_a_second_count_of_all_there_settles_nothing(folder: KitFolder) -> None:
    """Neither on the same day nor on the next: only the outcome found does."""
    count_in(folder, "tray", "hex key 4")
    count_in(folder, "well")
    count_in(folder, "tray", minutes=2)
    for day in (DAY, NEXT):
        count_in(folder, "tray", minutes=3, day=day)
        count_in(folder, "well", minutes=3, day=day)
        _, seen = again(folder, day)
        assert [missing.copy for missing in seen.short] == ["key4"]
        with pytest.raises(DeskError, match="Hex key 4 mm is short"):
            close(folder, day=day)
    say(folder, "hex key 4", Outcome.FOUND, where="the van")
    close(folder, day=NEXT)
    assert again(folder, NEXT)[1].complete


def test_counting_the_same_short_thing_again_makes_it_no_more(folder: KitFolder) -> None:
    """Two people who each miss the same two bits miss two; a third one missing makes three."""
    count_in(folder, "well", "bits:bit:2", by="Mika")
    count_in(folder, "well", "bits:bit:2", by="Ann")
    assert again(folder)[1].short[0].number == 2
    count_in(folder, "well", "bits:bit:3")
    assert again(folder)[1].short[0].number == 3
    say(folder, "bits:bit:2", Outcome.LOST)
    count_in(folder, "well", "bits:bit")
    _, seen = again(folder)
    assert [(m.number, m.outcome is None) for m in (*seen.short, *seen.away)] == [
        (1, True),
        (2, False),
    ]


def test_of_two_copies_each_stays_itself(folder: KitFolder) -> None:
    """Two tools of one name stay two; the second is named by its number or by being next."""
    count_in(folder, "well", "lever", "lever")
    assert [m.copy for m in again(folder)[1].short] == ["lever", "lever/2"]
    say(folder, "lever/2", Outcome.FOUND)
    assert [m.copy for m in again(folder)[1].short] == ["lever"]
    count_in(folder, "well", "lever", minutes=20)
    assert [m.copy for m in again(folder)[1].short] == ["lever"]


def test_what_is_lent_is_listed_and_not_missing(folder: KitFolder) -> None:
    """The check of the reference data: a lent tool is listed at the count, and no shortage."""
    say(folder, "hex key 5", Outcome.LENT, where="the neighbours", until=NEXT)
    count_in(folder, "tray")
    count_in(folder, "well")
    _, seen = again(folder)
    assert seen.place("tray").pieces == 1
    assert [m.copy for m in seen.place("tray").away] == ["key5"]
    assert not seen.short
    with pytest.raises(DeskError, match="0 should be there"):
        count_in(folder, "tray", "hex key 5")
    close(folder)
    assert again(folder)[1].complete


@pytest.mark.parametrize("outcome", [Outcome.LOST, Outcome.LEFT])
def test_what_is_lost_or_left_keeps_the_day_open_until_it_is_listed_no_more(
    folder: KitFolder, outcome: Outcome
) -> None:
    """Explained, and still not complete without a reason; a tool that stays away is no matter."""
    count_in(folder, "tray", "hex key 4")
    count_in(folder, "well")
    say(folder, "hex key 4", outcome, where="the hotel")
    with pytest.raises(DeskError, match=outcome.value):
        close(folder)
    close(folder, "we fly at six")
    _, seen = again(folder)
    assert seen.closing is not None
    assert not seen.complete
    assert seen.closing.said.reason == "we fly at six"
    home = tuple(replace(t, carried=t.id != "key4") for t in folder.kit.tools)
    folder = KitFolder(folder.path, replace(folder.kit, tools=home))
    close(folder)
    assert again(folder)[1].complete


def test_a_thing_nobody_explained_stays_in_the_way_off_the_list_too(folder: KitFolder) -> None:
    """Taking it off the list is no outcome."""
    count_in(folder, "tray", "hex key 4")
    count_in(folder, "well")
    gone = tuple(t for t in folder.kit.tools if t.id != "key4")
    folder = KitFolder(folder.path, replace(folder.kit, tools=gone))
    with pytest.raises(DeskError, match="key4 is short"):
        close(folder)


def test_a_broken_thing_is_accounted_for(folder: KitFolder) -> None:
    """It is there, in pieces: the day can be complete; readiness wants it replaced."""
    count_in(folder, "tray", "hex key 4")
    count_in(folder, "well")
    say(folder, "hex key 4", Outcome.BROKEN)
    close(folder)
    assert again(folder)[1].complete
    assert ["broken" in f.words for f in found(folder)] == [True]


def test_closing_before_something_was_found_short_is_not_complete(folder: KitFolder) -> None:
    """The close stays on record and says what speaks against it."""
    count_in(folder, "tray")
    count_in(folder, "well")
    close(folder)
    count_in(folder, "tray", "hex key 4", minutes=20)
    _, seen = again(folder)
    assert seen.closing is not None
    assert seen.closing.said.complete
    assert seen.closing.against == "something was found short afterwards"
    assert not seen.complete


def test_undo_takes_every_step_back_and_brings_it_again(folder: KitFolder) -> None:
    """A count, an outcome and a close are entries of the log like any other."""
    tray = count_in(folder, "tray", "hex key 4")
    count_in(folder, "well")
    said = say(folder, "hex key 4", Outcome.FOUND)
    close(folder)
    take_back(again(folder)[0], said, when(20))
    _, seen = again(folder)
    assert [missing.copy for missing in seen.short] == ["key4"]
    assert seen.closing is not None
    assert not seen.closing.complete
    bring_back(again(folder)[0], said, when(21))
    assert again(folder)[1].complete
    take_back(again(folder)[0], tray, when(22))
    _, seen = again(folder)
    assert [place.id for place in seen.left] == ["tray"]
    assert seen.closing is not None
    assert seen.closing.against == "a count of it was taken back afterwards"


def test_two_people_count_at_once_and_a_broken_off_count_goes_on(folder: KitFolder) -> None:
    """Each writes its own facts from what it saw; what was written is there after a restart."""
    first, second = again(folder), again(folder)
    write_count(first[0], counted(first[1], ["tray"], ()), when(0, "Mika"))
    write_count(second[0], counted(second[1], ["well"], [Short("lever")]), when(0, "Ann"))
    _, seen = again(folder)
    assert not seen.left
    by = {place.id: place.counted.author for place in seen.places if place.counted}
    assert by == {"tray": "Mika", "well": "Ann"}
    assert [missing.copy for missing in seen.short] == ["lever"]


def test_what_cannot_be_is_refused_and_nothing_is_written(folder: KitFolder) -> None:
    """Wrong places, too many, outcomes half told, found what is not out, no such part."""
    _, seen = again(folder)
    with pytest.raises(DeskError, match="belongs elsewhere: tray"):
        count_in(folder, "well", "hex key 4")
    with pytest.raises(DeskError, match="28 should be there, 29 cannot be short"):
        count_in(folder, "well", "bits:bit:29")
    with pytest.raises(DeskError, match="1 should be there, 2 cannot be short"):
        counted(seen, ["tray"], [Short("key4"), Short("key4")])
    with pytest.raises(DeskError, match="it is not out"):
        say(folder, "hex key 4", Outcome.FOUND)
    with pytest.raises(DeskError, match="say to whom it is lent; say until when"):
        say(folder, "hex key 4", Outcome.LENT)
    with pytest.raises(DeskError, match="say where it was left"):
        say(folder, "hex key 4", Outcome.LEFT)
    with pytest.raises(DeskError, match="2026-11-19 is past"):
        say(folder, "hex key 4", Outcome.LENT, where="Ann", until=date(2026, 11, 19))
    with pytest.raises(DeskError, match="only what is lent"):
        say(folder, "hex key 4", Outcome.LOST, until=NEXT)
    with pytest.raises(DeskError, match="not so many"):
        say(folder, "bits:bit:29", Outcome.LOST)
    with pytest.raises(DeskError, match="has no parts"):
        say(folder, "hex key 4:bit", Outcome.LOST)
    with pytest.raises(UnknownName, match="part of Bit set"):
        say(folder, "bits:socket", Outcome.LOST)
    with pytest.raises(UnclearName):
        say(folder, "hex", Outcome.LOST)
    with pytest.raises(DeskError, match="no number 3"):
        say(folder, "lever/3", Outcome.LOST)
    with pytest.raises(DeskError, match="no tool to count"):
        seen.place("lid")
    assert again(folder)[0].facts == ()


@pytest.mark.parametrize(
    "text", ["", ":bit", "bits::2", "bits:", "bits:2", "bits:bit:0", "bits:bit:1000"]
)
def test_what_is_no_thing_is_refused(text: str) -> None:
    """The words say how it is written."""
    with pytest.raises(DeskError, match="THING:PART:N"):
        parted(text)


def test_things_are_read_with_copy_part_and_number() -> None:
    """A slash with a number behind it is a copy; one inside a name is not."""
    assert parted("lever/2") == Typed("lever", 2, "", 1)
    typed = parted("bit set : hex 3 : 2")
    assert (typed.letters, typed.copy, typed.part, typed.number) == ("bit set", None, "hex 3", 2)
    assert parted("hub/axle key").letters == "hub/axle key"


def test_after_midnight_it_is_still_the_evening_before() -> None:
    """Until four in the morning: common practice, no source."""
    assert evening_of(datetime(2026, 11, 21, 3, 59, tzinfo=UTC)) == DAY
    assert evening_of(datetime(2026, 11, 21, 4, 0, tzinfo=UTC)) == NEXT


def log_two_bikes(folder: KitFolder) -> None:
    """Key 4 on bikes A and B in the afternoon, the lever on C."""
    for minutes, bike in ((-300, "A"), (-200, "B")):
        log_job(again(folder)[0], Done("bleed", (1,), bike=bike), when(minutes, "Jo"))
    pick_tools(again(folder)[0], ["lever"], when(-100), bike="C")


def test_a_missing_thing_is_shown_with_all_that_helps_to_find_it(folder: KitFolder) -> None:
    """Size, mass, look, mark, last job, step, bike, time, who; other copies; stand-ins."""
    log_two_bikes(folder)
    count_in(folder, "tray", "hex key 4")
    count_in(folder, "well", "lever", "bits:holder")
    after, seen = again(folder)
    sheets = {sheet.missing.copy: sheet for sheet in missing_sheets(after, seen.book)}
    key, lever, bits = sheets["key4"], sheets["lever"], sheets["bits"]
    lines = dict(look_lines(key))
    assert lines["size"] == "100 mm x 30 mm x 10 mm"
    assert (lines["mass"], lines["place"]) == ("100 g", "in tray")
    assert dict(look_lines(bits))["owner's mark"] == "two blue bands"
    assert dict(look_lines(bits))["looks like"] == "red pouch"
    used = use_words(folder.kit, key.last)
    assert used == "Brake bleed, step 1 (open), bike B, 2026-11-20 17:40, by Jo"
    assert [could.bike for could in key.bikes] == ["B", "A"]
    assert key.others == ("Hex key 5 mm: in tray",)
    assert lever.others == ("Tyre lever, no. 2: open the lid, in well",)
    assert [could.bike for could in lever.bikes] == ["C"]
    # No use of it was logged: any bike that was worked on could hold it.
    assert sorted(could.bike for could in bits.bikes) == ["A", "B", "C"]
    assert "found short in the count of 2026-11-20" in key.record[0]


def test_bikes_since_the_last_complete_count_only(folder: KitFolder) -> None:
    """What was there at a complete count is not in a bike that was not worked on since."""
    log_two_bikes(folder)
    for day, minutes in ((DAY, 0), (NEXT, 24 * 60)):
        short = ("hex key 4",) if day == NEXT else ()
        count_in(folder, "tray", *short, minutes=minutes, day=day)
        count_in(folder, "well", minutes=minutes, day=day)
        if day == DAY:
            close(folder, minutes=minutes + 1)
            log_job(again(folder)[0], Done("bleed", (2,), bike="D"), when(600))
    after, seen = again(folder, NEXT)
    assert [one.bike for one in held_bikes(work_in(after.live), seen.book)] == ["D"]
    # Logged after the count of the same evening, as work often is.
    log_job(after, Done("bleed", (2,), bike="E"), when(24 * 60 + 30))
    after, seen = again(folder, NEXT)
    assert [one.bike for one in held_bikes(work_in(after.live), seen.book)] == ["E", "D"]


def test_a_bike_is_held_until_a_decision_with_a_reason(folder: KitFolder) -> None:
    """By name, time and reason; what is short after it holds the bike again."""
    log_two_bikes(folder)
    count_in(folder, "tray", "hex key 4")
    after, seen = again(folder)
    held = held_bikes(work_in(after.live), seen.book)
    with pytest.raises(DeskError, match="without a reason"):
        released(held, "b", "")
    with pytest.raises(UnknownName):
        released(held, "C", "looked through")
    write_count(after, [released(held, "b", "stripped and looked through")], when(5, "Ann"))
    after, seen = again(folder)
    (sheet,) = missing_sheets(after, seen.book)
    decided = {could.bike: could.released for could in sheet.bikes}
    assert decided["A"] is None
    assert decided["B"] is not None
    assert decided["B"].author == "Ann"
    # Lost is not found: the other bike stays held.
    say(folder, "hex key 4", Outcome.LOST, minutes=6)
    after, seen = again(folder)
    open_bikes = [
        one.bike for one in held_bikes(work_in(after.live), seen.book) if not one.released
    ]
    assert open_bikes == ["A"]
    say(folder, "hex key 4", Outcome.FOUND, minutes=7)
    assert held_bikes(work_in(again(folder)[0].live), again(folder)[1].book) == ()
    count_in(folder, "tray", "hex key 4", minutes=8)
    after, seen = again(folder)
    assert {one.bike for one in held_bikes(work_in(after.live), seen.book) if not one.released} == {
        "A",
        "B",
    }


def test_the_lend_ledger_keeps_what_came_back(folder: KitFolder) -> None:
    """To whom, since, until, back; overdue from the day after; what is out stands first."""
    say(folder, "hex key 4", Outcome.LENT, where="Ann", until=DAY)
    say(folder, "lever", Outcome.LENT, where="Jo", until=NEXT)
    say(folder, "hex key 4", Outcome.FOUND, minutes=30)
    _, seen = again(folder)
    ledger = loans(seen.book)
    assert [(loan.copy, loan.what.where, loan.ended_words()) for loan in ledger] == [
        ("lever", "Jo", ""),
        ("key4", "Ann", "back 2026-11-20"),
    ]
    assert not overdue(ledger[0], NEXT)
    assert overdue(ledger[0], NEXT + timedelta(days=1))
    assert not overdue(ledger[1], NEXT + timedelta(days=1))


def test_the_tool_to_double_has_the_highest_losses_times_urgency(folder: KitFolder) -> None:
    """Two losses of a tool never used urgently stand beside one of a tool always used so."""
    folder = KitFolder(folder.path, folder.kit)
    for minutes in range(0, 60, 10):
        pick_tools(again(folder)[0], ["lever"], when(minutes), urgent=True)
    say(folder, "lever", Outcome.LOST, minutes=61)
    for minutes in (62, 64):
        say(folder, "key5", Outcome.LOST, minutes=minutes)
        say(folder, "key5", Outcome.FOUND, minutes=minutes + 1)
    _, seen = again(folder)
    assert [loss.copy for loss in losses(seen.book)] == ["key5", "key5", "lever"]
    usage = rank_tools(again(folder)[0], DAY)
    doubles = to_double(folder.kit, usage, seen.book)
    share = {use.item: use.urgent_share for use in usage.tools}
    assert {d.tool: d.losses for d in doubles} == {"lever": 1, "key5": 2}
    for double in doubles:
        worth = {"lever": 1, "key5": 2}[double.tool] * (1 + 4 * share[double.tool])
        assert double.worth == pytest.approx(worth)
    assert [d.tool for d in doubles] == ["lever", "key5"]


def words(listed: list[Finding]) -> list[tuple[Seriousness, str]]:
    """Findings as seriousness and words."""
    return [(finding.seriousness, finding.words) for finding in listed]


def test_whoever_never_counts_is_not_asked_to(folder: KitFolder) -> None:
    """No finding before the first count, however much is logged."""
    log_two_bikes(folder)
    assert found(folder, NEXT) == []


def test_readiness_stops_for_short_things_and_held_bikes(folder: KitFolder) -> None:
    """STOP until settled and decided; a lost one is then to be replaced."""
    log_two_bikes(folder)
    count_in(folder, "tray", "hex key 4")
    count_in(folder, "well")
    listed = found(folder)
    stops = [f.words for f in listed if f.seriousness is Seriousness.STOP]
    assert stops[0] == "Hex key 4 mm is short since 2026-11-20 and nobody has said why"
    assert [w.partition(" may not")[0] for w in stops[1:]] == ["bikes A, B"]
    assert "not closed: 2 of 2 places counted" in words(listed)[-1][1]
    say(folder, "hex key 4", Outcome.FOUND)
    close(folder)
    assert found(folder) == []


def test_readiness_asks_for_the_close_of_the_last_day_of_work(folder: KitFolder) -> None:
    """From the first count on, for the last day on which something was logged or counted."""
    count_in(folder, "tray")
    assert "not closed: 1 of 2 places" in words(found(folder))[0][1]
    assert words(found(folder, NEXT))[0][0] is Seriousness.MEND
    assert found(folder, NEXT)[0].command == "toolbox count --day 2026-11-20"
    close(folder, "slept")
    assert found(folder, NEXT) == []
    log_two_bikes_tomorrow = when(24 * 60 - 300)
    log_job(again(folder)[0], Done("bleed", bike="A"), log_two_bikes_tomorrow)
    assert found(folder, NEXT) == []
    (finding,) = found(folder, NEXT + timedelta(days=3))
    assert "the count of 2026-11-21 is not closed: 0 of 2" in finding.words


def test_readiness_tells_what_is_lent_and_what_is_overdue(folder: KitFolder) -> None:
    """A note while it has time, to be mended from the day after it was to be back."""
    say(folder, "lever", Outcome.LENT, where="Jo", until=NEXT)
    (note,) = found(folder, NEXT)
    assert note.seriousness is Seriousness.NOTE
    (late,) = found(folder, NEXT + timedelta(days=1))
    assert late.seriousness is Seriousness.MEND
    assert late.words == "Tyre lever is lent to Jo until 2026-11-21, and overdue"


def test_a_count_of_a_day_is_not_the_count_of_another(folder: KitFolder) -> None:
    """Each evening is counted anew."""
    count_in(folder, "tray")
    count_in(folder, "well")
    assert [place.id for place in again(folder, NEXT)[1].left] == ["tray", "well"]
    assert isinstance(again(folder)[0].facts[0].what, Counted)
