"""The command preflight: what is left to do before a flight, ticked off line by line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from toolbox.cli.checklists import BOXES, line_options
from toolbox.cli.common import (
    author,
    json_option,
    kit_folder,
    kit_option,
    looked_at,
    meant,
    now,
    today_option,
)
from toolbox.cli.words import clean, count, hang, paragraph, say, say_json
from toolbox.desk.checklist import (
    Checklist,
    Line,
    carried_over,
    counted,
    line_named,
    noted,
    ticked,
    unticked,
    write_said,
)
from toolbox.desk.diary import When
from toolbox.desk.flight_words import cautions
from toolbox.desk.names import Named
from toolbox.desk.preflight import days_left, preflight
from toolbox.desk.trips import Flight, open_flight
from toolbox.kit.facts import LineSaid, LineState


@click.command("preflight")
@click.argument("name", required=False, metavar="[TRIP]")
@line_options
@click.option("--by", metavar="NAME", help="Who. Default: TOOLBOX_AUTHOR or login.")
@today_option
@kit_option
@json_option
def preflight_list(
    name: str | None,
    ticks: tuple[str, ...],
    unticks: tuple[str, ...],
    carries: tuple[str, ...],
    counts: tuple[tuple[str, int], ...],
    notes: tuple[tuple[str, str], ...],
    by: str | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """List what is left to do before the flight, and tick it off.

    LINE is its number in the list, its key, or a few letters of its words. A tick is an
    entry of the log: "toolbox undo" takes it back.
    """
    folder = kit_folder(kit_path)
    flight = open_flight(folder, name, looked_at(folder, today))
    listed = preflight(flight)

    def key(letters: str) -> str:
        return meant(lambda _, typed: _named(listed, typed), flight.kit, letters)

    said = [
        *(ticked(listed, key(letters)) for letters in ticks),
        *(unticked(listed, key(letters)) for letters in unticks),
        *(carried_over(listed, key(letters)) for letters in carries),
        *(counted(listed, key(letters), number) for letters, number in counts),
        *(noted(listed, key(letters), clean(text)) for letters, text in notes),
    ]
    entry = _written(flight, said, by)
    if entry:
        flight = open_flight(kit_folder(folder.path), flight.name, flight.today)
        listed = preflight(flight)
    show: Callable[[Flight, Checklist, str], None] = _say_json if as_json else _say
    show(flight, listed, entry)


def _named(listed: Checklist, letters: str) -> Named:
    line = line_named(listed, letters)
    return Named(line.key, line.words)


def _written(flight: Flight, said: list[LineSaid], by: str | None) -> str:
    if not said:
        return ""
    moment = now()
    return write_said(flight.folder, said, When(moment, moment, author(by)))


def _say(flight: Flight, listed: Checklist, entry: str) -> None:
    carried = listed.count(LineState.CARRIED)
    more = f", {carried} carried over" if carried else ""
    done = f"{listed.count(LineState.DONE)} of {count(len(listed.lines), 'line')} done{more}"
    say(paragraph(clean(f"{flight.trip.name}, before the flight: {done}.")))
    say()
    before = ""
    for number, line in enumerate(listed.lines, 1):
        before = _say_line(number, line, before)
    if entry:
        say()
        say(f'take it back with "toolbox undo {entry[:8]}"')
    say()
    say(f"By {clean(flight.rules.name)} of {flight.rules.dated}.")
    for words in cautions():
        say(paragraph(words))


def _say_line(number: int, line: Line, before: str) -> str:
    """Print a line with its reason, unless that stood there just ``before``; the reason."""
    pieces = f" ({line.counted} of {line.pieces})" if (line.pieces or 0) > 1 else ""
    hang(f"{BOXES[line.state]} {number:2}  ", f"{line.words}{pieces}")
    why = f"{line.why} [{line.source}]"
    if not line.done and why != before:
        hang(" " * 8, why)
    if line.note:
        hang(" " * 8, f"note: {line.note} ({line.author})")
    return before if line.done else why


def _say_json(flight: Flight, listed: Checklist, entry: str) -> None:
    say_json(
        {
            "trip": flight.name,
            "name": flight.trip.name,
            "days_left": days_left(flight.trip, flight.today),
            "done": listed.count(LineState.DONE),
            "open": listed.count(LineState.OPEN),
            "carried_over": listed.count(LineState.CARRIED),
            "lines": [_line(number, line) for number, line in enumerate(listed.lines, 1)],
            "entry": entry or None,
            "cautions": list(cautions()),
        }
    )


def _line(number: int, line: Line) -> dict[str, Any]:
    return {
        "number": number,
        "key": line.key,
        "words": line.words,
        "why": line.why,
        "source": line.source,
        "pieces": line.pieces,
        "counted": line.counted,
        "state": line.state.value,
        "by_itself": bool(line.by_itself),
        "note": line.note,
        "author": line.author,
        "at": line.at.isoformat() if line.at is not None else None,
    }
