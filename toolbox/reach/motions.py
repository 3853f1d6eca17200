"""Motion times: the few figures of the MTM-1 system that the reach model uses.

Source of every figure: MTM-1 Data Card (SI, metric system), MTM Association e.V.,
2019, for the system of H. B. Maynard, G. J. Stegemerten and J. L. Schwab,
*Methods-Time Measurement*, McGraw-Hill, 1948. Figures marked "from memory" were
written down from memory and not read again from the card; those marked "seen"
were. They hold for a practised worker at normal pace, so the card asks that
nobody use it without training: a stopwatch reading of your own is always better.

Amounts are exact fractions of a TMU; distances are tenths of a millimetre.
Between two rows of a table the time is read off the straight line joining them;
nearer than the first row counts as the first row.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

TMU_MS = 36  # 1 TMU = 0.00001 h = 36 ms (seen)
CENTIMETRE = 100
_INCH = 254
_POUND_IN_10_MICROGRAMS = 45_359_237


class Motion(NamedTuple):
    """One motion: its code on the card, its time in TMU, and what it is in words."""

    code: str
    tmu: Fraction
    words: str


class Reach(Enum):
    """What the hand goes to; decides which column of the reach table counts."""

    A = "a fixed place"
    B = "one thing in its own place"
    C = "one thing among others, looked for"
    D = "a small thing among others"


@dataclass(frozen=True, slots=True)
class Rows:
    """A column of a table: rows (distance, TMU) in rising order, and TMU for each tenth
    of a millimetre past the last row.
    """

    rows: tuple[tuple[int, Fraction], ...]
    past: Fraction

    def at(self, distance: int) -> Fraction:
        """TMU at this distance, interpolated; the first row for anything nearer."""
        first, last = self.rows[0], self.rows[-1]
        if distance <= first[0]:
            return first[1]
        if distance >= last[0]:
            return last[1] + self.past * (distance - last[0])
        low, high = next(pair for pair in pairwise(self.rows) if distance <= pair[1][0])
        share = Fraction(distance - low[0], high[0] - low[0])
        return low[1] + share * (high[1] - low[1])


def _column(figures: str, per_inch: str) -> Rows:
    # Rows at 10, 20 ... 80 cm. Beyond, the card's step for each further inch (seen).
    amounts = enumerate(figures.split(), start=1)
    rows = tuple((10 * n * CENTIMETRE, Fraction(amount)) for n, amount in amounts)
    return Rows(rows, Fraction(per_inch) / _INCH)


# From memory but for R40B and R50B (seen); each agrees with the card's inch rows
# (seen) within 0.11 TMU. C and D share a column.
_REACH_CD = _column("8.4 11.4 14.1 16.8 19.6 22.3 25.0 27.7", "0.7")
REACH = MappingProxyType(
    {
        Reach.A: _column("6.1 7.8 9.5 11.3 13.0 14.7 16.5 18.2", "0.4"),
        Reach.B: _column("6.3 10.0 12.8 15.6 18.4 21.2 24.1 26.9", "0.7"),
        Reach.C: _REACH_CD,
        Reach.D: _REACH_CD,
    }
)

# From memory but for M40B (seen); agrees with the inch rows (seen) within 0.10 TMU.
MOVE_B = _column("6.8 10.5 13.3 15.6 18.0 20.4 22.8 25.2", "0.6")


class Weight(NamedTuple):
    """Up to so many pounds in one hand a move takes ``constant + factor × table`` TMU."""

    pounds: Fraction
    factor: Fraction
    constant: Fraction

    def holds(self, grams: int) -> bool:
        """Whether this mass, in grams, is within the row."""
        return grams * 100_000 <= self.pounds * _POUND_IN_10_MICROGRAMS


# The card's weight table by pounds (seen); the table by kilograms is from memory
# and is not used. Above the last row the last row counts.
_WEIGHT_ROWS = (
    "2.5 1.00 0|7.5 1.06 2.2|12.5 1.11 3.9|17.5 1.17 5.6|22.5 1.22 7.4|"
    "27.5 1.28 9.1|32.5 1.33 10.8|37.5 1.39 12.5|42.5 1.44 14.3|47.5 1.50 16.0"
)
WEIGHTS = tuple(Weight(*map(Fraction, row.split())) for row in _WEIGHT_ROWS.split("|"))

G1A = Motion("G1A", Fraction("2.0"), "pick it up, it lies free")  # seen
G1B = Motion("G1B", Fraction("3.5"), "pick it up, it lies flat")  # seen
G1C1 = Motion("G1C1", Fraction("7.3"), "pick it from the row, thicker than 12 mm")  # seen
G1C2 = Motion("G1C2", Fraction("8.7"), "pick it from the row, 6 to 12 mm thick")  # seen
G1C3 = Motion("G1C3", Fraction("10.8"), "pick it from the row, thinner than 6 mm")  # seen
G4A = Motion("G4A", Fraction("7.3"), "pick it out of the jumble")  # seen
G4B = Motion("G4B", Fraction("9.1"), "pick it out of the jumble, at most 25 mm")  # poor print
G4C = Motion("G4C", Fraction("12.9"), "pick it out of the jumble, under 6 × 6 × 3 mm")  # memory
G5 = Motion("G5", Fraction(0), "touch it")  # seen
RL1 = Motion("RL1", Fraction("2.0"), "let go")  # seen
P1SE = Motion("P1SE", Fraction("5.6"), "put it in, any way round")  # seen
P1NSE = Motion("P1NSE", Fraction("10.4"), "put it in, it goes one way round")  # seen
BEND = Motion("B", Fraction("29.0"), "bend down")  # seen
ARISE = Motion("AB", Fraction("31.9"), "stand up again")  # from memory
EYE_FOCUS = Motion("EF", Fraction("7.3"), "look for it")  # seen


def reach(case: Reach, distance: int, words: str) -> Motion:
    """The hand goes this far (tenths of a millimetre), empty, to what ``case`` says."""
    return Motion(f"R{_centimetres(distance)}{case.name}", REACH[case].at(distance), words)


def move(distance: int, grams: int, words: str) -> Motion:
    """The hand moves something this far (tenths of a millimetre, case B).

    ``grams`` is what this one hand carries.
    """
    tmu = _moving(distance, _row(grams))
    return Motion(f"M{_centimetres(distance)}B", tmu, f"{words} ({grams} g)")


def weighted(table: Fraction, grams: int) -> Fraction:
    """TMU of a move with so many grams in the hand, from the table's TMU without weight."""
    row = WEIGHTS[_row(grams)]
    return row.constant + row.factor * table


@lru_cache(maxsize=1024)
def _row(grams: int) -> int:
    return next((n for n, row in enumerate(WEIGHTS) if row.holds(grams)), len(WEIGHTS) - 1)


# A box has few distances and masses of few rows, and thousands of pairs of thing and place.
@lru_cache(maxsize=1024)
def _moving(distance: int, row: int) -> Fraction:
    return WEIGHTS[row].constant + WEIGHTS[row].factor * MOVE_B.at(distance)


def milliseconds(tmu: Fraction) -> int:
    """Whole milliseconds, rounded half up."""
    exact = tmu * TMU_MS
    return int((2 * exact + 1) // 2)


def _centimetres(distance: int) -> int:
    return (2 * distance + CENTIMETRE) // (2 * CENTIMETRE)
