"""The work: jobs, their steps in order, what each step takes up and uses up."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple


class Pick(NamedTuple):
    """A tool taken up and how often in one go through the step."""

    tool: str
    times: int = 1


class Draw(NamedTuple):
    """A supply used up and how much of it, in the supply's own measure."""

    supply: str
    amount: int


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a job: words, usual picks and draws, minutes (None if not known)."""

    number: int
    text: str
    picks: tuple[Pick, ...] = ()
    draws: tuple[Draw, ...] = ()
    minutes: int | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """A job with its ordered steps.

    ``per_day`` is how often the mechanic expects it in a working day (None if
    not said); ``urgent`` says that it can come between runs, against the clock. ``fluid``
    is the kind of fluid it takes, "" where nobody said.
    """

    id: str
    name: str
    steps: tuple[Step, ...]
    discipline: str = ""
    urgent: bool = False
    per_day: Fraction | None = None
    note: str = ""
    fluid: str = ""
