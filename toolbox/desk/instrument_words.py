"""Figures of instruments in words: readings in, values with their unit out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from toolbox.desk.instrument_history import Offset, Series
from toolbox.kit.quantities import Kind


class Unit(NamedTuple):
    """The unit in which people read an instrument, and what one is worth in whole units."""

    word: str
    worth: int


UNITS: Mapping[Kind, Unit] = MappingProxyType(
    {
        Kind.TORQUE: Unit("N·m", 1000),
        Kind.PRESSURE: Unit("bar", 100_000),
        Kind.FINE: Unit("mm", 1000),
        Kind.STEP: Unit("g", 1000),
    }
)


def figure(value: float | Fraction, kind: Kind, *, signed: bool = False) -> str:
    """A value in whole units as people read it, with at most three decimals: "1.82"."""
    thousandths = math.floor(Fraction(value) * 1000 / UNITS[kind].worth + Fraction(1, 2))
    whole, rest = divmod(abs(thousandths), 1000)
    decimals = f".{rest:03}".rstrip("0").rstrip(".")
    sign = "-" if thousandths < 0 else "+" if signed and thousandths else ""
    return f"{sign}{whole}{decimals}"


def valued(value: float | Fraction, kind: Kind, *, signed: bool = False) -> str:
    """The same with its unit: "1.82 bar"."""
    return f"{figure(value, kind, signed=signed)} {UNITS[kind].word}"


def offset_words(found: Series, value: Offset, kind: Kind) -> str:
    """One value of a series with its uncertainty: an error with its sign, a dimension without."""
    told = figure(value.value, kind, signed=found.at is not None)
    return f"{told} ± {figure(value.expanded, kind)}"


def series_words(found: Series, kind: Kind) -> str:
    """How fast a series goes and when it leaves its limits, as far as that can be said."""
    line, leaving = found.line, found.leaving
    if line is None or leaving is None:
        return "Too few checks for a trend: it takes three, on different days."
    if leaving.not_known:
        said = leaving.not_known.replace("not known: ", "not known, for ", 1)
        return f"When it leaves its limits: {said}."
    year = valued(line.per_day * 365, kind, signed=True)
    between = " and ".join(
        str(day) if day is not None else "nobody knows when"
        for day in (leaving.earliest, leaving.latest)
    )
    until = leaving.good_until or "beyond a hundred years"
    return f"It goes by {year} a year and leaves its limits after {until} (between {between})."
