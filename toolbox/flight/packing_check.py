"""The packing checker: reads an answer against its question, sharing nothing with the solver.

It knows only the value types. Every fault is a sentence with names; no fault means that
the bags may be packed as written and that every figure of the account is right. That no
packing is better cannot be seen from an answer; what it claims of bounds must only agree.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from toolbox.flight.packing_problem import (
    Account,
    Aim,
    Allowance,
    Band,
    ByPiece,
    Fate,
    Limited,
    Outcome,
    PackingAnswer,
    PackingProblem,
    Per,
    Why,
)


def packing_faults(problem: PackingProblem, answer: PackingAnswer) -> tuple[str, ...]:
    """Everything that is wrong with an answer, one sentence each; empty when it holds."""
    account = answer.account
    if account is None:
        claims = answer.places or answer.fates or answer.aims
        ended = answer.outcome in (Outcome.OPTIMAL, Outcome.GOOD)
        return ("a result is claimed without a packing",) if claims or ended else ()
    misshapen = tuple(_shape_faults(problem, answer))
    if misshapen:
        return misshapen
    flown = _Flown(problem, answer)
    return (
        *_rule_faults(problem, answer),
        *(f for leg in range(len(problem.legs)) for f in _leg_faults(flown, leg)),
        *_goods_faults(flown),
        *_money_faults(flown, account),
        *_work_faults(flown, account),
        *_moved_faults(flown, account),
        *_margin_faults(flown, account),
        *_aim_faults(problem, answer, account),
    )


@dataclass(frozen=True)
class _Flown:
    """The answer turned round: what lies in each bag on each leg."""

    problem: PackingProblem
    answer: PackingAnswer

    @cached_property
    def inside(self) -> list[dict[int, list[int]]]:
        """For each leg the items of each bag that flies, empty bags among them."""
        rows: list[dict[int, list[int]]] = []
        ever = {bag for row in self.answer.places for bag in row}
        flying = [b for b, bag in enumerate(self.problem.bags) if bag.always or b in ever]
        for row in self.answer.places:
            rows.append({b: [i for i, bag in enumerate(row) if bag == b] for b in flying})
        return rows

    def grams(self, leg: int, bag: int) -> int:
        """Mass of a bag on a leg, its own included."""
        items = self.problem.items
        full = sum(items[i].grams[leg] or 0 for i in self.inside[leg][bag])
        return self.problem.bags[bag].tare_g + full

    def theirs(self, leg: int, people: tuple[int, ...], *, cabin: bool) -> list[int]:
        """The bags of these people that fly in the hold, or in the cabin."""
        bags = self.problem.bags
        return [b for b in self.inside[leg] if bags[b].cabin is cabin and bags[b].person in people]


def _shape_faults(problem: PackingProblem, answer: PackingAnswer) -> Iterator[str]:
    if len(answer.fates) != len(problem.items) or len(answer.places) != len(problem.legs):
        yield "the answer is not about these items and legs"
    for leg, row in zip(problem.legs, answer.places, strict=False):
        if len(row) != len(problem.items):
            yield f"{leg.name} has places for {len(row)} of {len(problem.items)} items"
        if any(bag is not None and not 0 <= bag < len(problem.bags) for bag in row):
            yield f"{leg.name} puts something in a bag that does not exist"


def _rule_faults(problem: PackingProblem, answer: PackingAnswer) -> Iterator[str]:
    for i, (item, fate) in enumerate(zip(problem.items, answer.fates, strict=True)):
        where = [row[i] for row in answer.places]
        if fate is Fate.CARRIED:
            for flight, bag, grams in zip(problem.legs, where, item.grams, strict=True):
                if (bag is None) != (grams is None):
                    yield f"{item.name} is not where it should be on {flight.name}"
            if not problem.may_change and len({bag for bag in where if bag is not None}) > 1:
                yield f"{item.name} changes its bag on the way"
        elif any(bag is not None for bag in where):
            yield f"{item.name} is in a bag though it is {fate.value}"
        allowed = {
            Fate.CARRIED: True,
            Fate.SHIPPED: item.ship_cents is not None,
            Fate.BOUGHT: item.buy_cents is not None,
            Fate.LEFT: item.may_leave,
        }
        if not allowed[fate]:
            yield f"{item.name} cannot be {fate.value}"
        for leg, bag in enumerate(where):
            if bag is not None:
                yield from _place_faults(problem, i, bag, leg)


def _place_faults(problem: PackingProblem, i: int, bag: int, leg: int) -> Iterator[str]:
    item, case, flight = problem.items[i], problem.bags[bag], problem.legs[leg]
    words = f"{item.name} lies in {case.name} on {flight.name}"
    if item.fixed is not None and item.fixed != bag:
        yield f"{words} and is fixed elsewhere"
    if bag in item.no_bags:
        yield f"{words}, where it may not lie"
    if case.cabin and (not item.cabin or i in flight.no_cabin):
        yield f"{words} and may not go in the cabin"
    if not case.cabin and (not item.hold or i in flight.no_hold):
        yield f"{words} and may not go in the hold"


def _leg_faults(flown: _Flown, leg: int) -> Iterator[str]:
    problem = flown.problem
    name = problem.legs[leg].name
    for b, items in flown.inside[leg].items():
        bag = problem.bags[b]
        if b in problem.legs[leg].no_bags:
            yield f"{bag.name} may not fly on {name}"
        if bag.limit_g is not None and flown.grams(leg, b) > bag.limit_g:
            yield f"{bag.name} bears {bag.limit_g} g, not {flown.grams(leg, b)} g on {name}"
        if bag.room is not None and sum(problem.items[i].volume for i in items) > bag.room:
            yield f"{bag.name} is overfull on {name}"
    for allowance in problem.legs[leg].allowances:
        yield from (f"{fault} on {name}" for fault in _allowance_faults(flown, leg, allowance))
    for person, cabin in enumerate(problem.legs[leg].cabins):
        bags = flown.theirs(leg, (person,), cabin=True)
        who = problem.people[person]
        if cabin.pieces is not None and len(bags) > cabin.pieces:
            yield f"{who} has {len(bags)} cabin bags on {name}"
        if cabin.most_g is not None and sum(flown.grams(leg, b) for b in bags) > cabin.most_g:
            yield f"{who} has more than {cabin.most_g} g in the cabin on {name}"


def _allowance_faults(flown: _Flown, leg: int, allowance: Allowance) -> Iterator[str]:
    bags = flown.theirs(leg, allowance.people, cabin=False)
    who = ", ".join(flown.problem.people[p] for p in allowance.people)
    for b in bags:
        name, grams = flown.problem.bags[b].name, flown.grams(leg, b)
        ceiling = allowance.masses[-1].most if isinstance(allowance, ByPiece) else allowance.piece_g
        if ceiling is not None and grams > ceiling:
            yield f"{name} with {grams} g is above the ceiling of {ceiling} g"
        if allowance.sides and flown.problem.bags[b].sides > allowance.sides[-1].most:
            yield f"{name} is too large"
    if isinstance(allowance, ByPiece):
        if len(bags) > allowance.pieces + len(allowance.extra):
            yield f"{who}: {len(bags)} hold bags are too many"
        return
    total = sum(flown.grams(leg, b) for b in bags)
    if allowance.kg_cents is None and total > allowance.pooled_g:
        yield f"{who}: {total} g are above the {allowance.pooled_g} g that are included"
    if allowance.most_g is not None and total > allowance.most_g:
        yield f"{who}: {total} g are above the ceiling of {allowance.most_g} g"


def _goods_faults(flown: _Flown) -> Iterator[str]:
    problem = flown.problem
    for limit in problem.limits:
        units = dict(limit.units)
        for leg, inside in enumerate(flown.inside):
            if limit.legs is not None and leg not in limit.legs:
                continue
            counted: Counter[int] = Counter()
            for b, items in inside.items():
                if limit.bags is None or b in limit.bags:
                    key = problem.bags[b].person if limit.per is Per.PERSON else b
                    counted[key] += sum(units.get(i, 0) for i in items)
            for key, count in counted.items():
                if count > limit.most:
                    names = problem.people if limit.per is Per.PERSON else problem.bags
                    who = names[key]
                    said = who if isinstance(who, str) else who.name
                    where = problem.legs[leg].name
                    yield f"{limit.name}: {count} of {limit.most} for {said} on {where}"


def _money_faults(flown: _Flown, account: Account) -> Iterator[str]:
    said: defaultdict[tuple[int | None, Why, int], list[int]] = defaultdict(lambda: [0, 0])
    for charge in account.charges:
        entry = said[(charge.leg, charge.why, charge.who)]
        entry[0] += charge.amount
        entry[1] += charge.cents
    due = {key: [amount, cents] for key, amount, cents in _due(flown) if cents}
    for key in {*said, *due}:
        if said.get(key) != due.get(key):
            leg, why, who = key
            where = "no leg" if leg is None else f"leg {leg}"
            yield (
                f"{why.value}, {where}, number {who}: (amount, cents) is said to be "
                f"{said.get(key)}, found {due.get(key)}"
            )
    total = sum(cents for _, cents in due.values())
    if account.cents != total:
        yield f"the money is said to be {account.cents}, found {total}"


def _due(flown: _Flown) -> Iterator[tuple[tuple[int | None, Why, int], int, int]]:
    """What must be paid: (leg, why, who), amount, cents."""
    problem = flown.problem
    for leg, flight in enumerate(problem.legs):
        for who, allowance in enumerate(flight.allowances):
            bags = flown.theirs(leg, allowance.people, cabin=False)
            masses = [(b, flown.grams(leg, b)) for b in bags]
            for b in bags:
                sides = problem.bags[b].sides
                price = _stair(allowance.sides, sides)
                yield (leg, Why.LARGE, b), sides, price
            if isinstance(allowance, ByPiece):
                beyond = list(allowance.extra[: max(len(bags) - allowance.pieces, 0)])
                yield (leg, Why.EXTRA_PIECE, who), len(beyond), sum(beyond)
                for b, grams in masses:
                    price = _stair(allowance.masses, grams)
                    yield (leg, Why.HEAVY, b), grams, price
            else:
                kilos, paid = 0, allowance.pooled_g
                while sum(g for _, g in masses) > paid:
                    kilos, paid = kilos + 1, paid + 1000
                yield (leg, Why.EXCESS, who), kilos, kilos * (allowance.kg_cents or 0)
    for i, fate in enumerate(flown.answer.fates):
        if fate is Fate.SHIPPED:
            yield (None, Why.SHIPPED, i), 1, problem.items[i].ship_cents or 0
        elif fate is Fate.BOUGHT:
            yield (None, Why.BOUGHT, i), 1, problem.items[i].buy_cents or 0


def _stair(bands: Sequence[Band], value: int) -> int:
    """The price of the highest step that a value has passed."""
    return max((up.cents for low, up in pairwise(bands) if value > low.most), default=0)


def _work_faults(flown: _Flown, account: Account) -> Iterator[str]:
    problem = flown.problem
    there = {i for i, fate in enumerate(flown.answer.fates) if fate is not Fate.LEFT}

    def undone(have: set[int]) -> set[int]:
        return {
            j
            for j, job in enumerate(problem.jobs)
            if any(have.isdisjoint(need) for need in job.needs)
        }

    lost = undone(there)
    if set(account.lost_jobs) != lost or len(account.lost_jobs) != len(lost):
        yield "the jobs lost are not those that cannot be done"
    if account.lost != sum(problem.jobs[j].worth for j in lost):
        yield f"the work lost is not {account.lost}"
    flying = set(flown.inside[0]) if flown.inside else set()
    if set(account.taken) != flying or len(account.taken) != len(flying):
        yield "the bags taken are not those that fly"
    worst = account.lost
    if {row.bag for row in account.losses} != flying or len(account.losses) != len(flying):
        yield "the losses are not told for each bag"
        return
    for row in account.losses:
        gone = set[int]()
        for inside in flown.inside[: problem.legs_out]:
            gone |= undone(there - set(inside[row.bag]))
        work = sum(problem.jobs[j].worth for j in gone)
        if set(row.possible) != set(range(len(problem.jobs))) - gone or row.lost != work:
            yield f"what the loss of {problem.bags[row.bag].name} means is wrong"
        if not problem.bags[row.bag].cabin:
            worst = max(worst, work)
    if account.worst_loss != worst:
        yield f"the worst loss is not {account.worst_loss}"


def _moved_faults(flown: _Flown, account: Account) -> Iterator[str]:
    problem = flown.problem
    counted: Counter[int] = Counter()
    for i, item in enumerate(problem.items):
        bags = [
            row[i]
            for row, grams in zip(flown.answer.places, item.grams, strict=True)
            if grams is not None
        ]
        out = [b is None or (item.home is not None and b != item.home) for b in bags]
        counted[i] = sum(out) if problem.may_change else int(out[0])
    moved = {i for i, times in counted.items() if times}
    if set(account.moved) != moved or len(account.moved) != len(moved):
        yield "the things moved are not those out of their home"
    if account.moves != counted.total():
        yield f"the moves are said to be {account.moves}, found {counted.total()}"


def _margin_faults(flown: _Flown, account: Account) -> Iterator[str]:
    real = sorted(
        (leg, limited.value, who, limit, mass)
        for leg in range(len(flown.problem.legs))
        for limited, who, limit, mass in _real_margins(flown, leg)
    )
    if (
        sorted((m.leg, m.limited.value, m.who, m.limit_g, m.mass_g) for m in account.margins)
        != real
    ):
        yield "the margins are not those of the bags"
    least = min((limit - mass for *_, limit, mass in real), default=None)
    if account.margin_g != least:
        yield f"the tightest margin is said to be {account.margin_g}, found {least}"


def _real_margins(flown: _Flown, leg: int) -> Iterator[tuple[Limited, int, int, int]]:
    problem = flown.problem
    for b in flown.inside[leg]:
        limit = problem.bags[b].limit_g
        if limit is not None:
            yield Limited.BAG, b, limit, flown.grams(leg, b)
    for who, allowance in enumerate(problem.legs[leg].allowances):
        bags = flown.theirs(leg, allowance.people, cabin=False)
        grams = [flown.grams(leg, b) for b in bags]
        if isinstance(allowance, ByPiece):
            for b, mass in zip(bags, grams, strict=True):
                tops = [band.most for band in allowance.masses if band.most >= mass]
                if tops:
                    yield Limited.PIECE, b, min(tops), mass
            continue
        if allowance.piece_g is not None:
            for b, mass in zip(bags, grams, strict=True):
                yield Limited.PIECE, b, allowance.piece_g, mass
        if bags:
            limit = allowance.pooled_g
            while limit < sum(grams):
                limit += 1000
            ceiling = allowance.most_g
            yield Limited.POOL, who, limit if ceiling is None else min(limit, ceiling), sum(grams)
    for person, cabin in enumerate(problem.legs[leg].cabins):
        bags = flown.theirs(leg, (person,), cabin=True)
        if bags and cabin.most_g is not None:
            mass = sum(flown.grams(leg, b) for b in bags)
            yield Limited.CABIN, person, cabin.most_g, mass


def _aim_faults(problem: PackingProblem, answer: PackingAnswer, account: Account) -> Iterator[str]:
    values = [(Aim.MONEY, account.cents), (Aim.LOST_WORK, account.lost)]
    if problem.spread:
        values.append((Aim.SPREAD, account.worst_loss))
    values.append((Aim.MOVES, account.moves))
    if account.margin_g is not None:
        values.append((Aim.MARGIN, account.margin_g))
    if [(reached.aim, reached.value) for reached in answer.aims] != values:
        yield "the aims are not those of the account"
    for aim, value, bound in answer.aims:
        if bound is not None and (bound < value if aim is Aim.MARGIN else bound > value):
            yield f"the bound {bound} of {aim.value} contradicts its value {value}"
    proved = all(reached.bound == reached.value for reached in answer.aims)
    if (answer.outcome is Outcome.OPTIMAL) is not proved:
        yield "the outcome does not agree with the bounds"
    if answer.outcome not in (Outcome.OPTIMAL, Outcome.GOOD):
        yield "a packing is given though none is said to be there"
