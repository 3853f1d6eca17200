"""Why a thing lies where it lies: what each place would cost, and what stands in the way.

Only what must lie together moves; everything else stays. So the figures are exact
differences of whole layouts, not estimates.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, islice, product

from toolbox.layout.bars import LASTING, Ground, Hurdle, hurdles
from toolbox.layout.problem import LayoutProblem

EXACT_FITS = 12  # for one question, which must be answered at once
_TRIES = 60  # single leavers and pairs tried for one place
_WAYS = 40  # ways to put leavers elsewhere that are tried for one place


@dataclass(frozen=True, slots=True)
class Leave:
    """Who would have to leave a place to make room.

    ``extra`` is how much dearer (negative: cheaper) the day gets when the thing moves in
    and each leaver goes to the cheapest other place that its size and the rules leave
    open, whether or not there is room. ``homes`` are places for the leavers where
    there is room, when such were found that make the day cheaper: then ``extra`` is
    exact for these.
    """

    items: tuple[int, ...]
    extra: int
    homes: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """One place for the movers.

    ``cost`` is what they cause there in microseconds a day, ``extra`` that less what they
    cause at home (negative: cheaper). ``hurdles`` is all that stands in the way;
    ``leave`` who could make room, None where nobody was asked or nobody can.
    """

    place: int
    cost: int
    extra: int
    hurdles: tuple[Hurdle, ...]
    leave: Leave | None = None

    @property
    def free(self) -> bool:
        """True when nothing stands in the way."""
        return not self.hurdles


@dataclass(frozen=True, slots=True)
class Why:
    """Where the movers lie, what they cause there (microseconds a day), every other place.

    ``elsewhere`` is sorted cheapest first.
    """

    movers: tuple[int, ...]
    home: int
    cost: int
    elsewhere: tuple[Elsewhere, ...]


def caused(problem: LayoutProblem, homes: Sequence[int], movers: Sequence[int], place: int) -> int:
    """What items cause a day in a place: their picks, and openings nobody else needs.

    Microseconds. Between two places it differs by exactly what ``cost_of`` differs by.
    """
    total = sum(problem.pick_cost[i][place] for i in movers)
    moving = set(movers)
    for visit in problem.visits:
        if moving.isdisjoint(visit.items):
            continue
        opened = {
            o for i in visit.items if i not in moving for o in problem.places[homes[i]].openings
        }
        new = set(problem.places[place].openings) - opened
        total += sum(visit.opening_cost[o] for o in new)
    return total


def why_here(
    problem: LayoutProblem,
    homes: Sequence[int],
    item: int,
    *,
    block: bool = False,
    everywhere: bool = False,
    work: float = 0.0,
    exact: int = EXACT_FITS,
) -> Why:
    """Explain the place of an item in a layout that has a place for each item.

    With ``block`` everything that must lie with it moves too. Leavers are looked for
    where the item would be cheaper, or ``everywhere``. ``work`` above 0 lets the
    solver package take so long over each exact fit, of which there are ``exact``.
    """
    ground = Ground(problem, work, exact)
    movers = ground.block_of(item) if block else (item,)
    home = homes[item]
    cost = caused(problem, homes, movers, home)
    found = []
    others = (p for p in range(len(problem.places)) if p != home)
    for place in sorted(others, key=lambda p: (caused(problem, homes, movers, p), p)):
        there = caused(problem, homes, movers, place)
        bars = hurdles(ground, homes, movers, place)
        found.append(Elsewhere(place, there, there - cost, bars))
    for n, one in enumerate(found):
        asked = one.hurdles and (everywhere or one.extra < 0)
        if asked and not any(h.bar in LASTING for h in one.hurdles):
            found[n] = replace(one, leave=_leave(ground, homes, movers, one.place))
    return Why(movers, home, cost, tuple(found))


def _leave(ground: Ground, homes: Sequence[int], movers: Sequence[int], place: int) -> Leave | None:
    """The cheapest block, else pair of blocks, without which the movers have room."""
    after = _moved(homes, [(movers, place)])
    there = [b for b in ground.blocks if homes[b[0]] == place and not set(b) & set(movers)]
    exits = {b: _exits(ground, after, b, place) for b in there}
    rivals = {i for m in movers for i in ground.rivals[m]}
    forced = tuple(b for b in there if rivals & set(b))
    if len(forced) > 2 or any(not exits[b] for b in forced):
        return None
    price = {b: min(dearer for dearer, _ in ways) for b, ways in exits.items() if ways}
    for blocks in islice(_candidates(forced, price), _TRIES):
        gone = {i for b in blocks for i in b}
        if ground.holds(place, [i for i in _in(after, place) if i not in gone]):
            return _way_out(ground, homes, movers, place, blocks)
    return None


def _candidates(
    forced: tuple[tuple[int, ...], ...], price: dict[tuple[int, ...], int]
) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Forced leavers with none, one or two more, at most two in all, cheapest first."""
    others = sorted((b for b in price if b not in forced), key=lambda b: (price[b], b))
    for more in range(3 - len(forced)):
        if forced or more:
            pairs = combinations(others, more)
            for extra in sorted(pairs, key=lambda bs: (sum(price[b] for b in bs), bs)):
                yield (*forced, *extra)


def _exits(
    ground: Ground, homes: Sequence[int], block: tuple[int, ...], place: int
) -> list[tuple[int, int]]:
    """(extra cost, other place) for a block, cheapest first, as if all other places were empty."""
    problem = ground.problem
    here = caused(problem, homes, block, place)
    return sorted(
        (caused(problem, homes, block, p) - here, p)
        for p in range(len(problem.places))
        if p != place and ground.welcomes(block, p)
    )


def _way_out(
    ground: Ground,
    homes: Sequence[int],
    movers: Sequence[int],
    place: int,
    blocks: tuple[tuple[int, ...], ...],
) -> Leave:
    """Where the leavers would go: the cheapest way on paper, and one with room if it pays."""
    problem = ground.problem
    first = caused(problem, homes, movers, place) - caused(problem, homes, movers, homes[movers[0]])
    after = _moved(homes, [(movers, place)])
    ways = []
    for places in product(*([p for _, p in _exits(ground, after, b, place)] for b in blocks)):
        total, now = first, list(after)
        for b, p in zip(blocks, places, strict=True):
            total += caused(problem, now, b, p) - caused(problem, now, b, place)
            now = _moved(now, [(b, p)])
        ways.append((total, places))
    ways.sort()
    items = tuple(i for b in blocks for i in b)
    for total, places in ways[:_WAYS]:
        if total >= 0:
            break
        now = _moved(after, list(zip(blocks, places, strict=True)))
        if all(ground.holds(p, _in(now, p)) for p in set(places)):
            spread = tuple(p for b, p in zip(blocks, places, strict=True) for _ in b)
            return Leave(items, total, spread)
    return Leave(items, ways[0][0])


def _moved(homes: Sequence[int], moves: Sequence[tuple[Sequence[int], int]]) -> list[int]:
    now = list(homes)
    for movers, place in moves:
        for item in movers:
            now[item] = place
    return now


def _in(homes: Sequence[int], place: int) -> list[int]:
    return [i for i, home in enumerate(homes) if home == place]
