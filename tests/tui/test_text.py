"""Text of people's own on the screen: harmless, measured in columns, cut with a sign."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.text import Text

from toolbox.tui.text import CHROME, CUT, cells, clean, cut, fit, in_chrome, plain, wrapped

ANY = st.text(max_size=80)

# Signs that act on a terminal or on their neighbours. Categories and properties:
# Unicode Character Database; bidirectional controls: Unicode Standard Annex 9, table 1.
BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
ACTING = "\x00\x07\x08\x1b\x7f\x9b\r\n\t\u2028\u2029\u200b\u200d\ufeff\ufe0f\U000e0041" + BIDI


@pytest.mark.parametrize("sign", ACTING, ids=lambda c: f"U+{ord(c):04X}")
def test_no_sign_that_acts_on_a_terminal_is_left(sign: str) -> None:
    """Controls, direction marks, joiners and variation signs do not reach the screen."""
    assert sign not in clean(f"hex{sign}key")
    assert clean(f"hex{sign}key").replace(" ", "") == "hexkey"


@given(ANY)
def test_what_is_cleaned_is_printable_and_keeps_every_letter(text: str) -> None:
    """Only acting signs change: all other signs of the text are there, in their order."""
    tidy = clean(text)
    kinds = {unicodedata.category(letter) for letter in tidy}
    assert not kinds & {"Cc", "Cf", "Cs", "Zl", "Zp"}
    tidy.encode("utf-8")
    told = [c for c in text if unicodedata.category(c)[0] not in "CZM"]
    assert [c for c in tidy if unicodedata.category(c)[0] not in "CZM"] == told
    assert clean(tidy) == tidy


def test_a_leading_mark_does_not_change_what_stands_before() -> None:
    """A combining acute accent alone stands on a blank (Unicode Standard, section 2.11)."""
    assert clean("\u0301a") == " \u0301a"


def test_half_a_pair_is_a_question_mark() -> None:
    """A lone surrogate cannot be written as UTF-8 (RFC 3629, section 3)."""
    assert clean("a\ud800b") == "a?b"


def test_brackets_stay_as_typed() -> None:
    """Nothing is read as markup."""
    assert plain("socket [deep] [/").plain == "socket [deep] [/"
    assert not plain("[bold]x[/bold]").spans


@pytest.mark.parametrize(
    ("text", "columns"),
    # East Asian Width and combining marks: Unicode Standard Annex 11, section 6.
    [("hex", 3), ("漢字", 4), ("Schlüssel", 9), ("e\u0301", 1), ("שלום", 4), ("", 0)],
)
def test_columns_are_counted_as_terminals_do(text: str, columns: int) -> None:
    """Wide letters take two columns, combining marks none."""
    assert cells(text) == columns


@given(ANY, st.integers(0, 30))
def test_what_is_cut_ends_in_the_sign_and_fits(text: str, width: int) -> None:
    """At most the width; whole if it fits, else a beginning of it with "~" at its end."""
    whole, short = plain(text), cut(text, width)
    assert cells(short) <= width
    if cells(whole) <= width:
        assert short.plain == whole.plain
    elif width:
        assert short.plain.endswith(CUT)
        assert whole.plain.startswith(short.plain[: -len(CUT)])
        # No more than one wide letter is left out beyond what had to go.
        assert cells(short) >= width - 1


@given(ANY, st.integers(0, 30), st.booleans())
def test_fitted_text_has_exactly_the_width(text: str, width: int, right: bool) -> None:
    """Cut or filled up, on either side."""
    assert cells(fit(text, width, right=right)) == width


@given(ANY, st.integers(2, 30))
def test_wrapped_text_loses_only_blanks(text: str, width: int) -> None:
    """Every line fits, and the lines together hold each letter in order."""
    lines = wrapped(text, width)
    assert all(cells(line) <= width for line in lines)
    assert "".join(line.plain for line in lines).replace(" ", "") == clean(text).replace(" ", "")


def test_styles_stay_where_nothing_was_taken_out() -> None:
    """A styled name keeps its styles through cleaning, cutting and filling."""
    text = Text("rear brake", "bold")
    text.stylize("underline", 0, 4)
    assert plain(text) is text
    assert cut(text, 6).plain == "rear ~"
    assert any(span.style == "underline" for span in cut(text, 6).spans)


def test_chrome_is_one_column_wide_and_never_a_letter_of_another_script() -> None:
    """Signs of our own: ASCII, box drawing (U+2500 block) and the multiplication sign."""
    assert all(cells(sign) == 1 for sign in CHROME)
    for sign in CHROME:
        assert sign.isascii() or 0x2500 <= ord(sign) <= 0x257F or sign == "×"
    assert in_chrome("> [x] ━─ 12 of 40")
    assert not in_chrome("✓ done")
