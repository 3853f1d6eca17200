"""Readiness of the supplies: what is out of date, under its level, runs out, or would be mixed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from toolbox.desk.ready_sight import Caution, Finding, Seriousness, Sight
from toolbox.desk.stock import WEEK, Holding, dates_ahead, holdings
from toolbox.desk.stock_demand import Coming, coming_work, counts_now, once_more, runs_out
from toolbox.desk.stock_fluids import mixings_logged, mixings_of_kit
from toolbox.desk.stock_words import PAST, against_words, run_out_words
from toolbox.desk.trips import Flight, nearest_trip
from toolbox.files.problems import KitFaults
from toolbox.kit.stocking import Where

PLACE = "evening"


def supply_findings(sight: Sight) -> Iterator[Finding]:
    """Everything about the supplies that is to be put right, on the day that is looked at."""
    found = holdings(sight.kit, sight.facts, sight.today)
    for held in found.values():
        for words in aged_words(held):
            yield _of_supply(held, words, "out of date", Caution.PAST)
        for words in dates_ahead(held.supply, sight.today):
            name, command = held.supply.name, f"toolbox edit supply {held.supply.id}"
            brief = f"{name} date ahead"
            yield Finding(
                Seriousness.MEND, f"{name}: {words}", "kit", command, held.supply.id, brief
            )
    coming = coming_work(sight.kit, sight.study.usage, sight.facts, sight.today, _trip(sight))
    for held in found.values():
        words = _low(coming, held)
        if words:
            yield _of_supply(held, words, "low")
    yield from _mixings(sight)


def aged_words(held: Holding) -> tuple[str, ...]:
    """Each end of the life of what is there that is past, in words; none where nothing is."""
    ends = {end for where in Where for life, _ in held.lives(where) for end in life.ends}
    past = sorted(end for end in ends if end.last_day < held.day)
    return tuple(f"{end.why}{PAST}" for end in past)


def _low(coming: Coming, held: Holding) -> str:
    """Under the level to keep; or above it, and not enough for one more job, or likely to run
    out all the same.

    What runs out because it is out of date is told by that.
    """
    left, par = held.left, held.supply.par
    if left is None:
        return ""
    if par is not None and left < par:
        return against_words(held, f"level to keep {held.amount(par)}")
    if aged_words(held):
        return ""
    once = once_more(coming.kit, held)
    if left < once.units:
        return against_words(held, once.why)
    found = runs_out(coming, held)
    return against_words(held, run_out_words(*found, held.day)) if found else ""


def _trip(sight: Sight) -> Flight | None:
    """The trip that is restocked for; faults of its files are another rule's to tell."""
    try:
        flight = nearest_trip(sight.folder, sight.today)
    except KitFaults:
        return None
    return flight if flight is not None and counts_now(flight, sight.today) else None


def _mixings(sight: Sight) -> Iterator[Finding]:
    for words in mixings_of_kit(sight.kit):
        yield Finding(Seriousness.MEND, words, "kit", "toolbox edit job")
    first = sight.today - timedelta(days=WEEK - 1)
    for fact, words in mixings_logged(sight.kit, sight.facts, first, sight.today):
        said = f"logged on {fact.at.date()}: {words}"
        yield Finding(Seriousness.STOP, said, "log", f"toolbox undo {fact.entry[:8]}")


def _of_supply(held: Holding, words: str, how: str, caution: Caution | None = None) -> Finding:
    name = held.supply.name
    said, brief, command = f"{name}: {words}", f"{name} {how}", "toolbox restock"
    return Finding(Seriousness.MEND, said, PLACE, command, held.supply.id, brief, caution)
