"""Instruments: how each stands on a day, and which steps of the work use one that is out.

Torque tools, gauges, scales and callipers by their entry in the kit, shop-made gauges by the
dimension that must hold. Uses are counted from the logged steps, events and checks come from
the journal; the rules are those of the instrument engine.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from fractions import Fraction
from typing import NamedTuple

from toolbox.desk.sorted_out import Sorter
from toolbox.instruments.due import (
    Checked,
    Event,
    Happened,
    Reason,
    Standing,
    Unwound,
    Used,
    Why,
    interval_of,
    listed,
    standing,
    wind_down,
)
from toolbox.instruments.limits import (
    GaugeClass,
    GaugeLimits,
    Limits,
    MadeLimits,
    TorqueClass,
    TorqueLimits,
    plain_limits,
)
from toolbox.instruments.verdicts import CAUTION
from toolbox.kit.checking import InstrumentChecked, InstrumentEvent, WoundDown
from toolbox.kit.facts import Fact, LoosePick, StepDone
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind
from toolbox.kit.things import Accuracy, Dial, Instrument, Tool, base_id
from toolbox.kit.work import Pick

__all__ = [
    "CAUTION",
    "Flag",
    "Stand",
    "dial_of",
    "flags",
    "instruments",
    "is_torque_tool",
    "kind_of",
    "limits_of",
    "stands",
    "why_out",
    "winds_down",
]

SOON_DAYS = 14
"""So many days before its check runs out an instrument is told as due soon (no source)."""
SOON_USES = Fraction(2, 100)
"""So small a share of its uses left is told as due soon (no source)."""


@dataclass(frozen=True, slots=True)
class Stand:
    """An instrument and how it stands on a day.

    ``unwound`` is true for an adjustable torque tool that was used and not wound down since;
    ``soon`` says what will run out shortly, "" for nothing or for one that is out already.
    """

    tool: Tool
    standing: Standing
    unwound: bool
    soon: str

    @property
    def out(self) -> bool:
        """True when it is not to be used before a check."""
        return self.standing.out

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why it is out, in sentences without the tool's name."""
        return tuple(_reason_words(self.standing, reason) for reason in self.standing.reasons)

    @property
    def words(self) -> str:
        """How it stands, in one line."""
        if self.out:
            return "; ".join(self.reasons)
        return self.soon or "in date"


class Flag(NamedTuple):
    """An instrument that a step uses and that is out: its id, its name, why."""

    tool: str
    name: str
    why: str


def instruments(kit: Kit) -> tuple[Tool, ...]:
    """The tools that are checked: those with an interval, and shop-made gauges."""
    return tuple(t for t in kit.tools if t.instrument is not None or t.gauge is not None)


def dial_of(tool: Tool) -> Dial | None:
    """What it measures and how well, None where its entry does not say."""
    return tool.instrument.dial if tool.instrument is not None else None


def kind_of(tool: Tool) -> Kind | None:
    """The kind of quantity in which it is checked, None where its entry does not say."""
    dial = dial_of(tool)
    if dial is not None:
        return dial.kind
    return Kind.FINE if tool.gauge is not None else None


def limits_of(tool: Tool) -> Limits | None:
    """How far off it may be: a tolerance of its own, its class, or the limits of a gauge."""
    dial = dial_of(tool)
    if dial is not None and dial.accuracy is not None and dial.accuracy.of_torque:
        kind = TorqueClass(dial.accuracy.value)
        return TorqueLimits(kind, dial.highest, dial.lowest, dial.percent)
    if dial is not None and dial.tolerance is not None:
        return plain_limits(Fraction(dial.tolerance), dial.highest)
    if dial is not None and dial.accuracy is not None:
        accuracy, lowest = _gauge_class(dial.accuracy), dial.lowest or 0
        return GaugeLimits(accuracy, lowest, dial.highest, zero_stop=dial.zero_stop)
    return MadeLimits(tool.gauge) if tool.gauge is not None else None


def _gauge_class(accuracy: Accuracy) -> GaugeClass:
    return GaugeClass(int(Fraction(accuracy.value) * 100))


def is_torque_tool(tool: Tool) -> bool:
    """True for a hand torque tool, as far as its class says so."""
    dial = dial_of(tool)
    return dial is not None and dial.accuracy is not None and dial.accuracy.of_torque


def winds_down(tool: Tool) -> bool:
    """True for a torque tool with a spring that is set, as far as its class says so."""
    dial = dial_of(tool)
    return (
        is_torque_tool(tool)
        and dial is not None
        and dial.accuracy is not None
        and TorqueClass(dial.accuracy.value).has_spring
    )


def stands(kit: Kit, facts: Iterable[Fact], today: date) -> dict[str, Stand]:
    """How every instrument stands on a day, by its id, in the order of the kit.

    ``facts`` are those that count; what lies after that day does not.
    """
    tools = instruments(kit)
    logged = _LOGGED.sorted_out(tuple(facts), frozenset(tool.id for tool in tools))
    return {tool.id: _stand(tool, _in_order(logged.get(tool.id, ())), today) for tool in tools}


