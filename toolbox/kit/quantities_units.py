"""The fixed list of unit words, and what each is worth in the whole unit of its kind.

Metric units are plain powers of ten. Others go through pint, in a registry of our
own with the few definitions needed, loaded when the first of them is met; pint is
given unit names from this list and never a text that somebody typed.

Sources: inch and pound by the international yard and pound agreement of 1959
(1 in = 25.4 mm, 1 lb = 453.59237 g); standard gravity 9.80665 m/s² (3rd CGPM, 1901);
US fluid ounce = 231/128 cubic inches (NIST Handbook 44, appendix C); imperial fluid
ounce = 4.54609 L / 160 (Weights and Measures Act 1985).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint


class Kind(Enum):
    """What is measured; each kind is kept in one whole unit of its own."""

    MASS = "mass"
    STEP = "scale step"
    LENGTH = "length"
    FINE = "gauge dimension"
    TORQUE = "torque"
    PRESSURE = "pressure"
    VOLUME = "volume"
    TIME = "time"
    VOLTAGE = "voltage"
    CHARGE = "charge"
    ENERGY = "energy"
    PIECES = "pieces"

    @property
    def unit(self) -> str:
        """The whole unit in which quantities of this kind are kept."""
        return _WHOLE_UNITS[self]


_WHOLE_UNITS = MappingProxyType(
    {
        Kind.MASS: "gram",
        Kind.STEP: "milligram",
        Kind.LENGTH: "tenth of a millimetre",
        Kind.FINE: "micrometre",
        Kind.TORQUE: "millinewton metre",
        Kind.PRESSURE: "pascal",
        Kind.VOLUME: "millilitre",
        Kind.TIME: "millisecond",
        Kind.VOLTAGE: "millivolt",
        Kind.CHARGE: "milliampere hour",
        Kind.ENERGY: "milliwatt hour",
        Kind.PIECES: "piece",
    }
)


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: its usual name, and its worth as a plain fraction or by pint.

    ``foreign`` is pint's expression for the unit and ``target`` the metric unit that
    ``worth`` is then counted in.
    """

    name: str
    worth: Fraction
    foreign: str = ""
    target: str = ""

    def size(self) -> Fraction:
        """How many whole units of the kind one of these is, exactly."""
        return self.worth * _converted(self.foreign, self.target) if self.foreign else self.worth


# Each line: usual name, worth in the whole unit, words. The first word is shown in messages.
_Line = tuple[str, Fraction, str, str, str]


def _metric(name: str, worth: int | Fraction, words: str) -> _Line:
    return (name, Fraction(worth), "", "", words)


def _foreign(name: str, worth: int, foreign: str, target: str, words: str) -> _Line:
    return (name, Fraction(worth), foreign, target, words)


def _masses(gram: int) -> tuple[_Line, ...]:
    return (
        _metric("g", gram, "g|gram|grams|gramme|grammes"),
        _metric("kg", 1000 * gram, "kg|kgs|kilo|kilos|kilogram|kilograms|kilogramme|kilogrammes"),
        _metric("mg", Fraction(gram, 1000), "mg|milligram|milligrams"),
        _foreign("lb", gram, "pound", "gram", "lb|lbs|pound|pounds"),
        _foreign("oz", gram, "ounce", "gram", "oz|ounce|ounces"),
    )


def _lengths(millimetre: int) -> tuple[_Line, ...]:
    mm = millimetre
    return (
        _metric("mm", mm, "mm|millimetre|millimetres|millimeter|millimeters"),
        _metric("cm", 10 * mm, "cm|centimetre|centimetres|centimeter|centimeters"),
        _metric("m", 1000 * mm, "m|metre|metres|meter|meters"),
        _metric(
            "µm",
            Fraction(mm, 1000),
            "µm|um|micron|microns|micrometre|micrometres|micrometer|micrometers",
        ),
        _foreign("in", mm, "inch", "millimetre", "in|inch|inches"),
        _foreign("ft", mm, "foot", "millimetre", "ft|foot|feet"),
    )


