"""Papers of a tool in cells: the parts of a set with mass and value of one, money, a year.

Parts stand in one cell: "bit x28 (6 g, 2.00 EUR) | handle x1", figures being those of one.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from toolbox.kit.quantities import Kind, QuantityError, read
from toolbox.kit.things import Money, Part

_MONEY = re.compile(r"(\d{1,9})(?:[.,](\d{1,2}))?(?: ?([A-Z]{3}))?")
_PART = re.compile(r"(.+?)(?: x(\d{1,4}))?(?: \(([^()]*)\))?")
_LIKE = 'write it like "bit x28 (6 g, 2.00 EUR) | handle x1"'


class CellFault(NamedTuple):
    """Why a cell cannot be read, and what to do."""

    wrong: str
    cure: str


def money_of(cell: str, currency: str = "") -> Money | CellFault:
    """An amount of money; ``currency`` is that of the header, for cells that name none."""
    found = _MONEY.fullmatch(cell)
    if found is None:
        return CellFault("is not an amount of money", 'write it like "45.00 EUR"')
    if not (found[3] or currency):
        cure = 'write it like "45.00 EUR", or name the currency in the header: "value each (EUR)"'
        return CellFault("has no currency", cure)
    return Money(int(found[1]) * 100 + int((found[2] or "").ljust(2, "0")), found[3] or currency)


def year_of(cell: str) -> int | CellFault:
    """A year of four figures."""
    if re.fullmatch(r"[0-9]{4}", cell) and 1900 <= int(cell) <= 2100:
        return int(cell)
    return CellFault("is no year", "write it like 2019")


def parts_of(cell: str) -> tuple[Part, ...] | CellFault:
    """The parts of a set."""
    parts: list[Part] = []
    for word in cell.split("|"):
        found = _PART.fullmatch(word.strip())
        if found is None or not 1 <= int(found[2] or 1) <= 9999:
            return CellFault("does not say the parts of a set", _LIKE)
        made = _with_figures(Part(found[1], int(found[2] or 1)), found[3])
        if isinstance(made, CellFault):
            return made
        parts.append(made)
    return tuple(parts)


def _with_figures(part: Part, figures: str | None) -> Part | CellFault:
    grams, value = part.grams, part.value
    for figure in () if figures is None else map(str.strip, figures.split(",")):
        money = money_of(figure)
        try:
            if isinstance(money, Money) and value is None:
                value = money
            elif grams is None:
                grams = read(figure, Kind.MASS)
            else:
                return CellFault(f'"{figure}" is said twice of one {part.name}', _LIKE)
        except QuantityError:
            return CellFault(f'"{figure}" is no mass and no value of one {part.name}', _LIKE)
    if grams == 0:
        return CellFault(f"one {part.name} weighs nothing", "give its mass, or leave that out")
    return Part(part.name, part.count, grams, value)
