"""Labels on sheets: a grid on paper, and on each label a name, a code and perhaps a QR symbol."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from toolbox.drawings.lettering import fit, written
from toolbox.drawings.page import MM, TENTH, Anchor, DrawingError, Mark, Page, Rect, rectangle
from toolbox.drawings.qr import qr
from toolbox.drawings.svg import mm
from toolbox.drawings.tiles import upright
from toolbox.kit.paper import Grid

INSET = 2 * MM
"""Left free inside the edge of every label: sheets are not fed in exactly."""
PRINTABLE = 5 * MM
"""Nothing is written nearer than this to the edge of the paper."""
LARGEST, IN_ONE, SMALLEST = 12_000, 3600, 1900
"""Letters of a name at most; in one line at least, else it is broken; at least of all."""
_BELOW = 3200  # letters of the lines below a name at most


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on a label: a name, its id, a line below. The code is what a scanner reads."""

    name: str
    id: str
    line: str
    code: str


def label_pages(
    labels: Sequence[Label],
    grid: Grid,
    title: str,
    mark: str,
    *,
    first: int = 1,
    codes: bool = False,
    edges: bool = False,
) -> tuple[Page, ...]:
    """Sheets of labels, beginning with the label number ``first`` of the first sheet.

    ``codes`` puts a QR symbol on each, ``edges`` draws the labels' edges, to be cut out of
    plain paper. DrawingError with every name that does not fit.
    """
    if not 1 <= first <= grid.many:
        raise DrawingError(
            [f"a sheet has labels 1 to {grid.many}, so none can be the first {first}"]
        )
    places: list[Label | None] = [*[None] * (first - 1), *labels]
    faults: list[str] = []
    pages = []
    for start in range(0, len(places), grid.many):
        marks: list[Mark] = []
        for number, label in enumerate(places[start : start + grid.many]):
            if label is None:
                continue
            try:
                marks += _label(label, grid, number, codes, edges)
            except DrawingError as error:
                faults += error.reasons
        sheet = upright(grid.paper)
        pages.append(Page(sheet.width, sheet.height, title, mark, tuple(marks)))
    if faults:
        raise DrawingError(dict.fromkeys(faults))
    return tuple(pages)


def place_of(grid: Grid, number: int) -> Rect:
    """The label of this number on its sheet, 0 for the first, row by row."""
    row, column = divmod(number, grid.columns)
    x, y = grid.left + column * grid.across, grid.top + row * grid.down
    return Rect(x * TENTH, y * TENTH, grid.width * TENTH, grid.height * TENTH)


def _label(label: Label, grid: Grid, number: int, codes: bool, edges: bool) -> Iterator[Mark]:
    place = place_of(grid, number)
    if edges:
        yield rectangle(place, 100)
    paper = upright(grid.paper).grown(-PRINTABLE)
    inner = place.grown(-INSET).shared(paper)
    if inner is None:
        raise DrawingError([f"a label of {mm(place.width)} x {mm(place.height)} mm is too small"])
    if codes:
        # the quiet zone may lie in what is kept free inside the edge of the label
        outer = place.grown(-INSET // 2).shared(paper) or inner
        side = min(outer.height, outer.width * 45 // 100)
        yield qr(label.code, Rect(outer.x, outer.y + (outer.height - side) // 2, side, side))
        inner = Rect(outer.x + side, inner.y, inner.right - outer.x - side, inner.height)
    yield from _texts(label, inner, Anchor.START if codes else Anchor.MIDDLE)


def _texts(label: Label, inner: Rect, anchor: Anchor) -> Iterator[Mark]:
    """The name above, as large as it fits; below it the id and the line, each on its own."""
    below = [text for text in (label.id, label.line) if text]
    low = min(_BELOW, inner.height // 4)
    lines = []
    for text in below:
        fitted = fit(text, inner.width, low * 3 // 2, low, min(low, SMALLEST))
        if fitted is None or len(fitted.lines) > 1:
            raise DrawingError([_too_long(text, label.name)])
        lines.append(fitted)
    foot = sum(one.height for one in lines)
    above = Rect(inner.x, inner.y, inner.width, inner.height - foot)
    largest = max(IN_ONE, min(LARGEST, inner.height // 6))
    name = fit(label.name, above.width, above.height, largest, SMALLEST, True, in_one=IN_ONE)
    if name is None:
        raise DrawingError([_too_long(label.name, label.name)])
    yield from written(name, above, anchor, True)
    y = above.bottom
    for one in lines:
        yield from written(one, Rect(inner.x, y, inner.width, one.height), anchor)
        y += one.height


def _too_long(text: str, name: str) -> str:
    which = f'"{text}"' if text == name else f'"{text}" of {name}'
    return f"{which} does not fit on a label in letters of {mm(SMALLEST)} mm: take larger labels"
