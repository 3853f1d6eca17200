"""Whether the box tips over when a lid, a drawer or a tray is opened.

Static balance on level ground, the box standing on the edges of its outer
size. About each edge the mass on the near side holds and the mass beyond it
tips. What moves and where to is told in ``moving``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from toolbox.carry.bodies import Side, Thing, contents
from toolbox.carry.findings import CarryError, Finding, Severity
from toolbox.carry.moving import Packed, State, chain_to, opened, shut
from toolbox.carry.riding import riding_on
from toolbox.kit.box import Box, Opening, Way
from toolbox.kit.layouts import Layout
from toolbox.kit.quantities import Kind, write

# Standard gravity 9.80665 m/s² (3rd General Conference on Weights and Measures,
# 1901). A gram at a tenth of a millimetre turns with 9.80665e-7 N·m; moments
# are kept doubled, so this is half of it in milli-newton-metres.
_MNM = Fraction(980665, 2 * 10**9)

GROUND = (
    "Tipping is reckoned at rest on level ground. A push, a slope, soft ground, wind or feet "
    "set in from the edges tip a box sooner."
)
UNKNOWN_OWN = (
    "only what lies in lids, drawers and trays counts here, as the masses given for them do not "
    "fit the mass of the empty box"
)


class Edge(NamedTuple):
    """What holds the box down about one lower edge.

    ``margin_mnm`` is the moment that holds, in milli-newton-metres, rounded down;
    below nothing it tips. ``more_g`` is what could still be put on the outermost
    point beyond this edge before it tips, None where nothing stands out there.
    """

    side: Side
    margin_mnm: int
    more_g: int | None


@dataclass(frozen=True, slots=True)
class Tipping:
    """The box with something open: the names ``opened``, the four edges, the worst in words."""

    opened: tuple[str, ...]
    edges: tuple[Edge, ...]
    finding: Finding

    @property
    def weakest(self) -> Edge:
        """The edge that the box tips over first."""
        return min(self.edges, key=lambda edge: edge.margin_mnm)

    @property
    def tips(self) -> bool:
        """True when the box does not stand by itself."""
        return self.weakest.margin_mnm < 0


def tipping(
    box: Box,
    layout: Layout,
    things: Mapping[str, Thing],
    rides: Mapping[str, str] | None = None,
) -> tuple[Tipping, ...]:
    """How the box stands with each opening opened in turn, then with all drawers at once.

    What has to be opened first is open as well. ``things`` as for ``weigh``;
    ``rides`` says which compartment (id) moves with which opening (id), where
    ``riding_on`` would read it wrongly from the box. CarryError names everything
    that cannot be weighed.
    """
    riding = dict(riding_on(box) if rides is None else rides)
    _check(box, riding)
    packed = Packed(box, contents(box, layout, things), riding)
    return tuple(_state(packed, chain) for chain in _chains(box))


def tipping_cautions(box: Box) -> tuple[Finding, ...]:
    """What goes with every figure of ``tipping``; nothing for a box that has nothing to open."""
    return (Finding(Severity.CAUTION, GROUND),) if box.openings else ()


def _check(box: Box, riding: Mapping[str, str]) -> None:
    compartments = {c.id for c in box.compartments}
    openings = {o.id for o in box.openings}
    faults = [f"{c} rides nowhere: no such compartment" for c in riding if c not in compartments]
    faults += [
        f"{c} cannot ride on {o}: no such opening" for c, o in riding.items() if o not in openings
    ]
    if faults:
        raise CarryError(faults)


def _chains(box: Box) -> list[tuple[Opening, ...]]:
    """What is opened in each state; the last one is all drawers when there are several."""
    chains = [chain_to(box, opening) for opening in box.openings]
    drawers = [o for o in box.openings if o.way is Way.DRAWER]
    if len(drawers) > 1:
        chains.append(tuple(dict.fromkeys(o for d in drawers for o in chain_to(box, d))))
    return chains


def _state(packed: Packed, chain: Sequence[Opening]) -> Tipping:
    state = shut(packed)
    for opening in chain:
        state = opened(packed, opening, state)
    edges = _edges(packed.box, state)
    names = tuple(opening.name for opening in chain)
    finding = _finding(packed.box, names, edges)
    if not packed.own_masses_known():
        words = f"{finding.words}; {UNKNOWN_OWN}"
        # what stands only because a mass is not known deserves a look
        gravest = finding.severity if finding.severity is Severity.OVER else Severity.WATCH
        finding = Finding(gravest, words)
    return Tipping(names, edges, finding)


def _edges(box: Box, state: State) -> tuple[Edge, ...]:
    body = state.body
    holding = {
        Side.FRONT: body.y2,
        Side.REAR: 2 * body.grams * box.size.width - body.y2,
        Side.LEFT: body.x2,
        Side.RIGHT: 2 * body.grams * box.size.length - body.x2,
    }
    return tuple(_edge(side, held, state.out[side]) for side, held in holding.items())


def _edge(side: Side, held2: int, out: int) -> Edge:
    """An edge from the doubled moment that holds about it and how far something stands out."""
    moment = held2 * _MNM
    margin = moment.numerator // moment.denominator
    return Edge(side, margin, max(0, held2 // (2 * out)) if out else None)


def _finding(box: Box, names: Iterable[str], edges: Iterable[Edge]) -> Finding:
    worst = min(edges, key=lambda edge: edge.margin_mnm)
    margin = write(abs(worst.margin_mnm), Kind.TORQUE)
    what = f"{box.name} with {' and '.join(names)} open"
    edge = f"{worst.side.value} edge"
    if worst.margin_mnm < 0:
        words = f"{what} tips over its {edge} by {margin}: hold it, or load it another way"
        return Finding(Severity.OVER, words)
    words = f"{what} stands, held by {margin} about its {edge}"
    if worst.more_g is not None:
        words += f", and takes up to {write(worst.more_g, Kind.MASS)} more at its outermost point"
    return Finding(Severity.NOTE, words)
