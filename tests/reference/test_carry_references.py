"""Carrying against published knapsacks, another solver, and other people's statics."""

from __future__ import annotations

import csv
import random
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from scipy import constants
from scipy.optimize import Bounds, LinearConstraint, milp

from toolbox.carry.balance import weigh
from toolbox.carry.pitbag import PitBag, pit_bag
from toolbox.carry.tipping import tipping
from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Known, Mass, Size, Tool
from toolbox.kit.work import Job, Pick, Step


def tool(id: str, grams: int, carried: bool = True, substitutes: tuple[str, ...] = ()) -> Tool:
    mass, size = Mass(grams, Known.GUESS), Size(10, 10, 10)
    return Tool(id, f"tool {id}", mass, size, carried=carried, substitutes=substitutes)


def job(id: str, *tools: str) -> Job:
    return Job(id, f"job {id}", (Step(1, "", tuple(map(Pick, tools))),))


def knapsack(profits: list[int], weights: list[int], limit: int) -> tuple[int, int, bool]:
    """A plain knapsack as a pit bag: each item is a job that takes one tool of its own."""
    tools = [tool(f"T{n}", w) for n, w in enumerate(weights)]
    jobs = [job(f"J{n}", f"T{n}") for n in range(len(weights))]
    bag = pit_bag(jobs, tools, limit, urgent_work={f"J{n}": p for n, p in enumerate(profits)})
    assert isinstance(bag, PitBag)
    assert bag.urgent_share is not None
    profit = bag.urgent_share * sum(profits)
    assert profit.denominator == 1
    return int(profit), bag.grams, bag.proved_best


# D. L. Kreher, D. R. Stinson, Combinatorial Algorithms (1999), knapsack examples with their
# optima; from memory. The sums behind each optimum were added up again [computed].
PUBLISHED = [
    (
        165,
        309,
        [92, 57, 49, 68, 60, 43, 67, 84, 87, 72],
        [23, 31, 29, 44, 53, 38, 63, 85, 89, 82],
    ),
    (
        750,
        1458,
        [135, 139, 149, 150, 156, 163, 173, 184, 192, 201, 210, 214, 221, 229, 240],
        [70, 73, 77, 80, 82, 87, 90, 94, 98, 106, 110, 113, 115, 118, 120],
    ),
]


@pytest.mark.parametrize(("limit", "optimum", "profits", "weights"), PUBLISHED)
def test_published_knapsacks_reach_their_optimum(limit, optimum, profits, weights) -> None:
    """The covered work equals the optimum printed beside the data, and is proved."""
    profit, grams, proved = knapsack(profits, weights, limit)
    assert profit == optimum
    assert grams <= limit
    assert proved


def mknap(shared: Path) -> list[tuple[int, list[int], list[list[int]], list[int]]]:
    """OR-Library mknap1, problems 1 and 3: optimum, values, weights by limit, limits."""
    path = shared / "data" / "mknap1_first3.txt"
    numbers = iter(path.read_text(encoding="utf-8").split())
    found = []
    for _ in range(int(next(numbers))):
        n, m, optimum = int(next(numbers)), int(next(numbers)), float(next(numbers))
        values = [float(next(numbers)) for _ in range(n)]
        rows = [[int(next(numbers)) for _ in range(n)] for _ in range(m)]
        limits = [int(next(numbers)) for _ in range(m)]
        if all(v.is_integer() for v in values):
            found.append((int(optimum), [int(v) for v in values], rows, limits))
    return found


def by_table(profits: list[int], weights: list[int], limit: int) -> int:
    """The textbook table for one knapsack (R. Bellman, Dynamic Programming, 1957)."""
    best = [0] * (limit + 1)
    for profit, weight in zip(profits, weights, strict=True):
        for room in range(limit, weight - 1, -1):
            best[room] = max(best[room], best[room - weight] + profit)
    return best[limit]


def test_one_limit_of_a_multi_limit_knapsack_is_a_relaxation(shared: Path) -> None:
    """Each row of mknap1 alone (a bag has one mass limit, not ten, so the published optimum
    is not ours): equal to the textbook table, and never below the published optimum."""
    for optimum, profits, rows, limits in mknap(shared):
        for weights, limit in zip(rows[::4], limits[::4], strict=True):
            profit, _, proved = knapsack(profits, weights, limit)
            assert proved
            assert profit == by_table(profits, weights, limit) >= optimum


def other_solver(grams, servers, jobs, worths, limit) -> float:
    """The most work that fits, by HiGHS through scipy: tools first, then jobs."""
    nt, nj = len(grams), len(jobs)
    rows = [np.concatenate([grams, np.zeros(nj)])]
    upper = [float(limit)]
    for j, needs in enumerate(jobs):
        for t in needs:
            row = np.zeros(nt + nj)
            row[nt + j] = 1
            row[servers[t]] = -1
            rows.append(row)
            upper.append(0.0)
    result = milp(
        c=np.concatenate([np.zeros(nt), -np.array(worths, dtype=float)]),
        constraints=LinearConstraint(np.array(rows), -np.inf, np.array(upper)),
        integrality=np.ones(nt + nj),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0},
    )
    assert result.success
    return -result.fun


