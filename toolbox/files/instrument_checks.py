"""What must hold between the keys that say what an instrument measures and how well."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from toolbox.files.pages import TOOL, Pages
from toolbox.files.problems import Problems, quoted
from toolbox.files.schema import InstrumentTable
from toolbox.kit.quantities import Kind

_ON_DIAL = ("lowest", "step", "tolerance")


def dials_agree_with_themselves(pages: Pages, problems: Problems) -> None:
    """Range, step and tolerance of an instrument are of one kind, and of its class's kind."""
    for entry in pages.all(TOOL):
        if entry.table is not None and entry.table.instrument is not None:
            said = entry.raw.get("instrument")
            raw = said if isinstance(said, dict) else {}
            _check(entry.table.instrument, raw, problems.at(entry.file, entry.label))


def _check(table: InstrumentTable, raw: dict[str, Any], at: Problems) -> None:
    if table.highest is None:
        for key in ("accuracy", *_ON_DIAL, "zero_stop"):
            if key in raw:
                cure = 'say up to where it is marked: highest = "15 N·m"'
                at.add(f"has {key} but no highest", cure, f"instrument.{key}")
        return
    kind, highest = table.highest
    for key in _ON_DIAL:
        value = getattr(table, key)
        if not isinstance(value, tuple):
            continue
        if value[0] is not kind:
            wrong = f"{key} {quoted(raw[key])} is another kind of measure than highest"
            at.add(wrong, f"write both as {_kind(kind)}", f"instrument.{key}")
        elif value[1] >= highest:
            wrong = f"{key} {quoted(raw[key])} is not below highest"
            at.add(wrong, "set one of them right", f"instrument.{key}")
    _check_class(table, kind, at)
    _check_stop(table, at)


def _check_class(table: InstrumentTable, kind: Kind, at: Problems) -> None:
    word, torque = table.accuracy, table.accuracy is not None and table.accuracy.of_torque
    if word is not None and kind is not (Kind.TORQUE if torque else Kind.PRESSURE):
        of = "torque tools" if torque else "pressure gauges"
        cure = "give a tolerance instead, or its range in the right unit"
        at.add(f"accuracy {quoted(word.value)} is one of {of}", cure, "instrument.accuracy")
    if isinstance(table.tolerance, Fraction) and not torque:
        wrong = "has a tolerance in per cent, and only torque tools with an accuracy have one"
        cure = 'write it as a quantity, like "0.05 bar", or give its accuracy'
        at.add(wrong, cure, "instrument.tolerance")
    if isinstance(table.tolerance, tuple) and torque:
        wrong = "has an accuracy of torque tools and a tolerance that is not in per cent"
        at.add(wrong, 'write it like "4 %"', "instrument.tolerance")


def _check_stop(table: InstrumentTable, at: Problems) -> None:
    """A fixed stop at zero takes the class away from the lowest tenth of a gauge's range."""
    if not table.zero_stop:
        return
    if table.accuracy is None or table.accuracy.of_torque:
        wrong = "has a zero_stop, which only means something beside the class of a pressure gauge"
        at.add(wrong, 'give its class, accuracy = "1.6", or take it out', "instrument.zero_stop")
    elif table.lowest is not None:
        wrong = "has a zero_stop and a lowest mark, though its range begins at the stop"
        at.add(wrong, "take one of them out", "instrument.zero_stop")


def _kind(kind: Kind) -> str:
    names = {Kind.TORQUE: "torques", Kind.PRESSURE: "pressures", Kind.FINE: "lengths"}
    return names.get(kind, "masses")
