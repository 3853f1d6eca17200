"""Filling bags one by one as full as can be: a start for things that have no home."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from random import Random

from toolbox.flight.packing_load import Load, Spot, heaviest
from toolbox.flight.packing_problem import ByPiece, ByWeight, PackingProblem
from toolbox.flight.packing_spots import spots_for

_ORDERS = 20  # orders in which all bags are filled
_STEPS = 1_600_000  # counted work: things looked at, a thing more for each so many grams
_STEP_G = 2000
_FEW = 20  # bags emptied and filled again at most

Spots = Mapping[int, Mapping[int, Spot]]


def fill(load: Load, rest: Sequence[int]) -> list[int]:
    """Put items into bags, each as full as its mass allows; returns what is left over.

    Tried in several orders; then a few bags at a time are emptied and filled again. What
    leaves least over, then in fewest bags, then unevenly filled ones, counts.
    """
    problem, dice = load.problem, Random(1)
    bags = range(len(problem.bags))
    rooms = [_free_grams(problem, bag) for bag in bags]
    grams = {item: heaviest(problem, item) for item in rest}
    spots = {
        item: {bag: s for s in spots_for(load, item) for bag in _its_bag(s)}
        for item in sorted(rest, key=lambda i: (-grams[i], i))
    }
    best: dict[int, int] = {}
    largest = max([1, *rooms])
    fewest = -(-sum(grams.values()) // largest)
    steps = _STEPS // (1 + len(rest) * (1 + largest // _STEP_G))
    for turn in range(max(_ORDERS, steps) if len(rest) > _ORDERS else _ORDERS):
        if len(best) == len(rest) and len(set(best.values())) <= fewest:
            break
        if turn < _ORDERS:
            home = _in_turn(spots, grams, rooms, bags, dice if turn else None)
        else:
            home = _few_again(best, spots, grams, rooms, dice)
        if _value(home, grams) <= _value(best, grams):
            best = home
    for item, bag in best.items():
        load.put(item, spots[item][bag])
    return [item for item in rest if item not in best]


def _its_bag(spot: Spot) -> tuple[int, ...]:
    """The one bag of a spot, none where there are several or none."""
    bags = {bag for bag in spot.bags if bag is not None}
    return tuple(bags) if len(bags) == 1 else ()


def _value(home: Mapping[int, int], grams: Mapping[int, int]) -> tuple[int, int, int]:
    masses: Counter[int] = Counter()
    for item, bag in home.items():
        masses[bag] += grams[item]
    return -len(home), len(masses), -sum(mass * mass for mass in masses.values())


def _few_again(
    home: Mapping[int, int],
    spots: Spots,
    grams: Mapping[int, int],
    rooms: Sequence[int],
    dice: Random,
) -> dict[int, int]:
    """A few bags, emptied and filled in another order, with what had found no room."""
    used = sorted(set(home.values()))
    few = dice.sample(used, min(dice.randint(2, _FEW), len(used)))
    kept = {item: bag for item, bag in home.items() if bag not in few}
    loose = {item: bags for item, bags in spots.items() if item not in kept}
    return kept | _in_turn(loose, grams, rooms, few, dice)


def _in_turn(
    spots: Spots,
    grams: Mapping[int, int],
    rooms: Sequence[int],
    bags: Sequence[int],
    dice: Random | None,
) -> dict[int, int]:
    """A bag for each item that finds room, bag after bag.

    Each begins with the heaviest thing left, so that it does not stay till the end; the
    rest go in order of mass, or as the ``dice`` fall.
    """
    home: dict[int, int] = {}
    for bag in bags:
        items = [item for item in spots if item not in home and bag in spots[item]]
        if dice and items:
            others = items[1:]
            dice.shuffle(others)
            items = [items[0], *others]
        for n in _fullest([grams[item] for item in items], rooms[bag]):
            home[items[n]] = bag
    return home


def _free_grams(problem: PackingProblem, bag: int) -> int:
    """Grams that go into an empty bag on every leg without being paid for."""
    case = problem.bags[bag]
    limits = [sum(heaviest(problem, i) for i in range(len(problem.items))) + case.tare_g]
    limits += [] if case.limit_g is None else [case.limit_g]
    for leg in problem.legs:
        if case.cabin:
            most = leg.cabins[case.person].most_g
            limits += [] if most is None else [most]
            continue
        for allowance in leg.allowances:
            if case.person in allowance.people and isinstance(allowance, ByPiece):
                limits.append(allowance.masses[0].most)
            elif case.person in allowance.people and isinstance(allowance, ByWeight):
                limits.append(min(allowance.pooled_g, allowance.piece_g or allowance.pooled_g))
    return min(limits) - case.tare_g


def _fullest(grams: Sequence[int], room: int) -> list[int]:
    """Numbers of the masses that come nearest to the room, the first that fits among them.

    Bit n of a sum's number says that n grams can be reached (subset sums).
    """
    first = next((n for n, mass in enumerate(grams) if mass <= room), None)
    if first is None:
        return []
    room -= grams[first]
    others = [n for n in range(first + 1, len(grams)) if grams[n] <= room]
    within = (1 << (room + 1)) - 1
    reached = [1]
    for n in others:
        reached.append((reached[-1] | reached[-1] << grams[n]) & within)
    chosen, total = [first], reached[-1].bit_length() - 1
    for n, before in zip(reversed(others), reversed(reached[:-1]), strict=True):
        if not before >> total & 1:
            chosen.append(n)
            total -= grams[n]
    return chosen
