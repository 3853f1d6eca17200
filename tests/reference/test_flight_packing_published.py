"""The packing of bags against published optima.

Sources: OR-Library (J. E. Beasley, J. Operational Research Society 41 (1990) 1069-1072).
Bin packing: ``binpack1`` (E. Falkenauer, uniform class, 120 items, capacity 150); counts
are the file's best known, with u120_08 and u120_19 one lower as proved by an exact solver
(I. P. Gent, J. Heuristics 3 (1998) 299-304, from memory). Multi-dimensional knapsack:
``mknap1``, optima printed in the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from toolbox.flight.packing import pack
from toolbox.flight.packing_check import packing_faults
from toolbox.flight.packing_problem import (
    Bag,
    Band,
    ByPiece,
    Cabin,
    GoodsLimit,
    Item,
    Job,
    Leg,
    Outcome,
    PackingProblem,
    Per,
    Reached,
)
from toolbox.flight.packing_watch import PackingWatcher
from toolbox.layout.solver import solver_there
from toolbox.layout.watch import StopSwitch

DATA = Path(__file__).resolve().parents[2].parent / "shared" / "data"
U120 = (48, 49, 46, 49, 50, 48, 48, 49, 50, 46, 52, 49, 48, 49, 50, 48, 52, 52, 49, 49)
MKNAP1 = (3800, 8706.1, 4015)
QUICK = (0, 2, 7, 9)

pytestmark = pytest.mark.skipif(not solver_there(), reason="the solver package is missing")


def read(name: str) -> Iterator[str]:
    """The words of a data file, or a skip that says what is missing."""
    path = DATA / name
    if not path.exists():
        pytest.skip(f"{path} is not there")
    return iter(path.read_text(encoding="ascii").split())


def bins(number: int) -> tuple[int, tuple[int, ...]]:
    """Capacity and weights of one problem of binpack1."""
    words = read("binpack1.txt")
    assert int(next(words)) == len(U120)
    for n in range(len(U120)):
        assert next(words) == f"u120_{n:02}"
        capacity, count, _ = (int(next(words)) for _ in range(3))
        weights = tuple(int(next(words)) for _ in range(count))
        if n == number:
            return capacity, weights
    raise AssertionError


def bags_of_equal_limit(capacity: int, weights: tuple[int, ...], spare: int) -> PackingProblem:
    """A traveller whose every bag costs one: the least money is the least number of bags."""
    bags = -(-sum(weights) // capacity) + spare
    leg = Leg("leg", (ByPiece((0,), 0, (Band(capacity, 0),), (1,) * bags),), (Cabin(),))
    items = tuple(Item(f"thing {n}", (grams,)) for n, grams in enumerate(weights))
    return PackingProblem(
        ("Ann",), items, tuple(Bag(f"bag {b}", 0, 0) for b in range(bags)), (leg,)
    )


class _OnlyMoney(PackingWatcher):
    """Stops the search after its first aim: how evenly the bags are filled is not asked."""

    def __init__(self) -> None:
        self.switch = StopSwitch()

    def aim_done(self, reached: Reached) -> None:
        self.switch.throw()


def check_bins(number: int) -> None:
    """The number of bags is the published one."""
    trip = bags_of_equal_limit(*bins(number), spare=3)
    only_money = _OnlyMoney()
    answer = pack(trip, watcher=only_money, stop=only_money.switch)
    assert packing_faults(trip, answer) == ()
    assert answer.account is not None
    assert answer.account.cents == len(answer.account.taken) == U120[number]
    assert answer.aims[0].proven


@pytest.mark.parametrize("number", QUICK)
def test_bags_of_equal_limit_are_as_few_as_published(number: int) -> None:
    """Some of the problems u120 need exactly the published number of bags, and it is proved."""
    check_bins(number)


@pytest.mark.slow
@pytest.mark.parametrize("number", sorted(set(range(len(U120))) - set(QUICK)))
def test_bags_of_equal_limit_are_as_few_as_published_all(number: int) -> None:
    """So do all the others."""
    check_bins(number)


def knapsack(number: int) -> tuple[PackingProblem, float]:
    """A problem of mknap1 as one bag: value as jobs, the limits as limits of goods; its optimum."""
    words = read("mknap1_first3.txt")
    assert int(next(words)) == len(MKNAP1)
    for n in range(len(MKNAP1)):
        items, limits = int(next(words)), int(next(words))
        optimum = float(next(words))
        worths = [round(10 * float(next(words))) for _ in range(items)]
        uses = [[int(next(words)) for _ in range(items)] for _ in range(limits)]
        most = [int(next(words)) for _ in range(limits)]
        if n == number:
            break
    goods = tuple(
        GoodsLimit(f"limit {n}", tuple(enumerate(use)), top, Per.BAG)
        for n, (use, top) in enumerate(zip(uses, most, strict=True))
    )
    things = tuple(Item(f"thing {n}", (1,), may_leave=True) for n in range(items))
    jobs = tuple(Job(f"job {n}", ((n,),), worth) for n, worth in enumerate(worths))
    leg = Leg("leg", (ByPiece((0,), 1, (Band(10**6, 0),)),), (Cabin(),))
    return PackingProblem(("Ann",), things, (Bag("bag", 0, 0),), (leg,), goods, jobs), optimum


@pytest.mark.parametrize("number", range(len(MKNAP1)))
def test_most_value_under_several_limits_is_the_published_optimum(number: int) -> None:
    """All value less the lost work is the optimum printed in the file, and it is proved."""
    trip, optimum = knapsack(number)
    assert optimum == MKNAP1[number]
    answer = pack(trip)
    assert packing_faults(trip, answer) == ()
    assert answer.outcome is Outcome.OPTIMAL
    assert answer.account is not None
    assert sum(job.worth for job in trip.jobs) - answer.account.lost == round(10 * optimum)


@pytest.mark.parametrize("number", range(len(MKNAP1)))
def test_the_first_limit_as_mass_gives_the_same_optimum(number: int) -> None:
    """With the first limit as the mass of the bag instead, the optimum is the same."""
    trip, optimum = knapsack(number)
    mass, *others = trip.limits
    things = tuple(
        Item(item.name, (grams,), may_leave=True)
        for item, (_, grams) in zip(trip.items, mass.units, strict=True)
    )
    leg = Leg("leg", (ByPiece((0,), 1, (Band(mass.most, 0),)),), (Cabin(),))
    as_mass = PackingProblem(trip.people, things, trip.bags, (leg,), tuple(others), trip.jobs)
    answer = pack(as_mass)
    assert answer.account is not None
    assert sum(job.worth for job in trip.jobs) - answer.account.lost == round(10 * optimum)
