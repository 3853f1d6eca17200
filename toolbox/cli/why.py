"""Commands that explain: why a thing lies where it lies, and what would help."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, meant, today_option
from toolbox.cli.words import clean, count, paragraph, say, say_json, seconds, table
from toolbox.desk.certainty import Placed, PlanCertainty, Verdict, replanned
from toolbox.desk.helps import Helps, Twin, what_helps
from toolbox.desk.hurdles import listed
from toolbox.desk.why import OtherPlace, Reason, carried_named, certainty_of, explain_place
from toolbox.desk.why_words import fine, in_the_way, signed, why_sentences
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write

_HEAD = 12  # changes shown of those that help
_DEARER = 4  # places shown that cost more than the thing's own


@click.command()
@click.argument("letters", nargs=-1, metavar="[THING]")
@click.option("--present", is_flag=True, help="As the box lies today, not in the plan.")
@click.option("--unsure", is_flag=True, help="List the placements that the log leaves open.")
@click.option(
    "--replan",
    type=click.IntRange(1, 200),
    metavar="N",
    help="With --unsure: plan N times more, each time with rates the log also allows.",
)
@today_option
@kit_option
@json_option
def why(
    letters: tuple[str, ...],
    present: bool,
    unsure: bool,
    replan: int | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Say why a thing lies where it lies: what other places cost, and what stands in the way.

    THING is a few letters of a name. With --unsure no thing is named.
    """
    folder = kit_folder(kit_path)
    if unsure == bool(letters):
        raise click.UsageError("name one thing, or ask with --unsure for all that is open")
    if replan and (present or not unsure):
        raise click.UsageError("--replan goes with --unsure, and with the plan only")
    if unsure:
        if replan:
            sure = replanned(folder, looked_at(folder, today), replan, _progress(replan))
        else:
            sure = certainty_of(folder, looked_at(folder, today), present=present)
        if as_json:
            say_json(certainty_json(sure))
        else:
            say_certainty(folder.kit, sure)
        return
    copy = meant(carried_named, folder.kit, " ".join(letters))
    reason = explain_place(folder, looked_at(folder, today), copy, present=present)
    if as_json:
        say_json(reason_json(reason))
    else:
        say_reason(folder.kit, reason, present)


@click.command()
@today_option
@kit_option
@json_option
def helps(today: str | None, kit_path: Path | None, as_json: bool) -> None:
    """Say what would help: one more compartment, one 10 mm longer or deeper, a second copy.

    A second copy of a tool is tried for the tools that cost most to reach.
    """
    folder = kit_folder(kit_path)
    found = what_helps(folder, looked_at(folder, today))
    if as_json:
        say_json(helps_json(found))
    else:
        say_helps(folder.kit, found)


def _progress(replans: int) -> Callable[[int], None]:
    """A line on standard error that counts the plans made again; silent where nobody looks."""

    def show(done: int) -> None:
        if sys.stderr.isatty():
            end = "\n" if done == replans else ""
            sys.stderr.write(f"\rplanned again {done} of {replans}{end}")
            sys.stderr.flush()

    return show


def say_reason(kit: Kit, reason: Reason, present: bool) -> None:
    """Print one thing's place, what it costs, and every other place with what it lacks."""
    for sentence in why_sentences(kit, reason, present):
        say(paragraph(clean(sentence)))
    say()
    shown = reason.others[: len(reason.better) + _DEARER]
    rows = [(signed(o.extra), clean(o.name), clean(in_the_way(o))) for o in shown]
    say(table(("a day", "compartment", "what stands in the way"), rows, right=(0,)))
    if len(shown) < len(reason.others):
        say(f"and {len(reason.others) - len(shown)} more that cost more; see them with --json")


def say_certainty(kit: Kit, sure: PlanCertainty) -> None:
    """Print the placements that are open or speak against the log, likeliest first."""
    names = [clean(kit.compartment(c).name) for c in sure.easy]
    kinds = {v: [p for p in sure.placed if p.verdict is v] for v in Verdict}
    say(
        paragraph(
            f"The {sure.wanted} things wanted most belong behind the fewest openings: "
            f"{listed(names, 12)}. Of {count(len(sure.placed), 'placement')} "
            f"{len(kinds[Verdict.SURE])} are sure, {len(kinds[Verdict.OPEN])} open, "
            f"{len(kinds[Verdict.AGAINST])} against the log."
        )
    )
    for verdict, heading in (
        (Verdict.OPEN, "Open: the log does not say yet where these belong."),
        (Verdict.AGAINST, 'Against the log: wanted, yet deep. Ask "toolbox why" for the reason.'),
    ):
        if kinds[verdict]:
            say()
            say(heading)
            say(_placements(kit, kinds[verdict], sure.replans))
    if sure.replans:
        _say_replans(kit, sure)


def _say_replans(kit: Kit, sure: PlanCertainty) -> None:
    """Print what planning again made of the placements that the chances call sure."""
    others = [p for p in sure.placed if p.verdict is Verdict.SURE and p.again is not None]
    moved = [p for p in others if p.again != (sure.replans if p.easy else 0)]
    kept = len(others) - len(moved)
    say()
    say(
        paragraph(
            f"Planned again {count(sure.replans, 'time')} with rates that the log allows as "
            f"well: of {count(len(others), 'sure placement')} {kept} came out alike every "
            "time, easily reached or deep."
        )
    )
    if moved:
        say("These did not; room and rules decide as much as the log:")
        say(_placements(kit, moved, sure.replans))


