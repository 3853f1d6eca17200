"""Masses that can be trusted: how far off each may be, a bag's total, the chance to be over.

Every mass says how it is known; a standard uncertainty follows from that, and they are
combined as in the GUM (JCGM 100:2008, 5.1.2: root of the sum of squares for separate
readings; 5.2.2 note 1: plain sum for an error that all readings share). Grams throughout.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from toolbox.flight.scales import Reading, reading_of, rectangular
from toolbox.kit.things import Known, Mass
from toolbox.kit.trips import Scale

# Common practice, no source: a catalogue figure may be off by 5 %, at least 1 g; a guess by
# 25 %, at least 5 g. Both are limits, so anywhere within them is as likely as anywhere else.
CATALOGUE_SHARE, CATALOGUE_LEAST_G = 0.05, 1.0
GUESS_SHARE, GUESS_LEAST_G = 0.25, 5.0
# Weighed, but nobody said on what: counts as a scale that shows every tenth gram.
UNTOLD_STEP_MG = 10_000
# Expanded uncertainty U = 2 u: about 95 % (JCGM 100:2008, 6.2 and G.6.6).
COVERAGE = 2.0


class Verdict(Enum):
    """Whether a bag keeps its limit, the error of its mass counted in.

    A guard band of U = 2 u as in ILAC-G8:09/2019: FITS when even mass plus U is within
    the limit, OVER when the mass itself is above it, AT_RISK between.
    """

    FITS = "fits"
    AT_RISK = "at risk"
    OVER = "over"


class Line(NamedTuple):
    """So many pieces of one mass in a bag; ``mass`` is that of one piece."""

    id: str
    name: str
    mass: Mass
    pieces: int = 1

    @property
    def grams(self) -> int:
        """The mass of all pieces."""
        return self.mass.grams * self.pieces


class Shared(NamedTuple):
    """Readings on scales of one step: if they were all made on one scale, its error is one."""

    step_mg: int
    readings: int


@dataclass(frozen=True, slots=True)
class Total:
    """A total mass with its standard uncertainty.

    ``u_g`` takes every reading as separate. ``u_shared_g`` is what it would be if all
    readings of one step came from one scale whose error is the same each time; ``shared``
    says which those are.
    """

    grams: int
    u_g: float
    u_shared_g: float
    shared: tuple[Shared, ...] = ()

    def interval(self) -> tuple[int, int]:
        """Between which grams the mass lies with about 95 %, rounded outwards."""
        margin = COVERAGE * self.u_g
        return math.floor(self.grams - margin), math.ceil(self.grams + margin)

    def chance_over(self, limit_g: int) -> float:
        """The probability (0 to 1) that the true mass is above the limit; normal tail."""
        return chance_above(limit_g, self.grams, self.u_g)

    def verdict(self, limit_g: int) -> Verdict:
        """Fits, at risk or over."""
        if self.grams > limit_g:
            return Verdict.OVER
        fits = self.grams + COVERAGE * self.u_g <= limit_g
        return Verdict.FITS if fits else Verdict.AT_RISK


class Suggestion(NamedTuple):
    """A thing to weigh next; ``u_g`` before and after, and the total's u once it is weighed too."""

    line: Line
    u_g: float
    u_after_g: float
    total_u_g: float


def chance_above(limit: float, mean: float, u: float) -> float:
    """The probability that a normal value of this mean and standard deviation passes the limit."""
    if u <= 0:
        return float(mean > limit)
    # erfc keeps its digits far out in the tail, where 1 - cdf has lost them all
    return 0.5 * math.erfc((limit - mean) / (u * math.sqrt(2)))


def reading_behind(mass: Mass) -> Reading:
    """The uncertainty of one piece's mass: shared part and own part, in grams."""
    if mass.error_mg is not None:
        return Reading(0.0, rectangular(mass.error_mg / 1000))
    if mass.known is Known.WEIGHED:
        return reading_of(mass.grams, mass.step_mg or UNTOLD_STEP_MG)
    share, least = (
        (CATALOGUE_SHARE, CATALOGUE_LEAST_G)
        if mass.known is Known.CATALOGUE
        else (GUESS_SHARE, GUESS_LEAST_G)
    )
    return Reading(0.0, rectangular(max(share * mass.grams, least)))


def uncertainty_of(line: Line) -> float:
    """Standard uncertainty of a line in grams: the pieces share one figure, so it adds up."""
    return line.pieces * reading_behind(line.mass).u_g


def total_of(lines: Iterable[Line]) -> Total:
    """The sum of the lines, to the gram, with its uncertainty."""
    lines = tuple(lines)
    readings = [reading_behind(line.mass) for line in lines]
    by_step: dict[int, float] = {}
    counts: dict[int, int] = {}
    apart, own = 0.0, 0.0
    for line, reading in zip(lines, readings, strict=True):
        apart += (line.pieces * reading.u_g) ** 2
        own += (line.pieces * reading.rounding_g) ** 2
        if reading.scale_g:
            step = line.mass.step_mg or UNTOLD_STEP_MG
            by_step[step] = by_step.get(step, 0.0) + line.pieces * reading.scale_g
            counts[step] = counts.get(step, 0) + 1
    together = own + sum(part**2 for part in by_step.values())
    shared = tuple(Shared(step, n) for step, n in sorted(counts.items()) if n > 1)
    return Total(sum(line.grams for line in lines), math.sqrt(apart), math.sqrt(together), shared)


def weighed_total(
    reading_g: int, scale: Scale, put_in: Sequence[Line] = (), taken_out: Sequence[Line] = ()
) -> Total:
    """A packed bag's total by its reading on a scale, and by what has changed in it since.

    The reading goes before any sum of what is in the bag.
    """
    u = reading_of(reading_g, scale.step_mg, scale.accuracy, scale.error_mg).u_g
    changed = (*put_in, *taken_out)
    grams = reading_g + sum(line.grams for line in put_in) - sum(x.grams for x in taken_out)
    variance = u**2 + sum(uncertainty_of(line) ** 2 for line in changed)
    return Total(grams, math.sqrt(variance), math.sqrt(variance))


def weigh_next(lines: Iterable[Line], scale: Scale, number: int = 3) -> tuple[Suggestion, ...]:
    """Which lines to put on the scale next: those whose weighing takes most off the variance.

    All pieces of a line are weighed at once. Lines that this scale would not make better, or
    cannot bear, are left out, so there may be fewer than ``number``.
    """
    lines = tuple(lines)
    now = [uncertainty_of(line) for line in lines]
    then = [reading_of(x.grams, scale.step_mg, scale.accuracy, scale.error_mg).u_g for x in lines]
    # the variances are separate, so the best ones taken one by one are the best together
    most = math.inf if scale.capacity_g is None else scale.capacity_g
    better = [n for n, line in enumerate(lines) if then[n] < now[n] and line.grams <= most]
    better.sort(key=lambda n: (then[n] ** 2 - now[n] ** 2, lines[n].id))
    found = []
    left = now.copy()
    for n in better[:number]:
        left[n] = then[n]
        found.append(Suggestion(lines[n], now[n], then[n], math.hypot(*left)))
    return tuple(found)
