"""The packing question laid out for the search: alike items, legs and bags counted as one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from toolbox.flight.packing_problem import Aim, Fate, PackingProblem, may_lie

Bags = tuple[tuple[int, ...], ...]  # those left to a thing, for each leg


@dataclass(frozen=True, slots=True)
class Kind:
    """Items that nothing tells apart: their numbers, and where each may lie.

    ``bags[leg]`` are the bags left to one of them on a leg, empty where it does not fly;
    ``away_cents`` is the cheaper of sending and buying (None: neither), ``away`` which.
    """

    members: tuple[int, ...]
    bags: Bags
    home: int | None
    away_cents: int | None
    away: Fate
    may_leave: bool

    @property
    def first(self) -> int:
        """One of them, to look things up by."""
        return self.members[0]


@dataclass(frozen=True, slots=True)
class Tables:
    """The question with its kinds, and its legs grouped into those that are alike.

    ``flights`` are such groups; ``packings`` those that share one packing of the bags.
    ``twins`` are groups of bags that nothing tells apart.
    """

    problem: PackingProblem
    kinds: tuple[Kind, ...]
    kind_of: tuple[int, ...]
    flights: tuple[tuple[int, ...], ...]
    packings: tuple[tuple[tuple[int, ...], ...], ...]
    twins: tuple[tuple[int, ...], ...]


def tables_of(problem: PackingProblem) -> Tables:
    """Lay out a question without faults."""
    kinds = _kinds(problem)
    kind_of = [0] * len(problem.items)
    for number, kind in enumerate(kinds):
        for member in kind.members:
            kind_of[member] = number
    flights = _alike(range(len(problem.legs)), [_leg_key(problem, n) for n in _legs(problem)])
    packings = tuple((flight,) for flight in flights) if problem.may_change else (flights,)
    bags = range(len(problem.bags))
    named = _named_bags(problem)
    keys = [(b,) if b in named else _bag_key(problem, b) for b in bags]
    twins = tuple(group for group in _alike(bags, keys) if len(group) > 1)
    return Tables(problem, kinds, tuple(kind_of), flights, packings, twins)


def staying(tables: Tables, aim: Aim) -> frozenset[int]:
    """Kinds that may as well stay at home for the sake of an aim.

    What may be left makes nothing dearer by staying, and what serves no job loses no work.
    """
    if aim in (Aim.MOVES, Aim.MARGIN):
        return frozenset()
    free = {k for k, kind in enumerate(tables.kinds) if kind.may_leave}
    if aim is Aim.MONEY:
        return frozenset(free)
    return frozenset(free - serving(tables))


def serving(tables: Tables) -> set[int]:
    """Kinds that serve a job."""
    return {
        tables.kind_of[item]
        for job in tables.problem.jobs
        if job.worth
        for need in job.needs
        for item in need
    }


def uneven(tables: Tables) -> set[int]:
    """Kinds that weigh not the same on all legs of a packing, or fly on some only."""
    if tables.problem.may_change:
        return set()  # each packing is for alike legs
    items = tables.problem.items
    return {k for k, kind in enumerate(tables.kinds) if len(set(items[kind.first].grams)) > 1}


def _legs(problem: PackingProblem) -> range:
    return range(len(problem.legs))


def _alike(numbers: Sequence[int], keys: Sequence[Hashable]) -> tuple[tuple[int, ...], ...]:
    """Numbers grouped by equal keys, in order of their first."""
    groups: defaultdict[Hashable, list[int]] = defaultdict(list)
    for number, key in zip(numbers, keys, strict=True):
        groups[key].append(number)
    return tuple(map(tuple, groups.values()))


def _leg_key(problem: PackingProblem, leg: int) -> Hashable:
    flight = problem.legs[leg]
    return (
        flight.allowances,
        flight.cabins,
        frozenset(flight.no_hold),
        frozenset(flight.no_cabin),
        frozenset(flight.no_bags),
        tuple(item.grams[leg] for item in problem.items),
        tuple(limit.legs is None or leg in limit.legs for limit in problem.limits),
        problem.spread and leg < problem.legs_out,
    )


def _bag_key(problem: PackingProblem, bag: int) -> Hashable:
    case = problem.bags[bag]
    return (
        *(case.person, case.tare_g, case.cabin, case.room),
        *(case.limit_g, case.sides, case.always, "twin"),
    )


def _named_bags(problem: PackingProblem) -> set[int]:
    """Bags that something names by its number, so that they are not like any other."""
    named: set[int | None] = set()
    for item in problem.items:
        named |= {item.home, item.fixed, *item.no_bags}
    for leg in problem.legs:
        named |= set(leg.no_bags)
    for limit in problem.limits:
        named |= set(limit.bags or ())
    return {bag for bag in named if bag is not None}


def _kinds(problem: PackingProblem) -> tuple[Kind, ...]:
    units: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
    for number, limit in enumerate(problem.limits):
        for item, count in limit.units:
            units[item].append((number, count))
    roles: defaultdict[int, set[tuple[int, int]]] = defaultdict(set)
    for j, job in enumerate(problem.jobs):
        for n, need in enumerate(job.needs):
            for item in need:
                roles[item].add((j, n))
    bare = [_kind(problem, number) for number in range(len(problem.items))]
    keys = [
        (k.bags, k.home, k.away_cents, k.away, k.may_leave, item.grams, item.volume,
         tuple(sorted(units[n])), frozenset(roles[n]))
        for n, (k, item) in enumerate(zip(bare, problem.items, strict=True))
    ]  # fmt: skip
    groups = _alike(range(len(bare)), keys)
    return tuple(
        Kind(g, k.bags, k.home, k.away_cents, k.away, k.may_leave)
        for g in groups
        for k in (bare[g[0]],)
    )


def _kind(problem: PackingProblem, number: int) -> Kind:
    item = problem.items[number]
    bags = tuple(
        tuple(b for b in range(len(problem.bags)) if may_lie(problem, number, b, leg))
        if grams is not None
        else ()
        for leg, grams in enumerate(item.grams)
    )
    if not problem.may_change:
        left = set.intersection(
            *(set(b) for b, grams in zip(bags, item.grams, strict=True) if grams is not None)
        )
        bags = tuple(tuple(sorted(left)) if grams is not None else () for grams in item.grams)
    offers = [
        (cents, way)
        for cents, way in ((item.ship_cents, Fate.SHIPPED), (item.buy_cents, Fate.BOUGHT))
        if cents is not None
    ]
    cents, way = min(offers, key=lambda offer: offer[0]) if offers else (None, Fate.SHIPPED)
    return Kind((number,), bags, item.home, cents, way, item.may_leave)


def homeless(problem: PackingProblem) -> Tables:
    """The question for aims that ask for no homes and no spread: more things are alike."""
    items = tuple(replace(item, home=None) for item in problem.items)
    tables = tables_of(replace(problem, items=items))
    return replace(tables, problem=replace(tables.problem, spread=False))


def most_moves(problem: PackingProblem) -> int:
    """More than there can be moves."""
    return 1 + len(problem.items) * (len(problem.legs) if problem.may_change else 1)
