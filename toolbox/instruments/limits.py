"""How far off an instrument may be: torque tools, pressure gauges, and plain tolerances.

Torque tools by ISO 6789-1:2017 (test points as of 2003 where nobody names the lowest marked
value), Bourdon pressure gauges by EN 837-1:1996. Each row says whether it was read in a text
or stands here from memory. Errors are shown less true, in whole units: milli-newton-metres,
pascals, micrometres, milligrams. The steps of scales (R 76) come in as ``BandLimits``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from toolbox.instruments.readings import error_of
from toolbox.instruments.verdicts import Allowed
from toolbox.kit.checking import Reading
from toolbox.kit.things import Gauge

# A reading stands for a point when it is no further from it than this share of the range.
# Common practice, no source: scales of tools do not always have a mark at 60 %.
NEAR = Fraction(2, 100)


class Status(Enum):
    """Where a figure comes from; the value is the word shown."""

    SEEN = "seen in a text"
    MEMORY = "from memory, look it up before relying on it"
    OWN = "the user's or maker's own"


class TorqueClass(Enum):
    """Types and classes of hand torque tools in ISO 6789-1: type I shows, type II is set."""

    I_A = "I A"
    I_B = "I B"
    I_C = "I C"
    I_D = "I D"
    I_E = "I E"
    II_A = "II A"
    II_B = "II B"
    II_C = "II C"
    II_D = "II D"
    II_E = "II E"
    II_F = "II F"
    II_G = "II G"

    @property
    def words(self) -> str:
        """What tools of this class look like."""
        return _TORQUE[self].words

    @property
    def is_set(self) -> bool:
        """True for type II: set beforehand, it clicks or slips."""
        return self.value.startswith("II")

    @property
    def has_spring(self) -> bool:
        """True for tools that are adjusted, and so wound down after use."""
        return self.is_set and self not in _FIXED


class _Row(NamedTuple):
    words: str
    percent: int  # up to 10 N·m
    larger_percent: int  # above
    readings: int  # for each point
    status: Status


# Permissible deviation by the tool's maximum; the one row seen is II A.
SMALL_MNM = 10_000
_TORQUE: Mapping[TorqueClass, _Row] = MappingProxyType(
    {
        TorqueClass.I_A: _Row("bending or torsion beam with pointer", 6, 6, 5, Status.MEMORY),
        TorqueClass.I_B: _Row("stiff housing, scale or dial", 6, 4, 5, Status.MEMORY),
        TorqueClass.I_C: _Row("stiff housing, electronic", 6, 4, 5, Status.MEMORY),
        TorqueClass.I_D: _Row("screwdriver, scale or dial", 6, 6, 5, Status.MEMORY),
        TorqueClass.I_E: _Row("screwdriver, electronic", 6, 4, 5, Status.MEMORY),
        TorqueClass.II_A: _Row("adjustable, with a scale", 6, 4, 5, Status.SEEN),
        TorqueClass.II_B: _Row("fixed to one torque", 6, 4, 5, Status.MEMORY),
        TorqueClass.II_C: _Row("adjustable, without a scale", 6, 6, 10, Status.MEMORY),
        TorqueClass.II_D: _Row("screwdriver, adjustable, with a scale", 6, 4, 5, Status.MEMORY),
        TorqueClass.II_E: _Row("screwdriver, fixed to one torque", 6, 4, 5, Status.MEMORY),
        TorqueClass.II_F: _Row("screwdriver, adjustable, no scale", 6, 6, 10, Status.MEMORY),
        TorqueClass.II_G: _Row("bending beam, adjustable, with a scale", 6, 6, 5, Status.MEMORY),
    }
)
_FIXED = frozenset({TorqueClass.II_B, TorqueClass.II_E})
# In hundredths of the maximum (2003); the 2017 text has the lowest marked value first.
TORQUE_POINTS = (20, 60, 100)
# The room while a torque tool is checked, in whole degrees Celsius.
TORQUE_CELSIUS = (18, 28)


def deviation_percent(shown: int, reference: int) -> Fraction:
    """a_s = (x_a - x_r) / x_r in per cent, as ISO 6789 defines it (from memory).

    ``shown`` is what was set or indicated, ``reference`` what the reference said, in one
    unit. ValueError where the reference shows nothing.
    """
    if reference <= 0:
        raise ValueError("no deviation: the reference shows no torque")
    return Fraction(100 * (shown - reference), reference)


@dataclass(frozen=True, slots=True)
class TorqueLimits:
    """A hand torque tool: its class, its maximum, its lowest marked value where it has one.

    ``own_percent`` is a limit of the maker or user and goes before the standard's.
    """

    tool_class: TorqueClass
    most_mnm: int
    lowest_mnm: int | None = None
    own_percent: Fraction | None = None
    every_reading = True
    two_ways = False

    @property
    def percent(self) -> Fraction:
        """The permissible deviation to either side, per cent of the true torque."""
        if self.own_percent is not None:
            return self.own_percent
        row = _TORQUE[self.tool_class]
        return Fraction(row.percent if self.most_mnm <= SMALL_MNM else row.larger_percent)

    @property
    def status(self) -> Status:
        """Where the limit comes from."""
        return Status.OWN if self.own_percent is not None else _TORQUE[self.tool_class].status

    @property
    def readings(self) -> int:
        """How many readings the standard asks for at each point (from memory)."""
        return _TORQUE[self.tool_class].readings

    def required(self) -> tuple[Fraction, ...]:
        """The points that must be read: 20, 60 and 100 % of the maximum.

        A named lowest marked value takes the place of 20 %, and nothing below it is asked
        for. A tool fixed to one torque is read there.
        """
        if self.tool_class in _FIXED:
            return (Fraction(self.most_mnm),)
        points = [Fraction(self.most_mnm * share, 100) for share in TORQUE_POINTS]
        if self.lowest_mnm is None:
            return tuple(points)
        return (Fraction(self.lowest_mnm), *(p for p in points[1:] if p > self.lowest_mnm))

    def serves(self, at: int, point: Fraction) -> bool:
        """True when a reading meant for ``at`` can stand for a required point."""
        return abs(at - point) <= NEAR * self.most_mnm

    def allowed(self, reading: Reading) -> Allowed | None:
        """The limits at a reading; None outside the range in which the standard has any."""
        first = self.required()[0]
        in_range = self.serves(reading.at, first) or first <= reading.at
        if not in_range or reading.at > self.most_mnm * (1 + NEAR):
            return None
        half = reading.reference * self.percent / 100
        return Allowed(-half, half)

    def in_percent(self, reading: Reading) -> Fraction | None:
        """The deviation a_s in per cent of the true torque."""
        return deviation_percent(reading.shown, reading.reference)

    def where(self, point: Fraction) -> str:
        """A point in words."""
        return f"{float(100 * point / self.most_mnm):.0f} % of its maximum"


class GaugeClass(Enum):
    """Accuracy classes of EN 837-1, table 11; the value is in hundredths of a per cent."""

    C0_1 = 10
    C0_25 = 25
    C0_6 = 60
    C1 = 100
    C1_6 = 160
    C2_5 = 250
    C4 = 400

    @property
    def percent(self) -> Fraction:
        """The permissible error to either side, per cent of the span."""
        return Fraction(self.value, 100)

    @property
    def points(self) -> int:
        """At how many points, at least, a gauge of this class is tested."""
        return 10 if self.percent <= Fraction(6, 10) else 5


# EN 837-1, 6.4 (from memory): 0.04 % of the span for each degree away from 20 °C ± 2 °C.
REFERENCE_CELSIUS, CELSIUS_EITHER_WAY = 20, 2
PERCENT_FOR_EACH_DEGREE = Fraction(4, 100)
# With a fixed stop at zero the class holds from a tenth of the range on (from memory).
STOP_SHARE = Fraction(1, 10)


@dataclass(frozen=True, slots=True)
class GaugeLimits:
    """A pressure gauge: its class, both ends of its range in pascals, a fixed stop at zero."""

    accuracy: GaugeClass
    lowest_pa: int
    highest_pa: int
    zero_stop: bool = False
    every_reading = True
    two_ways = True
    readings = 1
    status = Status.SEEN

    @property
    def span_pa(self) -> int:
        """From one end of the range to the other."""
        return self.highest_pa - self.lowest_pa

    @property
    def half_pa(self) -> Fraction:
        """The permissible error, the same at any point of the range."""
        return self.span_pa * self.accuracy.percent / 100

    def moved_pa(self, celsius: int) -> Fraction:
        """By how much, at most, the reading moves when it is not 20 °C ± 2 °C."""
        away = abs(celsius - REFERENCE_CELSIUS)
        if away <= CELSIUS_EITHER_WAY:
            return Fraction(0)
        return self.span_pa * PERCENT_FOR_EACH_DEGREE * away / 100

    def required(self) -> tuple[Fraction, ...]:
        """No point is fixed; how many there must be is said by the class."""
        return ()

    def serves(self, at: int, point: Fraction) -> bool:
        """True when a reading meant for ``at`` can stand for a point."""
        return abs(at - point) <= NEAR * self.span_pa

    def allowed(self, reading: Reading) -> Allowed | None:
        """The limits at a reading; None outside the range in which the class holds."""
        stopped = self.zero_stop and reading.at - self.lowest_pa < STOP_SHARE * self.span_pa
        if stopped or not self.lowest_pa <= reading.at <= self.highest_pa:
            return None
        return Allowed(-self.half_pa, self.half_pa)

    def in_percent(self, reading: Reading) -> Fraction | None:
        """The error in per cent of the span."""
        return 100 * error_of(reading) / self.span_pa

    def where(self, point: Fraction) -> str:
        """A point in words."""
        return f"{float(100 * (point - self.lowest_pa) / self.span_pa):.0f} % of its range"


@dataclass(frozen=True, slots=True)
class BandLimits:
    """Plain tolerances by the point: up to each value so much to either side, rising.

    For scales (the steps of R 76), callipers and whatever else has a tolerance in its own
    unit. ``points`` are those that must be read.
    """

    bands: tuple[tuple[int, Fraction], ...]
    points: tuple[int, ...] = ()
    readings: int = 1
    every_reading = False
    two_ways = False
    status = Status.OWN

    def required(self) -> tuple[Fraction, ...]:
        """The points that must be read."""
        return tuple(Fraction(point) for point in self.points)

    def serves(self, at: int, point: Fraction) -> bool:
        """True for a reading meant for that very point."""
        return at == point

    def allowed(self, reading: Reading) -> Allowed | None:
        """The limits at a reading; None above the last band."""
        for most, half in self.bands:
            if reading.at <= most:
                return Allowed(-half, half)
        return None

    def in_percent(self, reading: Reading) -> Fraction | None:
        """None: a plain tolerance is no share of anything."""
        return None

    def where(self, point: Fraction) -> str:
        """A point in words."""
        return f"point {self.required().index(point) + 1} of {len(self.points)}"


def plain_limits(half: Fraction, most: int, points: tuple[int, ...] = ()) -> BandLimits:
    """One tolerance to either side, the same all the way up to ``most``."""
    return BandLimits(((most, half),), points)


@dataclass(frozen=True, slots=True)
class MadeLimits:
    """A shop-made gauge or jig: its dimension must lie between two limits, in micrometres."""

    gauge: Gauge
    readings: int = 1
    every_reading = False
    two_ways = False
    status = Status.OWN

    def required(self) -> tuple[Fraction, ...]:
        """The one dimension that must hold."""
        return (Fraction(self.gauge.nominal_um),)

    def serves(self, at: int, point: Fraction) -> bool:
        """True for a reading of that dimension."""
        return at == point

    def allowed(self, reading: Reading) -> Allowed | None:
        """The limits of nominal less measured, which is how errors are counted here."""
        low = Fraction(self.gauge.nominal_um - self.gauge.highest_um)
        return Allowed(low, Fraction(self.gauge.nominal_um - self.gauge.lowest_um))

    def in_percent(self, reading: Reading) -> Fraction | None:
        """None: a dimension is no share of anything."""
        return None

    def where(self, point: Fraction) -> str:
        """The dimension in the mechanic's own words."""
        return self.gauge.dimension


Limits = TorqueLimits | GaugeLimits | BandLimits | MadeLimits
