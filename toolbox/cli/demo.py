"""The command demo: the main job on a made-up squad's box."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path

import click

from toolbox.cli.common import json_option
from toolbox.cli.maps import map_json, say_map
from toolbox.cli.plans import plan_json, say_moves, say_plan
from toolbox.cli.ranking import say_ranking, usage_json
from toolbox.cli.screens import no_screens, show_screens
from toolbox.cli.words import clean, paragraph, remark, say, say_json
from toolbox.desk.folder import KitFolder
from toolbox.desk.maps import box_map
from toolbox.desk.plan_words import CAUTION
from toolbox.desk.plans import make_plan, study
from toolbox.desk.ranked import ranking
from toolbox.desk.setup import demo_at, demo_target, last_day, lay_out_demo
from toolbox.usage.settled import settle

HEAD = 15


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@click.option("--print", "printed", is_flag=True, help="Only print the main job; needs no FOLDER.")
@json_option
def demo(folder: Path | None, printed: bool, as_json: bool) -> None:
    """Copy the demo kit to FOLDER (default: toolbox-demo) and open the screens on it.

    Where no screens can be shown the main job on it is printed instead.
    """
    tell = say_main_job_json if as_json else say_main_job
    if printed and folder is None:
        with tempfile.TemporaryDirectory() as scratch:
            tell(lay_out_demo(Path(scratch) / "demo"))
        return
    target, words = demo_target(folder, Path.cwd())
    hindrance = no_screens()
    if not (printed or as_json or hindrance):
        raise click.exceptions.Exit(show_screens(demo_at(target), words=words))
    if words:
        remark(paragraph(words))
    opened = lay_out_demo(target)
    if hindrance and not (printed or as_json):
        remark(paragraph(f"No screens: {hindrance}. Here is the main job in print."))
    if as_json:
        tell(opened)
        return
    say(f"The demo kit is now in {target}. The squad in it does not exist.")
    say(f'Look around with "toolbox uses --kit {target}", "toolbox map --kit {target}".')
    say()
    tell(opened)


def say_main_job(folder: KitFolder) -> None:
    """Print the ranking's head, the plan against today's layout, the moves and the map."""
    kit = folder.kit
    today = _demo_day(folder)
    _head(f"1. {clean(kit.name)}: which tools the work takes")
    at = study(folder, today)
    sure = settle(at.usage)
    say_ranking(at.usage, ranking(at, sure), sure, HEAD)
    _head("2. The plan against the box as it lies today")
    made = make_plan(folder, today)
    say_plan(kit, made)
    _head("3. What moves")
    say_moves(kit, made)
    _head("4. The box as planned")
    say_map(box_map(kit, made.layout), drawn=False)
    say(paragraph(CAUTION))


def say_main_job_json(folder: KitFolder) -> None:
    """The same as data: the ranking, the plan against today's layout, the map."""
    today = _demo_day(folder)
    at = study(folder, today)
    sure = settle(at.usage)
    made = make_plan(folder, today)
    say_json(
        {
            "uses": usage_json(folder.kit, at.usage, ranking(at, sure), sure),
            "plan": plan_json(made),
            "map": map_json(folder.kit, made.layout, box_map(folder.kit, made.layout)),
        }
    )


def _demo_day(folder: KitFolder) -> date:
    # The demo's week lies where it lies: seen from its own last day it always
    # gives the same ranking and the same plan.
    today = last_day(folder)
    assert today is not None, "the demo's journal holds a week of work"
    return today


def _head(text: str) -> None:
    say()
    say(text)
    say("=" * len(text))
