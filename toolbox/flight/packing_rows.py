"""The limits of a trip as rows of a model: what must be kept, and what is paid for keeping it.

Rows are named by their limits, so that the search for reasons can loosen any of them.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise
from typing import Any

from toolbox.flight.packing_counts import Counts
from toolbox.flight.packing_limits import Limit, LimitKind, ceiling
from toolbox.flight.packing_problem import KILO, Allowance, ByPiece, ByWeight, Per

_FAR = 10**12  # an excess that no trip reaches


class LimitRows:
    """All rows of one model that keep limits.

    ``loose`` limits are left out; ``elastic`` ones may be exceeded by ``over``, one
    variable for each. ``money`` are the terms of what is paid; ``margin`` is no wider than
    what is free below each mass limit, None where there is none; ``tops`` are these limits:
    bags, leg, and what they are kept at.
    """

    def __init__(
        self, counts: Counts, loose: Collection[Limit] = (), elastic: Collection[Limit] = ()
    ) -> None:
        """Add the rows to the model of the counts."""
        self._counts = counts
        self._problem = counts.problem
        self._model = counts.model
        self._loose = frozenset(loose)
        self._elastic = frozenset(elastic)
        self.over: dict[Limit, Any] = {}
        self.money: list[Any] = []
        self.bought: list[Any] = []
        self.tops: list[tuple[tuple[int, ...], int, Any]] = []
        self.margin: Any | None = None
        self._widest = self._wider_than_any_margin()
        for kind, sent in zip(counts.tables.kinds, counts.away, strict=True):
            if kind.away_cents:
                self.money.append(sent * kind.away_cents)
        for number, flights in enumerate(counts.tables.packings):
            self._rooms(number)
            for flight in flights:
                self._flight(number, flight)
        self._goods()

    def _at_most(self, limit: Limit, amount: Any, most: Any) -> Any:
        """Keep a limit, unless it is loose; returns what it was kept at, None when loose."""
        if limit in self._loose:
            return None
        if limit in self._elastic:
            if limit not in self.over:
                self.over[limit] = self._counts.whole(_FAR)
            most = most + self.over[limit]
        self._model.add(amount <= most)
        return most

    def _flight(self, packing: int, flight: tuple[int, ...]) -> None:
        """Everything that holds on alike legs."""
        leg = self._problem.legs[flight[0]]
        mass = [self._counts.mass(packing, flight[0], b) for b in range(len(self._problem.bags))]
        for b, bag in enumerate(self._problem.bags):
            if b in leg.no_bags:
                self._model.add(self._counts.taken[b] == 0)
            if bag.limit_g is not None:
                limit = Limit(LimitKind.BAG_MASS, (), b)
                self._free(flight[0], self._at_most(limit, mass[b], bag.limit_g), mass[b], [b])
        for who, allowance in enumerate(leg.allowances):
            held = self._bags_of(allowance.people, cabin=False)
            self._sides(flight, allowance, held)
            if isinstance(allowance, ByPiece):
                self._pieces(flight, who, allowance, held)
                for b in held:
                    self._bands(flight, who, allowance, b, mass[b])
            else:
                self._pool(flight, who, allowance, held, mass)
        for person in range(len(self._problem.people)):
            self._cabin(flight, person, mass)

    def _bags_of(self, people: Sequence[int], *, cabin: bool) -> list[int]:
        return [
            b
            for b, bag in enumerate(self._problem.bags)
            if bag.cabin is cabin and bag.person in people
        ]

    def _sides(self, flight: tuple[int, ...], allowance: Allowance, held: list[int]) -> None:
        """A bag's size is known: it is priced, or cannot be taken."""
        for b in held if allowance.sides else ():
            sides = self._problem.bags[b].sides
            price = next((band.cents for band in allowance.sides if sides <= band.most), None)
            if price is None:
                self._model.add(self._counts.taken[b] == 0)
            elif price:
                self.money.append(self._counts.taken[b] * (price * len(flight)))

    def _pieces(
        self, flight: tuple[int, ...], who: int, allowance: ByPiece, held: list[int]
    ) -> None:
        extra = [self._counts.yes() for _ in allowance.extra]
        self.bought += extra
        for one, next_one in pairwise(extra):
            self._model.add_implication(next_one, one)
        number = sum(self._counts.taken[b] for b in held)
        limit = Limit(LimitKind.PIECES, flight, who)
        self._at_most(limit, number, allowance.pieces + sum(extra))
        for one, cents in zip(extra, allowance.extra, strict=True):
            if cents:
                self.money.append(one * (cents * len(flight)))

    def _bands(
        self, flight: tuple[int, ...], who: int, allowance: ByPiece, bag: int, mass: Any
    ) -> None:
        bands = allowance.masses
        chosen = (
            [self._counts.taken[bag]] if len(bands) == 1 else [self._counts.yes() for _ in bands]
        )
        if len(bands) > 1:
            self._model.add(sum(chosen) == self._counts.taken[bag])
            self.bought += chosen
        top = self._counts.sum(chosen, [band.most for band in bands])
        limit = Limit(LimitKind.PIECE_MASS, flight, who)
        self._free(flight[0], self._at_most(limit, mass, top), mass, [bag])
        for one, band in zip(chosen, bands, strict=True):
            if band.cents:
                self.money.append(one * (band.cents * len(flight)))

    def _pool(
        self,
        flight: tuple[int, ...],
        who: int,
        allowance: ByWeight,
        held: list[int],
        mass: list[Any],
    ) -> None:
        if allowance.piece_g is not None:
            limit = Limit(LimitKind.PIECE_MASS, flight, who)
            for b in held:
                self._free(
                    flight[0], self._at_most(limit, mass[b], allowance.piece_g), mass[b], [b]
                )
        total = sum(mass[b] for b in held)
        most = ceiling(allowance)
        if most is not None:
            limit = Limit(LimitKind.POOL, flight, who)
            self._free(flight[0], self._at_most(limit, total, most), total, held)
        if allowance.kg_cents is not None:
            whole = sum(self._counts.most_grams(mass[b]) for b in held)
            kilos = self._counts.whole(-(-(whole - allowance.pooled_g) // KILO))
            self.bought.append(kilos)
            paid = allowance.pooled_g + KILO * kilos
            limit = Limit(LimitKind.POOL, flight, who)
            self._free(flight[0], self._at_most(limit, total, paid), total, held)
            self.money.append(kilos * (allowance.kg_cents * len(flight)))

    def _cabin(self, flight: tuple[int, ...], person: int, mass: list[Any]) -> None:
        cabin = self._problem.legs[flight[0]].cabins[person]
        bags = self._bags_of((person,), cabin=True)
        if cabin.pieces is not None:
            number = sum(self._counts.taken[b] for b in bags)
            self._at_most(Limit(LimitKind.CABIN_PIECES, flight, person), number, cabin.pieces)
        if cabin.most_g is not None:
            total = sum(mass[b] for b in bags)
            limit = Limit(LimitKind.CABIN_MASS, flight, person)
            self._free(flight[0], self._at_most(limit, total, cabin.most_g), total, bags)

    def _free(self, leg: int, most: Any | None, amount: Any, bags: Sequence[int]) -> None:
        """The margin is no wider than what is free here, when one of these bags is taken."""
        if most is None or not bags:
            return
        self.tops.append((tuple(bags), leg, most))
        if self.margin is None:
            self.margin = self._counts.whole(self._widest)
        if any(self._problem.bags[b].always for b in bags):
            self._model.add(amount + self.margin <= most)
            return
        empty: Any = 1 - self._counts.taken[bags[0]]
        if len(bags) > 1:
            empty = self._counts.yes()
            for b in bags:
                self._model.add_implication(self._counts.taken[b], empty.Not())
        self._model.add(amount + self.margin <= most + self._widest * empty)

    def _wider_than_any_margin(self) -> int:
        """More than any margin can be."""
        tops = [0]
        for leg in self._problem.legs:
            for allowance in leg.allowances:
                if isinstance(allowance, ByPiece):
                    tops.append(allowance.masses[-1].most)
                else:
                    tops += [allowance.pooled_g + KILO, allowance.piece_g or 0]
            tops += [cabin.most_g or 0 for cabin in leg.cabins]
        tops += [bag.limit_g or 0 for bag in self._problem.bags]
        return max(tops)

    def _rooms(self, packing: int) -> None:
        """Volumes, on each leg of a packing that has its own set of flying items."""
        for b, bag in enumerate(self._problem.bags):
            if bag.room is None:
                continue
            for amount in self._counts.filled(packing, b):
                self._at_most(Limit(LimitKind.ROOM, (), b), amount, bag.room)

    def _goods(self) -> None:
        for number, goods in enumerate(self._problem.limits):
            limit = Limit(LimitKind.GOODS, (), number)
            units = {
                self._counts.tables.kind_of[item]: count for item, count in goods.units if count
            }
            for packing, flights in enumerate(self._counts.tables.packings):
                for flight in flights:
                    if goods.legs is None or flight[0] in goods.legs:
                        kinds = [k for k in units if self._counts.flies(k, flight[0])]
                        for bags in self._counted(number):
                            terms = [
                                units[k] * count
                                for b in bags
                                for k, count in self._counts.in_bag(packing, b, kinds).items()
                            ]
                            if terms:
                                self._at_most(limit, sum(terms), goods.most)

    def _counted(self, number: int) -> list[list[int]]:
        """The groups of bags that a limit of goods counts together."""
        goods = self._problem.limits[number]
        bags = range(len(self._problem.bags)) if goods.bags is None else sorted(set(goods.bags))
        if goods.per is Per.BAG:
            return [[b] for b in bags]
        people = range(len(self._problem.people))
        return [[b for b in bags if self._problem.bags[b].person == p] for p in people]
