"""The assignment inside the layout search against published and computed optima.

Sources: OR-Library generalised assignment gap1-gap12 and gapa-gapc (J. E. Beasley, JORS
41 (1990) 1069-1072): optima of gap1-gap8 published, gap9-gap12 and gapa-gapc from memory,
all computed anew. Slotting example: M. G. Kay, Warehousing lecture notes, North Carolina
State University (from memory, arithmetic computed). Linear assignment: scipy.

In the generalised assignment each agent has its own use of a job, which a box cannot
say: an item is as large in one bin as in another. So these files go through the
assignment model of the search, with ``use[b][p]`` and ``room[p]`` from the file.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from pathlib import Path
from random import Random

import pytest

from toolbox.kit.box import Inside
from toolbox.layout.problem import Item, LayoutProblem, Outcome, Place, cost_of
from toolbox.layout.sharing import Shared, Sharing
from toolbox.layout.solve import Effort, solve
from toolbox.layout.tables import Tables, tables_of
from toolbox.layout.verify import faults

MAXIMISED = {
    "gap1": (336, 327, 339, 341, 326),
    "gap2": (434, 436, 420, 419, 428),
    "gap3": (580, 564, 573, 570, 564),
    "gap4": (656, 644, 673, 647, 664),
    "gap5": (563, 558, 564, 568, 559),
    "gap6": (761, 759, 758, 752, 747),
    "gap7": (942, 949, 968, 945, 951),
    "gap8": (1133, 1134, 1141, 1117, 1127),
    "gap9": (709, 717, 712, 723, 706),
    "gap10": (958, 963, 960, 947, 947),
    "gap11": (1139, 1178, 1195, 1171, 1171),
    "gap12": (1451, 1449, 1433, 1447, 1446),
}
MINIMISED = {
    "gapa": (1698, 3235, 1360, 2623, 1158, 2339),
    "gapb": (1843, 3552, 1407, 2827, 1166, 2339),
    "gapc": (1931, 3456, 1402, 2806, 1243, 2391),
}
QUICK = ("gap1", "gap2", "gap3", "gap4", "gapa")  # decided in a few seconds together
TOP = 1000  # above every gain in the files: cost = TOP - gain


def gap_tables(path: Path, number: int, *, maximise: bool) -> Tables:
    """One problem of a file as the tables of an assignment."""
    numbers = iter(map(int, path.read_text(encoding="ascii").split()))
    for left in range(next(numbers), 0, -1):
        agents, jobs = next(numbers), next(numbers)
        costs = [[next(numbers) for _ in range(jobs)] for _ in range(agents)]
        uses = [[next(numbers) for _ in range(jobs)] for _ in range(agents)]
        rooms = [next(numbers) for _ in range(agents)]
        if number == 0:
            break
        number -= 1
        assert left
    cost = [[TOP - c if maximise else c for c in row] for row in costs]
    bare = tables_of(box_of_slots(tuple(zip(*cost, strict=True)), 10**6))
    return replace(bare, use=tuple(zip(*uses, strict=True)), room=tuple(rooms))


def box_of_slots(cost: tuple[tuple[int, ...], ...], room: int) -> LayoutProblem:
    """A box of bins that each hold ``room`` things of one unit, with these pick costs."""
    places = tuple(
        Place(f"slot {p}", Inside.LOOSE, 1, 1, 1, 10**6, room, ()) for p in range(len(cost[0]))
    )
    return LayoutProblem(
        items=tuple(Item(f"thing {i}", 1, 1, 1, 0) for i in range(len(cost))),
        places=places,
        openings=(),
        clearance=0,
        pick_cost=cost,
        visits=(),
        allowed=(tuple(range(len(places))),) * len(cost),
    )


def solved(path: Path, number: int, *, maximise: bool) -> int:
    """The proved optimum of one problem of a file."""
    tables = gap_tables(path, number, maximise=maximise)
    share = Sharing(tables).solve(work=600)
    assert share.ended is Shared.BEST
    assert share.homes is not None
    used = [0] * len(tables.room)
    for block, home in enumerate(share.homes):
        used[home] += tables.use[block][home]
    assert all(u <= room for u, room in zip(used, tables.room, strict=True))
    assert share.bound == share.cost
    return TOP * len(tables.blocks) - share.cost if maximise else share.cost


@pytest.mark.parametrize("name", [name for name in MAXIMISED if name in QUICK])
def test_small_assignments_reach_the_published_gain(shared: Path, name: str) -> None:
    """gap1-gap4: the optimum, proved."""
    for number, gain in enumerate(MAXIMISED[name]):
        assert solved(shared / "data" / f"{name}.txt", number, maximise=True) == gain


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in MAXIMISED if name not in QUICK])
def test_larger_assignments_reach_the_published_gain(shared: Path, name: str) -> None:
    """gap5-gap12: the optimum, proved."""
    for number, gain in enumerate(MAXIMISED[name]):
        assert solved(shared / "data" / f"{name}.txt", number, maximise=True) == gain


def test_assignments_of_type_a_reach_the_known_cost(shared: Path) -> None:
    """gapa: the optimum, proved."""
    for number, cost in enumerate(MINIMISED["gapa"]):
        assert solved(shared / "data" / "gapa.txt", number, maximise=False) == cost


@pytest.mark.parametrize("name", ["gapb", "gapc"])
def test_the_smallest_of_types_b_and_c_reach_the_known_cost(shared: Path, name: str) -> None:
    """gapb, gapc, first problem (5 places, 100 things): the optimum, proved."""
    assert solved(shared / "data" / f"{name}.txt", 0, maximise=False) == MINIMISED[name][0]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["gapb", "gapc"])
@pytest.mark.parametrize("number", range(1, 6))
def test_assignments_of_types_b_and_c_reach_the_known_cost(
    shared: Path, name: str, number: int
) -> None:
    """gapb, gapc, up to 20 places and 200 things: the optimum, proved."""
    known = MINIMISED[name][number]
    assert solved(shared / "data" / f"{name}.txt", number, maximise=False) == known


@pytest.mark.parametrize("seed", range(8))
def test_one_tool_per_place_is_the_linear_assignment(seed: int) -> None:
    """Places for exactly one tool, nothing to open: the cost of scipy's linear assignment."""
    optimise = pytest.importorskip("scipy.optimize")
    draw = Random(seed)
    size = draw.randint(3, 9)
    cost = tuple(tuple(draw.randint(0, 1000) for _ in range(size)) for _ in range(size))
    rows, columns = optimise.linear_sum_assignment(cost)
    answer = solve(box_of_slots(cost, 1))
    assert answer.outcome is Outcome.OPTIMAL
    assert answer.cost == sum(cost[r][c] for r, c in zip(rows, columns, strict=True))


