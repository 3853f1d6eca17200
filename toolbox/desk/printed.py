"""Pages to print: headings, words, points, tables, pictures, as Markdown and as one HTML file.

Texts of the user's own stay texts in both: what would be a mark there is escaped, control
signs and line breaks become blanks. A page bears a mark at its beginning by which a file
is known again as that very page.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape
from urllib.parse import quote

from toolbox.desk.figures import clean
from toolbox.drawings.page import MARK

_BEGINNINGS = (
    re.compile(rf"(?:<\?xml [^>\n]*\?>\n)?<!-- {MARK}: (\S+) -->\n"),
    re.compile(rf'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta name="{MARK}" content="(\S+)"'),
)
# Black on white, any paper: the printer's own size is kept, rows are not torn apart,
# words are not cut to make a column narrow.
_STYLE = """
@page { margin: 14mm; }
body { font: 10pt/1.35 sans-serif; color: #000; background: #fff; max-width: 190mm; margin: auto; }
h1 { font-size: 16pt; margin: 0 0 2mm; }
h2 { font-size: 12pt; margin: 5mm 0 1mm; break-after: avoid; }
p, ul { margin: 1mm 0; }
table { border-collapse: collapse; width: 100%; overflow-wrap: break-word; }
thead { display: table-header-group; }
tr, figure { break-inside: avoid; }
h2.anew { break-before: page; }
figure { margin: 2mm 0 4mm; }
svg { max-width: 100%; max-height: 250mm; height: auto; }
th, td { border: 1px solid #000; padding: 0.6mm 1.2mm; text-align: left; vertical-align: top; }
.figure { text-align: right; white-space: nowrap; }
.sum td, .strong { font-weight: bold; }
"""


@dataclass(frozen=True, slots=True)
class Heading:
    """The heading of a part of a page; ``anew``: it begins on a new sheet of paper."""

    text: str
    anew: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Points:
    """A list of sentences."""

    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table: heads, rows as long as these, which columns are figures, how many rows are sums.

    The sums are the last rows.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: frozenset[int] = frozenset()
    sums: int = 0


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as a whole SVG file of our own making, and in words what is to be seen in it."""

    svg: str
    words: str


Block = Heading | Words | Points | Table | Picture


@dataclass(frozen=True, slots=True)
class Page:
    """A page with its title; ``mark`` is its own among all pages, made by ``mark_of``."""

    mark: str
    title: str
    blocks: tuple[Block, ...]


def mark_of(*names: str) -> str:
    """A mark out of names: without blanks, and without what would end a comment."""
    return "/".join(quote(name, safe="").replace("--", "%2D%2D") for name in names)


def mark_in(text: str) -> str:
    """The mark of the page that a file's text begins with; "" when it begins with none."""
    found = (beginning.match(text) for beginning in _BEGINNINGS)
    return next((match.group(1) for match in found if match is not None), "")


def as_markdown(page: Page) -> str:
    """The page as Markdown with tables."""
    parts = [f"<!-- {MARK}: {page.mark} -->", f"# {_md(page.title)}"]
    parts += ["\n".join(_md_block(block)) for block in page.blocks]
    return "\n\n".join(parts) + "\n"


def _md_block(block: Block) -> Iterator[str]:
    match block:
        case Heading():
            yield f"## {_md(block.text)}"
        case Words():
            yield f"**{_md(block.text)}**" if block.strong else _md(block.text)
        case Picture():
            yield _md(block.words)
        case Points():
            yield from (f"- {_md(text)}" for text in block.texts)
        case Table():
            rules = ("---:" if n in block.figures else "---" for n in range(len(block.heads)))
            yield _md_row(map(_md, block.heads))
            yield _md_row(rules)
            for n, row in enumerate(block.rows):
                strong = n >= len(block.rows) - block.sums
                cells = map(_md, row)
                yield (
                    _md_row((f"**{cell}**" if cell else "") for cell in cells)
                    if strong
                    else (_md_row(cells))
                )


def _md_row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _md(text: str) -> str:
    """Text that Markdown reads as that text, wherever it stands."""
    safe = re.sub(r"([\\`*_\[\]<>&|~^$#!])", r"\\\1", clean(text))
    # at the beginning of a line these would make a list, a quotation or a heading
    safe = re.sub(r"^([-+=])", r"\\\1", safe)
    return re.sub(r"^(\d+)([.)])(?=\s|$)", r"\1\\\2", safe)


def as_html(page: Page) -> str:
    """The page as one HTML file that needs nothing else and asks no network."""
    title = _html(page.title)
    body = "\n".join(line for block in page.blocks for line in _html_block(block))
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta name="{MARK}" content="{page.mark}"/>
<meta charset="utf-8"/>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"/>
<meta name="viewport" content="width=device-width, initial-scale=1"/>
<title>{title}</title>
<style>{_STYLE}</style>
</head>
<body>
<h1>{title}</h1>
{body}
</body>
</html>
"""


def _html_block(block: Block) -> Iterator[str]:
    match block:
        case Heading():
            kind = ' class="anew"' if block.anew else ""
            yield f"<h2{kind}>{_html(block.text)}</h2>"
        case Picture():
            # what stands before the drawing itself is for files of their own
            yield f"<figure>{block.svg[block.svg.index('<svg') :].rstrip()}</figure>"
        case Words():
            kind = ' class="strong"' if block.strong else ""
            yield f"<p{kind}>{_html(block.text)}</p>"
        case Points():
            yield "<ul>"
            yield from (f"<li>{_html(text)}</li>" for text in block.texts)
            yield "</ul>"
        case Table():
            yield from _html_table(block)


def _html_table(table: Table) -> Iterator[str]:
    yield "<table>"
    yield f"<thead><tr>{_html_cells('th', table.heads, table)}</tr></thead>"
    yield "<tbody>"
    for n, row in enumerate(table.rows):
        kind = ' class="sum"' if n >= len(table.rows) - table.sums else ""
        yield f"<tr{kind}>{_html_cells('td', row, table)}</tr>"
    yield "</tbody>"
    yield "</table>"


def _html_cells(tag: str, cells: Iterable[str], table: Table) -> str:
    kinds = (' class="figure"' if n in table.figures else "" for n in range(len(table.heads)))
    pairs = zip(cells, kinds, strict=True)
    return "".join(f"<{tag}{kind}>{_html(cell)}</{tag}>" for cell, kind in pairs)


def _html(text: str) -> str:
    return escape(clean(text))
