"""Lists of the report: what is counted in, what is to be refilled, which instruments are due."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from toolbox.desk.count import CountPlace, Evening, Expected, evening
from toolbox.desk.count_words import closing_words, missing_words
from toolbox.desk.folder import KitFolder
from toolbox.desk.instrument_view import DueLine, due_lines, due_words
from toolbox.desk.printed import Block, Heading, Points, Table, Words
from toolbox.desk.restock import Restocking, restocking
from toolbox.instruments.verdicts import CAUTION
from toolbox.kit.kit import Kit
from toolbox.kit.stocking import Where
from toolbox.usage.engine import Usage

_BOX = "[  ]"  # to be ticked on paper


def list_blocks(folder: KitFolder, today: date, usage: Usage) -> Iterator[Block]:
    """All lists as of that evening, each on a sheet of its own."""
    yield from _count(folder.kit, evening(folder, today))
    yield from _restock(folder.kit, restocking(folder, today, usage=usage))
    yield from _instruments(folder, today)


def _count(kit: Kit, seen: Evening) -> Iterator[Block]:
    """Every thing in its place in the order in which one gets to it, to be ticked."""
    yield Heading("Counting in", anew=True)
    yield Words(f"{seen.day}: {closing_words(seen.closing)}.")
    out = (*seen.short, *seen.away)
    if out:
        yield Points(tuple(missing_words(kit, missing) for missing in out))
    rows = tuple(row for place in seen.places for row in _place(place))
    yield Table(("there", "place", "thing", "pieces", "parts"), rows, frozenset({3}))


def _place(place: CountPlace) -> Iterator[tuple[str, ...]]:
    for thing in place.things:
        parts = ", ".join(f"{part.count} {part.name}" for part in thing.parts)
        yield (_mark(thing), place.name, thing.name, str(thing.pieces), parts)


def _mark(thing: Expected) -> str:
    return _BOX if thing.there else "out"


def _restock(kit: Kit, listed: Restocking) -> Iterator[Block]:
    yield Heading("Restocking", anew=True)
    places = {c.id: c.name for c in kit.box.compartments}
    if listed.tasks:
        rows = (
            (
                _BOX,
                places.get(task.place, "" if task.where is Where.BOX else "the reserve"),
                task.words,
                task.why,
            )
            for task in listed.tasks
        )
        yield Table(("done", "place", "what to do", "why"), tuple(rows))
    else:
        yield Words("Nothing to refill, to count or to throw away.")
    for head, buys in listed.to_buy():
        yield Heading(head)
        yield Table(("got", "what", "why"), tuple((_BOX, buy.words, buy.why) for buy in buys))
    if listed.short:
        yield Heading("Running out at the rate of the log")
        names = listed.held
        yield Points(tuple(f"{names[one].supply.name} {words}" for one, words in listed.short))
    for words in listed.mixed:
        yield Words(f"CAUTION: {words}", strong=True)


def _instruments(folder: KitFolder, today: date) -> Iterator[Block]:
    yield Heading("Instruments", anew=True)
    lines = due_lines(folder, today)
    if not lines:
        yield Words("No tool of this kit is an instrument.")
        return
    yield Words(due_words(lines))
    heads = ("stands", "instrument", "why", "good until", "uses left")
    yield Table(heads, tuple(map(_instrument, lines)), frozenset({4}))
    yield Words(CAUTION)


def _instrument(line: DueLine) -> tuple[str, ...]:
    until = line.stand.standing.good_until
    return (line.state.value, line.name, line.why, str(until or ""), line.left)
