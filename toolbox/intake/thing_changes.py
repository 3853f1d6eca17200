"""What a line of a list changes in an entry that the kit has; what it leaves blank stays."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from toolbox.intake.difference import Entry
from toolbox.intake.reading import Sides, Span
from toolbox.intake.thing_rows import SIDES, TEXTS, Row, changes_of
from toolbox.kit.things import KIND_OF, Goods, Mass, Part, Size, Supply, Tool


def changed(row: Row, known: Tool | Supply) -> Entry | None:
    """The kit's entry with what the list says of it; what the list leaves blank stays."""
    _matched(row, known)
    fields: dict[str, Any] = {}
    for key, text in row.texts(TEXTS).items():
        if text and hasattr(known, key):
            fields[key] = text
    if row.line.text("id") and row.line.name:
        fields["name"] = row.line.name
    if (mass := row.mass()) is not None:
        fields["mass"] = _newer_mass(row, known.mass, mass)
    if any(not row.blank(side) for side in ("sides", *SIDES)):
        fields["size"] = _newer_size(row, known)
    if not row.blank("carried"):
        fields["carried"] = bool(row.what("carried", bool))
    if row.goods() is not None:
        fields["goods"] = _newer_goods(row, known)
    if isinstance(known, Tool):
        fields |= _newer_papers(row, known)
        if not row.blank("count"):
            count, travels = row.count()
            fields["count"] = count
            if not travels:
                fields["carried"] = False
    else:
        row.not_of_supplies()
        fields |= _newer_amounts(row, known)
    if row.failed:
        return None
    thing: Tool | Supply = replace(known, **fields)
    return Entry(row.line.number, thing, known, changes_of(known, thing))


def _matched(row: Row, known: Tool | Supply) -> None:
    if not row.line.text("id") and row.line.name != known.name:
        row.findings.note("taken for an entry of the kit", f"{row.line.name}: {known.id}")


def _newer_mass(row: Row, old: Mass | None, new: Mass) -> Mass:
    if old is None or old.grams != new.grams:
        return new
    # the same grams and no word on how they are known say nothing new
    return old._replace(known=new.known) if row.line.text("known") else old


def _newer_size(row: Row, known: Tool | Supply) -> Size | None:
    if row.what("sides", Sides) is not None:
        return row.size(needed=True)
    old = known.size
    spans = [row.what(side, Span) for side in SIDES]
    ones = [span.one if span else (old[n] if old else None) for n, span in enumerate(spans)]
    if any(one is None for one in ones):
        row.refuse("name", "has some of its sides only", "give all three, or none")
        return old
    return Size(*(one or 0 for one in ones))


def _newer_goods(row: Row, known: Tool | Supply) -> Goods | None:
    new, old = row.goods(), known.goods
    return old if new and old and new.kind == old.kind else new


def _newer_papers(row: Row, known: Tool) -> dict[str, Any]:
    """Year, value and parts as the list has them; of a part what it leaves out stays."""
    fields = row.papers()
    old = {part.name: part for part in known.parts}
    if parts := fields.get("parts"):
        fields["parts"] = tuple(_with_old(part, old.get(part.name)) for part in parts)
    return fields


def _with_old(part: Part, old: Part | None) -> Part:
    if old is None:
        return part
    grams = old.grams if part.grams is None else part.grams
    return replace(part, grams=grams, value=part.value or old.value)


def _newer_amounts(row: Row, known: Supply) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    if row.line.text("measure") not in ("", known.measure.value):
        row.refuse("measure", f"is {known.measure.value} in the kit", "leave it as it is")
    for meaning in ("pack", "par"):
        span = row.what(meaning, Span)
        if span is not None and span.kind is not KIND_OF[known.measure]:
            row.refuse(meaning, f"is counted in {known.measure.value} in the kit", "write that")
        elif span is not None:
            fields[meaning] = row.upper(meaning)
    if not row.blank("stock") or not row.blank("count"):
        row.findings.note(
            'the stock of a supply in the kit is said with "toolbox recount", not by a list',
            known.name,
        )
    return fields
