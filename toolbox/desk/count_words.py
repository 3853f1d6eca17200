"""What is not in the box, in sentences that commands, screens and readiness share."""

from __future__ import annotations

from toolbox.desk.count_book import Closing, Missing
from toolbox.desk.evening_words import outcome_words, short_words
from toolbox.desk.folder import names_of
from toolbox.kit.counting import Counted, Settled
from toolbox.kit.facts import Fact
from toolbox.kit.kit import Kit


def missing_words(kit: Kit, missing: Missing) -> str:
    """What is missing and what became of it, or since when nobody has said."""
    names = names_of(kit)
    what = short_words(names, missing.short)
    if missing.outcome is not None:
        return f"{what} is {outcome_words(missing.outcome)}"
    return f"{what} is short since {begun_day(missing.since)} and nobody has said why"


def begun_day(fact: Fact) -> str:
    """The day something was found short: the evening that a count belongs to."""
    return str(fact.what.day if isinstance(fact.what, Counted) else fact.at.date())


def closing_words(closing: Closing | None) -> str:
    """How the day was closed, by whom and when."""
    if closing is None:
        return "not closed"
    who = f"{closing.fact.author}, {closing.fact.at:%Y-%m-%d %H:%M}"
    reason = f": {closing.said.reason}" if closing.said.reason else ""
    if not closing.said.complete:
        return f"closed as not complete{reason} ({who})"
    against = f"; but {closing.against}" if closing.against else ""
    return f"closed as complete{reason} ({who}){against}"


def said_line(fact: Fact) -> str:
    """One change in the record of a thing: when, by whom, what."""
    head = f"{fact.at:%Y-%m-%d %H:%M} {fact.author}: "
    if isinstance(fact.what, Settled):
        number = f"{fact.what.number} " if fact.what.part and fact.what.number > 1 else ""
        part = f"{number}{fact.what.part} " if fact.what.part else ""
        return head + part + outcome_words(fact.what)
    return head + "found short in the count of " + begun_day(fact)
