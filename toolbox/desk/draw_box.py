"""Drawings of the box one to one: maps of its layers, and foam inlays to be cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from toolbox.desk.drawn_box import Shape, filling
from toolbox.desk.drawn_files import Sheet, drawing_sheet, nothing_drawn
from toolbox.desk.maps import Filled, Lying, box_map, corner_size
from toolbox.desk.printed import mark_of
from toolbox.drawings.box_map import Layer, Placed, Room, layer_map
from toolbox.drawings.foam import Inlay, Lain
from toolbox.drawings.foam_map import foam_map
from toolbox.drawings.page import TENTH, DrawingError, Rect
from toolbox.drawings.tiles import Drawing
from toolbox.kit.box import Inside
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.kit.paper import Paper

_SEEN = "Seen from above, front edge below, one to one."


@dataclass(frozen=True, slots=True)
class Foam:
    """How things are cut out of foam, in tenths of a millimetre: see ``drawings.foam.Inlay``."""

    clearance: int = 10
    finger: int = 250
    corner: int = 0


def how_it_lies(kit: Kit, layout: Layout) -> str:
    """Which layout is drawn, in words."""
    return "as it lies today" if layout == kit.present else "as planned"


def map_sheets(
    kit: Kit, layout: Layout, compartments: Sequence[str], pdf_on: Paper | None
) -> tuple[Sheet, ...]:
    """A map of every layer of the box, or of those that hold one of these compartments."""
    return tuple(
        drawing_sheet(f"map-{key}", "with this map", layer_map(layer), pdf_on)
        for key, layer in layers_of(kit, layout)
        if not compartments or {room.code for room in layer.rooms} & set(compartments)
    )


def layers_of(kit: Kit, layout: Layout) -> Iterator[tuple[str, Layer]]:
    """Every layer of the box with what lies in it, and a key for each."""
    whole = filling(kit, layout, None, None).whole()
    for seen in whole.sheets:
        title = f"{kit.box.name}: {seen.title}, {how_it_lies(kit, layout)}"
        rooms = tuple(_room(shape) for shape in seen.shapes)
        mark = mark_of(kit.name, "map", seen.key)
        yield seen.key, Layer(title, mark, seen.length, seen.width, rooms, (_SEEN,))


def _room(shape: Shape) -> Room:
    assert shape.area is not None, "every compartment has a place in the box"
    things = tuple(Placed(one.key, one.name, one.area) for one in shape.inside or ())
    return Room(shape.key, shape.name, shape.area, things)


def foam_sheets(
    kit: Kit, layout: Layout, compartments: Sequence[str], how: Foam, pdf_on: Paper | None
) -> tuple[Sheet, ...]:
    """A foam inlay for each of these compartments; without any named for every laid one.

    DeskError with everything that cannot be cut out as asked; then nothing is drawn.
    """
    filled = box_map(kit, layout)
    wanted = [one for one in filled if one.compartment.id in compartments]
    if not compartments:
        wanted = [one for one in filled if one.compartment.kind is Inside.LAID and one.things]
    faults: list[str] = []
    sheets = []
    for one in wanted:
        found = tuple(_not_cut(one))
        faults += found
        if found:
            continue
        try:
            drawing = _foam(kit, layout, one, how)
        except DrawingError as error:
            faults += error.reasons
            continue
        sheets.append(
            drawing_sheet(f"foam-{one.compartment.id}", "with this inlay", drawing, pdf_on)
        )
    if not wanted:
        faults.append("nothing lies in a compartment that is laid out flat")
    if faults:
        raise nothing_drawn(faults)
    return tuple(sheets)


def _not_cut(filled: Filled) -> Iterator[str]:
    """Why there is nothing to cut for a compartment, in words."""
    name = filled.compartment.name
    if filled.compartment.kind is not Inside.LAID:
        yield f"in {name} things do not lie flat in places of their own, so there is no inlay"
        return
    if not filled.things:
        yield f"nothing lies in {name}"
    where = [t.name for t in filled.things if t.spot.x is None or t.spot.y is None]
    if where:
        yield (
            f"nobody has said where in {name} these lie: {', '.join(where)} "
            '(take the plan with "--plan", or write x and y in layouts/present.toml)'
        )


def _foam(kit: Kit, layout: Layout, filled: Filled, how: Foam) -> Drawing:
    c = filled.compartment
    inlay = Inlay(
        code=c.id,
        name=c.name,
        length=c.inside.length * TENTH,
        width=c.inside.width * TENTH,
        things=tuple(_lain(filled, thing) for thing in filled.things),
        clearance=how.clearance * TENTH,
        finger=how.finger * TENTH,
        corner=how.corner * TENTH,
    )
    title = f"{kit.box.name}: foam for {c.name}, {how_it_lies(kit, layout)}"
    return foam_map(inlay, title, mark_of(kit.name, "foam", c.id))


def _lain(filled: Filled, thing: Lying) -> Lain:
    length, width = corner_size(thing)
    x, y = thing.spot.x or 0, thing.spot.y or 0
    # from the back edge, as on the page
    back = filled.compartment.inside.width - y - width
    rect = Rect(x * TENTH, back * TENTH, length * TENTH, width * TENTH)
    return Lain(thing.copy, thing.name, rect, thing.size.height * TENTH)
