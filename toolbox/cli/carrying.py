"""Commands around carrying the box: balance, pitbag, unused."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.carry.findings import by_severity
from toolbox.carry.pitbag import PitBag, Refusal
from toolbox.carry.unused import SinglePoint
from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, meant, today_option
from toolbox.cli.maps import plan_option, shown_layout
from toolbox.cli.words import clean, count, grams, paragraph, say, say_json, table
from toolbox.desk.carrying import balance as weigh_up
from toolbox.desk.carrying import pack_pit_bag, spare_tools
from toolbox.desk.naming import job_named, tool_named

IDLE_HEAD = 20


@click.command()
@plan_option
@kit_option
@json_option
def balance(planned: bool, kit_path: Path | None, as_json: bool) -> None:
    """Weigh the packed box up: loads, centre of gravity, tipping when it is opened."""
    folder = kit_folder(kit_path)
    found = weigh_up(folder.kit, shown_layout(folder, planned))
    loads = found.loads
    words = by_severity((*loads.findings, *(t.finding for t in found.tips), *found.cautions))
    if as_json:
        say_json(
            {
                "tare_g": loads.tare_g,
                "contents_g": loads.contents_g,
                "total_g": loads.total_g,
                "limit_g": loads.limit_g,
                "centre_tenth_mm": list(loads.centre),
                "sideways_tenth_mm": loads.sideways.tenths,
                "lengthwise_tenth_mm": loads.lengthwise.tenths,
                "compartments": [
                    {"compartment": c.compartment, "grams": c.grams, "limit_g": c.limit_g}
                    for c in loads.compartments
                ],
                "tipping": [
                    {"opened": list(t.opened), "margin_mnm": t.weakest.margin_mnm, "tips": t.tips}
                    for t in found.tips
                ],
                "findings": [{"severity": f.severity.value, "words": f.words} for f in words],
            }
        )
        return
    say(
        f"Box {grams(loads.tare_g)} + contents {grams(loads.contents_g)} "
        f"= {grams(loads.total_g)} packed."
    )
    rows = [
        (
            grams(c.grams),
            "" if c.limit_g is None else grams(c.limit_g),
            f"{clean(c.name)}{' OVER' if c.over_g else ''}",
        )
        for c in loads.compartments
    ]
    say(table(("holds", "limit", "compartment"), rows, right=(0, 1)))
    for finding in words:
        say(paragraph(f"{finding.severity.value.upper()}: {clean(finding.words)}"))


@click.command()
@click.argument("limit")
@click.option("--job", "jobs", multiple=True, metavar="JOB", help="A job it must cover.")
@click.option(
    "--at-hand", multiple=True, metavar="TOOL", help="A tool that stands in the pit anyway."
)
@today_option
@kit_option
@json_option
def pitbag(
    limit: str,
    jobs: tuple[str, ...],
    at_hand: tuple[str, ...],
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Choose the tools for a pit bag of at most LIMIT ("3 kg").

    It covers the jobs named and as much of the expected urgent work as it can; a
    job counts only when all its tools, or stand-ins for them, are in the bag.
    """
    folder = kit_folder(kit_path)
    bag = pack_pit_bag(
        folder,
        looked_at(folder, today),
        limit,
        jobs=[meant(job_named, folder.kit, letters) for letters in jobs],
        at_hand=[meant(tool_named, folder.kit, letters) for letters in at_hand],
    )
    if as_json:
        say_json(_bag_json(bag))
    elif isinstance(bag, Refusal):
        say(paragraph(f"No such bag: {clean(bag.reason)}."))
        if bag.instead:
            names = " or ".join(map(clean, bag.instead))
            say(paragraph(f"It would do without one of these jobs: {names}."))
    else:
        _say_bag(bag)
    if isinstance(bag, Refusal):
        raise click.exceptions.Exit(codes.NO)


