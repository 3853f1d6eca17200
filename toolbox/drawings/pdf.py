"""Pages as one PDF file: Helvetica, plain content streams, the same bytes for the same pages."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from importlib.util import find_spec
from io import BytesIO
from types import MappingProxyType
from typing import TYPE_CHECKING

from toolbox.drawings.lettering import width_of
from toolbox.drawings.page import (
    MARK,
    Anchor,
    Curve,
    DrawingError,
    Mark,
    Outline,
    Page,
    Rect,
    Squares,
    Window,
    Words,
)

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

# Signs that the letters of a PDF do not have, and what is written in their place.
_INSTEAD = MappingProxyType(
    {"″": '"', "′": "'", "−": "-", "→": "->", "←": "<-", "⌀": "Ø", "μ": "µ", "≤": "<=", "≥": ">=",
     "‐": "-", "‑": "-", "\u202f": " ", "\u2009": " "}
)  # fmt: skip


def can_write() -> bool:
    """Whether the library that writes PDF is installed."""
    return find_spec("reportlab") is not None


def as_pdf(pages: Sequence[Page]) -> bytes:
    """The pages as one PDF file, to be printed at its own size.

    DrawingError names every text with letters that cannot be written. At least one page.
    """
    # slow to load, and an extra: only for those who ask for a PDF
    from reportlab.pdfgen.canvas import Canvas

    faults = tuple(dict.fromkeys(_unwritable(mark) for page in pages for mark in _all(page.marks)))
    if any(faults):
        raise DrawingError(fault for fault in faults if fault)
    buffer = BytesIO()
    canvas = Canvas(buffer, pageCompression=0, invariant=1)
    canvas.setTitle(_plain(pages[0].title) or "")
    canvas.setAuthor("")
    canvas.setSubject("")
    canvas.setKeywords(f"{MARK}: {pages[0].mark}")
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        canvas.setPageSize((_points(page.width), _points(page.height)))
        canvas.setLineJoin(1)
        for mark in page.marks:
            _draw(canvas, mark, page.height)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _points(micrometres: int) -> float:
    return micrometres * 72 / 25400


def _all(marks: Sequence[Mark]) -> list[Words]:
    found = []
    for mark in marks:
        if isinstance(mark, Window):
            found += _all(mark.marks)
        elif isinstance(mark, Words):
            found.append(mark)
    return found


def _unwritable(mark: Words) -> str:
    if _plain(mark.text) is not None:
        return ""
    return (
        f'"{mark.text}" has letters that a PDF cannot show here: '
        "take SVG, or give it a name in Latin letters"
    )


def _plain(text: str) -> str | None:
    """Text in the letters that the standard fonts have; None when some have no likeness."""
    plain = ""
    for letter in text:
        letter = _INSTEAD.get(letter, letter if letter.isprintable() else " ")
        bare = "".join(c for c in unicodedata.normalize("NFKD", letter)
                       if not unicodedata.combining(c))  # fmt: skip
        written = next((one for one in (letter, bare) if _has(one)), None)
        if written is None:
            # an accent that stands by itself is left out
            if unicodedata.combining(letter):
                continue
            return None
        plain += written
    return plain


def _has(text: str) -> bool:
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return bool(text)


def _draw(canvas: Canvas, mark: Mark, height: int) -> None:
    match mark:
        case Outline():
            _outline(canvas, mark, height)
        case Words():
            _words(canvas, mark, height)
        case Squares():
            path = canvas.beginPath()
            for rect in mark.rects:
                path.rect(*_rect(rect, height))
            canvas.setFillGray(0)
            canvas.drawPath(path, stroke=0, fill=1)
        case Window():
            canvas.saveState()
            path = canvas.beginPath()
            path.rect(*_rect(mark.rect, height))
            canvas.clipPath(path, stroke=0, fill=0)
            for one in mark.marks:
                _draw(canvas, one, height)
            canvas.restoreState()


def _rect(rect: Rect, height: int) -> tuple[float, float, float, float]:
    return (
        _points(rect.x),
        _points(height - rect.bottom),
        _points(rect.width),
        _points(rect.height),
    )


def _outline(canvas: Canvas, mark: Outline, height: int) -> None:
    path = canvas.beginPath()
    path.moveTo(_points(mark.start.x), _points(height - mark.start.y))
    for step in mark.steps:
        # every second measure is a height, counted from the foot of the page
        at = [_points(height - v if n % 2 else v) for n, v in enumerate(step)]
        if isinstance(step, Curve):
            path.curveTo(*at)
        else:
            path.lineTo(*at)
    if mark.closed:
        path.close()
    canvas.setLineWidth(_points(mark.stroke))
    canvas.setStrokeGray(0)
    canvas.setFillGray(1)
    canvas.setDash([_points(3000), _points(2000)] if mark.dashed else [])
    canvas.drawPath(path, stroke=int(mark.stroke > 0), fill=int(mark.filled))


def _words(canvas: Canvas, mark: Words, height: int) -> None:
    text = _plain(mark.text) or ""
    wide = width_of(text, mark.size, mark.strong)
    before = {Anchor.START: 0, Anchor.MIDDLE: wide // 2, Anchor.END: wide}[mark.anchor]
    canvas.setFillGray(0)
    canvas.setFont("Helvetica-Bold" if mark.strong else "Helvetica", _points(mark.size))
    x, y = _points(mark.x), _points(height - mark.y)
    if mark.turned:
        canvas.saveState()
        canvas.translate(x, y)
        canvas.rotate(90)
        canvas.drawString(-_points(before), 0, text)
        canvas.restoreState()
    else:
        canvas.drawString(x - _points(before), y, text)
