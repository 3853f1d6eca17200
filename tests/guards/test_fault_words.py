"""Every error that the models of the files can raise has words of our own."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic_core.core_schema import ErrorType

from toolbox.files import (
    fields,
    goods_tables,
    label_tables,
    schema,
    template_tables,
    trip_tables,
    week_tables,
)
from toolbox.files.pages import SORTS, Sort, read_entry
from toolbox.files.problems import Problems
from toolbox.files.week_tables import ENTRY
from toolbox.files.wording import EXAMPLES, WORDS, Trouble

# What each part of a model can raise on values that come out of TOML. From memory
# of pydantic's documentation ("Validation errors"); the names are checked below
# against the list that pydantic-core itself gives.
RAISES = {
    "model": {"model_type"},
    "model-fields": {"missing", "extra_forbidden"},
    "str": {"string_type"},
    "int": {"int_type"},
    "bool": {"bool_type"},
    "list": {"list_type"},
    "dict": {"dict_type"},
}
LIMITS = {
    ("int", "ge"): "greater_than_equal",
    ("int", "le"): "less_than_equal",
    ("list", "min_length"): "too_short",
    ("list", "max_length"): "too_long",
    ("str", "min_length"): "string_too_short",
    ("str", "pattern"): "string_pattern_mismatch",
}
# Parts that raise nothing themselves; what functions raise is read from the source.
QUIET = {"model-field", "default", "nullable", "function-plain", "function-after", "no-info", "any"}
QUIET |= {"definitions", "definition-ref"}
# How a value is written out again is no part of how it is checked.
UNCHECKED = {"metadata", "serialization", "definitions"}
ALL_SORTS = (
    *SORTS,
    ENTRY,
    *goods_tables.SORTS,
    *trip_tables.SORTS,
    *template_tables.SORTS,
    *label_tables.SORTS,
)
MODELS = tuple(sort.model for sort in ALL_SORTS)


def nodes(part: Any, shared: dict[str, Any] | None = None) -> Iterator[dict[str, Any]]:
    """Every part of a core schema that values pass through, shared parts where they are used."""
    if isinstance(part, dict):
        shared = {**(shared or {}), **{d["ref"]: d for d in part.get("definitions", ())}}
        if isinstance(part.get("type"), str):
            yield part
        if part.get("type") == "definition-ref":
            yield from nodes(shared[part["schema_ref"]], shared)
        for key, inner in part.items():
            if key not in UNCHECKED:
                yield from nodes(inner, shared)
    elif isinstance(part, list | tuple):
        for inner in part:
            yield from nodes(inner, shared)


def own_codes() -> set[str]:
    """The codes that our own field types and models refuse with."""
    found = set()
    for module in (fields, schema, week_tables, goods_tables, trip_tables):
        tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "refuse":
                assert isinstance(node.args[0], ast.Constant)
                found.add(node.args[0].value)
    return found


def raisable() -> set[str]:
    """Every code that any model can raise."""
    found = own_codes()
    for model in MODELS:
        for node in nodes(model.__pydantic_core_schema__):
            kind = node["type"]
            assert kind in RAISES or kind in QUIET, f"{model.__name__}: what does {kind} raise?"
            found |= RAISES.get(kind, set())
            found |= {code for (of, limit), code in LIMITS.items() if of == kind and limit in node}
    return found


def test_every_code_that_can_be_raised_has_words() -> None:
    """No code without words, and no words for what cannot happen."""
    assert raisable() == set(WORDS)


def test_the_codes_are_pydantics_own() -> None:
    """The codes named here exist in pydantic-core, those of our own excepted."""
    known = set(get_args(ErrorType))
    assert set(WORDS) - own_codes() <= known
    assert not own_codes() & known


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_key_that_may_not_be_missing_has_an_example(model: type[schema.Table]) -> None:
    """The cure for a missing key shows how to write it, in inner tables as well."""
    for table in (model, *_inner(model)):
        for key, field in table.model_fields.items():
            if field.is_required():
                assert key in EXAMPLES, f"{table.__name__}.{key}"


def _inner(model: type[schema.Table]) -> Iterator[type[schema.Table]]:
    for field in model.model_fields.values():
        for table in schema.inner_tables(field.annotation):
            yield table
            yield from _inner(table)


VALUES: st.SearchStrategy[Any] = st.recursive(
    st.one_of(
        st.text(max_size=5),
        st.integers(-5, 10**9),
        st.booleans(),
        st.sampled_from([Decimal("1.5"), Decimal("nan"), Decimal("-inf"), date(2026, 1, 31)]),
        st.just(datetime(2026, 1, 31, 10)),
        st.sampled_from(["12 g", "12 mm", "2 s", "lid", "ml", "T1 x2", "laid", "\x1b[0m", "a\nb"]),
    ),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["name", "count", "text", "kind", "S1", "nominal", "x"]), inner, max_size=3
    ),
    max_leaves=6,
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(ALL_SORTS), st.data())
def test_whatever_stands_in_an_entry_is_told_in_our_words(
    sort: Sort[Any], data: st.DataObject
) -> None:
    """Any value under any key: one printable sentence a fault, none of it pydantic's."""
    keys = st.sampled_from((*sort.model.model_fields, "unknown"))
    raw = data.draw(st.dictionaries(keys, VALUES, max_size=8))
    problems = Problems()
    entry = read_entry(sort, raw, 1, problems)
    assert (entry.table is None) == bool(problems.faults)
    for fault in problems.faults:
        sentence = fault.sentence()
        assert sentence.isprintable()
        assert sentence.endswith("?" if "did you mean" in fault.cure else ".")
        assert fault.cure
        for phrase in ("Input should", "Field required", "valid", "refused", "permitted"):
            assert phrase not in sentence


def test_a_code_without_words_would_be_noticed() -> None:
    """The tables are functions of key and value: each one gives both halves of a sentence."""
    more = {"wrong": "w", "cure": "c", "ge": 1, "le": 2, "actual_length": 0, "min_length": 1}
    for code, words in WORDS.items():
        wrong, cure = words(Trouble("name", "value", more))
        assert "name" in wrong, code
        assert cure, code
