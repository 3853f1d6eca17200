"""The command labels: sheets of labels for tools, supplies and compartments."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import json_option, kit_folder, kit_option
from toolbox.cli.draw_sheets import format_option, paper_option
from toolbox.cli.papers import files_json, say_files, sheets_out
from toolbox.cli.words import clean, count, paragraph, say, say_json
from toolbox.desk.drawn_files import pdf_wanted, save_drawings
from toolbox.desk.labels import How, Of, grid_named, label_sheet, labels_of
from toolbox.kit.paper import Paper

PRINT = "Print at 100 %, first on plain paper, and hold it against a sheet of labels."


@click.command()
@click.argument("of", type=click.Choice([of.value for of in Of]))
@click.argument("names", nargs=-1, metavar="[NAME]...")
@sheets_out
@click.option(
    "--grid",
    "grid_name",
    default="3x8",
    show_default=True,
    help="Columns x rows of the sheet, edge to edge, or the id of a [[grid]] in labels.toml.",
)
@click.option(
    "--first",
    type=click.IntRange(min=1),
    default=1,
    show_default=True,
    help="The label to begin with on the first sheet, counted row by row.",
)
@click.option("--qr", is_flag=True, help="Put the code on each label as a QR symbol too.")
@click.option("--edges", is_flag=True, help="Draw the edges of the labels, to cut plain paper.")
@click.option("--line", default="", help="A line of your own on every label.")
@format_option
@paper_option
@kit_option
@json_option
def labels(
    of: str,
    names: tuple[str, ...],
    out: Path,
    grid_name: str,
    first: int,
    qr: bool,
    edges: bool,
    line: str,
    kind: str,
    paper: str,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Write labels with name and id; their codes are read back by Find, Log and commands.

    Without NAMES for all. Each copy of a tool has a label and a code of its own.
    """
    if kind == "pdf":
        pdf_wanted()
    folder = kit_folder(kit_path)
    what = Of(of)
    grid = grid_named(folder.path, grid_name, Paper(paper))
    found = labels_of(folder.kit, what, names, clean(line))
    sheet = label_sheet(folder.kit, what, found, grid, How(first, qr, edges))
    written = save_drawings(out, (sheet,), pdf=kind == "pdf")
    if as_json:
        shown = [{"name": one.name, "id": one.id, "code": one.code} for one in found]
        said = {"grid": grid.name, "paper": grid.paper.value, "sheets": len(sheet.pages)}
        say_json({"labels": shown, **said, "files": files_json(written)})
        return
    many, pages = count(len(found), "label"), count(len(sheet.pages), "sheet")
    say(paragraph(f"{many} on {pages}, {grid.name} on {grid.paper.value}, in {out}."))
    say_files(written)
    say(paragraph(PRINT))