# Torques are written in either order in the trade: in-lb as well as lbf·in.
_NM = "n m|nm|newton metre|newton metres|newton meter|newton meters"
_IN_LB = (
    "in lb|inlb|in lbs|inlbs|in lbf|inlbf|lb in|lbin|lbs in|lbf in|lbfin"
    "|inch pound|inch pounds|pound inch|pound inches"
)
_FT_LB = (
    "ft lb|ftlb|ft lbs|ftlbs|ft lbf|ftlbf|lb ft|lbft|lbs ft|lbf ft|lbfft"
    "|foot pound|foot pounds|pound foot|pound feet"
)
_TORQUES = (
    _metric("N·m", 1000, _NM),
    _metric("mN·m", 1, "mn m|mnm"),
    _metric("cN·m", 10, "cn m|cnm"),
    _metric("dN·m", 100, "dn m|dnm"),
    _foreign("in-lb", 1000, "inch * pound_force", "newton * metre", _IN_LB),
    _foreign("ft-lb", 1000, "foot * pound_force", "newton * metre", _FT_LB),
    _foreign(
        "in-oz",
        1000,
        "inch * ounce_force",
        "newton * metre",
        "in oz|inoz|in ozf|inozf|oz in|ozin|ozf in|ozfin",
    ),
    _foreign(
        "kgf·cm",
        1000,
        "kilogram_force * centimetre",
        "newton * metre",
        "kgf cm|kgfcm|kg cm|kgcm|kp cm|kpcm",
    ),
    _foreign(
        "kgf·m", 1000, "kilogram_force * metre", "newton * metre", "kgf m|kgfm|kg m|kgm|kp m|kpm"
    ),
)
# MPa is left out: it differs from the millipascal by case alone, and no tyre needs it
_PRESSURES = (
    _metric("bar", 100_000, "bar|bars"),
    _metric("mbar", 100, "mbar|millibar|millibars"),
    _metric("Pa", 1, "pa|pascal|pascals"),
    _metric("hPa", 100, "hpa|hectopascal|hectopascals"),
    _metric("kPa", 1000, "kpa|kilopascal|kilopascals"),
    _foreign("psi", 1, "pound_force / inch ** 2", "newton / metre ** 2", "psi"),
)
# fl oz alone is the US one; pints and gallons are left out, for nobody says whose they are
_VOLUMES = (
    _metric("ml", 1, "ml|millilitre|millilitres|milliliter|milliliters|cc|ccm|cm³"),
    _metric("cl", 10, "cl|centilitre|centilitres|centiliter|centiliters"),
    _metric("dl", 100, "dl|decilitre|decilitres|deciliter|deciliters"),
    _metric("L", 1000, "l|litre|litres|liter|liters"),
    _foreign(
        "fl oz",
        1,
        "us_fluid_ounce",
        "millilitre",
        "fl oz|floz|fluid ounce|fluid ounces|us fl oz|us fluid ounce|us fluid ounces",
    ),
    _foreign(
        "imp fl oz",
        1,
        "imperial_fluid_ounce",
        "millilitre",
        "imp fl oz|imperial fl oz|imperial fluid ounce|imperial fluid ounces|uk fl oz",
    ),
)
_TIMES = (
    _metric("s", 1000, "s|sec|secs|second|seconds"),
    _metric("ms", 1, "ms|millisecond|milliseconds"),
    _metric("min", 60_000, "min|mins|minute|minutes"),
    _metric("h", 3_600_000, "h|hr|hrs|hour|hours"),
)
_LINES = MappingProxyType(
    {
        Kind.MASS: _masses(1),
        Kind.STEP: _masses(1000),
        Kind.LENGTH: _lengths(10),
        Kind.FINE: _lengths(1000),
        Kind.TORQUE: _TORQUES,
        Kind.PRESSURE: _PRESSURES,
        Kind.VOLUME: _VOLUMES,
        Kind.TIME: _TIMES,
        Kind.VOLTAGE: (
            _metric("V", 1000, "v|volt|volts"),
            _metric("mV", 1, "mv|millivolt|millivolts"),
        ),
        Kind.CHARGE: (
            _metric("mAh", 1, "mah|ma h|milliamp hour|milliamp hours"),
            _metric("Ah", 1000, "ah|a h|amp hour|amp hours|ampere hour|ampere hours"),
        ),
        Kind.ENERGY: (
            _metric("Wh", 1000, "wh|w h|watt hour|watt hours"),
            _metric("mWh", 1, "mwh|mw h|milliwatt hour|milliwatt hours"),
            _metric("kWh", 1_000_000, "kwh|kw h|kilowatt hour|kilowatt hours"),
        ),
        Kind.PIECES: (_metric("pc", 1, "|pc|pcs|piece|pieces"),),
    }
)

