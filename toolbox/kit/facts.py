"""What happened: facts as the journal keeps them. Nothing is ever changed or deleted.

Facts acknowledged together form an entry; undoing an entry is a fact too.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from toolbox.kit.checking import SaidOfInstrument
from toolbox.kit.counting import SaidOfCount
from toolbox.kit.stocking import SaidOfStock
from toolbox.kit.work import Draw, Pick


@dataclass(frozen=True, slots=True)
class StepDone:
    """A job step that was done, with what was really picked and used up.

    Steps done in one go at one job share ``visit``; ``bike`` is free text.
    """

    visit: str
    job: str
    step: int
    picks: tuple[Pick, ...]
    draws: tuple[Draw, ...] = ()
    urgent: bool = False
    bike: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class LoosePick:
    """A tool taken up outside any job: a trip to the box of its own, ``times`` times."""

    tool: str
    times: int = 1
    urgent: bool = False
    bike: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class SupplyUsed:
    """A supply used up outside any job step, in the supply's own measure."""

    supply: str
    amount: int
    bike: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Undone:
    """An entry taken back: it counts as if it had never been made.

    Undoing an entry that holds an Undone brings back what that one took back.
    """

    entry: str


class LineState(Enum):
    """How a line of a checklist stands; the value is the word shown."""

    OPEN = "open"
    DONE = "done"
    CARRIED = "carried over"  # it could not be done yet: it stays to be looked at again


@dataclass(frozen=True, slots=True)
class LineSaid:
    """What was said of one line of a checklist: how it stands, how many were counted, a note.

    ``checklist`` is the list's name and ``about`` what it was made for (a trip, a day);
    ``line`` is the key of the line, ``words`` what it said at that time, since lines come and
    go. None for what was not spoken of: there what was said before goes on to hold. A note
    of "" takes the one before away.
    """

    checklist: str
    about: str
    line: str
    words: str
    state: LineState | None = None
    count: int | None = None
    note: str | None = None


# What was done with the box, as opposed to what was said about lists and entries.
Use = StepDone | LoosePick | SupplyUsed
What = Use | LineSaid | SaidOfCount | SaidOfStock | SaidOfInstrument | Undone


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact: its id, its entry, when it happened, who says so, what it is.

    ``at`` is aware of its zone and may lie before the time of writing (a late
    entry); ``clock`` grows by one with each entry and settles the order of writing.
    """

    id: str
    entry: str
    clock: int
    at: datetime
    author: str
    what: What
