"""Several gauges compared in pairs: which one is off, and how surely.

Each comparison gives the difference of two gauges' errors at one and the same point. All of
them together are settled by least squares, weighed by their uncertainties (JCGM 100:2008,
H.3 for the principle). A certified gauge pins the errors down; without one only differences
are known, and those that agree may all be off alike.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

from toolbox.instruments.uncertainty import coverage, thousandths
from toolbox.instruments.verdicts import CAUTION

# How sure it must be that a gauge stands apart before it is named.
SURE = 0.95
# Comparisons that miss one another by so many times their uncertainty were not all made with
# care (common practice, no source).
CONTRADICTION = 2.0


class DriftError(ValueError):
    """Comparisons that cannot be settled; ``reasons`` are sentences, all of them."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = tuple(reasons)


class Compared(NamedTuple):
    """Two gauges at one point: ``difference`` is what the one shows more than the other.

    ``u`` is the standard uncertainty of that difference, above 0, in the same whole unit.
    """

    one: str
    other: str
    difference: int | Fraction
    u: float | Fraction


class Certified(NamedTuple):
    """A gauge whose error (shown less true) a certificate tells, with its standard uncertainty."""

    name: str
    error: int | Fraction
    u: float | Fraction


@dataclass(frozen=True, slots=True)
class Offsets:
    """How far each gauge is off, by all comparisons together.

    ``errors`` are shown less true when something is ``certified``, else what each shows
    more than the mean of them all, in the order of ``names``. ``covariance`` is that of the
    errors, ``scatter`` already in it: at least 1, above it when the comparisons contradict
    one another by more than their uncertainties (Birge's ratio, from memory).
    """

    names: tuple[str, ...]
    errors: tuple[Fraction, ...]
    covariance: tuple[tuple[float, ...], ...]
    certified: tuple[str, ...]
    scatter: float
    spare: int

    def u(self, name: str) -> float:
        """The standard uncertainty of a gauge's error."""
        n = self.names.index(name)
        return math.sqrt(max(0.0, self.covariance[n][n]))

    def error(self, name: str) -> Fraction:
        """The error of a gauge, or what it shows more than the mean of all."""
        return self.errors[self.names.index(name)]

    def combined(self, weights: Mapping[str, Fraction]) -> tuple[Fraction, float]:
        """A weighted sum of errors with its standard uncertainty."""
        row = [weights.get(name, Fraction(0)) for name in self.names]
        value = sum((w * e for w, e in zip(row, self.errors, strict=True)), Fraction(0))
        size = range(len(row))
        cells = (float(row[i] * row[j]) * self.covariance[i][j] for i in size for j in size)
        variance = math.fsum(cells)
        return value, math.sqrt(max(0.0, variance))

    @property
    def contradict(self) -> bool:
        """True when the comparisons miss one another by far more than their uncertainties."""
        return self.scatter > CONTRADICTION

    def expanded(self, name: str) -> Fraction:
        """U of a gauge's error, k = 2."""
        return thousandths(coverage() * self.u(name))


@dataclass(frozen=True, slots=True)
class Apart:
    """What comparisons say: who is off or stands apart, how surely (0 to 1), in words.

    ``names`` is empty where nobody can be named.
    """

    names: tuple[str, ...]
    surely: float | None
    words: str

    @property
    def caution(self) -> str:
        """The sentence that goes with every verdict."""
        return CAUTION


def settle(compared: Sequence[Compared], certified: Sequence[Certified] = ()) -> Offsets:
    """The errors that fit all comparisons best. DriftError where they cannot be told."""
    names = tuple(dict.fromkeys(n for pair in compared for n in (pair.one, pair.other)))
    if reasons := _faults(names, compared, certified):
        raise DriftError(reasons)
    rows = _rows(names, compared, certified)
    size = len(names)
    # without a certified gauge the errors are counted from their mean, so they add up to nothing
    fill = Fraction(0) if certified else max(row.weight for row in rows)
    normal, right = _normal(rows, size, fill)
    inverse = _inverse(normal)
    if not certified:
        # what the filled-in row adds belongs to the mean, which is not being told
        inverse = [[cell - 1 / (fill * size**2) for cell in row] for row in inverse]
    errors = tuple(
        sum((a * b for a, b in zip(row, right, strict=True)), Fraction(0)) for row in inverse
    )
    spare = len(rows) - (size if certified else size - 1)
    misfit = sum((row.weight * row.miss(errors) ** 2 for row in rows), Fraction(0))
    scatter = max(1.0, math.sqrt(misfit / spare)) if spare else 1.0
    covariance = tuple(tuple(float(cell) * scatter**2 for cell in row) for row in inverse)
    return Offsets(names, errors, covariance, tuple(c.name for c in certified), scatter, spare)


def who_is_off(offsets: Offsets) -> Apart:
    """Which gauges are off, or which one stands apart; with what little can be said otherwise."""
    if offsets.certified:
        found = _beside_certified(offsets)
    elif len(offsets.names) == 2:
        found = _two(offsets)
    else:
        found = _one_of_many(offsets)
    if offsets.contradict:
        words = f"{found.words}; the comparisons contradict one another: make them again"
        return Apart(found.names, found.surely, words)
    return found


def _beside_certified(offsets: Offsets) -> Apart:
    others = [name for name in offsets.names if name not in offsets.certified]
    if not others:
        return Apart((), None, "only certified ones were compared")
    off = tuple(n for n in others if abs(offsets.error(n)) > offsets.expanded(n))
    by = ", ".join(offsets.certified)
    if not off:
        return Apart((), None, f"none is off by more than the uncertainty beside {by}")
    surely = min(1 - _tail(offsets.error(n), offsets.u(n)) for n in off)
    told = ", ".join(off)
    verb = "is" if len(off) == 1 else "are"
    return Apart(off, surely, f"{told} {verb} off by more than the uncertainty beside {by}")