def flags(picks: Iterable[Pick], standing: Mapping[str, Stand]) -> tuple[Flag, ...]:
    """The instruments among what a step takes up that are out, each once, and why."""
    taken = dict.fromkeys(base_id(pick.tool) for pick in picks)
    out = [standing[tool] for tool in taken if tool in standing and standing[tool].out]
    return tuple(Flag(one.tool.id, one.tool.name, one.words) for one in out)


def why_out(kit: Kit, facts: Iterable[Fact], today: date) -> dict[str, str]:
    """Why an instrument is out, by its id; those in date are not among them."""
    return {tool: one.words for tool, one in stands(kit, facts, today).items() if one.out}


class _Row(NamedTuple):
    """Something that happened to an instrument; ordered by when, then by the writing.

    By the moment, not by the day of the place: who flies across the date line may drop on
    the day before what was checked hours ago.
    """

    at: datetime
    clock: int
    happened: Happened


def _logged(facts: Iterable[Fact], tools: frozenset[str]) -> Iterator[tuple[str, _Row]]:
    """What the journal says happened to each of the tools, in one pass."""
    for fact in facts:
        what = fact.what
        if isinstance(what, StepDone):
            for pick in what.picks:
                if (tool := base_id(pick.tool)) in tools and pick.times:
                    yield tool, _Row(fact.at, fact.clock, Used(fact.at.date(), pick.times))
        elif isinstance(what, _SAID) and (tool := base_id(what.tool)) in tools:
            happened = _happened(what, fact.at.date())
            if happened is not None:
                yield tool, _Row(fact.at, fact.clock, happened)


_LOGGED = Sorter(_logged)


def _in_order(rows: Iterable[_Row]) -> list[_Row]:
    # sorting keeps the order of the journal for what was written at one moment
    return sorted(rows, key=lambda row: (row.at, row.clock))


def _happened(what: _Said, day: date) -> Happened | None:
    """What a fact says of an instrument; None for a check without a verdict."""
    match what:
        case LoosePick():
            return Used(day, what.times)
        case InstrumentChecked():
            return None if what.verdict is None else Checked(day, what.verdict)
        case InstrumentEvent():
            return Event(day, what.kind)
        case WoundDown():
            return Unwound(day)


_Said = LoosePick | InstrumentChecked | InstrumentEvent | WoundDown
_SAID = (LoosePick, InstrumentChecked, InstrumentEvent, WoundDown)


def _stand(tool: Tool, rows: list[_Row], today: date) -> Stand:
    logged = [row.happened for row in rows]
    entry = tool.instrument or Instrument(None, None, None)
    interval = interval_of(entry, is_torque_tool(tool))
    found = standing(interval, _with_entry(entry, logged), today)
    if tool.instrument is None:
        # nobody set an interval for this gauge: not being checked yet is no fault
        kept = tuple(reason for reason in found.reasons if reason.why is not Why.NEVER)
        found = replace(found, reasons=kept)
    if entry.last_check is not None and entry.last_check > today:
        words = ahead_words(entry.last_check)
        found = replace(
            found,
            reasons=tuple(
                r._replace(words=words) if r.why is Why.NEVER else r for r in found.reasons
            ),
        )
    unwound = winds_down(tool) and wind_down(logged, today)
    return Stand(tool, found, unwound, "" if found.out else _soon(found, today))


def ahead_words(day: date) -> str:
    """A check that an entry says was made on a day still to come: it does not count."""
    return f"last checked in the future ({day}): check the date"


def _with_entry(entry: Instrument, logged: list[Happened]) -> list[Happened]:
    """What the kit's entry says put among what was logged: its check closes its day.

    So uses of that very day count as before it, as they may well have been; a drop or the
    like counts as after it, for nobody shall trust a dropped tool by mistake. A check of
    that day that stands in the journal is the same one, told better there.
    """
    told = listed(entry)
    if entry.last_check is None:
        return [*told, *logged]
    last = entry.last_check
    until = [n for n, one in enumerate(logged) if one.day is not None and one.day <= last]
    if any(isinstance(logged[n], Checked) and logged[n].day == last for n in until):
        uses = [one for one in told if not isinstance(one, Checked)]
        return [*logged[: until[-1] + 1], *uses, *logged[until[-1] + 1 :]]
    before = {n for n in until if not (isinstance(logged[n], Event) and logged[n].day == last)}
    after = [one for n, one in enumerate(logged) if n not in before]
    return [*(logged[n] for n in sorted(before)), *told, *after]


def _reason_words(found: Standing, reason: Reason) -> str:
    halved = " (its interval is halved after a check that failed)" if found.halved else ""
    match reason.why:
        case Why.NEVER:
            return f"{reason.words}; do not trust it before a check"
        case Why.DAY:
            return f"check was due {found.good_until}{halved}; do not trust it before a check"
        case Why.USES:
            most = found.interval.uses
            return f"used {found.uses} times since its check, at most {most} allowed{halved}"
        case Why.FAILED:
            return f"{reason.words}; have it set right and check it again"
        case Why.EVENT:
            return reason.words


def _soon(found: Standing, today: date) -> str:
    told = []
    if found.good_until is not None and (found.good_until - today).days <= SOON_DAYS:
        told.append(f"check due {found.good_until}")
    most = found.interval.uses
    if most is not None and found.uses_left is not None and found.uses_left <= most * SOON_USES:
        told.append(f"{found.uses_left} of {most} uses left")
    return ", ".join(told)
