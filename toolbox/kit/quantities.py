"""Quantities as people write them, read strictly into whole units and written back.

``read`` is the only way from text to a quantity and ``write`` the only way back;
``read(write(value, kind), kind) == value`` for every value from 0 up. Arithmetic
is exact (``Fraction``) up to one last half-up rounding to the whole unit.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from toolbox.kit.quantities_numbers import Refused, number, split
from toolbox.kit.quantities_units import FAMILIES, Kind, Unit, find_unit, kinds_of, units_in_words

__all__ = ["Kind", "QuantityError", "exact", "read", "write"]

_EXAMPLES = MappingProxyType(
    {
        Kind.MASS: "450 g, 1.2 kg or 1 lb 3 oz",
        Kind.STEP: "0.1 g or 50 mg",
        Kind.LENGTH: "230 mm, 9.5 mm or 5 7/8 in",
        Kind.FINE: "12.05 mm or 50 µm",
        Kind.TORQUE: "5 N·m or 44 in-lb",
        Kind.PRESSURE: "1.8 bar or 26 psi",
        Kind.VOLUME: "250 ml, 1 L or 8 fl oz",
        Kind.TIME: "2.4 s or 5 min",
        Kind.VOLTAGE: "3.6 V",
        Kind.CHARGE: "3000 mAh or 3 Ah",
        Kind.ENERGY: "90 Wh",
        Kind.PIECES: "3 or 3 pc",
    }
)

# Words that people write and that must not be taken for the unit they resemble.
_CURES = MappingProxyType(
    {
        ("gr", Kind.MASS): "gr is the grain; write g",
        ("oz", Kind.VOLUME): "write fl oz or ml for a volume",
        ("fl oz", Kind.MASS): "weigh it and write g",
        ("lb", Kind.TORQUE): "write in-lb or ft-lb",
        ("lbs", Kind.TORQUE): "write in-lb or ft-lb",
        ("kg", Kind.TORQUE): "write kgf cm or N·m",
        ("n", Kind.TORQUE): "write N·m",
        ("wh", Kind.CHARGE): "write mAh here and the voltage in V",
        ("pair", Kind.PIECES): "count single pieces: 1 pair is 2 pc",
        ("pairs", Kind.PIECES): "count single pieces: 3 pairs are 6 pc",
    }
)

_JOINERS = frozenset(("x", "×", "*", "–", "—", "−", "+", "/", "…", "to", "and", "bis"))


class QuantityError(ValueError):
    """A quantity that was refused: ``text`` as written, the ``reason``, the ``cure``.

    ``str()`` gives all three on one line.
    """

    def __init__(self, text: str, reason: str, cure: str) -> None:
        super().__init__(text, reason, cure)
        self.text = text
        self.reason = reason
        self.cure = cure

    def __str__(self) -> str:
        shown = self.text if len(self.text) <= 60 else f"{self.text[:57]}..."
        return f"{_on_one_line(shown)}: {self.reason}; {self.cure}"


def _on_one_line(text: str) -> str:
    """The text in double quotes, characters that do not print shown by their escapes."""
    escaped = (c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)
    return f'"{"".join(escaped)}"'


class _Amount(NamedTuple):
    number: Fraction
    unit: Unit


# Kits are read again after each change, and hold the same few thousand texts each time.
@lru_cache(maxsize=16384)
def read(text: str, kind: Kind, unit: str = "") -> int:
    """The quantity in whole units of its kind, rounded half up.

    Reads "450 g", "1.2 lb", "1 lb 3 oz", "1½ in", "5-7/8 in", "1' 2\"", "1,5 kg",
    "1 250 g", "44 in-lb". The unit is never left to guess; only PIECES go without.
    ``unit`` is a word for numbers that stand without one (a column's header says it).
    Raises QuantityError for anything that could mean two things: ranges, limits,
    signs, "about", "1,150 kg", unit words outside the fixed list.
    """
    value = exact(text, kind, unit)
    whole = (2 * value.numerator + value.denominator) // (2 * value.denominator)
    if whole == 0 and value:
        raise QuantityError(
            text, f"less than half of one {kind.unit}", "check its unit, or write 0"
        )
    return whole


def exact(text: str, kind: Kind, unit: str = "") -> Fraction:
    """Like ``read``, but not rounded: a fraction of the kind's whole unit."""
    try:
        pairs = split(text, marks_are_lengths=kind in (Kind.LENGTH, Kind.FINE))
        # in "1 lb 3" the unit of the 3 is unclear, so a given unit serves lone numbers only
        if len(pairs) == 1 and not pairs[0][1]:
            pairs = [(pairs[0][0], unit)]
        amounts = [_amount(run, word, kind) for run, word in pairs]
        if len(amounts) > 1:
            _check_family(amounts)
    except Refused as refused:
        raise QuantityError(text, refused.reason, refused.cure or _usual(kind)) from None
    return sum((amount.number * amount.unit.size() for amount in amounts), Fraction(0))


def _usual(kind: Kind) -> str:
    return f"write it like {_EXAMPLES[kind]}"


def _amount(run: str, word: str, kind: Kind) -> _Amount:
    if word.casefold() in _JOINERS:
        raise Refused("holds more than one number", f"write one amount, like {_EXAMPLES[kind]}")
    # a point or comma in a count is as likely a thousands mark as a decimal one
    if kind is Kind.PIECES and re.search(r"[.,/]", run):
        raise Refused("pieces are counted whole", "write a whole number without point or comma")
    value = number(run)
    unit = find_unit(word, kind)
    if unit is None:
        raise _unknown(word, kind)
    return _Amount(value, unit)


def _unknown(word: str, kind: Kind) -> Refused:
    if not word:
        return Refused("has no unit", _usual(kind))
    key = word.strip(".").casefold()
    others = kinds_of(word)
    # a unit in the wrong column is the commonest slip: say what it measures
    if others:
        names = " or ".join(other.value for other in others)
        reason = f"{word} is a unit of {names}, not of {kind.value}"
    else:
        reason = f"{_on_one_line(word)} is no known unit of {kind.value}"
    return Refused(reason, _CURES.get((key, kind)) or f"units: {units_in_words(kind)}")


def _check_family(amounts: list[_Amount]) -> None:
    """Only lb + oz, ft + in and the like may stand side by side, larger first, each whole."""
    names = [amount.unit.name for amount in amounts]
    family = next((f for f in FAMILIES if set(names) <= set(f)), None)
    cure = "write one amount with one unit"
    if family is None or sorted(set(names), key=family.index) != names:
        raise Refused("holds more than one amount", cure)
    for larger, smaller in pairwise(amounts):
        if larger.number.denominator != 1:
            raise Refused("only the last part may have a fraction", cure)
        if smaller.number * smaller.unit.size() >= larger.unit.size():
            raise Refused(
                f"the {smaller.unit.name} part is as large as a whole {larger.unit.name}", cure
            )


def write(value: int, kind: Kind) -> str:
    """The quantity in the form people read most easily; ``read`` gives the same value back.

    ``value`` is in whole units of the kind, 0 or more; ValueError when it is negative.
    """
    if value < 0:
        raise ValueError(f"a quantity of {kind.value} cannot be negative: {value}")
    if kind is Kind.TIME and value and value % 60_000 == 0:
        minutes = value // 60_000
        return f"{minutes} min" if minutes % 60 else f"{minutes // 60} h"
    # digits are cut, not divided: a float would not give every value back
    word, places = _form(value, kind)
    whole, rest = divmod(value, 10**places)
    decimals = f"{rest:0{places}d}".rstrip("0") if rest else ""
    return f"{whole}.{decimals} {word}" if decimals else f"{whole} {word}"


def _form(value: int, kind: Kind) -> tuple[str, int]:
    """The unit word, and how many decimal places it lies above the kind's whole unit."""
    # 1234 g stays in grams: 1.234 kg reads like a thousand to half of the world
    round_thousands = value >= 1000 and value % 10 == 0
    match kind:
        case Kind.MASS:
            return ("kg", 3) if round_thousands else ("g", 0)
        case Kind.STEP:
            return ("g", 3) if value >= 100 else ("mg", 0)
        case Kind.LENGTH:
            return "mm", 1
        case Kind.FINE:
            return ("mm", 3) if value >= 100 else ("µm", 0)
        case Kind.TORQUE:
            return "N·m", 3
        case Kind.PRESSURE:
            return "bar", 5
        case Kind.VOLUME:
            return ("L", 3) if round_thousands else ("ml", 0)
        case Kind.VOLTAGE:
            return "V", 3
        case Kind.ENERGY:
            return "Wh", 3
        case Kind.CHARGE:
            return "mAh", 0
        case Kind.PIECES:
            return "pc", 0
        case Kind.TIME:
            return "s", 3
