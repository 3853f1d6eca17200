"""Tables as TOML text: read back equal by tomllib, and as tomlkit writes them.

tomllib is Python's own reader of TOML 1.0.0, tomlkit a writer by somebody else.
"""

from __future__ import annotations

import tomllib
from datetime import date, datetime, time
from typing import Any

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from toolbox.files.render import document_text, value_text
from toolbox.files.retelling import same

TEXTS = st.text(st.characters(codec="utf-8"), max_size=6) | st.text(
    "\"\\\x00\x1f\x7f\n\r\t#'", max_size=6
)
PLAIN = (
    TEXTS
    | st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.floats()
    | st.dates(date(1, 1, 1))
    | st.datetimes().map(lambda moment: moment.replace(fold=0))
    | st.times().map(lambda clock: clock.replace(fold=0))
)
VALUES = st.recursive(
    PLAIN,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=8,
)
DOCUMENTS = st.dictionaries(
    TEXTS | st.sampled_from(("supplies", "parts", "tool")), VALUES, max_size=4
)


@settings(max_examples=60, deadline=None)
@given(DOCUMENTS)
def test_any_table_is_read_back_equal(table: dict[str, Any]) -> None:
    """Every key, type and value, whatever lies in whatever."""
    assert same(tomllib.loads(document_text(table)), table)


@settings(max_examples=100, deadline=None)
@given(TEXTS)
def test_texts_stand_as_another_writer_has_them(text: str) -> None:
    """On one line between double quotes, with the same letters escaped."""
    assert value_text(text).lower() == tomlkit.item(text).as_string().lower()


def test_other_plain_values_stand_as_another_writer_has_them() -> None:
    """Numbers, days, times and truth values."""
    moment = datetime(2026, 1, 31, 12, 5)
    for value in (0, -7, 1.5, 1e-7, True, False, date(2026, 1, 31), moment, time(8, 30), "½"):
        assert value_text(value) == tomlkit.item(value).as_string()


def test_what_toml_has_not_is_refused() -> None:
    """There is no word for nothing."""
    with pytest.raises(TypeError, match="NoneType"):
        document_text({"a": [None]})
