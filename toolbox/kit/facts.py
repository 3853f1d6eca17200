"""What happened: facts as the journal keeps them. Nothing is ever changed or deleted.

Facts acknowledged together form an entry; undoing an entry is a fact too.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

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


What = StepDone | LoosePick | SupplyUsed | Undone


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
