"""Sheets to fill in line by line: a check of an instrument, and gauges compared in pairs.

What is typed stays text until it is judged; each fault belongs to the line it stands on.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.figures import capital
from toolbox.desk.folder import KitFolder
from toolbox.desk.gauge_pairs import TypedPairs, compare_gauges
from toolbox.desk.instrument_checks import (
    Judged,
    TypedCheck,
    TypedReference,
    check_fact,
    instrument_named,
    judge_typed,
    read_readings,
    read_reference,
    write_of_instruments,
)
from toolbox.desk.instrument_words import UNITS, figure, valued
from toolbox.desk.instruments import kind_of, limits_of
from toolbox.instruments.limits import GaugeLimits, MadeLimits, TorqueLimits
from toolbox.kit.checking import Beside, InstrumentChecked, Trust, Way
from toolbox.kit.facts import Fact
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind
from toolbox.kit.things import Tool

REFERENCE = "the reference"
SHARES = (20, 60, 100)  # per cent of the highest mark, where no standard names points
UP, DOWN = "up", "down"
MEASURED = "measured"
OTHER = "other"
PAIRS = 4

Values = Mapping[str, str]


class SheetLine(NamedTuple):
    """A line to fill in: its key, what it is called, what it takes, what holds if it is empty."""

    key: str
    label: str
    help: str
    usual: str = ""


@dataclass(frozen=True, slots=True)
class Filled:
    """A check as far as it is filled in.

    ``faults`` are those of each line; ``result`` is None while there are any, or while
    nothing can be judged, and then ``refused`` says why.
    """

    faults: Mapping[str, tuple[str, ...]]
    result: Judged | None
    refused: tuple[str, ...]

    @property
    def has_verdict(self) -> bool:
        """Whether it may be written."""
        return self.result is not None and self.result.verdict is not None


def check_sheet(tool: Tool) -> tuple[SheetLine, ...]:
    """The lines of a check: the reference, then the points. DeskError when none can be judged."""
    limits, kind = limits_of(tool), kind_of(tool)
    if limits is None or kind is None:
        raise DeskError(
            f"nothing says how far off {tool.name} may be: give its highest mark and its "
            "accuracy or a tolerance in Kit first, or enter a check made elsewhere"
        )
    unit = UNITS[kind].word
    lines = [
        SheetLine("reference", "Reference", "What it is held against, by name", REFERENCE),
        SheetLine("limit", "Off at most", f'By its class or maker: "1 %" or "0.02 {unit}"'),
        SheetLine("certificate", "or certificate", f'Uncertainty on it: "0.01 {unit}"; not both'),
        SheetLine("coverage", "its factor k", "The coverage factor on the certificate", "2"),
        SheetLine("digit", "its step", f"The smallest step that it shows, in {unit}", "none"),
    ]
    if isinstance(limits, MadeLimits):
        said = f"{limits.gauge.dimension} as measured, in {unit}; several with blanks between"
        lines.append(SheetLine(MEASURED, "Measured", said))
    else:
        lines += _point_lines(limits.readings, proposed(tool), kind, both_ways=_two_ways(tool))
    lines.append(SheetLine("celsius", "Degrees Celsius", "How warm it was, in whole degrees"))
    lines.append(SheetLine("note", "Note", "Anything worth knowing"))
    return tuple(lines)


def _point_lines(
    readings: int, points: tuple[int, ...], kind: Kind, *, both_ways: bool
) -> list[SheetLine]:
    many = f"; {readings} readings" if readings > 1 else ""
    lines = []
    ways = ((UP, points), (DOWN, points[::-1])) if both_ways else ((UP, points),)
    for way, some in ways:
        for point in some:
            said = f"What the reference said there{many}. Shown something else: SHOWN=REFERENCE"
            label = f"{valued(point, kind)} {way}" if both_ways else f"At {valued(point, kind)}"
            lines.append(SheetLine(f"{way}:{point}", label, said))
        said = 'Other points as SHOWN=REFERENCE, with ";" between them'
        label = f"Others {way}" if both_ways else "Other points"
        lines.append(SheetLine(f"{way}:{OTHER}", label, said))
    return lines


def _two_ways(tool: Tool) -> bool:
    return kind_of(tool) is Kind.PRESSURE


def proposed(tool: Tool) -> tuple[int, ...]:
    """Points to read, in whole units: those a standard asks for, else spread over the range."""
    limits, kind = limits_of(tool), kind_of(tool)
    if limits is None or kind is None or isinstance(limits, MadeLimits):
        return ()
    if isinstance(limits, TorqueLimits):
        points = list(limits.required())
    elif isinstance(limits, GaugeLimits):
        many = limits.accuracy.points
        points = [limits.lowest_pa + Fraction(limits.span_pa * n, many) for n in range(1, many + 1)]
    else:
        points = [Fraction(limits.bands[-1][0] * share, 100) for share in SHARES]
    # to what can be read off the line: three decimals of its unit
    fine = Fraction(UNITS[kind].worth, 1000)
    return tuple(dict.fromkeys(int(round(point / fine) * fine) for point in points))


def begun(values: Values) -> bool:
    """Whether any reading stands on a sheet."""
    return any(text.strip() for key, text in values.items() if ":" in key or key == MEASURED)


def reference_before(tool: Tool, facts: Iterable[Fact]) -> dict[str, str]:
    """The reference of an instrument's last check with readings, as it would be typed again.

    It stands on the sheet to be changed: mostly the same one is at hand.
    ``facts`` are those that count. Empty where no check has readings yet.
    """
    kind = kind_of(tool)
    checks = [
        fact
        for fact in facts
        if isinstance(fact.what, InstrumentChecked)
        and fact.what.readings
        and fact.what.tool == tool.id
    ]
    if kind is None or not checks:
        return {}
    last = max(checks, key=lambda fact: (fact.at, fact.clock)).what
    assert isinstance(last, InstrumentChecked)
    return {key: text for key, text in _again(last.beside, kind).items() if text}


def _again(beside: Beside, kind: Kind) -> dict[str, str]:
    parts = [f"{float(beside.percent):g} %"] if beside.percent else []
    parts += [valued(beside.amount, kind)] if beside.amount else []
    off = " + ".join(parts)
    sure = beside.trust is Trust.CERTIFICATE
    return {
        "reference": beside.name,
        "certificate" if sure else "limit": off,
        "coverage": f"{float(beside.coverage):g}" if sure else "",
        "digit": valued(beside.step, kind) if beside.step else "",
    }


def fill_check(tool: Tool, values: Values) -> Filled:
    """What the lines come to: the faults of each, or what can be judged of them."""
    told = {key: text.strip() for key, text in values.items() if text.strip()}
    kind = kind_of(tool)
    if kind is None or limits_of(tool) is None:
        return Filled({}, None, (f"nothing says how far off {tool.name} may be",))
    faults = {key: (words,) for key, words in _faults(tool, kind, told)}
    if faults:
        labels = {line.key: line.label for line in check_sheet(tool)}
        told_all = (f"{labels[key]}: {words}" for key, (words,) in faults.items())
        return Filled(faults, None, tuple(told_all))
    try:
        result = judge_typed(tool, _typed(tool, told))
    except DeskError as error:
        return Filled({}, None, (str(error),))
    return Filled({}, result, result.refused)


def write_check(folder: KitFolder, tool: str, values: Values, when: When) -> str:
    """Judge a filled sheet by the kit as it is, and write it; the id of the entry.

    DeskError with the reasons when it has no verdict: then nothing is written.
    """
    meant = instrument_named(folder.kit, tool)
    filled = fill_check(meant, values)
    if filled.result is None:
        reasons = "; ".join(filled.refused)
        raise DeskError(f"no verdict on {meant.name}: {reasons}. Nothing was written")
    note = values.get("note", "").strip()
    return write_of_instruments(folder, [check_fact(meant, filled.result, note)], when)


def _faults(tool: Tool, kind: Kind, told: Values) -> list[tuple[str, str]]:
    name = told.get("reference", REFERENCE)
    alone: dict[str, Callable[[str], TypedReference]] = {
        "limit": lambda text: TypedReference(name, limit=text),
        "certificate": lambda text: TypedReference(name, certificate=text),
        "coverage": lambda text: TypedReference(name, limit="1 %", coverage=text),
        "digit": lambda text: TypedReference(name, limit="1 %", digit=text),
    }
    found = []
    for key, text in told.items():
        try:
            if key in alone:
                read_reference(kind, alone[key](text))
            elif key == "celsius":
                _celsius(text)
            else:
                for typed, way in _readings(key, text, kind):
                    read_readings(tool, typed, way)
        except DeskError as error:
            found.append((key, str(error)))
    if "limit" in told and "certificate" in told:
        found.append(("certificate", "one of the two, not both: leave this or the line above"))
    return found


def _celsius(text: str) -> int | None:
    if not text:
        return None
    if re.fullmatch(r"[-+]?\d{1,2}", text) is None:
        raise DeskError(f'"{text}" is no temperature: write whole degrees like "21"')
    return int(text)


def _typed(tool: Tool, told: Values) -> TypedCheck:
    kind = kind_of(tool)
    assert kind is not None, "it was looked at before"
    read = [one for key, text in told.items() for one in _readings(key, text, kind)]
    reference = TypedReference(
        told.get("reference", REFERENCE),
        told.get("limit", ""),
        told.get("certificate", ""),
        told.get("coverage", "2"),
        told.get("digit", ""),
    )
    return TypedCheck(
        reference,
        tuple(text for text, way in read if way is Way.RISING),
        tuple(text for text, way in read if way is Way.FALLING),
        _celsius(told.get("celsius", "")),
        told.get("note", ""),
    )


def _readings(key: str, text: str, kind: Kind) -> list[tuple[str, Way]]:
    """The readings on a line, each as `read_readings` takes it; none for other lines."""
    if key == MEASURED:
        return [(":".join(_several(text)), Way.RISING)]
    direction, _, point = key.partition(":")
    if direction not in (UP, DOWN):
        return []
    way = Way.RISING if direction == UP else Way.FALLING
    if point == OTHER:
        return [(one.strip(), way) for one in text.split(";") if one.strip()]
    at = figure(int(point), kind)
    shown, equals, said = text.rpartition("=")
    told = shown.strip() if equals else at
    return [(f"{at}@{told}={':'.join(_several(said))}", way)]


def _several(text: str) -> list[str]:
    """Values with blanks, semicolons or colons between them; a unit stays with its value."""
    return [one.strip() for one in re.split(r"[;:]|\s+(?=[-+.\d])", text) if one.strip()]


# ---- gauges compared in pairs


def pairs_sheet(kit: Kit) -> tuple[SheetLine, ...]:
    """The lines for gauges read two by two at one and the same pressure."""
    pair = 'Two gauges read at once: "digital=1.82:dial=1.80"'
    lines = [SheetLine(f"pair:{n}", f"Pair {n}", pair) for n in range(1, PAIRS + 1)]
    return (
        *lines,
        SheetLine("certified", "Certified", 'One with a certificate and its U: "master=0.01 bar"'),
        SheetLine("step", "Step of one", 'Of a gauge that is not in the kit: "track=0.01 bar"'),
        SheetLine("repeat", "Read again", "How far one gauge strays when read again", "nothing"),
    )


def pairs_words(kit: Kit, values: Values) -> tuple[str, ...]:
    """Who is off, in sentences with their caution last. DeskError says why nobody can tell."""
    told = {key: text.strip() for key, text in values.items() if text.strip()}
    found = compare_gauges(
        kit,
        TypedPairs(
            tuple(text for key, text in told.items() if key.startswith("pair:")),
            tuple(one for one in told.get("step", "").split(";") if one.strip()),
            tuple(one for one in told.get("certified", "").split(";") if one.strip()),
            told.get("repeat", ""),
        ),
    )
    against = "" if found.offsets.certified else " against their mean"
    lines = [
        f"{gauge.name}: {valued(found.offsets.error(gauge.name), found.kind, signed=True)} "
        f"± {valued(found.offsets.expanded(gauge.name), found.kind)}{against}"
        for gauge in found.gauges
    ]
    return (f"{capital(found.apart.words)}.", *lines, found.apart.caution)
