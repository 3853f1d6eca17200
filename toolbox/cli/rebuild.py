"""The command rebuild: the checklist from today's box to the planned one."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import json_option, kit_folder, kit_option
from toolbox.cli.words import clean, paragraph, say, say_json
from toolbox.desk.plan_words import CAUTION
from toolbox.desk.rebuild import (
    Rebuild,
    RebuildStep,
    anew_words,
    rebuild_list,
    step_words,
    things_words,
    tick,
    untick,
)
from toolbox.kit.kit import Kit


@click.command()
@click.option("--tick", "ticked", is_flag=True, help="The next step is done.")
@click.option("--undo", "undone", is_flag=True, help="The last step ticked is not done after all.")
@kit_option
@json_option
def rebuild(ticked: bool, undone: bool, kit_path: Path | None, as_json: bool) -> None:
    """List how to get from today's box to the plan, in the order of work.

    Each tick moves today's layout along, so that find and map stay right half-way.
    """
    if ticked and undone:
        raise click.UsageError("--tick and --undo cannot go together")
    folder = kit_folder(kit_path)
    if ticked:
        tick(folder)
    if undone:
        untick(folder)
    after = kit_folder(folder.path)
    shown = rebuild_list(after)
    if as_json:
        say_json(_json(shown))
        return
    if not shown.steps:
        say("Nothing to do: the box lies as planned.")
        return
    say(f"{shown.done} of {len(shown.steps)} steps done.")
    for step in shown.steps:
        say_step(after.kit, step)
    if shown.next is None:
        say("The box now lies as planned.")
    else:
        say('Tick the next step with "toolbox rebuild --tick"; "--undo" takes it back.')
        say(paragraph(CAUTION))


def say_step(kit: Kit, step: RebuildStep) -> None:
    """Print one line of the checklist with the things it handles."""
    mark = "[x]" if step.done else "[ ]"
    words = clean(f"{step_words(kit, step)} {things_words(kit, step)}")
    lead = f"{mark} {step.number:2}  "
    say(lead + paragraph(words, " " * len(lead)).lstrip())
    anew = anew_words(kit, step)
    if anew:
        say(paragraph(clean(anew), "        "))


def _json(shown: Rebuild) -> dict[str, object]:
    return {
        "done": shown.done,
        "steps": [
            {
                "number": step.number,
                "handling": step.handling.name.lower(),
                "compartment": step.compartment,
                "items": list(step.copies),
                "anew": list(step.anew),
                "done": step.done,
            }
            for step in shown.steps
        ],
    }
