"""The limits of a trip that can be in each other's way, each with a name, each to be raised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from enum import Enum
from typing import NamedTuple, TypeVar

from toolbox.flight.packing_problem import (
    Allowance,
    ByPiece,
    Cabin,
    Leg,
    PackingProblem,
)
from toolbox.flight.packing_tables import Tables

T = TypeVar("T")


class LimitKind(Enum):
    """What is limited; ``who`` of a limit numbers what the comment says."""

    PIECE_MASS = "mass of one bag"  # an allowance of the legs
    PIECES = "number of hold bags"  # an allowance of the legs
    POOL = "total mass"  # an allowance of the legs
    CABIN_MASS = "cabin mass"  # a person
    CABIN_PIECES = "number of cabin bags"  # a person
    BAG_MASS = "mass the bag bears"  # a bag
    ROOM = "room in the bag"  # a bag
    GOODS = "goods"  # a limit of goods


MASSES = (LimitKind.PIECE_MASS, LimitKind.POOL, LimitKind.CABIN_MASS, LimitKind.BAG_MASS)


class Limit(NamedTuple):
    """One limit: its kind, the legs it holds on (the same on each), whose it is.

    Legs are empty for limits of bags and goods, which hold on every leg they are for.
    """

    kind: LimitKind
    legs: tuple[int, ...]
    who: int


class Top(NamedTuple):
    """The most that some bags may weigh together on a leg, as it is paid for."""

    bags: tuple[int, ...]
    leg: int
    grams: int


def limits_of(tables: Tables) -> tuple[Limit, ...]:
    """Every limit of a trip, leg by leg, then of the bags, then of the goods."""
    problem = tables.problem
    found: list[Limit] = []
    for legs in tables.flights:
        found += _leg_limits(problem.legs[legs[0]], legs)
    for number, bag in enumerate(problem.bags):
        if bag.limit_g is not None:
            found.append(Limit(LimitKind.BAG_MASS, (), number))
        if bag.room is not None:
            found.append(Limit(LimitKind.ROOM, (), number))
    found += [Limit(LimitKind.GOODS, (), number) for number in range(len(problem.limits))]
    return tuple(found)


def masses_and_rooms(tables: Tables) -> tuple[Limit, ...]:
    """Limits of mass, of what is paid for too, and of room."""
    kinds = (*MASSES, LimitKind.ROOM)
    paid = [
        Limit(LimitKind.POOL, legs, who)
        for legs in tables.flights
        for who in range(len(tables.problem.legs[legs[0]].allowances))
    ]
    return (*(limit for limit in limits_of(tables) if limit.kind in kinds), *paid)


def _leg_limits(leg: Leg, legs: tuple[int, ...]) -> list[Limit]:
    found = []
    for who, allowance in enumerate(leg.allowances):
        if isinstance(allowance, ByPiece):
            found += [Limit(LimitKind.PIECE_MASS, legs, who), Limit(LimitKind.PIECES, legs, who)]
        else:
            if allowance.piece_g is not None:
                found.append(Limit(LimitKind.PIECE_MASS, legs, who))
            if allowance.kg_cents is None or allowance.most_g is not None:
                found.append(Limit(LimitKind.POOL, legs, who))
    for person, cabin in enumerate(leg.cabins):
        if cabin.most_g is not None:
            found.append(Limit(LimitKind.CABIN_MASS, legs, person))
        if cabin.pieces is not None:
            found.append(Limit(LimitKind.CABIN_PIECES, legs, person))
    return found


def ceiling(allowance: Allowance) -> int | None:
    """The most the total mass of an allowance may be, None where all is paid for."""
    if isinstance(allowance, ByPiece):
        return None
    if allowance.kg_cents is not None:
        return allowance.most_g
    most = allowance.most_g
    return allowance.pooled_g if most is None else min(allowance.pooled_g, most)


def raised(problem: PackingProblem, limit: Limit, by: int) -> PackingProblem:
    """The same question with one limit higher by so many grams, pieces, units or volume."""
    if limit.kind is LimitKind.BAG_MASS:
        bag = problem.bags[limit.who]
        changed = replace(bag, limit_g=(bag.limit_g or 0) + by)
        return replace(problem, bags=_put(problem.bags, limit.who, changed))
    if limit.kind is LimitKind.ROOM:
        bag = problem.bags[limit.who]
        changed = replace(bag, room=(bag.room or 0) + by)
        return replace(problem, bags=_put(problem.bags, limit.who, changed))
    if limit.kind is LimitKind.GOODS:
        goods = problem.limits[limit.who]
        more = replace(goods, most=goods.most + by)
        return replace(problem, limits=_put(problem.limits, limit.who, more))
    legs = [
        _raised_leg(leg, limit, by) if number in limit.legs else leg
        for number, leg in enumerate(problem.legs)
    ]
    return replace(problem, legs=tuple(legs))


def _put(row: Sequence[T], number: int, value: T) -> tuple[T, ...]:
    return (*row[:number], value, *row[number + 1 :])


def _raised_leg(leg: Leg, limit: Limit, by: int) -> Leg:
    if limit.kind is LimitKind.CABIN_MASS:
        cabin = leg.cabins[limit.who]
        more = Cabin((cabin.most_g or 0) + by, cabin.pieces)
        return replace(leg, cabins=_put(leg.cabins, limit.who, more))
    if limit.kind is LimitKind.CABIN_PIECES:
        cabin = leg.cabins[limit.who]
        more = Cabin(cabin.most_g, (cabin.pieces or 0) + by)
        return replace(leg, cabins=_put(leg.cabins, limit.who, more))
    allowance = _raised_allowance(leg.allowances[limit.who], limit.kind, by)
    return replace(leg, allowances=_put(leg.allowances, limit.who, allowance))


def _raised_allowance(allowance: Allowance, kind: LimitKind, by: int) -> Allowance:
    if isinstance(allowance, ByPiece):
        if kind is LimitKind.PIECES:
            return replace(allowance, pieces=allowance.pieces + by)
        top = allowance.masses[-1]
        return replace(allowance, masses=(*allowance.masses[:-1], top._replace(most=top.most + by)))
    if kind is LimitKind.PIECE_MASS:
        return replace(allowance, piece_g=(allowance.piece_g or 0) + by)
    if allowance.kg_cents is not None:
        return replace(allowance, most_g=(allowance.most_g or 0) + by)
    most = (ceiling(allowance) or 0) + by
    return replace(allowance, pooled_g=most, most_g=None if allowance.most_g is None else most)
