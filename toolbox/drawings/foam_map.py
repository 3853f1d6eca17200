"""A foam inlay drawn one to one, to be cut after: contours, names in them, what to mind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from toolbox.drawings.box_map import EDGE, Key, named, numbered, with_lines
from toolbox.drawings.foam import Cut, Inlay, contour, cut_outs, thinnest
from toolbox.drawings.page import MM, TENTH, Mark, rectangle, shifted
from toolbox.drawings.svg import mm
from toolbox.drawings.tiles import Drawing

THIN = 5 * MM
"""Foam thinner than this between two cut-outs tears soon. Common practice, no source."""

CAUTIONS = (
    "Before you cut: print at 100 %, measure the bar of 100 mm, and lay each thing on its outline.",
    "Cut away from your hands with a fresh blade, in several passes, on a mat; wear a "
    "cut-resistant glove on the hand that holds the foam. Hot wires and knives only in fresh "
    "air, and only with foam whose maker allows it.",
)


def foam_map(inlay: Inlay, title: str, mark: str) -> Drawing:
    """The inlay from above, front edge below. DrawingError when it cannot be cut so."""
    cuts = cut_outs(inlay)
    key = Key()
    marks: list[Mark] = [rectangle(inlay.floor, 400, code=inlay.code)]
    for cut in cuts:
        marks.append(contour(cut, inlay.corner))
        marks += _name(cut, key)
    placed = tuple(shifted(mark, EDGE, EDGE) for mark in marks)
    notes = (*_notes(inlay, cuts), *CAUTIONS)
    size = (inlay.length // TENTH, inlay.width // TENTH)
    return with_lines(title, mark, *size, placed, key, notes)


def _name(cut: Cut, key: Key) -> Sequence[Mark]:
    deep = f"{cut.thing.name}, {mm(cut.thing.depth)} mm deep"
    words = named(cut.rect, (deep, cut.thing.name))
    return words if words is not None else (numbered(cut.rect, key.number(deep)),)


def _notes(inlay: Inlay, cuts: Sequence[Cut]) -> Iterator[str]:
    yield (
        f"{inlay.name}: {mm(inlay.length)} x {mm(inlay.width)} mm, seen from above, front edge "
        f"below; {mm(inlay.clearance)} mm of room around each thing."
    )
    edges = [cut.thing.name for cut in cuts if cut.is_open(inlay.floor)]
    if edges:
        yield f"Open at the edge of the compartment, no foam is left there: {'; '.join(edges)}."
    bare = [cut.thing.name for cut in cuts if cut.finger is None]
    if bare and inlay.finger:
        yield f"No room beside it for a finger ({mm(inlay.finger)} mm): {'; '.join(bare)}."
    thin = thinnest(cuts)
    if thin is not None and thin[0] < THIN:
        far, one, other = thin
        yield (
            f"The thinnest foam between two cut-outs is {mm(far)} mm, between "
            f"{one.thing.name} and {other.thing.name}; below {mm(THIN)} mm it tears soon "
            "(common practice, no source)."
        )
