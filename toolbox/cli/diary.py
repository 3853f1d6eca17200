"""Commands that write to the journal: log, pick, spend, undo."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import click

from toolbox.cli.common import (
    author,
    json_option,
    kit_folder,
    kit_option,
    looked_at,
    meant,
    moment,
    now,
)
from toolbox.cli.words import clean, paragraph, say, say_json
from toolbox.desk.diary import (
    Done,
    Entry,
    When,
    every_entry,
    log_job,
    pick_tools,
    spend_supply,
    take_back,
)
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.instruments import Flag, flags, stands
from toolbox.desk.log_cautions import past_dates
from toolbox.desk.naming import job_named, supply_named, tool_named
from toolbox.desk.plans import rank_tools
from toolbox.desk.shift import movers, shift_words
from toolbox.desk.stock_fluids import mixings_of
from toolbox.desk.visits import must_go_on
from toolbox.kit.facts import LoosePick, StepDone
from toolbox.kit.work import Pick

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
@click.option("--go-on", is_flag=True, help="Go on with the visit left unfinished last.")
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
    go_on: bool,
    urgent: bool,
    bike: str,
    at: str | None,
    by: str | None,
    note: str,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Log a JOB as done: its usual steps in one go.

    JOB and TOOL are a few letters of a name, or an id. With --go-on the steps join the
    visit at this job that was left unfinished; without --step all that are left of it.
    """
    folder = kit_folder(kit_path)
    kit = folder.kit
    when = _when(at, by)
    wanted = kit.job(meant(job_named, kit, job))
    visit = must_go_on(folder.live, wanted, clean(bike), when.at) if go_on else None
    done = Done(
        job=wanted.id,
        steps=steps or (visit.left if visit is not None else ()),
        more=tuple(meant(tool_named, kit, letters) for letters in more),
        fewer=tuple(meant(tool_named, kit, letters) for letters in fewer),
        used=tuple(_settled_draw(folder, text) for text in used),
        times=times,
        urgent=urgent,
        bike=clean(bike),
        note=clean(note),
        visit=visit.id if visit is not None else "",
    )
    _write(folder, lambda: log_job(folder, done, when), "logged", as_json)


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
    when, on, words = _when(at, by), clean(bike), clean(note)

    def write() -> Entry:
        return pick_tools(folder, ids, when, urgent=urgent, bike=on, note=words)

    _write(folder, write, "logged", as_json)


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
    when, on, words = _when(at, by), clean(bike), clean(note)

    def write() -> Entry:
        return spend_supply(folder, used, typed, when, bike=on, note=words)

    _write(folder, write, "logged", as_json)


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
        when = _when(None, by)
        _write(folder, lambda: take_back(folder, entry, when), "undone", as_json)
        return
    if as_json:
        entries = [
            {"entry": e.id, "at": e.at.isoformat(), "words": e.words, "live": e.live}
            for e in every_entry(folder)
        ]
        say_json({"entries": entries})
    for shown in () if as_json else every_entry(folder, most=20):
        undone = "" if shown.live else "  (undone)"
        say(f"{shown.id[:8]}  {shown.at:%Y-%m-%d %H:%M} {clean(shown.words)}{undone}")


def _settled_draw(folder: KitFolder, text: str) -> str:
    name, equals, amount = text.rpartition("=")
    return f"{meant(supply_named, folder.kit, name)}={amount}" if equals else text


def _when(at: str | None, by: str | None) -> When:
    return When(moment(at), now(), author(by))


def _write(folder: KitFolder, write: Callable[[], Entry], done: str, as_json: bool) -> None:
    """Write an entry; say what was written and what that changed in today's ranking."""
    today = looked_at(folder, None)
    before, live = rank_tools(folder, today), folder.live
    entry = write()
    after = rank_tools(folder.again(folder.kit), today)
    moved = clean(shift_words(movers(before, after), names_of(folder.kit)))
    logged = entry if done == "logged" else replace(entry, facts=())
    mixed, out = mixings_of(folder.kit, logged.facts), _out(folder, logged)
    past = past_dates(folder.kit, live, logged.facts, entry.at.date())
    # a program that reads standard output, or nothing at all, does not hide these
    for words in (*mixed, *past):
        click.echo(paragraph(clean(f"CAUTION: {words}")), err=True)
    if as_json:
        told = {"done": done, "entry": entry.id, "words": entry.words, "moved": moved}
        fluids = {"mixed_fluids": list(mixed), "past_date": list(past)}
        say_json({**told, **fluids, "out": [flag._asdict() for flag in out]})
    else:
        say(f"{done}: {clean(entry.words)}")
        for flag in out:
            say(paragraph(clean(f"OUT {flag.name}: {flag.why}")))
        say(paragraph(moved))
        if done == "logged":
            say(f'take it back with "toolbox undo {entry.id[:8]}"')


def _out(folder: KitFolder, entry: Entry) -> tuple[Flag, ...]:
    """The instruments that the entry took up and that are out on its day."""
    picks: list[Pick] = []
    for fact in entry.facts:
        if isinstance(fact, StepDone):
            picks += fact.picks
        elif isinstance(fact, LoosePick):
            picks.append(Pick(fact.tool))
    return flags(picks, stands(folder.kit, folder.live, entry.at.date()))
