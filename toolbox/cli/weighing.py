"""The command weighing: things put on a scale one by one, as typed, scanned or piped in."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from toolbox.cli import codes
from toolbox.cli.common import json_option, kit_folder, kit_option, looked_at, meant, today_option
from toolbox.cli.words import clean, count, hang, paragraph, remark, say, say_json, table
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.weighing import (
    UNITS,
    Bench,
    Put,
    Refused,
    Stored,
    bench,
    bench_words,
    parted,
    put_on,
    read_lines,
    store_readings,
    take_off,
    tare_typed,
    thing_meant,
    weighable,
    with_tare,
)
from toolbox.desk.weighing_list import WeighList, mass_words, of_what, progress_of, weigh_list
from toolbox.files.problems import KitFaults

_HOW = (
    "Type or scan a thing and what the scale shows, like: hex key 5 mm 42. A reading alone is "
    'that of the thing named in the line. "tare 35" takes a tray off, "tare" nothing again; '
    '"skip" goes on to the next, "undo" takes the last reading back; an empty line ends.'
)


@click.command("weighing")
@click.option(
    "--unit", type=click.Choice(UNITS), default="g", help="The unit of bare numbers. Default: g."
)
@click.option("--tare", default="", metavar="READING", help="Take this off each reading: a tray.")
@click.option("--step", default="", metavar="MASS", help="The scale's step, kept with each mass.")
@click.option("--list", "listed", is_flag=True, help="Only show what is to be weighed, in order.")
@click.option("--sure", is_flag=True, help="Take readings that look odd without asking back.")
@today_option
@kit_option
@json_option
def weighing(
    unit: str, tare: str, step: str, listed: bool, sure: bool, today: str | None,
    kit_path: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Weigh things one by one: lines like "hex key 5 mm 42", typed, scanned or piped in.

    What the next trip hangs on comes first. At a terminal each reading is stored at once;
    lines that are piped in are stored all together, or not at all when one is refused.
    """
    folder = kit_folder(kit_path)
    on = bench(unit, tare, step)
    order = weigh_list(folder, looked_at(folder, today))
    if listed:
        _say_list(order, as_json)
    elif sys.stdin.isatty() and not as_json:
        _session(folder, order, on, sure=sure)
    else:
        _piped(folder, order, sys.stdin.read().splitlines(), on, sure=sure, as_json=as_json)


# ---- what is to be weighed


def _say_list(order: WeighList, as_json: bool) -> None:
    if as_json:
        say_json(_data(order, (), ()))
        return
    say(f"{order.progress.words}.")
    rows = [
        (clean(one.key), clean(one.thing.name), one.mass, clean(one.why))
        for one in order.lines
        if not one.weighed
    ]
    if rows:
        trip = f", for {order.trip} first" if order.trip else ""
        say(paragraph(clean(f"To be weighed{trip}:")))
        say(table(("id", "name", "mass", ""), rows))


def _data(order: WeighList, stored: Sequence[Stored], refused: Sequence[Refused]) -> dict[str, Any]:
    progress = order.progress
    done = {one.thing.id for one in stored}
    return {
        "stored": [
            {
                "id": one.thing.id,
                "name": one.thing.name,
                "mass_g": one.mass.grams,
                "before": mass_words(one.thing),
            }
            for one in stored
        ],
        "refused": [{"line": r.number, "text": r.text, "reason": r.reason} for r in refused],
        "of": progress.of,
        "weighed": progress.weighed,
        "catalogue": progress.catalogue,
        "guessed": progress.guessed,
        "without_mass": progress.unsaid,
        "trip": order.trip or None,
        "next": [
            {"id": one.key, "name": one.thing.name, "mass": one.mass, "why": one.why}
            for one in order.lines
            if not one.weighed and one.key not in done
        ],
    }


# ---- lines piped in


