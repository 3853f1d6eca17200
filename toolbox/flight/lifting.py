"""Two-handed lifts: the revised NIOSH lifting equation.

T. R. Waters, V. Putz-Anderson, A. Garg, Applications Manual for the Revised NIOSH Lifting
Equation, DHHS (NIOSH) Publication 94-110, 1994, revised September 2021
(doi 10.26616/NIOSHPUB94110revised092021); page numbers are of the 2021 text. It holds for
two hands, standing, and never for a box carried by one handle: then there is no figure.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from typing import NamedTuple

# Page 20: aim for 1.0 at most; above 3.0 nearly all workers are at raised risk.
AIM, RAISED = 1.0, 3.0

# The equation is not for these (page 6); said in words, because nothing measures them here.
EXCLUSIONS = (
    "a box carried by one handle: that is a one-handed lift, and the equation has no figure for it",
    "work for more than eight hours",
    "lifting seated, kneeling or in a cramped space",
    "a load that shifts or spills",
    "carrying, pushing or pulling instead of lifting",
    "a throw or a jerk (above about 75 cm/s)",
    "slippery ground (friction below 0.4)",
    "air outside 19 to 26 °C",
)
# ISO 11228-1:2021, reference masses, from memory; the lower age bound is unsettled (18 or 20).
REFERENCE_MASSES_KG: Mapping[str, int] = MappingProxyType(
    {
        "men of 20 to 45 years": 25,
        "men younger or older": 20,
        "women of 20 to 45 years": 20,
        "women younger or older": 15,
    }
)


class Units(NamedTuple):
    """The equation's constants in one system of units (pages 1, 7 and 19).

    The two are no exact conversions of each other (51 lb are 23.13 kg): reckon in one.
    """

    load: float
    near: float
    far: float
    knuckles: float
    slope: float
    highest: float
    rise: float
    least_travel: float


METRIC = Units(23.0, 25.0, 63.0, 75.0, 0.003, 175.0, 4.5, 25.0)  # kg and cm
US = Units(51.0, 10.0, 25.0, 30.0, 0.0075, 70.0, 1.8, 10.0)  # lb and in


class Spell(Enum):
    """How long the lifting goes on without a rest that makes up for it (pages 13 to 14)."""

    SHORT = "up to one hour"
    MODERATE = "up to two hours"
    LONG = "up to eight hours"


class Grip(Enum):
    """How well the hands hold the load (Table 7, coupling)."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


# Table 5, the frequency multiplier in hundredths: lifts a minute, then a pair (hands below
# 75 cm at the origin, at or above it) for each spell.
_LIFTS = (0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0)
_TABLE_5: Mapping[tuple[Spell, bool], tuple[int, ...]] = MappingProxyType(
    {
        (Spell.SHORT, False): (
            100, 97, 94, 91, 88, 84, 80, 75, 70, 60, 52, 45, 41, 37, 0, 0, 0,
        ),
        (Spell.SHORT, True): (
            100, 97, 94, 91, 88, 84, 80, 75, 70, 60, 52, 45, 41, 37, 34, 31, 28,
        ),
        (Spell.MODERATE, False): (
            95, 92, 88, 84, 79, 72, 60, 50, 42, 35, 30, 26, 0, 0, 0, 0, 0,
        ),
        (Spell.MODERATE, True): (
            95, 92, 88, 84, 79, 72, 60, 50, 42, 35, 30, 26, 23, 21, 0, 0, 0,
        ),
        (Spell.LONG, False): (85, 81, 75, 65, 55, 45, 35, 27, 22, 18, 0, 0, 0, 0, 0, 0, 0),
        (Spell.LONG, True): (85, 81, 75, 65, 55, 45, 35, 27, 22, 18, 15, 13, 0, 0, 0, 0, 0),
    }
)  # fmt: skip
_TABLE_7: Mapping[Grip, tuple[float, float]] = MappingProxyType(
    {Grip.GOOD: (1.0, 1.0), Grip.FAIR: (0.95, 1.0), Grip.POOR: (0.9, 0.9)}
)


@dataclass(frozen=True, slots=True)
class Lift:
    """A lift: hands before the ankles and above the floor, at the origin and the destination.

    Lengths in the units' own (cm, or in), ``turned`` in degrees away from straight ahead,
    ``a_minute`` lifts a minute. ``held`` says that the load has to be set down with care,
    so that the destination counts as well.
    """

    out: float
    up: float
    to_out: float
    to_up: float
    turned: float = 0.0
    to_turned: float = 0.0
    a_minute: float = 0.2
    spell: Spell = Spell.SHORT
    grip: Grip = Grip.GOOD
    held: bool = True


