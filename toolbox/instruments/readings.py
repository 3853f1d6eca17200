"""Readings of an instrument beside a reference, and how far the reference can be trusted.

Everything in the whole unit of what is checked: milli-newton-metres, pascals, micrometres or
milligrams.
"""

from __future__ import annotations

from fractions import Fraction

from toolbox.instruments.uncertainty import Part, limited, rounded
from toolbox.kit.checking import Beside, Reading, Trust


def error_of(reading: Reading) -> Fraction:
    """What the instrument shows more than the reference."""
    return Fraction(reading.shown - reading.reference)


def says_how_good(reference: Beside) -> bool:
    """True when anything is known of how far off a reference may be."""
    return reference.amount > 0 or reference.percent > 0


def parts_of(reference: Beside, value: Fraction) -> tuple[Part, Part]:
    """The parts of uncertainty of a reference at a value: itself, and its last digit.

    The U of a certificate is taken by its coverage factor, a limit as evenly spread.
    """
    off = reference.amount + abs(value) * reference.percent / 100
    certified = reference.trust is Trust.CERTIFICATE
    u = float(off / reference.coverage) if certified else limited(off)
    return Part(reference.name, u), Part("its last digit", rounded(reference.step))
