"""The command claim: what was in a bag that is damaged, late or lost, and until when to write."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from toolbox.cli.common import day, json_option, kit_folder, kit_option, looked_at, today_option
from toolbox.cli.papers import papers_out, say_files
from toolbox.cli.papers_data import claim_data
from toolbox.cli.words import clean, count, hang, paragraph, say, say_json, table
from toolbox.desk.claims import (
    AMOUNT,
    REPORT,
    Claim,
    claim_for,
    notice_words,
    save_claim,
    value_words,
    work_names,
    worth_words,
)
from toolbox.desk.own_files import Written
from toolbox.desk.trips import bag_named, open_flight
from toolbox.papers.claim import WHO_DECIDES, Mishap


@click.command()
@click.argument("name", metavar="TRIP")
@click.argument("bag", metavar="BAG")
@click.option(
    "--arrived", required=True, metavar="DATE", help="The day the flight arrived (2026-11-20)."
)
@click.option("--delivered", metavar="DATE", help="The day a bag that came later was handed over.")
@click.option(
    "--for",
    "mishap",
    type=click.Choice([m.value for m in Mishap]),
    default=Mishap.LOSS.value,
    show_default=True,
    help="What happened to it.",
)
@papers_out
@today_option
@kit_option
@json_option
def claim(
    name: str,
    bag: str,
    arrived: str,
    delivered: str | None,
    mishap: str,
    out: Path | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """What was in a BAG that was damaged, late or lost, until when to write, and what still goes.

    Its things with mass, value, serial number and when each was last seen; the planned work
    that can be done without it.
    """
    folder = kit_folder(kit_path)
    flight = open_flight(folder, name, looked_at(folder, today))
    handed = day(delivered) if delivered is not None else None
    made = claim_for(flight, bag_named(flight, bag), Mishap(mishap), day(arrived), handed)
    files = save_claim(made, out) if out is not None else ()
    if as_json:
        say_json(claim_data(made, files))
    else:
        _say_claim(made, files)


def _say_claim(made: Claim, files: Sequence[Written]) -> None:
    flight, sums = made.flight, made.sums
    say(paragraph(clean(f"{made.bag.name}, {made.notice.mishap.value}, {flight.trip.name}.")))
    say(paragraph(notice_words(made.notice, flight.today)))
    say()
    rows = [
        (
            str(r.pieces),
            f"{r.grams} g",
            value_words(r) or "?",
            clean(_thing_words(r.name, r.serial)),
        )
        for r in made.rows
    ]
    say(table(("pcs", "mass", "value", "thing"), rows, right=(0, 1, 2)))
    say(paragraph(f"In all {count(sums.pieces, 'piece')}, {sums.grams} g, {worth_words(sums)}."))
    if made.notice.mishap is not Mishap.DAMAGE:
        say()
        for head, works in (("still goes", made.possible), ("does not go", made.lost)):
            hang(f"{head}: ", "; ".join(work_names(made, works)) or "nothing that was planned")
    if files:
        say()
        say_files(files)
    for words in (WHO_DECIDES, REPORT, AMOUNT):
        say(paragraph(words))


def _thing_words(name: str, serial: str) -> str:
    return f"{name}, S/N {serial}" if serial else name
