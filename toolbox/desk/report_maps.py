"""Maps of the box for a printed page: each layer as small as the page asks, names below it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from toolbox.desk.draw_box import layers_of
from toolbox.desk.printed import Picture
from toolbox.drawings.box_map import Layer, Placed, Room, layer_map
from toolbox.drawings.page import Page
from toolbox.drawings.svg import as_svg
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout

WIDEST, HIGHEST = 1700, 1500
"""How large a layer may be on the page, in tenths of a millimetre."""


def maps_of(kit: Kit, layout: Layout) -> Iterator[Picture]:
    """A picture for each layer of the box with what lies where."""
    for _, layer in layers_of(kit, layout):
        parts = max(1, -(-layer.length // WIDEST), -(-layer.width // HIGHEST))
        drawn = layer_map(_smaller(layer, parts))
        page = Page(drawn.width, drawn.height, drawn.title, drawn.mark, drawn.marks)
        words = " ".join(_words(room) for room in layer.rooms)
        yield Picture(as_svg(page), f"{layer.title}. {words}")


def _words(room: Room) -> str:
    things = "; ".join(thing.name for thing in room.things) or "nothing"
    return f"In {room.name}: {things}."


def _smaller(layer: Layer, parts: int) -> Layer:
    """The layer drawn so many times smaller, its edges where they fall nearest."""
    rooms = tuple(
        Room(
            room.code,
            room.name,
            _area(room.area, parts),
            tuple(_thing(thing, parts) for thing in room.things),
        )
        for room in layer.rooms
    )
    return replace(
        layer,
        length=_edge(layer.length, parts),
        width=_edge(layer.width, parts),
        rooms=rooms,
        notes=(f"Seen from above, front edge below, 1 : {parts}.",),
    )


def _thing(thing: Placed, parts: int) -> Placed:
    return thing if thing.area is None else replace(thing, area=_area(thing.area, parts))


def _area(area: tuple[int, int, int, int], parts: int) -> tuple[int, int, int, int]:
    x, y, length, width = area
    left, front = _edge(x, parts), _edge(y, parts)
    return left, front, _edge(x + length, parts) - left, _edge(y + width, parts) - front


def _edge(at: int, parts: int) -> int:
    return (2 * at + parts) // (2 * parts)
