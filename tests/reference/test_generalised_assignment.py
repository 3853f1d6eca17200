"""Sharing out against published optima of the generalised assignment problem.

Instances: OR-Library, J. E. Beasley, J. Operational Research Society 41 (1990)
1069-1072 (from memory). Optima gap1-gap8 and sizes: Cattrysse, Salomon & Van
Wassenhove, EJOR 72 (1994) 167-174; Osman, OR Spektrum 17 (1995) 211-225. gap9-gap12,
gapa-gapc: from memory, confirmed with a general MILP solver (computed). gapd is best
known only and not asserted.

The instances give each place its own need of room for an item, so the tables of a
question of loose bins get these needs in place of volumes; the model is the search's own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from toolbox.kit.box import Inside
from toolbox.layout.problem import Item, LayoutProblem, Place
from toolbox.layout.sharing import Shared, Sharing
from toolbox.layout.tables import Tables, tables_of

LARGEST = {
    "gap1": (336, 327, 339, 341, 326), "gap2": (434, 436, 420, 419, 428),
    "gap3": (580, 564, 573, 570, 564), "gap4": (656, 644, 673, 647, 664),
    "gap5": (563, 558, 564, 568, 559), "gap6": (761, 759, 758, 752, 747),
    "gap7": (942, 949, 968, 945, 951), "gap8": (1133, 1134, 1141, 1117, 1127),
    "gap9": (709, 717, 712, 723, 706), "gap10": (958, 963, 960, 947, 947),
    "gap11": (1139, 1178, 1195, 1171, 1171), "gap12": (1451, 1449, 1433, 1447, 1446),
}  # fmt: skip
LEAST = {
    "gapa": (1698, 3235, 1360, 2623, 1158, 2339),
    "gapb": (1843, 3552, 1407, 2827, 1166, 2339),
    "gapc": (1931, 3456, 1402, 2806, 1243, 2391),
}
ALWAYS = ("gap1", "gap2")
MOST = 1000  # above every profit, so that "most profit" becomes "least cost"


def instances(path: Path) -> Iterator[tuple[list[list[int]], list[list[int]], list[int]]]:
    """Costs and needs by place and item, and capacities, of each problem in a file."""
    numbers = iter(map(int, path.read_text().split()))
    for _ in range(next(numbers)):
        places, items = next(numbers), next(numbers)
        costs = [[next(numbers) for _ in range(items)] for _ in range(places)]
        needs = [[next(numbers) for _ in range(items)] for _ in range(places)]
        yield costs, needs, [next(numbers) for _ in range(places)]


def tables(costs: list[list[int]], needs: list[list[int]], room: list[int]) -> Tables:
    """A question of loose bins that takes these costs, needs and rooms."""
    items, places = len(costs[0]), len(costs)
    problem = LayoutProblem(
        items=tuple(Item(str(i), 1, 1, 1, 0) for i in range(items)),
        places=tuple(
            Place(str(p), Inside.LOOSE, 1000, 1000, 1000, 1, 10**9, ()) for p in range(places)
        ),
        openings=(),
        clearance=0,
        pick_cost=tuple(tuple(costs[p][i] for p in range(places)) for i in range(items)),
        visits=(),
        allowed=(tuple(range(places)),) * items,
    )
    use = tuple(tuple(needs[p][i] for p in range(places)) for i in range(items))
    return replace(tables_of(problem), use=use, room=tuple(room))


def best(costs: list[list[int]], needs: list[list[int]], room: list[int]) -> int:
    """The proved least cost; the homes are checked against needs and rooms here."""
    share = Sharing(tables(costs, needs, room)).solve(work=200.0)
    assert share.ended is Shared.BEST
    assert share.homes is not None
    for place, limit in enumerate(room):
        inside = [i for i, home in enumerate(share.homes) if home == place]
        assert sum(needs[place][i] for i in inside) <= limit
    assert share.cost == sum(costs[home][i] for i, home in enumerate(share.homes))
    return share.cost


def marked(names: dict[str, tuple[int, ...]]) -> list[object]:
    """Files to run always, and the rest marked slow."""
    return [
        name if name in ALWAYS else pytest.param(name, marks=pytest.mark.slow) for name in names
    ]


@pytest.mark.parametrize("name", marked(LARGEST))
def test_the_most_profit_is_the_published_one(shared: Path, name: str) -> None:
    """gap1 to gap12 maximise: each optimum is found and proved."""
    found = []
    for profits, needs, room in instances(shared / "data" / f"{name}.txt"):
        costs = [[MOST - profit for profit in row] for row in profits]
        found.append(MOST * len(costs[0]) - best(costs, needs, room))
    assert tuple(found) == LARGEST[name]


@pytest.mark.parametrize("name", marked(LEAST))
def test_the_least_cost_is_the_published_one(shared: Path, name: str) -> None:
    """Types A to C minimise, up to 20 places and 200 items: each optimum is found and proved."""
    found = [best(*instance) for instance in instances(shared / "data" / f"{name}.txt")]
    assert tuple(found) == LEAST[name]


def test_the_smallest_types_always(shared: Path) -> None:
    """The first problem of types A, B and C (5 places, 100 items) in every run."""
    for name, optima in LEAST.items():
        costs, needs, room = next(instances(shared / "data" / f"{name}.txt"))
        assert best(costs, needs, room) == optima[0]
