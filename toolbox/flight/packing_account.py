"""What a packing means: money leg by leg, work lost, things moved, margins. Nothing is judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from toolbox.flight.packing_problem import (
    KILO,
    Account,
    Aim,
    Allowance,
    Band,
    ByPiece,
    ByWeight,
    Charge,
    Fate,
    Limited,
    Loss,
    Margin,
    PackingProblem,
    Places,
    Why,
)


def account_of(problem: PackingProblem, places: Places, fates: Sequence[Fate]) -> Account:
    """The account of a packing that keeps the hard limits; above them it means nothing."""
    taken = taken_bags(problem, places)
    masses = [bag_masses(problem, row, leg, taken) for leg, row in enumerate(places)]
    charges = (*_flown_charges(problem, masses, taken), *_other_charges(problem, fates))
    lost_jobs = tuple(j for j in range(len(problem.jobs)) if not _possible(problem, fates, j))
    moved = tuple(_moved(problem, places))
    margins = tuple(_margins(problem, masses, taken))
    losses = tuple(_loss(problem, places, fates, bag) for bag in taken)
    lost = sum(problem.jobs[j].worth for j in lost_jobs)
    held = [row.lost for row in losses if not problem.bags[row.bag].cabin]
    return Account(
        taken=taken,
        charges=charges,
        cents=sum(charge.cents for charge in charges),
        lost_jobs=lost_jobs,
        lost=lost,
        moved=tuple(dict.fromkeys(moved)),
        moves=len(moved),
        margins=margins,
        margin_g=min((margin.free_g for margin in margins), default=None),
        losses=losses,
        worst_loss=max(held, default=lost),
    )


def values_of(problem: PackingProblem, account: Account) -> dict[Aim, int]:
    """What the aims are judged by, in their order; a margin only where there is one."""
    values = {Aim.MONEY: account.cents, Aim.LOST_WORK: account.lost}
    if problem.spread:
        values[Aim.SPREAD] = account.worst_loss
    values[Aim.MOVES] = account.moves
    if account.margin_g is not None:
        values[Aim.MARGIN] = account.margin_g
    return values


def worth_of(problem: PackingProblem, account: Account) -> tuple[int, ...]:
    """The aims as one value: the smaller of two is the better packing."""
    values = values_of(problem, account)
    return tuple(-v if aim is Aim.MARGIN else v for aim, v in values.items())


def taken_bags(problem: PackingProblem, places: Places) -> tuple[int, ...]:
    """The bags that fly: those that always do, and those with something in them on any leg."""
    used = {bag for row in places for bag in row if bag is not None}
    return tuple(b for b, bag in enumerate(problem.bags) if bag.always or b in used)


def bag_masses(
    problem: PackingProblem, row: Sequence[int | None], leg: int, taken: Sequence[int]
) -> dict[int, int]:
    """Grams of each bag taken on one leg: its own mass and all that lies in it."""
    masses = {bag: problem.bags[bag].tare_g for bag in taken}
    for item, bag in zip(problem.items, row, strict=True):
        if bag is not None:
            masses[bag] += item.grams[leg] or 0
    return masses


def band_of(bands: Sequence[Band], value: int) -> Band | None:
    """The band a value lies in, None above the last."""
    return next((band for band in bands if value <= band.most), None)


def started_kilos(grams: int) -> int:
    """Started kilograms of an excess, 0 when there is none."""
    return max(0, -(-grams // KILO))


def held_bags(problem: PackingProblem, people: Sequence[int], taken: Sequence[int]) -> list[int]:
    """The hold bags of these people among those taken."""
    return [b for b in taken if problem.bags[b].person in people and not problem.bags[b].cabin]


def _flown_charges(
    problem: PackingProblem, masses: Sequence[dict[int, int]], taken: Sequence[int]
) -> Iterator[Charge]:
    for number, leg in enumerate(problem.legs):
        for who, allowance in enumerate(leg.allowances):
            bags = held_bags(problem, allowance.people, taken)
            loads = {bag: masses[number][bag] for bag in bags}
            charges = (
                *_group_charges(allowance, loads, number, who),
                *_large_charges(problem, allowance, bags, number),
            )
            yield from (charge for charge in charges if charge.cents)


def _group_charges(
    allowance: Allowance, loads: dict[int, int], leg: int, who: int
) -> Iterator[Charge]:
    if isinstance(allowance, ByPiece):
        more = max(0, len(loads) - allowance.pieces)
        yield Charge(leg, Why.EXTRA_PIECE, who, more, sum(allowance.extra[:more]))
        for bag, grams in loads.items():
            band = band_of(allowance.masses, grams)
            if band:
                yield Charge(leg, Why.HEAVY, bag, grams, band.cents)
    else:
        kilos = started_kilos(sum(loads.values()) - allowance.pooled_g)
        yield Charge(leg, Why.EXCESS, who, kilos, kilos * (allowance.kg_cents or 0))


def _large_charges(
    problem: PackingProblem, allowance: Allowance, bags: Sequence[int], leg: int
) -> Iterator[Charge]:
    for bag in bags:
        sides = problem.bags[bag].sides
        band = band_of(allowance.sides, sides)
        if band:
            yield Charge(leg, Why.LARGE, bag, sides, band.cents)


def _other_charges(problem: PackingProblem, fates: Sequence[Fate]) -> Iterator[Charge]:
    for number, (item, fate) in enumerate(zip(problem.items, fates, strict=True)):
        if fate is Fate.SHIPPED and item.ship_cents:
            yield Charge(None, Why.SHIPPED, number, 1, item.ship_cents)
        if fate is Fate.BOUGHT and item.buy_cents:
            yield Charge(None, Why.BOUGHT, number, 1, item.buy_cents)


def _possible(
    problem: PackingProblem, fates: Sequence[Fate], job: int, gone: frozenset[int] = frozenset()
) -> bool:
    return all(
        any(fates[item] is not Fate.LEFT and item not in gone for item in need)
        for need in problem.jobs[job].needs
    )


def _moved(problem: PackingProblem, places: Places) -> Iterator[int]:
    """Items out of their home, once for each time the bags are packed."""
    for number, item in enumerate(problem.items):
        legs = [leg for leg, grams in enumerate(item.grams) if grams is not None]
        for leg in legs if problem.may_change else legs[:1]:
            bag = places[leg][number]
            if bag is None or item.home not in (None, bag):
                yield number


def _loss(problem: PackingProblem, places: Places, fates: Sequence[Fate], bag: int) -> Loss:
    """What the loss of a bag means, on whichever leg before the work it is lost."""
    gone = {
        frozenset(item for item, place in enumerate(row) if place == bag)
        for row in places[: problem.legs_out]
    }
    possible = tuple(
        j
        for j in range(len(problem.jobs))
        if all(_possible(problem, fates, j, lost) for lost in gone)
    )
    total = sum(job.worth for job in problem.jobs)
    return Loss(bag, possible, total - sum(problem.jobs[j].worth for j in possible))


def _margins(
    problem: PackingProblem, masses: Sequence[dict[int, int]], taken: Sequence[int]
) -> Iterator[Margin]:
    for leg, loads in enumerate(masses):
        for who, allowance in enumerate(problem.legs[leg].allowances):
            held = {b: loads[b] for b in held_bags(problem, allowance.people, taken)}
            yield from _held_margins(allowance, held, leg, who)
        for bag, grams in loads.items():
            limit = problem.bags[bag].limit_g
            if limit is not None:
                yield Margin(leg, Limited.BAG, bag, limit, grams)
        yield from _cabin_margins(problem, loads, leg)


def _held_margins(
    allowance: Allowance, held: dict[int, int], leg: int, who: int
) -> Iterator[Margin]:
    if isinstance(allowance, ByPiece):
        for bag, grams in held.items():
            band = band_of(allowance.masses, grams)
            if band:
                yield Margin(leg, Limited.PIECE, bag, band.most, grams)
        return
    if allowance.piece_g is not None:
        for bag, grams in held.items():
            yield Margin(leg, Limited.PIECE, bag, allowance.piece_g, grams)
    if held:
        total = sum(held.values())
        yield Margin(leg, Limited.POOL, who, _paid_for(allowance, total), total)


def _paid_for(allowance: ByWeight, total: int) -> int:
    paid = allowance.pooled_g + KILO * started_kilos(total - allowance.pooled_g)
    return paid if allowance.most_g is None else min(paid, allowance.most_g)


def _cabin_margins(problem: PackingProblem, loads: dict[int, int], leg: int) -> Iterator[Margin]:
    for person, cabin in enumerate(problem.legs[leg].cabins):
        mine = [
            grams
            for bag, grams in loads.items()
            if problem.bags[bag].cabin and problem.bags[bag].person == person
        ]
        if mine and cabin.most_g is not None:
            yield Margin(leg, Limited.CABIN, person, cabin.most_g, sum(mine))