class Multipliers(NamedTuple):
    """The six factors of the equation, each from 0 to 1."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float

    def product(self) -> float:
        """All six multiplied."""
        return math.prod(self)


@dataclass(frozen=True, slots=True)
class Lifting:
    """What the equation says of a load.

    ``limit`` is the recommended weight limit in the load's unit, the lower of origin and
    destination (the destination only where the load is held), 0 for a lift that should not
    be done so. ``index`` is load over limit, None where the limit is 0.
    """

    load: float
    limit: float
    index: float | None
    origin: Multipliers
    destination: Multipliers | None


def horizontal(out: float, units: Units = METRIC) -> float:
    """HM = 25/H: nearer than 25 cm counts as 25, beyond 63 cm nothing (page 7)."""
    return 0.0 if out > units.far else units.near / max(units.near, out)


def vertical(up: float, units: Units = METRIC) -> float:
    """VM = 1 − 0.003 |V − 75|, beyond 175 cm nothing."""
    return 0.0 if up > units.highest else 1 - units.slope * abs(up - units.knuckles)


def distance(travel: float, units: Units = METRIC) -> float:
    """DM = 0.82 + 4.5/D: less than 25 cm counts as 25, beyond 175 cm nothing."""
    if travel > units.highest:
        return 0.0
    return 0.82 + units.rise / max(units.least_travel, travel)


def asymmetry(turned: float) -> float:
    """AM = 1 − 0.0032 A, beyond 135 degrees nothing."""
    return 0.0 if turned > 135 else 1 - 0.0032 * turned


def frequency(a_minute: float, spell: Spell, up: float, units: Units = METRIC) -> float:
    """FM by Table 5, straight lines between its rows (page 7); beyond the table nothing.

    ``up`` is the height of the hands at the origin, even for the destination (page 15).
    """
    row = _TABLE_5[spell, up >= units.knuckles]
    if a_minute <= _LIFTS[0]:
        return row[0] / 100
    if a_minute > _LIFTS[-1]:
        return 0.0
    above = bisect_left(_LIFTS, a_minute)
    low, high = _LIFTS[above - 1], _LIFTS[above]
    share = (a_minute - low) / (high - low)
    # from the last row with a figure to the first without there is no line to follow
    if row[above] == 0:
        return 0.0
    return (row[above - 1] + share * (row[above] - row[above - 1])) / 100


def coupling(grip: Grip, up: float, units: Units = METRIC) -> float:
    """CM by Table 7, by the height of the hands."""
    low, high = _TABLE_7[grip]
    return high if up >= units.knuckles else low


def reach_of(depth_cm: float, up_cm: float) -> float:
    """H in cm where nobody measured it: half the depth of the box and 20 or 25 cm (page 8)."""
    return (20 if up_cm >= 25 else 25) + depth_cm / 2


def lifts_a_minute(a_minute: float, minutes: float, sample: float = 15.0) -> float:
    """F of work that rests between: lifts spread over the whole sample of minutes (page 16)."""
    return a_minute * minutes / sample


def multipliers(lift: Lift, units: Units = METRIC, *, destination: bool = False) -> Multipliers:
    """The factors at the origin, or at the destination."""
    out = lift.to_out if destination else lift.out
    up = lift.to_up if destination else lift.up
    turned = lift.to_turned if destination else lift.turned
    return Multipliers(
        horizontal(out, units),
        vertical(up, units),
        distance(abs(lift.to_up - lift.up), units),
        asymmetry(turned),
        frequency(lift.a_minute, lift.spell, lift.up, units),
        coupling(lift.grip, up, units),
    )


def lifting(load: float, lift: Lift, units: Units = METRIC) -> Lifting:
    """The recommended weight limit of a lift and what the load is of it."""
    origin = multipliers(lift, units)
    there = multipliers(lift, units, destination=True) if lift.held else None
    limit = units.load * min(m.product() for m in (origin, there) if m is not None)
    return Lifting(load, limit, load / limit if limit > 0 else None, origin, there)


@dataclass(frozen=True, slots=True)
class Advice:
    """A usual lift of a bag: where from and to in words, what the equation says, what to do."""

    what: str
    lifting: Lifting
    words: str


# From where to where a case is lifted, heights of the hands in cm: common practice, no source.
USUAL_LIFTS = (
    ("floor to bench", 0.0, 75.0),
    ("bench to vehicle floor", 75.0, 65.0),
    ("floor to vehicle floor", 0.0, 65.0),
    ("floor to roof or rack", 0.0, 150.0),
)
ONE_HAND = "By one handle it is a one-handed lift: the equation does not hold, there is no figure."


def usual_lifts(mass_g: int, depth_cm: float, handle_cm: float) -> tuple[Advice, ...]:
    """The usual lifts of a bag with both hands, now and then, set down with care.

    ``depth_cm`` is its size away from the body, ``handle_cm`` how high its handles are
    above its bottom. H is not measured but taken from the depth, as the manual allows.
    """
    found = []
    for what, low, high in USUAL_LIFTS:
        start, end = low + handle_cm, high + handle_cm
        lift = Lift(reach_of(depth_cm, start), start, reach_of(depth_cm, end), end)
        said = lifting(mass_g / 1000, lift)
        found.append(Advice(what, said, advice(said)))
    return tuple(found)


def over_reference(mass_g: int) -> tuple[str, ...]:
    """For whom a load is above the reference mass of ISO 11228-1, in words."""
    return tuple(who for who, most in REFERENCE_MASSES_KG.items() if mass_g > 1000 * most)


def advice(said: Lifting) -> str:
    """What to do about a lift, in a sentence."""
    if said.index is None:
        return "Not like this: too far away or too high to lift anything. Find another way."
    limit = f"the equation advises at most {said.limit:.1f} kg"
    if said.index <= AIM:
        return f"One person can lift it with both hands, close to the body; {limit}."
    if said.index <= RAISED:
        return f"Lift it with two, or take things out first: {limit}."
    return f"Never alone: {limit}, and above three times that nearly everybody is at raised risk."
