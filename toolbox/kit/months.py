"""Calendar months: the same day so many of them later."""

from __future__ import annotations

from calendar import monthrange
from datetime import date


def months_on(day: date, months: int) -> date:
    """The same day of the month so many months later, the month's last where it has no such.

    So 29 February and 12 months make 28 February, and 48 months 29 February again.
    OverflowError beyond the year 9999.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > date.max.year:
        raise OverflowError(f"{months} months after {day} is beyond the year {date.max.year}")
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