def _two(offsets: Offsets) -> Apart:
    one, other = offsets.names
    if _agree(offsets, one, other):
        words = f"{one} and {other} agree, which proves little: both may be off alike"
    else:
        words = f"{one} and {other} differ, and nothing says which is off"
    return Apart((), None, f"{words}; compare with a certified one, or with a third")


def _one_of_many(offsets: Offsets) -> Apart:
    if all(_agree(offsets, *pair) for pair in combinations(offsets.names, 2)):
        words = "all agree within the uncertainty; they may still all be off alike"
        return Apart((), None, f"{words}: compare one with a certified one")
    found = []
    for name in offsets.names:
        rest = [other for other in offsets.names if other != name]
        # a gauge can stand apart only from others that hold together
        if all(_agree(offsets, *pair) for pair in combinations(rest, 2)):
            share = Fraction(-1, len(rest))
            away, u = offsets.combined({name: Fraction(1), **dict.fromkeys(rest, share)})
            # any of them might have been the one, so the chance of a fluke counts for each
            found.append((max(0.0, 1 - len(offsets.names) * _tail(away, u)), name))
    found.sort(reverse=True)
    if found and found[0][0] >= SURE and (len(found) == 1 or found[1][0] < SURE):
        surely, name = found[0]
        percent = math.floor(1000 * min(surely, 0.999)) / 10
        words = (
            f"{name} stands apart from the others, which agree ({percent:g} % sure); the "
            "others may still be off alike"
        )
        return Apart((name,), surely, words)
    words = "they differ, but no single one can be told from the rest"
    return Apart((), None, f"{words}: compare with a certified one")


def _agree(offsets: Offsets, one: str, other: str) -> bool:
    value, u = offsets.combined({one: Fraction(1), other: Fraction(-1)})
    return abs(value) <= thousandths(coverage() * u)


def _tail(value: Fraction, u: float) -> float:
    """How often chance alone would give so much, to either side; normal."""
    if u <= 0:
        return float(value == 0)
    return math.erfc(abs(float(value)) / (u * math.sqrt(2)))


class _Row(NamedTuple):
    """One equation: signs of the errors by their place, what they come to, its weight."""

    signs: Mapping[int, int]
    value: Fraction
    weight: Fraction

    def miss(self, errors: Sequence[Fraction]) -> Fraction:
        """By how much these errors miss it."""
        return sum((sign * errors[n] for n, sign in self.signs.items()), Fraction(0)) - self.value


def _rows(
    names: tuple[str, ...], compared: Sequence[Compared], certified: Sequence[Certified]
) -> list[_Row]:
    place = {name: n for n, name in enumerate(names)}
    pairs = [({place[c.one]: 1, place[c.other]: -1}, c.difference, c.u) for c in compared]
    told = [({place[c.name]: 1}, c.error, c.u) for c in certified]
    return [_Row(s, Fraction(value), 1 / Fraction(u) ** 2) for s, value, u in (*pairs, *told)]


def _normal(
    rows: Sequence[_Row], size: int, fill: Fraction
) -> tuple[list[list[Fraction]], list[Fraction]]:
    """The normal equations, ``fill`` added to every cell of the matrix."""
    matrix = [[fill] * size for _ in range(size)]
    right = [Fraction(0)] * size
    for signs, value, weight in rows:
        for i, a in signs.items():
            right[i] += weight * a * value
            for j, b in signs.items():
                matrix[i][j] += weight * a * b
    return matrix, right


def _faults(
    names: tuple[str, ...], compared: Sequence[Compared], certified: Sequence[Certified]
) -> list[str]:
    reasons = [
        f"{pair.one} was compared with itself" for pair in compared if pair.one == pair.other
    ]
    reasons += [
        f"nothing says how surely {pair.one} and {pair.other} differ: enter the step of both"
        for pair in compared
        if not pair.u > 0
    ]
    for c in certified:
        if c.name not in names:
            reasons.append(f"{c.name} is certified but was compared with nothing")
        if not c.u > 0:
            reasons.append(f"the certificate of {c.name} names no uncertainty")
    loose = _loose(names, compared, {c.name for c in certified})
    if not names:
        reasons.append("nothing was compared")
    elif loose:
        joined = ", ".join(loose)
        reasons.append(f"no comparison links {joined} with {names[0]}: compare across once more")
    return reasons


def _loose(names: Sequence[str], compared: Sequence[Compared], known: set[str]) -> list[str]:
    """The gauges that no chain of comparisons links with the first, certified ones being known."""
    reached = set(names[:1])
    links = [{pair.one, pair.other} for pair in compared] + [known]
    grown = True
    while grown:
        more = {name for link in links if link & reached for name in link}
        grown = not more <= reached
        reached |= more
    return [name for name in names if name not in reached]


def _inverse(matrix: Sequence[Sequence[Fraction]]) -> list[list[Fraction]]:
    """The inverse of a regular matrix, exactly, by elimination."""
    size = len(matrix)
    rows = [[*row, *(Fraction(i == n) for i in range(size))] for n, row in enumerate(matrix)]
    for column in range(size):
        pivot = next(n for n in range(column, size) if rows[n][column])
        rows[column], rows[pivot] = rows[pivot], rows[column]
        head = rows[column][column]
        rows[column] = [cell / head for cell in rows[column]]
        for n in range(size):
            if n != column and (times := rows[n][column]):
                rows[n] = [a - times * b for a, b in zip(rows[n], rows[column], strict=True)]
    return [row[size:] for row in rows]
