"""Stocks in sentences that commands, findings and screens share."""

from __future__ import annotations

from datetime import date

from toolbox.desk.figures import count
from toolbox.desk.stock import Holding
from toolbox.kit.stocking import Where
from toolbox.stock.ledger import Kind, Line

_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

PAST = ", which is past"  # behind what ends the life of a supply that is out of date


def day_words(day: date, today: date) -> str:
    """A day that is to come: tomorrow, a day of the coming week by its name, else its date."""
    ahead = (day - today).days
    if ahead == 1:
        return "tomorrow"
    return _DAYS[day.weekday()] if ahead < 7 else f"{_DAYS[day.weekday()]} {day}"


def chance_words(chance: float) -> str:
    """A chance in whole per cent, never a 0 or a 100 that is none."""
    if 0 < chance < 0.005:
        return "under 1 %"
    return "over 99 %" if 0.995 <= chance < 1 else f"{chance:.0%}".replace("%", " %")


def run_out_words(day: date, chance: float, today: date) -> str:
    """ "runs out by Saturday with 12 % chance"."""
    return f"runs out by {day_words(day, today)} with {chance_words(chance)} chance"


def left_words(held: Holding) -> str:
    """What is left of a supply and where that figure comes from."""
    account, left = held.account, held.left
    if left is None:
        return "nobody has said how much is there"
    drawn = sum(line.change.amount for line in account.lines)
    opening = (account.opening.box or 0) + (account.opening.reserve or 0)
    if any(line.change.kind is not Kind.USED for line in account.lines):
        if left < 0:
            return f"none left, {held.amount(-left)} more drawn than came in: count again"
        return f"{held.amount(left)} left by the book" if left else "none left by the book"
    there, used = held.amount(opening), held.amount(drawn)
    if not drawn:
        return f"{there} there"
    if left < 0:
        return f"none left, {used} logged and {there} on the list: count again"
    if left == 0:
        return f"none left, all {there} on the list are logged as used"
    return f"about {held.amount(left)} left ({there} on the list less {used} logged)"


def against_words(held: Holding, level: str) -> str:
    """What is left of a supply beside the level that should be there, in words."""
    parted = "," if held.left is None or held.left > 0 else ";"
    return f"{left_words(held)}{parted} {level}"


def place_words(held: Holding, where: Where) -> str:
    """What is there in one place: an amount, or why there is no figure."""
    book = held.account.book(where)
    if book is None:
        return "not counted"
    return held.amount(book) if book >= 0 else "count again"


def cover_words(held: Holding) -> str:
    """For how long it lasts at this week's rate."""
    if held.cover is None:
        return "none used this week" if held.good is not None else "not known"
    return count(held.cover, "day")


def line_words(held: Holding, line: Line) -> str:
    """One line of the ledger: what happened to the stock."""
    change, amount = line.change, held.amount(line.change.amount)
    place = change.where.value
    other = (Where.RESERVE if change.where is Where.BOX else Where.BOX).value
    words = {
        Kind.USED: f"used {amount}",
        Kind.BOUGHT: f"bought {amount} for the {place}",
        Kind.REFILLED: f"moved {amount} from the {other} to the {place}",
        Kind.WASTED: f"threw away {amount} from the {place}",
        Kind.COUNTED: f"counted {amount} in the {place}",
    }[change.kind]
    if line.short:
        words += f", {held.amount(line.short)} more than the book had"
    if line.off:
        more = "more" if line.off > 0 else "less"
        words += f", {held.amount(abs(line.off))} {more} than by the book"
    return words


def good_words(held: Holding) -> str:
    """Until when it is good, and why; "" when nobody gave a date."""
    life = held.life(held.home)
    if life is None:
        return ""
    if life.last_day is None:
        return life.unsaid
    past = ", which is past" if life.out_of_date(held.day) else ""
    return f"{life.why}{past}" + (f"; {life.unsaid}" if life.unsaid else "")
