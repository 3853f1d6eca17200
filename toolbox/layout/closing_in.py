"""Closing in on the best layout of a small box, with a proof.

The cheapest way to share out by sums is a lower bound. Its laid places are decided
exactly; a set proved too much is made as small as it stays so, and forbidden in every
place that is no larger; then the sharing out starts again. The first way that can be
laid is the best layout.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import Fits
from toolbox.layout.sharing import Shared, Sharing
from toolbox.layout.tables import Tables, bits

_FIT_WORK = 2.0  # deterministic units for one exact fit
_SHRINK_WORK = 0.1  # for each try to make a refused set smaller


class Closed(Enum):
    """How closing in ended."""

    BEST = "the layout found is the best"
    IMPOSSIBLE = "proved that there is no layout"
    OPEN = "not decided in the rounds given"


@dataclass(frozen=True, slots=True)
class Reports:
    """Who hears of a layout that fits (cost, homes) and of a proved bound; who can stop."""

    layout: Callable[[int, Sequence[int]], None]
    bound: Callable[[int], None]
    stop: Callable[[], bool]


def close_in(
    tables: Tables, fits: Fits, reports: Reports, *, rounds: int, work: float, hint: Sequence[int]
) -> Closed:
    """Share out and forbid, at most so many rounds of ``work`` deterministic units.

    ``hint`` are homes to begin near (empty: none). Raises ImportError without the
    solver package.
    """
    sharing = Sharing(tables)
    if hint:
        sharing.hint(hint)
    proved = True
    for _ in range(rounds):
        share = sharing.solve(work=work, stop=reports.stop)
        if share.ended is Shared.NONE:
            return Closed.IMPOSSIBLE if proved else Closed.OPEN
        if proved and share.bound is not None:
            reports.bound(share.bound)
        if share.homes is None or reports.stop():
            return Closed.OPEN
        wrong = _misfits(tables, fits, share.homes, reports.stop)
        if reports.stop():
            return Closed.OPEN
        if not wrong:
            reports.layout(share.cost, share.homes)
            done = proved and share.ended is Shared.BEST
            return Closed.BEST if done else Closed.OPEN
        for place, blocks, verdict in wrong:
            proved = proved and verdict is Verdict.REFUSED
            sharing.forbid(tables.no_larger(place), blocks)
        sharing.hint(share.homes)
    return Closed.OPEN


def _misfits(
    tables: Tables, fits: Fits, homes: Sequence[int], stop: Callable[[], bool]
) -> list[tuple[int, int, Verdict]]:
    """Places that cannot be laid, or where that is not known: a set to forbid for each."""
    inside = [0] * len(tables.room)
    for block, place in enumerate(homes):
        inside[place] |= 1 << block
    found: list[tuple[int, int, Verdict]] = []
    for place, blocks in enumerate(inside):
        if not blocks or not tables.laid[place] or stop():
            continue
        verdict = fits.decide(place, blocks, work=_FIT_WORK, stop=stop)
        if verdict is Verdict.REFUSED:
            blocks = _shrunk(fits, place, blocks, stop)
        if verdict is not Verdict.FITS:
            found.append((place, blocks, verdict))
    return found


def _shrunk(fits: Fits, place: int, blocks: int, stop: Callable[[], bool]) -> int:
    for block in list(bits(blocks)):
        less = blocks & ~(1 << block)
        if stop():
            break
        if fits.decide(place, less, work=_SHRINK_WORK, stop=stop) is Verdict.REFUSED:
            blocks = less
    return blocks
