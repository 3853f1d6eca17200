"""Rows that cut off fractional fillings which no real filling of a place can be.

**Sums.** Load, area, row length and room are sums: whole blocks whose weights add up
to at most the limit. Weights under which no such choice is heavier than ``top`` give
the row "weights add up to at most top".

**Bars.** In a laid place draw a line across the length, at any height: the things it
meets lie side by side, so their lengths along it (in the way each lies) are a pattern.
With weights u that no pattern exceeds ``top_u`` by, the things on every such line weigh
at most top_u. Moving the line across the width, each thing is met over its own width:
sum of u * width <= top_u * (place's width). The same holds with the width replaced by
weights v on patterns across the width: replacing the sizes of one direction by such
weights leaves a packing (Fekete and Schepers 2004, from memory), so
sum of u * v <= top_u * top_v. How a thing lies is a choice of the relaxed question, so
quarter turns need no further argument. Blocks of several items weigh nothing here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from toolbox.kit.box import Inside
from toolbox.layout.bound_frame import Frame, Row
from toolbox.layout.bound_hull import Knapsack, Thing, Way, find_scale

Filling = Mapping[Way, float]  # how much of each way lies in one place
Pools = dict[tuple[object, ...], list[frozenset[Way]]]  # patterns found, for each line

LIMIT = 10_000_000  # limit of every row made here
SHARED = 1.002  # a row found for one place is used in a like one that breaks it so much
CROWDED = 0.9  # a line used less than this is not looked at


def filled(row: Row, filling: Filling) -> float:
    """How full a filling makes a row, 1.0 being its limit."""
    weight = sum(x * (row.turned if turned else row.plain)[b] for (b, turned), x in filling.items())
    return weight / max(row.limit, 1)


def sum_row(frame: Frame, row: Row, filling: Filling, pools: Pools) -> Row | None:
    """A row from the whole choices of blocks that keep ``row``, broken by the filling."""
    wanted: dict[int, float] = {}
    for (b, _), x in filling.items():
        wanted[b] = wanted.get(b, 0.0) + x
    things = [Thing((b, False), row.plain[b], x) for b, x in wanted.items()]
    scale = find_scale(things, row.limit, pools.setdefault((row.place, row.limit), []))
    if scale is None:
        return None
    known = dict(zip(wanted, scale, strict=True))
    able = [b for b, ways in enumerate(frame.turns) if any(ways[row.place])]
    knapsack = Knapsack([(b, row.plain[b]) for b in able], row.limit)
    raised, top = knapsack.lifted([known.get(b, 0) for b in able])
    weights = {(b, False): w for b, w in zip(able, raised, strict=True)}
    return _row(frame, row.place, weights, top, minds_turning=False)


def bar_row(frame: Frame, place: int, filling: Filling, across: bool, pools: Pools) -> Row | None:
    """A row from lines along the length (or ``across`` it), broken by the filling."""
    shape = frame.problem.places[place]
    line, rest = (shape.width, shape.length) if across else (shape.length, shape.width)
    sides = _sides(frame, place)
    along = {way: pair[across] for way, pair in sides.items()}
    beside = {way: pair[not across] for way, pair in sides.items()}
    known = {way: x for way, x in filling.items() if way in sides}
    first = _scale(
        along,
        line,
        {way: x * beside[way] / rest for way, x in known.items()},
        pools.setdefault((place, across), []),
    )
    if first is None:
        return None
    weights, top = first
    second = _scale(
        beside,
        rest,
        {way: x * weights[way] / top for way, x in known.items()},
        pools.setdefault((place, not across), []),
    )
    if second is not None:
        beside, rest = second
    product = {way: weight * beside[way] for way, weight in weights.items()}
    return _row(frame, place, product, top * rest, minds_turning=True)


def _sides(frame: Frame, place: int) -> dict[Way, tuple[int, int]]:
    """Each way of each single item in a laid place: (along the length, along the width)."""
    found = {}
    for b, block in enumerate(frame.blocks):
        item = frame.problem.items[block[0]]
        long, wide = item.length + frame.problem.clearance, item.width + frame.problem.clearance
        plain, turned = frame.turns[b][place]
        if plain and len(block) == 1:
            found[b, False] = (long, wide)
        if turned:
            found[b, True] = (wide, long)
    return found


def _scale(
    sizes: Mapping[Way, int], line: int, wanted: Mapping[Way, float], pool: list[frozenset[Way]]
) -> tuple[dict[Way, int], int] | None:
    """Weights of all ways, and what no pattern along the line exceeds; None if not broken."""
    things = [Thing(way, sizes[way], x) for way, x in wanted.items()]
    scale = find_scale(things, line, pool)
    if scale is None:
        return None
    known = dict(zip(wanted, scale, strict=True))
    knapsack = Knapsack([(b, size) for (b, _), size in sizes.items()], line)
    raised, top = knapsack.lifted([known.get(way, 0) for way in sizes])
    return dict(zip(sizes, raised, strict=True)), top


def _row(
    frame: Frame, place: int, weights: Mapping[Way, int], limit: int, *, minds_turning: bool
) -> Row:
    """A row with its limit brought to LIMIT: weights rounded down, which keeps it true."""
    plain, turned = [0] * len(frame.blocks), [0] * len(frame.blocks)
    for (b, way), weight in weights.items():
        (turned if way else plain)[b] = weight * LIMIT // limit
    one = tuple(plain)
    return Row(place, one, tuple(turned) if minds_turning else one, LIMIT)


def broken_rows(
    frame: Frame,
    base: Sequence[Row],
    fillings: Mapping[int, Filling],
    pools: Pools,
    enough: Callable[[], bool],
) -> list[Row]:
    """Rows broken by the fillings of places, each also where a like place breaks it."""
    made: list[Row | None] = []
    for row in base:
        filling = fillings.get(row.place, {})
        if row.limit > 1 and filled(row, filling) > CROWDED and not enough():
            made.append(sum_row(frame, row, filling, pools))
    for p, filling in fillings.items():
        if _crowded(frame, p, filling):
            made += [
                bar_row(frame, p, filling, way, pools) for way in (False, True) if not enough()
            ]
    rows = [row for row in made if row is not None]
    shared = [
        Row(p, row.plain, row.turned, row.limit)
        for row in rows
        for p in fillings
        if p != row.place and _alike(frame, p, row.place)
    ]
    return rows + [row for row in shared if filled(row, fillings[row.place]) > SHARED]


def _crowded(frame: Frame, place: int, filling: Filling) -> bool:
    shape = frame.problem.places[place]
    if shape.kind is not Inside.LAID:
        return False
    sides = _sides(frame, place)
    area = sum(x * sides[way][0] * sides[way][1] for way, x in filling.items() if way in sides)
    return area > CROWDED * shape.length * shape.width


def _alike(frame: Frame, p: int, q: int) -> bool:
    """Whether places hold the same fillings: what is true of one is true of the other.

    Blocks that rules keep out of one of them weigh nothing in its rows, which is
    true of the other as well.
    """
    one, other = frame.problem.places[p], frame.problem.places[q]
    return (one.kind, one.length, one.width, one.load_g, one.room) == (
        other.kind,
        other.length,
        other.width,
        other.load_g,
        other.room,
    )
