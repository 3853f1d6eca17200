"""The command report: the kit on paper, as Markdown and as one HTML file."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, today_option
from toolbox.cli.words import paragraph, say, say_json
from toolbox.desk.report import save_report


@click.command()
@click.option(
    "--out",
    "out",
    required=True,
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="The folder to write into; it is made if it is not there.",
)
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
        files = [{"file": str(one.path), "how": one.how.value} for one in written]
        say_json({"day": of.isoformat(), "files": files})
        return
    for one in written:
        say(f"- {one.path}, {one.how.value}")
    say(paragraph("Open the HTML file in a browser to print it; it needs no network."))