@click.command()
@click.option(
    "--days",
    "window",
    type=click.IntRange(1, 365),
    default=10,
    show_default=True,
    help="Not used on so many logged working days.",
)
@click.option("--all", "everything", is_flag=True, help="Every tool, not only the head.")
@today_option
@kit_option
@json_option
def unused(
    window: int, everything: bool, today: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Name what could stay at home, the jobs lost without it, and what has no double."""
    folder = kit_folder(kit_path)
    spare = spare_tools(folder, looked_at(folder, today), window)
    if as_json:
        say_json(
            {
                "days": spare.days,
                "idle": [
                    {
                        "tool": i.tool,
                        "name": i.name,
                        "grams": i.grams,
                        "last_use": i.last_use.isoformat() if i.last_use else None,
                        "jobs_lost": [job.job for job in i.lost],
                    }
                    for i in spare.idle
                ],
                "single": [
                    {"tool": s.tool, "name": s.name, "jobs": [j.job for j in s.jobs]}
                    for s in spare.single
                ],
            }
        )
        return
    head = None if everything else IDLE_HEAD
    saved = sum(idle.grams for idle in spare.idle if not idle.lost)
    say(
        f"Not used in the last {count(spare.days, 'logged working day')}: "
        f"{count(len(spare.idle), 'tool')}. Those that no job needs weigh {grams(saved)}."
    )
    if spare.days < window:
        say(f"Only {count(spare.days, 'day')} of the {window} asked for are logged: judge late.")
    rows = [
        (
            grams(idle.grams),
            "never" if idle.last_use is None else idle.last_use.isoformat(),
            clean(idle.name)
            + (
                f" -- without it no {'; '.join(clean(job.name) for job in idle.lost)}"
                if idle.lost
                else ""
            ),
        )
        for idle in spare.idle[:head]
    ]
    if rows:
        say(table(("saves", "last used", "tool"), rows, right=(0,)))
    _say_single(spare.single[: None if everything else 10])


def _say_single(single: tuple[SinglePoint, ...]) -> None:
    if not single:
        return
    say()
    say("One copy, no stand-in: what stops when it is lost, most first.")
    rows = [
        (str(len(point.jobs)), f"{point.times:.1f}", grams(point.grams), clean(point.name))
        for point in single
    ]
    say(table(("jobs", "a day", "a second adds", "tool"), rows, right=(0, 1, 2)))


def _bag_json(bag: PitBag | Refusal) -> dict[str, object]:
    if isinstance(bag, Refusal):
        return {
            "bag": None,
            "reason": bag.reason,
            "needed_g": bag.needed_g,
            "limit_g": bag.limit_g,
            "instead": list(bag.instead),
        }
    return {
        "bag": [{"tool": t.tool, "name": t.name, "grams": t.grams} for t in bag.tools],
        "grams": bag.grams,
        "limit_g": bag.limit_g,
        "covered": [job for job, _ in bag.covered],
        "left_out": [
            {"job": left.job, "missing": list(left.missing), "more_g": left.more_g}
            for left in bag.left_out
        ],
        "urgent_share": None if bag.urgent_share is None else float(bag.urgent_share),
        "proved_best": bag.proved_best,
    }


def _say_bag(bag: PitBag) -> None:
    proof = "proved best" if bag.proved_best else "not proved best"
    say(f"{count(len(bag.tools), 'tool')}, {grams(bag.grams)} of {grams(bag.limit_g)}; {proof}.")
    if bag.urgent_share is not None:
        say(f"Covers {100 * float(bag.urgent_share):.0f} % of the expected urgent work.")
    say(table(("mass", "tool"), [(grams(t.grams), clean(t.name)) for t in bag.tools], right=(0,)))
    say(paragraph("Jobs covered: " + "; ".join(clean(name) for _, name in bag.covered)))
    for stand_in in bag.stand_ins:
        say(
            paragraph(
                f"{clean(stand_in.instead)} stands in for {clean(stand_in.wanted)} "
                f"({clean(stand_in.job)})"
            )
        )
    for left in bag.left_out[:5]:
        more = (
            "it needs what stays at home" if left.more_g is None else f"{grams(left.more_g)} more"
        )
        say(paragraph(f"Not covered: {clean(left.name)} ({more})"))
