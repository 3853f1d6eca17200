"""The command uses: which tools the work really takes, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, meant, today_option
from toolbox.cli.words import clean, count, paragraph, say, say_json, table
from toolbox.desk.folder import names_of
from toolbox.desk.history import NEVER, History, histories, logged_words
from toolbox.desk.plans import Study, study
from toolbox.desk.ranked import (
    Order,
    Ranked,
    basis_words,
    in_order,
    ranked_named,
    ranking,
    settled_words,
)
from toolbox.kit.kit import Kit
from toolbox.usage.engine import Usage
from toolbox.usage.settled import Settled, settle

HEAD = 25


@click.command()
@click.argument("letters", nargs=-1, metavar="[TOOL]")
@click.option("--all", "everything", is_flag=True, help="Every tool, not only the head.")
@click.option("--unsettled", is_flag=True, help="Have I logged enough? Name what is open.")
@click.option(
    "--by",
    type=click.Choice([order.value for order in Order]),
    default=Order.USES.value,
    help="Sort: most used, dearest to reach, most urgent, least settled, longest not used first.",
)
@today_option
@kit_option
@json_option
def uses(
    letters: tuple[str, ...],
    everything: bool,
    unsettled: bool,
    by: str,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Rank the tools by how often a working day takes them up.

    With a TOOL (a few letters of its name, or of a supply's) all that is known of it: the
    days and the jobs it was taken up on, where it lies, and what that costs a day.
    """
    folder = kit_folder(kit_path)
    if letters and (everything or unsettled):
        raise click.UsageError("name one tool, or ask for the ranking")
    at = study(folder, looked_at(folder, today))
    sure = settle(at.usage)
    rows = in_order(ranking(at, sure), Order(by))
    if letters:
        wanted = meant(lambda _, text: ranked_named(rows, text), folder.kit, " ".join(letters))
        row = next(row for row in rows if row.item == wanted)
        history = histories(folder.kit, folder.live, looked_at(folder, today)).get(wanted, NEVER)
        if as_json:
            say_json({**_row_json(row), **_history_json(history)})
        else:
            say_tool(at, row, history, sure)
    elif as_json:
        say_json(usage_json(folder.kit, at.usage, rows, sure))
    elif unsettled:
        say_settled(folder.kit, at.usage, sure)
    else:
        say_ranking(at.usage, rows, sure, None if everything else HEAD)


def say_ranking(usage: Usage, rows: Sequence[Ranked], sure: Settled, head: int | None) -> None:
    """Print the ranking: rank, uses a day with interval, class, urgent share, cost, place."""
    say(basis_words(usage))
    lines = [
        (
            str(row.rank),
            f"{row.use.per_day:.2f}",
            f"{row.use.low:.1f}-{row.use.high:.1f}",
            row.use.grade,
            f"{100 * row.use.urgent_share:.0f}%" if row.use.urgent_share >= 0.005 else "",
            "" if row.settled else "open",
            "" if row.cost is None else f"{row.cost / 1e6:.1f}",
            clean(row.name) + _where(row),
        )
        for row in rows[:head]
    ]
    heads = ("no.", "a day", "90 %", "class", "urgent", "", "s/day", "tool [where it lies today]")
    say(table(heads, lines, right=(0, 1, 2, 4, 6)))
    if len(lines) < len(rows):
        say(f"and {len(rows) - len(lines)} more; see them with --all")
    for note in usage.notes:
        say(paragraph(clean(note)))
    say(_how_settled(sure))


def say_tool(at: Study, row: Ranked, history: History, sure: Settled) -> None:
    """Print one tool: its uses, how sure they are, its place and cost, its days and jobs."""
    use = row.use
    say(f"{clean(row.name)}: no. {row.rank} of {len(at.usage.tools)}, class {use.grade}")
    say(
        f"  {use.per_day:.2f} uses a day, 90 % sure {use.low:.1f} to {use.high:.1f}; "
        f"{100 * use.urgent_share:.0f} % of them urgent"
    )
    say(paragraph(f"settled: {clean(settled_words(at.kit, sure, row.item))}", "  "))
    if row.home is not None:
        cost = "" if row.cost is None else f", costs {row.cost / 1e6:.2f} s a day there"
        say(paragraph(f"lies in {clean(row.home.name)} today{cost}", "  "))
    else:
        say("  has no place in the box today" if row.carried else "  does not travel in the box")
    say(paragraph(logged_words(history, at.usage.days), "  "))
    if history.times:
        jobs = "; ".join(f"{clean(one.work)} {one.times}" for one in history.works)
        say(paragraph(f"for: {jobs}", "  "))
        days = "; ".join(f"{on} {times}" for on, times in history.days)
        say(paragraph(f"on: {days}", "  "))


def say_settled(kit: Kit, usage: Usage, sure: Settled) -> None:
    """Print which tools are still unsettled and which jobs to log next."""
    names = names_of(kit)
    say(basis_words(usage))
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


def usage_json(kit: Kit, usage: Usage, rows: Sequence[Ranked], sure: Settled) -> dict[str, object]:
    """The ranking as data: rates a day with 90 % limits, classes, chances, jobs.

    Costs are in microseconds a day, urgent seconds weighted.
    """
    names = names_of(kit)
    return {
        "days": usage.days,
        "easily_reached": sure.places,
        "tools": [_row_json(row) for row in rows],
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


def _row_json(row: Ranked) -> dict[str, object]:
    use = row.use
    return {
        "rank": row.rank,
        "tool": row.item,
        "name": row.name,
        "per_day": round(use.per_day, 6),
        "low": round(use.low, 6),
        "high": round(use.high, 6),
        "class": use.grade,
        "cumulative": round(use.cumulative, 6),
        "urgent_share": round(use.urgent_share, 6),
        "times": use.times,
        "last_used": use.last_used.isoformat() if use.last_used else None,
        "chance_easily_reached": None if row.chance is None else round(row.chance, 4),
        "settled": row.settled,
        "compartment": row.home.id if row.home is not None else None,
        "cost_us_per_day": row.cost,
    }


def _history_json(history: History) -> dict[str, object]:
    return {
        "urgent_times": history.urgent,
        "days": [{"day": on.isoformat(), "times": times} for on, times in history.days],
        "for": [{"work": one.work, "times": one.times} for one in history.works],
    }


def _where(row: Ranked) -> str:
    if not row.carried:
        return " (not in the box)"
    return f" [{row.home.id}]" if row.home is not None else ""


def _how_settled(sure: Settled) -> str:
    if not sure.open:
        return "Every tool is settled: more logging would hardly change what is easily reached."
    return paragraph(
        f"{count(len(sure.open), 'tool is', 'tools are')} still open: it is not sure whether "
        f"they belong among the {sure.places} easily reached. "
        'See what to log next with "toolbox uses --unsettled".'
    )
