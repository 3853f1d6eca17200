"""Field types of the file layer: what a text, a quantity, a date in TOML must look like.

Each refuses with a code of its own and carries its own words; see ``wording``.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from types import MappingProxyType
from typing import Annotated, Any, NoReturn, TypeVar

from pydantic import AfterValidator, Field, PlainValidator
from pydantic_core import PydanticCustomError

from toolbox.files.problems import listed, nearest
from toolbox.kit.quantities import Kind, QuantityError, read, write
from toolbox.kit.things import DIAL_KINDS, Money
from toolbox.kit.work import Pick

_E = TypeVar("_E", bound=Enum)

# Far above any toolbox, far below where sums of products leave 64 bits.
_HEAVIEST = 1_000_000
_LONGEST = 1_000_000

_EXAMPLES = MappingProxyType(
    {
        Kind.MASS: 450,
        Kind.STEP: 100,
        Kind.LENGTH: 1200,
        Kind.FINE: 12050,
        Kind.TORQUE: 5_000,
        Kind.PRESSURE: 180_000,
        Kind.VOLUME: 250,
        Kind.PIECES: 10,
        Kind.TIME: 2400,
        Kind.VOLTAGE: 7400,
        Kind.CHARGE: 3000,
        Kind.ENERGY: 90_000,
    }
)


_DIAL = '"5 N·m", "1.8 bar", "0.05 mm" or "0.1 g"'
YEARS = range(1900, 2200)  # of days in files


def refuse(code: str, wrong: str, cure: str) -> NoReturn:
    """Refuse a value with words of our own; ``wrong`` follows the key and the value."""
    raise PydanticCustomError(code, "refused", {"wrong": wrong, "cure": cure})


def like(kind: Kind) -> str:
    """How a quantity of this kind is written in a file, quotes included."""
    return f'"{write(_EXAMPLES[kind], kind)}"'


def amount(value: object, kind: Kind, least: int = 0, most: int | None = None) -> int:
    """A quantity in whole units of its kind, within its limits; refused with words otherwise."""
    if not isinstance(value, str):
        bare = isinstance(value, int | Decimal) and not isinstance(value, bool)
        wrong = "has no unit" if bare else f"is not a quantity of {kind.value}"
        refuse("quantity", wrong, f"write it like {like(kind)}")
    try:
        whole = read(value, kind)
    except QuantityError as error:
        refuse("quantity", f"cannot be read: {error.reason}", error.cure)
    if whole < least:
        refuse("quantity_limits", "is too little", f"write {write(least, kind)} or more")
    if most is not None and whole > most:
        refuse("quantity_limits", "is too much", f"write at most {write(most, kind)}")
    return whole


def _quantity(kind: Kind, least: int = 0, most: int | None = None) -> PlainValidator:
    return PlainValidator(lambda value: amount(value, kind, least, most))


def _one_line(text: str) -> str:
    return _without_controls(text, "")


def _name(text: str) -> str:
    if not text.strip():
        refuse("empty", "says nothing", "write at least one letter")
    return _one_line(text)


def _note(text: str) -> str:
    return _without_controls(text, "\n\t")


def _without_controls(text: str, allowed: str) -> str:
    # "C:\temp" between double quotes holds a tab, for so TOML reads \t
    if any(unicodedata.category(c) == "Cc" and c not in allowed for c in text):
        refuse(
            "control",
            "holds a control character",
            "write a text with a backslash between single quotes, on one line",
        )
    return text


def is_id(text: str) -> bool:
    """True for a text that can be an id."""
    return re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}", text) is not None


def _checked_id(text: str) -> str:
    if not is_id(text):
        refuse(
            "id",
            "cannot be an id",
            "use up to 40 letters, digits, - _ and . and begin with a letter or digit",
        )
    return text


def _checked_day(value: object) -> date:
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value):
        try:
            value = date.fromisoformat(value)
        except ValueError:
            refuse("day", "is no day of the calendar", "write it like 2026-01-31")
    # a TOML date with a clock time is a datetime, and that is a date to Python
    if not isinstance(value, date) or isinstance(value, datetime):
        refuse("day", "is not a date", "write year, month and day like 2026-01-31")
    # lives and intervals are counted on from it, and must not leave the calendar
    if value.year not in YEARS:
        cure = f"write a year from {YEARS[0]} to {YEARS[-1]}"
        refuse("day", "is hardly the day that is meant", cure)
    return value


def _checked_money(value: object) -> Money:
    pattern = r"(\d{1,9})(?:[.,](\d{2}))? ?([A-Z]{3})"
    found = re.fullmatch(pattern, value) if isinstance(value, str) else None
    if found is None:
        refuse("money", "is not an amount of money", 'write it like "45.00 EUR"')
    return Money(int(found[1]) * 100 + int(found[2] or 0), found[3])


def _checked_number(value: object) -> Fraction:
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        refuse("number", "is not a number", "write it like 1.5, without quotes")
    # the order matters: nan compares with nothing, and 1e999999999 must not become a Fraction
    if isinstance(value, Decimal) and not value.is_finite():
        refuse("number", "is no number to reckon with", "write it like 1.5")
    if not 0 <= value <= 1000:
        refuse("number", "is out of bounds", "write a number from 0 to 1000")
    if isinstance(value, Decimal) and int(value.as_tuple().exponent) < -6:
        refuse("number", "has too many decimals", "write at most six of them")
    return Fraction(value)


def _checked_weight(value: Fraction) -> Fraction:
    if value <= 0:
        refuse("number", "is out of bounds", "write a number above 0")
    return value


def pick_of(text: str) -> Pick | None:
    """The tool taken up and how often, out of "T5" or "T5 x2"; None for anything else."""
    found = re.fullmatch(r"(\S+)(?: +[x×] ?([1-9]\d{0,2}))?", text)
    return Pick(found[1], int(found[2] or 1)) if found else None


def _checked_pick(value: object) -> Pick:
    pick = pick_of(value) if isinstance(value, str) else None
    if pick is None:
        refuse("pick", "is not a tool taken up", 'write the id, or "T5 x2" for twice')
    return pick


def _checked_land(text: str) -> str:
    if not re.fullmatch(r"[A-Z]{2}|", text):
        refuse("origin", "is no country code", 'write two capitals like "XX" (ISO 3166-1)')
    return text


def _checked_currency(text: str) -> str:
    if not re.fullmatch(r"[A-Z]{3}|", text):
        refuse("currency", "is no currency", 'write three capitals like "EUR" (ISO 4217)')
    return text


def _checked_amount(value: object) -> str:
    # which unit it takes hangs on the supply's measure, and that is known later
    if not isinstance(value, str):
        bare = isinstance(value, int | Decimal) and not isinstance(value, bool)
        wrong = "has no unit" if bare else "is not an amount"
        refuse("amount", wrong, 'write it like "250 ml" or "10 pc"')
    return value


def _checked_position(corner: list[int]) -> list[int]:
    if len(corner) != 3:
        refuse(
            "position",
            f"with {len(corner)} values is no place",
            "write exactly three: from the left, from the front, from the bottom",
        )
    return corner


def _checked_flash_point(value: object) -> int:
    # a scale with two zeros and signs below it: read here, for no other key holds one
    found = re.fullmatch(r"([-−]?)(\d{1,3}) ?°C", value) if isinstance(value, str) else None
    if found is None:
        refuse("flash_point", "is not a flash point", 'write whole degrees like "61 °C"')
    return -int(found[2]) if found[1] else int(found[2])


def _checked_dial(value: object) -> tuple[Kind, int]:
    # the unit says what the instrument measures: no two of these kinds share one
    if not isinstance(value, str):
        bare = isinstance(value, int | Decimal) and not isinstance(value, bool)
        wrong = "has no unit" if bare else "is not a quantity"
        refuse("quantity", wrong, f"write it like {_DIAL}")
    for kind in DIAL_KINDS:
        try:
            found = read(value, kind)
        except QuantityError:
            continue
        if found == 0:
            refuse("quantity", "is nothing", "write more than that or take it out")
        return kind, found
    refuse("quantity", "cannot be read as what an instrument measures", f"write it like {_DIAL}")


def _checked_tolerance(value: object) -> tuple[Kind, int] | Fraction:
    percent = r"(\d{1,2}(?:[.,]\d{1,3})?) ?%"
    found = re.fullmatch(percent, value) if isinstance(value, str) else None
    if found is None:
        return _checked_dial(value)
    share = Fraction(found[1].replace(",", "."))
    if share <= 0:
        refuse("quantity", "is nothing", "write more than that or take it out")
    return share


def one_of(words: type[_E]) -> PlainValidator:
    """One word out of a fixed list, given as the members of an enumeration."""

    def check(value: object) -> _E:
        for member in words:
            if value == member.value:
                return member
        known = [str(member.value) for member in words]
        close = nearest(value, known) if isinstance(value, str) else None
        cure = f'did you mean "{close}"' if close else f"write {listed(known, 'or')}"
        refuse("word", "is not one of the words for it", cure)

    return PlainValidator(check)


def whole(least: int, most: int) -> Any:
    """A plain count within limits, no unit."""
    return Field(ge=least, le=most)


Name = Annotated[str, AfterValidator(_name)]
Line = Annotated[str, AfterValidator(_one_line)]
Note = Annotated[str, AfterValidator(_note)]
Amount = Annotated[str, PlainValidator(_checked_amount)]
Id = Annotated[str, AfterValidator(_checked_id)]
Land = Annotated[str, AfterValidator(_checked_land)]
Currency = Annotated[str, AfterValidator(_checked_currency)]
Day = Annotated[date, PlainValidator(_checked_day)]
Cash = Annotated[Money, PlainValidator(_checked_money)]
Taken = Annotated[Pick, PlainValidator(_checked_pick)]
Number = Annotated[Fraction, PlainValidator(_checked_number)]
Weight = Annotated[Fraction, PlainValidator(_checked_number), AfterValidator(_checked_weight)]

Mass = Annotated[int, _quantity(Kind.MASS, 1, _HEAVIEST)]
MassOrNone = Annotated[int, _quantity(Kind.MASS, 0, _HEAVIEST)]
ScaleStep = Annotated[int, _quantity(Kind.STEP, 1)]
Length = Annotated[int, _quantity(Kind.LENGTH, 1, _LONGEST)]
Place = Annotated[int, _quantity(Kind.LENGTH, 0, _LONGEST)]
Corner = Annotated[list[Place], AfterValidator(_checked_position)]
Fine = Annotated[int, _quantity(Kind.FINE)]
Torque = Annotated[int, _quantity(Kind.TORQUE, 1)]
OnDial = Annotated[tuple[Kind, int], PlainValidator(_checked_dial)]
Tolerance = Annotated[tuple[Kind, int] | Fraction, PlainValidator(_checked_tolerance)]
Time = Annotated[int, _quantity(Kind.TIME, 1)]
Volume = Annotated[int, _quantity(Kind.VOLUME, 1)]
Voltage = Annotated[int, _quantity(Kind.VOLTAGE, 1)]
Charge = Annotated[int, _quantity(Kind.CHARGE, 1)]
Energy = Annotated[int, _quantity(Kind.ENERGY, 1)]
FlashPoint = Annotated[int, PlainValidator(_checked_flash_point)]
