"""Commands around the plan: plan, compare, adopt."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from toolbox.cli.common import day, json_option, kit_folder, kit_option, today_option
from toolbox.cli.moves import say_curve
from toolbox.cli.words import clean, count, paragraph, say, say_json, seconds, table
from toolbox.desk.folder import name_of_copy
from toolbox.desk.moves import plan_few_moves, savings_curve
from toolbox.desk.plans import Comparison, Plan, adopt_plan, make_plan, saved_plan
from toolbox.kit.kit import Kit
from toolbox.layout.problem import Answer
from toolbox.layout.solve import Effort
from toolbox.layout.watch import StopSwitch, Watcher

CAUTION = (
    "Before you rebuild the box: lift with two people or empty it first, keep blades and "
    "spikes covered, and keep fluids upright. The plan knows only the sizes and masses you gave."
)


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
    folder, at, hard = kit_folder(kit_path), day(today), Effort(effort)
    watcher = ProgressLine() if sys.stderr.isatty() else Watcher()
    with _stoppable() as stop:
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
    made = saved_plan(folder, day(today))
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
    say(f"Today's layout is now the plan: {count(len(layout.spots), 'thing')} in their places.")


class ProgressLine(Watcher):
    """Time, cost, bound and gap of a search as one line that is written over."""

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._cost: int | None = None
        self._bound: int | None = None

    def better_layout(self, answer: Answer) -> None:
        """Show the new cost."""
        self._cost = answer.cost
        self._show()

    def better_bound(self, bound: int) -> None:
        """Show the new bound."""
        self._bound = bound
        self._show()

    def finished(self, answer: Answer) -> None:
        """Wipe the line: the result is printed below it."""
        sys.stderr.write("\r" + " " * 78 + "\r")
        sys.stderr.flush()

    def _show(self) -> None:
        took = time.monotonic() - self._began
        cost = seconds(self._cost) if self._cost is not None else "none yet"
        text = f"{took:6.1f} s  cost {cost} a day"
        if self._bound is not None:
            text += f"  at least {seconds(self._bound)}"
            if self._cost is not None and self._bound > 0:
                text += f"  gap {100 * (self._cost / self._bound - 1):.2f} %"
        sys.stderr.write("\r" + text[:78].ljust(78))
        sys.stderr.flush()


def say_plan(kit: Kit, made: Plan) -> None:
    """Print what a plan costs, how good it is proved to be, and what it saves."""
    if not made.fresh:
        say(
            paragraph(
                "The kit, the journal or the day has changed since this plan was made; its "
                "cost is worked out anew here, its proof no longer holds. "
                'Renew it with "toolbox plan".'
            )
        )
    weight = f"{float(kit.settings.urgent_weight):g}"
    say(
        paragraph(
            f"Plan: {seconds(made.cost)} of reaching a day (urgent seconds count {weight} "
            f"times). {_proof(made)}"
        )
    )
    say(paragraph(f"Found by {made.method}; stamp of the inputs {made.stamp}."))
    if made.comparison is None:
        say("Nobody has said how the box lies today, so there is nothing to compare it with.")
        return
    _say_saving(kit, made.comparison)


def say_moves(kit: Kit, made: Plan) -> None:
    """Print which things change compartment, grouped by where they go."""
    if made.comparison is None or not made.comparison.moves:
        return
    names = {c.id: c.name for c in kit.box.compartments}
    say()
    rows = [
        (
            clean(names[move.origin]) if move.origin else "nowhere",
            clean(names[move.target]),
            clean(name_of_copy(kit, move.copy)),
        )
        for move in sorted(made.comparison.moves, key=lambda m: (names[m.target], m.copy))
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


@contextmanager
def _stoppable() -> Iterator[StopSwitch]:
    """A stop switch that Ctrl-C throws: the search ends with its best; a second one kills."""
    stop = StopSwitch()
    before = signal.signal(signal.SIGINT, lambda *_: _ask_to_stop(stop))
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)


def _ask_to_stop(stop: StopSwitch) -> None:
    if stop():
        raise KeyboardInterrupt
    stop.throw()


def _proof(made: Plan) -> str:
    if made.optimal:
        return "Proved: no layout that keeps your rules costs less."
    if made.bound is None or made.gap is None:
        return "How far from the best it can be is not known."
    return (
        f"Proved: none can cost less than {seconds(made.bound)}, so it is at most "
        f"{100 * made.gap:.2f} % above the best possible."
    )


def _say_saving(kit: Kit, versus: Comparison) -> None:
    saved = versus.present - versus.planned
    plain = versus.plain_present - versus.plain_planned
    share = f" ({100 * saved / versus.present:.1f} %)" if versus.present > 0 else ""
    say(
        paragraph(
            f"Today's layout: {seconds(versus.present)} a day. The plan saves {seconds(saved)} "
            f"a day{share}; on the plain stopwatch, urgent or not, {seconds(plain)} a day. "
            f"It moves {count(len(versus.moves), 'thing')}."
        )
    )
    if versus.unplaced:
        names = "; ".join(clean(name_of_copy(kit, copy)) for copy in versus.unplaced)
        say(paragraph(f"Without a place today, so counted alike on both sides: {names}"))
    for fault in versus.present_faults:
        say(paragraph(f"Today's layout does not hold: {clean(fault)}"))
