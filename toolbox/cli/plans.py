"""Commands around the plan: plan, compare, adopt."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, today_option
from toolbox.cli.moves import say_curve
from toolbox.cli.stopping import stoppable
from toolbox.cli.words import clean, paragraph, say, say_json, table
from toolbox.desk.moves import plan_few_moves, savings_curve
from toolbox.desk.plan_words import (
    CAUTION,
    NOTHING_TO_COMPARE,
    OLD,
    adopted_words,
    cost_words,
    fault_words,
    move_lines,
    proof_words,
    saving_words,
    unplaced_words,
)
from toolbox.desk.plans import Plan, adopt_plan, make_plan, saved_plan
from toolbox.desk.solving import Heard, Hearing
from toolbox.kit.kit import Kit
from toolbox.layout.problem import Answer
from toolbox.layout.solve import Effort
from toolbox.layout.watch import Watcher


@click.command()
@click.option(
    "--effort",
    type=click.Choice([e.value for e in Effort]),
    default=Effort.NORMAL.value,
    show_default=True,
    help="How long to search; same input, same answer.",
)
@click.option(
    "--seconds",
    "limit",
    type=click.FloatRange(0.1, 3600),
    help="Search this long by the clock instead; answers may differ.",
)
@click.option(
    "--moves",
    "most",
    type=click.IntRange(0),
    help="Let at most so many things change compartment.",
)
@click.option(
    "--curve",
    is_flag=True,
    help="Show what 0, 5, 10, 20, 40 or all moves can save; saves no plan.",
)
@today_option
@kit_option
@json_option
def plan(
    effort: str,
    limit: float | None,
    most: int | None,
    curve: bool,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Plan the box: a compartment for every thing by reach, saved as layouts/plan.toml.

    Ctrl-C ends the search early and keeps the best so far.
    """
    if curve and (most is not None or limit is not None):
        raise click.UsageError("--curve goes with --effort, but not with --moves or --seconds")
    folder, hard = kit_folder(kit_path), Effort(effort)
    at = looked_at(folder, today)
    watcher = ProgressLine() if sys.stderr.isatty() else Watcher()
    with stoppable() as stop:
        if curve:
            say_curve(savings_curve(folder, at, effort=hard, watcher=watcher, stop=stop), as_json)
            return
        if most is None:
            made = make_plan(folder, at, effort=hard, seconds=limit, watcher=watcher, stop=stop)
        else:
            made = plan_few_moves(
                folder, at, most, effort=hard, seconds=limit, watcher=watcher, stop=stop
            )
    if as_json:
        say_json(plan_json(made))
        return
    say_plan(folder.kit, made)
    say(
        paragraph(
            'Saved as layouts/plan.toml. See it with "toolbox map --plan" and "toolbox compare".'
        )
    )
    say(paragraph(CAUTION))


@click.command()
@today_option
@kit_option
@json_option
def compare(today: str | None, kit_path: Path | None, as_json: bool) -> None:
    """Set today's layout beside the saved plan: cost, seconds saved, what moves."""
    folder = kit_folder(kit_path)
    made = saved_plan(folder, looked_at(folder, today))
    if as_json:
        say_json(plan_json(made))
        return
    say_plan(folder.kit, made)
    say_moves(folder.kit, made)


@click.command()
@kit_option
@json_option
def adopt(kit_path: Path | None, as_json: bool) -> None:
    """Say that the box now lies as planned: the plan becomes today's layout."""
    folder = kit_folder(kit_path)
    layout = adopt_plan(folder)
    if as_json:
        say_json({"adopted": len(layout.spots)})
        return
    say(adopted_words(layout))


class ProgressLine(Hearing):
    """Time, cost and gap of a search as one line that is written over."""

    def __init__(self) -> None:
        super().__init__(time.monotonic, self._show)

    def finished(self, answer: Answer) -> None:
        """Wipe the line: the result is printed below it."""
        sys.stderr.write("\r" + " " * 78 + "\r")
        sys.stderr.flush()

    def _show(self, heard: Heard) -> None:
        text = f"{self.gone():6.1f} s  {heard.words}"
        sys.stderr.write("\r" + text[:78].ljust(78))
        sys.stderr.flush()


def say_plan(kit: Kit, made: Plan) -> None:
    """Print what a plan costs, how good it is proved to be, and what it saves."""
    if not made.fresh:
        say(paragraph(f'{OLD} Renew it with "toolbox plan".'))
    say(paragraph(f"{cost_words(kit, made)} {proof_words(made)}"))
    say(paragraph(f"Found by {made.method}; stamp of the inputs {made.stamp}."))
    versus = made.comparison
    if versus is None:
        say(NOTHING_TO_COMPARE)
        return
    say(paragraph(saving_words(versus)))
    for words in filter(None, (unplaced_words(kit, versus), *fault_words(versus))):
        say(paragraph(clean(words)))


def say_moves(kit: Kit, made: Plan) -> None:
    """Print which things change compartment, grouped by where they go."""
    if made.comparison is None or not made.comparison.moves:
        return
    say()
    rows = [
        (clean(line.origin), clean(line.target), clean(line.thing))
        for line in move_lines(kit, made.comparison)
    ]
    say(table(("from", "to", "thing"), rows))


def plan_json(made: Plan) -> dict[str, Any]:
    """A plan as data: costs in microseconds a day, corners in tenths of a millimetre."""
    versus = made.comparison
    return {
        "cost_us": made.cost,
        "bound_us": made.bound,
        "gap": made.gap,
        "optimal": made.optimal,
        "method": made.method,
        "stamp": made.stamp,
        "fresh": made.fresh,
        "present": None
        if versus is None
        else {
            "cost_us": versus.present,
            "saved_us": versus.present - versus.planned,
            "plain_cost_us": versus.plain_present,
            "plain_saved_us": versus.plain_present - versus.plain_planned,
            "without_place": list(versus.unplaced),
            "faults": list(versus.present_faults),
            "moves": [{"item": m.copy, "from": m.origin, "to": m.target} for m in versus.moves],
        },
        "spots": [
            {
                "item": s.item,
                "compartment": s.compartment,
                "x_tenth_mm": s.x,
                "y_tenth_mm": s.y,
                "turned": s.turned,
            }
            for s in made.layout.spots
        ],
    }
