"""A claim for a bag that was damaged, late or lost: what was in it, what was last seen of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import count
from toolbox.desk.flight_plan import IfLost, if_lost_now
from toolbox.desk.flight_sheets import bag_list
from toolbox.desk.own_files import Written
from toolbox.desk.papers_files import Paper, paper_csv, save_papers
from toolbox.desk.printed import Block, Heading, Page, Points, Table, Words, mark_of
from toolbox.desk.trips import Flight
from toolbox.files.tables import money_text
from toolbox.kit.counting import Counted
from toolbox.kit.facts import Fact, LoosePick, StepDone
from toolbox.kit.kit import Kit
from toolbox.kit.things import NO_PAPERS, Money, base_id
from toolbox.kit.trips import Bag, Work
from toolbox.papers.claim import (
    WHO_DECIDES,
    Claimed,
    ClaimTotals,
    Mishap,
    Notice,
    Seen,
    claim_totals,
    notice_for,
)

REPORT = (
    "Tell the carrier's desk before you leave the hall and take the number of its report with "
    "you. Keep tags, tickets and photographs (common practice)."
)
AMOUNT = (
    "What a carrier pays is limited in special drawing rights for each passenger, and the limit "
    "is raised from time to time: look it up. Values here are what you entered, nothing is "
    "converted and nothing taken off for age."
)


@dataclass(frozen=True)
class Claim:
    """A claim for one bag. ``rows`` are its things and, last, the bag itself, to the gram.

    ``lost`` is the planned work that cannot be done without the bag, ``possible`` that which
    still can.
    """

    flight: Flight
    bag: Bag
    notice: Notice
    rows: tuple[Claimed, ...]
    possible: tuple[Work, ...]
    lost: tuple[Work, ...]

    @property
    def sums(self) -> ClaimTotals:
        """The sums of its rows."""
        return claim_totals(self.rows)


def claim_for(
    flight: Flight, bag: Bag, mishap: Mishap, arrived: date, delivered: date | None = None
) -> Claim:
    """The claim for a bag as it was packed when the flight arrived; DeskError for odd days."""
    try:
        notice = notice_for(mishap, arrived, delivered)
    except ValueError as error:
        raise DeskError(str(error)) from error
    # work goes on as before with a bag that is only damaged
    without = None if mishap is Mishap.DAMAGE else _without(flight, bag)
    return Claim(
        flight=flight,
        bag=bag,
        notice=notice,
        rows=tuple(_rows(flight, bag, arrived)),
        possible=without.possible if without is not None else (),
        lost=without.lost if without is not None else (),
    )


def save_claim(claim: Claim, folder: Path) -> tuple[Written, ...]:
    """Write a claim as Markdown, HTML and CSV; see ``save_papers``."""
    return save_papers(folder, [claim_paper(claim)])


def notice_words(notice: Notice, today: date) -> str:
    """Until when to write, and how that was counted."""
    begun = "" if notice.running else " The days begin when it is handed over; until then:"
    left = notice.days_left(today)
    over = f"{count(left, 'day')} left" if left >= 0 else "that day is over"
    usual = f"{notice.days} days are usual for {notice.mishap.value}"
    if notice.mishap is Mishap.LOSS:
        usual = f"After {notice.days} days a bag usually counts as lost"
    return (
        f"Write by {notice.sooner}.{begun} {usual}, counted from {notice.counted_from}: until "
        f"{notice.last_day}, or {notice.sooner} if that first day counts too, so keep to the "
        f"sooner one ({over})."
    )


def value_words(row: Claimed) -> str:
    """What a row is worth with its currency, "" where nobody has said."""
    return money_text(row.value) or ""


def worth_words(sums: ClaimTotals) -> str:
    """What all of it is worth, currency by currency, and how much of it has no value."""
    known = " and ".join(money_text(value) or "" for value in sums.values)
    said = known or "no value entered"
    return f"{said}; {count(sums.unvalued, 'line')} without a value" if sums.unvalued else said


def _without(flight: Flight, bag: Bag) -> IfLost | None:
    return next((one for one in if_lost_now(flight) if one.bag.id == bag.id), None)


def _rows(flight: Flight, bag: Bag, arrived: date) -> Iterator[Claimed]:
    listed = bag_list(flight, bag)
    papers = {tool.id: tool.papers for tool in flight.kit.tools}
    papers |= {item.id: item.papers for item in flight.trip.items}
    facts = sorted(
        (fact for fact in flight.folder.live if fact.at.date() <= arrived), key=lambda fact: fact.at
    )
    seen = _used(flight.kit, facts)
    if bag.box:
        _count_in(seen, flight.kit, facts)
    for row in listed.things:
        own = papers.get(row.item, NO_PAPERS)
        value = own.value and Money(own.value.hundredths * row.pieces, own.value.currency)
        yield Claimed(
            row.item,
            row.name,
            row.pieces,
            row.grams,
            value,
            own.serial,
            seen.get(row.item),
        )
    weighed = [w.day for w in flight.trip.weighings if w.bag == bag.id and w.day <= arrived]
    bare = bag.papers
    name = f"{bag.name}, the bag itself"
    if weighed:
        name += f" (weighed packed on {max(weighed)})"
    yield Claimed(f"bag {bag.id}", name, 1, listed.tare.grams, bare.value, bare.serial)


def _used(kit: Kit, facts: Iterable[Fact]) -> dict[str, Seen]:
    """When each tool was taken up last, by facts in their order of time."""
    jobs = {job.id: job.name for job in kit.jobs}
    found: dict[str, Seen] = {}
    for fact in facts:
        what = fact.what
        if isinstance(what, StepDone):
            words = f"used for {jobs.get(what.job, what.job)}"
            tools = [base_id(pick.tool) for pick in what.picks if pick.times]
        elif isinstance(what, LoosePick):
            words, tools = "picked", [base_id(what.tool)]
        else:
            continue
        found.update(dict.fromkeys(tools, Seen(fact.at, f"{words}, by {fact.author}")))
    return found


def _count_in(found: dict[str, Seen], kit: Kit, facts: Iterable[Fact]) -> None:
    """Add the evening's counts: what lies in a place that was counted, and is not short."""
    places = {spot.item: spot.compartment for spot in kit.present.spots} if kit.present else {}
    for fact in facts:
        if not isinstance(fact.what, Counted):
            continue
        # of a set that lacks a part the rest was there
        short = {one.copy for one in fact.what.short if not one.part}
        for copy, place in places.items():
            item = base_id(copy)
            before = found.get(item)
            there = place == fact.what.place and copy not in short
            if there and (before is None or before.at <= fact.at):
                found[item] = Seen(fact.at, f"counted in, by {fact.author}")


