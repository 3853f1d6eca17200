"""The command reach: how long reaching takes, and where each figure comes from."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, meant
from toolbox.cli.words import clean, paragraph, say, say_json, table
from toolbox.desk.naming import tool_named
from toolbox.desk.reaching import Reaching, reaching
from toolbox.reach.engine import Timed


@click.command()
@click.argument("tool", required=False)
@click.option("--motions", is_flag=True, help="Each time as its motions from the table.")
@kit_option
@json_option
def reach(tool: str | None, motions: bool, kit_path: Path | None, as_json: bool) -> None:
    """Show how long reaching takes, for TOOL or the first tool of the list.

    Times come from your own stopwatch (times.toml) or from the table of motion times.
    """
    folder = kit_folder(kit_path)
    wanted = meant(tool_named, folder.kit, tool) if tool is not None else None
    found = reaching(folder.kit, wanted)
    if as_json:
        say_json(_json(found))
        return
    say("Openings, there and back:")
    rows = [
        (_seconds(p.timed.milliseconds), _source(p.timed), clean(p.name)) for p in found.openings
    ]
    say(table(("time", "from", "opening"), rows, right=(0,)))
    say()
    say(paragraph(f"{clean(found.thing)}, fetched and put back; to the hand from a shut box:"))
    places = [
        (_seconds(f.timed.milliseconds), _seconds(f.in_hand_ms), _source(f.timed), clean(f.name))
        for f in found.compartments
    ]
    say(table(("time", "to hand", "from", "compartment"), places, right=(0, 1)))
    if motions:
        _say_motions(found)


def _say_motions(found: Reaching) -> None:
    named = [(p.name, p.timed) for p in found.openings]
    named += [(f.name, f.timed) for f in found.compartments]
    for name, timed in named:
        if timed.motions:
            said = ", ".join(f"{m.code} {float(m.tmu):g} ({m.words})" for m in timed.motions)
            say()
            say(paragraph(f"{clean(name)}, in TMU of 0.036 s: {clean(said)}"))


def _seconds(milliseconds: int) -> str:
    return f"{milliseconds / 1000:.2f} s"


def _source(timed: Timed) -> str:
    if timed.spread_ms is None:
        return timed.source.value
    low, high = timed.spread_ms
    return f"{timed.source.value}, {low / 1000:.1f}-{high / 1000:.1f} s"


def _json(found: Reaching) -> dict[str, Any]:
    def timed(one: Timed) -> dict[str, Any]:
        return {
            "milliseconds": one.milliseconds,
            "source": one.source.name.lower(),
            "spread_ms": list(one.spread_ms) if one.spread_ms else None,
            "motions": [m.code for m in one.motions],
        }

    return {
        "thing": found.thing,
        "openings": [{"opening": p.opening, **timed(p.timed)} for p in found.openings],
        "compartments": [
            {"compartment": f.compartment, **timed(f.timed), "in_hand_ms": f.in_hand_ms}
            for f in found.compartments
        ],
    }
