"""The box as pictures to scale: its layers from above, or one compartment with its things.

Pure geometry in tenths of a millimetre, and how it falls onto the cells of a terminal.
A sheet is seen from above with its front edge below, as the mechanic stands before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from toolbox.carry.riding import riding_on
from toolbox.desk.maps import Filled, Lying, box_map, corner_size
from toolbox.kit.box import Box, Compartment, Inside
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.kit.things import base_id
from toolbox.usage.engine import Usage

HIGH = 2
"""A cell of a terminal is about so many times as high as it is wide."""

STEPS = ("hardly used", "seldom used", "used now and then", "used most")
"""What the four steps of shading mean: class C that was never logged, class C, B, A."""


class Cells(NamedTuple):
    """Cells of a terminal: first column and line from the top left, how many of each."""

    column: int
    line: int
    columns: int
    lines: int


class Area(NamedTuple):
    """A rectangle on a sheet: corner nearest the front left, length (to the right), width."""

    x: int
    y: int
    length: int
    width: int

    def overlaps(self, other: Area) -> bool:
        """Whether both cover some of the same ground; touching edges do not."""
        return (
            self.x < other.x + other.length
            and other.x < self.x + self.length
            and self.y < other.y + other.width
            and other.y < self.y + self.width
        )


@dataclass(frozen=True, slots=True)
class Shape:
    """A thing or a compartment as it is drawn.

    ``key`` is the copy or compartment id; ``short`` what is written into the outline.
    ``area`` is None where it is not said where in the sheet it lies. ``shade`` is a step
    of STEPS. ``moved`` says that the other layout has it in another compartment.
    ``inside`` is what lies in a compartment, in the same sheet's measure; None for a thing.
    """

    key: str
    name: str
    short: str
    area: Area | None
    shade: int
    moved: bool = False
    inside: tuple[Shape, ...] | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """Something seen from above: a layer of the box, or the inside of one compartment.

    ``length`` and ``width`` in tenths of a millimetre. ``rimmed`` sheets have a rim of
    their own; in the others each shape is a compartment with its own.
    """

    key: str
    title: str
    length: int
    width: int
    shapes: tuple[Shape, ...]
    rimmed: bool = False

    def size_at(self, unit: int) -> tuple[int, int]:
        """Columns and lines of the sheet at ``unit`` tenths of a millimetre a column."""
        return max(1, on_cells(self.length, unit)), max(1, on_cells(self.width, HIGH * unit))

    def cells_of(self, area: Area, unit: int) -> Cells:
        """The cells that an area takes at ``unit`` tenths a column, from the sheet's top left.

        Edges fall onto the nearest edge of a cell, so what does not overlap in the box
        does not overlap here, and nothing lies outside the sheet. Only what is smaller
        than a cell may have to be drawn larger, as one cell over its neighbour's.
        """
        columns, lines = self.size_at(unit)
        left, right = _span(area.x, area.length, unit, columns)
        low, high = _span(area.y, area.width, HIGH * unit, lines)
        return Cells(left, lines - high, right - left, high - low)

    def unit_within(self, columns: int, lines: int) -> int:
        """The fewest tenths of a millimetre a column at which the sheet fits so many cells."""
        columns, lines = max(1, columns), max(1, lines)
        # Below half a cell more than there are, everything still rounds down to what there is.
        unit = max(
            1, 2 * self.length // (2 * columns + 1), 2 * self.width // (HIGH * (2 * lines + 1))
        )
        while any(a > b for a, b in zip(self.size_at(unit), (columns, lines), strict=True)):
            unit += 1
        return unit

    @property
    def to_scale(self) -> bool:
        """Whether it is drawn as large as it is: empty, or something on it where it lies."""
        return not self.shapes or any(shape.area is not None for shape in self.shapes)


@dataclass(frozen=True, slots=True)
class Drawing:
    """What one picture shows. ``key`` is "" for the whole box, else the compartment's id."""

    key: str
    title: str
    sheets: tuple[Sheet, ...]

    def shapes(self) -> Iterator[Shape]:
        """Every shape on the sheets, not what lies inside them."""
        for sheet in self.sheets:
            yield from sheet.shapes


def on_cells(measure: int, unit: int) -> int:
    """A measure in whole cells of ``unit``, to the nearest, half a cell upwards."""
    return (2 * measure + unit) // (2 * unit)


def _span(start: int, size: int, unit: int, room: int) -> tuple[int, int]:
    """First cell and the one after the last, at least one, inside 0 to ``room``."""
    first, last = on_cells(start, unit), on_cells(start + size, unit)
    if last <= first:
        first = (2 * start + size) // (2 * unit)
        last = first + 1
    first = min(max(0, first), room - 1)
    return first, min(max(first + 1, last), room)


