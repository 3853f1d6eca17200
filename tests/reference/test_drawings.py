"""Drawings against things outside: font metrics, page sizes, a reader of QR symbols.

- Widths of letters: Adobe's font metrics of the standard fonts, as reportlab carries them.
- Page sizes: those of reportlab (ISO 216, ANSI/ASME Y14.1).
- QR symbols: read back with zxing-cpp, which shares nothing with what makes them.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import zxingcpp
from drawn import pdf_pages, svg_texts
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfbase.pdfmetrics import stringWidth

from toolbox.drawings.labels import Label, label_pages, place_of
from toolbox.drawings.lettering import fit, thousandths
from toolbox.drawings.lid import LidSheet, Listed, lid_page
from toolbox.drawings.page import DrawingError, Page, Rect, Squares, Words
from toolbox.drawings.pdf import as_pdf
from toolbox.drawings.qr import LEAST, QUIET, qr
from toolbox.drawings.svg import as_svg
from toolbox.kit.paper import EVEN_GRIDS, SIDES, Grid, Paper

WESTERN = "".join(
    bytes([n]).decode("cp1252") for n in (*range(32, 127), *range(161, 256)) if n != 0xAD
)
NAMES = st.text(st.sampled_from("abcdefghi ABC 0123 éß×½·-,.()\\"), min_size=1, max_size=40).filter(
    lambda text: text.split() != []
)
ODD = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=20)


def font(strong: bool) -> str:
    """The font by the name that its metrics go by."""
    return "Helvetica-Bold" if strong else "Helvetica"


@pytest.mark.parametrize("strong", [False, True])
def test_letters_are_as_wide_as_the_font_says(strong: bool) -> None:
    """ASCII and letters with accents exactly; no sign of Western Europe wider than reckoned."""
    for letter in WESTERN:
        true = round(stringWidth(letter, font(strong), 1000), 6)
        assert thousandths(letter, strong) >= true, letter
        if letter.isascii() or (letter.isalpha() and letter not in "ªºµÐðÞþíìîï"):
            assert thousandths(letter, strong) == true, letter


def test_paper_is_as_large_as_paper_is() -> None:
    """To the tenth of a millimetre."""
    for paper, points in ((Paper.A4, A4), (Paper.LETTER, LETTER)):
        assert SIDES[paper] == tuple(round(p / 72 * 254) for p in points)


@given(NAMES, st.integers(3, 90), st.integers(3, 40), st.booleans())
@settings(max_examples=150, deadline=None)
def test_words_that_are_said_to_fit_do_fit(text: str, wide: int, high: int, strong: bool) -> None:
    """By the font's own metrics; nothing is lost but blanks, and letters are never too small."""
    fitted = fit(text, wide * 1000, high * 1000, 7000, 1900, strong, in_one=3000)
    if fitted is None:
        # Neither one line nor its longest word fits in the smallest letters, or not all lines do.
        longest = max(stringWidth(word, font(strong), 1.9) for word in text.split())
        assert longest > wide - 0.01 or high < 2 * 1.2 * 1.9 or len(text) * 1.9 > wide
        return
    size = fitted.size / 1000
    assert 1.9 <= size <= 7
    assert " ".join(fitted.lines).split() == text.split()
    assert len(fitted.lines) * size * 1.2 <= high + 0.01
    for line in fitted.lines:
        assert stringWidth(line, font(strong), size) <= wide + 0.001
    assert len(fitted.lines) == 1 or size >= 1.9


# ---- QR symbols


