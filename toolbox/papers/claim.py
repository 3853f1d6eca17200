"""A claim for a bag that was damaged, late or lost: until when to write, and what was in it.

The days are usual limits for a written complaint, common practice with a weak source; the
carrier's own conditions decide and may leave less.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import Enum

from toolbox.kit.things import Money


class Mishap(Enum):
    """What happened to a bag; the value is the word typed and shown."""

    DAMAGE = "damage"
    DELAY = "delay"
    LOSS = "loss"


# Calendar days. The first two are convention (weak source); that a bag counts as lost after
# as many days as there are for a delay is from memory.
DAYS = {Mishap.DAMAGE: 7, Mishap.DELAY: 21, Mishap.LOSS: 21}
WHO_DECIDES = (
    "The carrier's conditions for the ticket decide which limits hold and how a complaint is to "
    "be made. This is no legal advice."
)


@dataclass(frozen=True, slots=True)
class Notice:
    """Until when a written complaint is usually due.

    The days run from ``counted_from``, which is not counted itself: ``last_day`` is the last
    one. Who counts that day as well comes to ``sooner``: that is the day to keep.
    ``running`` is False while a late bag has not been handed over: then the days have not
    begun and are counted from the arrival, the earliest they can be.
    """

    mishap: Mishap
    days: int
    counted_from: date
    last_day: date
    running: bool = True

    @property
    def sooner(self) -> date:
        """The last day when the first one is counted, too."""
        return self.last_day - timedelta(days=1)

    def days_left(self, today: date) -> int:
        """Days from today until the day to keep; below 0 when it is over."""
        return (self.sooner - today).days


@dataclass(frozen=True, slots=True)
class Seen:
    """When and how a thing was last known to be there."""

    at: datetime
    how: str


@dataclass(frozen=True, slots=True)
class Claimed:
    """One row of a claim: pieces of one thing, grams and value of all of them."""

    thing: str
    name: str
    pieces: int
    grams: int
    value: Money | None = None
    serial: str = ""
    seen: Seen | None = None


@dataclass(frozen=True, slots=True)
class ClaimTotals:
    """Sums of a claim: values by currency, nothing converted; rows that have no value."""

    pieces: int
    grams: int
    values: tuple[Money, ...]
    unvalued: int


def notice_for(mishap: Mishap, arrived: date, delivered: date | None = None) -> Notice:
    """Until when to write, after a bag's flight that arrived on a day.

    ``delivered`` is when a bag that came later was handed over. Damage and delay count from
    then, a loss from the arrival. ValueError for a bag handed over before it arrived, and for
    a lost bag that was handed over.
    """
    if delivered is not None and delivered < arrived:
        raise ValueError(f"handed over on {delivered}, before the arrival on {arrived}")
    if delivered is not None and mishap is Mishap.LOSS:
        raise ValueError("a bag that was handed over is not lost: claim damage or delay")
    start = delivered or arrived
    last = start + timedelta(days=DAYS[mishap])
    running = mishap is not Mishap.DELAY or delivered is not None
    return Notice(mishap, DAYS[mishap], start, last, running)


def claim_totals(rows: Iterable[Claimed]) -> ClaimTotals:
    """Pieces, grams and values of all rows."""
    rows = tuple(rows)
    values: dict[str, int] = {}
    for row in rows:
        if row.value is not None:
            values[row.value.currency] = values.get(row.value.currency, 0) + row.value.hundredths
    return ClaimTotals(
        sum(row.pieces for row in rows),
        sum(row.grams for row in rows),
        tuple(Money(hundredths, currency) for currency, hundredths in sorted(values.items())),
        sum(row.value is None for row in rows),
    )
