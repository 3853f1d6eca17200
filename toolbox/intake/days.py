"""Days as people write them, one order for a list; and sizes that a spreadsheet made days of."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta

from toolbox.intake.reading import Day, Findings
from toolbox.kit.months import months_on

QUESTION = "dates"
_CHOICES = ("day first", "month first")
_MONTHS = (
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
)  # fmt: skip
_NAMES = r"(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_ISO = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?:[ T]\d{1,2}:\d{2}(?::\d{2})?)?")
# ISO 8601 without its dashes
_BASIC = re.compile(r"(20\d{2})(\d{2})(\d{2})")
_DOTTED = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})(?: \d{1,2}:\d{2}(?::\d{2})?)?")
_SLASHED = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4}|\d{2})(?: \d{1,2}:\d{2}(?::\d{2})?)?")
_NAMED = re.compile(rf"(\d{{1,2}})\.?[ -]{_NAMES}[ -](\d{{4}}|\d{{2}})", re.I)
_NAMED_FIRST = re.compile(rf"{_NAMES} (\d{{1,2}}),? (\d{{4}})", re.I)
_MONTH = re.compile(rf"{_NAMES}[ -](\d{{4}})|(\d{{4}})-(\d{{2}})", re.I)
_MONTHS_ON = re.compile(r"(?:every |after )?(\d{1,3}) ?(?:months?|mths?|mo)\.?", re.I)
_USES = re.compile(r"(?:every |after )?\d[\d., ]* ?(?:clicks?|uses?|pulls?|cycles?|times)", re.I)


class NoDay(Exception):
    """A text that is no day, and the cure."""

    def __init__(self, reason: str, cure: str = "write it like 2026-11-20") -> None:
        super().__init__(reason, cure)
        self.reason = reason
        self.cure = cure


def order_settled(cells: Iterable[str]) -> str:
    """The order that some cell of the list shows by a number above 12; "" where none does."""
    shown = set()
    for cell in cells:
        if found := _SLASHED.fullmatch(cell.strip()):
            first, second = int(found[1]), int(found[2])
            if first > 12 >= second:
                shown.add("day first")
            elif second > 12 >= first:
                shown.add("month first")
    return shown.pop() if len(shown) == 1 else ""


def day(text: str, line: int, findings: Findings, settled: str) -> Day | None:
    """The day in a text; None after asking for the order of day and month. Raises NoDay.

    What a month or a number of uses is due by is kept as words; ``settled`` is the order
    that other cells show.
    """
    plain = " ".join(text.split())
    if re.search(r"(?![0-9])\d", plain):
        raise NoDay("has digits other than 0 to 9")
    if found := _ISO.fullmatch(plain):
        return Day(_date(plain, int(found[1]), int(found[3]), int(found[4])), plain)
    if found := _BASIC.fullmatch(plain):
        return Day(_date(plain, int(found[1]), int(found[2]), int(found[3])), plain)
    if found := _DOTTED.fullmatch(plain):
        return Day(_date(plain, _year(found[3]), int(found[2]), int(found[1])), plain)
    if found := _NAMED.fullmatch(plain):
        return Day(_date(plain, _year(found[3]), _month(found[2]), int(found[1])), plain)
    if found := _NAMED_FIRST.fullmatch(plain):
        return Day(_date(plain, _year(found[3]), _month(found[1]), int(found[2])), plain)
    if found := _SLASHED.fullmatch(plain):
        return _slashed(plain, found, line, findings, settled)
    if found := _MONTH.fullmatch(plain):
        month = _month(found[1]) if found[1] else int(found[4])
        if not 1 <= month <= 12:
            raise NoDay("is no month")
        return Day(None, f"{found[2] or found[3]}-{month:02d} (day unknown)")
    raise NoDay("is no day")


def due(text: str, line: int, findings: Findings, settled: str, since: date | None) -> Day | None:
    """When something is due: a day, so many months after the last check, or by count."""
    plain = " ".join(text.split())
    if found := _MONTHS_ON.fullmatch(plain):
        if since is None:
            return Day(None, f"{int(found[1])} months after the last check")
        return Day(months_on(since, int(found[1])), plain)
    if _USES.fullmatch(plain):
        return Day(None, f"by count: {plain}")
    return day(text, line, findings, settled)


def _slashed(
    plain: str, found: re.Match[str], line: int, findings: Findings, settled: str
) -> Day | None:
    first, second, year = int(found[1]), int(found[2]), _year(found[3])
    if first > 12 or second > 12:
        day_first = first > 12
    elif first == second:
        day_first = True
    else:
        likely = f"; another line shows {settled}, so that is likely here" if settled else ""
        words = f"{plain} could be day and month or month and day{likely}: which comes first?"
        told = findings.ask(QUESTION, words, _CHOICES, line)
        if not told:
            return None
        day_first = told == "day first"
    number, month = (first, second) if day_first else (second, first)
    return Day(_date(plain, year, month, number), plain)


def _date(text: str, year: int, month: int, number: int) -> date:
    try:
        return date(year, month, number)
    except ValueError:
        raise NoDay("is no day of the calendar") from None


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def _month(name: str) -> int:
    return _MONTHS.index(name[:3].lower()) + 1


_DAMAGED = re.compile(rf"(\d{{1,2}})[- ]{_NAMES}|{_NAMES}[- ](\d{{1,2}})", re.I)
# spreadsheets count days from the end of 1899; these are the years from 2000 to 2099
_SERIAL = re.compile(r"3[67]\d{3}|[45]\d{4}|6\d{4}|7[0-2]\d{3}")


def once_a_size(text: str) -> tuple[str, ...]:
    """Sizes that a spreadsheet may have made this day of, likelier first; () for other text."""
    plain = " ".join(text.split())
    if found := _DAMAGED.fullmatch(plain):
        number = int(found[1] or found[4])
        return _sizes(number, _month(found[2] or found[3]))
    if found := _SLASHED.fullmatch(plain):
        return _sizes(int(found[1]), int(found[2]), slashed="/" in plain)
    if found := _ISO.fullmatch(plain):
        return _sizes(int(found[3]), int(found[4]))
    if found := _DOTTED.fullmatch(plain):
        return _sizes(int(found[1]), int(found[2]))
    if _SERIAL.fullmatch(plain):
        made = date(1899, 12, 30) + timedelta(days=int(plain))
        return _sizes(made.month, made.day)
    return ()


def _sizes(one: int, other: int, *, slashed: bool = False) -> tuple[str, ...]:
    small, large = sorted((one, other))
    sizes = [f"{small}-{large}"]
    # sizes in fractions of an inch have 2, 4, 8 ... below and an odd number above
    if large in (2, 4, 8, 16, 32) and small % 2:
        sizes.insert(0 if slashed or large == 2 else 1, f"{small}/{large}")
    return tuple(sizes)
