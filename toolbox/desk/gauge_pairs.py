"""Several gauges compared two by two: which one is off, and how surely.

Two that agree prove little. With a third one, or one that has a certificate, it can be told
which of them drifts; the gauges need not all be in the kit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from toolbox.desk.errors import DeskError, UnclearName, UnknownName
from toolbox.desk.instrument_words import UNITS
from toolbox.desk.instruments import dial_of, instruments
from toolbox.desk.names import Named, match
from toolbox.instruments.drift import (
    Apart,
    Certified,
    Compared,
    DriftError,
    Offsets,
    settle,
    who_is_off,
)
from toolbox.instruments.uncertainty import rounded
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, QuantityError, read
from toolbox.kit.things import Tool

HOW = 'write a pair like "digital=1.82:dial=1.80"'


class Gauged(NamedTuple):
    """A gauge of the comparison: its name, the tool it is (None for one of no kit), its step."""

    name: str
    tool: Tool | None
    step: int


class TypedPairs(NamedTuple):
    """What is typed: pairs of readings at one and the same pressure.

    ``steps`` are the steps of gauges that the kit has none for ("track gauge=0.01 bar"),
    ``certified`` those with a certificate and its U at k = 2, ``repeat`` how far one and
    the same gauge differs when it is read again, as a standard deviation.
    """

    pairs: tuple[str, ...]
    steps: tuple[str, ...] = ()
    certified: tuple[str, ...] = ()
    repeat: str = ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """What the pairs say: how far each gauge is off, and who stands apart."""

    kind: Kind
    gauges: tuple[Gauged, ...]
    offsets: Offsets
    apart: Apart


def compare_gauges(kit: Kit, typed: TypedPairs) -> Comparison:
    """Settle the pairs together. DeskError with every reason why that cannot be done."""
    pairs = [_pair(text) for text in typed.pairs]
    steps = dict(_told(text, "step") for text in typed.steps)
    certified = dict(_told(text, "uncertainty") for text in typed.certified)
    names = dict.fromkeys(name for pair in pairs for name, _ in pair)
    tools = {name: _tool(kit, name) for name in names}
    kind = _kind(list(tools.values()))
    stepped = {name: _step(name, tools[name], steps, kind) for name in names}
    gauges = {name: Gauged(t.name if t else name, t, stepped[name]) for name, t in tools.items()}
    repeat = _value(typed.repeat, kind) if typed.repeat else 0
    compared = [_compared(pair, gauges, kind, repeat) for pair in pairs]
    known = [_certified(kit, name, said, gauges, kind) for name, said in certified.items()]
    try:
        offsets = settle(compared, known)
    except DriftError as error:
        raise DeskError("; ".join(error.reasons)) from error
    by_name = {gauge.name: gauge for gauge in gauges.values()}
    return Comparison(
        kind, tuple(by_name[name] for name in offsets.names), offsets, who_is_off(offsets)
    )


Pair = tuple[tuple[str, str], tuple[str, str]]


def _pair(text: str) -> Pair:
    sides = [side.rpartition("=") for side in text.split(":")]
    if len(sides) != 2 or not all(name.strip() and value for name, _, value in sides):
        raise DeskError(f'"{text}" is no pair of readings: {HOW}')
    (one, _, first), (other, _, second) = sides
    return (one.strip(), first), (other.strip(), second)


def _told(text: str, what: str) -> tuple[str, str]:
    name, equals, value = text.rpartition("=")
    if not equals or not name.strip():
        raise DeskError(f'"{text}" gives no {what}: write it like "track gauge=0.01 bar"')
    return name.strip(), value


def _tool(kit: Kit, letters: str) -> Tool | None:
    """The instrument of the kit that is meant; None for a gauge of somebody else's."""
    found = match(letters, (Named(t.id, t.name) for t in instruments(kit)))
    if found.only is not None:
        return kit.tool(found.only.id)
    if found.found:
        raise UnclearName("instrument", letters, found.found)
    return None


def _kind(tools: Sequence[Tool | None]) -> Kind:
    """What is compared: what the kit's own gauges measure, a pressure where none says."""
    dials = [dial_of(tool) for tool in tools if tool is not None]
    kinds = list(dict.fromkeys(dial.kind for dial in dials if dial is not None))
    if len(kinds) > 1:
        told = " and ".join(kind.value for kind in kinds)
        raise DeskError(f"these do not measure the same: {told}")
    return kinds[0] if kinds else Kind.PRESSURE


def _step(name: str, tool: Tool | None, steps: Mapping[str, str], kind: Kind) -> int:
    if name in steps:
        return _value(steps[name], kind)
    dial = dial_of(tool) if tool is not None else None
    return dial.step if dial is not None and dial.step is not None else 0


def _compared(pair: Pair, gauges: Mapping[str, Gauged], kind: Kind, repeat: int) -> Compared:
    (one, first), (other, second) = pair
    mine, theirs = gauges[one], gauges[other]
    lacking = [gauge.name for gauge in (mine, theirs) if not gauge.step]
    if lacking and not repeat:
        names = " and ".join(dict.fromkeys(lacking))
        raise DeskError(f"say the smallest step of {names}: without it nothing is sure")
    # each is read once to its step, and strays a little when read again
    parts = (rounded(mine.step), rounded(theirs.step), float(repeat), float(repeat))
    difference = _value(first, kind) - _value(second, kind)
    return Compared(mine.name, theirs.name, difference, math.hypot(*parts))


def _certified(
    kit: Kit, letters: str, said: str, gauges: Mapping[str, Gauged], kind: Kind
) -> Certified:
    gauge = gauges.get(letters)
    tool = _tool(kit, letters) if gauge is None else None
    if tool is not None:
        gauge = next((g for g in gauges.values() if g.tool == tool), None)
    if gauge is None:
        near = tuple(Named(name, name) for name in gauges)
        raise UnknownName("gauge of this comparison", letters, near)
    # its certificate tells no error here, so that is taken as nothing
    return Certified(gauge.name, Fraction(0), Fraction(_value(said, kind), 2))


def _value(text: str, kind: Kind) -> int:
    try:
        return read(text.strip(), kind, UNITS[kind].word)
    except QuantityError as error:
        raise DeskError(str(error)) from error
