"""A page as SVG in millimetres: nothing but the standard library, nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from toolbox.drawings.lettering import is_measured, width_of
from toolbox.drawings.page import MARK, Anchor, Curve, Mark, Outline, Page, Squares, Window, Words

FONT = "Helvetica, Arial, 'Liberation Sans', sans-serif"


def as_svg(page: Page) -> str:
    """The page as one SVG file; its units are millimetres. User text stays text."""
    size = f"{mm(page.width)} {mm(page.height)}"
    windows = _Windows()
    body = "\n".join(part for mark in page.marks for part in _drawn(mark, windows))
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<!-- {MARK}: {page.mark} -->
<svg xmlns="http://www.w3.org/2000/svg" width="{mm(page.width)}mm" height="{mm(page.height)}mm" \
viewBox="0 0 {size}">
<title>{_text(page.title)}</title>
<rect width="{mm(page.width)}" height="{mm(page.height)}" fill="#fff"/>
<g fill="none" stroke="#000" stroke-linejoin="round" font-family="{FONT}">
{body}
</g>
</svg>
"""


def mm(micrometres: int) -> str:
    """Micrometres as millimetres, written out exactly."""
    sign = "-" if micrometres < 0 else ""
    whole, rest = divmod(abs(micrometres), 1000)
    return f"{sign}{whole}.{rest:03d}".rstrip("0").rstrip(".")


class _Windows:
    """Names for the windows of one page."""

    def __init__(self) -> None:
        self.many = 0

    def name(self) -> str:
        self.many += 1
        return f"window-{self.many}"


def _drawn(mark: Mark, windows: _Windows) -> Iterator[str]:
    match mark:
        case Outline():
            yield _outline(mark)
        case Words():
            yield _words(mark)
        case Squares():
            d = "".join(f"M{mm(r.x)} {mm(r.y)}h{mm(r.width)}v{mm(r.height)}h{mm(-r.width)}z"
                        for r in mark.rects)  # fmt: skip
            yield f'<path d="{d}" fill="#000" stroke="none" shape-rendering="crispEdges"/>'
        case Window():
            name, r = windows.name(), mark.rect
            rect = (
                f'<rect x="{mm(r.x)}" y="{mm(r.y)}" width="{mm(r.width)}" height="{mm(r.height)}"/>'
            )
            yield f'<clipPath id="{name}">{rect}</clipPath>'
            yield f'<g clip-path="url(#{name})">'
            for one in mark.marks:
                yield from _drawn(one, windows)
            yield "</g>"


def _outline(mark: Outline) -> str:
    d = f"M{mm(mark.start.x)} {mm(mark.start.y)}"
    for step in mark.steps:
        letter = "C" if isinstance(step, Curve) else "L"
        d += letter + " ".join(mm(value) for value in step)
    d += "Z" if mark.closed else ""
    more = ' fill="#fff"' if mark.filled else ""
    more += f' stroke-width="{mm(mark.stroke)}"' if mark.stroke else ' stroke="none"'
    more += ' stroke-dasharray="3 2"' if mark.dashed else ""
    more += f' data-code="{_text(mark.code)}"' if mark.code else ""
    return f'<path d="{d}"{more}/>'


def _words(mark: Words) -> str:
    more = f' text-anchor="{mark.anchor.value}"' if mark.anchor is not Anchor.START else ""
    more += ' font-weight="bold"' if mark.strong else ""
    if mark.turned:
        more += f' transform="rotate(-90 {mm(mark.x)} {mm(mark.y)})"'
    # Another font in the browser must not be wider than what was reckoned with.
    if is_measured(mark.text) and mark.text.strip():
        wide = mm(width_of(mark.text, mark.size, mark.strong))
        more += f' textLength="{wide}" lengthAdjust="spacingAndGlyphs"'
    return (
        f'<text x="{mm(mark.x)}" y="{mm(mark.y)}" font-size="{mm(mark.size)}" fill="#000" '
        f'stroke="none"{more}>{_text(mark.text)}</text>'
    )


def _text(text: str) -> str:
    # Control signs are no XML, not even written as numbers.
    return escape("".join(letter if letter.isprintable() else " " for letter in text))
