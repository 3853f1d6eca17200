"""What the rules of readiness see and say: a kit with its journal on a day, and findings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from enum import Enum

from toolbox.desk.folder import KitFolder
from toolbox.desk.plans import Study
from toolbox.desk.rebuild import Rebuild
from toolbox.files.layouts import SavedPlan
from toolbox.kit.facts import Fact
from toolbox.kit.kit import Kit

SHOWN = 4  # names told one by one before the rest is counted


class Seriousness(Enum):
    """How much a finding matters, most serious first; the value is the word shown."""

    STOP = "STOP"  # nothing works, or somebody or something may come to harm
    MEND = "MEND"  # to be put right before the box travels
    NOTE = "NOTE"  # good to know; the box is ready all the same


class Caution(Enum):
    """Why whoever takes up the tool or supply that a finding is about must be told of it."""

    OUT = "out of check"
    PAST = "past its date"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is not as it should be, in words.

    ``place`` names the screen where it is mended, ``command`` the command line that
    does or shows the same. ``subject`` is the id of the tool or supply that it is about,
    "" where it is about no single one; ``brief`` says it in the fewest words, "" where
    nobody has found any. ``caution`` is set where each use of the subject must be warned of.
    """

    seriousness: Seriousness
    words: str
    place: str
    command: str
    subject: str = ""
    brief: str = ""
    caution: Caution | None = None


@dataclass(frozen=True, slots=True)
class Sight:
    """What the rules look at: a kit that could be read, with its journal, a day, its layouts.

    ``plan`` is None when there is none or when it cannot be read; ``plan_fault`` then
    says why ("" when there simply is none). ``rebuild`` are the steps to the plan.
    """

    folder: KitFolder
    today: date
    study: Study
    plan: SavedPlan | None
    plan_fault: str = ""
    rebuild: Rebuild | None = None

    @property
    def kit(self) -> Kit:
        """The kit as its files describe it."""
        return self.folder.kit

    @property
    def facts(self) -> tuple[Fact, ...]:
        """The facts of its journal that count."""
        return self.folder.live


Rule = Callable[[Sight], Iterable[Finding]]


def until(facts: Iterable[Fact], today: date) -> Iterator[Fact]:
    """Those of the facts that happened up to and with that day."""
    return (fact for fact in facts if fact.at.date() <= today)


def told(names: list[str]) -> str:
    """The first few names, and how many more there are."""
    if len(names) <= SHOWN:
        return ", ".join(names)
    return f"{', '.join(names[:SHOWN])} and {len(names) - SHOWN} more"
