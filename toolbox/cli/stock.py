"""Commands that show stocks and what to do about them: stock, restock, buy, wish."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
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
    now,
    today_option,
)
from toolbox.cli.stock_data import restocking_data, stock_data, stocks_data, wishes_data
from toolbox.cli.stock_shown import say_buys, say_stock, say_stocks, say_tasks, say_wishes
from toolbox.cli.words import clean, say_json
from toolbox.desk.checklist import line_named, ticked, write_said
from toolbox.desk.diary import When
from toolbox.desk.folder import KitFolder
from toolbox.desk.names import Named
from toolbox.desk.naming import supply_named
from toolbox.desk.plans import rank_tools
from toolbox.desk.restock import Restocking, flight_for, restocking
from toolbox.desk.restock_said import bought, done, task_named, write_stock
from toolbox.desk.restock_wishes import wished, wishes
from toolbox.desk.stock import holdings
from toolbox.desk.stock_demand import coming_work
from toolbox.kit.facts import LineSaid
from toolbox.kit.stocking import SaidOfStock, Where

PLACES = [where.value for where in Where]

by_option = click.option("--by", metavar="NAME", help="Who. Default: TOOLBOX_AUTHOR or login.")
trip_option = click.option(
    "--trip", metavar="TRIP", help="Restock for this trip. Default: the next one, when it is near."
)


@click.command()
@click.argument("supply", required=False)
@trip_option
@today_option
@kit_option
@json_option
def stock(
    supply: str | None, trip: str | None, today: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Show what is there of every supply, or of one SUPPLY with how that came about.

    Stock is what the files say was there, less what the log drew, plus what came in.
    """
    folder = kit_folder(kit_path)
    seen = looked_at(folder, today)
    held = holdings(folder.kit, folder.live, seen)
    usage = rank_tools(folder, seen)
    flight = flight_for(folder, seen, trip)
    coming = coming_work(folder.kit, usage, folder.live, seen, flight)
    if supply is None:
        (say_json(stocks_data(coming, held)) if as_json else say_stocks(coming, held))
        return
    one = held[meant(supply_named, folder.kit, supply)]
    if as_json:
        say_json(stock_data(folder, coming, one))
    else:
        say_stock(folder, coming, one)


@click.command()
@click.option(
    "--do", "lines", multiple=True, metavar="LINE", help="This LINE is done; repeat for more."
)
@click.option("--all", "every", is_flag=True, help="All lines but those to count are done.")
@trip_option
@by_option
@today_option
@kit_option
@json_option
def restock(
    lines: tuple[str, ...],
    every: bool,
    trip: str | None,
    by: str | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """List what to do about supplies in the evening, compartment by compartment.

    What to refill from the reserve and how much, what is out of date, what to count. LINE
    is its number in the list, its key, or a few letters of its words.
    """
    folder = kit_folder(kit_path)
    seen = looked_at(folder, today)
    listed = restocking(folder, seen, trip)
    named = [meant(lambda _, typed: task_named(listed, typed), folder.kit, x) for x in lines]
    tasks = [task for task in listed.tasks if task.key in named or (every and task.done_as_told)]
    entry = _write(folder, done(tasks), by)
    if entry:
        folder = kit_folder(folder.path)
        listed = restocking(folder, seen, trip)
    if as_json:
        say_json({**restocking_data(listed), "entry": entry or None})
    else:
        say_tasks(folder.kit, listed, entry)


@click.command()
@click.option(
    "--got",
    type=(str, str),
    multiple=True,
    metavar="SUPPLY AMOUNT",
    help='So much came in, like --got "chain lube" "2 packs"; repeat for more.',
)
@click.option("--in", "place", type=click.Choice(PLACES), help="Where it went. Default: reserve.")
@click.option("--lot", default="", metavar="TEXT", help="The lot number on what came in.")
@click.option("--best-before", metavar="DATE", help="The date printed on what came in.")
@trip_option
@by_option
@today_option
@kit_option
@json_option
def buy(
    got: tuple[tuple[str, str], ...],
    place: str | None,
    lot: str,
    best_before: str | None,
    trip: str | None,
    by: str | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """List what to buy: before leaving, and on arrival since it may not fly.

    AMOUNT has its unit, or is a number of packs.
    """
    if (place or lot or best_before) and not got:
        raise click.UsageError("--in, --lot and --best-before go with --got")
    folder = kit_folder(kit_path)
    seen = looked_at(folder, today)
    held = holdings(folder.kit, folder.live, seen)
    printed = _day(best_before)
    said = [
        bought(
            held[meant(supply_named, folder.kit, letters)],
            amount,
            Where(place) if place else None,
            lot=clean(lot),
            best_before=printed,
        )
        for letters, amount in got
    ]
    entry = _write(folder, said, by)
    folder = kit_folder(folder.path) if entry else folder
    listed: Restocking = restocking(folder, seen, trip)
    if as_json:
        say_json({**restocking_data(listed), "entry": entry or None})
    else:
        say_buys(folder.kit, listed, wishes(folder.live), entry)


@click.command()
@click.argument("words", nargs=-1, metavar="[TEXT]...")
@click.option("--got", "fulfilled", multiple=True, metavar="LINE", help="This wish is fulfilled.")
@by_option
@kit_option
@json_option
def wish(
    words: tuple[str, ...],
    fulfilled: tuple[str, ...],
    by: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Put a few words on the wish list, or show what is on it.

    LINE is its number in the list, its key, or a few letters of its words.
    """
    folder = kit_folder(kit_path)
    listed = wishes(folder.live)

    def key(letters: str) -> str:
        def named(_: object, typed: str) -> Named:
            line = line_named(listed, typed)
            return Named(line.key, line.words)

        return meant(named, folder.kit, letters)

    said: list[LineSaid] = [ticked(listed, key(letters)) for letters in fulfilled]
    if words:
        said.append(wished(listed, clean(" ".join(words))))
    entry = ""
    if said:
        moment = now()
        entry = write_said(folder, said, When(moment, moment, author(by)))
        listed = wishes(kit_folder(folder.path).live)
    if as_json:
        say_json({**wishes_data(listed), "entry": entry or None})
    else:
        say_wishes(listed, entry)


def _day(text: str | None) -> date | None:
    return None if text is None else day(text)


def _write(folder: KitFolder, said: Sequence[SaidOfStock], by: str | None) -> str:
    if not said:
        return ""
    moment = now()
    return write_stock(folder, said, When(moment, moment, author(by)))
