"""The command draw: maps of the box, foam inlays and the lid sheet, one to one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from toolbox.cli.common import day, json_option, kit_folder, kit_option, meant, today_option
from toolbox.cli.maps import plan_option, shown_layout
from toolbox.cli.papers import files_json, say_files, sheets_out
from toolbox.cli.words import clean, count, paragraph, say, say_json
from toolbox.desk.diary import read_typed
from toolbox.desk.draw_box import Foam, foam_sheets, how_it_lies, map_sheets
from toolbox.desk.drawn_files import pdf_wanted, save_drawings
from toolbox.desk.folder import name_of_copy
from toolbox.desk.lid_sheet import LIFT, lid_of, lid_sheet, lid_texts
from toolbox.desk.maps import not_placed
from toolbox.desk.naming import compartment_named
from toolbox.desk.own_files import Written
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.kit.paper import Paper
from toolbox.kit.quantities import Kind

WHOLE = "Print PDF files at 100 %, and measure the bar of 100 mm before you go by them."
KNIFE = (
    "Cut foam away from your hands, with a fresh blade, in several passes; the drawings say "
    "what else to mind."
)

paper_option = click.option(
    "--paper",
    type=click.Choice([paper.value for paper in Paper]),
    default=Paper.A4.value,
    show_default=True,
    help="The paper of a PDF, of the lid sheet and of labels.",
)
format_option = click.option(
    "--format",
    "kind",
    type=click.Choice(["svg", "pdf"]),
    default="svg",
    show_default=True,
    help="SVG, or PDF (needs the extra print) that any printer prints at its true size.",
)
# Which of the options below mean something for which drawing.
ONLY = {"clearance": "foam", "finger": "foam", "corner": "foam", "ask": "lid", "today": "lid"}


@click.command()
@click.argument("what", type=click.Choice(["map", "foam", "lid"]))
@click.argument("compartments", nargs=-1, metavar="[COMPARTMENT]...")
@sheets_out
@format_option
@paper_option
@plan_option
@click.option("--clearance", help='foam: room around each thing, like "1.5 mm". Default: 1 mm.')
@click.option("--finger", help="foam: diameter of the places for a finger. Default: 25 mm; 0 mm.")
@click.option(
    "--corner",
    help="foam: radius of the cut-outs' corners, as far as the things still fit. Default: 0 mm.",
)
@click.option("--ask", help="lid: who to ask, with a telephone number. Default: a line to write.")
@today_option
@kit_option
@json_option
@click.pass_context
def draw(
    ctx: click.Context,
    what: str,
    compartments: tuple[str, ...],
    out: Path,
    kind: str,
    paper: str,
    planned: bool,
    clearance: str | None,
    finger: str | None,
    corner: str | None,
    ask: str | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Draw the box one to one: maps of its layers, foam inlays to cut, or a sheet for its lid.

    With COMPARTMENTS only what holds them. A file that is not the same sheet is never
    written over.
    """
    _only_what_is_meant(ctx, what, compartments)
    folder = kit_folder(kit_path)
    kit, pdf = folder.kit, kind == "pdf"
    if pdf:
        pdf_wanted()
    layout = shown_layout(folder, planned)
    wanted = tuple(meant(compartment_named, kit, letters) for letters in compartments)
    sheet_of = Paper(paper)
    if what == "lid":
        lid = lid_of(kit, layout, clean(ask or ""), day(today))
        texts = lid_texts(lid, out)
        written = save_drawings(out, (lid_sheet(lid, sheet_of),), pdf=pdf, more=texts)
        sums = {"things": lid.things, "total_g": lid.total_g}
        _tell(what, kit, layout, out, written, (LIFT,), as_json, sums)
        return
    on = sheet_of if pdf else None
    if what == "map":
        sheets = map_sheets(kit, layout, wanted, on)
        cautions: tuple[str, ...] = (WHOLE,)
        more = {"without_place": list(not_placed(kit, layout))}
    else:
        sheets = foam_sheets(kit, layout, wanted, _foam(clearance, finger, corner), on)
        cautions, more = (WHOLE, KNIFE), {}
    written = save_drawings(out, sheets, pdf=pdf)
    _tell(what, kit, layout, out, written, cautions, as_json, more)


def _only_what_is_meant(ctx: click.Context, what: str, compartments: tuple[str, ...]) -> None:
    for name, belongs in ONLY.items():
        if ctx.params[name] is not None and what != belongs:
            raise click.UsageError(f"--{name} is for draw {belongs} alone")
    if what == "lid" and compartments:
        raise click.UsageError("the lid sheet is of the whole box: name no compartment")


def _foam(clearance: str | None, finger: str | None, corner: str | None) -> Foam:
    typed = {"clearance": clearance, "finger": finger, "corner": corner}
    return Foam(**{k: read_typed(v, Kind.LENGTH) for k, v in typed.items() if v is not None})


def _tell(
    what: str,
    kit: Kit,
    layout: Layout,
    out: Path,
    written: Sequence[Written],
    cautions: tuple[str, ...],
    as_json: bool,
    more: dict[str, Any],
) -> None:
    if as_json:
        said = {"drawn": what, "layout": layout.name, **more}
        say_json({**said, "files": files_json(written), "cautions": list(cautions)})
        return
    how = how_it_lies(kit, layout)
    say(paragraph(clean(f"{kit.box.name}, {how}: {count(len(written), 'file')} in {out}.")))
    say_files(written)
    if unplaced := more.get("without_place"):
        names = "; ".join(clean(name_of_copy(kit, copy)) for copy in unplaced)
        say(paragraph(f"Without a place, so on no map: {names}"))
    for words in cautions:
        say(paragraph(words))
