"""What will be used of a supply until some day, as chances on whole units.

Every value of ``Demand`` may be exact (fractions that a person or a table gives); those
made from work (``stock/expected``) are floats, with an absolute error below
``ERROR`` in every chance and sum of chances.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import accumulate

from toolbox.stock.errors import StockError, refuse

Number = int | float | Fraction

ERROR = 1e-10
"""Absolute error of chances made from work: see ``stock/compound`` for where it comes from."""


@dataclass(frozen=True)
class Demand:
    """How much will be wanted: ``chances[k]`` is the chance of ``least + k * step`` units.

    ``beyond`` is the chance that more is wanted than the last of these; how that is spread
    was not worked out. ``mean`` is the expected amount, what lies beyond included. ``step``
    above 1 means that amounts were counted in steps of so many units.
    """

    chances: tuple[Number, ...]
    mean: Number
    least: int = 0
    step: int = 1
    beyond: Number = 0

    @cached_property
    def _sums(self) -> tuple[Number, ...]:
        return tuple(accumulate(self.chances))

    @property
    def most(self) -> int:
        """The largest amount whose chance is known."""
        return self.least + (len(self.chances) - 1) * self.step

    def at_most(self, amount: int) -> Number:
        """The chance that no more than so many units are wanted.

        StockError above ``most`` where something lies beyond.
        """
        if amount < self.least:
            return 0
        index = (amount - self.least) // self.step
        if index < len(self.chances):
            return min(1, self._sums[index])
        if self.beyond:
            raise StockError([f"demand was worked out up to {self.most}, not to {amount}"])
        return 1

    def more_than(self, amount: int) -> Number:
        """The chance that more than so many units are wanted: that such a stock runs out."""
        return 1 - self.at_most(amount)

    def level(self, service: Number) -> int:
        """The smallest amount that suffices with at least the chance ``service`` (0 to 1).

        StockError where that lies beyond what was worked out, or was not asked as a chance.
        """
        if not 0 <= service <= 1:
            raise StockError([f"a service level of {service} is no chance: write 0 to 1"])
        if service == 0:
            return 0
        # A hair below for floats, lest rounding asks for one unit more where it is met exactly.
        exact = all(isinstance(chance, int | Fraction) for chance in (*self.chances, service))
        wanted = service if exact else float(service) - ERROR
        index = bisect_left(self._sums, wanted)
        if index == len(self.chances) and not self.beyond:
            index -= 1  # all there is, but for rounding
        if index == len(self.chances):
            reached = float(self._sums[-1])
            raise StockError(
                [f"demand was worked out up to {self.most} units, for a service of {reached:.6f}"]
            )
        return self.least + index * self.step

    def short_of(self, amount: int) -> Number:
        """How many units more than ``amount`` are wanted on average (0 when less is wanted).

        StockError where ``amount`` lies beyond what was worked out.
        """
        self.at_most(amount)
        below = (
            (amount - self.least - k * self.step) * chance
            for k, chance in enumerate(self.chances)
            if self.least + k * self.step < amount
        )
        missing: Number = self.mean - amount + _sum(below)
        return missing if float(missing) > 0.0 else 0


def listed(chances: Mapping[int, Number]) -> Demand:
    """A demand of which every chance is given: amount in whole units -> its chance.

    Exact when the chances are fractions. StockError unless they add up to 1 (fractions
    exactly, floats within ERROR) and no amount and no chance is below 0.
    """
    faults = [f"an amount of {amount} is below 0" for amount in chances if amount < 0]
    faults += [f"a chance of {chance} is below 0" for chance in chances.values() if chance < 0]
    total = _sum(chances.values())
    slack = ERROR if isinstance(total, float) else 0
    if not -slack <= total - 1 <= slack:
        faults.append(f"the chances add up to {total}, not to 1")
    refuse(faults)
    least, most = min(chances), max(chances)
    return Demand(
        chances=tuple(chances.get(amount, 0) for amount in range(least, most + 1)),
        mean=_sum(amount * chance for amount, chance in chances.items()),
        least=least,
    )


def _sum(numbers: Iterable[Number]) -> Number:
    kept = list(numbers)
    return math.fsum(kept) if any(isinstance(n, float) for n in kept) else sum(kept)
