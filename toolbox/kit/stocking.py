"""What happens to stocks outside the work: counted, bought, brought to the box, thrown away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum


class Where(Enum):
    """The two places a supply is kept in; the value is the word shown."""

    BOX = "box"
    RESERVE = "reserve"  # the van or the workshop


@dataclass(frozen=True, slots=True)
class StockCounted:
    """So much of a supply is there, in its own measure, whatever was written down before."""

    supply: str
    where: Where
    amount: int


@dataclass(frozen=True, slots=True)
class Bought:
    """So much of a supply came in from outside, with what is printed on it."""

    supply: str
    amount: int
    where: Where = Where.RESERVE
    lot: str = ""
    best_before: date | None = None


@dataclass(frozen=True, slots=True)
class Refilled:
    """So much of a supply was carried over to ``where`` from the other place."""

    supply: str
    amount: int
    where: Where = Where.BOX


@dataclass(frozen=True, slots=True)
class Wasted:
    """So much of a supply was spilt, dried up or thrown away."""

    supply: str
    amount: int
    where: Where = Where.BOX
    note: str = ""


@dataclass(frozen=True, slots=True)
class Opened:
    """A fresh pack of a supply was opened on this day: its life once opened begins."""

    supply: str
    day: date
    lot: str = ""
    best_before: date | None = None


SaidOfStock = StockCounted | Bought | Refilled | Wasted | Opened
