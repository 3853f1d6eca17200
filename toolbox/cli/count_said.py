"""The count of an evening and what is missing, as text and as data for programs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from toolbox.cli.words import clean, count, hang, paragraph, say
from toolbox.desk.count import CountPlace, Evening
from toolbox.desk.count_bikes import UseOf
from toolbox.desk.count_book import Missing
from toolbox.desk.count_missing import Sheet, could_words, look_lines, unnamed_words, use_words
from toolbox.desk.count_words import closing_words, missing_words
from toolbox.desk.evening_words import outcome_words, short_words
from toolbox.desk.folder import names_of
from toolbox.kit.counting import Short
from toolbox.kit.kit import Kit


def say_evening(kit: Kit, seen: Evening, entry: str, *, refused: bool) -> None:
    """Print how far the count is, what is short, what is away, and what is in the way."""
    done = f"{len(seen.places) - len(seen.left)} of {count(len(seen.places), 'place')} counted"
    say(paragraph(clean(f"Count of {seen.day}: {done}; {closing_words(seen.closing)}.")))
    for place in seen.places:
        _say_place(kit, place)
    _say_all("Short, and nobody has said why:", kit, seen.short)
    _say_all("Not in the box, and why:", kit, seen.away)
    if refused:
        say()
        say("The day cannot be closed as complete:")
        for words in seen.hindrances:
            hang("- ", words)
        say('Close it as not complete with "toolbox count --close --reason TEXT".')
    elif not seen.hindrances and seen.closing is None:
        say()
        say('Everything is accounted for: close the day with "toolbox count --close".')
    if entry:
        say()
        say(f'take it back with "toolbox undo {entry[:8]}"')


def say_sheet(kit: Kit, sheet: Sheet) -> None:
    """Print what helps to find one missing thing."""
    say(paragraph(clean(missing_words(kit, sheet.missing))))
    for head, words in look_lines(sheet):
        _headed(head, words)
    _headed("last used", use_words(kit, sheet.last))
    for could in sheet.bikes:
        _headed("could be in", could_words(kit, could))
    if words := unnamed_words(sheet):
        _headed("could be in", words)
    for other in sheet.others:
        _headed("another one", other)
    for words in sheet.record:
        _headed("on record", words)


def evening_data(kit: Kit, seen: Evening, entry: str, *, refused: bool) -> dict[str, Any]:
    """The count of an evening as data."""
    closing = seen.closing
    return {
        "day": str(seen.day),
        "complete": seen.complete,
        "refused": refused,
        "hindrances": list(seen.hindrances),
        "closed": None
        if closing is None
        else {
            "complete": closing.complete,
            "against": closing.against or None,
            "reason": closing.said.reason,
            "author": closing.fact.author,
            "at": closing.fact.at.isoformat(),
        },
        "places": [_place(kit, place) for place in seen.places],
        "short": [missing_data(kit, missing) for missing in seen.short],
        "away": [missing_data(kit, missing) for missing in seen.away],
        "entry": entry or None,
    }


def sheet_data(kit: Kit, sheet: Sheet) -> dict[str, Any]:
    """What helps to find a missing thing, as data."""
    return {
        **missing_data(kit, sheet.missing),
        "known_by": dict(look_lines(sheet)),
        "last_used": _use(sheet.last),
        "bikes": [
            {
                "bike": could.bike,
                "last_used": _use(could.last),
                "released": could.released is not None,
                "words": could_words(kit, could),
            }
            for could in sheet.bikes
        ],
        "uses_without_bike": sheet.unnamed,
        "others": list(sheet.others),
        "record": list(sheet.record),
    }


def missing_data(kit: Kit, missing: Missing) -> dict[str, Any]:
    """Pieces that are out, as data; ``outcome`` is null while nobody has said why."""
    said, fact = missing.outcome, missing.said
    return {
        **piece_data(kit, missing.copy, missing.part, missing.number),
        "since": missing.since.at.isoformat(),
        "outcome": None if said is None else said.outcome.name.lower(),
        "words": missing_words(kit, missing),
        "where": "" if said is None else said.where,
        "until": None if said is None or said.until is None else str(said.until),
        "author": None if fact is None else fact.author,
    }


def piece_data(kit: Kit, copy: str, part: str, number: int) -> dict[str, Any]:
    """A copy or pieces of a part, as data."""
    name = short_words(names_of(kit), Short(copy))
    return {"copy": copy, "part": part or None, "number": number, "name": name}


def _place(kit: Kit, place: CountPlace) -> dict[str, Any]:
    fact = place.counted
    return {
        "id": place.id or None,
        "name": place.name,
        "tools": sum(thing.there for thing in place.things),
        "pieces": place.pieces,
        "counted": fact is not None,
        "author": None if fact is None else fact.author,
        "at": None if fact is None else fact.at.isoformat(),
        "short": [missing_data(kit, missing) for missing in place.short],
        "things": [
            {"copy": thing.copy, "name": thing.name, "pieces": thing.pieces}
            for thing in place.things
        ],
    }


def _use(use: UseOf | None) -> dict[str, Any] | None:
    if use is None:
        return None
    return {
        "job": use.job or None,
        "step": use.step or None,
        "bike": use.bike,
        "at": use.at.isoformat(),
        "author": use.fact.author,
    }


def _say_place(kit: Kit, place: CountPlace) -> None:
    mark = "[ ]" if place.counted is None else "[!]" if place.short else "[x]"
    tools = count(sum(thing.there for thing in place.things), "tool")
    pieces = f", {place.pieces} pieces" if any(thing.parts for thing in place.things) else ""
    by = f" ({place.counted.author}, {place.counted.at:%H:%M})" if place.counted else ""
    hang(f"{mark} ", f"{place.name}: {tools}{pieces}{by}")
    names = names_of(kit)
    for missing in place.away:
        assert missing.outcome is not None, "what is away has an outcome"
        words = f"{short_words(names, missing.short)}: {outcome_words(missing.outcome)}"
        hang("      not here: ", words)


def _say_all(head: str, kit: Kit, listed: Iterable[Missing]) -> None:
    lines = [missing_words(kit, missing) for missing in listed]
    if lines:
        say()
        say(head)
    for words in lines:
        hang("- ", words)


def _headed(head: str, words: str) -> None:
    hang(f"  {head:<13}", words)
