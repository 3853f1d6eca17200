"""One layer of the box from above, as large as it is: compartments, and what lies where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from toolbox.drawings.lettering import LEADING, Fitted, broken, fit, turned_up, width_of, written
from toolbox.drawings.page import MM, TENTH, Anchor, Mark, Rect, Words, rectangle
from toolbox.drawings.tiles import Drawing

EDGE = 3 * MM
"""Left free around everything that is drawn."""
LARGEST, SMALLEST = 4000, 1800
_TAG = 3200  # letters of a compartment's name on its back edge
_NOTE = 3000  # letters of the lines below
_NARROW = 170 * MM  # lines below are at least so wide
_PAD = 800


@dataclass(frozen=True, slots=True)
class Placed:
    """Something seen from above, in tenths of a millimetre from the front left corner.

    ``area`` is x, y, length (to the right) and width (to the back); None where nobody has
    said where in its compartment it lies.
    """

    code: str
    name: str
    area: tuple[int, int, int, int] | None


@dataclass(frozen=True, slots=True)
class Room:
    """A compartment with what lies in it, all in the measure of the same layer."""

    code: str
    name: str
    area: tuple[int, int, int, int]
    things: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class Layer:
    """Compartments that are seen at once. ``length`` and ``width`` in tenths of a millimetre."""

    title: str
    mark: str
    length: int
    width: int
    rooms: tuple[Room, ...]
    notes: tuple[str, ...] = ()


def layer_map(layer: Layer) -> Drawing:
    """The layer drawn one to one, front edge below; names that fit nowhere stand below it.

    What has no place in its compartment is listed in it, or below where that is too small.
    """
    key = Key()
    marks = tuple(mark for room in layer.rooms for mark in _room(room, layer.width, key))
    return with_lines(layer.title, layer.mark, layer.length, layer.width, marks, key, layer.notes)


class Key:
    """What is told below a drawing: names of what has a number in it, and lists."""

    def __init__(self) -> None:
        self.names: list[str] = []
        self.lists: list[str] = []

    def number(self, name: str) -> int:
        """The number that stands for this name."""
        self.names.append(name)
        return len(self.names)

    def lines(self) -> tuple[str, ...]:
        """Numbers with their names, then the lists."""
        numbers = (f"{number}  {name}" for number, name in enumerate(self.names, 1))
        return (*numbers, *self.lists)


def with_lines(
    title: str,
    mark: str,
    length: int,
    width: int,
    marks: tuple[Mark, ...],
    key: Key,
    notes: tuple[str, ...],
) -> Drawing:
    """A drawing of so many tenths with sentences below it, broken to its width."""
    wide, top = max(length * TENTH, _NARROW), width * TENTH + 2 * EDGE
    leading = _NOTE * LEADING // 1000
    lines = [
        text
        for sentence in (*key.lines(), *notes)
        for text in broken(sentence, wide * 1000 // _NOTE) or (sentence,)
    ]
    words = (Words(EDGE, top + (n + 1) * leading, _NOTE, text) for n, text in enumerate(lines))
    height = top + len(lines) * leading + EDGE
    return Drawing(title, mark, wide + 2 * EDGE, height, (*marks, *words))


def on_page(area: tuple[int, int, int, int], width: int) -> Rect:
    """Where an area of a sheet ``width`` tenths deep is drawn: its back edge comes on top."""
    x, y, length, across = area
    return Rect(
        EDGE + x * TENTH, EDGE + (width - y - across) * TENTH, length * TENTH, across * TENTH
    )


def named(rect: Rect, texts: tuple[str, ...]) -> tuple[Words, ...] | None:
    """The first of these texts that fits into a rectangle, along it or turned; None if none."""
    inner = rect.grown(-_PAD)
    if inner.width <= 0 or inner.height <= 0:
        return None
    for text in texts:
        along = fit(text, inner.width, inner.height, LARGEST, SMALLEST)
        upright = fit(text, inner.height, inner.width, LARGEST, SMALLEST)
        if along is not None and _worth(along) >= _worth(upright):
            return written(along, inner)
        if upright is not None:
            return turned_up(upright, inner)
    return None


def numbered(rect: Rect, number: int) -> Words:
    """A number in the middle of what is too small for a name."""
    size = max(1200, min(2500, min(rect.width, rect.height) - 400))
    x, y = rect.x + rect.width // 2, rect.y + rect.height // 2 + size * 36 // 100
    return Words(x, y, size, str(number), Anchor.MIDDLE)


def _worth(fitted: Fitted | None) -> tuple[int, int]:
    """Larger letters are better read, then fewer lines."""
    return (0, 0) if fitted is None else (fitted.size, -len(fitted.lines))


def _room(room: Room, width: int, key: Key) -> Iterator[Mark]:
    rect = on_page(room.area, width)
    loose = []
    for thing in room.things:
        if thing.area is None:
            loose.append(thing.name)
            continue
        place = on_page(thing.area, width)
        yield rectangle(place, 150, code=thing.code)
        words = named(place, (thing.name,))
        if words is None:
            words = (numbered(place, key.number(thing.name)),)
        yield from words
    yield rectangle(rect, 400, code=room.code)
    if loose:
        yield from _listed(room, rect, loose, key)
    yield from _tag(room, rect)


def _listed(room: Room, rect: Rect, names: list[str], key: Key) -> Iterator[Mark]:
    """What lies somewhere in a compartment: in it where nothing is drawn and all fits."""
    inner = Rect(rect.x, rect.y + _TAG, rect.width, rect.height - _TAG).grown(-2 * _PAD)
    alone = len(names) == len(room.things) and inner.width > 0
    fitted = _one_a_line(names, inner) if alone else None
    if fitted is None:
        key.lists.append(f"In {room.name}, nobody said where in it: {'; '.join(names)}")
    else:
        yield from written(fitted, inner)


def _one_a_line(names: list[str], inner: Rect) -> Fitted | None:
    for size in range(LARGEST, SMALLEST - 1, -200):
        rows = [broken(name, inner.width * 1000 // size) for name in names]
        lines = tuple(text for row in rows for text in row or ())
        if all(rows) and len(lines) * size * LEADING <= inner.height * 1000:
            return Fitted(size, lines)
    return None


def _tag(room: Room, rect: Rect) -> Iterator[Mark]:
    """Name and code of a compartment, written over its back edge."""
    size = _TAG
    text = f"{room.name} [{room.code}]"
    for shown in (text, room.name, room.code):
        if width_of(shown, size, True) <= rect.width - 6 * _PAD:
            text = shown
            break
    else:
        text, size = room.code, max(1500, (rect.width - 6 * _PAD) * size
                                    // width_of(room.code, size, True))  # fmt: skip
    wide = width_of(text, size, True)
    box = Rect(rect.x + 2 * _PAD, rect.y - size // 2, wide + 2 * _PAD, size)
    yield rectangle(box, 0, filled=True)
    yield Words(box.x + _PAD, box.bottom - size // 7, size, text, strong=True)