def pixels(symbols: Squares, across: int) -> np.ndarray:
    """Squares on white, seen from above: four pixels to a module, as a camera would have it."""
    unit = min(rect.height for rect in symbols.rects)
    x = min(rect.x for rect in symbols.rects)
    y = min(rect.y for rect in symbols.rects)
    image = np.full(((across + 8) * 4, (across + 8) * 4), 255, dtype=np.uint8)
    for rect in symbols.rects:
        assert (rect.x - x) % unit == (rect.y - y) % unit == rect.width % unit == 0
        left, top = (rect.x - x) // unit * 4 + 16, (rect.y - y) // unit * 4 + 16
        image[top : top + 4, left : left + rect.width // unit * 4] = 0
    return image


def modules(symbols: Squares) -> int:
    """How many modules a symbol is across: its finder patterns stand in its corners."""
    unit = min(rect.height for rect in symbols.rects)
    left = min(rect.x for rect in symbols.rects)
    return (max(rect.right for rect in symbols.rects) - left) // unit


CODES = st.from_regex(r"(IN:)?[A-Z0-9][A-Z0-9._-]{0,20}(/[1-9])?", fullmatch=True)


@given(st.one_of(CODES, st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}/1", fullmatch=True)))
@settings(max_examples=40, deadline=None)
def test_a_symbol_is_read_back_as_it_was_written(code: str) -> None:
    """Never a micro symbol (they are at most 17 modules across), quiet zone kept free."""
    place = Rect(7_000, 9_000, 40_000, 33_000)
    symbol = qr(code, place)
    across = modules(symbol)
    assert across >= 21
    (read,) = zxingcpp.read_barcodes(pixels(symbol, across))
    assert read.text == code
    assert read.format == zxingcpp.BarcodeFormat.QRCode
    unit = min(rect.height for rect in symbol.rects)
    assert unit >= LEAST
    for rect in symbol.rects:
        assert rect.grown(QUIET * unit).within(place)


def test_short_codes_of_capitals_are_the_smallest_symbol() -> None:
    """Up to 20 capitals and digits fit version 1-M, 21 modules: ISO/IEC 18004, table 7 [memory]."""
    assert modules(qr("IN:UPPER-TRAY-LEFT-1", Rect(0, 0, 30_000, 30_000))) == 21
    assert modules(qr("IN:UPPER-TRAY-LEFT-12", Rect(0, 0, 30_000, 30_000))) == 25


def test_a_symbol_that_no_telephone_would_read_is_refused() -> None:
    """29 modules with the quiet zone need 29 times the smallest module."""
    assert qr("T-1/1", Rect(0, 0, 29 * LEAST, 29 * LEAST))
    with pytest.raises(DrawingError, match="T-1/1"):
        qr("T-1/1", Rect(0, 0, 29 * LEAST - 1, 90_000))


# ---- labels


def words_of(page: Page) -> list[Words]:
    """The words of a page."""
    return [mark for mark in page.marks if isinstance(mark, Words)]


@given(
    st.lists(NAMES, min_size=1, max_size=14),
    st.sampled_from([grid for grid in EVEN_GRIDS if grid.many <= 24]),
    st.booleans(),
    st.data(),
)
@settings(max_examples=15, deadline=None)
def test_labels_lie_on_their_grid_and_words_inside_them(
    names: list[str], grid: Grid, codes: bool, data: st.DataObject
) -> None:
    """From the n-th on, row by row, each in its own rectangle, by the grid's plain figures."""
    first = data.draw(st.integers(1, grid.many))
    labels = [Label(name, f"T{n}", "", f"T{n}/1") for n, name in enumerate(names)]
    reasons: tuple[str, ...] = ()
    try:
        pages = label_pages(labels, grid, "t", "m", first=first, codes=codes)
    except DrawingError as error:
        reasons, pages = error.reasons, ()
    if reasons:
        assert all(any(name in reason for name in names) for reason in reasons)
        return
    texts = [leaf.texts for leaf in pdf_pages(as_pdf(pages))]
    assert len(pages) == -(-(first - 1 + len(names)) // grid.many)
    for number, label in enumerate(labels, first - 1):
        sheet, at = divmod(number, grid.many)
        x = (grid.left + at % grid.columns * grid.across) / 10
        y = (grid.top + at // grid.columns * grid.down) / 10
        mine = [
            said
            for said in texts[sheet]
            if x <= said.x <= x + grid.width / 10 and y <= said.y <= y + grid.height / 10
        ]
        assert " ".join(said.text for said in mine if said.strong).split() == label.name.split()
        assert [said.text for said in mine if not said.strong] == [label.id]
        for said in mine:
            wide = stringWidth(said.text, font(said.strong), said.size)
            assert said.x >= x + 1.99
            assert said.x + wide <= x + grid.width / 10 - 1.99
            assert y + 2 < said.y + 0.01 - said.size / 2
            assert said.y < y + grid.height / 10 - 1.5


def test_what_does_not_fit_is_refused_with_every_name() -> None:
    """A word that no letter size makes fit; all such labels at once, and nothing else."""
    grid = next(g for g in EVEN_GRIDS if g.name == "5x13" and g.paper is Paper.A4)
    long = "Unabbreviatablebottombracketremovaltool"
    labels = [Label(name, "T", "", "T/1") for name in ("Pliers", f"{long}1", f"{long}2")]
    with pytest.raises(DrawingError) as refused:
        label_pages(labels, grid, "t", "m")
    assert [long in reason for reason in refused.value.reasons] == [True, True]
    for first in (0, 66):
        with pytest.raises(DrawingError, match="1 to 65"):
            label_pages(labels[:1], grid, "t", "m", first=first)


def test_a_label_with_its_symbol_is_read_and_no_word_stands_in_its_quiet_zone() -> None:
    """On the common grids that are large enough, out of the page itself."""
    for grid in EVEN_GRIDS[:4]:
        (page,) = label_pages([Label("Chain tool", "CT", "", "CT/1")], grid, "t", "m", codes=True)
        (symbol,) = [mark for mark in page.marks if isinstance(mark, Squares)]
        (read,) = zxingcpp.read_barcodes(pixels(symbol, modules(symbol)))
        assert read.text == "CT/1"
        unit = min(rect.height for rect in symbol.rects)
        right = max(rect.right for rect in symbol.rects) + QUIET * unit
        assert all(words.x >= right for words in words_of(page))
        assert all(rect.grown(QUIET * unit).within(place_of(grid, 0)) for rect in symbol.rects)


# ---- any text


@given(ODD, ODD)
@settings(max_examples=60, deadline=None)
def test_any_text_stays_text_in_svg(title: str, text: str) -> None:
    """Read by an XML parser: control signs become blanks, all else is what it was."""
    page = Page(100_000, 100_000, title, "m", (Words(0, 0, 3000, text),))
    (shown,) = svg_texts(as_svg(page))
    assert shown == "".join(letter if letter.isprintable() else " " for letter in text)


@given(ODD)
@settings(max_examples=60, deadline=None)
def test_any_text_is_written_in_a_pdf_or_refused_by_name(text: str) -> None:
    """What has no likeness in the fonts is named; whatever they have comes back as it was."""
    page = Page(100_000, 100_000, "t", "m", (Words(0, 0, 3000, f".{text}"),))
    refused = ""
    try:
        ((shown,),) = [leaf.texts for leaf in pdf_pages(as_pdf([page]))]
    except DrawingError as error:
        refused = error.reasons[0]
    if refused:
        assert text in refused
        assert any(ord(letter) > 126 for letter in text)
        return
    kept = [letter for letter in text if letter in WESTERN]
    left = iter(shown.text)
    assert all(letter in left for letter in kept), "in this order"


# ---- the lid sheet


@given(
    st.lists(st.lists(NAMES, max_size=12), min_size=1, max_size=12), st.sampled_from(list(Paper))
)
@settings(max_examples=20, deadline=None)
def test_all_of_a_lid_sheet_stands_on_its_page(names: list[list[str]], paper: Paper) -> None:
    """Every word of every place in its order, inside the margins, no line over another."""
    places = tuple(Listed(f"{n}  place{n} [p{n}]", tuple(inside)) for n, inside in enumerate(names))
    sheet = LidSheet("A box", "m", ("17 kg packed",), ("a note of some length",), places)
    (leaf,) = pdf_pages(as_pdf([lid_page(sheet, paper)]))
    for said in leaf.texts:
        assert said.x >= 9.99
        assert said.x + stringWidth(said.text, font(said.strong), said.size) <= leaf.width - 9.99
        assert 10 < said.y < leaf.height - 9.99
    lines = sorted((round(s.x, 2), s.y) for s in leaf.texts)
    for (x, y), (u, v) in pairwise(lines):
        assert x != u or v - y > 2
    body = " ".join(said.text for said in leaf.texts[3:]).split()
    wanted = [f"{p.head} {'; '.join(p.names)}" for p in places]
    assert body == " ".join(wanted).split()


def test_a_lid_sheet_that_cannot_fit_is_refused() -> None:
    """Two thousand things are no page."""
    places = (Listed("all", tuple(f"a rather long name no. {n}" for n in range(2000))),)
    with pytest.raises(DrawingError, match="2000 things"):
        lid_page(LidSheet("A box", "m", (), (), places), Paper.A4)
