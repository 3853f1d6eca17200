"""The packing bench: made-up trips of 50 to 1,000 items, how near the best, how long it takes.

    python tests/bench/flight.py [--sizes 50,100,300] [--seconds 10] [--tight] [--spread] [--change]

Not a timed test: seconds are of this machine, and each row says how many times the first
row's time it took. A row is "proven" or tells the aims that are not, with their gaps.
"""

from __future__ import annotations

import argparse
import resource
import time
from random import Random

from toolbox.flight.packing import pack
from toolbox.flight.packing_problem import (
    Allowance,
    Bag,
    Band,
    ByPiece,
    ByWeight,
    Cabin,
    GoodsLimit,
    Item,
    Job,
    Leg,
    PackingAnswer,
    PackingProblem,
    Per,
    Reached,
)

PEOPLE, HOLD, CABIN = 4, 6, 2
FREE_G, HEAVY_G = 23_000, 32_000
POOL_G = 30_000
USUAL_G, TIGHT_G = 82_000, 118_000  # of all things together


def big_trip(
    count: int, seed: int = 1, *, tight: bool = False, spread: bool = False, change: bool = False
) -> PackingProblem:
    """Four people, eight bags and four legs: a mechanics' team with ``count`` things.

    Things lie unevenly in the bags, so that some are too heavy as they are. Usually there
    is about room for all, and one thing in ten could stay; a ``tight`` trip has a quarter
    more than may fly without being paid for, and a quarter that could stay.
    """
    dice = Random(seed)
    bags = tuple(
        [Bag(f"case {b}", b % PEOPLE, 3500, room=90_000_000, sides=15_500, always=b < PEOPLE)
         for b in range(HOLD)]
        + [Bag(f"cabin bag {b}", b, 800, cabin=True, room=40_000_000) for b in range(CABIN)]
    )  # fmt: skip
    shares = [dice.lognormvariate(0, 1.2) for _ in range(count)]
    total = TIGHT_G if tight else USUAL_G
    grams = [max(2, round(total * share / sum(shares))) for share in shares]
    leave = 0.25 if tight else 0.1
    items = tuple(_thing(dice, n, grams[n], leave) for n in range(count))
    jobs = tuple(_job(dice, n, count) for n in range(max(10, count // 5)))
    outward = (_piece_leg("leg 1", 9000), _weight_leg("leg 2"))
    return PackingProblem(
        people=tuple(f"person {p}" for p in range(PEOPLE)),
        items=items,
        bags=bags,
        legs=(*outward, _weight_leg("leg 3"), _piece_leg("leg 4", 7500)),
        limits=_goods(dice, count),
        jobs=jobs,
        may_change=change,
        spread=spread,
        legs_out=2,
    )


def _goods(dice: Random, count: int) -> tuple[GoodsLimit, ...]:
    cells = dice.sample(range(count), max(4, count // 15))
    most = max(2, len(cells) // 3)
    return (
        GoodsLimit("spare cells", tuple((i, 1) for i in cells), most, Per.PERSON),
        GoodsLimit("cartridges", tuple((i, 1) for i in cells[:4]), 2, Per.BAG),
    )


def _thing(dice: Random, number: int, grams: int, leave: float) -> Item:
    used_up = dice.random() < 0.05
    home = min(dice.randrange(HOLD + CABIN), dice.randrange(HOLD + CABIN))
    return Item(
        f"thing {number}",
        (grams, grams, None if used_up else grams, None if used_up else grams),
        volume=grams * dice.randint(1500, 3000),
        cabin=home >= HOLD or dice.random() < 0.6,
        home=home,
        ship_cents=dice.choice((None, None, None, 2500 + grams)),
        buy_cents=dice.choice((None,) * 9 + (3000 + 2 * grams,)),
        may_leave=dice.random() < leave,
    )


def _job(dice: Random, number: int, count: int) -> Job:
    needs = tuple(
        tuple(dice.sample(range(count), dice.choice((1, 1, 1, 2))))
        for _ in range(dice.randint(1, 5))
    )
    return Job(f"job {number}", needs, dice.randint(1, 400))


def _piece_leg(name: str, price: int) -> Leg:
    allowances: tuple[Allowance, ...] = tuple(
        ByPiece(
            (p,), 1, (Band(FREE_G, 0), Band(HEAVY_G, price)), (6000, 12_000), (Band(15_800, 0),)
        )
        for p in range(PEOPLE)
    )
    return Leg(name, allowances, (Cabin(8000, 1),) * PEOPLE)


def _weight_leg(name: str) -> Leg:
    pool = ByWeight((0, 1, 2, 3), PEOPLE * POOL_G, 1100, None, HEAVY_G)
    return Leg(name, (pool,), (Cabin(7000, 1),) * PEOPLE)


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", default="50,100,200,300,500,1000")
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--seed", type=int, default=1)
    for way in ("tight", "spread", "change"):
        parser.add_argument(f"--{way}", action="store_true")
    asked = parser.parse_args()
    first = None
    print("items  seconds  times first  outcome  aims: value, gap")
    for count in map(int, asked.sizes.split(",")):
        trip = big_trip(
            count, asked.seed, tight=asked.tight, spread=asked.spread, change=asked.change
        )
        began = time.monotonic()
        answer = pack(trip, seconds=asked.seconds)
        took = time.monotonic() - began
        first = first or took
        row = f"{count:5}  {took:7.2f}  {took / first:11.1f}  {answer.outcome.value:7}"
        print(f"{row}  {_said(answer)}", flush=True)
    print(f"memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MiB")


def _said(answer: PackingAnswer) -> str:
    return ", ".join(f"{reached.aim.name.lower()} {_one(reached)}" for reached in answer.aims)


def _one(reached: Reached) -> str:
    gap = reached.gap()
    if reached.proven:
        return f"{reached.value} proven"
    return f"{reached.value} ({'no bound' if gap is None else f'{gap:.2%}'})"


if __name__ == "__main__":
    main()
