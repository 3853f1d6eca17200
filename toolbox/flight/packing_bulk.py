"""Things cut up by the gram: where a relaxed question puts what does not lie at home.

Every packing gives one of these that is as good, so that the best here bounds the best
there. A thing's mass is cut into layers: what it weighs on all its legs, and what it weighs
more on some of them. Layers that may go into the same bags on the same legs are one heap,
shared out among these bags as grams please. Where a bag may be full before it is too heavy,
a heap holds things that are about as dense, and its volume is shared out as its grams are.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from math import floor, log
from typing import Any, NamedTuple

from toolbox.flight.packing_limits import ceiling
from toolbox.flight.packing_problem import ByPiece, ByWeight, PackingProblem, may_lie

_DENSER = 1.25  # the densest of a heap beside the least dense

Legs = frozenset[int]


class Layer(NamedTuple):
    """An amount that is there on some legs."""

    legs: Legs
    amount: int


class _Key(NamedTuple):
    """What the things of a heap have in common; ``dense`` None: grams or volume alone."""

    bags: tuple[int, ...]
    legs: Legs
    dense: int | None


class _Row(NamedTuple):
    """So many things (a variable, ``most`` at most), each of so many grams and such a volume."""

    count: Any
    most: int
    grams: int
    volume: int


class Heaps:
    """The heaps of one packing of the bags, and the share of each in each bag.

    ``taken`` holds a variable or 1 for each bag; nothing lies in a bag that is not taken.
    """

    def __init__(self, model: Any, taken: Sequence[Any]) -> None:
        """No heaps yet."""
        self._model = model
        self._taken = taken
        self._rows: defaultdict[_Key, list[_Row]] = defaultdict(list)
        self._grams: defaultdict[int, list[tuple[Legs, Any, int]]] = defaultdict(list)
        self._volumes: defaultdict[int, list[tuple[Legs, Any, int]]] = defaultdict(list)

    def put(
        self, bags: tuple[int, ...], grams: Mapping[int, int], volume: int, count: Any, most: int
    ) -> None:
        """So many of a kind (a variable, ``most`` at most) into these bags, grams by leg."""
        cut = list(layers(grams))
        if len(cut) == 1 and volume and cut[0].legs == frozenset(grams):
            dense = floor(log(volume / cut[0].amount) / log(_DENSER))
            key = _Key(bags, cut[0].legs, dense)
            self._rows[key].append(_Row(count, most, cut[0].amount, volume))
            return
        for legs, amount in cut:
            self._rows[_Key(bags, legs, None)].append(_Row(count, most, amount, 0))
        if volume:
            legs = frozenset(grams)
            self._rows[_Key(bags, legs, None)].append(_Row(count, most, 0, volume))

    def share_out(self) -> None:
        """All is put: now each heap is divided among its bags."""
        for key, rows in self._rows.items():
            grams = self._shares(key, [(r.count, r.most, r.grams) for r in rows], self._grams)
            volumes = self._shares(key, [(r.count, r.most, r.volume) for r in rows], self._volumes)
            if key.dense is not None:
                ratios = [Fraction(r.volume, r.grams) for r in rows]
                least, largest = min(ratios), max(ratios)
                for mass, volume in zip(grams, volumes, strict=True):
                    self._model.add(least.denominator * volume >= least.numerator * mass)
                    self._model.add(largest.denominator * volume <= largest.numerator * mass)

    def _shares(
        self,
        key: _Key,
        rows: Sequence[tuple[Any, int, int]],
        inside: defaultdict[int, list[tuple[Legs, Any, int]]],
    ) -> list[Any]:
        """An amount shared out among the bags of a heap."""
        most = sum(number * amount for _, number, amount in rows)
        if not most:
            return []
        shares = []
        for bag in key.bags:
            share = self._model.new_int_var(0, most, "")
            shares.append(share)
            inside[bag].append((key.legs, share, most))
            if not isinstance(self._taken[bag], int):
                self._model.add(share <= most * self._taken[bag])
        self._model.add(sum(shares) == sum(count * amount for count, _, amount in rows))
        return shares

    def grams(self, bag: int, leg: int) -> Iterator[tuple[Any, int]]:
        """Shares of grams in a bag on a leg, each with the most it can be."""
        yield from ((share, most) for legs, share, most in self._grams[bag] if leg in legs)

    def volumes(self, bag: int, leg: int) -> Iterator[Any]:
        """Shares of volume in a bag on a leg."""
        yield from (share for legs, share, _ in self._volumes[bag] if leg in legs)


def layers(amounts: Mapping[int, int]) -> Iterator[Layer]:
    """Amounts by leg as layers, each there on some of the legs; nothing is lost."""
    below = 0
    for level in sorted(set(amounts.values())):
        if level > below:
            yield Layer(frozenset(leg for leg, n in amounts.items() if n >= level), level - below)
            below = level


def rooms_matter(problem: PackingProblem) -> bool:
    """True when some bag can be overfull without being too heavy."""
    return any(_fills(problem, bag) for bag in range(len(problem.bags)))


def _fills(problem: PackingProblem, bag: int) -> bool:
    """Whether the bulkiest things that a bag may hold by mass are more than its room."""
    room, grams = problem.bags[bag].room, _ceiling(problem, bag)
    if room is None:
        return False
    things = [
        (item.volume, min(g for g in item.grams if g is not None))
        for number, item in enumerate(problem.items)
        if any(may_lie(problem, number, bag, leg) for leg in range(len(problem.legs)))
    ]
    filled = Fraction(0)
    for volume, mass in sorted(things, key=lambda t: (t[1] > 0, Fraction(-t[0], t[1] or 1))):
        if grams is not None and mass > grams:
            return filled + Fraction(volume * grams, mass) > room
        filled += volume
        grams = None if grams is None else grams - mass
    return filled > room


def _ceiling(problem: PackingProblem, bag: int) -> int | None:
    """Grams that may lie in a bag for any money on the leg where that is least."""
    case = problem.bags[bag]
    tops = [case.limit_g]
    for leg in problem.legs:
        if case.cabin:
            tops.append(leg.cabins[case.person].most_g)
            continue
        for allowance in leg.allowances:
            if case.person in allowance.people and isinstance(allowance, ByPiece):
                tops.append(allowance.masses[-1].most)
            elif case.person in allowance.people and isinstance(allowance, ByWeight):
                tops += [allowance.piece_g, ceiling(allowance)]
    known = [top for top in tops if top is not None]
    return max(0, min(known) - case.tare_g) if known else None
