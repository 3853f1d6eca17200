"""Can the packing question be asked at all: everything that is wrong with it, in sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from toolbox.flight.packing_problem import (
    Allowance,
    Bag,
    Band,
    ByPiece,
    ByWeight,
    Item,
    Leg,
    PackingProblem,
)


class PackingError(Exception):
    """A question that cannot be answered; ``faults`` holds all that is wrong with it."""

    def __init__(self, faults: Sequence[str]) -> None:
        """Keep every fault."""
        super().__init__("; ".join(faults))
        self.faults = tuple(faults)


def question_faults(problem: PackingProblem) -> tuple[str, ...]:
    """Every fault of a question, one sentence each; empty when it can be answered."""
    found = [
        *_trip_faults(problem),
        *(f for item in problem.items for f in _item_faults(problem, item)),
        *(f for bag in problem.bags for f in _bag_faults(problem, bag)),
        *(f for leg in problem.legs for f in _leg_faults(problem, leg)),
        *_limit_faults(problem),
        *_job_faults(problem),
    ]
    return tuple(found)


def _trip_faults(problem: PackingProblem) -> Iterator[str]:
    if not problem.legs:
        yield "the trip has no leg"
    elif not 1 <= problem.legs_out <= len(problem.legs):
        yield f"{problem.legs_out} legs before the work are not among {len(problem.legs)} legs"


def _unknown(numbers: Iterable[int | None], there: Sequence[object]) -> bool:
    return any(n is not None and not 0 <= n < len(there) for n in numbers)


def _negative(numbers: Iterable[int | None]) -> bool:
    return any(n is not None and n < 0 for n in numbers)


def _item_faults(problem: PackingProblem, item: Item) -> Iterator[str]:
    if len(item.grams) != len(problem.legs):
        yield f"{item.name} has {len(item.grams)} masses for {len(problem.legs)} legs"
    elif all(grams is None for grams in item.grams):
        yield f"{item.name} flies on no leg"
    if _negative((*item.grams, item.volume, item.ship_cents, item.buy_cents)):
        yield f"{item.name} has a mass, volume or price below nothing"
    if _unknown((item.fixed, item.home, *item.no_bags), problem.bags):
        yield f"{item.name} names a bag that does not exist"


def _bag_faults(problem: PackingProblem, bag: Bag) -> Iterator[str]:
    if _unknown((bag.person,), problem.people):
        yield f"{bag.name} belongs to nobody on the trip"
    if _negative((bag.tare_g, bag.room, bag.limit_g, bag.sides)):
        yield f"{bag.name} has a mass, room or size below nothing"


def _leg_faults(problem: PackingProblem, leg: Leg) -> Iterator[str]:
    covered = Counter(person for allowance in leg.allowances for person in allowance.people)
    for person, name in enumerate(problem.people):
        if covered[person] != 1:
            yield f"{leg.name}: {name} has {covered[person]} allowances instead of one"
    if _unknown(covered, problem.people):
        yield f"{leg.name} has an allowance for somebody who is not on the trip"
    if len(leg.cabins) != len(problem.people):
        yield f"{leg.name} has {len(leg.cabins)} cabin limits for {len(problem.people)} people"
    if _negative(n for cabin in leg.cabins for n in cabin):
        yield f"{leg.name} has a cabin limit below nothing"
    if _unknown((*leg.no_hold, *leg.no_cabin), problem.items) or _unknown(
        leg.no_bags, problem.bags
    ):
        yield f"{leg.name} bars an item or bag that does not exist"
    for allowance in leg.allowances:
        yield from (f"{leg.name}: {fault}" for fault in _allowance_faults(allowance))


def _allowance_faults(allowance: Allowance) -> Iterator[str]:
    if not allowance.people:
        yield "an allowance is for nobody"
    yield from _band_faults("size", allowance.sides)
    if isinstance(allowance, ByPiece):
        yield from _piece_faults(allowance)
    else:
        yield from _weight_faults(allowance)


def _piece_faults(allowance: ByPiece) -> Iterator[str]:
    if _negative((allowance.pieces, *allowance.extra)):
        yield "a number or price of pieces lies below nothing"
    if not allowance.masses:
        yield "the mass of a piece has no limit"
    yield from _band_faults("mass", allowance.masses)


def _weight_faults(allowance: ByWeight) -> Iterator[str]:
    if _negative((allowance.pooled_g, allowance.most_g, allowance.piece_g)):
        yield "a mass lies below nothing"
    if allowance.kg_cents is not None and allowance.kg_cents <= 0:
        yield "a kilogram of excess mass must cost something"


def _band_faults(what: str, bands: Sequence[Band]) -> Iterator[str]:
    if not bands:
        return
    if bands[0].cents != 0 or bands[0].most < 0:
        yield f"the first band of {what} must be free and not below nothing"
    for low, high in pairwise(bands):
        if low.most >= high.most or low.cents >= high.cents:
            yield f"bands of {what} must rise, in limit and in price"


def _limit_faults(problem: PackingProblem) -> Iterator[str]:
    for limit in problem.limits:
        items = [item for item, _ in limit.units]
        if _unknown(items, problem.items) or _unknown(limit.bags or (), problem.bags):
            yield f"the limit {limit.name} names an item or bag that does not exist"
        if _unknown(limit.legs or (), problem.legs):
            yield f"the limit {limit.name} names a leg that does not exist"
        if len(set(items)) != len(items):
            yield f"the limit {limit.name} names an item twice"
        if _negative((limit.most, *(units for _, units in limit.units))):
            yield f"the limit {limit.name} has a number below nothing"


def _job_faults(problem: PackingProblem) -> Iterator[str]:
    for job in problem.jobs:
        if _unknown((item for need in job.needs for item in need), problem.items):
            yield f"the job {job.name} needs an item that does not exist"
        if job.worth < 0:
            yield f"the job {job.name} is worth less than nothing"