@pytest.mark.parametrize("seed", range(6))
def test_another_solver_finds_the_same_work(seed: int) -> None:
    """40 tools with stand-ins, 20 jobs that share them: HiGHS (scipy) covers as much, no more."""
    rng = random.Random(seed)
    grams = [rng.randint(5, 900) for _ in range(40)]
    servers = [[n, *rng.sample(range(40), rng.randint(0, 2))] for n in range(40)]
    needs = [rng.sample(range(40), rng.randint(1, 7)) for _ in range(20)]
    worths = [rng.randint(1, 60) for _ in range(20)]
    limit = sum(grams) // rng.choice((4, 8, 12))
    tools = [
        tool(f"T{n}", g, substitutes=tuple(f"T{s}" for s in servers[n][1:]))
        for n, g in enumerate(grams)
    ]
    jobs = [job(f"J{n}", *(f"T{t}" for t in some)) for n, some in enumerate(needs)]
    bag = pit_bag(jobs, tools, limit, urgent_work={f"J{n}": w for n, w in enumerate(worths)})
    assert isinstance(bag, PitBag)
    assert bag.proved_best
    assert bag.urgent_share is not None
    expected = other_solver(np.array(grams, dtype=float), servers, needs, worths, limit)
    assert float(bag.urgent_share * sum(worths)) == pytest.approx(expected, abs=1e-6)


def trade_kit(
    shared: Path,
) -> tuple[list[Tool], list[Job], dict[str, float], dict[str, float]]:
    """The tools and jobs of the trade lists, with urgent and all expected times a day."""
    folder = shared / "trade"
    with (folder / "catalogue.csv").open(encoding="utf-8", newline="") as lines:
        rows = [row for row in csv.DictReader(lines) if row["kind"] == "tool"]
    tools = [
        tool(r["item_id"], int(r["mass_g"]), carried=r["suggested_flight_case"] == "yes")
        for r in rows
    ]
    ids = {row["name"]: row["item_id"] for row in rows}
    picks: dict[str, list[str]] = {}
    urgent, every = {}, {}
    with (folder / "jobs.csv").open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            named = [ids[t.strip()] for t in row["tools"].split("|") if t.strip()]
            picks.setdefault(row["job_id"], []).extend(named)
            every[row["job_id"]] = float(row["typical_times_per_workshop_day"])
            if row["urgent_between_runs"] == "yes":
                urgent[row["job_id"]] = every[row["job_id"]]
    return tools, [job(i, *named) for i, named in picks.items()], urgent, every


@pytest.mark.parametrize("limit", [3000, 5000, 8000])
def test_a_full_size_kit_is_proved(limit: int, shared: Path) -> None:
    """128 tools that travel and 61 jobs: proved best, and no lighter bag of another solver's
    covers more urgent work."""
    tools, jobs, urgent, every = trade_kit(shared)
    bag = pit_bag(jobs, tools, limit, urgent_work=urgent, other_work=every)
    assert isinstance(bag, PitBag)
    assert bag.proved_best
    assert bag.grams <= limit
    carried = [t for t in tools if t.carried]
    number = {t.id: n for n, t in enumerate(carried)}
    asked = [(j, {p.tool for s in j.steps for p in s.picks}) for j in jobs if j.id in urgent]
    possible = [(j, needs) for j, needs in asked if needs <= set(number)]
    expected = other_solver(
        np.array([t.mass.grams for t in carried], dtype=float),
        [[n] for n in range(len(carried))],
        [[number[t] for t in needs] for _, needs in possible],
        [urgent[j.id] for j, _ in possible],
        limit,
    )
    assert bag.urgent_share is not None
    total = sum(map(Fraction, urgent.values()))
    assert float(bag.urgent_share * total) == pytest.approx(expected, abs=1e-6)


def test_a_kilogram_a_metre_out_turns_with_standard_gravity() -> None:
    """Standard gravity as scipy lists it (CODATA; 3rd CGPM, 1901: 9.80665 m/s²)."""
    bin_ = Compartment("A", "bin", Inside.LOOSE, Size(10, 10, 10), Position(9995, 9995, 0))
    # a lid that weighs nothing: opening it changes nothing
    lid = Opening("L", "lid", Way.LID, 1)
    box = Box("box", Size(20000, 20000, 1000), 0, 0, (lid,), (bin_,))
    (state,) = tipping(box, Layout("today", (Spot("T", "A"),)), {"T": tool("T", 1000)})
    assert [edge.margin_mnm for edge in state.edges] == [int(constants.g * 1000)] * 4


@pytest.mark.parametrize("seed", range(5))
def test_the_centre_of_gravity_is_the_weighted_mean_of_numpy(seed: int) -> None:
    """The same points and masses through numpy.average, to the rounding of a tenth."""
    rng = random.Random(seed)
    places = [[rng.randrange(0, 4000) for _ in range(3)] for _ in range(12)]
    grams = [rng.randint(1, 5000) for _ in places]
    bins = tuple(
        Compartment(f"C{n}", f"bin {n}", Inside.LOOSE, Size(200, 200, 200), Position(*at))
        for n, at in enumerate(places)
    )
    box = Box("box", Size(5000, 5000, 5000), 7000, 0, (), bins)
    spots = tuple(Spot(f"T{n}", f"C{n}") for n in range(12))
    things = {f"T{n}": tool(f"T{n}", g) for n, g in enumerate(grams)}
    points = np.array([[c + 100 for c in at] for at in places] + [[2500] * 3])
    expected = np.average(points, axis=0, weights=[*grams, 7000])
    found = weigh(box, Layout("today", spots), things).centre
    assert np.allclose(found, expected, atol=0.5)
