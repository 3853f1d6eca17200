"""How long a supply is good: the printed date, its life sealed, its life once opened.

Whichever ends first holds; the day itself is still good. Days are handed in: there is no
clock and no time zone here. Lives are what the maker says of the product, in whole months.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from toolbox.kit.months import months_on
from toolbox.kit.stocking import Opened
from toolbox.kit.things import Shelf
from toolbox.stock.errors import refuse


class Sealed(NamedTuple):
    """The life of an unopened pack: so many months from the day it was made or bought."""

    since: date
    months: int


class End(NamedTuple):
    """One end of a supply's life: the last day on which it is good, and why, in words."""

    last_day: date
    why: str


@dataclass(frozen=True, slots=True)
class Life:
    """How long a supply is good. ``ends`` stand in the order of time; the first one holds.

    ``unsaid`` is what nobody has said though it matters, in words ("" when all is said).
    """

    ends: tuple[End, ...]
    unsaid: str = ""

    @property
    def last_day(self) -> date | None:
        """The last day on which it is good; None when nothing limits it that was said."""
        return self.ends[0].last_day if self.ends else None

    @property
    def why(self) -> str:
        """What ends its life first, in words; "" when nothing does."""
        return self.ends[0].why if self.ends else ""

    def days_left(self, today: date) -> int | None:
        """Days after ``today`` on which it is still good; below 0 when it is out of date."""
        return None if self.last_day is None else (self.last_day - today).days

    def out_of_date(self, today: date) -> bool:
        """True when its last good day is past."""
        return self.last_day is not None and self.last_day < today


def month_end(day: date) -> date:
    """The last day of the month: what a date printed as month and year alone means."""
    return day.replace(day=monthrange(day.year, day.month)[1])


def life(shelf: Shelf, sealed: Sealed | None = None) -> Life:
    """How long a supply with these dates is good.

    The life once opened never makes a printed date or a sealed life longer. StockError
    when a life is not at least one month, or reaches beyond the calendar.
    """
    refuse(_faults(shelf, sealed))
    # Stable: of two ends on one day the one named first below is told.
    ends = sorted(_ends(shelf, sealed), key=lambda end: end.last_day)
    unsaid = ""
    if shelf.opened is not None and shelf.opened_life_months is None:
        unsaid = f"opened {shelf.opened}, and nobody has said how long it is good once opened"
    return Life(tuple(ends), unsaid)


def last_opened(shelf: Shelf, opened: Iterable[Opened]) -> Shelf:
    """The dates of the pack now in use: those of the kit file, or of the pack opened last.

    ``opened`` are the openings of this supply that count, in the order they happened; one of
    a day before the kit file's own opening is no news. Where nobody said what is printed on
    the fresh pack the date before stays: it errs on the early side.
    """
    for pack in opened:
        if shelf.opened is None or pack.day >= shelf.opened:
            printed = pack.best_before or shelf.best_before
            shelf = replace(shelf, opened=pack.day, lot=pack.lot, best_before=printed)
    return shelf


def _ends(shelf: Shelf, sealed: Sealed | None) -> Iterator[End]:
    if shelf.opened is not None and shelf.opened_life_months is not None:
        months = shelf.opened_life_months
        last = months_on(shelf.opened, months)
        yield End(last, f"opened {shelf.opened}, good until {last}")
    if shelf.best_before is not None:
        yield End(shelf.best_before, f"best before {shelf.best_before}")
    if sealed is not None:
        last = months_on(sealed.since, sealed.months)
        yield End(last, f"sealed since {sealed.since}, good until {last}")


def _faults(shelf: Shelf, sealed: Sealed | None) -> Iterator[str]:
    opened = (shelf.opened, shelf.opened_life_months, "once opened")
    unopened = (sealed.since, sealed.months, "sealed") if sealed else (None, None, "")
    for since, months, how in (opened, unopened):
        if months is None:
            continue
        if months < 1:
            yield f"a life of {months} months {how} is none: write 1 or more"
        elif since is not None and since.year * 12 + months > date.max.year * 12:
            yield f"a life of {months} months {how} from {since} is beyond the calendar"
