"""When an instrument must be checked: by the day and by its uses, whichever comes first.

Hand torque tools have 12 months or 5,000 uses (ISO 6789) unless the user has a rule of his
own, which always goes first. A drop, an overload or a repair asks for a check now, a failed
check halves the interval after it (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from typing import NamedTuple

from toolbox.instruments.verdicts import CAUTION, has_failed
from toolbox.kit.checking import EventKind, Verdict
from toolbox.kit.months import months_on
from toolbox.kit.things import Instrument

# ISO 6789: 5,000 cycles [seen], 12 months [from memory], where the user has no procedure.
TORQUE_MONTHS, TORQUE_USES = 12, 5_000
HALF_A_MONTH = 15  # days, for months that cannot be halved


class Checked(NamedTuple):
    """A check, and what it found."""

    day: date
    verdict: Verdict


class FirstUsed(NamedTuple):
    """The first use of an instrument that came with its maker's declaration."""

    day: date


class Event(NamedTuple):
    """Something that may have put it out."""

    day: date
    kind: EventKind


class Used(NamedTuple):
    """So many uses; ``day`` is None for uses that a list counts without saying when."""

    day: date | None
    times: int = 1


class Unwound(NamedTuple):
    """Set to its lowest mark for the night, so that its spring rests."""

    day: date


Happened = Checked | FirstUsed | Event | Used | Unwound


class Interval(NamedTuple):
    """At most so many months (and days) and so many uses between checks; None: no such limit."""

    months: int | None
    uses: int | None
    days: int = 0

    def halved(self) -> Interval:
        """Half of it, never more: an odd month as 15 days, uses rounded down, at least 1."""
        if self.months is None:
            return Interval(None, _half(self.uses))
        days = self.days // 2 + (HALF_A_MONTH if self.months % 2 else 0)
        return Interval(self.months // 2, _half(self.uses), days)

    def last_day(self, start: date) -> date | None:
        """The last day on which a check made on ``start`` still holds."""
        if self.months is None:
            return None
        return months_on(start, self.months) + timedelta(days=self.days)


class Why(Enum):
    """Why an instrument is out; the value is the word shown."""

    NEVER = "never checked"
    FAILED = "failed its check"
    EVENT = "something happened to it"
    DAY = "its check is out of date"
    USES = "used too often since its check"


class Reason(NamedTuple):
    """One reason why an instrument is out, and since which day where that is known."""

    why: Why
    since: date | None
    words: str


@dataclass(frozen=True, slots=True)
class Standing:
    """How an instrument stands on a day.

    ``good_until`` is the last day its check holds by date, ``uses`` those since the check and
    ``uses_left`` how many more it may have; None where the interval has no such limit.
    ``interval`` is the one that counts now, ``halved`` says whether a failed check halved it.
    """

    reasons: tuple[Reason, ...]
    checked: date | None
    good_until: date | None
    uses: int
    uses_left: int | None
    interval: Interval
    halved: bool

    @property
    def out(self) -> bool:
        """True when it is not to be used before a check."""
        return bool(self.reasons)

    @property
    def since(self) -> date | None:
        """The first day on which it was out; None when it is not, or nobody knows."""
        return min((r.since for r in self.reasons if r.since is not None), default=None)

    @property
    def caution(self) -> str:
        """The sentence that goes with every verdict."""
        return CAUTION


def interval_of(instrument: Instrument, hand_torque_tool: bool) -> Interval:
    """The interval of an instrument: the user's own rule, else the default for torque tools.

    A rule of the user's counts whole: who names only months has no limit of uses.
    """
    months, uses = instrument.every_months, instrument.every_uses
    if months is None and uses is None and hand_torque_tool:
        return Interval(TORQUE_MONTHS, TORQUE_USES)
    return Interval(months, uses)


def listed(instrument: Instrument) -> tuple[Happened, ...]:
    """What the entry of an instrument says happened to it; a check on the list had passed."""
    happened: list[Happened] = []
    if instrument.last_check is not None:
        happened.append(Checked(instrument.last_check, Verdict.PASS))
    if instrument.uses_since_check:
        happened.append(Used(None, instrument.uses_since_check))
    return tuple(happened)


def standing(interval: Interval, happened: Sequence[Happened], today: date) -> Standing:
    """How an instrument stands today.

    ``happened`` is in the order of happening, which settles what came first on one day; what
    lies after today does not count. On its last day a check still holds, and so does the
    last use of its interval: with 5,000 allowed the 5,001st is one too many.
    """
    known = [one for one in happened if one.day is None or one.day <= today]
    checks = [one for one in known if isinstance(one, Checked)]
    start = _start(known)
    ends = [has_failed(one.verdict) for one in checks[-2:]]
    halved = ends == [True, False]
    counts = interval.halved() if halved else interval
    since = known if start is None else known[start + 1 :]
    uses = sum(one.times for one in since if isinstance(one, Used))
    begun = None if start is None else known[start].day
    good_until = None if begun is None else counts.last_day(begun)
    reasons = tuple(_reasons(known, start, counts, good_until, today))
    left = None if counts.uses is None else max(0, counts.uses - uses)
    checked = checks[-1].day if checks else None
    return Standing(reasons, checked, good_until, uses, left, counts, halved)


def wind_down(happened: Sequence[Happened], today: date) -> bool:
    """True when an adjustable torque tool was used and not wound down since."""
    last = [
        one
        for one in happened
        if isinstance(one, Used | Unwound) and (one.day is None or one.day <= today)
    ]
    return bool(last) and isinstance(last[-1], Used)


def _start(known: Sequence[Happened]) -> int | None:
    """Where the present interval begins: the last check, or the first use of a new one."""
    for sort in (Checked, FirstUsed):
        places = [n for n, one in enumerate(known) if isinstance(one, sort)]
        if places:
            return places[-1] if sort is Checked else places[0]
    return None


def _reasons(
    known: Sequence[Happened],
    start: int | None,
    counts: Interval,
    good_until: date | None,
    today: date,
) -> Iterator[Reason]:
    since = known if start is None else known[start + 1 :]
    first = None if start is None else known[start]
    if first is None:
        yield Reason(Why.NEVER, None, "never checked, as far as its entry says")
    elif isinstance(first, Checked) and has_failed(first.verdict):
        yield Reason(Why.FAILED, first.day, f"its check of {first.day} found it out of limits")
    for one in since:
        if isinstance(one, Event):
            words = f"{one.kind.value} on {one.day}: check it before it is used again"
            yield Reason(Why.EVENT, one.day, words)
    if good_until is not None and good_until < today:
        words = f"its check held until {good_until}"
        yield Reason(Why.DAY, good_until + timedelta(days=1), words)
    yield from _too_often(since, counts.uses)


def _too_often(since: Sequence[Happened], most: int | None) -> Iterator[Reason]:
    if most is None:
        return
    uses, passed = 0, None
    for one in since:
        if isinstance(one, Used):
            before, uses = uses, uses + one.times
            if before <= most < uses:
                passed = one.day
    if uses > most:
        words = f"used {uses:,} times since its check, at most {most:,} allowed"
        yield Reason(Why.USES, passed, words)


def _half(uses: int | None) -> int | None:
    return None if uses is None else max(1, uses // 2)
