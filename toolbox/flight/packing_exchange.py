"""Bags packed to the gram: things exchanged between two bags until no limit is exceeded.

What is sent, left and paid for is settled before. Things of the same mass on all legs go to
and fro, up to two for two: among a few dozen things nearly every difference of grams can be
had. Everything else stays where it was put.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations
from random import Random
from typing import NamedTuple

from toolbox.flight.packing_limits import Top

_FAR = 10**12  # grams; a difference without an end
_MANY = 40  # things of a bag that are tried two by two
_LOOKS = 6  # things tried for one that would fit by mass, as room goes
_SHAKES = 40  # in vain, before it is given up
_ASTRAY = 6  # and before it is taken back
_SHAKEN = 60  # grams by which bags are shaken at least


_State = tuple[list[int | None], list[int], dict[int, int], int]


class Thing(NamedTuple):
    """One thing to be packed: its grams on each leg it flies on, the bags it may lie in.

    ``bag`` where it was put, None: still nowhere. ``home`` is the bag where it counts as
    not moved, None: anywhere. ``loose`` things may be exchanged.
    """

    grams: Mapping[int, int]
    volume: int
    bags: frozenset[int]
    bag: int | None
    home: int | None
    loose: bool


class _Set(NamedTuple):
    """Things that go together from one bag to another: their sums, and the moves they add."""

    grams: int
    volume: int
    moves: int
    things: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Packed:
    """A bag for each thing, and what is free below the tightest limit."""

    bags: tuple[int, ...]
    free_g: int


class Exchange:
    """Things in bags, and what is free in them; exchanged until all is within limits.

    ``tops`` are limits of mass as they were paid for, ``rooms`` those of volume by bag,
    ``moves`` the number of things that may lie out of their home. ``looked`` counts the
    work done.
    """

    def __init__(
        self,
        things: Sequence[Thing],
        tares: Mapping[int, int],
        rooms: Mapping[int, int],
        tops: Collection[Top],
        moves: int,
    ) -> None:
        """Put in what has a place, then the rest: the heaviest first, where most is free."""
        self._things = things
        self._bags = sorted(tares)
        self._random = Random(1)
        self._where = [thing.bag for thing in things]
        self._loose = [number for number, thing in enumerate(things) if thing.loose]
        self._spare = moves
        self.looked = 0
        names = sorted({top.bags for top in tops})
        self._groups = [frozenset(name) for name in names]
        self._of = {b: [n for n, g in enumerate(self._groups) if b in g] for b in self._bags}
        self._free = [_FAR] * len(names)
        self._room = dict(rooms)
        self._fill(tops, tares, names)

    def _fill(
        self, tops: Collection[Top], tares: Mapping[int, int], names: Sequence[tuple[int, ...]]
    ) -> None:
        legs = {top.leg for top in tops} | {leg for t in self._things for leg in t.grams}
        masses = {(b, leg): tares[b] for b in self._bags for leg in legs}
        volumes = dict.fromkeys(masses, 0)
        late = []
        for number, thing in enumerate(self._things):
            if thing.bag is None:
                late.append(number)
                continue
            self._spare -= thing.home not in (None, thing.bag)
            for leg, grams in thing.grams.items():
                masses[thing.bag, leg] += grams
                volumes[thing.bag, leg] += thing.volume
        for top in tops:
            group = names.index(top.bags)
            mass = sum(masses[b, top.leg] for b in top.bags if b in tares)
            self._free[group] = min(self._free[group], top.grams - mass)
        for bag in self._room:
            self._room[bag] -= max((volumes[bag, leg] for leg in legs), default=0)
        for number in sorted(late, key=lambda n: (-max(self._things[n].grams.values()), n)):
            thing = self._things[number]
            bag = max(sorted(thing.bags), key=lambda b: self._fits(b, thing))
            self._where[number] = bag
            self._spare -= thing.home not in (None, bag)
            self._add(bag, max(thing.grams.values()), thing.volume)

    def _fits(self, bag: int, thing: Thing) -> tuple[bool, int]:
        """How well a thing goes into a bag: by room, then by what is free."""
        roomy = self._room.get(bag, thing.volume) >= thing.volume
        return roomy, min((self._free[n] for n in self._of[bag]), default=_FAR)

    def _add(self, bag: int, grams: int, volume: int) -> None:
        for group in self._of[bag]:
            self._free[group] -= grams
        if bag in self._room:
            self._room[bag] -= volume

    def ease(self, moves: int) -> None:
        """Let so many more things lie out of their home."""
        self._spare += moves

    def run(self, reserve: int, tries: int, stop: Callable[[], bool]) -> Packed | None:
        """Exchange until so many grams are free below each limit; at most so many exchanges.

        The best packing within all limits on the way, None where there was none.
        """
        best = self._seen(None)
        least, shaken, kept = self._over(reserve), 0, self._state()
        for _ in range(tries):
            if self._over(reserve) == 0 or shaken > _SHAKES or stop():
                break
            if not any(self._better(a, b, reserve) for a, b in self._pairs(reserve)):
                self._shake(reserve)
                shaken += 1
            if self._over(reserve) < least:
                least, shaken, kept = self._over(reserve), 0, self._state()
            elif shaken % _ASTRAY == _ASTRAY - 1:
                self._back(kept)
            best = self._seen(best)
        return best

    def _state(self) -> _State:
        return list(self._where), list(self._free), dict(self._room), self._spare

    def _back(self, kept: _State) -> None:
        """As it was when the least was too much: shaking has led astray."""
        where, free, room, self._spare = kept
        self._where, self._free, self._room = list(where), list(free), dict(room)

    def _seen(self, best: Packed | None) -> Packed | None:
        free = min(self._free, default=_FAR)
        if free < 0 or self._spare < 0 or any(room < 0 for room in self._room.values()):
            return best
        if best is not None and best.free_g >= free:
            return best
        return Packed(tuple(bag for bag in self._where if bag is not None), free)

    def _over(self, reserve: int) -> int:
        """Grams, and what counts as grams of volume, by which all limits are exceeded."""
        over = sum(max(0, reserve - free) for free in self._free)
        return over + sum(max(0, -room) for room in self._room.values())

    def _pairs(self, reserve: int) -> list[tuple[int, int]]:
        """Pairs of bags, one of them beyond a limit, in any order."""
        full = {b for b in self._bags if any(self._free[n] < reserve for n in self._of[b])}
        full |= {b for b, room in self._room.items() if room < 0}
        pairs = [(a, b) for a, b in permutations(self._bags, 2) if a in full]
        self._random.shuffle(pairs)
        return pairs

    def _excess(self, one: int, other: int, grams: int, volume: int, reserve: int) -> int:
        """What the limits of two bags are exceeded by when so much goes from one to the other."""
        ours, theirs = self._of[one], self._of[other]
        over = 0
        for n in ours:
            if n not in theirs:
                over += max(0, reserve - self._free[n] - grams)
        for n in theirs:
            if n not in ours:
                over += max(0, reserve - self._free[n] + grams)
        if one in self._room:
            over += max(0, -self._room[one] - volume)
        if other in self._room:
            over += max(0, volume - self._room[other])
        return over

    def _wanted(self, one: int, other: int, reserve: int) -> tuple[int, int] | None:
        """The grams, from least to most, that had best go from one bag to the other."""
        ours, theirs = self._of[one], self._of[other]
        ends = [reserve - self._free[n] for n in ours if n not in theirs]
        ends += [self._free[n] - reserve for n in theirs if n not in ours]
        if not ends:
            return None
        worth = {end: self._excess(one, other, end, 0, reserve) for end in ends}
        least = min(worth.values())
        best = [end for end, over in worth.items() if over == least]
        return min(best), max(best)

    def _better(self, one: int, other: int, reserve: int) -> bool:
        """Exchange things of two bags if that helps."""
        wanted = self._wanted(one, other, reserve)
        if wanted is None:
            return False
        now = self._excess(one, other, 0, 0, reserve)

        def worth(grams: int, volume: int) -> int:
            return self._excess(one, other, grams, volume, reserve)

        for two in (False, True):
            found = self._exchange(one, other, wanted, worth, two)
            if found is not None and found[0] < now:
                self._swap(one, other, *found[1:])
                return True
        return False

    def _exchange(
        self,
        one: int,
        other: int,
        wanted: tuple[int, int],
        worth: Callable[[int, int], int],
        two: bool,
    ) -> tuple[int, _Set, _Set] | None:
        """What to exchange so that about the grams wanted go over, and what that is worth."""
        least, most = wanted
        classes = _by_moves(self._sets(other, one, two))
        best: tuple[int, _Set, _Set] | None = None
        floor, near = worth(least, 0), _FAR
        spare = max(0, self._spare)
        for going in self._sets(one, other, two):
            for moves, (masses, sets) in classes.items():
                if moves + going.moves > spare:
                    continue
                first = max(0, bisect_left(masses, going.grams - most) - 1)
                for coming in sets[first : first + _LOOKS]:
                    shift = going.grams - coming.grams
                    off = max(least - shift, shift - most, 0)
                    if off > near or not (going.things or coming.things):
                        continue
                    over = worth(shift, going.volume - coming.volume)
                    if best is None or over < best[0]:
                        best, near = (over, going, coming), off
                        if over <= floor:
                            return best
                    if shift < least:
                        break
        return best

    def _sets(self, bag: int, to: int, two: bool) -> list[_Set]:
        """None, one or ``two`` things of a bag that may go to another; moves as they go."""
        loose = []
        self.looked += len(self._loose)
        for number in self._loose:
            thing = self._things[number]
            if self._where[number] == bag and to in thing.bags:
                moves = (thing.home not in (None, to)) - (thing.home not in (None, bag))
                grams = next(iter(thing.grams.values()))
                loose.append(_Set(grams, thing.volume, moves, (number,)))
        if len(loose) > _MANY:
            loose = self._random.sample(loose, _MANY)
        twos = [_both(a, b) for a, b in combinations(loose, 2)] if two else []
        self.looked += len(twos)
        self._random.shuffle(twos)
        self._random.shuffle(loose)
        return [_Set(0, 0, 0, ()), *loose, *twos]

    def _swap(self, one: int, other: int, going: _Set, coming: _Set) -> None:
        for number in going.things:
            self._where[number] = other
        for number in coming.things:
            self._where[number] = one
        grams, volume = going.grams - coming.grams, going.volume - coming.volume
        self._add(one, -grams, -volume)
        self._add(other, grams, volume)
        self._spare -= going.moves + coming.moves

    def _shake(self, reserve: int) -> None:
        """No exchange helps: a few grams go from any bag to any other."""
        one, other = self._random.sample(self._bags, 2)
        far = max(_SHAKEN, self._over(reserve))
        grams = self._random.randint(-far, far)

        def worth(shift: int, volume: int) -> int:
            return abs(shift - grams) + self._excess(one, other, shift, volume, -_FAR)

        found = self._exchange(one, other, (grams, grams), worth, two=False)
        if found is not None:
            self._swap(one, other, *found[1:])


def _both(one: _Set, other: _Set) -> _Set:
    return _Set(
        one.grams + other.grams,
        one.volume + other.volume,
        one.moves + other.moves,
        one.things + other.things,
    )


def _by_moves(sets: Sequence[_Set]) -> dict[int, tuple[list[int], list[_Set]]]:
    """Sets by the moves they add, each class in order of mass."""
    classes: dict[int, list[_Set]] = {}
    for some in sets:
        classes.setdefault(some.moves, []).append(some)
    ordered = {}
    for moves, row in sorted(classes.items()):
        row.sort(key=lambda s: s.grams)
        ordered[moves] = ([s.grams for s in row], row)
    return ordered
