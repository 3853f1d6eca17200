"""How instruments stand, and what their checks found, as data for programs."""

from __future__ import annotations

from typing import Any

from toolbox.desk.instrument_history import Past, Series
from toolbox.desk.instrument_picture import Bar
from toolbox.desk.instruments import Stand, kind_of


def stand_data(one: Stand) -> dict[str, Any]:
    """How an instrument stands."""
    found, kind = one.standing, kind_of(one.tool)
    return {
        "tool": one.tool.id,
        "name": one.tool.name,
        "carried": one.tool.carried,
        "out": one.out,
        "why": list(one.reasons),
        "soon": one.soon,
        "checked": _day(found.checked),
        "good_until": _day(found.good_until),
        "uses": found.uses,
        "uses_left": found.uses_left,
        "halved": found.halved,
        "wind_down": one.unwound,
        "unit": None if kind is None else kind.unit,
    }


def past_data(past: Past) -> dict[str, Any]:
    """A check that was made."""
    said = past.said
    return {
        "at": past.fact.at.isoformat(),
        "author": past.fact.author,
        "verdict": None if said.verdict is None else said.verdict.value,
        "reference": said.beside.name,
        "readings": [
            {"at": r.at, "shown": r.shown, "reference": r.reference, "way": r.way.value}
            for r in said.readings
        ],
        "celsius": said.celsius,
        "note": said.note,
    }


def bar_data(bar: Bar) -> dict[str, Any]:
    """One point of a check against its limits."""
    return {
        "at": bar.at,
        "error": float(bar.mean),
        "worst": float(bar.worst),
        "within": float(bar.expanded),
        "low": None if bar.low is None else float(bar.low),
        "high": None if bar.high is None else float(bar.high),
        "percent": None if bar.percent is None else float(bar.percent),
        "verdict": None if bar.verdict is None else bar.verdict.value,
    }


def series_data(found: Series) -> dict[str, Any]:
    """A value from check to check, its trend, and when it leaves its limits."""
    leaving = found.leaving
    return {
        "at": found.at,
        "values": [
            {"day": v.day.isoformat(), "value": float(v.value), "within": float(v.expanded)}
            for v in found.values
        ],
        "low": float(found.low),
        "high": float(found.high),
        "per_day": None if found.line is None else float(found.line.per_day),
        "significant": None if found.line is None else found.line.significant,
        "good_until": None if leaving is None else _day(leaving.good_until),
        "earliest": None if leaving is None else _day(leaving.earliest),
        "latest": None if leaving is None else _day(leaving.latest),
        "not_known": None if leaving is None else leaving.not_known,
    }


def _day(day: Any) -> str | None:
    return None if day is None else str(day.isoformat())
