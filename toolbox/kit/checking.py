"""What happens to instruments: checked beside a reference, dropped, repaired, wound down."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import NamedTuple


class Way(Enum):
    """From which side a point was come to; the value is the word shown."""

    RISING = "rising"
    FALLING = "falling"


class EventKind(Enum):
    """What asks for a check now; the value is the word shown."""

    DROP = "dropped"
    OVERLOAD = "overloaded"
    REPAIR = "repaired"


class Trust(Enum):
    """How it is known how far off a reference may be; the value is the word shown."""

    CERTIFICATE = "certificate"  # an expanded uncertainty with its coverage factor
    LIMITS = "limits"  # the most it may be off: a class, a maker's data sheet


class Verdict(Enum):
    """What a check found; the value is the word shown."""

    PASS = "pass"
    CONDITIONAL_PASS = "conditional pass"
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"


class Reading(NamedTuple):
    """What the instrument was set to or showed, and what the reference said.

    In the whole unit of what is checked: milli-newton-metres, pascals, micrometres or
    milligrams. ``at`` is the point that was meant: readings of one point bear the same. Of a
    shop-made gauge ``shown`` is the dimension it should have and ``reference`` the one
    measured.
    """

    at: int
    shown: int
    reference: int
    way: Way = Way.RISING


class Beside(NamedTuple):
    """The reference of a check as its certificate or data sheet has it.

    It may be off by ``amount`` in whole units and by ``percent`` of the reading, added up;
    ``trust`` says whether that is U of a certificate (with ``coverage`` as its k) or a
    limit. ``step`` is the smallest step of its display.
    """

    name: str
    trust: Trust
    amount: int = 0
    percent: Fraction = Fraction(0)
    step: int = 0
    coverage: Fraction = Fraction(2)


@dataclass(frozen=True, slots=True)
class InstrumentChecked:
    """A check of an instrument, a tool of the kit, and what it found.

    Without readings it was made elsewhere, by ``beside``'s name. ``verdict`` is None where
    nothing could be judged.
    """

    tool: str
    verdict: Verdict | None
    beside: Beside
    readings: tuple[Reading, ...] = ()
    celsius: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class InstrumentEvent:
    """Something that may have put an instrument out."""

    tool: str
    kind: EventKind
    note: str = ""


@dataclass(frozen=True, slots=True)
class WoundDown:
    """A torque tool was set to its lowest mark for the night."""

    tool: str


SaidOfInstrument = InstrumentChecked | InstrumentEvent | WoundDown
