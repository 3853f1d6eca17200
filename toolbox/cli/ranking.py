"""The command uses: which tools the work really takes, and how sure that is."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path

import click

from toolbox.cli.common import day, json_option, kit_folder, kit_option, today_option
from toolbox.cli.words import clean, count, paragraph, say, say_json, table
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.plans import rank_tools
from toolbox.kit.kit import Kit
from toolbox.usage.engine import Usage
from toolbox.usage.settled import Settled, settle

HEAD = 25


@click.command()
@click.option("--all", "everything", is_flag=True, help="Every tool, not only the head.")
@click.option("--unsettled", is_flag=True, help="Have I logged enough? Name what is open.")
@today_option
@kit_option
@json_option
def uses(
    everything: bool, unsettled: bool, today: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Rank the tools by how often a working day takes them up."""
    folder = kit_folder(kit_path)
    usage = rank_tools(folder, day(today))
    sure = settle(usage)
    if as_json:
        say_json(usage_json(folder, usage, sure))
    elif unsettled:
        say_settled(folder.kit, usage, sure)
    else:
        say_ranking(folder, usage, sure, None if everything else HEAD)


def say_ranking(folder: KitFolder, usage: Usage, sure: Settled, head: int | None) -> None:
    """Print the ranking: rank, tool, uses a day with interval, grade, urgent share, place."""
    say(_basis(usage))
    names = names_of(folder.kit)
    places = folder.kit.present.places() if folder.kit.present else {}
    carried = folder.kit.carried()
    shown = usage.tools[:head]
    rows = [
        (
            str(rank),
            f"{use.per_day:.2f}",
            f"{use.low:.1f}-{use.high:.1f}",
            use.grade,
            f"{100 * use.urgent_share:.0f}%" if use.urgent_share >= 0.005 else "",
            "" if sure.is_settled(use.item) else "open",
            clean(names.get(use.item, use.item)) + _where(use.item, places, carried),
        )
        for rank, use in enumerate(shown, 1)
    ]
    heads = ("no.", "a day", "90 %", "class", "urgent", "", "tool [where it lies today]")
    say(table(heads, rows, right=(0, 1, 2, 4)))
    if len(shown) < len(usage.tools):
        say(f"and {len(usage.tools) - len(shown)} more; see them with --all")
    for note in usage.notes:
        say(paragraph(clean(note)))
    say(_how_settled(sure))


def say_settled(kit: Kit, usage: Usage, sure: Settled) -> None:
    """Print which tools are still unsettled and which jobs to log next."""
    names = names_of(kit)
    say(_basis(usage))
    say(_how_settled(sure))
    rows = [
        (
            f"{100 * open_tool.chance:.0f} %",
            clean(names.get(open_tool.item, open_tool.item))
            + ": log "
            + (
                " or ".join(clean(names.get(job, job)) for job in open_tool.log_next[:2])
                or "its loose picks"
            ),
        )
        for open_tool in sure.open
    ]
    if rows:
        say()
        say(table(("easily reached", "tool, and what would settle it"), rows, right=(0,)))


def usage_json(folder: KitFolder, usage: Usage, sure: Settled) -> dict[str, object]:
    """The ranking as data: rates a day with 90 % limits, classes, chances, jobs."""
    names = names_of(folder.kit)
    places = folder.kit.present.places() if folder.kit.present else {}
    return {
        "days": usage.days,
        "easily_reached": sure.places,
        "tools": [
            {
                "rank": rank,
                "tool": use.item,
                "name": names.get(use.item, use.item),
                "per_day": round(use.per_day, 6),
                "low": round(use.low, 6),
                "high": round(use.high, 6),
                "class": use.grade,
                "cumulative": round(use.cumulative, 6),
                "urgent_share": round(use.urgent_share, 6),
                "times": use.times,
                "last_used": use.last_used.isoformat() if use.last_used else None,
                "chance_easily_reached": round(sure.chance(use.item), 4),
                "settled": sure.is_settled(use.item),
                "compartment": places.get(use.item),
            }
            for rank, use in enumerate(usage.tools, 1)
        ],
        "jobs": [
            {
                "job": job.job,
                "name": names.get(job.job, job.job),
                "per_day": round(job.per_day, 6),
                "low": round(job.low, 6),
                "high": round(job.high, 6),
                "visits": job.visits,
                "urgent_share": round(job.urgent_share, 6),
            }
            for job in usage.jobs
        ],
        "log_next": [
            {"tool": t.item, "chance": round(t.chance, 4), "jobs": list(t.log_next)}
            for t in sure.open
        ],
        "notes": list(usage.notes),
    }


def _where(item: str, places: Mapping[str, str], carried: Collection[str]) -> str:
    if item not in carried:
        return " (not in the box)"
    return f" [{places[item]}]" if item in places else ""


def _basis(usage: Usage) -> str:
    if not usage.days:
        return "Nothing logged yet: the ranking rests on how often you said each job comes."
    return f"From {count(usage.days, 'working day')} with logged work, recent days weighing more."


def _how_settled(sure: Settled) -> str:
    if not sure.open:
        return "Every tool is settled: more logging would hardly change what is easily reached."
    return paragraph(
        f"{count(len(sure.open), 'tool is', 'tools are')} still open: it is not sure whether "
        f"they belong among the {sure.places} easily reached. "
        'See what to log next with "toolbox uses --unsettled".'
    )
