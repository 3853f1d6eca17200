"""Commands that say where things are: map and find."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, meant, now
from toolbox.cli.drawing import draw
from toolbox.cli.words import clean, count, grams, paragraph, remark, say, say_json
from toolbox.desk.drawn_box import is_drawn
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder, name_of_copy
from toolbox.desk.instruments import why_out
from toolbox.desk.maps import (
    Filled,
    Found,
    find_things,
    grab_list,
    not_placed,
    todays_layout,
)
from toolbox.desk.maps import box_map as fill_map
from toolbox.desk.naming import compartment_named, job_named
from toolbox.desk.plans import has_plan, reach_of, saved_layout
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.kit.things import base_id

plan_option = click.option("--plan", "planned", is_flag=True, help="In the saved plan, not today.")


@click.command("map")
@click.argument("compartment", required=False)
@click.option("--draw", "drawn", is_flag=True, help="Draw compartments to scale.")
@plan_option
@kit_option
@json_option
def box_map(
    compartment: str | None, drawn: bool, planned: bool, kit_path: Path | None, as_json: bool
) -> None:
    """Show where everything lies, compartment by compartment.

    With a COMPARTMENT (a few letters of its name) only that one, drawn to scale.
    """
    folder = kit_folder(kit_path)
    layout = shown_layout(folder, planned)
    shown = fill_map(folder.kit, layout)
    if compartment is not None:
        wanted = meant(compartment_named, folder.kit, compartment)
        shown = tuple(filled for filled in shown if filled.compartment.id == wanted)
    if as_json:
        say_json(map_json(folder.kit, layout, shown))
        return
    say_map(shown, drawn=drawn or compartment is not None)
    missing = not_placed(folder.kit, layout)
    if missing and compartment is None:
        names = "; ".join(clean(name_of_copy(folder.kit, copy)) for copy in missing)
        say(paragraph(f"Without a place: {names}"))


@click.command()
@click.argument("letters", nargs=-1, required=True)
@click.option(
    "--job", "by_job", is_flag=True, help="LETTERS name a job: list its tools and supplies."
)
@plan_option
@kit_option
@json_option
def find(
    letters: tuple[str, ...], by_job: bool, planned: bool, kit_path: Path | None, as_json: bool
) -> None:
    """Say where a thing is and how to get there: a few LETTERS of its name will do."""
    folder = kit_folder(kit_path)
    layout = shown_layout(folder, planned)
    times = reach_of(folder.kit)
    text = " ".join(letters)
    if by_job:
        found = grab_list(folder.kit, layout, meant(job_named, folder.kit, text), times)
    else:
        found = find_things(folder.kit, layout, text, times)
        if not found:
            raise DeskError(f"nothing lies in {compartment_named(folder.kit, text).name}")
    out = why_out(folder.kit, folder.live, now().date())
    if as_json:
        say_json({"found": [_found_json(f, out.get(base_id(f.copy))) for f in found]})
        return
    for one in found:
        say_found(one)
        if why := out.get(base_id(one.copy)):
            say(paragraph(clean(f"OUT: {why}"), "  "))


def shown_layout(folder: KitFolder, planned: bool) -> Layout:
    """Today's layout, or the saved plan when asked for or when nothing else is known."""
    if not planned and folder.kit.present is None and has_plan(folder):
        remark("Nobody has said how the box lies today; this is the saved plan.")
        planned = True
    return saved_layout(folder) if planned else todays_layout(folder.kit)


def say_map(shown: tuple[Filled, ...], *, drawn: bool) -> None:
    """Print compartments with what lies in each; names are wrapped, never cut."""
    for filled in shown:
        c = filled.compartment
        load = f" of {grams(c.load_g)}" if c.load_g is not None else ""
        way = ", ".join(clean(step) for step in filled.way) or "open at once"
        say(
            f"{clean(c.name)} [{c.id}], {c.kind.value}: {count(len(filled.things), 'thing')}, "
            f"{grams(filled.grams)}{load}"
        )
        say(f"  ({way})")
        if drawn and filled.things and is_drawn(filled):
            for line in draw(filled):
                say("  " + line)
        elif filled.things:
            say(paragraph("; ".join(clean(thing.name) for thing in filled.things), "  "))
        say()


def say_found(found: Found) -> None:
    """Print one thing's place as the way there, in words."""
    words = f"{clean(found.name)}: {clean(found.where)}"
    if found.compartment is not None:
        hand = (found.milliseconds or 0) / 1000
        words += f" [{found.compartment.id}] ({hand:.1f} s to the hand)"
    say(paragraph(words))


def map_json(kit: Kit, layout: Layout, shown: tuple[Filled, ...]) -> dict[str, Any]:
    """The map as data: compartments with things, corners in tenths of a millimetre."""
    return {
        "layout": layout.name,
        "compartments": [
            {
                "compartment": f.compartment.id,
                "name": f.compartment.name,
                "kind": f.compartment.kind.value,
                "way": list(f.way),
                "grams": f.grams,
                "load_g": f.compartment.load_g,
                "things": [
                    {
                        "item": t.copy,
                        "name": t.name,
                        "x_tenth_mm": t.spot.x,
                        "y_tenth_mm": t.spot.y,
                        "turned": t.spot.turned,
                    }
                    for t in f.things
                ],
            }
            for f in shown
        ],
        "without_place": list(not_placed(kit, layout)),
    }


def _found_json(found: Found, out: str | None) -> dict[str, Any]:
    return {
        "item": found.copy,
        "name": found.name,
        "compartment": found.compartment.id if found.compartment else None,
        "compartment_name": found.compartment.name if found.compartment else None,
        "way": list(found.way),
        "milliseconds": found.milliseconds,
        "remark": found.remark,
        "out": out,
    }
