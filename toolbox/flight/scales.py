"""Scales: how far off a reading may be, and the standard uncertainty that follows.

Maximum permissible errors: OIML R 76-1:2006, Table 6 (initial verification); in service
twice these (R 76-1, 3.5.2; UK Statutory Instrument 1995/1907, schedule 2). An error known
only by its limits is taken as evenly spread between them: half the width over the square
root of three (JCGM 100:2008, 4.3.7); rounding to a step likewise (F.2.2.1).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from toolbox.kit.trips import ScaleClass

# Up to and with so many scale intervals, so many halves of an interval are allowed.
_TABLE_6: Mapping[ScaleClass, tuple[tuple[float, int], ...]] = MappingProxyType(
    {
        ScaleClass.I: ((50_000, 1), (200_000, 2), (math.inf, 3)),
        ScaleClass.II: ((5_000, 1), (20_000, 2), (100_000, 3)),
        ScaleClass.III: ((500, 1), (2_000, 2), (10_000, 3)),
        ScaleClass.IIII: ((50, 1), (200, 2), (1_000, 3)),
    }
)
# Kitchen and luggage scales name no class: III counts, or a finer one where III ends.
_UNNAMED = (ScaleClass.III, ScaleClass.II, ScaleClass.I)


class Reading(NamedTuple):
    """Standard uncertainties of one reading in grams, by where they come from.

    ``scale_g`` is the scale's own error, which every reading on that scale shares;
    ``rounding_g`` is that of the last digit, new with each reading.
    """

    scale_g: float
    rounding_g: float

    @property
    def u_g(self) -> float:
        """Both together, combined as uncorrelated."""
        return math.hypot(self.scale_g, self.rounding_g)


def permissible_error_mg(
    load_mg: int, step_mg: int, accuracy: ScaleClass, *, in_service: bool = True
) -> Fraction:
    """The maximum permissible error at a load, to either side, in milligrams.

    ``step_mg`` is the verification scale interval e. ValueError for a load beyond what a
    scale of this class can have.
    """
    for most, halves in _TABLE_6[accuracy]:
        if load_mg <= most * step_mg:
            return Fraction(halves * step_mg, 2) * (2 if in_service else 1)
    intervals = load_mg // step_mg
    raise ValueError(f"a scale of class {accuracy.value} has no {intervals} intervals")


def class_taken(load_mg: int, step_mg: int) -> ScaleClass:
    """The class that counts for a scale that names none: III, or a finer one where III ends."""
    return next(c for c in _UNNAMED if load_mg <= _TABLE_6[c][-1][0] * step_mg)


def reading_of(
    load_g: int, step_mg: int, accuracy: ScaleClass | None = None, error_mg: int | None = None
) -> Reading:
    """The uncertainty of a reading of so many grams, the scale being in service.

    ``error_mg`` is a known largest error, the last digit included, and goes before the
    class. A load that the class cannot show counts by the finer one that can.
    """
    if error_mg is not None:
        return Reading(rectangular(error_mg / 1000), 0.0)
    load_mg = load_g * 1000
    taken = accuracy or class_taken(load_mg, step_mg)
    if load_mg > _TABLE_6[taken][-1][0] * step_mg:
        taken = class_taken(load_mg, step_mg)
    error = permissible_error_mg(load_mg, step_mg, taken)
    return Reading(rectangular(float(error) / 1000), rectangular(step_mg / 2000))


def rectangular(half_width: float) -> float:
    """Standard uncertainty of what lies anywhere within ± half_width (JCGM 100:2008, 4.3.7)."""
    return half_width / math.sqrt(3)