# ---- on paper


def claim_paper(claim: Claim) -> Paper:
    """The claim as a page and as CSV."""
    name, bag = claim.flight.name, claim.bag
    mishap = claim.notice.mishap.value
    return Paper(
        f"{name}-claim-{bag.id}",
        Page(
            mark_of(name, "claim", bag.id),
            f"Claim for {mishap}: {bag.name} - {claim.flight.trip.name}",
            tuple(_blocks(claim)),
        ),
        paper_csv(_HEADS, [_cells(row) for row in claim.rows]),
        "that is a claim for this bag",
    )


_HEADS = ("code", "thing", "pieces", "mass", "value", "serial number", "last seen")


def _cells(row: Claimed) -> tuple[str | int, ...]:
    # "S/N" keeps a number from being taken for a date or rounded
    serial = f"S/N {row.serial}" if row.serial else ""
    mass, seen = f"{row.grams} g", seen_words(row.seen)
    return row.thing, row.name, row.pieces, mass, value_words(row), serial, seen


def seen_words(seen: Seen | None) -> str:
    """When and how a thing was last known to be there; "" when nothing was written down."""
    return "" if seen is None else f"{seen.at:%Y-%m-%d %H:%M}, {seen.how}"


def work_names(claim: Claim, works: tuple[Work, ...]) -> tuple[str, ...]:
    """The jobs of planned work, each with its bikes."""
    names = []
    for work in works:
        bikes = f" ({', '.join(work.bikes)})" if work.bikes else ""
        names.append(f"{claim.flight.kit.job(work.job).name}{bikes}")
    return tuple(names)


def _blocks(claim: Claim) -> Iterator[Block]:
    flight, notice = claim.flight, claim.notice
    yield Words(f"{flight.person(claim.bag.answers).name} answers for it.", strong=True)
    yield Words(notice_words(notice, flight.today), strong=True)
    for words in (WHO_DECIDES, REPORT, AMOUNT):
        yield Words(words)
    legs = [f"{leg.name}, {leg.carrier or 'carrier not said'}" for leg in flight.trip.legs]
    yield Words(f"Flights of the trip: {'; '.join(legs)}. Made on {flight.today}.")
    yield Heading("What was in it")
    sums = claim.sums
    rows = [tuple(map(str, _cells(row))) for row in claim.rows]
    total = ("", "All of it", str(sums.pieces), f"{sums.grams} g", worth_words(sums), "", "")
    yield Table(_HEADS, (*rows, total), frozenset({2, 3}), sums=1)
    if notice.mishap is not Mishap.DAMAGE:
        yield Heading("Planned work that can still be done without it")
        yield Points(work_names(claim, claim.possible) or ("None.",))
        yield Heading("Planned work that cannot")
        yield Points(work_names(claim, claim.lost) or ("None.",))
