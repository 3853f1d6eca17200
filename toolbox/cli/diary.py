"""Commands that write to the journal: log, pick, spend, undo."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import author, json_option, kit_folder, kit_option, meant, moment, now
from toolbox.cli.words import clean, say, say_json
from toolbox.desk.diary import (
    Done,
    Entry,
    When,
    list_entries,
    log_job,
    pick_tools,
    spend_supply,
    take_back,
)
from toolbox.desk.folder import KitFolder
from toolbox.desk.naming import job_named, supply_named, tool_named

at_option = click.option("--at", metavar="TIME", help='When, if not now: "2026-11-20 14:30".')
by_option = click.option("--by", metavar="NAME", help="Who. Default: TOOLBOX_AUTHOR or login.")
bike_option = click.option("--bike", default="", metavar="NAME", help="For which bike.")
note_option = click.option("--note", default="", help="A few words to go with it.")
urgent_option = click.option("--urgent", is_flag=True, help="Between runs, against the clock.")


@click.command()
@click.argument("job")
@click.option("--step", "steps", type=int, multiple=True, help="Only this step; repeat for more.")
@click.option("--with", "more", multiple=True, metavar="TOOL", help="A tool taken as well.")
@click.option("--without", "fewer", multiple=True, metavar="TOOL", help="A usual tool not taken.")
@click.option(
    "--use", "used", multiple=True, metavar="SUPPLY=AMOUNT", help="A supply used as well."
)
@click.option("--times", type=click.IntRange(1, 99), default=1, help="How often it was done.")
@urgent_option
@bike_option
@at_option
@by_option
@note_option
@kit_option
@json_option
def log(
    job: str,
    steps: tuple[int, ...],
    more: tuple[str, ...],
    fewer: tuple[str, ...],
    used: tuple[str, ...],
    times: int,
    urgent: bool,
    bike: str,
    at: str | None,
    by: str | None,
    note: str,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Log a JOB as done: its usual steps in one go.

    JOB and TOOL are a few letters of a name, or an id.
    """
    folder = kit_folder(kit_path)
    kit = folder.kit
    done = Done(
        job=meant(job_named, kit, job),
        steps=steps,
        more=tuple(meant(tool_named, kit, letters) for letters in more),
        fewer=tuple(meant(tool_named, kit, letters) for letters in fewer),
        used=tuple(_settled_draw(folder, text) for text in used),
        times=times,
        urgent=urgent,
        bike=clean(bike),
        note=clean(note),
    )
    _show(log_job(folder, done, _when(at, by)), "logged", as_json)


@click.command()
@click.argument("tools", nargs=-1, required=True, metavar="TOOL...")
@urgent_option
@bike_option
@at_option
@by_option
@note_option
@kit_option
@json_option
def pick(
    tools: tuple[str, ...],
    urgent: bool,
    bike: str,
    at: str | None,
    by: str | None,
    note: str,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Log TOOLs taken from the box outside any job, each a trip of its own."""
    folder = kit_folder(kit_path)
    ids = [meant(tool_named, folder.kit, letters) for letters in tools]
    entry = pick_tools(
        folder, ids, _when(at, by), urgent=urgent, bike=clean(bike), note=clean(note)
    )
    _show(entry, "logged", as_json)


@click.command()
@click.argument("supply")
@click.argument("amount", nargs=-1, required=True, metavar="AMOUNT")
@bike_option
@at_option
@by_option
@note_option
@kit_option
@json_option
def spend(
    supply: str,
    amount: tuple[str, ...],
    bike: str,
    at: str | None,
    by: str | None,
    note: str,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Log an AMOUNT of a SUPPLY used outside any job: spend "brake fluid" 20 ml.

    SUPPLY is a few letters of a name, or an id; AMOUNT has its unit.
    """
    folder = kit_folder(kit_path)
    used, typed = meant(supply_named, folder.kit, supply), " ".join(amount)
    entry = spend_supply(folder, used, typed, _when(at, by), bike=clean(bike), note=clean(note))
    _show(entry, "logged", as_json)


@click.command()
@click.argument("entry", required=False)
@click.option("--list", "listed", is_flag=True, help="Show the last entries instead.")
@by_option
@kit_option
@json_option
def undo(
    entry: str | None, listed: bool, by: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Take back the last entry, or the ENTRY whose first letters are given.

    Nothing is deleted: an undo is written too, and can itself be undone.
    """
    folder = kit_folder(kit_path)
    if not listed:
        _show(take_back(folder, entry, _when(None, by)), "undone", as_json)
        return
    entries = list_entries(folder, all_entries=True)
    if as_json:
        say_json({"entries": [{"entry": e.id, "words": e.words, "live": e.live} for e in entries]})
    for shown in () if as_json else entries[:20]:
        undone = "" if shown.live else "  (undone)"
        say(f"{shown.id[:8]}  {clean(shown.words)}{undone}")


def _settled_draw(folder: KitFolder, text: str) -> str:
    name, equals, amount = text.rpartition("=")
    return f"{meant(supply_named, folder.kit, name)}={amount}" if equals else text


def _when(at: str | None, by: str | None) -> When:
    return When(moment(at), now(), author(by))


def _show(entry: Entry, done: str, as_json: bool) -> None:
    if as_json:
        say_json({"done": done, "entry": entry.id, "words": entry.words})
    else:
        say(f"{done}: {clean(entry.words)}")
        if done == "logged":
            say(f'take it back with "toolbox undo {entry.id[:8]}"')