# Units that may stand side by side in one quantity, larger before smaller.
FAMILIES = (("lb", "oz"), ("ft", "in"), ("kg", "g"), ("m", "cm", "mm"), ("h", "min", "s"))

_WORDS = MappingProxyType(
    {
        kind: MappingProxyType(
            {
                word: Unit(name, worth, foreign, target)
                for name, worth, foreign, target, words in lines
                for word in words.split("|")
            }
        )
        for kind, lines in _LINES.items()
    }
)

# mega and milli differ by case alone: these words are read only with a small m.
_SMALL_M = frozenset({"mg", "mv", "ms", "mnm", "mn m", "mwh", "mw h", "mbar"})
_LETTERS = re.compile(r"[^\W\d_]+³?(?:(?: |[.·⋅∙•*\-‐‑] ?)[^\W\d_]+)*\.?")


def find_unit(word: str, kind: Kind) -> Unit | None:
    """The unit that a word stands for in that kind; None when it is not in the fixed list.

    Case does not matter but for mega and milli; one point may close the word, and the
    parts of a two-word unit may be joined by a blank, point, raised dot or hyphen.
    """
    if not word:
        return _WORDS[kind].get("")
    if not _LETTERS.fullmatch(word):
        return None
    # the joiner does not matter: N·m, N-m, N.m and N m are one word from here on
    parts = " ".join(re.findall(r"[^\W\d_]+³?", word))
    key = parts.lower().replace("\u03bc", "µ")
    if key in _SMALL_M and not parts.startswith("m"):
        return None
    return _WORDS[kind].get(key)


def kinds_of(word: str) -> list[Kind]:
    """The kinds in which a word is a unit, for messages; scale step and gauge stay out."""
    plain = (kind for kind in Kind if kind not in (Kind.STEP, Kind.FINE))
    return [kind for kind in plain if word and find_unit(word, kind)]


def units_in_words(kind: Kind) -> str:
    """The usual names of a kind's units, for messages: "g, kg, mg, lb, oz"."""
    return ", ".join(line[0] for line in _LINES[kind])


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    """Our own registry: exact, with nothing in it but what the list above asks for."""
    import pint

    # None: without pint's own file of a thousand units, and many times faster
    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(None, non_int_type=Fraction)
    for line in (
        "metre = [length]",
        "gram = [mass]",
        "second = [time]",
        "millimetre = metre / 1000",
        "centimetre = metre / 100",
        "millilitre = centimetre ** 3",
        "inch = 25.4 * millimetre",
        "foot = 12 * inch",
        "kilogram = 1000 * gram",
        "pound = 453.59237 * gram",
        "ounce = pound / 16",
        "newton = kilogram * metre / second ** 2",
        "kilogram_force = 9.80665 * newton",
        "pound_force = 9.80665 * pound * metre / second ** 2",
        "ounce_force = pound_force / 16",
        "us_fluid_ounce = 231 / 128 * inch ** 3",
        "imperial_fluid_ounce = 4546.09 / 160 * millilitre",
    ):
        registry.define(line)
    return registry


@cache
def _converted(foreign: str, target: str) -> Fraction:
    """How many of the target unit one foreign unit is; pint refuses another dimension."""
    # .to() checks the dimension too: a slip in the list above cannot pass as a torque
    one = _registry().Quantity(Fraction(1), foreign)
    return Fraction(one.to(target).magnitude)
