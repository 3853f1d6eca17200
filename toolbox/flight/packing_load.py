"""Bags under work: what lies where, kept in sums, so that one change is quickly judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from toolbox.flight.packing_account import band_of, started_kilos
from toolbox.flight.packing_limits import ceiling
from toolbox.flight.packing_problem import Allowance, ByPiece, Fate, Per
from toolbox.flight.packing_tables import Tables

_PIECE_G = 10_000  # how bad one bag too many is, in grams too many
_UNIT_G = 1_000  # and one unit of goods
_UNPLACED_G = 10**7  # and an item that is nowhere
_ML_G = 1_000_000  # cubic tenths of a millimetre of overfilling that are as bad as a gram


class Spot(NamedTuple):
    """What is done with an item: its fate, and for a carried one its bag on each leg."""

    fate: Fate
    bags: tuple[int | None, ...]


class Load:
    """A packing that may break limits, item by item, with its sums by leg and bag.

    Alike legs are summed once. ``spots`` holds a spot for each item, None while it is
    nowhere.
    """

    def __init__(self, tables: Tables) -> None:
        """Nothing is anywhere yet."""
        self.tables = tables
        self.problem = tables.problem
        self.spots: list[Spot | None] = [None] * len(self.problem.items)
        bags = range(len(self.problem.bags))
        self._legs = [flight[0] for flight in tables.flights]
        self._times = [len(flight) for flight in tables.flights]
        self._grams = [[bag.tare_g for bag in self.problem.bags] for _ in self._legs]
        self._filled = [[0 for _ in bags] for _ in self._legs]
        self._things = [0 for _ in bags]
        self._units = [[[0 for _ in bags] for _ in self._legs] for _ in self.problem.limits]
        self._nowhere = len(self.spots)
        self._away_cents = 0
        self._moves = 0
        self._served = [[0] * len(job.needs) for job in self.problem.jobs]
        self._roles: list[list[tuple[int, int]]] = [[] for _ in self.spots]
        for j, job in enumerate(self.problem.jobs):
            for n, need in enumerate(job.needs):
                for item in set(need):
                    self._roles[item].append((j, n))
        self._units_of: list[list[tuple[int, int]]] = [[] for _ in self.spots]
        for number, limit in enumerate(self.problem.limits):
            for item, units in limit.units:
                self._units_of[item].append((number, units))

    def put(self, item: int, spot: Spot | None) -> None:
        """Change what is done with an item."""
        self._count(item, -1)
        self.spots[item] = spot
        self._count(item, 1)

    def _count(self, item: int, sign: int) -> None:
        spot, thing = self.spots[item], self.problem.items[item]
        if spot is None:
            self._nowhere += sign
            return
        if spot.fate is not Fate.LEFT:
            for j, n in self._roles[item]:
                self._served[j][n] += sign
        if spot.fate is Fate.SHIPPED:
            self._away_cents += sign * (thing.ship_cents or 0)
        elif spot.fate is Fate.BOUGHT:
            self._away_cents += sign * (thing.buy_cents or 0)
        self._moves += sign * self.moves_of(item, spot)
        for row, leg in enumerate(self._legs):
            bag = spot.bags[leg]
            if bag is not None:
                self._grams[row][bag] += sign * (thing.grams[leg] or 0)
                self._filled[row][bag] += sign * thing.volume
                self._things[bag] += sign
                for number, units in self._units_of[item]:
                    self._units[number][row][bag] += sign * units

    def moves_of(self, item: int, spot: Spot) -> int:
        """How often an item is out of its home in a spot."""
        thing = self.problem.items[item]
        out = [
            bag is None or thing.home not in (None, bag)
            for bag, grams in zip(spot.bags, thing.grams, strict=True)
            if grams is not None
        ]
        return sum(out) if self.problem.may_change else int(out[0])

    def worth(self) -> tuple[int, ...]:
        """How good this is, the smaller the better: broken limits first, then the aims.

        The loss of a bag is not looked at here.
        """
        over, cents, margin = self._nowhere * _UNPLACED_G, self._away_cents, 10**9
        for row in range(len(self._legs)):
            for more, price, free in self._leg_worth(row):
                over += more
                cents += price * self._times[row]
                margin = min(margin, free)
        over += self._goods_over()
        lost = sum(
            job.worth
            for job, served in zip(self.problem.jobs, self._served, strict=True)
            if not all(served)
        )
        return over, cents, lost, self._moves, -margin

    def _taken(self, bag: int) -> bool:
        return self._things[bag] > 0 or self.problem.bags[bag].always

    def _leg_worth(self, row: int) -> Iterator[tuple[int, int, int]]:
        """For each limit of a leg: grams too many, price, grams free."""
        leg, grams = self.problem.legs[self._legs[row]], self._grams[row]
        taken = [b for b in range(len(grams)) if self._taken(b)]
        for b in taken:
            bag = self.problem.bags[b]
            if b in leg.no_bags:
                yield _UNPLACED_G, 0, 0
            if bag.limit_g is not None:
                yield max(0, grams[b] - bag.limit_g), 0, bag.limit_g - grams[b]
            if bag.room is not None:
                yield (
                    max(0, self._filled[row][b] - bag.room) // _ML_G
                    + (self._filled[row][b] > bag.room),
                    0,
                    10**9,
                )
        for allowance in leg.allowances:
            held = [
                b
                for b in taken
                if not self.problem.bags[b].cabin
                and self.problem.bags[b].person in allowance.people
            ]
            yield from self._sides_worth(allowance, held)
            yield from _allowance_worth(allowance, [grams[b] for b in held])
        for person, cabin in enumerate(leg.cabins):
            mine = [
                b
                for b in taken
                if self.problem.bags[b].cabin and self.problem.bags[b].person == person
            ]
            if cabin.pieces is not None:
                yield max(0, len(mine) - cabin.pieces) * _PIECE_G, 0, 10**9
            if cabin.most_g is not None and mine:
                free = cabin.most_g - sum(grams[b] for b in mine)
                yield max(0, -free), 0, free

    def _sides_worth(
        self, allowance: Allowance, held: Sequence[int]
    ) -> Iterator[tuple[int, int, int]]:
        for b in held if allowance.sides else ():
            band = band_of(allowance.sides, self.problem.bags[b].sides)
            yield (0, band.cents, 10**9) if band else (_UNPLACED_G, 0, 0)

    def _goods_over(self) -> int:
        over = 0
        for number, limit in enumerate(self.problem.limits):
            for row, leg in enumerate(self._legs):
                if limit.legs is None or leg in limit.legs:
                    counts: dict[int, int] = {}
                    for b, units in enumerate(self._units[number][row]):
                        if units and (limit.bags is None or b in limit.bags):
                            key = self.problem.bags[b].person if limit.per is Per.PERSON else b
                            counts[key] = counts.get(key, 0) + units
                    over += sum(max(0, n - limit.most) * _UNIT_G for n in counts.values())
        return over

    def result(self) -> tuple[tuple[tuple[int | None, ...], ...], tuple[Fate, ...]]:
        """Places by leg and fates of a packing in which everything is somewhere."""
        spots = [spot for spot in self.spots if spot is not None]
        places = tuple(
            tuple(spot.bags[leg] for spot in spots) for leg in range(len(self.problem.legs))
        )
        return places, tuple(spot.fate for spot in spots)


def _allowance_worth(allowance: Allowance, grams: Sequence[int]) -> Iterator[tuple[int, int, int]]:
    if isinstance(allowance, ByPiece):
        more = max(0, len(grams) - allowance.pieces)
        beyond = max(0, more - len(allowance.extra))
        yield beyond * _PIECE_G, sum(allowance.extra[:more]), 10**9
        for mass in grams:
            band = band_of(allowance.masses, mass)
            top = allowance.masses[-1]
            yield (0, band.cents, band.most - mass) if band else (mass - top.most, top.cents, 0)
        return
    total = sum(grams)
    if allowance.piece_g is not None:
        for mass in grams:
            yield max(0, mass - allowance.piece_g), 0, allowance.piece_g - mass
    most = ceiling(allowance)
    kilos = started_kilos(total - allowance.pooled_g) if allowance.kg_cents else 0
    paid = allowance.pooled_g + 1000 * kilos
    free = (paid if most is None else min(paid, most)) - total if grams else 10**9
    yield max(0, -free), kilos * (allowance.kg_cents or 0), free