def say_helps(kit: Kit, found: Helps) -> None:
    """Print what each change saves at least, best first."""
    say(paragraph(f"The plan costs {seconds(found.cost)} of reaching a day."))
    if found.anyway:
        say(
            paragraph(
                f"The small search used here makes it {fine(found.anyway)} cheaper without any "
                'change of the box; "toolbox plan --effort thorough" may do so too. The figures '
                "below come on top of that."
            )
        )
    useful = [h for h in found.found if h.saved > 0]
    if useful:
        rows = [(fine(h.saved), h.change.value, clean(h.name)) for h in useful[:_HEAD]]
        say(table(("saves a day, at least", "change", "compartment"), rows, right=(0,)))
        if len(useful) > _HEAD:
            say(f"and {len(useful) - _HEAD} more that save less; see them with --json")
    rest = len(found.found) - len(useful)
    say(
        paragraph(
            f"Of {len(found.found)} changes tried, {rest} saved nothing that the small search "
            "could find; that is no proof. Whether the box has room for a change is for you to "
            "see."
        )
    )
    _say_twins(kit, found.twins)


def _say_twins(kit: Kit, twins: tuple[Twin, ...]) -> None:
    """Print what a second copy of the dearest tools would save."""
    if not twins:
        return
    say()
    say("A second copy, each use going to the copy that is quicker for it:")
    useful = [t for t in twins if t.compartment is not None]
    rows = [
        (
            fine(t.saved),
            write(t.grams, Kind.MASS),
            clean(
                f"{t.name}: in {kit.compartment(t.compartment or t.first).name} "
                f"and the first in {kit.compartment(t.first).name}"
            ),
        )
        for t in useful
    ]
    if rows:
        say(table(("saves a day, at least", "adds", "tool"), rows, right=(0, 1)))
    rest = [clean(t.name) for t in twins if t.compartment is None]
    if rest:
        say(
            paragraph(
                f"For {listed(rest, len(rest))} no place was found where a second copy saves "
                "anything; that is no proof."
            )
        )


def reason_json(reason: Reason) -> dict[str, Any]:
    """One thing's place as data: microseconds a day, obstacles by kind and in words."""
    placed = reason.placed
    return {
        "item": reason.copy,
        "name": reason.name,
        "compartment": reason.compartment,
        "moves_with": list(reason.company),
        "rules": list(reason.rules),
        "cost_us": reason.cost,
        "chance_most_wanted": None if placed is None else round(placed.chance, 4),
        "certainty": None if placed is None else placed.verdict.value,
        "others": [_other_json(other) for other in reason.others],
    }


def certainty_json(sure: PlanCertainty) -> dict[str, Any]:
    """How sure each placement is, as data."""
    return {
        "most_wanted": sure.wanted,
        "easily_reached": list(sure.easy),
        "planned_again": sure.replans,
        "placements": [
            {
                "item": p.item,
                "name": p.name,
                "compartment": p.compartment,
                "chance_most_wanted": round(p.chance, 4),
                "easily_reached": p.easy,
                "certainty": p.verdict.value,
                "easily_reached_again": p.again,
            }
            for p in sure.placed
        ],
    }


def helps_json(found: Helps) -> dict[str, Any]:
    """What would help, as data: microseconds a day."""
    return {
        "cost_us": found.cost,
        "saved_without_change_us": found.anyway,
        "changes": [
            {
                "change": h.change.name.lower(),
                "compartment": h.compartment,
                "name": h.name,
                "saved_at_least_us": h.saved,
            }
            for h in found.found
        ],
        "second_copies": [
            {
                "item": t.tool,
                "name": t.name,
                "compartment": t.compartment,
                "first_copy": t.first,
                "saved_at_least_us": t.saved,
                "adds_g": t.grams,
            }
            for t in found.twins
        ],
    }


def _other_json(other: OtherPlace) -> dict[str, Any]:
    leaver = other.leaver
    return {
        "compartment": other.compartment,
        "extra_us": other.extra,
        "in_the_way": [
            {"kind": o.kind, "words": o.words, "rules": list(o.rules), "items": list(o.copies)}
            for o in other.obstacles
        ],
        "would_have_to_leave": None
        if leaver is None
        else {
            "items": list(leaver.copies),
            "extra_us": leaver.extra,
            "to": list(leaver.to),
        },
    }


def _placements(kit: Kit, placed: list[Placed], replans: int) -> str:
    again = ("easily, again",) if replans else ()
    rows = [
        (
            f"{100 * p.chance:.0f} %",
            "easily" if p.easy else "deep",
            *((f"{p.again} of {replans}",) if replans else ()),
            f"{clean(p.name)}, in {clean(kit.compartment(p.compartment).name)}",
        )
        for p in sorted(placed, key=lambda p: -p.chance)
    ]
    return table(("wanted", "reached", *again, "thing, and its place"), rows, right=(0,))
