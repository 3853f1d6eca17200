"""Reading drawings back: paths and texts out of a PDF's plain content streams, and out of SVG.

Written from the formats themselves: PDF 32000-1:2008, 8.5 (paths) and 9.4 (text) [from
memory], SVG 1.1, 8.3 (path data) [from memory]. Nothing of the program is used.
"""

from __future__ import annotations

import re
from typing import NamedTuple
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
MM = 25.4 / 72
"""Millimetres in a point: 72 of them are an inch of 25.4 mm."""

XY = tuple[float, float]


class Path(NamedTuple):
    """Points that a path runs through in mm, the curves in it with their control points."""

    points: tuple[XY, ...]
    curves: tuple[tuple[XY, XY, XY, XY], ...]
    closed: bool
    code: str = ""

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y of its points."""
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


class Said(NamedTuple):
    """A text with where its line begins, the size of its letters, and whether it is bold."""

    text: str
    x: float
    y: float
    size: float
    strong: bool


class Leaf(NamedTuple):
    """A page: its size in mm, what is seen through (clipping), its paths and texts, y down."""

    width: float
    height: float
    windows: tuple[tuple[float, float, float, float], ...]
    paths: tuple[Path, ...]
    texts: tuple[Said, ...]


def pdf_pages(data: bytes) -> list[Leaf]:
    """Every page of a PDF that was written without compression, in order."""
    objects = dict(re.findall(rb"\n(\d+) 0 obj\n(.*?)\nendobj", data, re.S))
    (root,) = [body for body in objects.values() if b"/Type /Pages" in body]
    kids = re.findall(rb"(\d+) 0 R", re.search(rb"/Kids \[(.*?)\]", root, re.S)[1])
    fonts = next(body for body in objects.values() if re.match(rb"<<\s*/F\d", body))
    bold = {
        name
        for name, number in re.findall(rb"/(F\d+) (\d+) 0 R", fonts)
        if b"/Helvetica-Bold" in objects[number]
    }
    return [_leaf(objects, objects[kid], bold) for kid in kids]


def _leaf(objects: dict[bytes, bytes], page: bytes, bold: set[bytes]) -> Leaf:
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", page)
    width, height = float(box[1]), float(box[2])
    content = objects[re.search(rb"/Contents (\d+) 0 R", page)[1]]
    stream = re.search(rb"stream\n(.*)\nendstream", content, re.S)[1]
    reader = _Reader(height, bold)
    for part in re.finditer(rb"\((?:\\.|[^\\()])*\)|[^\s()]+", stream, re.S):
        reader.take(part[0])
    windows, paths, texts = tuple(reader.windows), tuple(reader.paths), tuple(reader.texts)
    return Leaf(width * MM, height * MM, windows, paths, texts)


class _Reader:
    """A machine for the few operators there are; positions in points from the lower left."""

    def __init__(self, height: float, bold: set[bytes]) -> None:
        self.height, self.bold = height, bold
        self.stack: list[bytes] = []
        self.points: list[XY] = []
        self.curves: list[tuple[XY, XY, XY, XY]] = []
        self.windows: list[tuple[float, float, float, float]] = []
        self.paths: list[Path] = []
        self.texts: list[Said] = []
        self.shift: list[XY] = [(0.0, 0.0)]
        self.closed = self.clips = False
        self.font, self.size, self.at = b"", 0.0, (0.0, 0.0)

    def at_mm(self, x: float, y: float) -> XY:
        """A point in mm from the top left corner."""
        return x * MM, (self.height - y) * MM

    def numbers(self, many: int) -> list[float]:
        """The operands before an operator."""
        found = [float(value) for value in self.stack[-many:]]
        self.stack.clear()
        return found

    def take(self, token: bytes) -> None:
        """One token of the stream."""
        operators = {
            b"m": self._move, b"l": self._line, b"c": self._curve, b"h": self._close,
            b"re": self._rect, b"W*": self._clip, b"n": self._end, b"S": self._paint,
            b"f*": self._end, b"B*": self._paint, b"Tf": self._font, b"Tm": self._place,
            b"Tj": self._show, b"cm": self._concat, b"q": self._save, b"Q": self._restore,
        }  # fmt: skip
        if token in operators:
            operators[token]()
        elif token in (b"f", b"B", b"W", b"b", b"s", b"v", b"y", b"Td", b"TJ", b"Do"):
            raise AssertionError(f"an operator that is not known here: {token!r}")
        else:
            self.stack.append(token)

    def _move(self) -> None:
        self.points.append(self.at_mm(*self.numbers(2)))

    def _line(self) -> None:
        self.points.append(self.at_mm(*self.numbers(2)))

    def _curve(self) -> None:
        x1, y1, x2, y2, x, y = self.numbers(6)
        ends = (self.points[-1], self.at_mm(x1, y1), self.at_mm(x2, y2), self.at_mm(x, y))
        self.curves.append(ends)
        self.points.append(ends[-1])

    def _close(self) -> None:
        self.closed = True

    def _rect(self) -> None:
        x, y, w, h = self.numbers(4)
        self.points += [self.at_mm(x, y), self.at_mm(x + w, y + h)]

    def _clip(self) -> None:
        self.clips = True

    def _end(self) -> None:
        if self.clips and self.points:
            self.windows.append(Path(tuple(self.points), (), True).box)
        self._forget()

    def _paint(self) -> None:
        self.paths.append(Path(tuple(self.points), tuple(self.curves), self.closed))
        self._forget()

    def _forget(self) -> None:
        self.points, self.curves = [], []
        self.closed = self.clips = False
        self.stack.clear()

    def _font(self) -> None:
        self.font, self.size = self.stack[-2][1:], float(self.stack[-1])
        self.stack.clear()

    def _place(self) -> None:
        self.at = tuple(self.numbers(2))

    def _show(self) -> None:
        raw = re.sub(rb"\\([0-7]{3})", lambda m: bytes([int(m[1], 8)]), self.stack[-1][1:-1])
        text = re.sub(rb"\\(.)", rb"\1", raw).decode("cp1252")
        (dx, dy), (x, y) = self.shift[-1], self.at
        at = self.at_mm(dx + x, dy + y)
        self.texts.append(Said(text, *at, self.size * MM, self.font in self.bold))
        self.stack.clear()

    def _concat(self) -> None:
        a, b, c, d, e, f = self.numbers(6)
        # Only moved, or turned a quarter for words that run upwards.
        assert (round(a), round(b), round(c), round(d)) in ((1, 0, 0, 1), (0, 1, -1, 0))
        x, y = self.shift[-1]
        self.shift[-1] = (x + e, y + f)

    def _save(self) -> None:
        self.shift.append(self.shift[-1])
        self.stack.clear()

    def _restore(self) -> None:
        self.shift.pop()
        self.stack.clear()


def svg_paths(text: str) -> list[Path]:
    """Every path of an SVG whose units are millimetres, curves with their control points."""
    root = ElementTree.fromstring(text.encode("utf-8"))
    _, _, width, height = map(float, root.get("viewBox").split())
    assert (root.get("width"), root.get("height")) == (f"{width:g}mm", f"{height:g}mm")
    found = []
    for element in root.iter(f"{SVG}path"):
        parts = re.findall(r"([MLCZhvz])([^MLCZhvz]*)", element.get("d"))
        if any(letter in "hvz" for letter, _ in parts):
            continue  # the squares of a symbol, read elsewhere
        points: list[XY] = []
        curves = []
        for letter, rest in parts:
            v = [float(value) for value in rest.split()]
            if letter == "C":
                curves.append((points[-1], (v[0], v[1]), (v[2], v[3]), (v[4], v[5])))
            if letter in "MLC":
                points.append((v[-2], v[-1]))
        closed = parts[-1][0] == "Z"
        found.append(Path(tuple(points), tuple(curves), closed, element.get("data-code", "")))
    return found


def svg_texts(text: str) -> list[str]:
    """Every text of an SVG."""
    root = ElementTree.fromstring(text.encode("utf-8"))
    return [element.text or "" for element in root.iter(f"{SVG}text")]


def along(curve: tuple[XY, XY, XY, XY], many: int = 16) -> list[XY]:
    """Points on a cubic Bezier curve, by its definition."""
    found = []
    for n in range(many + 1):
        t = n / many
        weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        found.append(
            tuple(sum(w * p[k] for w, p in zip(weights, curve, strict=True)) for k in (0, 1))
        )
    return found
