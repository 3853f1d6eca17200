"""Bags under work: what lies where, kept in sums, so that one change is quickly judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from toolbox.flight.packing_account import band_of, started_kilos
from toolbox.flight.packing_limits import ceiling
from toolbox.flight.packing_problem import (
    KILO,
    Allowance,
    ByPiece,
    Fate,
    PackingProblem,
    Per,
    Places,
)
from toolbox.flight.packing_tables import Tables

_PIECE_G = 10_000  # how bad one bag too many is, in grams too many
_UNIT_G = 1_000  # and one unit of goods
_UNPLACED_G = 10**7  # and an item that is nowhere
_NO_LIMIT = 10**15
_FULL_G = 20_000  # a bag filled twice over is as bad as so many grams too many


class Spot(NamedTuple):
    """What is done with an item: its fate, and for a carried one its bag on each leg."""

    fate: Fate
    bags: tuple[int | None, ...]


class _Found(NamedTuple):
    """One limit looked at: grams too many, price, grams that are paid for, grams free."""

    over: int = 0
    cents: int = 0
    dear: int = 0
    free: int = _NO_LIMIT


class Load:
    """A packing that may break limits, item by item, with its sums by leg and bag.

    Alike legs are summed once. ``spots`` holds a spot for each item, None while it is
    nowhere. ``money`` and ``lost`` are what may be paid and lost without harm.
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
        self.money = 0
        self.lost = _NO_LIMIT
        self._away_cents = 0
        self._cell_of = [[_cell(self.problem, leg, b) for b in bags] for leg in self._legs]
        self._cells: list[dict[int, _Found]] = [{} for _ in self._legs]
        self._stale = {(row, cell) for row, cells in enumerate(self._cell_of) for cell in cells}
        self._goods: int | None = None
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
                self._stale.update((r, cells[bag]) for r, cells in enumerate(self._cell_of))
                if self._units_of[item]:
                    self._goods = None
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

        Money and lost work count from ``money`` and ``lost`` on. While it is too dear, what
        is paid for at all is counted in grams as well, so that each step away from it
        shows. The loss of a bag is not looked at here.
        """
        over, cents, dear, margin = self._nowhere * _UNPLACED_G, self._away_cents, 0, 10**9
        self._refresh()
        for times, cells in zip(self._times, self._cells, strict=True):
            for more, price, paid, free in cells.values():
                over += more
                cents += price * times
                dear += paid
                margin = min(margin, free)
        if self._goods is None:
            self._goods = self._goods_over()
        over += self._goods
        lost = sum(
            job.worth
            for job, served in zip(self.problem.jobs, self._served, strict=True)
            if not all(served)
        )
        beyond, too_lost = max(0, cents - self.money), max(0, lost - self.lost)
        return over, beyond, too_lost, dear if beyond else 0, cents, lost, self._moves, -margin

    def keeps_limits(self) -> bool:
        """True when everything is somewhere and no limit is broken."""
        return self.worth()[0] == 0

    def cents(self) -> int:
        """What this costs."""
        return self.worth()[4]

    def could_gain(self, item: int) -> bool:
        """True when an item is out of its home, or lies where a limit is broken or paid for."""
        spot = self.spots[item]
        if spot is None or spot.fate is not Fate.CARRIED or self.moves_of(item, spot):
            return True
        if self.worth()[1] == 0 == self.worth()[0]:
            return False
        if self._goods and self._units_of[item]:
            return True
        for row, leg in enumerate(self._legs):
            bag = spot.bags[leg]
            if bag is not None:
                found = self._cells[row][self._cell_of[row][bag]]
                if found.over or found.dear or found.cents:
                    return True
        return False

    def _taken(self, bag: int) -> bool:
        return self._things[bag] > 0 or self.problem.bags[bag].always

    def _refresh(self) -> None:
        """Look again at the limits of bags that were changed."""
        for row, cell in self._stale:
            found = list(self._cell_worth(row, cell))
            self._cells[row][cell] = _Found(
                sum(f.over for f in found),
                sum(f.cents for f in found),
                sum(f.dear for f in found),
                min((f.free for f in found), default=_NO_LIMIT),
            )
        self._stale.clear()

    def _cell_worth(self, row: int, cell: int) -> Iterator[_Found]:
        """All limits of the bags of one allowance, or of one person's cabin bags."""
        leg, grams = self.problem.legs[self._legs[row]], self._grams[row]
        bags = [b for b, c in enumerate(self._cell_of[row]) if c == cell and self._taken(b)]
        for b in bags:
            bag, filled = self.problem.bags[b], self._filled[row][b]
            if b in leg.no_bags:
                yield _Found(over=_UNPLACED_G)
            if bag.limit_g is not None:
                yield _kept(bag.limit_g - grams[b])
            if bag.room is not None and filled > bag.room:
                yield _Found(over=1 + (filled - bag.room) * _FULL_G // max(1, bag.room))
        if cell >= 0:
            allowance = leg.allowances[cell]
            for b in bags if allowance.sides else ():
                band = band_of(allowance.sides, self.problem.bags[b].sides)
                yield _Found(cents=band.cents) if band else _Found(over=_UNPLACED_G)
            yield from _allowance_worth(allowance, [grams[b] for b in bags])
            return
        cabin = leg.cabins[-1 - cell]
        if cabin.pieces is not None:
            yield _Found(over=max(0, len(bags) - cabin.pieces) * _PIECE_G)
        if cabin.most_g is not None and bags:
            yield _kept(cabin.most_g - sum(grams[b] for b in bags))

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

    def result(self) -> tuple[Places, tuple[Fate, ...]]:
        """Places by leg and fates of a packing in which everything is somewhere."""
        spots = [spot for spot in self.spots if spot is not None]
        places = tuple(
            tuple(spot.bags[leg] for spot in spots) for leg in range(len(self.problem.legs))
        )
        return places, tuple(spot.fate for spot in spots)


def _cell(problem: PackingProblem, leg: int, bag: int) -> int:
    """What a bag comes under on a leg: its allowance, or from -1 down its person's cabin."""
    case = problem.bags[bag]
    if case.cabin:
        return -1 - case.person
    allowances = problem.legs[leg].allowances
    return next(n for n, allowance in enumerate(allowances) if case.person in allowance.people)


def _kept(free: int) -> _Found:
    """A limit with so many grams left below it; above it when that is below nothing."""
    return _Found(over=max(0, -free), free=free)


def _allowance_worth(allowance: Allowance, grams: Sequence[int]) -> Iterator[_Found]:
    if isinstance(allowance, ByPiece):
        more = max(0, len(grams) - allowance.pieces)
        beyond = max(0, more - len(allowance.extra))
        smallest = sorted(grams)[: more - beyond]
        yield _Found(beyond * _PIECE_G, sum(allowance.extra[:more]), sum(smallest))
        for mass in grams:
            dear = max(0, mass - allowance.masses[0].most)
            band = band_of(allowance.masses, mass)
            if band:
                yield _Found(0, band.cents, dear, band.most - mass)
            else:
                top = allowance.masses[-1]
                yield _Found(mass - top.most, top.cents, dear, 0)
        return
    total = sum(grams)
    if allowance.piece_g is not None:
        yield from (_kept(allowance.piece_g - mass) for mass in grams)
    most = ceiling(allowance)
    kilos = started_kilos(total - allowance.pooled_g) if allowance.kg_cents else 0
    paid = allowance.pooled_g + KILO * kilos
    free = (paid if most is None else min(paid, most)) - total if grams else _NO_LIMIT
    dear = max(0, total - allowance.pooled_g)
    yield _Found(max(0, -free), kilos * (allowance.kg_cents or 0), dear, free)


def heaviest(problem: PackingProblem, item: int) -> int:
    """Grams of an item on the leg where it is heaviest."""
    return max(grams or 0 for grams in problem.items[item].grams)
