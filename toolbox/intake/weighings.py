"""Lines of a list of weighings: masses read off a scale, for things that the kit knows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from toolbox.files.problems import nearest, quoted
from toolbox.intake.difference import Entry
from toolbox.intake.match import Matcher, Waits
from toolbox.intake.names import fold
from toolbox.intake.reading import Day, Findings, Line, Reading, Span
from toolbox.intake.thing_rows import changes_of
from toolbox.kit.kit import Kit
from toolbox.kit.things import Known, Mass, Supply, Tool


def weighed_of(reading: Reading, kit: Kit, findings: Findings) -> list[Entry]:
    """Every settled line as a weighed mass; of several for one thing the latest day holds."""
    lines = [line for line in reading.lines if line.settled]
    things: tuple[Tool | Supply, ...] = (*kit.tools, *kit.supplies)
    latest = _latest(lines, findings)
    matcher: Matcher[Tool | Supply] = Matcher(things, latest, findings)
    entries = []
    for line in latest:
        try:
            known = matcher.find(line)
        except Waits:
            continue
        span = line.what("reading", Span)
        if known is None:
            named = line.text("id") or line.name
            near = nearest(fold(named), [fold(thing.name) for thing in things])
            cure = f"did you mean {quoted(near)}" if near else "take it in as a tool first"
            findings.refuse_cell(reading, line, "name", f"{quoted(named)} is not in the kit", cure)
        elif span is None or span.one is None:
            findings.refuse_cell(
                reading, line, "reading", "has no reading", "write what it weighed"
            )
        elif span.about:
            findings.refuse_cell(reading, line, "reading", "is no exact reading", "weigh it again")
        else:
            entries.append(_entry(line, known, span.one))
    return entries


def _entry(line: Line, known: Tool | Supply, grams: int) -> Entry:
    step = line.what("step", Span)
    step_mg = step.one if step is not None else None
    old = known.mass
    mass = Mass(grams, Known.WEIGHED, step_mg)
    if old is not None and (old.grams, old.known) == (grams, Known.WEIGHED) and step_mg is None:
        mass = old
    thing = replace(known, mass=mass)
    return Entry(line.number, thing, known, changes_of(known, thing))


def _latest(lines: list[Line], findings: Findings) -> list[Line]:
    """One line for each thing: that of the latest day; two readings of one day are asked about."""
    by_name: dict[str, list[Line]] = {}
    for line in lines:
        by_name.setdefault(line.text("id") or fold(line.name), []).append(line)
    kept = []
    for several in by_name.values():
        last = max(map(_day, several))
        latest = [line for line in several if _day(line) == last]
        readings = dict.fromkeys(
            line.values["reading"].words() for line in latest if "reading" in line.values
        )
        chosen = latest[-1]
        if len(readings) > 1:
            told = findings.ask(
                f"weighed {chosen.name}",
                f"{quoted(chosen.name)} was weighed more than once on its last day, in lines "
                f"{', '.join(str(line.number) for line in latest)}: which reading holds?",
                tuple(readings),
                chosen.number,
            )
            if not told:
                continue
            chosen = next(line for line in latest if _reading_of(line) == told)
        if len(several) > 1:
            findings.note("of several weighings the latest holds", chosen.name)
        kept.append(chosen)
    return kept


def _day(line: Line) -> date:
    told = line.what("day", Day)
    return told.day or date.min if told is not None else date.min


def _reading_of(line: Line) -> str:
    value = line.values.get("reading")
    return value.words() if value is not None else ""
