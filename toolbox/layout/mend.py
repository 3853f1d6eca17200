"""Mending a draft with misfits: the cheapest exchange that lets everything be laid.

For a place whose things cannot be laid, every exchange of one or two of its things
against up to two of another place is priced; they are tried from the cheapest on
until one leaves both places laid. Failing that, the things that free most area for
their price are put elsewhere one by one.
"""

from __future__ import annotations

from itertools import combinations
from typing import NamedTuple

from toolbox.layout.draft import Draft
from toolbox.layout.fit import Fits
from toolbox.layout.tables import bits

_TRIED = 1500  # exchanges tried for their fit at one misfit


class _Exchange(NamedTuple):
    """Blocks out of the misfit, the other place, blocks in from there; roughly what it costs."""

    price: int
    going: tuple[int, ...]
    other: int
    coming: tuple[int, ...]


def mend(draft: Draft, fits: Fits, misfits: list[int]) -> bool:
    """Change the draft until no misfit is left; True when that worked."""
    waiting = set(misfits)
    for place in misfits:
        waiting.discard(place)
        if laid(draft, fits, place):
            continue
        if not _exchange(draft, fits, place, waiting) and not _empty(draft, fits, place, waiting):
            return False
    return True


def laid(draft: Draft, fits: Fits, place: int) -> bool:
    """True when what lies in the place can be laid there."""
    inside = draft.inside[place]
    return not inside or not draft.tables.laid[place] or fits.quickly(place, inside)


def _exchange(draft: Draft, fits: Fits, place: int, avoid: set[int]) -> bool:
    for exchange in sorted(_exchanges(draft, place, avoid))[:_TRIED]:
        left, new = draft.inside[place], draft.inside[exchange.other]
        for block in (*exchange.going, *exchange.coming):
            left ^= 1 << block
            new ^= 1 << block
        if left and not fits.quickly(place, left):
            continue
        if draft.tables.laid[exchange.other] and not fits.quickly(exchange.other, new):
            continue
        for block in exchange.going:
            _move(draft, block, exchange.other)
        for block in exchange.coming:
            _move(draft, block, place)
        return True
    return False


def _exchanges(draft: Draft, place: int, avoid: set[int]) -> list[_Exchange]:
    tables = draft.tables
    mine = _up_to_two(draft.inside[place])
    here = 1 << place
    found = []
    for other in range(len(tables.room)):
        if other == place or other in avoid:
            continue
        there = 1 << other
        outs = [
            (sum(draft.dearer(b, other) for b in blocks), blocks)
            for blocks in mine
            if all(tables.option_set[b] & there for b in blocks)
        ]
        backs = [
            (sum(draft.dearer(b, place) for b in blocks), blocks)
            for blocks in [(), *_up_to_two(draft.inside[other])]
            if all(tables.option_set[b] & here for b in blocks)
        ]
        for out, going in outs:
            for back, coming in backs:
                if _sums_hold(draft, place, other, going, coming):
                    found.append(_Exchange(out + back, going, other, coming))
    return found


def _up_to_two(blocks: int) -> list[tuple[int, ...]]:
    members = list(bits(blocks))
    return [*((b,) for b in members), *combinations(members, 2)]


def _sums_hold(
    draft: Draft, place: int, other: int, going: tuple[int, ...], coming: tuple[int, ...]
) -> bool:
    tables = draft.tables
    for at, added, gone in ((other, going, coming), (place, coming, going)):
        use = sum(tables.use[b][at] for b in added) - sum(tables.use[b][at] for b in gone)
        if draft.used[at] + use > tables.room[at]:
            return False
        mass = sum(tables.mass[b] for b in added) - sum(tables.mass[b] for b in gone)
        if draft.mass[at] + mass > tables.load[at]:
            return False
        staying = draft.inside[at]
        for b in gone:
            staying ^= 1 << b
        for b in added:
            if tables.rivals[at][b] & staying:
                return False
            staying |= 1 << b
    return True


def _empty(draft: Draft, fits: Fits, place: int, avoid: set[int]) -> bool:
    """Put things elsewhere, most area for their price first, until the rest can be laid."""
    while not laid(draft, fits, place):
        best: tuple[float, int, int] | None = None
        for block in bits(draft.inside[place]):
            area = max(draft.tables.use[block][place], 1)
            for other in draft.tables.options[block]:
                key = (draft.dearer(block, other) / area, block, other)
                if other == place or other in avoid or (best is not None and key >= best):
                    continue
                if _takes(draft, fits, block, other):
                    best = key
        if best is None:
            return False
        _move(draft, best[1], best[2])
    return True


def _takes(draft: Draft, fits: Fits, block: int, place: int) -> bool:
    if not _sums_hold(draft, draft.home[block], place, (block,), ()):
        return False
    return not draft.tables.laid[place] or fits.quickly(place, draft.inside[place] | 1 << block)


def _move(draft: Draft, block: int, place: int) -> None:
    draft.cost += draft.dearer(block, place)
    draft.move(block, place)
