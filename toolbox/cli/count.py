"""Commands that write the evening's count: count, settle, release."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import author, day, json_option, kit_folder, kit_option, meant, now
from toolbox.cli.count_said import evening_data, say_evening
from toolbox.cli.words import clean, paragraph, say, say_json
from toolbox.desk.count import NO_PLACE, Evening, closed, counted, evening, evening_of, write_count
from toolbox.desk.count_bikes import held_bikes, work_in
from toolbox.desk.count_settle import parted, released, settled, shorts_named
from toolbox.desk.diary import When
from toolbox.desk.errors import DeskError
from toolbox.desk.evening_words import said_words, short_words
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.naming import compartment_named, tool_named
from toolbox.kit.counting import Outcome, SaidOfCount
from toolbox.kit.kit import Kit

OUTCOMES = {outcome.name.lower(): outcome for outcome in Outcome}

by_option = click.option("--by", metavar="NAME", help="Who. Default: TOOLBOX_AUTHOR or login.")


@click.command("count")
@click.argument("places", nargs=-1, metavar="[COMPARTMENT]...")
@click.option("--unplaced", is_flag=True, help="What travels and has no place was counted.")
@click.option(
    "--short",
    "shorts",
    multiple=True,
    metavar="THING[:PART[:N]]",
    help="All is there but this; repeat for more.",
)
@click.option("--close", is_flag=True, help="Close the day: as complete, if it is.")
@click.option("--reason", default="", metavar="TEXT", help="Why it is closed as not complete.")
@click.option(
    "--day", "on", metavar="DATE", help="Which evening. Default: today's, until 4 in the morning."
)
@by_option
@kit_option
@json_option
def count_in(
    places: tuple[str, ...],
    unplaced: bool,
    shorts: tuple[str, ...],
    close: bool,
    reason: str,
    on: str | None,
    by: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Count the box in: every tool in a COMPARTMENT is there, but for what is --short.

    Without COMPARTMENT it shows how far the count of the evening is. A THING is a few letters
    of a tool, with the part of a set and how many of it behind colons: "bit set:hex 3:2".
    """
    if clean(reason) and not close:
        raise click.UsageError("--reason goes with --close")
    folder = kit_folder(kit_path)
    wanted = day(on) if on is not None else evening_of(now())
    seen = evening(folder, wanted)
    entry = ""
    ids = [meant(compartment_named, folder.kit, letters) for letters in places]
    ids += [NO_PLACE] if unplaced else []
    if ids or shorts:
        entry = _write(folder, _counted(folder.kit, seen, ids, shorts), by)
        folder, seen = _again(folder, seen)
    refused = close and bool(seen.hindrances) and not clean(reason)
    if close and not refused:
        entry = _write(folder, [closed(seen, clean(reason))], by)
        folder, seen = _again(folder, seen)
    if as_json:
        say_json(evening_data(folder.kit, seen, entry, refused=refused))
    else:
        say_evening(folder.kit, seen, entry, refused=refused)
    raise click.exceptions.Exit(codes.NO if refused else codes.DONE)


@click.command()
@click.argument("thing", metavar="THING[:PART[:N]]")
@click.argument("outcome", type=click.Choice(list(OUTCOMES)))
@click.option(
    "--where", default="", metavar="TEXT", help="To whom it is lent; where it was left or found."
)
@click.option("--until", metavar="DATE", help="The day something lent is to be back.")
@click.option("--note", default="", metavar="TEXT", help="A few words to go with it.")
@by_option
@kit_option
@json_option
def settle(
    thing: str,
    outcome: str,
    where: str,
    until: str | None,
    note: str,
    by: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Say what became of a THING that was short, or is lent now.

    Only "found" puts it back among what should be there: it was found, came back or was
    replaced. What was said before stays on record.
    """
    folder = kit_folder(kit_path)
    today = now().date()
    said = settled(
        folder.kit,
        evening(folder, today).book,
        _named(folder.kit, thing),
        OUTCOMES[outcome],
        today,
        where=clean(where),
        until=day(until) if until is not None else None,
        note=clean(note),
    )
    _say_said(folder, said, by, as_json)


@click.command()
@click.argument("bike", required=False)
@click.option("--reason", default="", metavar="TEXT", help="Why it may go out all the same.")
@by_option
@kit_option
@json_option
def release(
    bike: str | None, reason: str, by: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Decide that a BIKE may go out though something missing could be in or on it.

    The decision bears your name, the time and a reason. Without BIKE it lists those held.
    """
    folder = kit_folder(kit_path)
    held = held_bikes(work_in(folder.live), evening(folder, now().date()).book)
    if bike is not None:
        _say_said(folder, released(held, clean(bike), clean(reason)), by, as_json)
        return
    names = names_of(folder.kit)
    bikes = {
        one.bike: [short_words(names, missing.short) for missing in one.missing]
        for one in held
        if not one.released
    }
    if as_json:
        say_json({"held": [{"bike": b, "could_hold": things} for b, things in bikes.items()]})
    elif not bikes:
        say("No bike is held.")
    for name, things in () if as_json else bikes.items():
        say(paragraph(clean(f"bike {name} may not be released: {', '.join(things)}")))


def _counted(
    kit: Kit, seen: Evening, places: Sequence[str], shorts: Sequence[str]
) -> tuple[SaidOfCount, ...]:
    if not places:
        raise DeskError("say which COMPARTMENT was counted, with --short for what it lacks")
    among = [thing.copy for place in places for thing in seen.place(place).things]
    named = [_named(kit, text) for text in shorts]
    return counted(seen, places, shorts_named(kit, seen.book, named, among))


def _named(kit: Kit, text: str) -> str:
    """What was typed with the tool's id in place of its letters, asked for where unclear."""
    typed = parted(text)
    tool = meant(tool_named, kit, typed.letters)
    copy = f"/{typed.copy}" if typed.copy is not None else ""
    return f"{tool}{copy}:{typed.part}:{typed.number}" if typed.part else f"{tool}{copy}"


def _again(folder: KitFolder, seen: Evening) -> tuple[KitFolder, Evening]:
    after = kit_folder(folder.path)
    return after, evening(after, seen.day)


def _write(folder: KitFolder, said: Sequence[SaidOfCount], by: str | None) -> str:
    moment = now()
    return write_count(folder, said, When(moment, moment, author(by)))


def _say_said(folder: KitFolder, said: SaidOfCount, by: str | None, as_json: bool) -> None:
    entry = _write(folder, [said], by)
    words = said_words(folder.kit, names_of(folder.kit), said)
    if as_json:
        say_json({"words": words, "entry": entry})
    else:
        say(paragraph(clean(words)))
        say(f'take it back with "toolbox undo {entry[:8]}"')