@dataclass(frozen=True, slots=True)
class Filling:
    """A layout ready to be drawn: what lies in each compartment, shades, who moves."""

    kit: Kit
    filled: tuple[Filled, ...]
    shades: Mapping[str, int]
    moved: frozenset[str]

    def whole(self) -> Drawing:
        """The whole box: a sheet for each layer, each compartment with what lies in it."""
        by_id = {f.compartment.id: f for f in self.filled}
        sheets = []
        for layer in layers(self.kit.box):
            title, names = _named(self.kit, layer)
            x, y = min(c.position.x for c in layer), min(c.position.y for c in layer)
            shapes = [
                self._compartment(by_id[c.id], name, x, y)
                for c, name in zip(layer, names, strict=True)
            ]
            far = [s.area for s in shapes if s.area is not None]
            length = max(a.x + a.length for a in far)
            width = max(a.y + a.width for a in far)
            sheets.append(Sheet(layer[0].id, title, length, width, tuple(shapes)))
        return Drawing("", self.kit.box.name, tuple(sheets))

    def one(self, compartment: str) -> Drawing:
        """One compartment with all its things."""
        filled = self.of(compartment)
        inside, name = filled.compartment.inside, filled.compartment.name
        shapes = tuple(self._thing(filled, thing) for thing in filled.things)
        sheet = Sheet(compartment, name, inside.length, inside.width, _listed_last(shapes), True)
        return Drawing(compartment, name, (sheet,))

    def of(self, compartment: str) -> Filled:
        """What lies in a compartment; KeyError when there is none of that id."""
        for filled in self.filled:
            if filled.compartment.id == compartment:
                return filled
        raise KeyError(compartment)

    def home(self, copy: str) -> str | None:
        """The compartment a copy lies in, None when it has no place."""
        return next(
            (f.compartment.id for f in self.filled if any(t.copy == copy for t in f.things)), None
        )

    def _compartment(self, filled: Filled, short: str, x: int, y: int) -> Shape:
        c = filled.compartment
        area = Area(c.position.x - x, c.position.y - y, c.inside.length, c.inside.width)
        things = tuple(self._thing(filled, thing, area.x, area.y) for thing in filled.things)
        return Shape(
            c.id,
            c.name,
            short,
            area,
            max((t.shade for t in things), default=0),
            any(t.moved for t in things),
            _listed_last(things),
        )

    def _thing(self, filled: Filled, thing: Lying, x: int = 0, y: int = 0) -> Shape:
        return Shape(
            thing.copy,
            thing.name,
            thing.name,
            area_of(filled, thing, x, y),
            self.shades.get(base_id(thing.copy), 0),
            thing.copy in self.moved,
        )


def filling(kit: Kit, layout: Layout, other: Layout | None, usage: Usage | None) -> Filling:
    """A layout ready to be drawn. ``other`` is the layout that things move to, or come from."""
    return Filling(kit, box_map(kit, layout), shades(usage), moved(layout, other))


def shades(usage: Usage | None) -> dict[str, int]:
    """Tool or supply id -> step of STEPS, by its class and whether it was ever logged."""
    grades = {"A": 3, "B": 2, "C": 1}
    uses = usage.tools if usage is not None else ()
    return {
        use.item: 0 if use.grade == "C" and not use.times else grades[use.grade] for use in uses
    }


def moved(layout: Layout, other: Layout | None) -> frozenset[str]:
    """The copies that the other layout has in another compartment, or nowhere yet."""
    if other is None:
        return frozenset()
    there = other.places()
    return frozenset(copy for copy, home in layout.places().items() if there.get(copy) != home)


def area_of(filled: Filled, thing: Lying, x: int = 0, y: int = 0) -> Area | None:
    """Where a thing lies, from a corner of its compartment at x, y; None if that is not said.

    In a row it stands across the compartment: its width along the length.
    """
    kind, spot = filled.compartment.kind, thing.spot
    if kind is Inside.LOOSE or spot.x is None:
        return None
    if kind is Inside.ROW:
        return Area(x + spot.x, y, thing.size.width, thing.size.length)
    if spot.y is None:
        return None
    length, width = corner_size(thing)
    return Area(x + spot.x, y + spot.y, length, width)


def is_drawn(filled: Filled) -> bool:
    """Whether it is known of everything in a compartment where in it it lies."""
    return all(area_of(filled, thing) is not None for thing in filled.things)


def layers(box: Box) -> tuple[tuple[Compartment, ...], ...]:
    """The compartments in groups that are seen at once: a lid, a tray, a drawer, the well.

    What rides on the same part and is reached the same way is one layer; where two of
    it stand above each other, they are two.
    """
    riding = riding_on(box)
    groups: dict[tuple[str | None, tuple[str, ...]], list[list[Compartment]]] = {}
    for compartment in box.compartments:
        way = (riding.get(compartment.id), compartment.openings)
        sheets = groups.setdefault(way, [])
        free = (s for s in sheets if not any(_covers(compartment, c) for c in s))
        sheet = next(free, None)
        if sheet is None:
            sheets.append([compartment])
        else:
            sheet.append(compartment)
    return tuple(tuple(sheet) for sheets in groups.values() for sheet in sheets)


def _covers(one: Compartment, other: Compartment) -> bool:
    return _ground(one).overlaps(_ground(other))


def _ground(c: Compartment) -> Area:
    return Area(c.position.x, c.position.y, c.inside.length, c.inside.width)


def _named(kit: Kit, layer: tuple[Compartment, ...]) -> tuple[str, list[str]]:
    """What a layer is called, and its compartments within it.

    The words that all their names begin with ("upper tray" of "upper tray, left"), else
    the last opening on the way, else the box.
    """
    words = [c.name.split() for c in layer]
    shared = 0
    while len(layer) > 1 and all(len(w) > shared + 1 for w in words):
        if len({w[shared].rstrip(",").casefold() for w in words}) > 1:
            break
        shared += 1
    if shared:
        title = " ".join(words[0][:shared]).rstrip(",")
        return title, [" ".join(w[shared:]) for w in words]
    if len(layer) == 1:
        return layer[0].name, [layer[0].name]
    way = layer[0].openings
    return (kit.opening(way[-1]).name if way else kit.box.name), [c.name for c in layer]


def _listed_last(shapes: Iterable[Shape]) -> tuple[Shape, ...]:
    """Things with a place first, as they lie; then the others, most used first."""
    known = list(shapes)
    placed = [s for s in known if s.area is not None]
    rest = sorted((s for s in known if s.area is None), key=lambda s: (-s.shade, s.name))
    return (*placed, *rest)
