"""An instrument checked beside a reference: readings as they are typed, judged, written down.

Nothing is written without a verdict, and every verdict says that a check here replaces no
accredited calibration.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.instrument_words import UNITS
from toolbox.desk.instruments import dial_of, instruments, kind_of, limits_of, winds_down
from toolbox.desk.naming import tool_named
from toolbox.instruments.check import Check, Result, judge
from toolbox.instruments.limits import MadeLimits, TorqueLimits
from toolbox.journal.store import open_journal
from toolbox.kit.checking import (
    Beside,
    EventKind,
    InstrumentChecked,
    InstrumentEvent,
    Reading,
    SaidOfInstrument,
    Trust,
    Verdict,
    Way,
    WoundDown,
)
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, QuantityError, read
from toolbox.kit.things import Tool

Judged = Result  # what a check found, for those who show it
HOW = 'write it like "5=5.05", or "5=5.05:5.04:5.06" for several readings of one point'


class TypedReference(NamedTuple):
    """The reference as it is typed: its name, and how far it may be off.

    ``limit`` is the most it may be off ("1 %", "0.02 bar", "0.5 % + 0.01 bar"),
    ``certificate`` the expanded uncertainty of its certificate with its ``coverage`` factor;
    ``digit`` the smallest step of its display. One of the first two must be given.
    """

    name: str
    limit: str = ""
    certificate: str = ""
    coverage: str = "2"
    digit: str = ""


@dataclass(frozen=True, slots=True)
class TypedCheck:
    """All that is typed of a check; readings as ``HOW`` says, those going down by themselves."""

    reference: TypedReference
    readings: tuple[str, ...]
    falling: tuple[str, ...] = ()
    celsius: int | None = None
    note: str = ""


def instrument_named(kit: Kit, letters: str) -> Tool:
    """The instrument meant; DeskError for a tool that is none, or a name that is unclear."""
    tool = tool_named(kit, letters)
    if tool not in instruments(kit):
        raise DeskError(
            f"{tool.name} is no instrument: give it an interval with "
            f'"toolbox edit tool {tool.id} instrument.every_months=12"'
        )
    return tool


def judge_typed(tool: Tool, typed: TypedCheck) -> Result:
    """The verdict on what was typed, or a result that says why there is none.

    DeskError for what cannot be read, and where nothing says how far off the tool may be.
    """
    limits, kind = limits_of(tool), kind_of(tool)
    if limits is None or kind is None:
        raise DeskError(
            f"nothing says how far off {tool.name} may be: give its highest mark and its "
            f'accuracy or a tolerance with "toolbox edit tool {tool.id} '
            'instrument.highest=... instrument.tolerance=..."'
        )
    rising = [r for text in typed.readings for r in read_readings(tool, text, Way.RISING)]
    falling = [r for text in typed.falling for r in read_readings(tool, text, Way.FALLING)]
    reference = read_reference(kind, typed.reference)
    dial = dial_of(tool)
    step = dial.step if dial is not None and dial.step is not None else 0
    return judge(Check(limits, (*rising, *falling), reference, step, typed.celsius))


def read_readings(tool: Tool, text: str, way: Way) -> tuple[Reading, ...]:
    """Readings of one point: "SHOWN=REFERENCE", more of the reference after colons.

    The point meant is what a torque tool was set to or made to show, else what the
    reference said; "POINT@SHOWN=REFERENCE" says another. A shop-made gauge needs only what
    was measured. Numbers without a unit are in the usual one. DeskError for anything else.
    """
    kind, limits = kind_of(tool), limits_of(tool)
    if kind is None:
        raise DeskError(f"nothing says what {tool.name} measures")
    point, _, rest = text.rpartition("@")
    shown, equals, said = rest.rpartition("=")
    if not equals and not isinstance(limits, MadeLimits):
        raise DeskError(f'"{text}" is no reading: {HOW}')
    true = [_value(one, kind) for one in said.split(":")]
    if isinstance(limits, MadeLimits) and not shown:
        nominal = limits.gauge.nominal_um
        return tuple(Reading(nominal, nominal, one, way) for one in true)
    set_to = _value(shown, kind)
    at = _value(point, kind) if point else set_to if isinstance(limits, TorqueLimits) else true[0]
    return tuple(Reading(at, set_to, one, way) for one in true)


def read_reference(kind: Kind, typed: TypedReference) -> Beside:
    """The reference out of what was typed of it; DeskError says what is missing or wrong."""
    if bool(typed.limit) == bool(typed.certificate):
        raise DeskError(
            f"say how far {typed.name} may be off: the most it may be off, or the uncertainty "
            "on its certificate, and not both"
        )
    trust = Trust.CERTIFICATE if typed.certificate else Trust.LIMITS
    amount, percent = _off(typed.certificate or typed.limit, kind)
    digit = _value(typed.digit, kind) if typed.digit else 0
    found = re.fullmatch(r"\d(?:[.,]\d{1,3})?", typed.coverage)
    coverage = Fraction(typed.coverage.replace(",", ".")) if found else Fraction(0)
    if coverage < 1:
        raise DeskError(f'"{typed.coverage}" is no coverage factor; certificates mostly have 2')
    return Beside(typed.name, trust, amount, percent, digit, coverage)


def _off(text: str, kind: Kind) -> tuple[int, Fraction]:
    """An amount and per cent, out of "1 %", "0.02 bar" or both with a plus between."""
    amount, percent = 0, Fraction(0)
    for part in text.split("+"):
        found = re.fullmatch(r"(\d{1,2}(?:[.,]\d{1,4})?) ?%", part.strip())
        if found is not None:
            percent += Fraction(found[1].replace(",", "."))
        else:
            amount += _value(part, kind)
    return amount, percent


def _value(text: str, kind: Kind) -> int:
    try:
        return read(text.strip(), kind, UNITS[kind].word)
    except QuantityError as error:
        raise DeskError(str(error)) from error


def check_fact(tool: Tool, result: Result, note: str = "") -> InstrumentChecked:
    """A check as the journal keeps it. DeskError with the reasons when it has no verdict."""
    if result.verdict is None:
        reasons = "; ".join(result.refused)
        raise DeskError(f"no verdict on {tool.name}: {reasons}. Nothing was written")
    check = result.check
    return InstrumentChecked(
        tool.id, result.verdict, check.reference, check.readings, check.celsius, note
    )


def made_elsewhere(tool: Tool, by: str, verdict: Verdict, note: str = "") -> InstrumentChecked:
    """A check that somebody else made, a checking house say, with what it found."""
    if not by.strip():
        raise DeskError("say who checked it")
    return InstrumentChecked(tool.id, verdict, Beside(by, Trust.CERTIFICATE), note=note)


def event(tool: Tool, kind: EventKind, note: str = "") -> InstrumentEvent:
    """Something that asks for a check now."""
    return InstrumentEvent(tool.id, kind, note)


def wound_down(tool: Tool) -> WoundDown:
    """That a torque tool was set to its lowest mark; DeskError for one that is not set at all."""
    if not winds_down(tool):
        raise DeskError(
            f"{tool.name} has no spring to wind down, as far as its accuracy says; "
            "nothing was written"
        )
    return WoundDown(tool.id)


def write_of_instruments(folder: KitFolder, said: Sequence[SaidOfInstrument], when: When) -> str:
    """Write what happened to instruments as one entry; the id to take it back by."""
    with open_journal(folder.journal) as journal:
        return journal.add(said, at=when.at, author=when.author, written=when.written)