def _piped(
    folder: KitFolder, order: WeighList, lines: Sequence[str], on: Bench, *, sure: bool,
    as_json: bool,
) -> None:  # fmt: skip
    puts, refused = read_lines(folder.kit, lines, on, sure=sure)
    stored = () if refused else store_readings(folder, puts, on)
    after = kit_folder(folder.path) if stored else folder
    order = WeighList(order.lines, progress_of(after.kit), order.trip)
    if as_json:
        say_json(_data(order, stored, refused))
    for one in () if as_json else stored:
        say(clean(one.words))
    for line in () if as_json else refused:
        hang("- ", clean(f"line {line.number}, {line.text}: {line.reason}"))
    if refused:
        remark("Nothing was stored; mend these lines and send them all again.")
        raise click.exceptions.Exit(codes.NO)
    if not as_json:
        say(f"{order.progress.words}.")


# ---- at a terminal


def _session(folder: KitFolder, order: WeighList, on: Bench, *, sure: bool) -> None:
    """Ask for thing after thing, each reading stored at once, until an empty line."""
    say(f"{order.progress.words}.")
    say(paragraph(_HOW))
    session = _Session(folder, order, on, sure)
    while typed := session.ask():
        try:
            session.hear(typed)
        except (DeskError, KitFaults) as error:
            remark(clean(str(error)))
    say(f"{count(len(session.done), 'reading')} stored. {session.order.progress.words}.")


class _Session:
    """What is known while somebody weighs: the kit, the order, the bench, the thing in hand."""

    def __init__(self, folder: KitFolder, order: WeighList, on: Bench, sure: bool) -> None:
        self.order = order
        self.done: list[Stored] = []
        self._folder = folder
        self._on = on
        self._sure = sure
        self._thing = ""
        self._go_on()

    def ask(self) -> str:
        """What was typed, "" for the end."""
        asked = "Thing and reading"
        if self._thing:
            thing = weighable(self._folder.kit, self._thing)
            asked = f"{thing.name} ({thing.id}; {mass_words(thing)}; {of_what(thing)})"
        try:
            return str(click.prompt(clean(asked), default="", show_default=False, err=True)).strip()
        except click.Abort:  # the end of what is typed is the end of the session
            click.echo(err=True)
            return ""

    def hear(self, typed: str) -> None:
        """Do what a line says. DeskError, KitFaults and WriteRefused say why it was not done."""
        tare = tare_typed(typed)
        if tare is not None:
            self._on = with_tare(self._on, tare)
            say(f"From now on: {bench_words(self._on)}.")
        elif typed.casefold() == "skip":
            self._go_on()
        elif typed.casefold() == "undo":
            self._undo()
        else:
            self._weigh(typed)

    def _go_on(self) -> None:
        following = self.order.next_after(self._thing)
        self._thing = following.key if following is not None else ""

    def _undo(self) -> None:
        if not self.done:
            raise DeskError("nothing was stored in this session yet")
        say(clean(take_off(self._folder, self.done[-1])))
        self._thing = self.done.pop().thing.id
        self._look_again()

    def _weigh(self, typed: str) -> None:
        kit = self._folder.kit
        line = parted(kit, typed, self._on.unit)
        if line.thing:
            self._thing = meant(thing_meant, kit, line.thing)
        if not line.reading:
            return
        if not self._thing:
            raise DeskError("a reading of what? Write the thing before it")
        put = put_on(kit, weighable(kit, self._thing), line.reading, self._on)
        if put.odd and not self._sure and not _is_right(put):
            remark("Not stored; weigh it again.")
            return
        self.done += store_readings(self._folder, [put], self._on)
        say(clean(self.done[-1].words))
        self._look_again()
        self._go_on()

    def _look_again(self) -> None:
        self._folder = kit_folder(self._folder.path)
        self.order = self.order.again(self._folder.kit)


def _is_right(put: Put) -> bool:
    return click.confirm(clean(f"{put.odd}. Is that right?"), default=False, err=True)
