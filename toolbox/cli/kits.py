"""Commands around the kit folder: new, check, place."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_folder, kit_option, meant
from toolbox.cli.words import clean, count, grams, paragraph, say, say_json
from toolbox.desk.archive import kit_from
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import find_kit
from toolbox.desk.naming import compartment_named, tool_named
from toolbox.desk.odd_masses import odd_masses
from toolbox.desk.setup import box_forms, place_tools, start_kit
from toolbox.desk.stock_fluids import mixings_of_kit
from toolbox.desk.trips import read_everything
from toolbox.files.problems import KitFaults


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--box", "form", metavar="NAME", help="The box form to start from.")
@click.option("--name", help="What to call the kit. Default: the folder's name.")
@click.option(
    "--from",
    "source",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Make the kit that was exported into DIR, with its log.",
)
@json_option
def new(
    folder: Path, form: str | None, name: str | None, source: Path | None, as_json: bool
) -> None:
    """Make a new kit in FOLDER from one of the box forms, or from an export."""
    if source is not None:
        _new_from(folder, source, (form, name), as_json=as_json)
        return
    if form is None:
        raise DeskError(f"say which box with --box; the forms are {', '.join(box_forms())}")
    made = start_kit(folder, form, name or folder.resolve().name)
    if as_json:
        say_json({"kit": made.kit.name, "folder": str(folder), "box": made.kit.box.name})
        return
    say(
        f'Made the kit "{clean(made.kit.name)}" in {folder}: {clean(made.kit.box.name)}, '
        f"{count(len(made.kit.box.compartments), 'compartment')}."
    )
    say(f"Measure your own box and put its sizes into {folder / 'box.toml'}.")
    say(f"Next: toolbox import YOUR-TOOLS.csv --kit {folder}")


def _new_from(
    folder: Path, source: Path, besides: tuple[str | None, ...], *, as_json: bool
) -> None:
    if any(word is not None for word in besides):
        raise DeskError("an export has its box and its name already: leave out --box and --name")
    made = kit_from(folder, source)
    if as_json:
        say_json({"kit": made.kit.name, "folder": str(folder), "box": made.kit.box.name})
        return
    say(
        f'Made the kit "{clean(made.kit.name)}" in {folder} as it was exported: '
        f"{count(len(made.kit.tools), 'tool')}, {count(len(made.facts), 'fact')} in its log."
    )


@click.command()
@kit_option
@json_option
def check(kit_path: Path | None, as_json: bool) -> None:
    """Read the whole kit, trips and goods rules too, and name every fault of every file at once."""
    path = find_kit(kit_path or Path.cwd())
    try:
        kit = read_everything(path).kit
    except KitFaults as faulty:
        if not as_json:
            raise
        faults = [
            {"file": f.file, "entry": f.entry, "wrong": f.wrong, "cure": f.cure}
            for f in faulty.faults
        ]
        say_json({"folder": str(path), "faults": faults})
        raise click.exceptions.Exit(codes.FAULTY) from None
    carried = kit.carried()
    mass = sum(thing.mass.grams for thing in carried.values() if thing.mass)
    if as_json:
        say_json(
            {
                "folder": str(path),
                "faults": [],
                "tools": len(kit.tools),
                "supplies": len(kit.supplies),
                "jobs": len(kit.jobs),
                "carried": len(carried),
                "carried_g": mass,
                "tare_g": kit.box.tare_g,
                "mixed_fluids": list(mixings_of_kit(kit)),
                "odd_masses": list(odd_masses(kit)),
            }
        )
        return
    say(
        f'No faults. Kit "{clean(kit.name)}": {count(len(kit.tools), "tool")}, '
        f"{count(len(kit.supplies), 'supply', 'supplies')}, {count(len(kit.jobs), 'job')}."
    )
    say(
        f"In the box: {count(len(carried), 'thing')}, {grams(mass)}; "
        f"with the empty box ({grams(kit.box.tare_g)}) {grams(mass + kit.box.tare_g)}."
    )
    for words in mixings_of_kit(kit):
        say(paragraph(clean(f"CAUTION: {words}")))
    for words in odd_masses(kit):
        say(paragraph(clean(f"CAUTION: {words}: is that right?")))


@click.command()
@click.argument("tools", nargs=-1, required=True, metavar="TOOL...")
@click.option("--in", "compartment", required=True, help="The compartment they lie in now.")
@kit_option
@json_option
def place(tools: tuple[str, ...], compartment: str, kit_path: Path | None, as_json: bool) -> None:
    """Say that TOOLs now lie in a compartment (the present layout)."""
    folder = kit_folder(kit_path)
    ids = [meant(tool_named, folder.kit, letters) for letters in tools]
    target = meant(compartment_named, folder.kit, compartment)
    place_tools(folder, ids, target)
    if as_json:
        say_json({"placed": ids, "compartment": target})
        return
    names = ", ".join(clean(folder.kit.tool(tool).name) for tool in ids)
    say(f"{names}: now in {clean(folder.kit.compartment(target).name)}")
