"""Commands around the kit folder: new, check, import, place."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_folder, kit_option, meant
from toolbox.cli.words import clean, count, grams, paragraph, remark, say, say_json, table
from toolbox.desk.archive import kit_from
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import find_kit
from toolbox.desk.naming import compartment_named, tool_named
from toolbox.desk.setup import box_forms, draft_import, place_tools, start_kit, store_import
from toolbox.desk.stock_fluids import mixings_of_kit
from toolbox.desk.trips import read_everything
from toolbox.files.problems import KitFaults
from toolbox.intake.read import Draft


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


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="HEADER=MEANING",
    help="What a column means, where the guess is wrong; MEANING - leaves it out.",
)
@click.option("--yes", is_flag=True, help="Store without asking.")
@kit_option
@json_option
def take_in(
    file: Path, columns: tuple[str, ...], yes: bool, kit_path: Path | None, as_json: bool
) -> None:
    """Take in a list of tools and supplies, or of jobs, from a CSV FILE.

    First shows what was read and what was guessed; nothing is stored before you agree.
    """
    folder = kit_folder(kit_path)
    draft = draft_import(folder, file, _columns(columns))
    if as_json:
        _say_draft_json(draft, stored=yes and not draft.refusals)
    else:
        _say_draft(draft)
    if draft.refusals:
        remark("Nothing was stored. Mend these cells, then import again.")
        raise click.exceptions.Exit(codes.NO)
    if not (draft.tools or draft.supplies or draft.jobs):
        remark("Nothing new to store.")
        return
    if not yes:
        if as_json:
            remark("A dry run; nothing was stored. Add --yes to store.")
            return
        if not click.confirm("Store this in the kit?", err=True):
            remark("Nothing was stored.")
            return
    store_import(folder, draft)
    remark("Stored.")


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


def _columns(pairs: tuple[str, ...]) -> dict[str, str]:
    columns = {}
    for pair in pairs:
        header, equals, meaning = pair.rpartition("=")
        if not equals:
            raise DeskError(f'"{pair}" is not HEADER=MEANING, like "Weight (g)=mass"')
        columns[header] = meaning
    return columns


def _say_draft(draft: Draft) -> None:
    read = [
        count(len(draft.tools), "tool"),
        count(len(draft.supplies), "supply", "supplies"),
        count(len(draft.jobs), "job"),
    ]
    have = count(len(draft.already), "entry", "entries")
    say(f"Read as new: {', '.join(read)}; {have} in the kit already.")
    copies = [tool.mass.grams for tool in draft.tools if tool.carried for _ in tool.copies()]
    packs = [s.mass.grams for s in draft.supplies if s.carried and s.mass is not None]
    if copies or packs:
        mass = grams(sum(copies) + sum(packs))
        say(f"Of these {len(copies) + len(packs)} travel in the box, {mass} together.")
    if draft.columns:
        say()
        rows = [(clean(c.header), clean(c.meaning), c.how) for c in draft.columns]
        say(table(("Column", "read as", "how"), rows))
        say()
    for note in draft.notes:
        say(paragraph(clean(note), "  "))
    for refusal in draft.refusals:
        say("- " + clean(refusal.sentence()))


def _say_draft_json(draft: Draft, *, stored: bool) -> None:
    say_json(
        {
            "stored": stored,
            "tools": [
                {"id": t.id, "name": t.name, "mass_g": t.mass.grams, "carried": t.carried}
                for t in draft.tools
            ],
            "supplies": [
                {"id": s.id, "name": s.name, "carried": s.carried} for s in draft.supplies
            ],
            "jobs": [{"id": j.id, "name": j.name, "steps": len(j.steps)} for j in draft.jobs],
            "already": list(draft.already),
            "columns": [
                {"header": c.header, "meaning": c.meaning, "how": c.how} for c in draft.columns
            ],
            "notes": list(draft.notes),
            "refusals": [
                {
                    "line": r.line,
                    "column": r.column,
                    "cell": r.cell,
                    "reason": r.reason,
                    "cure": r.cure,
                }
                for r in draft.refusals
            ],
        }
    )
