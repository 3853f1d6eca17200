"""Small boxes for Hypothesis with every kind of rule, load, opening and visit.

The sizes are whole cells, so that laid places can be tried out cell by cell (``boxes``).
What a rule asks is put into the engine's numbers here and again, apart from it, when
layouts are tried out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from boxes import Ways
from hypothesis import strategies as st

from toolbox.kit.box import Inside
from toolbox.kit.rules import Ask
from toolbox.layout.conflict import Demand
from toolbox.layout.problem import Item, LayoutProblem, Place, Visit

MOST_ITEMS, MOST_PLACES = 8, 4
AMPLE = 100  # grams that no small box weighs
KINDS = (Inside.LAID, Inside.LAID, Inside.ROW, Inside.LOOSE)

FEATURES = (
    *(ask.value for ask in Ask),
    *(kind.value for kind in Inside),
    *("most things", "most places", "upright", "load", "clearance"),
    *("shared opening", "visit of several"),
)


class Asked(NamedTuple):
    """One rule: what it asks of which items; the places it leaves to each of them, if any."""

    ask: Ask
    items: tuple[int, ...]
    left: tuple[tuple[int, ...], ...] = ()


class Ruled(NamedTuple):
    """A box and the rules behind its numbers."""

    problem: LayoutProblem
    rules: tuple[Asked, ...]

    def demands(self) -> tuple[Demand, ...]:
        """Things, load limits that mean something, and rules, each to be given up alone."""
        problem = self.problem
        return (
            *(Demand(place_for=i) for i in range(len(problem.items))),
            *(Demand(load_of=p) for p, q in enumerate(problem.places) if q.load_g < AMPLE),
            *(_demand(rule) for rule in self.rules),
        )

    def features(self) -> Iterator[str]:
        """Those of FEATURES that there are in the box."""
        problem = self.problem
        yield from {rule.ask.value for rule in self.rules if _asks(rule)}
        yield from {place.kind.value for place in problem.places}
        doors = [o for place in problem.places for o in place.openings]
        marks = {
            "most things": len(problem.items) == MOST_ITEMS,
            "most places": len(problem.places) == MOST_PLACES,
            "upright": any(item.upright for item in problem.items),
            "load": any(place.load_g < AMPLE for place in problem.places),
            "clearance": problem.clearance > 0,
            "shared opening": len(doors) > len(set(doors)),
            "visit of several": any(len(visit.items) > 1 for visit in problem.visits),
        }
        yield from (mark for mark, there in marks.items() if there)


def _demand(rule: Asked) -> Demand:
    if rule.ask is Ask.TOGETHER:
        return Demand(together=(rule.items,))
    if rule.ask is Ask.APART:
        return Demand(apart=(rule.items,))
    return Demand(allowed=tuple(zip(rule.items, rule.left, strict=True)))


def can_keep(ways: Ways, demands: Sequence[Demand]) -> bool:
    """Whether some layout keeps these demands and no others, by trying all."""
    layouts = ways.keeping(
        sorted({d.place_for for d in demands if d.place_for is not None}),
        {d.load_of for d in demands if d.load_of is not None},
        [left for d in demands for left in d.allowed],
        [group for d in demands for group in d.together],
        [group for d in demands for group in d.apart],
    )
    return len(layouts) > 0


SIZES = (st.integers(1, 5), st.integers(1, 4), st.integers(1, 3))
MASS = st.integers(1, 9)
INNER = (st.integers(4, 9), st.integers(4, 7), st.integers(3, 6))
KIND = st.sampled_from(KINDS)
LOAD = st.just(AMPLE) | st.integers(10, 40)
TENTHS, CLEARANCE = st.integers(3, 10), st.integers(0, 1)
DOORS, VISITS, RULES = st.integers(1, 3), st.integers(0, 3), st.integers(0, 6)
SECONDS, LIMIT, TOLL = st.integers(0, 50), st.integers(5, 40), st.integers(0, 30)
ASK = st.sampled_from(list(Ask))
RULED = 4  # only the first few things have rules, so that rules meet


@st.composite
def ruled_boxes(
    draw: st.DrawFn, most_items: int = MOST_ITEMS, most_places: int = MOST_PLACES
) -> Ruled:
    """Up to 8 things, 4 places, 3 openings, 3 visits and 6 rules, so many that some clash."""
    n, m, doors = draw(_mostly(most_items)), draw(_mostly(most_places)), draw(DOORS)
    items = tuple(
        Item(f"thing {k}", *map(draw, SIZES), draw(MASS), draw(st.booleans())) for k in range(n)
    )
    places = tuple(_place(draw, f"place {p}", doors) for p in range(m))
    pick_cost = tuple(tuple(draw(SECONDS) for _ in places) for _ in items)
    rules = tuple(_rule(draw, n, m, pick_cost) for _ in range(draw(RULES)))
    left = [set(range(m)) for _ in items]
    for rule in rules:
        for item, mine in zip(rule.items, rule.left, strict=False):
            left[item] &= set(mine)
    visits = tuple(
        Visit(tuple(draw(TOLL) for _ in range(doors)), draw(_some(n, 1, 4)))
        for _ in range(draw(VISITS))
    )
    problem = LayoutProblem(
        items=items,
        places=places,
        openings=tuple(f"door {o}" for o in range(doors)),
        clearance=draw(CLEARANCE),
        pick_cost=pick_cost,
        visits=visits,
        allowed=tuple(tuple(sorted(mine)) for mine in left),
        together=tuple(rule.items for rule in rules if rule.ask is Ask.TOGETHER),
        apart=tuple(rule.items for rule in rules if rule.ask is Ask.APART),
    )
    return Ruled(problem, rules)


@lru_cache
def _mostly(most: int) -> st.SearchStrategy[int]:
    """A number from 1 on, the largest oftener than others."""
    return st.sampled_from([*range(1, most), *[most] * (most // 2)])


@lru_cache
def _some(of: int, least: int, most: int) -> st.SearchStrategy[tuple[int, ...]]:
    least, most = min(least, of), min(most, of)
    numbers = st.lists(st.integers(0, of - 1), min_size=least, max_size=most, unique=True)
    return numbers.map(lambda chosen: tuple(sorted(chosen)))


def _place(draw: st.DrawFn, name: str, doors: int) -> Place:
    kind, (length, width, depth) = draw(KIND), map(draw, INNER)
    room = length * width * depth * draw(TENTHS) // 10
    return Place(name, kind, length, width, depth, draw(LOAD), room, draw(_some(doors, 0, doors)))


def _rule(draw: st.DrawFn, n: int, m: int, seconds: Sequence[Sequence[int]]) -> Asked:
    ask = draw(ASK)
    if ask in (Ask.TOGETHER, Ask.APART):
        return Asked(ask, draw(_some(min(n, RULED), 2, 3)))
    items = draw(_some(min(n, RULED), 1, 3))
    if ask is Ask.WITHIN:
        limit = draw(LIMIT)
        quick = (tuple(p for p in range(m) if seconds[i][p] <= limit) for i in items)
        return Asked(ask, items, tuple(quick))
    places = draw(_some(m, 1, 1 if ask is Ask.PINNED else m))
    return Asked(ask, items, (places,) * len(items))


def _asks(rule: Asked) -> bool:
    """Whether a rule asks anything: a group of one is together and apart as it is."""
    return bool(rule.left) or len(rule.items) > 1
