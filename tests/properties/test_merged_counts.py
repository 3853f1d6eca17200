"""One evening counted in on two machines that did not know of each other, then merged.

That a count with anything missing never stays closed as complete is the rule of
``tests/properties/test_count_properties.py``, with its source there; here what speaks against
the closing was written elsewhere, before, at the same time or after it.
"""

from __future__ import annotations

from datetime import date
from itertools import count
from pathlib import Path

import pytest
from test_count_properties import DAYS, KIT, START, all_there

from toolbox.desk.count import evening_in
from toolbox.desk.count_book import Book, keep_book
from toolbox.journal.live import live_facts
from toolbox.journal.merge import rows_elsewhere, take_in
from toolbox.journal.store import Journal, open_journal, read_facts
from toolbox.kit.counting import Counted, DayClosed, Outcome, Settled, Short
from toolbox.kit.facts import LoosePick, What

DAY = DAYS[0]
OLDER = range(4)


@pytest.fixture
def paths(tmp_path: Path) -> tuple[Path, Path]:
    """Two journals that share one entry."""
    here, there = tmp_path / "here.db", tmp_path / "there.db"
    with open_journal(here) as journal:
        say(journal, LoosePick("key4"))
    take_in(there, rows_elsewhere(here), here)
    return here, there


def say(journal: Journal, *whats: What) -> str:
    """One entry of the evening."""
    return journal.add(whats, at=START, author="Ada", written=START)


def named(path: Path, letter: str) -> Journal:
    """A journal whose entries are named so that their order at the same clock is known."""
    numbers = count(1)
    return open_journal(path, new_id=lambda: f"{letter}{next(numbers):03d}")


def met(here: Path, there: Path) -> Book:
    """The book when each has taken in what the other has: the same on both."""
    take_in(here, rows_elsewhere(there), there)
    take_in(there, rows_elsewhere(here), here)
    facts = read_facts(here)
    assert facts == read_facts(there)
    return keep_book(KIT, live_facts(facts), facts)


def complete(book: Book, day: date = DAY) -> tuple[bool, bool]:
    """Whether the day counts as complete: by its closing, and by the evening as it is seen."""
    return book.closings[day].complete, evening_in(KIT, book, day).complete


@pytest.mark.parametrize("letters", ["az", "za"])
@pytest.mark.parametrize("older", OLDER)
def test_what_was_short_elsewhere_speaks_against_a_closing(
    paths: tuple[Path, Path], older: int, letters: str
) -> None:
    """One closes the day as complete while another finds a tool short."""
    here, there = paths
    with named(here, letters[0]) as journal:
        say(journal, LoosePick("key4"))
        say(journal, *all_there(DAY))
        say(journal, DayClosed(DAY, complete=True))
    with named(there, letters[1]) as journal:
        for _ in range(older):
            say(journal, LoosePick("key5"))
        say(journal, Counted(DAY, "tray", (Short("key4"),)))
    assert complete(met(here, there)) == (False, False)


@pytest.mark.parametrize("letters", ["az", "za"])
@pytest.mark.parametrize("older", OLDER)
def test_a_count_taken_back_elsewhere_speaks_against_a_closing(
    paths: tuple[Path, Path], older: int, letters: str
) -> None:
    """One closes the day on counts of which another takes one back; counted again, it may be."""
    here, there = paths
    with named(here, f"{letters[0]}1") as journal:
        counted = say(journal, Counted(DAY, "tray"))
        say(journal, Counted(DAY, "well"))
    take_in(there, rows_elsewhere(here), here)
    with named(here, f"{letters[0]}2") as journal:
        say(journal, LoosePick("key4"))
        say(journal, DayClosed(DAY, complete=True))
    with named(there, f"{letters[1]}3") as journal:
        for _ in range(older):
            say(journal, LoosePick("key5"))
        journal.undo(counted, at=START, author="Ben", written=START)
    assert complete(met(here, there)) == (False, False)
    with open_journal(here) as journal:
        say(journal, Counted(DAY, "tray"))
        say(journal, DayClosed(DAY, complete=True))
    assert complete(met(here, there)) == (True, True)


def test_what_both_say_of_a_piece_stays_on_record(paths: tuple[Path, Path]) -> None:
    """Both find it short and each says something else: one piece, and both said."""
    here, there = paths
    for path, outcome in ((here, Outcome.LENT), (there, Outcome.LOST)):
        with open_journal(path) as journal:
            say(journal, Counted(DAY, "tray", (Short("key4"),)))
            say(journal, Settled("key4", outcome, where="somewhere"))
    (piece,) = met(here, there).of("key4")
    assert {fact.what.outcome for fact in piece.said} == {Outcome.LENT, Outcome.LOST}
    with open_journal(there) as journal:
        say(journal, Settled("key4", Outcome.FOUND, where="the van"))
    assert met(here, there).of("key4") == ()


def test_the_same_count_said_on_both_is_one_count(paths: tuple[Path, Path]) -> None:
    """Two who count the same box find one tool short, not two."""
    here, there = paths
    for path in paths:
        with open_journal(path) as journal:
            say(journal, Counted(DAY, "well", (Short("bits", "bit", 2),)))
    assert len(met(here, there).of("bits", "bit")) == 2
