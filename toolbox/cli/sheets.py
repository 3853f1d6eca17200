"""The command sheets: print sheets of a trip, one for each bag and one of goods."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, today_option
from toolbox.cli.papers import sheets_out
from toolbox.cli.words import clean, count, paragraph, say, say_json
from toolbox.desk.flight_words import cautions
from toolbox.desk.sheet_files import SheetFiles, save_sheets
from toolbox.desk.trips import Flight, open_flight


@click.command()
@click.argument("name", required=False, metavar="[TRIP]")
@sheets_out
@today_option
@kit_option
@json_option
def sheets(
    name: str | None, out: Path, today: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Write a print sheet for each bag and one of its goods, as Markdown and as HTML.

    A file that is not the same sheet of the same trip is never written over.
    """
    folder = kit_folder(kit_path)
    flight = open_flight(folder, name, looked_at(folder, today))
    written = save_sheets(flight, out)
    if as_json:
        _say_json(flight, written)
    else:
        _say(flight, out, written)


def _say(flight: Flight, out: Path, written: SheetFiles) -> None:
    files = count(len(written.files), "file")
    say(paragraph(clean(f"{flight.trip.name}: {files} in {out}, of {flight.today}.")))
    for file in written.files:
        say(f"- {file.path.name}, {file.how.value}")
    for path in written.stale:
        say(paragraph(f"- {path.name} is older: its bag does not fly now. Throw it away."))
    say(paragraph("Open the HTML files in a browser to print them; they need no network."))
    for words in cautions():
        say(paragraph(words))


def _say_json(flight: Flight, written: SheetFiles) -> None:
    say_json(
        {
            "trip": flight.name,
            "made": flight.today.isoformat(),
            "files": [
                {"file": str(file.path), "bag": file.bag or None, "how": file.how.value}
                for file in written.files
            ],
            "stale": [str(path) for path in written.stale],
            "cautions": list(cautions()),
        }
    )
