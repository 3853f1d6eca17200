"""A list that was read and what it would change, as text and as data for programs."""

from __future__ import annotations

from typing import Any

from toolbox.cli.words import clean, count, grams, hang, paragraph, say, table
from toolbox.desk.intake import Intake
from toolbox.desk.intake_view import entry_words
from toolbox.intake.difference import Difference, Entry, State
from toolbox.intake.reading import Line
from toolbox.kit.things import Supply, Tool

_MOST_SHOWN = 40


def say_intake(taken: Intake) -> None:
    """The columns, what is new and changed, notes, then what is asked and refused."""
    reading, difference = taken.reading, taken.difference
    _say_new(difference)
    if reading.columns:
        say()
        rows = [(clean(c.header), clean(c.meaning), clean(c.how)) for c in reading.columns]
        say(table(("Column", "read as", "how"), rows))
        say()
    changed = difference.of(State.CHANGED)
    for entry in changed[:_MOST_SHOWN]:
        say_entry(entry)
    if len(changed) > _MOST_SHOWN:
        say(f"... and {len(changed) - _MOST_SHOWN} changed entries more; --json names all.")
    if difference.missing:
        named = ", ".join(difference.missing[:12])
        more = len(difference.missing) - 12
        rest = f" and {more} more" if more > 0 else ""
        say(paragraph(clean(f"In the kit and not in the list, left alone: {named}{rest}.")))
    for note in difference.notes:
        say(paragraph(clean(note), "  "))
    for question in difference.questions:
        lines = ", ".join(map(str, question.lines[:12]))
        where = f"line {lines}: " if lines else ""
        hang("? ", clean(f"{where}{question.sentence()}"))
        hang("  ", clean(f'answer with: --answer "{question.id}=..."'))
    for refusal in difference.refusals:
        say("- " + clean(refusal.sentence()))


def say_entry(entry: Entry) -> None:
    """One entry with each key that would change."""
    thing = entry.known or entry.thing
    say(clean(f"line {entry.line}: {thing.name} ({entry.id}), {entry.state.value}"))
    if entry.known is None:
        hang("    ", clean(entry_words(thing)))
    for change in entry.changes:
        hang("    ", clean(f"{change.key}: {change.old or 'nothing'} -> {change.new or 'nothing'}"))


def _say_new(difference: Difference) -> None:
    read = [
        count(len(difference.tools), "tool"),
        count(len(difference.supplies), "supply", "supplies"),
        count(len(difference.jobs), "job"),
    ]
    changed, alike = (len(difference.of(s)) for s in (State.CHANGED, State.SAME))
    say(
        paragraph(
            f"New: {', '.join(read)}. In the kit already: {changed} changed, {alike} the same; "
            f"{count(len(difference.missing), 'entry', 'entries')} of the kit not in the list."
        )
    )
    copies = [tool.mass.grams for tool in difference.tools if tool.carried for _ in tool.copies()]
    packs = [s.mass.grams for s in difference.supplies if s.carried and s.mass is not None]
    if copies or packs:
        mass = grams(sum(copies) + sum(packs))
        say(f"Of the new ones {len(copies) + len(packs)} travel in the box, {mass} together.")


def intake_data(taken: Intake, stored: list[str]) -> dict[str, Any]:
    """The whole reading and the difference."""
    reading, difference = taken.reading, taken.difference
    return {
        "stored": stored,
        "kind": reading.kind.value,
        "header_line": reading.header_line,
        "columns": [
            {"header": c.header, "meaning": c.meaning, "unit": c.unit, "how": c.how}
            for c in reading.columns
        ],
        "lines": [_line(line) for line in reading.lines],
        "new": [_new(entry) for entry in difference.of(State.NEW)],
        "changed": [_changed(entry) for entry in difference.of(State.CHANGED)],
        "same": [entry.id for entry in difference.of(State.SAME)],
        "missing": list(difference.missing),
        "questions": [
            {
                "id": q.id,
                "asked": q.asked,
                "choices": list(q.choices),
                "free": q.free,
                "lines": list(q.lines),
            }
            for q in difference.questions
        ],
        "refusals": [
            {"line": r.line, "column": r.column, "cell": r.cell, "reason": r.reason, "cure": r.cure}
            for r in difference.refusals
        ],
        "notes": list(difference.notes),
        "answers": dict(reading.answers.said),
    }


def _line(line: Line) -> dict[str, Any]:
    values = {
        meaning: {"cell": value.cell, "read": value.words(), "rests_on": value.rests_on}
        for meaning, value in line.values.items()
    }
    return {
        "line": line.number,
        "cells": list(line.cells),
        "values": values,
        "group": line.group,
        "asks": list(line.asks),
        "refused": line.failed,
    }


def _new(entry: Entry) -> dict[str, Any]:
    thing = entry.thing
    data: dict[str, Any] = {"line": entry.line, "id": thing.id, "name": thing.name}
    if isinstance(thing, Tool | Supply):
        data["sort"] = "tool" if isinstance(thing, Tool) else "supply"
        data["mass_g"] = thing.mass.grams if thing.mass else None
        data["carried"] = thing.carried
    else:
        data |= {"sort": "job", "steps": len(thing.steps)}
    return data


def _changed(entry: Entry) -> dict[str, Any]:
    changes = [{"key": c.key, "old": c.old, "new": c.new} for c in entry.changes]
    return {"line": entry.line, "id": entry.id, "name": entry.thing.name, "changes": changes}
