"""A code as a QR symbol (ISO/IEC 18004): black squares in whole micrometres."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.util import find_spec

from toolbox.drawings.page import DrawingError, Rect, Squares

QUIET = 4
"""Modules left free around the symbol on every side, as the standard asks."""
LEAST = 330
"""The smallest module in micrometres. Common practice for telephones, no source."""


def can_make() -> bool:
    """Whether the library that makes the symbols is installed."""
    return find_spec("segno") is not None


def qr(text: str, place: Rect) -> Squares:
    """The symbol of a short text as large as it fits into a square place, quiet zone included.

    All modules are alike, a whole number of micrometres. DrawingError when they would be
    too small to be read.
    """
    # an extra, and slow to load: only for those who ask for codes
    import segno

    # never a micro symbol: telephones do not read those
    matrix = segno.make_qr(text, error="m", boost_error=False).matrix
    across = len(matrix) + 2 * QUIET
    module = min(place.width, place.height) // across
    if module < LEAST:
        raise DrawingError(
            [f'the code "{text}" would be too small to be read: take larger labels or no codes']
        )
    x = place.x + (place.width - across * module) // 2 + QUIET * module
    y = place.y + (place.height - across * module) // 2 + QUIET * module
    return Squares(
        tuple(
            Rect(x + start * module, y + row * module, long * module, module)
            for row, modules in enumerate(matrix)
            for start, long in _runs(bytes(modules))
        )
    )


def _runs(modules: bytes) -> Iterator[tuple[int, int]]:
    """Where black modules begin in a row, and how many stand side by side."""
    start = None
    for at, dark in enumerate((*modules, 0)):
        if dark and start is None:
            start = at
        elif not dark and start is not None:
            yield start, at - start
            start = None
