"""Commands that say what happened to a stock: recount, waste, opened."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli.common import (
    author,
    day,
    json_option,
    kit_folder,
    kit_option,
    looked_at,
    meant,
    moment,
    now,
)
from toolbox.cli.words import clean, paragraph, say, say_json
from toolbox.desk.diary import When
from toolbox.desk.evening_words import said_words
from toolbox.desk.folder import KitFolder, names_of
from toolbox.desk.naming import supply_named
from toolbox.desk.restock_said import counted, opened, wasted, write_stock
from toolbox.desk.stock import Holding, holdings
from toolbox.desk.stock_words import good_words, left_words
from toolbox.kit.stocking import SaidOfStock, Where

PLACES = [where.value for where in Where]

at_option = click.option("--at", metavar="TIME", help='When, if not now: "2026-11-20 14:30".')
by_option = click.option("--by", metavar="NAME", help="Who. Default: TOOLBOX_AUTHOR or login.")
in_option = click.option(
    "--in", "place", type=click.Choice(PLACES), help="Where. Default: where it is used from."
)


@click.command()
@click.argument("supply")
@click.argument("amount", nargs=-1, required=True, metavar="AMOUNT")
@in_option
@at_option
@by_option
@kit_option
@json_option
def recount(
    supply: str,
    amount: tuple[str, ...],
    place: str | None,
    at: str | None,
    by: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Say how much of a SUPPLY is really there: it holds from now on, whatever the book said.

    AMOUNT has its unit, or is a number in the supply's own measure, or of packs.
    """
    folder, held = _held(kit_path, supply)
    said = counted(held, " ".join(amount), Where(place) if place else None)
    _say_said(folder, held, said, When(moment(at), now(), author(by)), as_json)


@click.command()
@click.argument("supply")
@click.argument("amount", nargs=-1, metavar="[AMOUNT]")
@in_option
@click.option("--note", default="", metavar="TEXT", help="A few words to go with it.")
@at_option
@by_option
@kit_option
@json_option
def waste(
    supply: str,
    amount: tuple[str, ...],
    place: str | None,
    note: str,
    at: str | None,
    by: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Say that an AMOUNT of a SUPPLY was spilt, dried up or thrown away.

    Without AMOUNT it is what is out of date there.
    """
    folder, held = _held(kit_path, supply)
    text = " ".join(amount) if amount else None
    said = wasted(held, text, Where(place) if place else None, clean(note))
    _say_said(folder, held, said, When(moment(at), now(), author(by)), as_json)


@click.command("opened")
@click.argument("supply")
@click.option("--on", metavar="DATE", help="The day it was opened. Default: today.")
@click.option("--lot", default="", metavar="TEXT", help="The lot number on it.")
@click.option("--best-before", metavar="DATE", help="The date printed on it.")
@by_option
@kit_option
@json_option
def open_pack(
    supply: str,
    on: str | None,
    lot: str,
    best_before: str | None,
    by: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Say that a fresh pack of a SUPPLY was opened: its life once opened begins.

    What was left of the pack before is not thrown away by that: see "toolbox waste".
    """
    folder, held = _held(kit_path, supply)
    written = now()
    printed = day(best_before) if best_before is not None else None
    said = opened(held, day(on), written.date(), lot=clean(lot), best_before=printed)
    _say_said(folder, held, said, When(written, written, author(by)), as_json)


def _held(kit_path: Path | None, letters: str) -> tuple[KitFolder, Holding]:
    folder = kit_folder(kit_path)
    supply = meant(supply_named, folder.kit, letters)
    return folder, holdings(folder.kit, folder.live, looked_at(folder, None))[supply]


def _say_said(
    folder: KitFolder, held: Holding, said: SaidOfStock, when: When, as_json: bool
) -> None:
    """Write it; say what was written and how the stock stands then."""
    entry = write_stock(folder, [said], when)
    words = said_words(folder.kit, names_of(folder.kit), said)
    after = kit_folder(folder.path)
    now_held = holdings(after.kit, after.live, looked_at(after, None))[held.supply.id]
    stands = [left_words(now_held), good_words(now_held)]
    if as_json:
        say_json({"words": words, "left": now_held.left, "stands": stands[0], "entry": entry})
        return
    say(paragraph(clean(words)))
    say(paragraph(clean(f"{held.supply.name}: {'; '.join(part for part in stands if part)}")))
    say(f'take it back with "toolbox undo {entry[:8]}"')
