"""The command report: the kit on paper, as Markdown and as one HTML file."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, today_option
from toolbox.cli.papers import files_json, sheets_out
from toolbox.cli.words import paragraph, say, say_json
from toolbox.desk.report import save_report


@click.command()
@sheets_out
@today_option
@kit_option
@json_option
def report(out: Path, today: str | None, kit_path: Path | None, as_json: bool) -> None:
    """Write the kit on paper: the box, the ranking, the plan with its proof, the lists.

    As Markdown, and as one HTML file that needs no network and prints in black on white. A
    file that is no report of this kit is never written over.
    """
    folder = kit_folder(kit_path)
    of = looked_at(folder, today)
    written = save_report(folder, of, out)
    if as_json:
        say_json({"day": of.isoformat(), "files": files_json(written)})
        return
    for one in written:
        say(f"- {one.path}, {one.how.value}")
    say(paragraph("Open the HTML file in a browser to print it; it needs no network."))