SLOTS = {"A": (4, 24), "B": (5, 7), "C": (3, 21)}  # slots needed, flow
ORDERS = {"CAB": 436, "ACB": 460, "CBA": 620, "ABC": 628, "BCA": 788, "BAC": 812}


def line_of_slots() -> LayoutProblem:
    """Kay's line of twelve slots in a row: a unit of a product in slot k costs (2k + 1) f / m.

    A product of m slots in slots s+1 to s+m then costs (2s + m) f in all, as printed.
    Costs are times 60, which all m divide.
    """
    products = [name for name, (slots, _) in SLOTS.items() for _ in range(slots)]
    cost = tuple(
        tuple(60 * (2 * k + 1) * SLOTS[name][1] // SLOTS[name][0] for k in range(len(products)))
        for name in products
    )
    return box_of_slots(cost, 1)


@pytest.mark.parametrize(("order", "printed"), ORDERS.items())
def test_every_order_of_the_slotting_example_costs_what_is_printed(
    order: str, printed: int
) -> None:
    """Our cost of the six orders of Kay's example."""
    problem = line_of_slots()
    line = "".join(name * SLOTS[name][0] for name in order)
    free = {name: [k for k, at in enumerate(line) if at == name] for name in SLOTS}
    homes = tuple(free[name].pop(0) for name in SLOTS for _ in range(SLOTS[name][0]))
    assert cost_of(problem, homes) == 60 * printed


def test_the_slotting_example_gets_the_printed_answer() -> None:
    """The engine finds 436, the best of all orders, and proves it."""
    assert min(ORDERS.values()) == 436
    assert {*ORDERS} == {"".join(order) for order in permutations("ABC")}
    problem = line_of_slots()
    answer = solve(problem, effort=Effort.QUICK)
    assert faults(problem, answer) == ()
    assert (answer.outcome, answer.cost) == (Outcome.OPTIMAL, 60 * 436)
