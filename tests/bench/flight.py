"""The packing bench: made-up trips, and how near the best each aim comes.

    python tests/bench/flight.py [--kinds usual,tight] [--seeds 1,2] [--items 300] [--seconds 10]
    python tests/bench/flight.py --table [--seconds 10]

The first packs trips of every kind and says of each aim its value, its bound and its gap;
the second is the time table of usual and tight trips of 50 to 1,000 things. Not a timed
test: seconds are of this machine and of what else it does. Without ``--seconds`` counted
work limits the search, as for those who ask for no seconds. The seconds that are asked
for are those of a core: on a busy machine the same search takes longer. The gap of a margin is
told twice: as a share of the bound, and as a share of the limit that it is a margin of,
since 2 g instead of 4 g below a limit of 23 kg are hardly a worse packing.
"""

from __future__ import annotations

import argparse
import os
import resource
import time
from collections.abc import Iterable
from dataclasses import dataclass
from random import Random

from toolbox.flight.packing import WORK, pack
from toolbox.flight.packing_check import packing_faults
from toolbox.flight.packing_problem import (
    Aim,
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
NEAR = 0.01
EVERYBODY = tuple(range(PEOPLE))
SIZES = (50, 100, 200, 300, 500, 1000)
USUAL_G, FULL_G, TIGHT_G = 82_000, 88_500, 118_000  # of all things together


@dataclass(frozen=True)
class Sort:
    """What a sort of trip is like: how much is to be packed, what may stay, what is paid.

    ``grams`` of all things together, ``leave`` the share that could stay at home, ``legs``
    their allowances: p by piece, w by weight for all together, W by weight for each.
    ``cells`` the share of things that goods limits count, ``litres`` volumes as a multiple.
    """

    grams: int = USUAL_G
    leave: float = 0.1
    legs: str = "pwwp"
    bands: tuple[Band, ...] = (Band(23_000, 0), Band(32_000, 9000))
    extra: tuple[int, ...] = (6000, 12_000)
    cells: float = 0.07
    litres: float = 1.0
    spread: bool = False
    change: bool = False


STEPS = (Band(23_000, 0), Band(26_000, 3500), Band(32_000, 8000))
SORTS = {
    "usual": Sort(),  # about room for all
    "full": Sort(FULL_G, leave=0.03),  # to the last kilogram, hardly anything may stay
    "tight": Sort(TIGHT_G, leave=0.25),  # a quarter more than flies free
    "piece": Sort(105_000, leave=0.05, legs="pppp", bands=STEPS),  # fees in steps
    "weight": Sort(150_000, leave=0.05, legs="wWWw"),  # fees by the kilogram
    "goods": Sort(FULL_G, leave=0.1, cells=0.3),  # many things under limits of goods
    "bulky": Sort(70_000, leave=0.1, litres=3.2),  # bags full before they are heavy
    "usual spread": Sort(spread=True),
    "tight spread": Sort(TIGHT_G, leave=0.25, spread=True),
    "usual change": Sort(change=True),
    "tight change": Sort(TIGHT_G, leave=0.25, change=True),
}


def big_trip(count: int, seed: int = 1, sort: str = "usual") -> PackingProblem:
    """Four people, eight bags and four legs: a mechanics' team with ``count`` things.

    Things lie unevenly in the bags, so that some are too heavy as they are. Volumes in
    cubic centimetres.
    """
    like, dice = SORTS[sort], Random(seed)
    bags = tuple(
        [Bag(f"case {b}", b % PEOPLE, 3500, room=90_000, sides=15_500, always=b < PEOPLE)
         for b in range(HOLD)]
        + [Bag(f"cabin bag {b}", b, 800, cabin=True, room=40_000) for b in range(CABIN)]
    )  # fmt: skip
    shares = [dice.lognormvariate(0, 1.2) for _ in range(count)]
    grams = [max(2, round(like.grams * share / sum(shares))) for share in shares]
    items = tuple(_thing(dice, n, grams[n], like) for n in range(count))
    jobs = tuple(_job(dice, n, count) for n in range(max(10, count // 5)))
    legs = tuple(
        _piece_leg(f"leg {n}", like, n) if how == "p" else _weight_leg(f"leg {n}", how, n)
        for n, how in enumerate(like.legs, 1)
    )
    return PackingProblem(
        people=tuple(f"person {p}" for p in EVERYBODY),
        items=items,
        bags=bags,
        legs=legs,
        limits=_goods(dice, count, like.cells),
        jobs=jobs,
        may_change=like.change,
        spread=like.spread,
        legs_out=2,
    )


def _goods(dice: Random, count: int, share: float) -> tuple[GoodsLimit, ...]:
    cells = dice.sample(range(count), max(4, round(count * share)))
    most = max(2, len(cells) // 3)
    return (
        GoodsLimit("spare cells", tuple((i, 1) for i in cells), most, Per.PERSON),
        GoodsLimit("cartridges", tuple((i, 1) for i in cells[:4]), 2, Per.BAG),
    )


def _thing(dice: Random, number: int, grams: int, like: Sort) -> Item:
    used_up = dice.random() < 0.05
    home = min(dice.randrange(HOLD + CABIN), dice.randrange(HOLD + CABIN))
    return Item(
        f"thing {number}",
        (grams, grams, None if used_up else grams, None if used_up else grams),
        volume=round(grams * dice.uniform(1.5, 3) * like.litres),
        cabin=home >= HOLD or dice.random() < 0.6,
        home=home,
        ship_cents=dice.choice((None, None, None, 2500 + grams)),
        buy_cents=dice.choice((None,) * 9 + (3000 + 2 * grams,)),
        may_leave=dice.random() < like.leave,
    )


def _job(dice: Random, number: int, count: int) -> Job:
    needs = tuple(
        tuple(dice.sample(range(count), dice.choice((1, 1, 1, 2))))
        for _ in range(dice.randint(1, 5))
    )
    return Job(f"job {number}", needs, dice.randint(1, 400))


def _piece_leg(name: str, like: Sort, number: int) -> Leg:
    """The way back is a little cheaper."""
    share = 1.0 if number <= 2 else 5 / 6
    masses = tuple(band._replace(cents=round(band.cents * share)) for band in like.bands)
    allowances: tuple[Allowance, ...] = tuple(
        ByPiece((p,), 1, masses, like.extra, (Band(15_800, 0),)) for p in EVERYBODY
    )
    return Leg(name, allowances, (Cabin(8000, 1),) * PEOPLE)


def _weight_leg(name: str, how: str, number: int) -> Leg:
    groups = (EVERYBODY,) if how == "w" else tuple((p,) for p in EVERYBODY)
    price = 1100 if number <= 2 else 900
    allowances: tuple[Allowance, ...] = tuple(
        ByWeight(people, len(people) * 30_000, price, None, 32_000) for people in groups
    )
    return Leg(name, allowances, (Cabin(7000, 1),) * PEOPLE)


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--table", action="store_true")
    parser.add_argument("--kinds", default=",".join(SORTS))
    parser.add_argument("--seeds", default="1,2")
    parser.add_argument("--items", type=int, default=300)
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--work", type=float, default=WORK)
    asked = parser.parse_args()
    seeds = [int(seed) for seed in asked.seeds.split(",")]
    print(f"load at the start {os.getloadavg()[0]:.1f}")
    if asked.table:
        _table(asked.seconds, asked.work)
    else:
        _kinds(asked.kinds.split(","), seeds, asked.items, asked.seconds, asked.work)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"memory {memory} MiB, load at the end {os.getloadavg()[0]:.1f}")


def _kinds(
    sorts: Iterable[str], seeds: Iterable[int], count: int, seconds: float | None, work: float
) -> None:
    """One row for each aim of each trip."""
    print("| trip | seed | seconds (of a core) | aim | value | bound | gap |\n" + "|---" * 7 + "|")
    rows, near, nearly = 0, 0, 0
    for sort in sorts:
        for seed in seeds:
            answer, took = _packed(big_trip(count, seed, sort), seconds, work)
            for reached in answer.aims:
                gap, of_limit = reached.gap(), _of_limit(answer, reached)
                near += gap is not None and gap <= NEAR
                nearly += any(share is not None and share <= NEAR for share in (gap, of_limit))
                rows += 1
                said = "" if of_limit is None else f", {of_limit:.2%} of its limit"
                print(f"| {sort} | {seed} | {took} | {_row(reached)}{said} |", flush=True)
            if not answer.aims:
                print(f"| {sort} | {seed} | {took} | {answer.outcome.value} | | | |")
    print(f"{near} of {rows} aims proved or within 1 % of their bound")
    print(f"{nearly} of {rows} where that of a margin is 1 % of the limit below which it is free")


def _of_limit(answer: PackingAnswer, reached: Reached) -> float | None:
    """How far a margin is from its bound, as a share of the lowest limit it is a margin of."""
    if reached.aim is not Aim.MARGIN or reached.bound is None or answer.account is None:
        return None
    tightest = [m.limit_g for m in answer.account.margins if m.free_g == reached.value]
    return (reached.bound - reached.value) / min(tightest)


def _row(reached: Reached) -> str:
    gap = reached.gap()
    said = "proved" if reached.proven else "no bound" if gap is None else f"{gap:.2%}"
    return f"{reached.aim.name.lower()} | {reached.value} | {reached.bound} | {said}"


def _table(seconds: float | None, work: float) -> None:
    """Usual and tight trips from small to large."""
    print("| trip | things | seconds | ended | aims |\n" + "|---" * 5 + "|")
    for sort in ("usual", "tight"):
        for count in SIZES:
            answer, took = _packed(big_trip(count, 1, sort), seconds, work)
            aims = ", ".join(
                f"{reached.aim.name.lower()} {_said(reached)}" for reached in answer.aims
            )
            ended = answer.outcome.value
            print(f"| {sort} | {count} | {took} | {ended} | {aims} |", flush=True)


def _packed(trip: PackingProblem, seconds: float | None, work: float) -> tuple[PackingAnswer, str]:
    began, busy = time.monotonic(), time.process_time()
    answer = pack(trip, seconds=seconds, work=work, clock=time.process_time)
    took = f"{time.monotonic() - began:.1f} ({time.process_time() - busy:.1f})"
    assert not packing_faults(trip, answer)
    return answer, took


def _said(reached: Reached) -> str:
    gap = reached.gap()
    if reached.proven:
        return f"{reached.value} proved"
    return f"{reached.value} ({'no bound' if gap is None else f'{gap:.2%}'})"


if __name__ == "__main__":
    main()
